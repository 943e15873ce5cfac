"""What must hold of any chill, whatever the coil: properties over random coils, batches and taps.

None of these needs a source: they follow from the balances themselves, or from the limits the published
formulas are known to have.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from tiers import count
from usual import LPM, ZERO, batch, coil, fixed_flow, on_tap

from optichill.correlations import friction, inside_film, outside_film
from optichill.errors import PropertyRange
from optichill.properties import water, wort
from optichill.thermal import exchanger, film_tables
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.batch_time import batch_time_Kern
from optichill.thermal.coil_performance import CONVERGED, SEARCH, CoilPerformance, Coils, Numerics
from optichill.thermal.cooldown import LONGEST, chill, ends
from optichill.thermal.hydraulics import Circuit
from optichill.thermal.march import heat_given_up, march
from optichill.thermal.priors import Factors
from optichill.thermal.supply import Supply

FINE = Numerics(nodes=12, segments=8, sweeps=4)
WORDS = ("left alone", "now and then", "steady", "whirlpool pump", "vigorous")
QUICK = settings(max_examples=count(12, 400), deadline=None, suppress_health_check=[HealthCheck.too_slow])
FEW = settings(max_examples=count(2, 40), deadline=None, suppress_health_check=[HealthCheck.too_slow])


def real(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def coils(draw: st.DrawFn) -> Coils:
    d_o = draw(real(5e-3, 20e-3))
    length = draw(real(3.0, 30.0))
    return coil(
        d_o=d_o,
        d_i=d_o * draw(real(0.75, 0.93)),
        k=draw(st.sampled_from([14.0, 15.0, 339.0])),
        D_c=draw(real(0.12, 0.45)),
        pitch=d_o * draw(real(1.0, 3.0)),
        wetted_length=length * draw(real(0.5, 1.0)),
        tube_length=length,
        metal_capacity=draw(real(0.0, 4000.0)),
    )


@st.composite
def batches(draw: st.DrawFn) -> Scenario:
    T_in = draw(real(1.0, 25.0)) + ZERO
    T_target = T_in + draw(real(2.0, 20.0))
    return batch(
        volume=draw(real(5e-3, 80e-3)),
        plato=draw(real(0.0, 25.0)),
        T_start=draw(real(70.0, 100.0)) + ZERO,
        T_target=T_target,
        T_in=T_in,
        T_ambient=draw(real(-5.0, 40.0)) + ZERO,
        kettle_diameter=draw(real(0.25, 0.6)),
        supply=Supply.tap(
            static_pressure=draw(real(0.5e5, 6e5)),
            open_flow=draw(real(4.0, 25.0)) * LPM,
            hose_bore=draw(real(8e-3, 20e-3)),
        ),
        mixing=Mixing.of(draw(st.sampled_from(WORDS))),
        lid=draw(st.booleans()),
    )


# --- the whole chill ------------------------------------------------------------------------------------


@QUICK
@given(coils(), batches())
def test_no_design_beats_its_own_flow(c: Coils, s: Scenario) -> None:
    result = chill(c, s, FINE)
    assert (result.time >= result.limit_time).all()
    assert (result.water >= result.limit_water).all()
    assert (result.time > 0.0).all() and (result.water > 0.0).all()


@QUICK
@given(coils(), batches())
def test_water_warms_but_never_above_the_wort(c: Coils, s: Scenario) -> None:
    T = np.linspace(s.T_in + 0.5, s.T_start, 9)[:, None]
    for numerics in (SEARCH, FINE):
        e = CoilPerformance(c, s, numerics).at(T)
        assert (e.T_out >= s.T_in).all() and (e.T_out <= T).all()
        assert (e.Q > 0.0).all() and (e.U > 0.0).all() and (e.V > 0.0).all()


@QUICK
@given(coils(), batches())
def test_heat_is_what_the_water_carries_and_what_the_tube_lets_through(c: Coils, s: Scenario) -> None:
    """Q = V rho (h_out - h_in) = U A x log-mean difference: two balances on the same coil.

    In one segment U is one number, so that the second holds but for c_p(T), under half a percent here.
    """
    s = replace(s, mixing=Mixing.of("steady"))
    T = np.linspace(s.T_in + 3.0, s.T_start, 5)[:, None]
    e = CoilPerformance(c, s, Numerics(segments=1, sweeps=2, exact=True)).at(T)
    carried = e.V * water.density(s.T_in) * (water.enthalpy(e.T_out) - water.enthalpy(s.T_in))
    np.testing.assert_allclose(e.Q, carried, rtol=1e-6)
    warm, cool = T - s.T_in, T - e.T_out
    unsaturated = (cool > 1e-6 * warm).all(axis=1)
    NTU = np.log(warm[unsaturated] / cool[unsaturated])
    through = e.U[unsaturated] * np.pi * c.d_o * c.wetted_length * (e.T_out - s.T_in)[unsaturated] / NTU
    np.testing.assert_allclose(e.Q[unsaturated], through, rtol=5e-3)


@FEW
@given(st.lists(coils(), min_size=4, max_size=4), batches())
def test_march_is_monotone_closed_and_meets_the_quadrature(four: list[Coils], s: Scenario) -> None:
    """Four coils march together for little more than the price of one."""
    c = Coils.of(**{n: np.concatenate([getattr(one, n) for one in four]) for n in Coils.__dataclass_fields__})
    numerics = Numerics(nodes=32, segments=2, sweeps=1, exact=True)
    c = c.take(np.flatnonzero(np.isfinite(chill(c, s, numerics).time)))
    assume(len(c) > 0)
    whole = chill(c, s, numerics)
    m = march(c, s, numerics, rtol=1e-8)
    for i, time in enumerate(m.time):
        T = m.pieces[0].at(np.linspace(0.0, time, 200))[0][i]
        assert T[0] == s.T_start and (np.diff(T) < 0.0).all()
    given_up = sum(heat_given_up(c, s, m))
    np.testing.assert_allclose(m.coolant + m.ambient, given_up, rtol=1e-6)
    np.testing.assert_allclose(m.T_end, s.T_target, rtol=1e-9)
    np.testing.assert_allclose(m.time, whole.time, rtol=1e-4)
    np.testing.assert_allclose(m.water, whole.water, rtol=1e-4)


@QUICK
@given(coils(), batches(), real(3.0, 15.0), real(1.05, 3.0))
def test_longer_tube_never_slower_at_the_same_flow(c: Coils, s: Scenario, q: float, more: float) -> None:
    """Same spacing, coil diameter and flow, all wetted, metal left out; else a longer tube may well lose."""
    length = c.tube_length * np.array([1.0, more])
    bare = {"wetted_length": length, "tube_length": length, "metal_capacity": np.zeros(2)}
    both = Coils.of(**({n: getattr(c, n) for n in Coils.__dataclass_fields__} | bare))
    result = chill(both, on_tap(s, supply=fixed_flow(q)), FINE)
    assert result.time[1] <= result.time[0] * (1.0 + 1e-6) or np.isinf(result.time).all()


@QUICK
@given(coils(), batches(), real(0.5, 10.0))
def test_colder_tap_never_slower(c: Coils, s: Scenario, colder: float) -> None:
    cold = on_tap(s, T_in=max(s.T_in - colder, ZERO + 0.1))
    assert (chill(c, cold, FINE).time <= chill(c, s, FINE).time * (1.0 + 1e-6)).all()


@QUICK
@given(coils(), batches())
def test_stirring_never_slower(c: Coils, s: Scenario) -> None:
    times = [chill(c, replace(s, mixing=Mixing.of(how)), FINE).time[0] for how in (*WORDS, 0.4)]
    for calmer, livelier in zip(times, times[1:], strict=False):
        assert livelier <= calmer * (1.0 + 1e-6)


def scaled(name: str, factor: float) -> Callable[[Coils, Scenario], tuple[Coils, Scenario]]:
    return lambda c, s: (replace(c, **{name: getattr(c, name) * factor}), s)


def with_scenario(**changes: object) -> Callable[[Coils, Scenario], tuple[Coils, Scenario]]:
    return lambda c, s: (c, replace(s, **changes))


def warmer(name: str, by: float) -> Callable[[Coils, Scenario], tuple[Coils, Scenario]]:
    return lambda c, s: (c, replace(s, **{name: getattr(s, name) + by}))


SLOWER: dict[str, Callable[[Coils, Scenario], tuple[Coils, Scenario]]] = {
    "more coil metal": lambda c, s: (replace(c, metal_capacity=c.metal_capacity + 2000.0), s),
    "worse conductor": scaled("k", 0.05),
    "tighter turns": lambda c, s: (replace(c, pitch=c.d_o), s),
    "less of it wetted": scaled("wetted_length", 0.8),
    "more wort": lambda c, s: (c, replace(s, volume=1.2 * s.volume)),
    "colder target": warmer("T_target", -1.0),
    "heavier kettle": with_scenario(kettle_metal_mass=60.0),
    "warmer room": warmer("T_ambient", 10.0),
    "thicker fouling": with_scenario(factors=Factors(fouling=2e-4)),
    "weaker still film": with_scenario(factors=Factors(still=0.55)),
    "weaker inside film": with_scenario(factors=Factors(inner=0.8)),
    "rougher tube": with_scenario(factors=Factors(friction=1.5)),
}


@pytest.mark.parametrize("name", SLOWER)
@settings(max_examples=count(5, 150), deadline=None)
@given(c=coils(), s=batches())
def test_what_must_slow_a_chill(name: str, c: Coils, s: Scenario) -> None:
    assert (chill(*SLOWER[name](c, s), FINE).time >= chill(c, s, FINE).time * (1.0 - 1e-6)).all()


def test_long_tube_meets_the_limit_of_its_flow() -> None:
    """With 400 m of tube the water leaves at wort temperature: nothing faster is possible at that flow."""
    result = chill(coil(wetted_length=400.0, tube_length=400.0), batch(), CONVERGED)
    np.testing.assert_allclose(result.time, result.limit_time, rtol=2e-3)
    np.testing.assert_allclose(result.water, result.limit_water, rtol=2e-3)


def test_limit_in_one_line() -> None:
    """Constant c and no metal: t = M c/(m c_c) ln(...), the batch formula with a perfect coil.

    Water and wort of 0 degP between 40 and 60 degC, where c_p changes by 0.2 %; room at the wort's mean.
    """
    s = batch(
        plato=0.0,
        T_start=60.0 + ZERO,
        T_target=50.0 + ZERO,
        T_in=40.0 + ZERO,
        T_ambient=55.0 + ZERO,
        kettle_metal_mass=0.0,
        lid=True,
    )
    least = chill(coil(metal_capacity=0.0), s, CONVERGED).limit_time[0]
    by_hand = 20e-3 * 983.2 / (8.0 * LPM * 992.2) * np.log(20.0 / 10.0)  # steam-table densities
    assert least == pytest.approx(by_hand, rel=3e-3)


# --- the closed batch form ------------------------------------------------------------------------------

C_BATCH, C_COOLANT, T_HOT, T_COLD, T_TAP = 78_000.0, 558.0, 98.0, 25.0, 12.0


@pytest.mark.parametrize("UA", [20.0, 300.0, 1200.0, 8000.0])
def test_batch_formula_solves_its_own_differential_equation(UA: float) -> None:
    """dT/dt by the log-mean difference of the exchanger, marched; the formula knows only exponentials."""

    def rate(_: float, T: np.ndarray) -> np.ndarray:
        # The outlet such that what the tube lets through is what the water carries (bisection).
        low, high = T_TAP, float(T[0]) - 1e-12
        for _ in range(80):
            T_out = 0.5 * (low + high)
            mean = (T_out - T_TAP) / np.log((T[0] - T_TAP) / (T[0] - T_out))
            low, high = (T_out, high) if UA * mean > C_COOLANT * (T_out - T_TAP) else (low, T_out)
        return np.array([-C_COOLANT * (T_out - T_TAP) / C_BATCH])

    def done(_: float, T: np.ndarray) -> float:
        return float(T[0] - T_COLD)

    done.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(rate, (0.0, 1e6), [T_HOT], events=done, rtol=1e-9, atol=1e-9)
    ours = float(batch_time_Kern(C_BATCH, UA, C_COOLANT, T_HOT, T_COLD, T_TAP))
    assert ours == pytest.approx(run.t_events[0][0], rel=1e-6)


def test_chill_falls_back_on_the_batch_formula_where_properties_hardly_change() -> None:
    """Over 3 K with the room at the wort's temperature, U and all properties are nearly constant.

    UA, the water's capacity rate and M c go in by hand, U alone is the coil's own at the middle.
    """
    s = batch(
        plato=0.0,
        T_start=61.5 + ZERO,
        T_target=58.5 + ZERO,
        T_in=20.0 + ZERO,
        T_ambient=60.0 + ZERO,
        lid=True,
        kettle_metal_mass=4.0,
        mixing=Mixing.of("vigorous"),
    )
    c = coil()
    U = float(CoilPerformance(c, s, CONVERGED).at(np.array([[60.0 + ZERO]])).U[0, 0])
    mass = 20e-3 * 982.4  # water at 61.5 degC
    by_hand = batch_time_Kern(
        mass * 4185.0 + 4.0 * 500.0 + 1140.0,
        U * np.pi * 9.525e-3 * 15.0,
        8.0 * LPM * 998.2 * 4181.0,
        61.5,
        58.5,
        20.0,
    )
    # U differs along the tube and the formula takes its plain mean: 1 %.
    assert chill(c, s, CONVERGED).time[0] == pytest.approx(float(by_hand), rel=0.01)


def test_kettle_alone_cools_at_its_own_pace() -> None:
    """A coil with next to no wetted tube: the time is the integral over the kettle's loss alone."""
    s = batch(T_target=95.0 + ZERO, kettle_metal_mass=0.0, mixing=Mixing.of("left alone"))
    c = coil(wetted_length=1e-9, metal_capacity=0.0)

    def pace(T: float) -> float:
        return s.mass * float(wort.heat_capacity(T, 12.0)) / float(s.loss(np.array(T)))

    assert chill(c, s, FINE).time[0] == pytest.approx(quad(pace, s.T_target, s.T_start)[0], rel=1e-5)


# --- continuity -----------------------------------------------------------------------------------------


@QUICK
@given(real(1.5, 13.0), real(0.012, 0.2))
def test_inside_film_is_continuous(Pr: float, r: float) -> None:
    for Re in (float(inside_film.Re_crit_helical_Schmidt(r, 1.0)), inside_film.RE_TURBULENT):
        below, above = inside_film.Nu_helical_Gnielinski(Re * np.array([1 - 1e-9, 1 + 1e-9]), Pr, r, 1.0)
        assert above == pytest.approx(below, rel=1e-7)


def h_outside(c: Coils, speed: float, T_b: float = 60.0, T_wall: float = 40.0) -> float:
    wall = exchanger.Wall.of(
        d_o=c.d_o,
        d_i=c.d_i,
        k=c.k,
        D_c=c.D_c,
        pitch=c.pitch,
        wetted_length=c.wetted_length,
        factors=Factors(),
    )
    films = film_tables.wort_films(12.0, True)
    ways = (((speed, 1.0),) if speed > 0.0 else (),)
    (h,) = wall.outside(np.array([T_b + ZERO]), np.array([T_wall + ZERO]), films, ways)
    return float(h[0])


@QUICK
@given(coils(), st.sampled_from([0.0, 0.05]))
def test_outside_film_is_continuous_in_spacing_and_speed(c: Coils, speed: float) -> None:
    at_two = [h_outside(replace(c, pitch=c.d_o * s), speed) for s in (2 - 1e-7, 2.0, 2 + 1e-7)]
    np.testing.assert_allclose(at_two, at_two[0], rtol=1e-8)
    # Churchill & Bernstein keep Nu = 0.3 at rest: cubed, a ten-thousandth of the still film at most.
    assert h_outside(c, 1e-9) == pytest.approx(h_outside(c, 0.0), rel=1e-3)


def test_outside_film_against_its_parts() -> None:
    """Length scale d_o, film temperature 50 degC, both spacing factors and the cube rule, put together here.

    s = 1.25: 1 - 0.56 x 0.75^1.5 and 1 - 0.36 x 0.75^1.5.
    """
    c = coil(pitch=1.25 * 9.525e-3)
    T, d = 50.0 + ZERO, 9.525e-3
    rho, mu = float(wort.density(T, 12.0)), float(wort.viscosity(T, 12.0))
    k, cp = float(wort.conductivity(T, 12.0)), float(wort.heat_capacity(T, 12.0))
    Pr = cp * mu / k
    Ra = 9.80665 * float(wort.expansion(T, 12.0)) * 20.0 * d**3 * rho**2 * cp / (mu * k)
    still = 0.85 * 0.63627 * float(outside_film.Nu_horizontal_cylinder_Churchill_Chu(Ra, Pr))
    moving = 0.76617 * float(outside_film.Nu_crossflow_Churchill_Bernstein(rho * 0.05 * d / mu, Pr))
    assert h_outside(c, 0.0) == pytest.approx(still * k / d, rel=1e-4)
    assert h_outside(c, 0.05) == pytest.approx((still**3 + moving**3) ** (1 / 3) * k / d, rel=1e-4)


def resistances_by_hand(c: Coils, s: Scenario, T_b: float, T_c: float, m_dot: float) -> float:
    """U [W/m2K] of a short piece of tube: the heat per metre that wort, wall and water agree on (Brent).

    Everything per metre of tube, each film on its own surface; no area ratio is ever formed.
    """
    d_o, d_i, k = float(c.d_o[0]), float(c.d_i[0]), float(c.k[0])
    mu, k_c = float(water.viscosity(T_c)), float(water.conductivity(T_c))
    Re = 4.0 * m_dot / (np.pi * d_i * mu)
    Nu = float(inside_film.Nu_helical_Gnielinski(Re, water.prandtl(T_c), d_i, c.D_c[0]))

    def left_over(T_surface: float) -> float:
        h_o = h_outside(c, s.mixing.speed, T_b - ZERO, T_surface - ZERO)
        per_metre = h_o * np.pi * d_o * (T_b - T_surface)
        T_under_dirt = T_surface - per_metre * 4e-5 / (np.pi * d_o)
        T_bore = T_under_dirt - per_metre * np.log(d_o / d_i) / (2.0 * np.pi * k)
        h_i = Nu * float(inside_film.wall_factor_VDI(water.prandtl(T_c), water.prandtl(T_bore))) * k_c / d_i
        return per_metre - h_i * np.pi * d_i * (T_bore - T_c)

    # The bore cannot be colder than the water, nor the surface warmer than the wort.
    most = 0.999 * (T_b - T_c)
    coldest = T_b - most
    while True:  # walk up until the bore is liquid water, then let Brent finish
        try:
            left_over(coldest)
            break
        except PropertyRange:
            coldest += 0.02 * (T_b - T_c)
    T_s = brentq(left_over, coldest, T_b - 1e-9, xtol=1e-10)
    h_o = h_outside(c, s.mixing.speed, T_b - ZERO, T_s - ZERO)
    return h_o * (T_b - T_s) / (T_b - T_c)


@pytest.mark.parametrize("mixing", ["left alone", "steady", "vigorous"])
@pytest.mark.parametrize("k", [15.0, 339.0])
@pytest.mark.parametrize("bore", [6e-3, 7.9e-3])
def test_short_tube_is_wort_dirt_wall_and_water_in_series(mixing: str, k: float, bore: float) -> None:
    """A millimetre of tube does not warm its water: U is the plain balance of four resistances."""
    c, s = coil(wetted_length=1e-3, k=k, d_i=bore), batch(mixing=Mixing.of(mixing))
    T_b = 70.0 + ZERO
    e = CoilPerformance(c, s, Numerics(segments=1, sweeps=12, exact=True)).at(np.array([[T_b]]))
    by_hand = resistances_by_hand(c, s, T_b, s.T_in, float(e.m_dot[0, 0]))
    assert e.U[0, 0] == pytest.approx(by_hand, rel=1e-4)
    assert e.Q[0, 0] == pytest.approx(by_hand * np.pi * 9.525e-3 * 1e-3 * (T_b - s.T_in), rel=1e-3)


# --- limits of the formulas -----------------------------------------------------------------------------


def test_straight_tube_limits() -> None:
    """r -> 0. Ito's form stays 4 % below Blasius and Schmidt's film keeps a term in Re: both as published."""
    r, Re, Pr = 1e-14, np.geomspace(200.0, 2000.0, 7), 6.0
    np.testing.assert_allclose(inside_film.Re_crit_helical_Schmidt(r, 1.0), 2300.0, rtol=1e-4)
    np.testing.assert_allclose(friction.f_laminar_helical_White(Re, r, 1.0), 64.0 / Re, rtol=1e-12)
    film = inside_film.HelicalFilm.of(1e-30, 1.0)
    limit = 3.66 + 0.08 * np.sqrt(Re) * Pr ** (1 / 3)
    np.testing.assert_allclose(film.laminar(Re, np.cbrt(Pr)), limit, rtol=1e-4)
    fast = np.geomspace(2.2e4, 1e5, 7)
    np.testing.assert_allclose(
        friction.f_turbulent_helical_Ito(fast, r, 1.0) / (0.3164 * fast**-0.25), 0.304 / 0.3164, rtol=1e-5
    )
    # Gnielinski's own friction factor is inside his Nu: solve it out of Nu at Pr = 1, where Nu = f/8 Re.
    f = 8.0 * inside_film.Nu_turbulent_helical_Gnielinski(fast, 1.0, r, 1.0) / fast
    np.testing.assert_allclose(f, 0.3164 * fast**-0.25, rtol=1e-5)


def test_friction_white_starts_at_its_dean_number() -> None:
    r = 0.04
    Re = np.array([11.6 - 1e-9, 11.6 + 1e-9]) / np.sqrt(r)
    f = friction.f_laminar_helical_White(Re, r, 1.0) * Re
    np.testing.assert_allclose(f, 64.0, rtol=1e-6)


def test_flow_falls_back_on_the_supply_where_the_coil_takes_nothing() -> None:
    """A coil and outlet hose far wider than the flow needs leave the tap its open flow."""
    supply = Supply.tap(static_pressure=3e5, open_flow=10.0 * LPM, hose_bore=0.2)
    V = Circuit.of(supply, np.array([0.2]), np.array([2.0]), np.array([0.1])).flow(np.array([288.15]))
    np.testing.assert_allclose(V, 10.0 * LPM, rtol=1e-6)


# --- arrays ---------------------------------------------------------------------------------------------

MANY = coil(
    d_o=np.array([6e-3, 9.525e-3, 12.7e-3, 15.9e-3]),
    d_i=np.array([4e-3, 7.905e-3, 11.1e-3, 13.8e-3]),
    k=np.array([339.0, 15.0, 339.0, 14.0]),
    pitch=np.array([6e-3, 14e-3, 26e-3, 40e-3]),
    wetted_length=np.array([4.0, 11.0, 15.0, 20.0]),
    tube_length=np.array([5.0, 15.0, 16.0, 20.0]),
)
TAP = Supply.tap(static_pressure=3e5, open_flow=10.0 * LPM, hose_bore=12.7e-3)


def told(result: object) -> list[str]:
    """The columns of a result, its stages aside."""
    return [name for name in vars(result) if name != "stages"]


@pytest.mark.parametrize("numerics", [SEARCH, FINE, CONVERGED])
def test_many_at_once_is_each_alone(numerics: Numerics) -> None:
    s = batch(supply=TAP, mixing=Mixing.of("now and then"))
    together, at_ends = chill(MANY, s, numerics), ends(MANY, s, numerics)
    for i in range(len(MANY)):
        for all_of_them, function in ((together, chill), (at_ends, ends)):
            alone = function(MANY.take([i]), s, numerics)
            for name in told(alone):
                np.testing.assert_allclose(getattr(all_of_them, name)[i], getattr(alone, name)[0], rtol=1e-12)


@pytest.mark.parametrize("column", list(Coils.__dataclass_fields__))
def test_a_coil_with_nan_comes_out_nan_and_spares_the_others(column: str) -> None:
    broken = getattr(MANY, column).copy()
    broken[1] = np.nan
    coils_, s = replace(MANY, **{column: broken}), batch(supply=TAP)
    for function in (chill, ends):
        with_nan, whole = function(coils_, s), function(MANY, s)
        for name in told(whole):
            got, expected = getattr(with_nan, name), getattr(whole, name)
            assert np.isnan(got[1]), name
            np.testing.assert_array_equal(np.delete(got, 1), np.delete(expected, 1))


def test_formulas_let_nan_through() -> None:
    nan = np.array([np.nan, 1.0])
    for out in (
        inside_film.Nu_helical_Gnielinski(nan * 5e3, 7.0, 0.03, 1.0),
        outside_film.Nu_horizontal_cylinder_Churchill_Chu(nan * 1e6, 7.0),
        outside_film.Nu_crossflow_Churchill_Bernstein(nan * 1e3, 7.0),
        outside_film.Nu_mixed_Churchill(nan, 3.0),
        outside_film.spacing_factor(nan, 0.5),
        friction.f_helical(nan * 5e3, 0.03, 1.0),
        friction.f_straight_smooth(nan * 5e3),
        water.density(nan * 300.0),
        wort.viscosity(nan * 300.0, 12.0),
        wort.viscosity(300.0, nan * 12.0),
        wort.plato_from_SG(nan),
        batch_time_Kern(nan * 8e4, 500.0, 600.0, 98.0, 25.0, 12.0),
    ):
        assert np.isnan(out[0]) and np.isfinite(out[1])


def test_inputs_are_never_written_to() -> None:
    """Every array read-only: an attempt to write into one would raise."""
    frozen = {}
    for name in Coils.__dataclass_fields__:
        frozen[name] = getattr(MANY, name).copy()
        frozen[name].flags.writeable = False
    coils_ = Coils(**frozen)
    for mixing in WORDS:
        s = batch(supply=TAP, mixing=Mixing.of(mixing))
        chill(coils_, s)
        ends(coils_, s)
    march(coils_.take([1, 2]), batch(supply=TAP))
    T = np.linspace(280.0, 370.0, 4)
    T.flags.writeable = False
    CoilPerformance(coils_, batch(supply=TAP)).at(T[:, None])
    for function in (water.density, water.viscosity, water.enthalpy, water.saturation_pressure):
        function(T)
    inside_film.Nu_helical_Gnielinski(T * 100.0, T, frozen["d_i"], frozen["D_c"])
    for name, column in frozen.items():
        np.testing.assert_array_equal(column, getattr(MANY, name))


# --- out of reach ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("below", [0.0, 1e-9, 3.0, 11.0])
def test_target_at_or_below_the_tap_is_out_of_reach(below: float) -> None:
    s = batch(T_target=12.0 + ZERO - below)
    result = chill(MANY, s)
    for name in ("time", "water", "limit_time", "limit_water"):
        assert np.isposinf(getattr(result, name)).all(), name
    assert all(np.isfinite(getattr(ends(MANY, s), name)).all() for name in ("outlet_start", "U_end"))


def test_room_that_heats_more_than_the_coil_cools() -> None:
    """A hot room and next to no coil: heat flows in, the target is never met, nothing warns."""
    weak = coil(wetted_length=np.array([1e-6, 15.0]))
    s = batch(T_start=40.0 + ZERO, T_target=30.0 + ZERO, T_ambient=50.0 + ZERO)
    result = chill(weak, s)
    assert np.isposinf(result.time[0]) and np.isposinf(result.water[0])
    assert np.isfinite(result.time[1])


@pytest.mark.parametrize("T_ambient", [-40.0, 0.0, 98.0, 110.0])
def test_odd_rooms(T_ambient: float) -> None:
    result = chill(MANY, batch(T_ambient=T_ambient + ZERO, supply=TAP))
    assert np.isfinite(result.time).all() and (result.time > 0.0).all()


def test_more_than_six_hours_is_out_of_reach() -> None:
    """Time goes as the batch: a batch that just fits six hours is told, a little more is not."""
    slow = coil(wetted_length=1.0, metal_capacity=0.0)
    s = batch(kettle_metal_mass=0.0, lid=True, kettle_diameter=0.3, volume=0.02)
    assert np.isfinite(chill(slow, s).time[0])
    low, high = 0.02, 5.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (
            (middle, high)
            if np.isfinite(chill(slow, replace(s, volume=middle)).time[0])
            else (
                low,
                middle,
            )
        )
    assert chill(slow, replace(s, volume=low)).time[0] == pytest.approx(LONGEST, rel=1e-6)
    assert chill(slow, replace(s, volume=high * 1.001)).time[0] == np.inf
    assert march(slow, replace(s, volume=high * 1.05)).time[0] == np.inf


# --- what a batch may ask ------------------------------------------------------------------------------


def test_swirl_never_slows_a_stronger_stir() -> None:
    def time(*mixing: object) -> float:
        return float(chill(coil(), batch(mixing=Mixing.of(*mixing)), CONVERGED).time[0])

    assert time("vigorous", 0.02) == pytest.approx(time("vigorous"), rel=1e-12)
    assert time("steady", 0.0) == pytest.approx(time("steady"), rel=1e-12)
    assert time("left alone", 0.3) < 0.8 * time("left alone")


def test_a_target_already_reached_takes_no_time() -> None:
    for target in (98.0, 99.0):
        assert chill(coil(), batch(T_start=98.0 + ZERO, T_target=target + ZERO)).time[0] == 0.0


@pytest.mark.parametrize("name", ["volume", "plato", "T_start", "T_in", "T_ambient", "kettle_diameter"])
def test_a_batch_must_be_finite(name: str) -> None:
    for wrong in (np.nan, np.inf):
        with pytest.raises(ValueError, match=name):
            batch(**{name: wrong})


def test_a_supply_must_push() -> None:
    with pytest.raises(ValueError, match="supply"):
        batch(supply=Supply(0.0, 1.0, 0.0125))
