"""Chill time, water and ice of a whole cooling plan, for all coils at once.

The wort temperature falls monotonically, so time is a quadrature over temperature, not a march in time:

    t = integral of (M c_w(T) + C_metal) / (Q_coil(T) + Q_loss(T)) dT

In u = ln(T - T_in) the integrand is smooth. Where the water keeps one temperature and the wort is one zone, a
few Gauss-Legendre nodes serve. Where a bath warms or wort is stranded above the coil, the integrand depends
on what came before: then the same integral is taken in steps, `stepping`. Nodes stand on axis 0, designs
last. `march` integrates the same physics in time, as the check.

Coils whose wort is left alone, or whose bath warms, share one set of steps when they are chilled together, so
that a time can shift by up to 0.25 % with the coils beside it. Stages that begin at different temperatures
are stepped apart: how warm a bath is at a wort temperature hangs on where the stage began.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import takewhile

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Index, Mask
from optichill.errors import Freezes, PropertyRange
from optichill.thermal import fillings, layered, stepping
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import (
    CONVERGED,
    SEARCH,
    CoilPerformance,
    Coils,
    Numerics,
    without_nan,
)
from optichill.thermal.performance_curve import MANY_FILLS
from optichill.thermal.sources import Source, Stage
from optichill.thermal.state import State

LONGEST = 6.0 * 3600.0
"""A chill that takes longer [s] counts as out of reach."""


@dataclass(frozen=True)
class StageEnd:
    """One stage of the plan when it was over; arrays of shape (designs,).

    T wort temperature (mass mean), T_bath that of the vessel and T_hottest its highest in any filling [K],
    time [s] of the stage (of a hold too), water to the drain and in the vessel [m3], melted ice and what is
    missing to keep the bath cold to the end [kg]; passed [s]: after how long a hold went below the target.
    T_bath is NaN where there is no vessel.
    """

    T: Array
    time: Array
    water: Array
    T_bath: Array
    T_hottest: Array
    melted: Array
    missing: Array
    passed: Array

    def take(self, chosen: ArrayLike) -> StageEnd:
        """The chosen designs."""
        return StageEnd(*(v[np.asarray(chosen)] for v in vars(self).values()))


@dataclass(frozen=True)
class Chill:
    """What a cool-down takes; arrays of shape (designs,).

    time [s] without holds, water [m3] down the drain and in vessels: inf where the target is out of reach,
    NaN where an input is. limit_time, limit_water: what the same flow would need if the water left at wort
    temperature. filled [m3] and iced [kg] into vessels, of stages that began. lost : share of the wort's
    heat that the kettle lost by itself. ice melted [kg]; T_top [K]: of the wort stranded above the coil, at
    the end; stages as they ended.
    """

    time: Array
    water: Array
    limit_time: Array
    limit_water: Array
    filled: Array
    iced: Array
    lost: Array
    ice: Array
    T_top: Array
    stages: tuple[StageEnd, ...]

    def take(self, chosen: ArrayLike) -> Chill:
        """The chosen designs."""
        at = np.asarray(chosen)
        columns = {n: v[at] for n, v in vars(self).items() if n != "stages"}
        return Chill(**columns, stages=tuple(s.take(at) for s in self.stages))


@dataclass(frozen=True)
class Ends:
    """The coil at the start and the end of the chill; arrays of shape (designs,).

    outlet_start [K], flow_start [m3/s], pressure_drop [Pa] of the coil with its risers, U_start, all as the
    first stage with water begins; U_end at T_target in the last [W/m2K on the wetted outside].
    """

    outlet_start: Array
    flow_start: Array
    pressure_drop: Array
    U_start: Array
    U_end: Array


@lru_cache(maxsize=16)
def _gauss(nodes: int) -> tuple[Array, Array]:
    """Nodes and weights of Gauss-Legendre on -1 to 1."""
    return np.polynomial.legendre.leggauss(nodes)


def quadrature(T_hot: ArrayLike, T_cold: ArrayLike, T_in: float, numerics: Numerics) -> tuple[Array, Array]:
    """Wort temperatures T [K] and weights [K] between two temperatures: Gauss-Legendre in ln(T - T_in).

    Shapes (nodes, 1), or (nodes, designs) where either temperature is an array.
    """
    T_hot, T_cold = (
        np.atleast_1d(np.asarray(T_hot, np.float64)),
        np.atleast_1d(np.asarray(T_cold, np.float64)),
    )
    u_hot, u_cold = np.log(T_hot - T_in), np.log(T_cold - T_in)
    x, w = _gauss(numerics.nodes_for(float((u_hot - u_cold).max()), T_in))
    half = 0.5 * (u_hot - u_cold)
    drive = np.exp(u_cold + half * (x[:, None] + 1.0))
    return T_in + drive, w[:, None] * half * drive


def chill(coils: Coils, scenario: Scenario, numerics: Numerics = SEARCH, longest: float = LONGEST) -> Chill:
    """Time, water and ice of the whole plan, all coils at once.

    A target at or below what the last stage cools with, or one where the coil brings nothing any more, is
    out of reach: time and water are inf; one that the wort has already reached takes no time. Coils with NaN
    anywhere come out NaN.

    Parameters
    ----------
    coils : Coils
        Shape (designs,), or (2, designs) of two tubes in parallel.
    scenario : Scenario
        The batch, its kettle and its plan.
    numerics : Numerics
        How finely: SEARCH, or CONVERGED where every digit counts.
    longest : float [s]
        What takes longer counts as out of reach.

    Returns
    -------
    Chill
        Arrays of shape (designs,).

    Raises
    ------
    PropertyRange
        Water, start or target outside the water table.

    Examples
    --------
    20 L from 98 to 25 degC on a tap of 12 degC, 15 m of 3/8 in copper and half of it, stirred all along.
    Common practice says 5-13 min for the whole, 1.4-2.2 times as long for the half at equal flow (M):

    >>> from optichill.thermal.batch import Mixing, one_tap
    >>> from optichill.thermal.supply import Supply
    >>> coils = Coils.of(
    ...     d_o=0.009525, d_i=0.007905, k=339.0, D_c=0.25, pitch=0.014, wetted_length=[15.0, 7.5],
    ...     tube_length=[15.0, 7.5], metal_capacity=[1140.0, 570.0])
    >>> steady = Supply(1e9, 1e9 / (8e-3 / 60) ** 2, hose_bore=0.0127)  # 8 L/min through anything
    >>> batch = Scenario(
    ...     volume=0.020, plato=12.0, T_start=371.15, T_target=298.15, T_ambient=293.15, kettle_diameter=0.36,
    ...     stages=one_tap(285.15, steady), mixing=Mixing.of("steady"))
    >>> whole, half = chill(coils, batch).time / 60
    >>> bool(5 < whole < 13), bool(1.4 < half / whole < 2.2)
    (True, True)
    """
    sound, safe = without_nan(coils)
    state = State.start(safe, scenario)
    ended = []
    for place, stage in enumerate(scenario.stages):
        state = state.between_stages()
        if stage.source is None:
            state = _held(state, safe, scenario, place)
        else:
            state = _cooled(state, safe, scenario, numerics, place).longer(scenario.factors.own, since=state)
        ended.append(_stage_end(state, stage))
    # A rough idea is a little too long at worst: it must not rule out what just comes in time.
    within = state.reached & (state.totals["time"] <= longest * (1.2 if numerics.sweeps == 0 else 1.0))
    columns: list[Array] = [
        np.where(within, state.totals[n], np.inf) for n in ("time", "water", "limit_time", "limit_water")
    ]
    columns += [state.totals["filled"], state.totals["iced"]]
    given_up = scenario.usual.capacity(np.array(0.5 * (scenario.T_start + scenario.T_target)))
    given_up = (given_up + safe.summed("metal_capacity")) * (scenario.T_start - scenario.T_target)
    columns.append(np.where(within, state.totals["lost"] / np.maximum(given_up, 1e-9), np.nan))
    columns.append(np.where(within, sum((e.melted for e in ended), np.zeros(len(safe))), np.nan))
    columns.append(np.where(within, state.T_top, np.nan))
    if not sound.all():
        columns = [np.where(sound, c, np.nan) for c in columns]
        ended = [StageEnd(*(np.where(sound, v, np.nan) for v in vars(e).values())) for e in ended]
    names = [n for n in Chill.__dataclass_fields__ if n != "stages"]
    return Chill(**dict(zip(names, columns, strict=True)), stages=tuple(ended))


SURELY = 0.82
"""Share of the bound below that is counted on."""


def throttled_at_least(known: Chill, x: float) -> tuple[Array, Array]:
    """Time [s] and water [m3] that the same coils surely need at x times the flow of a chill that is known.

    With e = Q/Q_limit at the known flow, x times of it takes up at most e_x = 1 - (1 - e)^(1/x) of its own
    limit, since U does not rise when water slows; so t >= t_limit/(x e_x). The mean of e is the harmonic one,
    on which 1/e_x is convex. What the kettle loses meanwhile, the water need not carry: the share lost grows
    with the time. NaN where the limit was not worked out.
    """
    e = np.clip(known.limit_time / known.time, 0.0, 1.0)
    e_x = np.maximum(-np.expm1(np.log(np.maximum(1.0 - e, 1e-12)) / x), 1e-12)
    without_loss = known.limit_time / (x * e_x)
    lost = np.clip(known.lost, 0.0, 0.9)
    time = without_loss / (1.0 - lost + lost * without_loss / known.time)
    time = SURELY * np.maximum(time, known.time)
    return time, time * x * known.limit_water / known.limit_time


def _held(state: State, coils: Coils, scenario: Scenario, place: int) -> State:
    """After the hold at that place of the plan, which says so where the wort would freeze."""
    try:
        return stepping.hold(state, coils, scenario, scenario.stages[place].hold)
    except PropertyRange:
        raise Freezes(place) from None


def _cooled(state: State, coils: Coils, scenario: Scenario, numerics: Numerics, place: int) -> State:
    """The state after the stage with water at that place of the plan."""
    stage = scenario.stages[place]
    source = stage.source
    assert source is not None
    aim = scenario.T_target if stage.until is None else stage.until
    T_end = np.minimum(aim, state.T)
    if (T_end >= state.T).all():
        return state
    # What lies at or below the water's own temperature is never met; work goes on with those that can be.
    state = state.unreached_where(T_end <= source.coldest)
    T_end = np.maximum(T_end, source.coldest + 1e-3)
    group = _groups(state, source, numerics)
    if group.size and group.max() > group.min():
        return _by_group(group, state, coils, scenario, numerics, place)
    deep = bool(group.any())
    layers = deep and _layers(source, numerics)
    if deep and not layers:
        numerics = replace(numerics, steps=DEEP_STEPS)
    fine = numerics
    if source.fills >= MANY_FILLS:
        steps = max(STEPS_OF_ALL / source.fills, FEWEST_STEPS)
        numerics = replace(numerics, steps=min(numerics.steps, steps))
    capacity = coils.summed("metal_capacity")
    if source.returns and source.fills == 1:
        state = state.unreached_where(_too_warm(state, scenario, source, capacity, T_end))
    kernel = CoilPerformance(coils, scenario, numerics, source, float(state.T.max()))
    parts = source.changes(state.T, T_end) if source.fills > 1 else [T_end]
    draw = None
    if source.returns and source.fills >= MANY_FILLS:
        draw = fillings.in_all(kernel, parts[0], float(T_end.min()), state.two_zones)
    # A coil that has nothing left to do has no vessel filled.
    begins = np.broadcast_to(T_end < state.T, (len(coils),))
    filled, iced = np.where(begins, source.filled, 0.0), np.where(begins, source.iced, 0.0)
    state = state.plus({"water": filled, "filled": filled, "limit_water": filled, "iced": iced})
    if draw is not None and fillings.alike(kernel, parts):
        return fillings.of_many(state, kernel, parts, draw, fine)
    for part in parts:
        state = state.fresh_bath()
        if source.steady and not state.two_zones:
            state = _by_quadrature(state, kernel, part)
        elif layers:
            state = layered.down(state, kernel, part)
        else:
            state = stepping.down(state, kernel, part, draw)
    return state


def _too_warm(state: State, scenario: Scenario, source: Source, capacity: Array, T_end: Array) -> Mask:
    """Where energy alone leaves a bath no colder than the wort shall be, however good the coil: with the heat
    that wort, kettle and coil give up at least, less what the kettle could lose in the longest chill."""
    assert source.bath is not None
    hot = np.broadcast_to(state.T, T_end.shape)
    least = np.minimum(scenario.capacity(hot), scenario.capacity(T_end)) + capacity
    lost = LONGEST * np.maximum(scenario.loss(hot), 0.0)
    return source.bath.mixed(least * (hot - T_end) - lost) >= T_end


STEPS_OF_ALL, FEWEST_STEPS = 48.0, 3.0
"""Steps that all fillings of a vessel share, each per factor of e, and the fewest of one."""

ALIKE = 1.0
"""Starts of a stage within this many kelvin share the path that a warming bath is thought to take [K]."""

DEEP_STEPS = 8.0
"""Steps of coils above which much wort is stranded (stepping.DEEP) and whose bath warms: the wort round such
a coil runs ahead of the mean to within a few kelvin of the water."""


def _layers(source: Source, numerics: Numerics) -> bool:
    """Whether wort in two zones is walked down by slopes."""
    return source.steady and not numerics.exact


def _groups(state: State, source: Source, numerics: Numerics) -> Index:
    """Which coils go through a stage together: by where they begin it, since on that hangs how warm a bath is
    at a wort temperature, and by how much wort is stranded above them."""
    depths: tuple[float, ...] = ()
    if source.returns and np.ptp(state.T) > 2.0 * ALIKE:
        return np.asarray((state.T - state.T.min()) / ALIKE, np.intp)
    if _layers(source, numerics):
        depths = (layered.THINNEST,)
    elif numerics.steps < DEEP_STEPS:
        depths = (stepping.DEEP,)
    return np.asarray(np.searchsorted(depths, state.stranded, side="right"), np.intp)


def _by_group(
    group: Index, state: State, coils: Coils, scenario: Scenario, numerics: Numerics, place: int
) -> State:
    """A stage for each group of coils by itself."""
    whole = state if state.T.size > 1 else replace(state, T=np.repeat(state.T, state.reached.size))
    places = [np.flatnonzero(group == g) for g in np.unique(group)]
    parts = [
        _cooled(whole.take(some), coils.take(some), scenario.take(some), numerics, place) for some in places
    ]
    return State.woven(parts, places)


def _by_quadrature(state: State, kernel: CoilPerformance, T_end: Array) -> State:
    """One zone, water of one temperature: time and water in closed nodes."""
    T, weight = quadrature(state.T, np.minimum(T_end, state.T), kernel.source.coldest, kernel.numerics)
    e = kernel.at(T)
    capacity, surface, wall = kernel.scenario.at(T, exact=kernel.numerics.exact or T.shape[-1] == 1)
    loss = surface + wall
    heat = (capacity + kernel.coil_capacity) * weight
    Q, Q_most = e.Q + loss, kernel.limit(T, e.V) + loss
    flows = (Q > 0.0).all(axis=0)
    dt = heat / np.where(Q > 0.0, Q, 1.0)
    dt_least = heat / np.where(Q_most > 0.0, Q_most, 1.0)
    sums = {
        "time": dt.sum(0),
        "water": (dt * e.V).sum(0),
        "limit_time": dt_least.sum(0),
        "limit_water": (dt_least * e.V).sum(0),
        "lost": (dt * loss).sum(0),
    }
    return replace(
        state.plus(sums), T=T_end, T_top=np.broadcast_to(T_end, flows.shape), reached=state.reached & flows
    )


def _stage_end(state: State, stage: Stage) -> StageEnd:
    """What is told of a stage, from the state at its end."""
    here, n = state.here, state.reached.size
    source = stage.source
    T = np.broadcast_to(state.T, (n,))
    none, zero = np.full(n, np.nan), np.zeros(n)
    if source is None or source.bath is None:
        return StageEnd(T, here["time"], here["water"], none, none, zero, zero, here.get("passed", none))
    bath = source.bath
    # A stage that never began has its bath as it was filled.
    T_bath = np.where(np.isnan(state.T_bath), bath.coldest, state.T_bath)
    melted = np.where(here["time"] > 0.0, bath.melted(state.E, T_bath), 0.0)
    # By energy alone, so that it grows from nothing as ice runs short, and shrinks by what is added.
    short = (here["time"] > 0.0) & (bath.ice > 0.0)
    missing = np.where(short, np.maximum(bath.ice_needed(state.E_cold) - bath.ice, 0.0), 0.0)
    hottest = np.maximum(T_bath, state.T_hottest)
    return StageEnd(T, here["time"], here["water"], T_bath, hottest, melted, missing, none)


def ends(coils: Coils, scenario: Scenario, numerics: Numerics = CONVERGED) -> Ends:
    """How the coils run at the start and at the end of the chill; NaN where an input is."""
    sound, safe = without_nan(coils)
    first = CoilPerformance(safe, scenario, numerics)
    state = State.start(safe, scenario)
    for stage in takewhile(lambda stage: stage.source is None, scenario.stages):
        state = stepping.hold(state, safe, scenario, stage.hold)
    hot = first.at(state.T[None, :])
    V = hot.V
    T_mean = 0.5 * (hot.T_out + hot.T_in)
    if safe.parallel:
        V = first.flow(T_mean[:, None, :])[:, 0]
        drop = first.circuit.pressure_drop(np.stack([V[0], V[0]]), T_mean[0])[0]
    else:
        drop = first.circuit.pressure_drop(V[0], T_mean[0])
    last = CoilPerformance(safe, scenario, numerics, scenario.sources[-1])
    cold = last.at(np.array([[max(scenario.T_target, last.source.coldest + 0.01)]]))
    columns: list[Array] = [hot.T_out[0], hot.V[0], drop, hot.U[0], cold.U[0]]
    return Ends(*(np.where(sound, column, np.nan) for column in columns))
