"""What more or less money buys beside the first: the coils a person would consider who goes up step by step.

The first is always a step. What costs no more and is as quick lost to it by work or water, and what is
cheaper but harder to build is no saving: neither is one.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.search.designs import Design
from optichill.search.glance import Glance, Weighed
from optichill.search.ranking import ALIKE
from optichill.workshop.difficulty import BAND_LIMITS

GAINS = (0.08, ALIKE, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
"""Shares of its time that each step saves of the one before: the least that leaves few enough steps."""

MOST_STEPS = 6

TOO_SLOW = 3.0
"""Times as long as the first takes: slower coils are no step (OWN)."""


def ladder(weighed: Weighed, told: Mapping[str, Design]) -> tuple[Glance, ...]:
    """The steps, cheapest first; told : coils worked out in full, by id."""
    time, cost, first = weighed.time, weighed.rows.cost, weighed.first
    band = np.searchsorted(BAND_LIMITS, weighed.rows.difficulty, side="right")
    dearer = cost > cost[first]
    slower = ~dearer & (band <= band[first]) & (time > time[first]) & (time <= TOO_SLOW * time[first])
    slower[first], quicker = True, dearer & (time < time[first])
    quicker[first] = True
    ways = [_stairs_of(weighed, which) for which in (slower, quicker)]
    for gain in GAINS:
        # Both from the first on: down to cheaper ones, and up.
        down, up = (_apart(time[places], gain, way) for places, way in zip(ways, (-1, 1), strict=True))
        if down.size + up.size - 1 <= MOST_STEPS:
            break
    steps = np.concatenate([ways[0][down], ways[1][up][1:]])[-MOST_STEPS:]
    return _quicker_as_told(weighed.glances(steps, told))


def _stairs_of(weighed: Weighed, which: Mask) -> Index:
    """Steps among some, the first in rank among them."""
    free, r = np.flatnonzero(weighed.ranking.free & which), weighed.rows
    # As they are told: of what is alike then the easiest.
    minutes, money = np.rint(weighed.time[free] / 60.0), np.rint(r.cost[free] / weighed.front.steps[1])
    places = free[stairs(money, minutes, r.difficulty[free])]
    places = np.union1d(places, weighed.first)
    return np.asarray(places[np.argsort(weighed.rows.cost[places], kind="stable")])


def stairs(cost: Array, time: Array, work: Array) -> Index:
    """Who is quicker than all that cost no more, cheapest first, without those that nobody would stop at: for
    up to a tenth more money a greater share of the time is saved. Of equals in both the one of least work.

    Examples
    --------
    Five more than 78 saves a tenth again; nobody stops at 78:

    >>> cost, time = np.array([50.0, 64.0, 70.0, 78.0, 83.0]), np.array([44.0, 22.0, 22.5, 19.8, 17.3])
    >>> stairs(cost, time, np.ones(5)).tolist()
    [0, 1, 4]
    """
    order = np.lexsort((work, time, cost))
    quicker = time[order] < np.minimum.accumulate(np.concatenate([[np.inf], time[order][:-1]]))
    kept = order[quicker]
    dearer = cost[kept] / np.maximum(cost[kept][:, None], 1e-9) - 1.0
    saved = 1.0 - time[kept] / time[kept][:, None]
    better = (dearer >= 0.0) & (dearer <= ALIKE) & (saved > dearer)
    return kept[~better.any(axis=1)]


def _apart(time: Array, gain: float, way: int) -> Index:
    """Steps that each save at least that share of the time of the one before: upwards (1) from the first of
    them, or downwards (-1) from the last."""
    every = list(range(time.size))[::way]
    steps = every[:1]
    for step in every[1:]:  # each hangs on the one before; some dozens at most
        slow, quick = (time[steps[-1]], time[step])[::way]
        if quick <= (1.0 - gain) * slow:
            steps.append(step)
    return np.array(sorted(steps), np.intp)


def _quicker_as_told(steps: tuple[Glance, ...]) -> tuple[Glance, ...]:
    """Steps that a person sees as quicker, to the whole minute."""
    kept: list[Glance] = []
    for step in steps:
        if not kept or round(step.chill_time / 60.0) < round(kept[-1].chill_time / 60.0):
            kept.append(step)
    return tuple(kept)
