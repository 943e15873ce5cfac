"""One pass over the space, chunk by chunk: the front of what holds, and near misses of what does not."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from optichill.physics.water import Array
from optichill.search.evaluate import Rows, chilled, rows
from optichill.search.front import Front, merged
from optichill.search.space import Index, Space

CHUNK = 8192
"""Rows worked on at once: small enough for the processor's cache, large enough to hide the overhead."""

KEPT_ALONE = 400_000
KEPT_TOGETHER = 16
"""Near misses kept for each set of broken limits: many where one limit alone stands in the way; of several
together so many of the nearest, and so many with the most surface."""


@dataclass(frozen=True)
class _Missed:
    """Rows that break one set of limits: how far they miss, as a share, and the surface of tube in the wort:
    the more, the sooner the chill holds its own limits."""

    number: Index
    miss: Array
    surface: Array

    def nearest(self, most: int) -> Index:
        """Places of the nearest misses, nearest first."""
        return np.lexsort((self.number, self.miss))[:most]

    def largest(self, most: int) -> Index:
        """Places of those with the most surface."""
        return np.lexsort((self.number, -self.surface))[:most]

    def take(self, places: Index) -> _Missed:
        return _Missed(self.number[places], self.miss[places], self.surface[places])


@dataclass
class Misses:
    """Near misses by the set of limits that they break (a bit each), at most `alone` of each single limit."""

    alone: int
    names: tuple[str, ...] = ()
    pieces: dict[int, list[_Missed]] = field(default_factory=dict)

    def add(
        self,
        names: tuple[str, ...],
        number: Index,
        violations: Array,
        broken: NDArray[np.bool_],
        surface: Array,
    ) -> None:
        """Take in the misses among some rows."""
        self.names = names
        bits = (broken * (1 << np.arange(len(names)))[:, None]).sum(axis=0)
        miss = np.where(broken, violations, 0.0).max(axis=0)
        for pattern in np.unique(bits[bits > 0]).tolist():
            here = np.flatnonzero(bits == pattern)
            pieces = self.pieces.setdefault(pattern, [])
            pieces.append(_Missed(number[here], miss[here], surface[here]))
            # Laid together only now and then: each row is moved a few times, not once a chunk.
            if sum(p.number.size for p in pieces) > 4 * self._most(pattern):
                self._lay_together(pattern)

    def patterns(self) -> list[int]:
        """The sets of limits met, in a fixed order."""
        return sorted(self.pieces)

    def nearest_first(self, pattern: int) -> Index:
        """Row numbers of one set, by how far they miss."""
        kept = self._lay_together(pattern)
        return kept.number[kept.nearest(kept.number.size)]

    def _most(self, pattern: int) -> int:
        return self.alone if is_alone(pattern) else KEPT_TOGETHER

    def _lay_together(self, pattern: int) -> _Missed:
        pieces, most = self.pieces[pattern], self._most(pattern)
        missed = _Missed(
            np.concatenate([p.number for p in pieces]),
            np.concatenate([p.miss for p in pieces]),
            np.concatenate([p.surface for p in pieces]),
        )
        if is_alone(pattern):
            missed = missed.take(missed.nearest(most))
        else:
            missed = missed.take(np.union1d(missed.nearest(most), missed.largest(most)))
        self.pieces[pattern] = [missed]
        return missed


def is_alone(pattern: int) -> bool:
    """Whether a set holds one limit."""
    return pattern & (pattern - 1) == 0


@dataclass
class Outcome:
    """What a pass found: rows seen, rows that hold every limit, their front; without any, the near misses.

    dry: misses by limits that need no chill. slow: those that fit and can be built, but miss a limit on
    the chill itself.
    """

    space: Space
    enumerated: int = 0
    feasible: int = 0
    buildable: int = 0
    cheapest: float = np.inf
    front: Front = field(default_factory=Front.empty)
    dry: Misses = field(default_factory=lambda: Misses(KEPT_ALONE))
    slow: Misses = field(default_factory=lambda: Misses(CHUNK))


def enumerate_space(space: Space, chunk: int = CHUNK) -> Outcome:
    """Evaluate every row of the space."""
    outcome = Outcome(space)
    for numbers in space.chunks(chunk):
        _take_in(outcome, rows(space, numbers))
    return outcome


def _take_in(outcome: Outcome, r: Rows) -> None:
    outcome.enumerated += len(r)
    broken = r.checks.broken()
    fits = np.flatnonzero(~broken.any(axis=0))
    if outcome.feasible == 0:
        # Near misses matter only as long as nothing has been found.
        outcome.dry.add(r.checks.names, r.number, r.checks.violations(), broken, _surface(r))
    if fits.size == 0:
        return
    outcome.buildable += fits.size
    outcome.cheapest = min(outcome.cheapest, float(r.cost[fits].min()))
    result, checks = chilled(outcome.space, r, fits)
    missed = checks.broken()
    holds = ~missed.any(axis=0)
    if outcome.feasible == 0 and not holds.all():
        outcome.slow.add(checks.names, r.number[fits], checks.violations(), missed, _surface(r)[fits])
    if not holds.any():
        return
    keep = fits[holds]
    outcome.feasible += keep.size
    goals = np.stack([result.time[holds], r.cost[keep], result.water[holds], r.difficulty[keep]], axis=1)
    plainness = outcome.space.pairs.plainness[r.pair[keep]]
    outcome.front = merged(outcome.front, r.number[keep], goals, plainness)


def _surface(r: Rows) -> Array:
    """Tube surface in the wort [m2], without pi."""
    return r.standing.wetted * r.shape.d_o
