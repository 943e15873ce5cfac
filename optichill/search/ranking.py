"""Ranking by achievement, and a shortlist of builds that a person would call different.

Levels of cost that nobody stated are multiples of the cheapest build that holds every limit which needs no
chill, also where no budget is stated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.model.wishes import Wishes
from optichill.search.front import GOALS, Front
from optichill.search.space import Space

AUGMENTATION = 0.05
"""Share of the sum that breaks ties of the worst goal, and rewards being better in the others too."""

# Fixed levels where no wish was given: (good, acceptable). Time in s, difficulty 0-10; water per volume of
# wort; cost as a multiple of the cheapest complete build that fits (search design; OWN).
DEFAULT_LEVELS = {
    "chill_time": (12.0 * 60.0, 30.0 * 60.0),
    "cost": (1.0, 2.5),
    "water": (3.5, 12.0),
    "difficulty": (3.0, 6.0),
}

SAME_TUBE = 0.001  # m: tubes of one metal within this of outside diameter count as one
OTHER_COIL = 0.03  # m of coil diameter
OTHER_TURNS = 4.0
NEAR = 0.03
"""Designs within this share in every goal are as good as each other: the plainest wins."""


@dataclass(frozen=True)
class Levels:
    """Good and acceptable level and weight of each goal, shape (4,) in the order of GOALS; assumed: names of
    the goals whose levels are the fixed ones."""

    good: Array
    acceptable: Array
    weight: Array
    assumed: tuple[str, ...]


def levels(wishes: Wishes, *, cheapest: float, wort_volume: float) -> Levels:
    """From the brewer's wishes, and the fixed levels where there are none."""
    scale = {"cost": max(cheapest, 1.0), "water": wort_volume}
    good, acceptable, weight, assumed = [], [], [], []
    for goal in GOALS:
        wish = getattr(wishes, goal)
        if wish is None:
            low, high = (level * scale.get(goal, 1.0) for level in DEFAULT_LEVELS[goal])
            assumed.append(goal)
        else:
            low, high = wish.good, wish.acceptable
        good.append(low)
        acceptable.append(high)
        weight.append(1.0 if wish is None else wish.weight)
    return Levels(np.array(good), np.array(acceptable), np.array(weight), tuple(assumed))


def achievements(goals: Array, by: Levels) -> Array:
    """How far each goal is met: 1 at the good level, 0 at the acceptable one, shape (designs, 4)."""
    return (by.acceptable - goals) / (by.acceptable - by.good)


def score(goals: Array, by: Levels) -> Array:
    """Augmented achievement scalarization, larger is better, shape (designs,).

    The worst weighted shortfall decides, the sum breaks ties (Wierzbicki 1980, M). Unlike a weighted sum it
    can reach every design of the front.
    """
    # Weights act on the distance to the good level, so that a heavier wish is felt sooner.
    short = by.weight * (1.0 - achievements(goals, by))
    total: Array = 1.0 - short.max(axis=1) - AUGMENTATION * short.sum(axis=1)
    return total


@dataclass(frozen=True)
class Shortlist:
    """Front entries in order of rank, with score and the number of near variants of each."""

    entry: Index
    score: Array
    near_variants: Index


def shortlist(space: Space, front: Front, by: Levels, most: int) -> Shortlist:
    """The best distinct builds, at most `most`."""
    points = score(front.goals, by)
    order = np.lexsort((front.number, front.plainness, -points))
    builds = _Builds.of(space, front)
    free = np.ones(len(front), dtype=bool)
    chosen: list[int] = []
    stands_for: list[int] = []
    while len(chosen) < most and free.any():  # each choice depends on the ones before
        entry = int(order[free[order]][0])
        plain = _plainest(front, points, entry, np.flatnonzero(free))
        like = builds.like(plain)
        near = np.flatnonzero(free & (like | builds.like(entry)))
        stands_for.append(int(front.stands_for[near].sum()) - 1)
        free[near] = False
        chosen.append(plain)
    index = np.array(chosen, dtype=np.intp)
    return Shortlist(index, points[index], np.array(stands_for, dtype=np.intp))


@dataclass(frozen=True)
class _Builds:
    """What tells builds apart to a person standing before the shelf; arrays of shape (designs,)."""

    metal: Index
    d_o: Array
    D_c: Array
    turns: Array
    layout: Index

    @classmethod
    def of(cls, space: Space, front: Front) -> _Builds:
        setup, _, turns, _ = space.decode(front.number)
        setups = space.setups
        names = [space.windings[w].tube.material for w in setups.outer[setup].tolist()]
        kinds = sorted(set(names))
        metal = np.array([kinds.index(n) for n in names], dtype=np.intp)
        return cls(
            metal,
            setups.get("d_o", setup),
            setups.get("D_c", setup),
            turns,
            setups.layout[setup].astype(np.intp),
        )

    def like(self, one: int) -> Mask:
        """Which designs are the same build as `one`."""
        return np.asarray(
            (self.metal == self.metal[one])
            & (np.abs(self.d_o - self.d_o[one]) <= SAME_TUBE + 1e-9)
            & (np.abs(self.D_c - self.D_c[one]) <= OTHER_COIL)
            & (np.abs(self.turns - self.turns[one]) < OTHER_TURNS)
            & (self.layout == self.layout[one])
        )


def _plainest(front: Front, points: Array, entry: int, among: Index) -> int:
    """The plainest design that is within NEAR of `entry` in every goal."""
    goals = front.goals
    near = (np.abs(goals[among] - goals[entry]) <= NEAR * np.abs(goals[entry])).all(axis=1)
    rivals: list[int] = [entry, *among[near].tolist()]
    return min(rivals, key=lambda e: (front.plainness[e], -points[e], front.number[e]))
