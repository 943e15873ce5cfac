"""What ranks the front: cost over the coil's life, or levels where the brewer states them; and a shortlist of
builds that a person would call different.

Levels of cost that nobody stated are multiples of the cheapest build that holds every limit which needs no
chill, also where no budget is stated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.model.wishes import Wishes
from optichill.search.front import GOALS, Front
from optichill.workshop.difficulty import BAND_LIMITS
from optichill.workshop.lifetime import Lifetime

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


@dataclass(frozen=True)
class Levels:
    """Good and acceptable level and weight of each goal, shape (4,) in the order of GOALS; assumed: names of
    the goals whose levels are the fixed ones."""

    good: Array
    acceptable: Array
    weight: Array
    assumed: tuple[str, ...]


def levels(wishes: Wishes, *, cheapest: float, wort_volume: float) -> Levels | None:
    """From the levels that the brewer states, the others fixed; None where none are stated."""
    if not wishes.states_levels:
        return None
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
class Ranking:
    """The front weighed.

    points : larger is better, shape (designs,); by lifetime cost less is more. free : as open as the limits
    let it, so that it may be shown as a build. levels : those that the brewer stated, None where lifetime
    cost ranks.
    """

    points: Array
    free: Mask
    life: Lifetime
    levels: Levels | None


def points_of(goals: Array, life: Lifetime, by: Levels | None) -> Array:
    """By stated levels where there are any, else by what coils cost over their life; larger is better."""
    return -life.total if by is None else score(goals, by)


@dataclass(frozen=True)
class Shortlist:
    """Front entries in order of rank, and the number of near variants of each."""

    entry: Index
    near_variants: Index


ALIKE = 0.10
"""Designs within this share in time, money and water, and in one band of work, are one choice to a person."""


def alike(goals: Array, place: int) -> Mask:
    """Which designs are one choice with design number `place` to a person; goals of shape (designs, 4)."""
    band = np.searchsorted(BAND_LIMITS, goals[:, 3], side="right")
    apart = np.abs(goals[:, :3] - goals[place, :3])
    out: Mask = (band == band[place]) & (apart <= ALIKE * goals[place, :3]).all(axis=1)
    return out


def shortlist(front: Front, points: Array, free: Mask, most: int) -> Shortlist:
    """The best of the `free` builds that differ, at most `most`: the best first, then the best of what is
    unlike it."""
    order = np.lexsort((front.number, front.goals[:, 0], front.goals[:, 1], front.goals[:, 3], -points))
    left = np.ones(len(front), dtype=bool)
    chosen: list[int] = []
    stands_for: list[int] = []
    for entry in order.tolist():  # each choice depends on the ones before
        if len(chosen) == most:
            break
        if not (free[entry] and left[entry]):
            continue
        near = left & alike(front.goals, entry)
        stands_for.append(int(front.stands_for[near].sum()) - 1)
        left[near] = False
        chosen.append(entry)
    return Shortlist(np.array(chosen, np.intp), np.array(stands_for, np.intp))
