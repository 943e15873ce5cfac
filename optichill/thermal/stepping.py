"""A stage in steps of wort temperature, where what happens depends on what came before.

Two things have a memory: a bath that warms, told by the heat E it has taken up, and wort that is stranded
above the coil while nothing stirs (`stratification`). The mass-mean temperature T falls in steps that are
even in

    x = integral of dT/D(T),   D = T - (what the water would be at if the kettle lost nothing),

so that time per step changes slowly however the bath warms. Each step predicts the state, asks what the coil
does there, corrects the state and asks again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from typing import NamedTuple

import numpy as np

from optichill.arrays import Array
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import FIRST_CONDUCTANCE, ROUGH, CoilPerformance, Coils
from optichill.thermal.hot_risers import Draw, drawing
from optichill.thermal.performance_curve import MANY_FILLS, Heat, PerformanceCurve, asked
from optichill.thermal.sources import Source
from optichill.thermal.state import State
from optichill.thermal.stratification import Risers, StratifiedWort

HOLD_STEPS, HOLD_STEP = 12, 300.0  # the fewest steps of a hold, and the longest [s]
DRIVE_POINTS = 513
DEEP = 0.25  # share of stranded wort from which one of Newton's steps would land beside the time
SLOWEST = 1e-9  # 1/s: below this pace nothing cools any more
ENDLESS = 1e6  # s: a step that takes longer is never done
HOPELESS = 8.0 * 3600.0  # s: well beyond the longest chill that counts; what takes longer is not followed on
LEAST_DRIVE = 0.05  # K: nearer than this the water brings nothing any more
GRID_DRIVE = 0.4  # K: steps are laid no closer than this difference wants them
NEAR, NEAR_STEPS = 0.7, 6.0  # K between wort and water from which steps are so fine, per factor of e
COLDER_BELOW = 0.7  # of the last difference to the water: how much colder wort round the coil may be
FALLBACK_DRIVE = 0.3  # how fast an ice bath gives out that is topped up depends on each coil: a middle way


@dataclass(frozen=True)
class Drive:
    """D(T), x(T) and the bath's heat E(T) of a stage on one falling grid of wort temperatures T [K], with the
    metal of the middle coil, coil_capacity [J/K]; all designs share it."""

    T: Array
    D: Array
    x: Array
    E: Array
    warms: bool
    coil_capacity: float

    @classmethod
    def of(
        cls, source: Source, scenario: Scenario, coil_capacity: Array, T_hot: float, T_cold: float
    ) -> Drive:
        """Between two wort temperatures, all heat that the wort gives up going into the bath."""
        span = np.log((T_hot - source.coldest) / (T_cold - source.coldest))
        T = source.coldest + (T_hot - source.coldest) * np.exp(-span * np.linspace(0.0, 1.0, DRIVE_POINTS))
        E, usual = np.zeros(T.size), float(np.median(coil_capacity))
        D = np.maximum(T - source.T_water, FALLBACK_DRIVE * (T - source.coldest))
        if source.returns:
            C = scenario.usual.capacity(T) + usual
            E[1:] = np.cumsum(0.5 * (C[1:] + C[:-1]) * (T[:-1] - T[1:]))
            apart = T - source.typical.inlet(E, 0.0, FIRST_CONDUCTANCE, T)
            # Without a bend, on which Simpson's rule would stumble.
            D = np.hypot(np.maximum(apart, 0.0), GRID_DRIVE)
        x = np.concatenate([[0.0], np.cumsum((T[:-1] - T[1:]) * 0.5 * (1.0 / D[1:] + 1.0 / D[:-1]))])
        return cls(T, D, x, E, source.returns, usual)

    @property
    def near(self) -> bool:
        """Whether a bath that warms comes so near to the wort that what is left between them hangs on every
        joule: then steps are fine, and the coils are asked anew at each."""
        return self.warms and float(self.D.min()) < NEAR

    def heat(self, T_hot: Array, T_cold: Array, coil_capacity: Array) -> Array:
        """What wort, kettle and each coil's own metal [J/K] give up between two temperatures [J]."""
        hot, cold = (np.interp(-T, -self.T, self.E) for T in (T_hot, T_cold))
        return np.asarray(cold - hot + (coil_capacity - self.coil_capacity) * (T_hot - T_cold))

    def at(self, T: Array) -> tuple[Array, Array]:
        """Where in the walk (x), and how far over the water (D [K]), the wort is T [K]."""
        return np.interp(-T, -self.T, self.x), np.interp(-T, -self.T, self.D)


USUAL_COIL = 1e3
"""Heat capacity of a household coil [J/K]."""


def short_of_cold(scenario: Scenario) -> bool:
    """Whether a bath of the plan comes so near to the wort that the kettle's own loss settles how long the
    chill takes: hours, and every step is worked out anew."""
    T = scenario.T_start
    for stage in scenario.stages:
        aim = scenario.T_target if stage.until is None else stage.until
        source = stage.source
        if isinstance(aim, np.ndarray) or source is None:
            continue
        if source.returns and source.fills < MANY_FILLS and source.coldest < aim < T:
            if Drive.of(source, scenario, np.array([USUAL_COIL]), T, aim).near:
                return True
        T = min(T, aim)
    return False


class _Point(NamedTuple):
    """What was learnt at one state; arrays of shape (designs,), or of one where it is the same for all.

    pace : x per second [1/s]; growth : of it for every second more that the step took [1/s2]. to_bath : heat
    into the bath [W]; rate : of fall of the mean [K/s]. Q, of it Q_top from stranded wort [W], V [m3/s], T_in
    [K] of the coil; T_top, T_bath [K].
    """

    pace: Array
    growth: Array
    to_bath: Array
    rate: Array
    Q: Array
    Q_top: Array
    V: Array
    T_in: Array
    T_top: Array
    T_bath: Array

    @property
    def risers(self) -> Risers:
        """How the risers draw on stranded wort."""
        return self.Q_top / np.maximum(self.T_top - self.T_in, LEAST_DRIVE), self.T_in

    def heat_to_bath(self, fall: Array, h: Array, returns: bool) -> Array:
        """Heat [J] into the bath over a fall of the wort [K], or over h of x, going on like here: whichever
        changes less on the way."""
        along, per = (fall, self.rate) if returns else (h, self.pace)
        return self.to_bath * along / np.where(per > SLOWEST, per, np.inf)


def down(state: State, kernel: CoilPerformance, T_end: Array, draw: Draw | None = None) -> State:
    """Cool from the state's temperature to T_end [K], shape (designs,) or (1,); `draw` tells what the coils
    do, where it is known beforehand."""
    returns = kernel.source.returns
    T_end = np.minimum(T_end, state.T)
    T_hot, T_cold = float(state.T.max()), float(T_end.min())
    drive = Drive.of(kernel.source, kernel.scenario, kernel.coil_capacity, T_hot, T_cold)
    numerics = kernel.numerics
    if drive.near:
        numerics = replace(numerics, steps=max(numerics.steps, NEAR_STEPS))
    x_0, x_1 = drive.at(state.T)[0], drive.at(T_end)[0]
    steps = numerics.steps_for(float((x_1 - x_0).max()))
    h = (x_1 - x_0) / steps
    T = np.interp(x_0 + h * np.arange(steps + 1)[:, None], drive.x, drive.T)
    D = drive.at(T)[1]
    # Coils that are looked up stand in wort that is looked up.
    exact = kernel.numerics.exact and draw is None
    zones = StratifiedWort(kernel.scenario, state.stranded, kernel.coil_capacity, exact, state.two_zones)
    heat = draw or drawing(kernel, _heat(kernel, drive, state.two_zones, T_cold), often=drive.near)
    T_top, E = state.T_top, state.E
    here = _look(kernel, heat, zones, T[0], D[0], T_top, E)
    points = [here]
    arrives, elapsed = state.reached & (here.pace > SLOWEST) & (here.rate > 0.0), state.totals["time"]
    dt = np.minimum(h / np.maximum(here.pace, SLOWEST), ENDLESS)
    deep = kernel.numerics.exact or bool((state.stranded > DEEP).any())
    for i in range(steps):
        fall, T_1 = T[i] - T[i + 1], zones.below(T[i], T_top)
        risers, to_bath = here.risers, here.heat_to_bath(fall, h, returns)
        top = zones.top_after(T_1, T_top, T[i + 1], dt, T_top, risers)
        top = zones.top_after(T_1, T_top, T[i + 1], dt, top, risers)
        guess_E = E + to_bath
        for _ in range(2 if deep else 1):
            there = _look(kernel, heat, zones, T[i + 1], D[i + 1], top, guess_E)
            # h = dt (pace here + pace there)/2, where the pace there grows with dt: Newton's rule.
            mean = 0.5 * (here.pace + there.pace)
            better = dt + (h - dt * mean) / np.maximum(mean + 0.5 * dt * there.growth, SLOWEST)
            better = np.minimum(np.maximum(better, 0.2 * dt), ENDLESS)
            there = there._replace(pace=there.pace + there.growth * (better - dt))
            dt = better
            G, T_in = (0.5 * (a + b) for a, b in zip(risers, there.risers, strict=True))
            top = zones.top_after(T_1, T_top, T[i + 1], dt, top, (G, T_in))
            guess_E = E + 0.5 * (to_bath + there.heat_to_bath(fall, h, returns))
        T_top, E, here = top, guess_E, there
        points.append(there)
        arrives = arrives & (there.pace > SLOWEST) & (there.rate > 0.0)
        elapsed = elapsed + dt
        if i % 2 and not (arrives & (elapsed < HOPELESS)).any():
            break
        # The time per step changes slowly and evenly: the last change is taken to go on.
        dt = np.maximum(
            1.5 * h / np.maximum(here.pace, SLOWEST) - 0.5 * h / np.maximum(points[-2].pace, SLOWEST), 0.0
        )
        dt = np.minimum(dt, ENDLESS)
    done = len(points)
    used = _sums(points, kernel, zones, T[:done], D[:done], h)
    # Ice that keeps the bath cold makes a quick chill, in which the kettle loses next to nothing. Where water
    # only passes, a bath that stays cold would take more: what was taken is told, as the least.
    E_cold = drive.heat(state.T, T[-1], kernel.coil_capacity) if returns else E
    if returns and done <= steps:
        E = E + drive.heat(T[done - 1], T[-1], kernel.coil_capacity)
    return replace(
        state.plus(used),
        T=T[-1],
        T_top=T_top,
        E=E,
        E_cold=E_cold,
        T_bath=np.broadcast_to(here.T_bath, arrives.shape),
        T_hottest=reduce(np.maximum, (p.T_bath for p in points), state.T_hottest),
        reached=arrives if done > steps else np.zeros_like(arrives),
    )


def _heat(kernel: CoilPerformance, drive: Drive, two_zones: bool, T_end: float) -> Heat:
    """What the coils do: each time asked anew where it must be exact, else from a curve."""
    if kernel.numerics.exact:
        return asked(kernel, often=drive.near)
    if drive.near and kernel.source.fills < MANY_FILLS:
        # The kettle's own loss decides how long this takes: a rough idea of the coil leaves 2 % of the time.
        return asked(CoilPerformance(kernel.coils, kernel.scenario, ROUGH, kernel.source, kernel.T_hot))
    # Below wort that is stranded the coil stands in colder wort than the mean.
    colder = COLDER_BELOW * float(drive.D[-1]) if two_zones else 0.0
    path = (drive.T[::-1], (drive.T - drive.D)[::-1])
    return PerformanceCurve(kernel, float(drive.T[0]), T_end - colder, path).at


def _look(
    kernel: CoilPerformance, heat: Draw, zones: StratifiedWort, T: Array, D: Array, T_top: Array, E: Array
) -> _Point:
    """What the coils do at one state."""
    T_1 = np.maximum(zones.below(T, T_top), kernel.source.coldest + LEAST_DRIVE)
    drawn = heat(T_1, T_top, E)
    rate, growth = zones.pace(T, T_top, drawn)
    Q, source = drawn.Q + drawn.Q_top, kernel.source
    # Of water that goes round, the bath is what the coil gets.
    T_in = T_bath = drawn.T_in
    if not source.returns:
        G = 0.0 if source.bath is None else Q / np.where(T_1 > T_in, T_1 - T_in, np.inf)
        T_bath = source.bath_temperature(E, drawn.V, G, T_1)
    to_bath = source.into_bath(Q, drawn.m_dot, T_in)
    return _Point(rate / D, growth / D, to_bath, rate, Q, drawn.Q_top, drawn.V, T_in, T_top, T_bath)


def simpson(points: int) -> Array:
    """Weights of Simpson's rule at even steps, an odd number of points; shape (points, 1)."""
    weights = np.full((points, 1), 2.0 / 3.0)
    weights[1::2] *= 2.0
    weights[0] = weights[-1] = 1.0 / 3.0
    return weights


def _sums(
    points: list[_Point], kernel: CoilPerformance, zones: StratifiedWort, T: Array, D: Array, h: Array
) -> dict[str, Array]:
    """Totals over all steps, by Simpson's rule; what the water could have done at best included."""
    pace, V = np.array([p.pace for p in points]), np.array([p.V for p in points])
    weights = simpson(len(points))
    dt = h * weights / np.where(pace > SLOWEST, pace, np.inf)
    dt_least = np.full_like(dt, np.nan)
    if kernel.numerics.exact:  # a search asks for no limit
        Q, Q_top, T_in, T_top = (
            np.array([np.broadcast_to(getattr(p, n), V[0].shape) for p in points])
            for n in ("Q", "Q_top", "T_in", "T_top")
        )
        most = np.maximum(kernel.limit(T, V, T_in), Q)
        least = zones.mean_rate(T, T_top, most - Q_top, Q_top)
        dt_least = h * weights * D / np.where(least > 0.0, least, np.inf)
    drained = 0.0 if kernel.source.returns else V
    return {
        "time": dt.sum(axis=0),
        "water": (dt * drained).sum(axis=0),
        "limit_time": dt_least.sum(axis=0),
        "limit_water": (dt_least * drained).sum(axis=0),
        "lost": (dt * zones.scenario.loss(T)).sum(axis=0) if kernel.numerics.exact else np.zeros(V.shape[-1]),
    }


def hold(state: State, coils: Coils, scenario: Scenario, seconds: float) -> State:
    """A hop stand: nothing flows, the kettle only loses heat; its time does not count."""
    zones = StratifiedWort(scenario, state.stranded, coils.summed("metal_capacity"), apart=state.two_zones)
    steps = max(HOLD_STEPS, int(np.ceil(seconds / HOLD_STEP)))
    dt = np.array(seconds / steps)
    T, T_top, still = state.T, state.T_top, np.zeros(1)
    passing = [np.broadcast_to(T, state.reached.shape)]
    for _ in range(steps):
        rate = zones.mean_rate(T, T_top, still)
        guess = T - dt * rate
        T_1 = zones.below(T, T_top)
        guess_top = zones.top_after(T_1, T_top, guess, dt, T_top)
        T_next = T - 0.5 * dt * (rate + zones.mean_rate(guess, guess_top, still))
        T, T_top = T_next, zones.top_after(T_1, T_top, T_next, dt, guess_top)
        passing.append(np.broadcast_to(T, state.reached.shape))
    passed = float(dt) * _passed(np.array(passing), scenario.T_target)
    here = dict(state.here) | {"time": np.full(state.reached.size, seconds), "passed": passed}
    return replace(state, T=T, T_top=T_top, here=here)


def _passed(T: Array, level: float) -> Array:
    """After how many steps falling T [K], shape (steps, designs), goes below a level [K]; NaN where it does
    not."""
    first = np.maximum((level > T).argmax(axis=0), 1)
    after, before = (np.take_along_axis(T, row[None], axis=0)[0] for row in (first, first - 1))
    share = np.clip((before - level) / np.maximum(before - after, 1e-12), 0.0, 1.0)
    return np.where(level > T[-1], first - 1 + share, np.nan)
