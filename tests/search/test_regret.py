"""What it may cost to have built one coil and not another, counted by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import small_stock

from optichill.problem.worth import worth_of
from optichill.search.lifetime import in_every_draw, lifetime_of
from optichill.search.ranking import shortlist
from optichill.search.recommend import SearchResult, search_space
from optichill.search.regret import TIES, InQuestion, Regret, in_question, regrets


@pytest.fixture(scope="module")
def searched(tmp_path_factory: pytest.TempPathFactory) -> SearchResult:
    return search_space(small_stock.of(tmp_path_factory.mktemp("regret")))


@pytest.fixture(scope="module")
def coils(searched: SearchResult) -> InQuestion:
    front, ranking, drawn = searched.front, searched.ranking, searched.samples
    assert front is not None and ranking is not None and drawn is not None
    shown = shortlist(front, ranking, 3).entry
    return in_question(searched.enumeration.space, front, drawn, ranking, shown)


def test_three_draws_of_two_coils_by_hand() -> None:
    """The first costs 4, 0 and 2 more than the least, the second 0, 6 and 0; 90 % of the way up, by straight
    lines between 0, 2, 4 and between 0, 0, 6."""

    class Life:
        total = np.array([[14.0, 10.0], [10.0, 16.0], [12.0, 10.0]])

    found = regrets(InQuestion(None, None, None, Life(), 2))  # type: ignore[arg-type]
    assert found == (
        Regret(2.0, pytest.approx(3.6), pytest.approx(1 / 3)),
        Regret(2.0, pytest.approx(4.8), pytest.approx(2 / 3)),
    )


def test_means_of_all_draws_are_what_ranks(coils: InQuestion) -> None:
    """Also of draws that do not come to the target: they use what the others do."""
    drawn = coils.drawn
    time, water = drawn.time.copy(), drawn.drained.copy()
    time[:9], water[:9] = np.inf, np.nan
    some = replace(drawn, time=time, drained=water)
    for of in (drawn, some):
        mean = lifetime_of(coils.space, coils.rows, of)
        each = in_every_draw(coils.space, coils.rows, of)
        for name, part in each.parts.items():
            assert np.atleast_2d(part).mean(axis=0) == pytest.approx(mean.parts[name], rel=1e-12), name


def test_all_within_three_ties_are_in_question_and_the_first_regrets_least(
    coils: InQuestion, searched: SearchResult
) -> None:
    ranking, front = searched.ranking, searched.front
    assert ranking is not None and front is not None
    life = np.where(ranking.free, ranking.life.total, np.inf)
    near = front.number[life <= life.min() + TIES * worth_of(coils.space.basis).minute]
    assert near.size > 1 and {*near.tolist()} <= {*coils.rows.number.tolist()}
    assert np.unique(coils.rows.number).size == len(coils.rows)
    found = regrets(coils)
    assert len(found) == coils.shown
    assert found[0].expected == min(r.expected for r in found)
    # What the first regrets less than another is what the other costs more.
    apart = coils.life.total.mean(axis=0)
    assert found[1].expected - found[0].expected == pytest.approx(apart[1] - apart[0])
    assert all(0.0 <= r.best <= 1.0 and 0.0 <= r.expected and 0.0 <= r.p90 for r in found)
