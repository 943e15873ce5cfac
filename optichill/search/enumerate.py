"""One pass over the space, chunk by chunk: the front of what holds, and near misses of what does not."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from optichill.physics.water import Array
from optichill.search.evaluate import Rows, chilled, rows
from optichill.search.front import Front, merged
from optichill.search.space import Index, Space

CHUNK = 4096
"""Rows worked on at once: small enough for the processor's cache, large enough to hide the overhead."""

KEPT_ALONE = 400_000
KEPT_TOGETHER = 16
"""Near misses kept for each set of broken limits: many where one limit alone stands in the way; of several
together so many of the nearest, and so many with the most surface."""


@dataclass
class Misses:
    """Rows that break limits, by the set of limits (a bit each), with how far they miss, as a share, and how
    much tube surface stands in the wort: the more, the sooner the chill holds its own limits."""

    names: tuple[str, ...] = ()
    number: dict[int, Index] = field(default_factory=dict)
    by_how_much: dict[int, Array] = field(default_factory=dict)
    surface: dict[int, Array] = field(default_factory=dict)

    def add(
        self,
        names: tuple[str, ...],
        number: Index,
        violations: Array,
        broken: NDArray[np.bool_],
        surface: Array,
    ) -> None:
        """Keep the misses of each set that may matter."""
        self.names = names
        bits = (broken * (1 << np.arange(len(names)))[:, None]).sum(axis=0)
        miss = np.where(broken, violations, 0.0).max(axis=0)
        for pattern in np.unique(bits[bits > 0]).tolist():
            here = bits == pattern
            self._keep(pattern, number[here], miss[here], surface[here])

    def nearest_first(self, pattern: int) -> Index:
        """Row numbers of one set, by how far they miss."""
        number, miss = self.number[pattern], self.by_how_much[pattern]
        return number[np.lexsort((number, miss))]

    def _keep(self, pattern: int, number: Index, miss: Array, surface: Array) -> None:
        if pattern in self.number:
            number = np.concatenate([self.number[pattern], number])
            miss = np.concatenate([self.by_how_much[pattern], miss])
            surface = np.concatenate([self.surface[pattern], surface])
        alone = pattern & (pattern - 1) == 0
        if number.size > (KEPT_ALONE if alone else 2 * KEPT_TOGETHER):
            kept = np.lexsort((number, miss))[: KEPT_ALONE if alone else KEPT_TOGETHER]
            if not alone:
                largest = np.lexsort((number, -surface))[:KEPT_TOGETHER]
                kept = np.union1d(kept, largest)
            number, miss, surface = number[kept], miss[kept], surface[kept]
        self.number[pattern], self.by_how_much[pattern], self.surface[pattern] = number, miss, surface


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
    dry: Misses = field(default_factory=Misses)
    slow: Misses = field(default_factory=Misses)


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
