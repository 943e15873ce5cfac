"""The designs that nothing beats: an archive that stays small while a million rows pass by.

For the front, goals are rounded to steps that a brewer could notice; among designs equal in all of them the
plainest stays and counts the others.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from optichill.arrays import Array, Index, Mask
from optichill.model.stock import Stock
from optichill.problem.worth import metre_of_copper

GOALS = ("chill_time", "cost", "water", "difficulty")
STEPS = np.array([10.0, 1.0, 1e-3, 0.5])
"""Steps of the goals on the front: 10 s, one unit of money, 1 L, half a point of difficulty (OWN)."""

MONEY_IN_METRES = 0.22
"""Metres of copper that a unit of money is worth on the front: about 1 EUR, whatever the currency (OWN)."""


def steps_of(stock: Stock) -> Array:
    """Steps of the goals at a list's prices.

    Examples
    --------
    >>> steps_of(Stock()).tolist()  # without a price a metre counts 1
    [10.0, 0.22, 0.001, 0.5]
    """
    return STEPS * [1.0, MONEY_IN_METRES * metre_of_copper(stock), 1.0, 1.0]


COLUMNS = ("number", "goals", "plainness", "stands_for")

WORD = 64
"""Designs of a set that one whole number holds."""


@dataclass(frozen=True)
class Front:
    """Row numbers with their goals, shape (designs, 4) in the order of GOALS, plainness and the number of
    rows that each stands for. steps : that goals are rounded to."""

    number: Index
    goals: Array
    plainness: Array
    stands_for: Index
    steps: Array = field(default_factory=lambda: STEPS)

    def __len__(self) -> int:
        return int(self.number.size)

    @classmethod
    def of(cls, number: Index, goals: Array, plainness: Array, steps: Array = STEPS) -> Front:
        """Rows as they come, each standing for itself."""
        return cls(number, goals, plainness, np.ones(number.size, np.intp), steps)

    @classmethod
    def empty(cls, steps: Array = STEPS) -> Front:
        """No design yet."""
        return cls(np.empty(0, np.intp), np.empty((0, 4)), np.empty(0), np.empty(0, np.intp), steps)

    def beats(self, goals: Array) -> Mask:
        """Whether a design of the front is at least as good in every rounded goal and better in one; goals of
        shape (designs, 4). NaN is beaten by nothing."""
        if not len(self) or not len(goals):
            return np.zeros(len(goals), dtype=bool)
        theirs, (mine, levels, as_good) = rounded(goals, self.steps), self._as_good
        # Of each goal the set of the front's designs that are as good, a bit each; in all what they share.
        sets = None
        for goal in range(len(GOALS)):
            column = as_good[goal].take(np.searchsorted(levels[goal], theirs[:, goal], side="right"), axis=0)
            sets = column if sets is None else np.bitwise_and(sets, column, out=sets)
        assert sets is not None
        some = np.flatnonzero(sets.any(axis=1))
        # Nothing on a front beats another of it: of one that is equal no other is as good.
        same = np.zeros(some.size, dtype=bool)
        alone = np.flatnonzero(np.bitwise_count(sets[some]).sum(axis=1) == 1)
        word = sets[some[alone]].argmax(axis=1)
        bit = np.bitwise_count(sets[some[alone], word] - np.uint64(1)).astype(np.intp)
        same[alone] = (mine[word * WORD + bit] == theirs[some[alone]]).all(axis=1)
        beaten = np.zeros(len(theirs), dtype=bool)
        beaten[some[~same]] = True
        return beaten & ~np.isnan(theirs).any(axis=1)

    @cached_property
    def _as_good(self) -> tuple[Array, list[Array], list[NDArray[np.uint64]]]:
        """Rounded goals; of each goal their levels, rising, and the set of designs that are as good as the
        n-th level, shape (levels + 1, words), none before the first."""
        mine = rounded(self.goals, self.steps)
        every = np.arange(len(self))
        bits = np.zeros((len(self), -(-len(self) // WORD)), dtype=np.uint64)
        bits[every, every // WORD] = np.left_shift(np.uint64(1), (every % WORD).astype(np.uint64))
        levels, sets = [], []
        for column in mine.T:
            order = np.argsort(column, kind="stable")
            upto = np.bitwise_or.accumulate(bits[order], axis=0)
            levels.append(column[order])
            sets.append(np.concatenate([np.zeros_like(bits[:1]), upto]))
        return mine, levels, sets

    def take(self, index: Index) -> Front:
        """The chosen entries."""
        return replace(self, **{name: getattr(self, name)[index] for name in COLUMNS})


def joined(front: Front, other: Front) -> Front:
    """The front of two fronts, or of one and of what comes new."""
    columns = {n: np.concatenate([getattr(front, n), getattr(other, n)]) for n in COLUMNS}
    both = replace(front, **columns)
    return _non_dominated(_distinct(both))


def rounded(goals: Array, steps: Array = STEPS) -> Array:
    """Goals in whole steps."""
    return np.asarray(np.rint(goals / steps))


def _distinct(front: Front) -> Front:
    """One entry for each set of rounded goals: the plainest, then the fastest, then the first row."""
    key = rounded(front.goals, front.steps)
    order = np.lexsort((front.number, front.goals[:, 0], front.plainness, *key.T[::-1]))
    key = key[order]
    first = np.ones(order.size, dtype=bool)
    first[1:] = (key[1:] != key[:-1]).any(axis=1)
    group = np.cumsum(first) - 1
    counts = np.bincount(group, weights=front.stands_for[order].astype(np.float64)).astype(np.intp)
    kept = front.take(order[first])
    return replace(kept, stands_for=counts)


def _non_dominated(front: Front) -> Front:
    """Drop every entry that another beats in rounded goals."""
    return front.take(np.flatnonzero(unbeaten(rounded(front.goals, front.steps))))


AT_ONCE, ALL_ROUND = 256, 24
"""Rows that are held against what is kept, and against each other, in one go; and those that all are held
against first."""


def unbeaten(goals: Array) -> Mask:
    """Rows that no other is as good as in every goal and better in one, equals included; shape (rows, goals),
    no NaN. As moocore has it, whose loading takes longer."""
    order = np.arange(len(goals))
    if order.size > AT_ONCE:
        # A few that are good all round beat most of the others.
        with np.errstate(invalid="ignore"):
            sums = (goals / np.maximum(np.median(goals, axis=0), 1e-300)).sum(axis=1)
        order = np.flatnonzero(~_beaten_by(goals[np.argpartition(sums, ALL_ROUND)[:ALL_ROUND]], goals))
    # What beats a row comes before it in the order of the first goal, then the second, and so on.
    order = order[np.lexsort(goals[order].T[::-1])]
    kept = order[:0]
    for start in range(0, order.size, AT_ONCE):
        some = order[start : start + AT_ONCE]
        some = some[~_beaten_by(goals[kept], goals[some])]
        kept = np.concatenate([kept, some[~_beaten_by(goals[some], goals[some])]])
    out = np.zeros(len(goals), dtype=bool)
    out[kept] = True
    return out


def _beaten_by(mine: Array, theirs: Array) -> Mask:
    """Which of theirs one of mine is as good as in every goal, and better in one."""
    as_good = np.ones((len(theirs), len(mine)), dtype=bool)
    better = np.zeros_like(as_good)
    for ours, column in zip(mine.T, theirs.T, strict=True):
        as_good &= ours <= column[:, None]
        better |= ours < column[:, None]
    return np.asarray((as_good & better).any(axis=1))
