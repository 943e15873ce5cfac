"""Pulling touching turns open: against the torsion of a tube summed up ring by ring, and a coil seen at the
bench that closes again."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from own_coil import own_bench

from optichill.fabrication.opening import Tube, opening

SOFT = Tube(0.009525, 0.008305, 0.2475, 117e9 / (2.0 * 1.34), 100e6)
"""3/8 in soft copper, 0.61 mm wall, wound 250 mm wide."""


def ring_by_ring(tube: Tube, pull: float) -> float:
    """Torque [N m]: a turn of mean radius a that opens by `pull` turns its tube by pull/(2 pi a^2) a metre;
    each ring bears its shear, at most Y/sqrt(3) (von Mises)."""
    edges = np.linspace(tube.d_i / 2.0, tube.d_o / 2.0, 200001)
    r = 0.5 * (edges[1:] + edges[:-1])
    twist = pull / (2.0 * math.pi * (tube.D / 2.0) ** 2)
    shear = np.minimum(tube.G * twist * r, tube.Y / math.sqrt(3.0))
    return float(np.sum(2.0 * math.pi * r**2 * shear * np.diff(edges)))


@pytest.mark.parametrize("pull", [0.001, 0.005, 0.026, 0.035, 0.2])
def test_torque_is_that_of_all_rings(pull: float) -> None:
    # The twist of a turn: pull = (D/2) x twist x pi D, so twist = 2 pull/(pi D^2).
    assert SOFT.torque(pull) == pytest.approx(ring_by_ring(SOFT, pull), rel=1e-6)


def test_what_stays_is_what_was_asked_for() -> None:
    assert SOFT.kept(0.005) == pytest.approx(0.0, abs=1e-9)  # springy: nothing of 5 mm a turn stays
    for gap in (0.002, 0.005, 0.012):
        pull = SOFT.pull_for(gap)
        assert SOFT.kept(pull) == pytest.approx(gap, abs=1e-9)


def test_a_coil_that_is_only_pulled_open_closes_again(tmp_path: Path) -> None:
    """10 turns of 10 mm tube at 16 mm: back to touching, eleven tubes high; the sheet says to hold it."""
    plan, _ = own_bench(tmp_path)
    found = opening(plan, plan.layers[0])
    assert not found.stays and found.closed == pytest.approx(11 * 0.010, abs=1e-4)
    usual, least, most = found.over
    assert 10 * 0.016 + 0.010 < least < usual < most
