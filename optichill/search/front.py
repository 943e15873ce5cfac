"""The designs that nothing beats: an archive that stays small while a million rows pass by.

For the front, goals are rounded to steps that a brewer could notice; among designs equal in all of them the
plainest stays and counts the others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.physics.water import Array
from optichill.search.space import Index

GOALS = ("chill_time", "cost", "water", "difficulty")
STEPS = np.array([10.0, 0.01, 1e-3, 0.5])
"""Steps of the goals on the front: 10 s, a cent, 1 L, half a point of difficulty (OWN)."""


@dataclass(frozen=True)
class Front:
    """Row numbers with their goals, shape (designs, 4) in the order of GOALS, plainness and the number of
    rows that each stands for."""

    number: Index
    goals: Array
    plainness: Array
    stands_for: Index

    def __len__(self) -> int:
        return int(self.number.size)

    @classmethod
    def empty(cls) -> Front:
        """No design yet."""
        return cls(np.empty(0, np.intp), np.empty((0, 4)), np.empty(0), np.empty(0, np.intp))

    def take(self, index: Index) -> Front:
        """The chosen entries."""
        return Front(self.number[index], self.goals[index], self.plainness[index], self.stands_for[index])


def merged(front: Front, number: Index, goals: Array, plainness: Array) -> Front:
    """The front of what was there and what comes new."""
    all_of = Front(
        np.concatenate([front.number, number]),
        np.concatenate([front.goals, goals]),
        np.concatenate([front.plainness, plainness]),
        np.concatenate([front.stands_for, np.ones(number.size, np.intp)]),
    )
    return _non_dominated(_distinct(all_of))


def rounded(goals: Array) -> Array:
    """Goals in whole steps."""
    return np.rint(goals / STEPS)


def _distinct(front: Front) -> Front:
    """One entry for each set of rounded goals: the plainest, then the fastest, then the first row."""
    key = rounded(front.goals)
    order = np.lexsort((front.number, front.goals[:, 0], front.plainness, *key.T[::-1]))
    key = key[order]
    first = np.ones(order.size, dtype=bool)
    first[1:] = (key[1:] != key[:-1]).any(axis=1)
    group = np.cumsum(first) - 1
    counts = np.bincount(group, weights=front.stands_for[order].astype(np.float64)).astype(np.intp)
    kept = front.take(order[first])
    return Front(kept.number, kept.goals, kept.plainness, counts)


def _non_dominated(front: Front) -> Front:
    """Drop every entry that another beats in rounded goals."""
    import moocore

    if len(front) < 2:
        return front
    keep = moocore.is_nondominated(rounded(front.goals), keep_weakly=True)
    return front.take(np.flatnonzero(keep))
