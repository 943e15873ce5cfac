"""What drives the water: taps and pumps, by hand values."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq
from usual import LPM, ZERO

from optichill.properties import water
from optichill.thermal.supply import Supply, open_flow_of_hose


@pytest.mark.parametrize("bore", [9.5e-3, 12.7e-3, 19e-3])
@pytest.mark.parametrize("pressure", [0.5e5, 3e5])
@pytest.mark.parametrize("length", [0.5, 15.0, 60.0])
def test_open_flow_of_a_hose(bore: float, pressure: float, length: float) -> None:
    """Blasius, Hagen-Poiseuille, tap 8 and exit 1 as a plain root in the flow, water of 15 degC by hand."""
    rho, mu = 999.1, 1.138e-3  # steam tables, 15 degC

    def excess(V: float) -> float:
        v = V / (np.pi / 4.0 * bore**2)
        Re = rho * v * bore / mu
        f = max(64.0 / Re, 0.3164 / Re**0.25)
        return pressure - 0.5 * rho * v * v * (9.0 + f * length / bore)

    ours = open_flow_of_hose(static_pressure=pressure, hose_bore=bore, hose_length=length, T=15.0 + ZERO)
    assert ours == pytest.approx(brentq(excess, 1e-7, 1e-1), rel=1e-3)


def test_two_points_make_the_usual_parabola() -> None:
    """H0 (1 - (V/V0)^2), common practice, no source."""
    pump = Supply.pump([(0.0, 3.4), (19 * LPM, 0.0)], hose_bore=0.0125, lift=0.0, T=293.15)
    for share in (0.0, 0.3, 0.8, 1.0):
        p, k = pump.at(np.array(share * 19 * LPM))
        head = (p - k * (share * 19 * LPM) ** 2) / (float(water.density(293.15)) * 9.80665)
        assert head == pytest.approx(3.4 * (1.0 - share**2), abs=1e-9)


def test_lift_takes_head_away() -> None:
    level, lifted = (
        Supply.pump([(0.0, 3.5), (14 * LPM, 0.0)], hose_bore=0.0125, lift=lift, T=288.15)
        for lift in (0.0, 1.0)
    )
    assert level.pressure - lifted.pressure == pytest.approx(9.80665 * 999.1, rel=1e-4)
    with pytest.raises(ValueError, match="pressure"):
        Supply.pump([(0.0, 0.8), (14 * LPM, 0.0)], hose_bore=0.0125, lift=0.9, T=288.15)


@pytest.mark.parametrize(
    "points", [[(0.0, 1e4)], [(1e-5, 1e4), (2e-4, 0.0)], [(0.0, 1e4), (2e-4, 2e4)], [(0.0, 1e4), (0.0, 5e3)]]
)
def test_a_curve_that_is_none_is_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="curve"):
        Supply.curve(points, 0.0125)
