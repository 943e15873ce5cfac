"""What more or less money buys beside the first: the coils a person would consider who goes up step by step.

The first is always a step. What is quicker for no more money lost to it by work or water, and is told as
such: a person who reads the list would miss it; and so is what is as quick for much less money and harder to
build, by a tenth of it. What is cheaper and slower but harder to build is no saving.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.search.designs import Design
from optichill.search.glance import Glance, Weighed
from optichill.search.ranking import ALIKE, least_seen
from optichill.workshop.difficulty import BAND_LIMITS

GAINS = (0.08, ALIKE, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
"""Shares of its time that each step saves of the one before: the least that leaves few enough steps."""

MOST_STEPS = 6

TOO_SLOW = 3.0
"""Times as long as the first takes: slower coils are no step (OWN)."""


def ladder(weighed: Weighed, told: Mapping[str, Design]) -> tuple[Glance, ...]:
    """The steps, cheapest first; told : coils worked out in full, by id."""
    some, r = np.flatnonzero(_told_themselves(weighed)), weighed.rows
    first, coin = int(np.searchsorted(some, weighed.first)), weighed.front.steps[1]
    places = some[steps(r.cost[some], weighed.time[some], r.difficulty[some], first, coin)]
    at = np.flatnonzero(np.append(places, weighed.first) == weighed.first)[0]
    return _quicker_as_told(weighed.glances(places, told), int(at))


def _told_themselves(weighed: Weighed) -> Mask:
    """Which may be a step: all of the shortlist, and what has no coil there beside the first that costs the
    same to a coin, is no harder and takes so little longer that the list goes without it: else a step would
    tell another time for the money of a row."""
    r, time, listed = weighed.rows, weighed.time, weighed.cover[1:]
    least = least_seen(weighed.ranking.seen[listed], float(weighed.front.steps[1]))[:, 0]
    cost = np.rint(r.cost / weighed.front.steps[1])
    band = np.searchsorted(BAND_LIMITS, r.difficulty, side="right")
    stands = np.abs(cost[listed] - cost[:, None]) <= 1.0
    stands &= (band[listed] <= band[:, None]) & (time[listed] - time[:, None] <= least)
    may: Mask = weighed.ranking.free & ~stands.any(axis=1)
    may[weighed.cover] = True
    return may


def steps(cost: Array, time: Array, work: Array, first: int, coin: float) -> Index:
    """Places of the steps among some coils: cheaper and slower ones up to the first in rank, and from there
    on all that is quicker. coin : by which money is told apart.

    Examples
    --------
    The first takes 19 min for 88; with more work, but still a first build, 17 are to be had for 87:

    >>> cost, minutes = np.array([88.0, 87.0, 86.0]), np.array([19.0, 17.0, 17.4])
    >>> steps(cost, 60.0 * minutes, np.array([1.4, 2.7, 5.3]), 0, 1.0).tolist()
    [0, 1]

    As quick for much less money, but harder to build:

    >>> cost, minutes = np.array([107.0, 77.0, 125.0]), np.array([15.4, 15.2, 12.4])
    >>> steps(cost, 60.0 * minutes, np.array([2.4, 7.4, 7.4]), 0, 1.0).tolist()
    [0, 1, 2]

    Told as 28 min, not the 28.49 that it is, 28 for 71 saves enough of 31:

    >>> cost, minutes = np.array([86.0, 71.0, 85.0]), np.array([30.94, 28.49, 21.7])
    >>> steps(cost, 60.0 * minutes, np.array([2.0, 6.0, 6.1]), 0, 1.0).tolist()
    [0, 1, 2]
    """
    band = np.searchsorted(BAND_LIMITS, work, side="right")
    time = 60.0 * np.rint(time / 60.0)  # as it is told, throughout
    as_quick = _harder_for_less(cost, time, work, band, first)
    slower = (cost <= cost[first]) & (band <= band[first]) & (time > time[first])
    slower &= time <= TOO_SLOW * time[first]
    # As they are told: of what is alike then the easiest.
    as_told = np.rint(cost / coin), time, work, band
    below, above = (
        _stairs_of(*as_told, np.append(np.flatnonzero(some), first)) for some in (slower, time < time[first])
    )
    below, above = below[below != first], above[above != first]
    for gain in GAINS:
        down, up = _apart(time[below], gain, np.inf), _apart(time[above], gain, time[first])
        down = down[time[first] <= (1.0 - gain) * time[below[down]]]
        if down.size + 1 + as_quick.size + up.size <= MOST_STEPS:
            break
    return np.concatenate([below[down], [first], as_quick, above[up]])[-MOST_STEPS:]


def _harder_for_less(cost: Array, time: Array, work: Array, band: Index, first: int) -> Index:
    """The cheapest that takes as long as the first, as told, and is harder to build, where it saves more than
    a tenth of the money and nothing easier comes near it; none or one."""
    less = cost < (1.0 - ALIKE) * cost[first]
    some = np.flatnonzero((time == time[first]) & (band > band[first]) & less)
    near = cost <= (1.0 + ALIKE) * cost[some][:, None]
    easier = near & (time <= (1.0 + ALIKE) * time[first]) & (band < band[some][:, None])
    some = some[~easier.any(axis=1)]
    return np.asarray(some[np.lexsort((work[some], cost[some]))[:1]], np.intp)


def _stairs_of(cost: Array, time: Array, work: Array, band: Index, some: Index) -> Index:
    """Steps among some, cheapest first."""
    of_each = (some[band[some] == b] for b in np.unique(band[some]))
    some = np.concatenate([p[stairs(cost[p], time[p], work[p])] for p in of_each])
    some = some[~_harder_for_little(cost[some], time[some], band[some])]
    return np.asarray(some[stairs(cost[some], time[some], work[some])])


def _harder_for_little(cost: Array, time: Array, band: Index) -> Mask:
    """Which of a few save no more than a tenth of money or time against what is in an easier band."""
    easier = band < band[:, None]
    little = (cost <= (1.0 + ALIKE) * cost[:, None]) & (time <= (1.0 + ALIKE) * time[:, None])
    return np.asarray((easier & little).any(axis=1))


def stairs(cost: Array, time: Array, work: Array) -> Index:
    """Who is quicker than all that cost no more, cheapest first, without those that nobody would stop at: for
    up to a tenth more money a greater share of the time is saved, by a step that stays itself: a row of small
    steps does not do away with its own beginning. Of equals in both the one of least work.

    Examples
    --------
    Five more than 78 saves a tenth again; nobody stops at 78:

    >>> cost, time = np.array([50.0, 64.0, 70.0, 78.0, 83.0]), np.array([44.0, 22.0, 22.5, 19.8, 17.3])
    >>> stairs(cost, time, np.ones(5)).tolist()
    [0, 1, 4]

    From 77 to 92 by small steps, each saving more than it costs: 77 is not 92, and stays:

    >>> cost, time = np.array([77.0, 84.0, 92.0]), np.array([15.0, 13.0, 11.0])
    >>> stairs(cost, time, np.ones(3)).tolist()
    [0, 2]
    """
    order = np.lexsort((work, time, cost))
    quicker = time[order] < np.minimum.accumulate(np.concatenate([[np.inf], time[order][:-1]]))
    kept = order[quicker]
    stays: list[int] = []
    for step in kept[::-1].tolist():  # only what stays itself keeps others out; some dozens at most
        dearer, saved = cost[stays] / max(cost[step], 1e-9) - 1.0, 1.0 - time[stays] / time[step]
        if not np.any((dearer <= ALIKE) & (saved > dearer)):
            stays.append(step)
    return np.array(stays[::-1], np.intp)


def _apart(time: Array, gain: float, slow: float) -> Index:
    """Steps that each save at least that share of the time of the one before, of `slow` the first."""
    steps: list[int] = []
    for step, quick in enumerate(time.tolist()):  # each hangs on the one before; some dozens at most
        if quick <= (1.0 - gain) * slow:
            steps.append(step)
            slow = quick
    return np.array(steps, np.intp)


def _quicker_as_told(steps: tuple[Glance, ...], first: int) -> tuple[Glance, ...]:
    """Steps that a person sees as quicker, to the whole minute, or as quick as number `first` for a tenth
    less money; that one always."""
    minutes = [round(step.chill_time / 60.0) for step in steps]
    kept: list[int] = []
    for place, step in enumerate(steps):
        if place == first:
            kept = [n for n in kept if minutes[n] > minutes[first]]
        less = minutes[kept[-1]] - minutes[place] if kept else 1
        cheap = less == 0 and kept[-1] == first and step.cost < (1.0 - ALIKE) * steps[first].cost
        if place == first or less > 0 or cheap:
            kept.append(place)
    return tuple(steps[place] for place in kept)
