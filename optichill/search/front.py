"""The designs that nothing beats: an archive that stays small while a million rows pass by.

For the front, goals are rounded to steps that a brewer could notice; among designs equal in all of them the
plainest stays and counts the others.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

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

MOST_ASKED, BLOCKS = 240, 8
"""How many designs of the front are held against others that may be left out, and in how many rounds."""


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
        """Whether one of the front's best all-round designs is at least as good in every rounded goal and
        better in one; goals of shape (designs, 4). NaN is beaten by nothing."""
        mine = rounded(self.goals, self.steps)
        order = np.argsort((mine / np.maximum(np.median(mine, axis=0), 1.0)).sum(axis=1), kind="stable")
        theirs = rounded(goals, self.steps)
        beaten = np.zeros(len(theirs), dtype=bool)
        for block in np.array_split(mine[order[:MOST_ASKED]], BLOCKS):
            left = np.flatnonzero(~beaten)
            better = np.ones((left.size, len(block)), dtype=bool)
            strictly = np.zeros_like(better)
            for goal in range(len(GOALS)):
                column = theirs[left, goal][:, None]
                better &= block[:, goal] <= column
                strictly |= block[:, goal] < column
            beaten[left] = (better & strictly).any(axis=1)
        return beaten

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
    import moocore

    if len(front) < 2:
        return front
    keep = moocore.is_nondominated(rounded(front.goals, front.steps), keep_weakly=True)
    return front.take(np.flatnonzero(keep))
