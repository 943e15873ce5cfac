"""Where a formula leaves its data: it is said, formula by formula."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from usual import LPM, batch, coil

from optichill.thermal import validity
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.coil_performance import CoilPerformance, Coils
from optichill.thermal.supply import Supply


def used(c: Coils, s: Scenario) -> dict[str, validity.Use]:
    T = np.linspace(s.T_target, s.T_start, 5)[:, None]
    return {use.formula: use for use in validity.uses(CoilPerformance(c, s), T)}


def test_an_ordinary_coil_stays_inside_every_range() -> None:
    found = used(coil(), batch())
    assert all(use.inside for use in found.values())
    assert "Churchill & Bernstein 1977, moving wort" in found
    assert found["Schmidt 1967, inside film"].least == pytest.approx(7.905 / 250.0)
    # About 7 L/min at some 40 degC: 4 m/(pi d mu) = 4 x 0.117/(pi x 0.0079 x 0.00065) = 29 000 (M)
    assert 15_000.0 < found["Gnielinski 1986, inside film"].most < 60_000.0


def test_still_wort_uses_no_cross_flow() -> None:
    assert not any("Bernstein" in name for name in used(coil(), batch(mixing=Mixing.of("left alone"))))
    assert any("Bernstein" in name for name in used(coil(), batch(mixing=Mixing.of("left alone", swirl=0.2))))


def test_a_tight_coil_of_wide_tube_is_said_to_be_outside() -> None:
    found = used(coil(d_o=30e-3, d_i=28e-3, D_c=0.10), batch())
    assert not found["Schmidt 1967, inside film"].inside


def test_laminar_and_turbulent_friction_are_told_apart() -> None:
    weak = Supply.tap(static_pressure=0.2e5, open_flow=12.0 * LPM, hose_bore=12.7e-3)
    narrow = used(coil(d_o=4e-3, d_i=2.5e-3, tube_length=20.0, wetted_length=2.0), batch(supply=weak))
    assert any("White" in name for name in narrow) and not any("Ito" in name for name in narrow)
    wide = used(coil(), batch())
    assert any("Ito" in name for name in wide) and not any("White" in name for name in wide)


def test_use_is_inside_up_to_its_ends() -> None:
    use = validity.Use("a formula", "Re", 1.0, 2.0, 1.0, 2.0)
    assert use.inside
    assert not replace(use, most=2.1).inside
    assert not replace(use, least=0.9).inside
