"""What steps of limits open: rows that break nothing else, by what they cost over a coil's life."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.search.evaluate import Rows
from optichill.search.least import lifetime_by_medians
from optichill.search.ranking import ALIKE
from optichill.search.space import Space
from optichill.thermal.cooldown import Chill

HARDLY_LARGER = 1.0 + ALIKE
"""Times the smallest bound that opens something, up to which who gives so much gives a little more."""

A_LITTLE_LARGER = 1.25
"""The same, up to which a larger step is worth a word."""

MUCH_BETTER = 3.0
"""Ties by which lifetime cost is then lower."""

FINALISTS = 4
"""Rows told of each step: lifetime cost is by the medians here, in all draws of those that are shown."""

Moved = dict[str, tuple[float, float]]
"""Of each limit that is moved the bound now, and where it must go [SI]."""


class Opened:
    """Rows that break limits, gathered piece by piece: shape (rows,), misses (limits, rows)."""

    def __init__(self, space: Space) -> None:
        self.space = space
        self.minute = worth_of(space.basis).minute
        self.pieces: list[tuple[Index, Array, Array, Array]] = []

    def add(self, r: Rows, result: Chill) -> None:
        """Take in rows with all their limits."""
        values, margins = np.full((2, len(LIMITS), len(r)), np.inf)
        for place, name in enumerate(LIMITS):
            if name in r.checks.rows:
                check = r.checks.rows[name]
                # What needs room that something built in takes is opened by no step.
                values[place] = np.where(check.below_built_in, -np.inf, check.value)
                margins[place] = np.where(check.broken, -1.0, 1.0)
        self.pieces.append((r.number, values, margins, lifetime_by_medians(self.space, r, result)))

    def by_steps(self, moved: Moved) -> tuple[tuple[int, ...], ...]:
        """Numbers of the best rows that the steps as told open, and of those of hardly and a little larger
        ones, each where they are much better than the ones before; the best first."""
        number, values, margins, life = (np.concatenate(p, axis=-1) for p in zip(*self.pieces, strict=True))
        place = {name: n for n, name in enumerate(LIMITS)}
        others = np.array([name not in moved for name in LIMITS])
        held = (margins[others] > 0.0).all(axis=0)
        near, *larger = (held.copy() for _ in range(3))
        for name, (now, to) in moved.items():
            value = values[place[name]]
            near &= within(name, value, as_told(name, now, to, self.space.basis.brewhouse.units))
            for some, times in zip(larger, (HARDLY_LARGER, A_LITTLE_LARGER), strict=True):
                some &= within(name, value, further_by(times, name, now, to))
        found = [self._best(number, life, near)]
        for some in larger:
            best = self._best(number, life, near | some)
            least = [life[places[:1]].min(initial=np.inf) for places in (found[-1], best)]
            if least[0] - least[1] >= MUCH_BETTER * self.minute:
                found.append(best)
        return tuple(tuple(number[places].tolist()) for places in found)

    def _best(self, number: Index, life: Array, some: Mask) -> Index:
        """Places of the best of some rows, each coil at the most open setting that is among them."""
        places = np.flatnonzero(some)
        settings = len(self.space.valve_shares)
        places = places[np.argsort(number[places], kind="stable")]
        _, first = np.unique(number[places] // settings, return_index=True)
        places = places[first]
        return np.asarray(places[np.lexsort((number[places], life[places]))][:FINALISTS])


def as_told(name: str, now: float, to: float, units: str) -> float:
    """A bound that goes from `now` to here, as a person is told it: rounded to the side on which it suffices
    (but for a step that is too small to be told so)."""
    step = LIMITS[name].shown.step_in(units)
    if not step:
        return to
    outwards, hair = (np.floor, 1e-6) if LIMITS[name].at_least else (np.ceil, -1e-6)
    told = float(step * outwards(to / step + hair))
    return to if abs(told - now) < 0.5 * step else told


def within(name: str, value: Array, bound: float) -> Mask:
    hair = 1e-9 * max(abs(bound), 0.01)
    return value >= bound - hair if LIMITS[name].at_least else value <= bound + hair


def further_by(times: float, name: str, now: float, to: float) -> float:
    """A bound that asks for so many times the smallest: of a room by the step, which is all one gives."""
    limit = LIMITS[name]
    further = now + times * (to - now) if limit.at_least else times * to
    return to if limit.out_of_hand(further, now) else further
