"""All designs that nothing beats, as a person compares them: best first, and in full."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.rating.likely import Samples
from optichill.rating.prediction import FINE, Likely
from optichill.search.answer import Answer
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.designs import ENUMERATED, EXPLORED, Design, designs
from optichill.search.evaluate import Rows, chill_of, rows
from optichill.search.ids import coil_of, ids_of
from optichill.search.recommend import SearchResult, recommendation_of
from optichill.search.sampled import in_every_draw, samples_of
from optichill.search.space import Space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import Chill
from optichill.thermal.sources import Stage
from optichill.workshop.lifetime import Lifetime

SHORTLIST = 8
"""Distinct builds at the head of the page."""

IN_FULL = 1000
"""Most designs worked out in full, besides the shortlist: those that rank best."""

AT_ONCE = 250
"""Designs worked out at once: memory stays flat."""

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
    content; life : what each costs over its life; coil : number of each row's physical coil, which rows share
    that differ by the valve alone, in order of its best ranked row; likely : of each design; full : designs
    worked out, by id, best first: all of them unless they are too many, and those of the shortlist; curves
    likewise; least_time [s], least_water [m3] : what no coil could beat at the flow of any of these, NaN
    where it is not known. Empty when nothing fits: then `answer` says why."""

    answer: Answer
    ids: tuple[str, ...]
    goals: Array
    score: Array
    life: Lifetime | None
    rank: Index
    stands_for: Index
    coil: Index
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

    @property
    def in_full(self) -> int:
        """How many are worked out in full; all of them unless the front is very long."""
        return len(self.full)

    def origin(self, i: int) -> str:
        """Origin of design number i."""
        assert self.rows is not None
        explored = self.searched.enumeration.space.explored(self.rows.number[[i]])
        return EXPLORED if explored[0] else ENUMERATED

    def layout(self, i: int) -> str:
        """Layout of design number i."""
        assert self.rows is not None
        return self.searched.enumeration.space.wound(int(self.rows.setup[i]))[2].name


def weigh(searched: SearchResult, *, in_full: int = IN_FULL) -> Tradeoff:
    """All that nothing beats of what a search left."""
    answer = recommendation_of(searched, top=SHORTLIST)
    if searched.front is None or searched.ranking is None or searched.samples is None:
        nothing, no_goals = np.empty(0, np.intp), np.empty((0, 4))
        columns = (no_goals, np.empty(0), None, nothing, nothing, nothing, None)
        return Tradeoff(answer, (), *columns, searched, {}, {})
    order = np.lexsort((searched.front.number, searched.front.plainness, -searched.ranking.points))
    front, points = searched.front.take(order), searched.ranking.points[order]
    space, life = searched.enumeration.space, searched.ranking.life.take(order)
    every, scenario = rows(space, front.number), plan_of_rows(space, front.number)
    result = chill_of(space, every, np.arange(len(every)), FINE, scenario)
    ids = ids_of(space, every)
    told = {d.id: d for d in answer.designs}
    rank = np.array([told[name].rank if name in told else 0 for name in ids], dtype=np.intp)
    chosen = np.flatnonzero((rank == 0) & (np.arange(len(ids)) < in_full))
    seen = _seen(result.time, order)
    found: list[Design] = []
    for some in np.split(chosen, np.arange(AT_ONCE, chosen.size, AT_ONCE)):
        if some.size:
            drawn = _own_draws(searched, every, scenario, order, some, seen)
            by, near = searched.ranking.levels, front.stands_for[some] - 1
            found += designs(space, front.number[some], by, near, drawn=drawn)
    full = told | {d.id: replace(d, rank=0) for d in found}
    worked_out = [i for i, name in enumerate(ids) if name in full]
    curves = _curves(space, front.number[worked_out], [full[ids[i]] for i in worked_out])
    limits = space.basis.brewhouse.limits
    others = np.array([i for i, name in enumerate(ids) if name not in full], dtype=np.intp)
    spans: dict[int, Likely] = {}
    for some in np.split(others, np.arange(AT_ONCE, others.size, AT_ONCE)):
        likely = searched.samples.take(order[some]).likely(limits.chill_time, limits.water)
        spans |= dict(zip(some.tolist(), likely, strict=True))
    return Tradeoff(
        answer,
        ids,
        front.goals,
        points,
        life,
        rank,
        front.stands_for,
        coil_of(every),
        every,
        searched,
        {name: full[name] for name in ids if name in full},
        dict(zip((ids[i] for i in worked_out), curves, strict=True)),
        tuple(spans.get(i) or _likely(full[name]) for i, name in enumerate(ids)),
        *_least(result),
    )


def _likely(d: Design) -> Likely:
    """What is likely of a design that is worked out."""
    assert d.prediction.likely is not None
    return d.prediction.likely


def _seen(time: Array, order: Index) -> Mask:
    """Which rows the search looked at in every draw; it takes the others to be like those. time [s] of the
    rows; order : where the search has each."""
    as_searched, looked_at = np.empty_like(time), np.zeros(time.size, dtype=bool)
    as_searched[order] = time
    looked_at[in_every_draw(as_searched)] = True
    return looked_at[order]


def _own_draws(
    searched: SearchResult, r: Rows, scenario: Scenario, order: Index, some: Index, seen: Mask
) -> Samples:
    """Some rows in their own draws: those that the search looked at are known."""
    assert searched.samples is not None
    known, new = np.flatnonzero(seen[some]), np.flatnonzero(~seen[some])
    parts = [searched.samples.take(order[some[known]])]
    if new.size:
        parts.append(samples_of(searched.enumeration.space, r, some[new], scenario.take(some[new])))
    return Samples.woven(parts, [known, new][: len(parts)])


def _least(result: Chill) -> tuple[float, float]:
    """Least time [s] and water [m3] of any coil at the flows of these: water leaving as hot as the wort."""
    times, waters = (x[np.isfinite(x)] for x in (result.limit_time, result.limit_water))
    return float(times.min(initial=np.inf)), float(waters.min(initial=np.inf))


def _curves(space: Space, numbers: Index, full: list[Design]) -> list[ShortCurve]:
    """Cool-downs of rows that are worked out: the time to each of a few temperatures, all designs at once, by
    the search's chill, each stage stretched to what the design's own takes."""
    scenario, r = plan_of_rows(space, numbers), rows(space, numbers)
    start, end = scenario.T_start, scenario.T_target
    coldest = min(min(source.coldest for source in scenario.sources), end - 1.0)
    wort = coldest + np.geomspace(start - coldest, end - coldest, POINTS)
    stages = [d.prediction.stages for d in full]
    ends = np.array([[line.until or end for line in lines] for lines in stages]).T
    times = np.array([[line.time for line in lines] for lines in stages]).T
    begins = np.concatenate([np.full((1, len(full)), start), ends])
    spent = np.zeros((POINTS, *times.shape))
    for n, T in enumerate(wort[1:], 1):  # few: the designs go through each at once
        plan, part_of = _down_to(scenario, begins, float(T))
        parts = chill_of(space, r, np.arange(len(r)), SEARCH, plan).stages
        np.add.at(spent[n], part_of, [part.time for part in parts])
    stretch = times / np.where(spent[-1] > 0.0, spent[-1], 1.0)
    cools = np.array([stage.source is not None for stage in scenario.stages])
    time = (spent * stretch)[:, cools].sum(axis=1)
    return [ShortCurve(time[:, i], wort) for i in range(len(full))]


def _down_to(scenario: Scenario, begins: Array, T: float) -> tuple[Scenario, list[int]]:
    """The same plan, stopped at T [K]: what comes after takes no time; and of which stage each of its parts
    is. A vessel that is filled again has as many fillings as it comes to, and its last one apart. begins :
    temperature at which each stage begins [K], shape (stages, designs)."""
    parts: list[Stage] = []
    part_of: list[int] = []
    for place, stage in enumerate(scenario.stages):
        aim = scenario.T_target if stage.until is None else stage.until
        pieces = [replace(stage, until=None if stage.source is None else np.maximum(aim, T))]
        source = stage.source
        if source is not None and source.fills > 1:
            ends = source.changes(begins[place], np.minimum(aim, begins[place]))
            whole = sum(float(np.median(at)) >= T - HAIR for at in ends)
            pieces = []
            if whole:
                done = replace(source, fills=whole)
                pieces.append(replace(stage, source=done, until=np.maximum(ends[whole - 1], T)))
            if whole < source.fills:
                pieces.append(replace(stage, source=replace(source, fills=1), until=np.maximum(aim, T)))
        parts += pieces
        part_of += [place] * len(pieces)
    return replace(scenario, stages=tuple(parts), T_target=T), part_of


HAIR = 1e-6
"""What rounding does to a temperature [K]."""
