"""What ranks the front: cost over the coil's life, or levels where the brewer states them; and a shortlist of
the best and what a person may want instead.

Levels of cost that nobody stated are multiples of the cheapest build that holds every limit which needs no
chill, also where no budget is stated.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
    let it, so that it may be shown as a build. seen : the goals as a person is told them, what is most likely
    in all draws, shape (designs, 4). levels : those that the brewer stated, None where lifetime cost ranks.
    """

    points: Array
    free: Mask
    seen: Array
    life: Lifetime
    levels: Levels | None


def points_of(goals: Array, life: Lifetime, by: Levels | None) -> Array:
    """By stated levels where there are any, else by what coils cost over their life; larger is better."""
    return -life.total if by is None else score(goals, by)


@dataclass(frozen=True)
class Shortlist:
    """Front entries in order of rank, and how many rows are near variants of each."""

    entry: Index
    near_variants: Index


ALIKE, HARDLY = 0.10, 0.05
"""A smaller share of time, money or water is no reason to take one build instead of another; and nobody would
choose by a share as small as the second (OWN)."""

MINUTE, LITRES, MONEY = 60.0, 0.005, 1.0
"""Differences below these [s, m3, money] are told as none, whatever share they are (OWN)."""

KNOWN = 0.01
"""Share to which a search knows time and water as they are told of the few that are shown."""


def least_seen(its: Array, coin: float = MONEY, share: float = ALIKE) -> Array:
    """By how much less time, money and water are seen to be less than those of designs: by more than that
    share, and than what is told as nothing.

    Parameters
    ----------
    its : goals as a person is told them, shape (..., 4).
    coin : by which money is told apart, where that is more than one of the currency.

    Examples
    --------
    >>> least_seen(np.array([1200.0, 8.0, 0.02, 5.0])).tolist()  # 2 min; one coin, not 0.8; 5 L, not 2
    [120.0, 1.0, 0.0052]
    """
    hair = np.array([MINUTE, max(MONEY, coin), LITRES]) + [KNOWN, 0.0, KNOWN] * its[..., :3]
    return np.where(np.isfinite(its[..., :3]), np.maximum(hair, share * its[..., :3]), 0.0)


def better(mine: Array, its: Array, coin: float = MONEY, share: float = ALIKE) -> Mask:
    """Whether designs are better than others in something that a person sees, or in an easier band of work.

    Parameters
    ----------
    mine, its : goals as a person is told them, shapes (..., 4).
    coin, share : as in `least_seen`.

    Examples
    --------
    For 12 more the first saves 5 L, which is no reason; the second saves 7 min, the third is easier:

    >>> mine = [[1200, 97, 0.140, 5.0], [780, 141, 0.150, 5.0], [1300, 97, 0.2, 3.0]]
    >>> better(np.array(mine), np.array([1200, 85, 0.145, 5.0])).tolist()
    [False, True, True]
    """
    with np.errstate(invalid="ignore"):  # of two that never come to the target none is quicker
        less = its[..., :3] - mine[..., :3] > least_seen(its, coin, share)
    band, its_band = (np.searchsorted(BAND_LIMITS, x[..., 3], side="right") for x in (mine, its))
    return np.asarray(less.any(axis=-1) | (band < its_band))


def alike(seen: Array, place: int, coin: float = MONEY) -> Mask:
    """Which designs are near variants of design number `place`, itself among them: neither is better in
    something that a person sees; seen : goals as told, shape (designs, 4)."""
    its = seen[place]
    return ~better(seen, its, coin) & ~better(its, seen, coin)


def covering(
    order: Index,
    free: Mask,
    most: int,
    better: Callable[[Index, Index, float], Mask],
    alone: Mask | None = None,
) -> list[int]:
    """The best, and what a person may want instead, at most `most`, in order of rank.

    Each is better in something to be seen than every one before it, and nothing that is left out is better
    than all of them. Where one is better by enough and another that ranks before it lacks hardly anything of
    that, the other is taken.

    Parameters
    ----------
    order : places of the designs, the best first.
    free : which may be shown.
    better : tells of designs at some places whether they are better than those at others by a share.
    alone : those in whose place no other is taken.
    """
    by_itself = np.zeros(free.size, dtype=bool) if alone is None else alone
    chosen: list[int] = []
    left, said, since = free[order], free[order], 0
    while len(chosen) < most and left.any():
        at = int(left.argmax())
        before = since + np.flatnonzero(said[since : at + 1])
        before = before[-1:] if by_itself[order[at]] else before
        since = int(before[~better(order[at], order[before], HARDLY)][0]) + 1
        chosen.append(int(order[since - 1]))
        left &= better(order, order[since - 1], ALIKE)
        said &= better(order, order[since - 1], HARDLY)
    return chosen


def in_order(front: Front, ranking: Ranking) -> Index:
    """Places of the front's designs, the best first; of equals the easier, the cheaper, the faster."""
    time, cost, _, work = front.goals.T
    return np.lexsort((front.number, time, cost, work, -ranking.points))


def shortlist(front: Front, ranking: Ranking, most: int, explored: Mask | None = None) -> Shortlist:
    """The best of the builds that may be shown, and what a person may want instead, at most `most`.

    explored : which of the front lie beyond the lists. Such a one is shown itself or not at all: a coil of
    the lists in its place would be one that the lists alone do not show, for too little is gained by it.
    """
    seen, coin, order = ranking.seen, float(front.steps[1]), in_order(front, ranking)
    chosen = covering(
        order,
        ranking.free,
        most,
        lambda mine, its, share: better(seen[mine], seen[its], coin, share),
        explored,
    )
    near = near_variants([alike(seen, place, coin) for place in chosen], chosen, front.stands_for)
    return Shortlist(np.array(chosen, np.intp), near + front.stands_for[chosen] - 1)


def near_variants(alike: Sequence[Mask], chosen: Sequence[int], stands_for: Index) -> Index:
    """How many rows are near variants of each that is chosen, those of several counted with the first of
    them; alike : which designs are, stands_for : rows that each of them stands for."""
    found, counted = [], np.zeros(stands_for.size, dtype=bool)
    counted[list(chosen)] = True
    for near in alike:
        found.append(int(stands_for[near & ~counted].sum()))
        counted |= near
    return np.array(found, np.intp)
