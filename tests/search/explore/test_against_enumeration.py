"""Study and enumeration, each checked by the other, on a space small enough for both: held to the lists, a
study that knows three poor coils finds nearly all that the enumeration found, and nothing that beats it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import small_stock
from listed_explored import Listed, volume

from optichill.search.explore import study
from optichill.search.explore.storage import address
from optichill.search.explore.study import not_beaten
from optichill.search.explore.study_run import Budget, run
from optichill.search.explore.wider import wider
from optichill.search.front import rounded
from optichill.search.recommend import SearchResult, search_space

COILS = 4000
"""Of more than ten thousand that there are."""


@pytest.fixture(scope="module")
def searched(tmp_path_factory: pytest.TempPathFactory) -> SearchResult:
    shop = {**small_stock.HOUSE["workshop"], "marking_increment": "1 mm"}
    return search_space(small_stock.of(tmp_path_factory.mktemp("small"), {"workshop": shop}))


@pytest.mark.slow
def test_a_study_of_the_lists_finds_the_front_of_the_enumeration(
    searched: SearchResult, tmp_path: Path
) -> None:
    listed = Listed(wider(searched))
    assert len(listed.every) > 10_000 and searched.front is not None
    found = study.opened(address(tmp_path / "s", "x"), listed, "small")
    starts = [listed.short(s) for s in listed.every[:: len(listed.every) // 3][:3]]
    ran = run(listed, found, starts, Budget(None, COILS), seed=[1])
    best = not_beaten(study.opened(address(tmp_path / "s", "x"), listed, "small").news())
    goals = np.array([coil.goals for coil in best])
    # As the study judges them: what is told is worked out more finely, with the cheapest beside it.
    front = listed.beyond.judge(listed.beyond.settings_of(searched.enumeration.front.number)).goals
    by_study, by_enumeration = volume(goals, searched), volume(front, searched)
    assert ran.tried == COILS
    assert by_study > 0.99 * by_enumeration
    # Nothing that the study found beats the front that was found by looking at every row.
    steps = searched.front.steps
    mine, theirs = rounded(goals, steps), rounded(front, steps)
    for one in mine:
        better = (one <= theirs).all(axis=1) & (one < theirs).any(axis=1)
        assert not better.any(), one * steps
