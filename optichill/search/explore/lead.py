"""Who leads where explored coils stand beside those of the lists: nobody makes a form, or cuts strips, for
less than a person would notice.

An explored coil comes first where it is worth making against the first of the lists. Where none is, the first
of the lists leads, also where an explored coil beats it by a hair: it stays on the front then.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optichill.arrays import Array, Mask
from optichill.problem.worth import worth_of
from optichill.search.front import Front
from optichill.search.ranking import LITRES, MINUTE, MONEY, Ranking, points_of, shortlist
from optichill.search.recommend import SearchResult, with_front
from optichill.workshop.difficulty import BAND_LIMITS

SHARE = 0.03
"""A smaller share is told as no difference (OWN)."""


def noticed(one: float | Array, other: float, least: float) -> Mask:
    """Whether figures differ from another by more than a hair: by `least`, and by a few hundredths.

    Examples
    --------
    >>> bool(noticed(1440.0, 1501.0, MINUTE)), bool(noticed(1500.0, 1550.0, MINUTE))
    (True, False)
    """
    return np.asarray(np.abs(one - other) >= max(least, SHARE * abs(other)))


def worth_making(*, saves: float | Array, time: float | Array, its_time: float, tie: float) -> Mask:
    """Whether an explored coil comes before the first of the lists by what it costs over its life: it saves
    more than counts as the same, or it is quicker by what a person would notice and costs less at least.

    Parameters
    ----------
    saves : over its life against the first of the lists [money].
    time, its_time : most likely chill time of it, and of the first of the lists [s].
    tie : what counts as the same [money].

    Examples
    --------
    >>> [bool(worth_making(saves=s, time=t, its_time=1560.0, tie=6.0)) for s, t in ((7, 1560), (4, 1510))]
    [True, False]
    """
    quicker = noticed(time, its_time, MINUTE) & (np.asarray(time) < its_time)
    return np.asarray((np.asarray(saves) > tie) | (quicker & (np.asarray(saves) > 0.0)))


def led(found: SearchResult, before: SearchResult) -> SearchResult:
    """A search with explored coils, `found`, in the order in which a person would take them; before : of the
    lists alone."""
    front, ranking, drawn = found.front, found.ranking, found.samples
    if front is None or ranking is None or drawn is None:
        return found
    if before.front is None or before.ranking is None or before.samples is None:
        return found  # nothing of the lists holds
    entry = shortlist(before.front, before.ranking, 1).entry
    first, listed = before.front.take(entry), ~found.enumeration.space.explored(front.number)
    life = before.ranking.life.take(entry)
    its = float(points_of(first.goals, life, ranking.levels)[0])
    its_time = float(before.samples.quantile("time", 0.5)[entry[0]])
    ahead = ranking.free & (ranking.points > its)
    if ranking.levels is None:
        worth = worth_making(
            saves=float(life.total[0]) - ranking.life.total,
            time=drawn.quantile("time", 0.5),
            its_time=its_time,
            tie=worth_of(found.enumeration.space.basis).minute,
        )
    else:
        worth = _better(front, first)
    if (ahead & worth).any():
        return replace(found, ranking=_leads(ranking, (ahead & worth) | (ranking.free & listed)))
    if first.number[0] not in front.number:
        found = with_front(found.enumeration, _joined(front, first))
        assert found.front is not None and found.ranking is not None
        front, ranking = found.front, found.ranking
    return replace(found, ranking=_leads(ranking, front.number == first.number[0]))


def _better(front: Front, first: Front) -> Mask:
    """Which gain something that a person would notice, in any goal: where stated levels rank."""
    goals, its = front.goals, first.goals[0]
    least = (MINUTE, MONEY, LITRES)
    gains = [noticed(goals[:, n], its[n], x) & (goals[:, n] < its[n]) for n, x in enumerate(least)]
    band = np.searchsorted(BAND_LIMITS, goals[:, 3], side="right")
    easier = band < np.searchsorted(BAND_LIMITS, its[3], side="right")
    return np.asarray(np.any([*gains, easier], axis=0))


def _leads(ranking: Ranking, may: Mask) -> Ranking:
    """The best of those that may stands first; all else stays in its order."""
    places = np.flatnonzero(may)
    best = int(places[np.argmax(ranking.points[places])])
    points = ranking.points.copy()
    if points[best] < points.max():
        points[best] = np.nextafter(points.max(), np.inf)
    return replace(ranking, points=points)


def _joined(front: Front, more: Front) -> Front:
    both = {
        name: np.concatenate([getattr(front, name), getattr(more, name)])
        for name in ("number", "goals", "plainness", "stands_for")
    }
    return replace(front, **both)
