"""All designs that nothing beats, as a person compares them: best first, the best of them in full."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optichill.arrays import Array, Index
from optichill.rating.prediction import FINE, Likely
from optichill.search.answer import Answer
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.designs import Design, designs
from optichill.search.evaluate import Rows, chill_of, rows
from optichill.search.ids import ids_of
from optichill.search.recommend import SearchResult, recommendation_of
from optichill.thermal.batch import Scenario
from optichill.thermal.cooldown import Chill
from optichill.workshop.lifetime import Lifetime

SHORTLIST = 8
"""Distinct builds at the head of the page."""

IN_FULL = 40
"""Designs worked out in full besides: those that rank best (OWN: what a page of this size can carry)."""

POINTS = 17
"""Temperatures on a cool-down curve."""


@dataclass(frozen=True)
class ShortCurve:
    """A cool-down: minutes do not count holds. time [s], wort [K] (mass mean), arrays of shape (points,)."""

    time: Array
    wort: Array


@dataclass(frozen=True)
class Tradeoff:
    """What the page and its files are made of. Arrays of shape (designs,), best first; goals (designs, 4) in
    the order of GOALS. rank : of the distinct builds of the shortlist, 0 for the others; ids follow from
    content; life : what each costs over its life; likely : of each design; full : designs worked out, by id;
    curves likewise; least_time [s],
    least_water [m3] : what no coil could beat at the flow of any of these, NaN where it is not known. Empty
    when nothing fits: then `answer` says why."""

    answer: Answer
    ids: tuple[str, ...]
    goals: Array
    score: Array
    life: Lifetime | None
    rank: Index
    stands_for: Index
    rows: Rows | None
    searched: SearchResult
    full: dict[str, Design]
    curves: dict[str, ShortCurve]
    likely: tuple[Likely, ...] = ()
    least_time: float = np.nan
    least_water: float = np.nan

    @cached_property
    def told(self) -> Array:
        """Goals as a person is told them: time and water that are most likely."""
        told = self.goals.copy()
        for i, x in enumerate(self.likely):  # a few thousand at most
            if x.time.p50 is not None and x.water.p50 is not None:
                told[i, [0, 2]] = x.time.p50, x.water.p50
        for i, name in enumerate(self.ids):  # what is worked out in full may follow its march
            if name in self.full:
                told[i] = list(self.full[name].told.values())
        return told

    def __len__(self) -> int:
        return len(self.ids)

    def layout(self, i: int) -> str:
        """Layout of design number i."""
        assert self.rows is not None
        return self.searched.enumeration.space.wound(int(self.rows.setup[i]))[2].name


def weigh(searched: SearchResult, *, in_full: int = IN_FULL) -> Tradeoff:
    """All that nothing beats of what a search left."""
    answer = recommendation_of(searched, top=SHORTLIST)
    if searched.front is None or searched.ranking is None or searched.samples is None:
        nothing = np.empty(0, np.intp)
        return Tradeoff(
            answer, (), np.empty((0, 4)), np.empty(0), None, nothing, nothing, None, searched, {}, {}
        )
    front, space = searched.front, searched.enumeration.space
    points = searched.ranking.points
    order = np.lexsort((front.number, front.plainness, -points))
    front, points = front.take(order), points[order]
    drawn, life = searched.samples.take(order), searched.ranking.life.take(order)
    every = rows(space, front.number)
    ids = ids_of(space, every)
    ranked = {d.id: d.rank for d in answer.designs}
    rank = np.array([ranked.get(name, 0) for name in ids], dtype=np.intp)
    chosen = np.union1d(np.flatnonzero(rank), np.arange(min(in_full, len(ids))))
    worked_out = designs(space, front.number[chosen], searched.ranking.levels, front.stands_for[chosen] - 1)
    scenario = plan_of_rows(space, front.number)
    result = chill_of(space, every, np.arange(len(every)), FINE, scenario)
    limits = space.basis.brewhouse.limits
    likely = drawn.likely(limits.chill_time, limits.water)
    known = {d.id: d.prediction.likely for d in (*worked_out, *answer.designs)}
    likely = [known.get(name) or spans for name, spans in zip(ids, likely, strict=True)]
    full = {
        d.id: replace(d, rank=ranked.get(d.id, 0), prediction=replace(d.prediction, likely=known[d.id]))
        for d in worked_out
    }
    curves = dict(
        zip((ids[i] for i in chosen.tolist()), _curves(searched, front.number[chosen]), strict=True)
    )
    told = (front.goals, points, life, rank, front.stands_for, every, searched, full, curves)
    return Tradeoff(answer, ids, *told, tuple(likely), *_least(result))


def _least(result: Chill) -> tuple[float, float]:
    """Least time [s] and water [m3] of any coil at the flows of these: water leaving as hot as the wort."""
    times, waters = (x[np.isfinite(x)] for x in (result.limit_time, result.limit_water))
    return float(times.min(initial=np.inf)), float(waters.min(initial=np.inf))


def _curves(searched: SearchResult, numbers: Index) -> list[ShortCurve]:
    """Cool-downs of some rows: the time to each of a few temperatures, all designs at once."""
    space = searched.enumeration.space
    scenario = plan_of_rows(space, numbers)
    r, every = rows(space, numbers), np.arange(numbers.size)
    start, end = scenario.T_start, scenario.T_target
    coldest = min(min(source.coldest for source in scenario.sources), end - 1.0)
    wort = coldest + np.geomspace(start - coldest, end - coldest, POINTS)
    time = np.zeros((POINTS, numbers.size))
    for n, T in enumerate(wort[1:], 1):  # few: the designs go through each at once
        time[n] = chill_of(space, r, every, FINE, _down_to(scenario, float(T))).time
    return [ShortCurve(time[:, i], wort) for i in range(numbers.size)]


def _down_to(scenario: Scenario, T: float) -> Scenario:
    """The same plan, stopped at T [K]: what comes after takes no time."""
    stages = tuple(
        replace(s, until=None if s.until is None else np.maximum(s.until, T)) for s in scenario.stages
    )
    return replace(scenario, stages=stages, T_target=T)
