"""Rows that come close to a limit on time that is to be kept with a chance: looked at in every draw.

The plane of `sureness` is out by a few percent: lifted to the worst pilot, it puts coils past the limit that
keep it (4 % seen), and now and then one within that does not (0.2 % seen). Both are settled here, so that
neither "nothing fits" nor the smallest step that helps nor a coil that is shown hangs on the plane.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.checks import Checks
from optichill.rating.chilled_coil import time_checks
from optichill.rating.prediction import FINE
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.enumeration import Enumeration
from optichill.search.evaluate import Rows, chilled, rows
from optichill.search.near_misses import sets_broken, worst_misses
from optichill.search.sampled import FULL, samples_of
from optichill.search.space import Space
from optichill.search.sureness import SURE_ENOUGH
from optichill.thermal.batch import Scenario
from optichill.thermal.cooldown import Chill

WITHIN = 0.01
"""A coil that the plane puts within the limit by more than this share keeps it."""

BEYOND = 0.08
"""A coil that the plane puts past the limit by more than this share does not keep it."""

THIRSTY = 0.8
"""Share of the water at which ice surely gives out in too many draws, from which on it may."""

LOOK = 2048
"""Nearest misses that are chilled again, to be put in order."""

BATCH = 16
ENOUGH = 48
"""Rows looked at in every draw at once, and in all where one of them keeps the limit: half a second."""

HAIR = 0.005
"""Share by which a row may keep its limit sooner, against the plane, than any that was looked at."""


def settled_by_draws(space: Space, r: Rows, result: Chill, checks: Checks, scenario: Scenario) -> None:
    """Put what all draws tell in the place of what the plane does, for rows that are within the limit on time
    by little, and for those that would not be were the plane as wrong of them as of one that was looked at:
    where hours are asked for it is out by a tenth. Where ice gives out in some draws, also for those that
    draw nearly as much water as one that does not come to the target."""
    told = checks.rows.get("chill_time")
    if space.sureness is None or told is None:
        return
    value, bound = told.value.copy(), float(told.bound)
    left = np.flatnonzero((value <= bound) & (value > 0.0))
    left = left[np.argsort(-value[left], kind="stable")][:FULL]
    thirsty = result.water >= THIRSTY * space.sureness.runs_out
    worst = 1.0 / (1.0 - WITHIN)
    while (close := left[(worst * told.value[left] > bound) | thirsty[left]]).size:
        value[close] = kept(space, r, result, close, scenario)
        left = np.setdiff1d(left, close)
        worst = max(worst, float((value[close] / told.value[close]).max()))
    checks.rows["chill_time"] = replace(told, value=value)


def with_sureness_to_spare(space: Space) -> Space:
    """The space with a plane so much higher that what it puts within the limit keeps it."""
    assert space.sureness is not None
    lifted = space.sureness.lifted(WITHIN)
    return replace(space, sureness=replace(lifted, runs_out=THIRSTY * lifted.runs_out))


def kept(space: Space, r: Rows, result: Chill, some: Index, scenario: Scenario) -> Array:
    """Time [s] that some of the rows keep with the chance asked for, over all draws."""
    if not some.size:
        return np.empty(0)
    drawn = samples_of(space, r, some, scenario.take(some))
    return time_checks(space.basis, result.take(some), drawn).rows["chill_time"].value


@dataclass
class NearestInTime:
    """Of rows that break other limits, the nearest of each set of those that keeps the limit on time. left :
    rows that may still be looked at in every draw; lowest : share of what the plane says that a row keeps at
    least, as far as was seen."""

    space: Space
    left: int = FULL
    lowest: float = field(init=False)

    def __post_init__(self) -> None:
        self.lowest = 1.0 if self.space.sureness is None else self.space.sureness.lowest

    def settle(self, r: Rows, result: Chill, nearest: Mapping[frozenset[str], tuple[float, int]]) -> None:
        """Put what all draws tell in the place of what the plane does, from the nearest on until one keeps
        the time; of sets that contain none of those that do. r : with all its checks; nearest : of each set
        the miss of what is known to do so."""
        told = r.checks.rows.get("chill_time")
        if self.space.sureness is None or told is None:
            return
        names = np.array(r.checks.names)
        broken = r.checks.broken() & (names != "chill_time")[:, None]
        miss, which = worst_misses(broken, r.checks.steps()), sets_broken(broken)
        value, opened = told.value.copy(), set[frozenset[str]](nearest)
        for pattern in sorted(np.unique(which[which > 0]).tolist(), key=int.bit_count):
            some = np.flatnonzero(which == pattern)
            limits = frozenset(names[broken[:, some[0]]].tolist())
            if any(other < limits for other in opened):
                continue
            some = some[miss[some] < nearest.get(limits, (np.inf, 0))[0]]
            some = some[np.lexsort((r.number[some], miss[some]))]
            if self._until_kept(r, result, some, value, float(told.bound)):
                opened.add(limits)
        r.checks.rows["chill_time"] = replace(told, value=value)

    def _until_kept(self, r: Rows, result: Chill, some: Index, value: Array, bound: float) -> bool:
        """Settle some rows in their order until one keeps the bound; whether one does."""
        by_plane = value[some] / bound
        surely = np.flatnonzero(by_plane <= 1.0 - WITHIN)
        close = slice(0, surely[0] if surely.size else None)
        some, by_plane = some[close], by_plane[close]
        while self.left > 0:
            could = (1.0 - HAIR) * self.lowest * by_plane <= 1.0
            some, by_plane = some[could], by_plane[could]
            if not some.size:
                break
            here = some[:BATCH]
            value[here] = kept(self.space, r, result, here, plan_of_rows(self.space, r.number))
            self.left -= here.size
            self.lowest = min(self.lowest, float((value[here] / bound / by_plane[:BATCH]).min()))
            if (value[here] <= bound).any():
                return True
            some, by_plane = some[BATCH:], by_plane[BATCH:]
        return bool(surely.size)


def second_look(found: Enumeration) -> None:
    """Where nothing holds: take in what misses nothing but the limit on time, by so little that the plane may
    be wrong, and keeps it over all draws; worked out finely."""
    numbers = found.slow.within(frozenset({"chill_time"}))[:LOOK]
    if found.space.sureness is None or not numbers.size:
        return
    of = found.space.sureness
    # Of what is said to run out of ice the plane says how long it would take else.
    with_ice, r = replace(found.space, sureness=replace(of, runs_out=np.inf)), rows(found.space, numbers)
    told = chilled(with_ice, r, np.arange(len(r)), scenario=found.scenario)[1].rows["chill_time"]
    order = np.argsort(told.value, kind="stable")
    order = order[np.isfinite(told.value[order])]  # with a finer look some do not come to the target
    numbers, by_plane, bound = numbers[order], told.value[order], float(told.bound)
    # Shares of what the plane says that rows keep, seen and least.
    at_most = of.lowest if of.lowest < SURE_ENOUGH else 1.0
    seen, share = np.empty(0), min(1.0 / (1.0 + BEYOND), at_most)
    while seen.size < (ENOUGH if found.feasible else FULL):
        could_hold = share * by_plane <= bound
        numbers, by_plane = numbers[could_hold], by_plane[could_hold]
        if not numbers.size:
            return
        seen = np.append(seen, _take_in(found, numbers[:BATCH]) / by_plane[:BATCH])
        share = (1.0 - HAIR) * float(seen.min(initial=at_most))
        numbers, by_plane = numbers[BATCH:], by_plane[BATCH:]


def _take_in(found: Enumeration, numbers: Index) -> Array:
    """Take in those of these rows that hold everything; the time [s] that each keeps, inf out of reach."""
    space = found.space
    r, every = rows(space, numbers), np.arange(numbers.size)
    scenario = plan_of_rows(space, numbers)
    result, checks = chilled(space, r, every, FINE, scenario)
    time = kept(space, r, result, every, scenario)
    checks.rows["chill_time"] = replace(checks.rows["chill_time"], value=time)
    holds = np.flatnonzero(~checks.broken().any(axis=0))
    found.hold(r, holds, result.take(holds))
    return np.where(np.isfinite(result.time), time, np.inf)
