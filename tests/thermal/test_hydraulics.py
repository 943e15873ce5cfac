"""Flow as the root of supply and losses, each loss written out by hand."""

from __future__ import annotations

from dataclasses import replace

import fluids
import numpy as np
import pytest
from pydantic_core import PydanticCustomError
from scipy.optimize import brentq
from usual import LPM, ZERO

from optichill.model.tap import Tap
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


@pytest.mark.parametrize("length", [2.0, 10.0, 50.0])
@pytest.mark.parametrize(("pressure", "bore"), [(1e5, 9.5e-3), (3e5, 12.5e-3), (8e5, 19e-3)])
def test_a_tap_is_refused_just_what_no_hose_gives(length: float, pressure: float, bore: float) -> None:
    """The most is what a reference library's smooth pipe gives (Clamond's solution of Colebrook) with nothing
    but the jet's own head; a rounded mouth, K 0.04 by Crane TP-410 (M), and any tap give less."""
    area, water_of_15 = np.pi / 4.0 * bore**2, {"rho": 999.1, "mu": 1.138e-3}

    def flow(K: float) -> float:
        def excess(v: float) -> float:
            f = fluids.friction_factor(Re=fluids.Reynolds(V=v, D=bore, **water_of_15), eD=0.0)
            return pressure - 0.5 * 999.1 * v * v * (K + fluids.K_from_f(fd=f, L=length, D=bore))

        return float(area * brentq(excess, 1e-2, 1e2))

    def asked(open_flow: float, **hose: float) -> None:
        stated = {"temperature": 15.0 + ZERO, "open_flow": open_flow, "static_pressure": pressure}
        Tap.model_validate({**stated, "hose_bore": bore, **hose}).refuse_more_than_flows()

    asked(flow(1.04), hose_length=length)
    with pytest.raises(PydanticCustomError, match="does not come out"):
        asked(1.05 * flow(1.0), hose_length=length)
    if length == 2.0:
        asked(flow(1.04))  # a hose of which nobody said how long


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
