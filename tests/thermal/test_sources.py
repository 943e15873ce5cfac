"""Pumps, baths, ice, pre-cooling coils, partial boils: one thing at a time, by hand values."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from tiers import count
from usual import LPM, ZERO, batch, coil, fixed_flow

from optichill.correlations import friction, layers
from optichill.model.wort import TopUp
from optichill.problem.basis import chilled_to
from optichill.properties import water, wort
from optichill.thermal.batch import Mixing, one_tap
from optichill.thermal.coil_performance import Coils, Numerics
from optichill.thermal.cooldown import chill
from optichill.thermal.hydraulics import Circuit, pressure_drop_tube
from optichill.thermal.priors import Factors
from optichill.thermal.sources import (
    ICE_DENSITY,
    ICE_LUMPS,
    ICE_MELTING_HEAT,
    RUNNING_ICE,
    STILL_ICE,
    Bath,
    Precooler,
    Source,
    Stage,
    liquid_heat,
    liquid_temperature,
)
from optichill.thermal.supply import K_EXIT, Supply

FINER = Numerics(nodes=12, segments=2, sweeps=1, exact=True, steps=30.0, solve_flow=False)

# --- ice --------------------------------------------------------------------------------------------------


def test_heat_of_melting() -> None:
    """333.55 kJ/kg, CRC Handbook (from memory)."""
    assert ICE_MELTING_HEAT == 333.55e3


def test_ten_kilograms_of_ice_take_two_megajoules() -> None:
    """10 kg of ice and 20 kg of water of 10 degC take up 2000 kJ: (2000 + 838)/333.55 = 8.51 kg melt and the
    bath stays at 0 degC (worked out with 4.19 kJ/kgK, from memory)."""
    bath = Bath(20.0, 10.0 + ZERO, 10.0)
    assert bath.melted(2000e3, ZERO) == pytest.approx(8.51, abs=0.01)
    assert bath.mixed(2000e3) == pytest.approx(ZERO, abs=1e-9)


@pytest.mark.parametrize(("film", "expected"), [(RUNNING_ICE, 55.0), (STILL_ICE, 3.0)])
def test_a_block_of_a_third_of_a_kilogram(film: float, expected: float) -> None:
    """About 55 W/K in running water and 3 W/K in still (one laboratory report, from memory)."""
    assert Bath(10.0, 285.0, 1.0 / 3.0, film, 1.0 / 3.0).ice_UA == pytest.approx(expected, rel=0.03)


@pytest.mark.parametrize(("wort", "left"), [(40.0, 1.0), (40.0, 0.5), (25.0, 0.5), (25.0, 0.2)])
def test_water_through_ordinary_cubes(wort: float, left: float) -> None:
    """About 4 degC, 1.5 to 9: common practice, no source. A coil of 400 W/K, 10 L and 6 kg of cubes."""
    bath = Bath(10.0, 4.0 + ZERO, 6.0)
    E = (1.0 - left) * 6.0 * ICE_MELTING_HEAT
    assert 1.5 < bath.temperature(E, 400.0, wort + ZERO) - ZERO < 9.0


def test_one_degree_needs_small_ice_and_much_of_it() -> None:
    """Wort of 20 degC through 400 W/K: 10 kg of crumbs of 10 mm hold 1 degC, cubes hold 5, blocks do not."""
    at = {
        lump: float(Bath(10.0, ZERO + 9.0, 10.0, RUNNING_ICE, lump).temperature(2e5, 400.0, ZERO + 20.0))
        for lump in (ICE_DENSITY * 1e-6, *ICE_LUMPS.values())
    }
    crumbs, cubes, blocks, bags = at.values()
    assert crumbs < ZERO + 1.0 < cubes < ZERO + 5.0 < blocks < bags


@given(
    st.floats(0.0, 30.0),
    st.floats(0.0, 40.0),
    st.floats(0.5, 20.0),
    st.floats(0.0, 1.5),
    st.floats(10.0, 2000.0),
    st.floats(0.5, 60.0),
    st.sampled_from([*ICE_LUMPS.values()]),
    st.sampled_from([RUNNING_ICE, STILL_ICE]),
)
@example(0.0, 0.0, 2.0, 1.0, 10.0, 1.0, 0.014328125000000004, 1800.0)  # ice just gone
@settings(max_examples=count(150, 3000), deadline=None)
def test_a_bath_stands_where_heat_in_is_heat_into_ice(
    water: float, T_w: float, ice: float, part: float, G: float, above: float, lump: float, film: float
) -> None:
    """Against a root found by bisection on the temperature: heat in equals heat that the ice left lets in, or
    nothing melts and the water warms. Never colder than energy alone has it, never as warm as the wort."""
    bath = Bath(water + 0.1, T_w + ZERO, ice, film, lump)
    E = part * ice * ICE_MELTING_HEAT
    least = float(bath.mixed(E))
    T = max(least, T_w + ZERO) + above
    if T > ZERO + 99.0:
        return
    mine = float(bath.temperature(E, G, T))
    whole = float(liquid_temperature((bath.water_mass * liquid_heat(T_w + ZERO) + E) / bath.water_mass))

    def surplus(T_bath: float) -> float:
        share = 1.0 - float(bath.melted(E, T_bath)) / ice
        area = 6.0 * ice / ICE_DENSITY / (lump / ICE_DENSITY) ** (1.0 / 3.0)
        return G * (T - T_bath) - film * area * share ** (2.0 / 3.0) * (T_bath - ZERO)

    top = min(T, whole)
    expected = top if surplus(top) > 0.0 else brentq(surplus, least, top)
    assert mine == pytest.approx(expected, abs=0.1)
    assert least - 1e-3 <= mine <= T


def test_each_coil_may_have_its_own_ice() -> None:
    """What ice lets in as an array: as each coil alone."""
    pump = Supply.pump([(0.0, 3.5), (14 * LPM, 0.0)], hose_bore=0.0125, lift=0.0, T=285.0)
    s = batch(
        stages=(Stage(Source(pump, 285.0, Bath(10.0, 285.0, 8.0), returns=True)),),
        T_start=40.0 + ZERO,
    )
    share = np.array([0.4, 1.0, 2.5])
    three = Coils.of(**{n: np.repeat(getattr(coil(), n), 3) for n in vars(coil())})
    together = chill(three, replace(s, factors=Factors(ice=share)), FINER)
    alone = [chill(coil(), replace(s, factors=Factors(ice=float(x))), FINER) for x in share]
    np.testing.assert_allclose(together.time, [a.time[0] for a in alone], rtol=1e-4)
    np.testing.assert_allclose(together.ice, [a.ice[0] for a in alone], rtol=1e-4)
    assert together.time[0] > together.time[1] > together.time[2]


@pytest.mark.parametrize(("T_melt", "expected"), [(0.0, 18.2), (5.0, 17.1)])
def test_ice_for_a_whole_batch(T_melt: float, expected: float) -> None:
    """19.88 kg of 12 degP from 98 to 20 degC, no loss: 18.2 kg where the melt leaves at 0 degC, 17.1 kg where
    it leaves at 5 degC (own model)."""
    x, w = np.polynomial.legendre.leggauss(12)
    T = 59.0 + ZERO + 39.0 * x
    heat = 19.88 * 39.0 * float((w * wort.heat_capacity(T, 12.0)).sum())
    assert Bath(0.0, ZERO, 99.0).melted(heat, T_melt + ZERO) == pytest.approx(expected, abs=0.1)


def test_cooling_the_bath_itself_costs_ice() -> None:
    """12 L of water from 12 to 1 degC: 1.6 kg (own figure)."""
    assert Bath(12.0, 12.0 + ZERO, 5.0).melted(0.0, 1.0 + ZERO) == pytest.approx(1.6, abs=0.05)


@given(
    st.floats(1.0, 40.0), st.floats(1.5, 30.0), st.floats(0.5, 30.0), st.floats(0.0, 2e7), st.floats(0.5, 1.0)
)
@settings(max_examples=count(60, 1000), deadline=None)
def test_a_bath_keeps_its_heat(m: float, T_w: float, ice: float, E: float, part: float) -> None:
    """Water and melt hold what came in; melted ice never falls as heat comes in."""
    bath = Bath(m, T_w + ZERO, ice)
    if bath.mixed(E) > 90.0 + ZERO:
        return
    T, earlier = (bath.temperature(e, 300.0, 95.0 + ZERO) for e in (E, part * E))
    melted = float(bath.melted(E, T))
    held = (m + melted) * float(liquid_heat(T)) + melted * ICE_MELTING_HEAT
    assert held == pytest.approx(m * float(liquid_heat(T_w + ZERO)) + E, rel=1e-4, abs=2e3)
    assert bath.melted(part * E, earlier) <= melted + 1e-3


def test_liquid_heat_and_temperature_undo_each_other() -> None:
    T = np.linspace(ZERO, ZERO + 99.0, 23)
    np.testing.assert_allclose(liquid_temperature(liquid_heat(T)), T, atol=2e-4)


# --- pumps and supplies -----------------------------------------------------------------------------------


@given(
    st.lists(st.tuples(st.floats(0.5, 6.0), st.floats(0.05, 2.0)), min_size=1, max_size=6),
    st.floats(4e-3, 14e-3),
    st.floats(2.0, 30.0),
    st.floats(275.0, 350.0),
)
@settings(max_examples=count(60, 1000), deadline=None)
@example([(4.0, 1.0), (6.0, 1.0), (1.0, 2.0), (1.0, 0.5)], 0.01171875, 2.0, 275.0)  # across a steep bend
def test_flow_is_the_root_of_any_falling_curve(
    steps: list[tuple[float, float]], d_i: float, length: float, T: float
) -> None:
    flows, heads = [0.0], [sum(fall for _, fall in steps) + 0.5]
    for more, fall in steps:
        flows.append(flows[-1] + more * LPM)
        heads.append(heads[-1] - fall)
    pump = Supply.pump(list(zip(flows, heads, strict=True)), hose_bore=0.0125, lift=0.0, T=T)
    circuit = Circuit.of(pump, np.array([d_i]), np.array([0.25]), np.array([length]))
    V = float(circuit.flow(np.array([T]), rounds=12)[0])

    def surplus(flow: float) -> float:
        p, k = pump.at(np.array(flow))
        rho = float(water.density(T))
        v, v_hose = (4.0 * flow / (np.pi * d**2) for d in (d_i, 0.0125))
        f = float(friction.f_straight_smooth(rho * v_hose * 0.0125 / float(water.viscosity(T))))
        hose = (K_EXIT + f * 3.0 / 0.0125) * 0.5 * rho * v_hose**2
        coil_and_ends = (
            float(pressure_drop_tube(flow, T, d_i, 0.25, length)) + float(circuit.K[0]) * 0.5 * rho * v**2
        )
        return float(p - k * flow**2) - hose - coil_and_ends

    assert V == pytest.approx(brentq(surplus, 1e-9, 1.0), rel=1e-5)


def test_ice_through_a_weak_pump_can_lose_to_the_tap() -> None:
    """A constant 40 kPa gives 3.1 L/min through 15 m of 3/8 in (own figure); from 98 to 30 degC that loses to
    a tap of 12 degC at 8 L/min even with ice water of 1 degC, and wins below."""
    weak = Supply(40e3, 0.0, 1.0, hose_length=0.0)
    lake = Bath(1000.0, 274.15, 500.0)
    iced = (Stage(Source(weak, 274.15, lake, returns=True)),)
    tap = one_tap(12.0 + ZERO, fixed_flow(8.0))
    c, s = coil(), batch(mixing=Mixing.of("steady"), T_target=30.0 + ZERO)
    flow = Circuit.of(weak, c.d_i, c.D_c, c.tube_length).flow(np.array([288.15]))[0] / LPM
    assert flow == pytest.approx(3.1, rel=0.05)
    slow, fast = (chill(c, replace(s, stages=stages), FINER).time[0] for stages in (iced, tap))
    assert slow > fast
    low = replace(s, T_start=20.0 + ZERO, T_target=14.0 + ZERO)
    slow, fast = (chill(c, replace(low, stages=stages), FINER).time[0] for stages in (tap, iced))
    assert slow > fast


# --- pre-cooling coil ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("moved", "expected"), [(False, 10.3), (True, 8.6)])
def test_precooling_coil(moved: bool, expected: float) -> None:
    """7.6 m of 3/8 in at 8 L/min in a bath of 2 degC: tap water of 12 degC leaves at 10.3 degC, at 8.6 degC
    where the ice water is kept moving (own model)."""
    small = Precooler(9.525e-3, 7.905e-3, 339.0, 0.2, 7.6, moved)
    source = Source(fixed_flow(8.0), 12.0 + ZERO, Bath(10.0, 2.0 + ZERO), precooler=small)
    assert source.inlet(0.0, 8.0 * LPM, 0.0, ZERO + 40.0) == pytest.approx(expected + ZERO, abs=0.1)


def test_precooling_takes_ice_for_what_it_takes_from_the_water() -> None:
    small = Precooler(9.525e-3, 7.905e-3, 339.0, 0.2, 7.6, True)
    bath = Bath(10.0, 1.0 + ZERO, 200.0)
    tap = Supply.tap(static_pressure=3e5, open_flow=10 * LPM, hose_bore=0.0125)
    plain = chill(coil(), batch(T_in=27.0 + ZERO, supply=tap, T_target=30.0 + ZERO), FINER)
    source = Source.precooled(tap, 27.0 + ZERO, bath, small)
    cooled = chill(coil(), batch(stages=(Stage(source),), T_target=30.0 + ZERO), FINER)
    assert cooled.time[0] < plain.time[0] and cooled.ice[0] > 1.0
    assert (
        Circuit.of(source.supply, *(np.array([v]) for v in (7.9e-3, 0.25, 15.0))).flow(np.array([300.0]))[0]
        < (Circuit.of(tap, *(np.array([v]) for v in (7.9e-3, 0.25, 15.0))).flow(np.array([300.0]))[0])
    )


# --- partial boil -------------------------------------------------------------------------------------------


def test_partial_boil_needs_less() -> None:
    """10 L hot and 10 L at 5 degC to 20 degC: the wort need only come to 35-37 °C (own figure), and the mix's
    heat balance closes with both volumes' masses."""
    T = chilled_to(0.010, 12.0, 98.0 + ZERO, 20.0 + ZERO, TopUp(volume=0.010, temperature=5.0 + ZERO))
    assert 35.0 < T - ZERO < 37.0
    hot = 0.010 * float(wort.density(98.0 + ZERO, 12.0))
    cold = 0.010 * float(water.density(5.0 + ZERO))
    assert hot == pytest.approx(10.07, abs=0.05) and cold == pytest.approx(10.0, abs=0.01)
    x, w = np.polynomial.legendre.leggauss(12)
    middle, half = 0.5 * (T + 20.0 + ZERO), 0.5 * (T - 20.0 - ZERO)
    given_up = hot * half * float((w * wort.heat_capacity(middle + half * x, 12.0)).sum())
    taken = cold * float(water.enthalpy(20.0 + ZERO) - water.enthalpy(5.0 + ZERO))
    assert given_up == pytest.approx(taken, rel=1e-9)


def test_top_up_may_cool_enough_or_even_warm() -> None:
    plenty = TopUp(volume=0.2, temperature=2.0 + ZERO)
    assert chilled_to(0.010, 12.0, 98.0 + ZERO, 20.0 + ZERO, plenty) == 98.0 + ZERO
    warm = TopUp(volume=0.005, temperature=30.0 + ZERO)
    assert chilled_to(0.010, 12.0, 98.0 + ZERO, 20.0 + ZERO, warm) < 20.0 + ZERO
    assert chilled_to(0.010, 12.0, 98.0 + ZERO, 20.0 + ZERO, None) == 20.0 + ZERO


# --- two layers ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("apart", "expected"), [(1.0, 0.85), (1.5, 0.85), (2.25, 0.925), (3.0, 1.0), (5.0, 1.0)]
)
def test_layers_crowd_each_other(apart: float, expected: float) -> None:
    """0.85 up to 1.5 diameters between centres, linear to 1 at 3 (own judgement)."""
    assert layers.film_share(0.20, 0.20 + 2 * apart * 0.01, 0.01) == pytest.approx(expected)


def test_mean_speed_lies_between() -> None:
    assert layers.mean_speed_share(0.0, 5.0) == 1.0
    assert layers.mean_speed_share(5.0, 0.0) == pytest.approx(0.7)
    assert 0.8 < layers.mean_speed_share(5.0, 6.0) < 0.9
