"""Who comes first of explored coils and those of the lists: nobody makes a form for a hair, and explore and
recommend say the same."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from explored import every, spread

from optichill.problem.worth import worth_of
from optichill.report.explore.screen import Tried, differences, is_better
from optichill.search.designs import Design
from optichill.search.explore import on_the_front
from optichill.search.explore.lead import led
from optichill.search.explore.study_team import Explored
from optichill.search.explore.wider import joined, wider
from optichill.search.ranking import shortlist
from optichill.search.recommend import SearchResult, recommendation_of, search_space, with_front

FOUND = Explored("s", "s", 1, 1, 0, 1, ())


def both(folder: Path, pipe: str, **house: Any) -> tuple[SearchResult, SearchResult]:
    """One pipe in the list, and the search without and with one-layer coils of any diameter beside it."""
    stock = small_stock.lists()
    stock["forms"] = [
        row | {"outer_diameter": pipe, "owned": "no"} for row in stock["forms"] if row["form_id"] == "pipe"
    ]
    shop = {"flow_settings": ["full"], "marking_increment": "2.5 mm", "layouts": ["single"]}
    basis = small_stock.of(folder, {"workshop": shop, **house}, stock)
    searched = search_space(basis)
    w = wider(searched)
    some = list(every(w, outer_form_mm=spread(w, "outer_form_mm", 5), turns=spread(w, "turns", 2)))
    judged = w.judge(some)
    return searched, joined(searched, [some[i] for i in np.flatnonzero(judged.holds)])


def answers(searched: SearchResult, found: SearchResult) -> tuple[Design, Design, Tried]:
    """First without and with explored coils, and what explore tells of the best of these."""
    before, after = recommendation_of(searched), recommendation_of(found)
    told = Tried(FOUND, before, after, on_the_front.best(found, after.designs), 1, after.front, forms=True)
    return before.designs[0], after.designs[0], told


@pytest.mark.parametrize(
    ("pipe", "batches", "leads"),
    [("110 mm", 60, True), ("203 mm", 60, True), ("215 mm", 60, False), ("230 mm", 2000, True)],
)
def test_explore_and_recommend_agree_on_who_comes_first(
    tmp_path: Path, pipe: str, batches: int, leads: bool
) -> None:
    searched, found = both(tmp_path, pipe, wishes={"batches": batches})
    listed, first, told = answers(searched, found)
    assert (first.origin == "explored") is leads is is_better(told)
    if leads:
        assert told.best is not None and told.best.id == first.id
        tie, saves = worth_of(told.basis).minute, float(listed.life.total - first.life.total)
        quicker = listed.told["chill_time"] - first.told["chill_time"]
        assert saves > tie or (saves > 0.0 and quicker >= max(60.0, 0.03 * listed.told["chill_time"]))
    else:
        assert first.id == listed.id


def test_what_saves_a_hair_does_not_lead(tmp_path: Path) -> None:
    """By money alone a form of 27 cm comes first, for it saves less than a minute a batch, and 23 s."""
    searched, found = both(tmp_path, "230 mm", wishes={"batches": 2000})
    assert found.front is not None and found.ranking is not None and searched.ranking is not None
    life = np.where(found.ranking.free, found.ranking.life.total, np.inf)
    cheapest = int(life.argmin())
    assert found.enumeration.space.explored(found.front.number)[cheapest]
    saves = searched.ranking.life.total[searched.ranking.free].min() - life[cheapest]
    assert 0.0 < saves < worth_of(found.enumeration.space.basis).minute
    first = recommendation_of(found).designs[0]
    assert float(first.life.total) > life[cheapest] + 1.0


def test_the_first_of_the_lists_stays_where_it_is_beaten_by_a_hair(tmp_path: Path) -> None:
    searched, found = both(tmp_path, "215 mm")
    listed = recommendation_of(searched).designs[0]
    assert found.front is not None and searched.front is not None
    ours = found.front.number != recommended(searched)
    without = with_front(found.enumeration, found.front.take(np.flatnonzero(ours)))
    assert recommendation_of(without).designs[0].id != listed.id
    again = led(without, searched)
    assert again.front is not None and len(again.front) == len(found.front)
    after = recommendation_of(again)
    assert after.designs[0].id == listed.id
    assert [d.rank for d in after.designs] == list(range(1, len(after.designs) + 1))


def recommended(searched: SearchResult) -> int:
    """Row number of the first."""
    front, ranking = searched.front, searched.ranking
    assert front is not None and ranking is not None
    return int(front.number[shortlist(front, ranking, 1).entry[0]])


def test_minutes_between_two_coils_are_those_between_the_figures_told(tmp_path: Path) -> None:
    """23.6 and 20.4 min are told as 24 and 20: 4 apart, not 3."""
    searched, found = both(tmp_path, "110 mm")
    listed, _, told = answers(searched, found)
    one, other = timed(listed, 20.4), timed(listed, 23.6)
    assert differences(other, one, told.basis) == ["4 min slower"]
    assert differences(timed(listed, 22.6), timed(listed, 34.4), told.basis) == ["11 min quicker"]


def timed(d: Design, minutes: float) -> Design:
    p = d.prediction
    assert p.likely is not None
    time = replace(p.likely.time, p50=60.0 * minutes)
    return replace(d, prediction=replace(p, likely=replace(p.likely, time=time)))
