"""What more money buys: the coils a person would consider who goes up from the cheapest step by step."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from optichill.arrays import Array, Index
from optichill.search.designs import Design
from optichill.search.glance import Glance, Weighed
from optichill.search.ranking import ALIKE

GAINS = (ALIKE, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
"""Shares of its time that each step saves of the one before: the least that leaves few enough steps."""

MOST_STEPS = 6

TOO_SLOW = 3.0
"""Times as long as the first takes: slower coils are no step (OWN)."""


def ladder(weighed: Weighed, told: Mapping[str, Design]) -> tuple[Glance, ...]:
    """The steps, cheapest first; told : coils worked out in full, by id."""
    time, cost = weighed.time, weighed.rows.cost
    free = np.flatnonzero(weighed.ranking.free & (time <= TOO_SLOW * time[weighed.first]))
    places = free[stairs(cost[free], time[free])]
    steps = next(
        (steps for gain in GAINS if (steps := _apart(time[places], gain)).size <= MOST_STEPS),
        np.arange(min(MOST_STEPS, places.size)),
    )
    return _quicker_as_told(weighed.glances(places[steps], told))


def stairs(cost: Array, time: Array) -> Index:
    """Who is quicker than all that cost no more, cheapest first, without those that nobody would stop at: for
    up to a tenth more money a greater share of the time is saved.

    Examples
    --------
    Five more than 78 saves a tenth again; nobody stops at 78:

    >>> stairs(np.array([50.0, 64.0, 70.0, 78.0, 83.0]), np.array([44.0, 22.0, 22.5, 19.8, 17.3])).tolist()
    [0, 1, 4]
    """
    order = np.lexsort((time, cost))
    quicker = time[order] < np.minimum.accumulate(np.concatenate([[np.inf], time[order][:-1]]))
    kept = order[quicker]
    dearer = cost[kept] / np.maximum(cost[kept][:, None], 1e-9) - 1.0
    saved = 1.0 - time[kept] / time[kept][:, None]
    better = (dearer >= 0.0) & (dearer <= ALIKE) & (saved > dearer)
    return kept[~better.any(axis=1)]


def _apart(time: Array, gain: float) -> Index:
    """Steps that each save at least that share of the time of the one before."""
    steps: list[int] = []
    for step, takes in enumerate(time.tolist()):  # each hangs on the one before; some dozens at most
        if not steps or takes <= (1.0 - gain) * time[steps[-1]]:
            steps.append(step)
    return np.array(steps, np.intp)


def _quicker_as_told(steps: tuple[Glance, ...]) -> tuple[Glance, ...]:
    """Steps that a person sees as quicker, to the whole minute."""
    kept: list[Glance] = []
    for step in steps:
        if not kept or round(step.chill_time / 60.0) < round(kept[-1].chill_time / 60.0):
            kept.append(step)
    return tuple(kept)
