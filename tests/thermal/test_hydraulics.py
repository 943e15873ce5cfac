"""Flow as the root of supply and losses, each loss written out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from usual import LPM, ZERO

from optichill.properties import water
from optichill.thermal.hydraulics import Circuit
from optichill.thermal.supply import Supply


def test_open_hose_gives_the_open_flow() -> None:
    """The bucket test holds tap and supply hose: with nothing behind them the flow is its own again."""
    tap = replace(
        Supply.tap(static_pressure=2.6e5, open_flow=13.0 * LPM, hose_bore=1.0), hose_length=0.0
    )  # an outlet so wide that its exit costs nothing
    nothing = Circuit(
        tap,
        d_i=np.array([8e-3]),
        K=np.zeros(1),
        length_ratio=np.zeros(1),
        curvature=np.array([0.03]),
    )
    np.testing.assert_allclose(nothing.flow(np.array([288.15])), 13.0 * LPM, rtol=1e-9)
    assert tap.pressure - tap.resistance * (13.0 * LPM) ** 2 == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("d_i", [3e-3, 7.905e-3, 11.1e-3, 20e-3])
@pytest.mark.parametrize("hose", [9.5e-3, 12.7e-3, 19e-3])
@pytest.mark.parametrize("length", [3.0, 15.0, 30.0])
def test_flow_is_the_root_of_supply_and_losses(d_i: float, hose: float, length: float) -> None:
    """Every loss written out in pascal; the root by Brent. Promised: 1e-4, and 1e-6 with six rounds."""
    p, V_open, r, T = 3e5, 12.0 * LPM, d_i / 0.25, 30.0 + ZERO
    rho, mu = float(water.density(T)), float(water.viscosity(T))

    def head(V: float, d: float) -> float:
        return 0.5 * rho * (4.0 * V / (np.pi * d * d)) ** 2

    def excess(V: float) -> float:
        Re, Re_hose = (4.0 * rho * V / (np.pi * d * mu) for d in (d_i, hose))
        De = Re * r**0.5
        curved = 1.0 / (1.0 - (1.0 - (11.6 / De) ** 0.45) ** (1.0 / 0.45)) if De > 11.6 else 1.0
        f = max(64.0 / Re * curved, 0.304 / Re**0.25 + 0.029 * r**0.5)
        f_hose = max(64.0 / Re_hose, 0.3164 / Re_hose**0.25)
        b2 = (min(d_i, hose) / max(d_i, hose)) ** 2
        joints = (0.5 * (1.0 - b2) + (1.0 - b2) ** 2) * head(V, min(d_i, hose))
        tube = (f * length / d_i + 4 * 0.25 + 2 * 0.08) * head(V, d_i)
        outlet = (f_hose * 3.0 / hose + 1.0) * head(V, hose)
        return p * (1.0 - (V / V_open) ** 2) - joints - tube - outlet

    root = brentq(excess, 1e-9, V_open, xtol=1e-16, rtol=1e-12)
    tap = Supply.tap(static_pressure=p, open_flow=V_open, hose_bore=hose)
    circuit = Circuit.of(tap, np.array([d_i]), np.array([0.25]), np.array([length]))
    assert circuit.flow(np.array([T]))[0] == pytest.approx(root, rel=1e-4)
    assert circuit.flow(np.array([T]), rounds=6)[0] == pytest.approx(root, rel=1e-6)


def test_friction_factor_scales_the_coil_alone() -> None:
    tap = Supply.tap(static_pressure=3e5, open_flow=12.0 * LPM, hose_bore=12.7e-3)
    one, more = (Circuit.of(tap, np.array([8e-3]), np.array([0.25]), np.array([15.0]), f) for f in (1.0, 1.2))
    V, T = np.array([8.0 * LPM]), np.array([288.15])
    np.testing.assert_allclose(more.pressure_drop(V, T), 1.2 * one.pressure_drop(V, T), rtol=1e-12)
    np.testing.assert_array_equal(more.K, one.K)
