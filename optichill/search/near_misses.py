"""Designs that break limits, told apart by the set of limits they break, and the nearest of each set.

A set is a number with a bit for each limit; a miss is by how much the worst of the broken limits is missed,
as a share of its bound. Behind all others stand those that break a limit further than anybody could move it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.checks import Checks

KEPT_ALONE, KEPT_SPREAD = 16_384, 8192
KEPT_TOGETHER, KEPT_OF_A_KIND = 16, 16
KEPT_SLOW = 8192
"""Near misses kept for each set of broken limits: many where one limit alone stands in the way, the nearest
and so many spread evenly over all of them; of several together so many of the nearest, and of each kind of
coil (tube and layout) so many with the most surface. Of a kind the sixth was at times the first to hold the
chill's limits, of all kinds the 130th; with 8 of a kind one question in 16 named a conflict too small, with
16 none of 32 did, by the whole product (OWN)."""

KINDS = 64
"""Kinds of coil that are usual in a set; more cost only time."""

SCATTER = 2_654_435_761
"""Knuth's multiplier: row numbers times this, modulo 2^32, lie about as if drawn (Knuth, The Art of Computer
Programming 3, 6.4)."""


def sets_broken(broken: Mask) -> Index:
    """The set of limits that each design breaks, 0 for none. broken : shape (limits, designs)."""
    return np.asarray((broken * (1 << np.arange(broken.shape[0]))[:, None]).sum(axis=0), dtype=np.intp)


def is_alone(pattern: int) -> bool:
    """Whether a set holds one limit."""
    return pattern & (pattern - 1) == 0


def worst_misses(broken: Mask, misses: Array) -> Array:
    """By how much each design misses, 0 where it breaks nothing. Both of shape (limits, designs)."""
    return np.asarray(np.where(broken, misses, 0.0).max(axis=0))


def nearest_of_each(broken: Mask, misses: Array, number: Index, most: int) -> Index:
    """Places of the `most` nearest misses of each set of limits, set by set, nearest first; of two that miss
    alike the smaller number first. What breaks nothing is a set too."""
    pattern = sets_broken(broken)
    order = np.lexsort((number, worst_misses(broken, misses), pattern))
    return order[_nth_of_its_run(pattern[order]) < most]


def _nth_of_its_run(key: Index) -> Index:
    """How many of the same key stand right before each."""
    every = np.arange(key.size)
    new = np.concatenate([[True], key[1:] != key[:-1]])[: key.size]
    return every - np.maximum.accumulate(np.where(new, every, 0))


@dataclass(frozen=True)
class _Missed:
    """Rows that break one set of limits: how far they miss, the kind of coil, and the surface of tube in the
    wort: within a kind, the more, the sooner the chill holds its own limits."""

    number: Index
    miss: Array
    surface: Array
    kind: Index

    def nearest(self, most: int) -> Index:
        """Places of the nearest misses, nearest first."""
        return np.lexsort((self.number, self.miss))[:most]

    def largest(self, most: int) -> Index:
        """Places of those with the most surface of their kind."""
        order = np.lexsort((self.number, -self.surface, self.kind))
        return order[_nth_of_its_run(self.kind[order]) < most]

    def spread(self, most: int) -> Index:
        """Places of so many spread over all that ever came, whatever the pieces they came in."""
        return np.lexsort((self.number, self.number * SCATTER % (1 << 32)))[:most]

    def take(self, places: Index) -> _Missed:
        return _Missed(*(column[places] for column in vars(self).values()))


@dataclass
class NearMisses:
    """Rows by the set of limits that they break, gathered piece by piece: at most `alone` of each single
    limit that are nearest, and `spread` over the rest; of each kind of coil `of_a_kind` besides, for chills
    that never end all miss alike. names : of the limits, a bit each."""

    alone: int
    spread: int = 0
    of_a_kind: int = 0
    names: tuple[str, ...] = ()
    pieces: dict[int, list[_Missed]] = field(default_factory=dict)

    def add(
        self, checks: Checks, number: Index, surface: Array, kind: Index, barred: Mask | None = None
    ) -> None:
        """Take in the misses among some rows, of all or of those that are barred."""
        self.names, broken = checks.names, checks.broken()
        sets, miss = sets_broken(broken), worst_misses(broken, checks.steps())
        sets = sets if barred is None else np.where(barred, sets, 0)
        for pattern in np.unique(sets[sets > 0]).tolist():
            here = np.flatnonzero(sets == pattern)
            pieces = self.pieces.setdefault(pattern, [])
            pieces.append(_Missed(number[here], miss[here], surface[here], kind[here]))
            # Laid together only now and then: each row is moved a few times, not once a chunk.
            if sum(p.number.size for p in pieces) > 4 * self._most(pattern):
                self._lay_together(pattern)

    def join(self, other: NearMisses) -> None:
        """Take in the misses among other rows."""
        self.names = self.names or other.names
        for pattern, pieces in other.pieces.items():
            self.pieces.setdefault(pattern, []).extend(pieces)

    def limits(self, pattern: int) -> frozenset[str]:
        """The limits of one set."""
        return frozenset(name for place, name in enumerate(self.names) if pattern >> place & 1)

    def patterns(self) -> list[int]:
        """The sets of limits met, in a fixed order."""
        return sorted(self.pieces)

    def nearest_first(self, pattern: int) -> Index:
        """Row numbers of one set, by how far they miss."""
        kept = self._lay_together(pattern)
        return kept.number[kept.nearest(kept.number.size)]

    def within(self, limits: frozenset[str]) -> Index:
        """Row numbers of those that break none but these limits, by how far they miss."""
        allowed = sum(1 << place for place, name in enumerate(self.names) if name in limits)
        kept = [self._lay_together(p) for p in self.patterns() if not p & ~allowed]
        if not kept:
            return np.empty(0, np.intp)
        number, miss = (np.concatenate([getattr(k, n) for k in kept]) for n in ("number", "miss"))
        return np.asarray(number[np.lexsort((number, miss))])

    def _most(self, pattern: int) -> int:
        alone = self.alone + self.spread + KINDS * self.of_a_kind
        return alone if is_alone(pattern) else KINDS * KEPT_OF_A_KIND

    def _lay_together(self, pattern: int) -> _Missed:
        pieces = self.pieces[pattern]
        missed = _Missed(
            *(np.concatenate(column) for column in zip(*(vars(p).values() for p in pieces), strict=True))
        )
        if is_alone(pattern):
            keep = np.union1d(missed.nearest(self.alone), missed.spread(self.spread))
            keep = np.union1d(keep, missed.largest(self.of_a_kind))
        else:
            keep = np.union1d(missed.nearest(KEPT_TOGETHER), missed.largest(KEPT_OF_A_KIND))
        self.pieces[pattern] = [missed.take(keep)]
        return self.pieces[pattern][0]
