"""A stage behind water of one temperature, where wort is stranded above the coil.

The wort round such a coil runs ahead of the mean, in the end to within a few kelvin of the water, and how
fast the mean falls then hangs on every tenth of a kelvin of the wort above: the higher that is, the colder
the wort round the coil. With slopes at hand it is one root per step, of what is nearly a quadratic,

    (T_top - known) pace(T_top) + b rate(T_top) = 0,

rate being the fall of the stranded wort [K/s] and pace that of ln(T - T_water) [1/s], both straight lines in
T_top near where the coils were asked; known and b are of an implicit rule of third order. One look at each
of ten steps then leaves the time of a usual coil within 0.05 %; the rule of `stepping`, which bears a bath
that warms and a layer of any thinness, looks forty times for 0.1 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from optichill.arrays import Array, Mask
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import CoilPerformance, Numerics
from optichill.thermal.hot_risers import of_zones, pieces_of
from optichill.thermal.state import State
from optichill.thermal.stepping import COLDER_BELOW, HOPELESS, SLOWEST, simpson
from optichill.thermal.transfer_units import TransferUnits

THINNEST = 0.05
"""Share of stranded wort from which a stage is walked so: a thinner layer follows the wort below at once, and
the rule here would swing."""


class Pace(NamedTuple):
    """Steps per factor of e in the difference of wort and water, and by how many factors of e they grow from
    the first to the last."""

    steps: float
    growth: float


PACES = (Pace(4.2, 0.3), Pace(12.0, 1.5), Pace(48.0, 1.5))

SURPRISE = 0.3
"""Of the wort below, over the water: where it comes out so far from what was expected of it, a coil is walked
again in smaller steps: one in a hundred of coils that chill within two hours, but most that stand below four
fifths of the wort, for which the rule swings."""

FEWEST = 4

NEXT, HERE, BEFORE = 5.0 / 12.0, 8.0 / 12.0, -1.0 / 12.0
"""The third-order rule of Adams and Moulton (Hairer, Norsett and Wanner 1993, III.1; from memory)."""


class _Look(NamedTuple):
    """What goes on at one state; arrays of shape (designs,).

    pace : fall of ln(T - T_water) [1/s], and what it gains per kelvin of T_top [1/sK]; rate : fall of T_top
    [K/s], and its gain [1/s]; V : flow [m3/s].
    """

    pace: Array
    pace_slope: Array
    rate: Array
    rate_slope: Array
    V: Array

    @property
    def fall(self) -> Array:
        """Of T_top for every 1 that ln(T - T_water) falls [K]."""
        return self.rate / np.maximum(self.pace, SLOWEST)

    def moved(self, by: Array) -> _Look:
        """The same with T_top so much higher [K]."""
        pace = np.maximum(self.pace + self.pace_slope * by, 0.0)
        return self._replace(pace=pace, rate=self.rate + self.rate_slope * by)


@dataclass(frozen=True)
class _Zones:
    """Wort below and above the top turn of coils that are known as a curve; temperatures over the water's.

    share : of the wort, above; turns, riser : shares of the tube in the turns and in one riser; coil_capacity
    [J/K], below; hottest : T_top at the start [K]; arrays of shape (designs,).
    """

    scenario: Scenario
    curve: TransferUnits
    share: Array
    turns: Array
    riser: Array
    coil_capacity: Array
    hottest: Array

    @cached_property
    def below(self) -> Array:
        """Share of the wort round the turns."""
        return 1.0 - self.share

    @cached_property
    def lower(self) -> Array:
        """How much colder the wort below is for every kelvin that the wort above is warmer at one mean."""
        return self.share / self.below

    @cached_property
    def exchange(self) -> Array | float:
        """Between the zones [W/K]."""
        return self.scenario.factors.exchange * self.scenario.kettle_area

    @cached_property
    def exchange_gain(self) -> Array:
        """Of the heat exchanged, per kelvin of T_top at one mean [W/K]."""
        return self.exchange * (1.0 + self.lower)

    def look(self, D: Array, T_top: Array) -> _Look:
        """With the mean at D [K]."""
        T_1 = np.maximum((D - self.share * T_top) / self.below, self.curve.nearest)
        apart = of_zones(T_1, T_top)
        taken = self._taken(T_1, T_top, apart)
        (c_1, c_2), (wall_1, wall_2), surface, surface_gain = self.scenario.of_zones(apart + self.curve.T_in)
        # What the wall loses hardly changes with T_top: its gain is left out.
        exchanged = self.exchange * (T_top - T_1)
        low, low_gain = taken.turns + self.below * wall_1 - exchanged, taken.turns_gain - self.exchange_gain
        high = taken.risers + surface + self.share * wall_2 + exchanged
        high_gain = taken.risers_gain + surface_gain + self.exchange_gain
        C_1, C_2 = self.below * c_1 + self.coil_capacity, self.share * c_2
        by_low, by_high = self.below / (C_1 * D), self.share / (C_2 * D)
        pace, pace_gain = by_low * low + by_high * high, by_low * low_gain + by_high * high_gain
        rate, rate_gain = high / C_2, high_gain / C_2
        # No warmer than the wort below, and cooling no slower, the wort above is one with it.
        one = (T_top <= T_1) & (rate >= low / C_1)
        if one.any():
            together = (low + high) / (C_1 + C_2)
            pace, rate = np.where(one, together / D, pace), np.where(one, together, rate)
            pace_gain, rate_gain = np.where(one, 0.0, pace_gain), np.where(one, 0.0, rate_gain)
        return _Look(pace, pace_gain, rate, rate_gain, taken.V)

    def _taken(self, T_1: Array, T_top: Array, apart: Array) -> _Taken:
        """Down a riser, through the turns and up a riser, each with its share of the transfer units."""
        units, units_gain, V = self.curve.at(apart)
        # What turns and riser leave of a difference to the water.
        turns, riser = np.exp(-self.turns * units[0]), np.exp(-self.riser * units[1])
        turns_gain = self.turns * turns * units_gain[0] * self.lower
        riser_gain = -self.riser * riser * units_gain[1]
        # The water in front of the turns, behind them, and as it goes out.
        first, first_gain = T_top * (1.0 - riser), 1.0 - riser - T_top * riser_gain
        last = T_1 - (T_1 - first) * turns
        last_gain = (self.lower + first_gain) * turns - (T_1 - first) * turns_gain - self.lower
        out = T_top - (T_top - last) * riser
        out_gain = 1.0 - (1.0 - last_gain) * riser - (T_top - last) * riser_gain
        C = self.curve.capacity_rate(V)
        return _Taken(
            C * (last - first),
            C * (last_gain - first_gain),
            C * (first + out - last),
            C * (first_gain + out_gain - last_gain),
            V,
        )

    def solved(self, D: Array, guess: Array, known: Array, b: Array) -> tuple[_Look, Array]:
        """What goes on with the mean at D where T_top keeps the rule, and T_top [K], from a guess of it."""
        at = self.look(D, guess)
        ahead = known - guess
        constant = b * (at.rate + at.rate_slope * ahead)
        linear = at.pace + at.pace_slope * ahead + b * at.rate_slope
        root = np.sqrt(np.maximum(linear * linear - 4.0 * at.pace_slope * constant, 0.0))
        # Where the room warms as fast as the coil cools, the mean stands still: the rule then means nothing.
        T_top = np.clip(known - 2.0 * constant / np.maximum(linear + root, SLOWEST), D, self.hottest)
        return at.moved(T_top - guess), T_top


class _Taken(NamedTuple):
    """Heat that turns and risers take [W], and what it gains per kelvin of T_top at one mean [W/K]; flow
    [m3/s]."""

    turns: Array
    turns_gain: Array
    risers: Array
    risers_gain: Array
    V: Array


def down(state: State, kernel: CoilPerformance, T_end: Array, paces: Sequence[Pace] = PACES) -> State:
    """Cool from the state's temperature to T_end [K], shape (designs,) or (1,)."""
    first, *smaller = paces
    found, unsure = _walked(state, kernel, T_end, first)
    if not (smaller and unsure.any()):
        return found
    again, sure = np.flatnonzero(unsure), np.flatnonzero(~unsure)
    full = unsure.shape
    state, found = (replace(s, T=np.broadcast_to(s.T, full)) for s in (state, found))
    coils, scenario = kernel.coils.take(again), kernel.scenario.take(again)
    some = CoilPerformance(coils, scenario, kernel.numerics, kernel.source, kernel.T_hot)
    finer = down(state.take(again), some, np.broadcast_to(T_end, full)[again], smaller)
    return State.woven([found.take(sure), finer], [sure, again])


def _walked(state: State, kernel: CoilPerformance, T_end: Array, at: Pace) -> tuple[State, Mask]:
    """The state at T_end, and which coils it may be far off for."""
    T_in = kernel.source.T_water
    D_0, D_1 = state.T - T_in, np.minimum(T_end, state.T) - T_in
    D, h = _laid(D_0, D_1, kernel.numerics, at)
    zones = _zones(state, kernel, T_in + (1.0 - COLDER_BELOW) * float(D_1.min()))
    T_top = state.T_top - T_in
    looks, ratios = [zones.look(D[0], T_top)], [T_top / D[0]]
    arrives, elapsed = state.reached & (looks[0].pace > SLOWEST), state.totals["time"]
    unsure = np.zeros(arrives.size, dtype=bool)
    for i in range(len(h) - 1):
        guess = np.maximum(np.minimum(_expected(ratios, looks, h[0]) * D[i + 1], T_top), D[i + 1])
        known, b = _rule(T_top, looks, h[: i + 2])
        there, T_top = zones.solved(D[i + 1], guess, known, b)
        if i == 0:  # a step that has nothing behind it to be guessed from
            guess = T_top
            there, T_top = zones.solved(D[1], guess, known, b)
        unsure |= zones.share * (np.abs(T_top - guess) + SURPRISE * T_top) > SURPRISE * D[i + 1]
        looks.append(there)
        ratios.append(T_top / D[i + 1])
        arrives = arrives & (there.pace > SLOWEST)
        elapsed = elapsed + h[i + 1] / np.maximum(there.pace, SLOWEST)
        if i % 2 and not (arrives & (elapsed < HOPELESS)).any():
            break
    done = len(looks) == len(h)
    reached = arrives if done else np.zeros_like(arrives)
    found = replace(
        state.plus(_used(looks, h[: len(looks)])), T=D[-1] + T_in, T_top=T_top + T_in, reached=reached
    )
    return found, (unsure | ~arrives) & state.reached


def _laid(D_0: Array, D_1: Array, numerics: Numerics, at: Pace) -> tuple[Array, Array]:
    """The mean over the water [K] at each step, and the length there of one in ln(T - T_water), on a first
    axis: an even number of steps that grow all along, in even steps of another variable."""
    span = np.log(D_0 / D_1)
    steps = max(replace(numerics, steps=at.steps).steps_for(float(span.max())), FEWEST)
    along = np.linspace(0.0, 1.0, steps + 1)[:, None]
    grown, whole = np.exp(at.growth * along), np.expm1(at.growth)
    return D_0 * np.exp(-span * (grown - 1.0) / whole), span * at.growth * grown / (whole * steps)


def _zones(state: State, kernel: CoilPerformance, T_cold: float) -> _Zones:
    """The coils' curve down to T_cold [K], in the state's wort."""
    curve = TransferUnits(kernel, float(state.T.max()), T_cold)
    turns, riser = pieces_of(kernel)
    hottest = state.T_top - curve.T_in
    return _Zones(kernel.scenario, curve, state.stranded, turns, riser, kernel.coil_capacity, hottest)


def _expected(ratios: list[Array], looks: list[_Look], h: Array) -> Array:
    """T_top by the mean, both over the water, at the next step: it goes on as before, half of its bend left
    out; h : length of the first step."""
    match ratios:
        case [start]:
            return np.maximum(start - h * looks[0].fall, 1.0)
        case [start, here]:
            return 2.0 * here - start
        case _:
            *_, earlier, before, here = ratios
            return 2.5 * here - 2.0 * before + 0.5 * earlier


def _rule(T_top: Array, looks: list[_Look], h: Array) -> tuple[Array, Array]:
    """What is known of T_top at the next step [K], and the weight b of its fall there; h : lengths of a step
    at all states up to there."""
    here = looks[-1].fall * h[-2]
    if len(looks) == 1:
        return T_top - 0.5 * here, 0.5 * h[-1]
    return T_top - HERE * here - BEFORE * h[-3] * looks[-2].fall, NEXT * h[-1]


def _used(looks: list[_Look], h: Array) -> dict[str, Array]:
    """Totals over all steps of length h; a search asks for no limit, and not for what the kettle lost."""
    pace, V = np.array([p.pace for p in looks]), np.array([p.V for p in looks])
    dt = simpson(len(looks)) * h / np.where(pace > SLOWEST, pace, np.inf)
    none = np.full(V.shape[-1], np.nan)
    used = {"time": dt.sum(axis=0), "water": (dt * V).sum(axis=0)}
    return used | {"limit_time": none, "limit_water": none, "lost": np.zeros(V.shape[-1])}
