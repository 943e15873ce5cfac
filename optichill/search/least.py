"""Rows that cost least over their lives, kept beside the front while a million pass by.

The front rounds goals to what a brewer could notice, and a few such steps together may be worth more than a
tie: half a point of work, where few batches share it. What nothing beats and comes within a tie of the least
is not lost to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.worth import worth_of
from optichill.search.evaluate import Rows
from optichill.search.front import COLUMNS, Front, unbeaten
from optichill.search.space import Space
from optichill.thermal.cooldown import LONGEST, Chill

MOST = 32
"""Rows kept."""


@dataclass
class LeastCost:
    """The rows with what they cost over their lives by the medians, within a tie of the least."""

    tie: float
    rows: Front = field(default_factory=Front.empty)
    life: Array = field(default_factory=lambda: np.empty(0))

    def take_in(self, new: Front, life: Array) -> None:
        """Take in what comes new; life : of each."""
        near = np.flatnonzero(life <= min(life.min(initial=np.inf), self.life.min(initial=np.inf)) + self.tie)
        every = _together(self.rows, new.take(near))
        life = np.concatenate([self.life, life[near]])
        order = np.lexsort((every.number, life))
        order = order[life[order] <= life.min(initial=np.inf) + self.tie]
        order = order[_unbeaten(every.goals[order])][:MOST]
        self.rows, self.life = every.take(order), life[order]

    def beside(self, front: Front) -> Front:
        """The front with those of the rows that nothing on it beats."""
        new = self.rows.take(np.flatnonzero(~np.isin(self.rows.number, front.number)))
        both = _together(front, new)
        kept = np.union1d(np.arange(len(front)), _unbeaten(both.goals))
        return both.take(kept.astype(np.intp))


def _together(front: Front, other: Front) -> Front:
    columns = {n: np.concatenate([getattr(front, n), getattr(other, n)]) for n in COLUMNS}
    return replace(front, **columns)


def _unbeaten(goals: Array) -> Index:
    """Places of what nothing is better than in one goal and as good in the others, not rounded; of equals the
    first."""
    first = np.unique(goals, axis=0, return_index=True)[1]
    return np.sort(first[unbeaten(goals[first])])


def lifetime_by_medians(space: Space, r: Rows, result: Chill, some: Index | None = None) -> Array:
    """What rows, or some of them, cost over a coil's life with every median, inf where the target is out of
    reach; result : the chill of these alone."""
    worth, reached = worth_of(space.basis), np.isfinite(result.time)
    some = np.arange(len(r)) if some is None else some
    life = worth.lifetime(
        build=r.cost[some],
        beyond=np.maximum(np.minimum(result.time, LONGEST) - worth.good_time, 0.0),
        water=np.where(reached, result.water, 0.0),
        ice=np.where(reached, result.ice, 0.0),
        difficulty=r.difficulty[some],
        roll=space.setups.get("tube_price", r.setup[some]),
    )
    return np.where(reached, life.total, np.inf)
