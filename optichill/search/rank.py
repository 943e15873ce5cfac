"""Ranking by achievement, and a shortlist of builds that a person would call different."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.inputs.wishes import Wishes
from optichill.physics.water import Array
from optichill.search.front import GOALS, Front
from optichill.search.space import Index, Space

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
    return 1.0 - short.max(axis=1) - AUGMENTATION * short.sum(axis=1)


@dataclass(frozen=True)
class Choice:
    """Front entries in order of rank, with score and the number of near variants of each."""

    entry: Index
    score: Array
    near_variants: Index


def shortlist(space: Space, front: Front, by: Levels, most: int) -> Choice:
    """The best distinct builds, at most `most`."""
    points = score(front.goals, by)
    order = np.lexsort((front.number, front.plainness, -points))
    pair, gap, turns = space.decode(front.number)
    chosen: list[int] = []
    stands_for: list[int] = []
    for entry in order.tolist():  # the front is small, and each choice depends on the ones before
        like = [i for i, c in enumerate(chosen) if _alike(space, pair, turns, entry, c)]
        if like:
            stands_for[like[0]] += int(front.stands_for[entry])
        elif len(chosen) < most:
            free = [e for e in order.tolist() if not any(_alike(space, pair, turns, e, c) for c in chosen)]
            plain = _plainest(front, points, entry, free)
            chosen.append(plain)
            stands_for.append(int(front.stands_for[entry]) - 1)
    index = np.array(chosen, dtype=np.intp)
    return Choice(index, points[index], np.array(stands_for, dtype=np.intp))


def _alike(space: Space, pair: Index, turns: Array, a: int, b: int) -> bool:
    """Whether two entries are one build to a person standing before the shelf."""
    tube_a, tube_b = space.windings[pair[a]].tube, space.windings[pair[b]].tube
    D = space.pairs.D_c[pair]
    return (
        tube_a.material == tube_b.material
        and abs(tube_a.outer_diameter - tube_b.outer_diameter) <= SAME_TUBE + 1e-9
        and abs(D[a] - D[b]) <= OTHER_COIL
        and abs(turns[a] - turns[b]) < OTHER_TURNS
    )


def _plainest(front: Front, points: Array, entry: int, among: list[int]) -> int:
    """The plainest design that is within NEAR of `entry` in every goal."""
    goals = front.goals
    rivals = [e for e in among if (np.abs(goals[e] - goals[entry]) <= NEAR * np.abs(goals[entry])).all()]
    return min([entry, *rivals], key=lambda e: (front.plainness[e], -points[e], front.number[e]))
