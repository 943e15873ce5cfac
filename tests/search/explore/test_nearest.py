"""Where no coil holds every limit: the nearest of what was tried, and the step that really opens it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from explored import drawn, one_form
from toy_explored import Toy, opened

from optichill.report.explore.screen import nearest_lines
from optichill.search.explore.nearest import Nearest, nearest_of
from optichill.search.explore.study import Coil
from optichill.search.explore.study_team import explored
from optichill.search.explore.wider import Wider, joined, wider
from optichill.search.recommend import SearchResult, recommendation_of, search_space


def shut(folder: Path, minutes: float) -> tuple[SearchResult, Wider, list[Any]]:
    """A search that asks for a chill of so many minutes, and settings at random."""
    searched = search_space(one_form(folder, limits={"chill_time": f"{minutes:g} min"}))
    w = wider(searched)
    return searched, w, drawn(w, 400, seed=3, valve="full")


def slow(w: Wider, some: list[Any]) -> list[Any]:
    """Those that miss the time alone, the nearest first."""
    misses = w.judge(some).misses
    alone = [
        n
        for n in range(len(some))
        if all((x[n] > 0.0) == (name == "chill_time") for name, x in misses.items())
    ]
    return [some[n] for n in sorted(alone, key=lambda n: float(misses["chill_time"][n]))[:8]]


def test_the_step_that_is_told_opens_the_coil_and_a_smaller_one_does_not(tmp_path: Path) -> None:
    searched, w, some = shut(tmp_path / "a", 12.0)
    assert searched.front is None
    assert not w.judge(some).holds.any()
    tried = slow(w, some)
    near = nearest_of(w, tried)
    assert near is not None and [step.limit for step in near.steps] == ["chill_time"]
    asked = near.steps[0].to / 60.0
    for minutes, opens in ((np.ceil(asked), True), (asked - 0.2, False)):
        again, more, _ = shut(tmp_path / f"{minutes:.2f}", float(minutes))
        assert again.front is None
        found = joined(again, [more.canonical(one) for one in tried])
        assert (found.front is not None) is opens


def test_it_is_told_with_its_step_where_the_lists_have_no_nearer_way(tmp_path: Path) -> None:
    searched, w, some = shut(tmp_path, 12.0)
    near, answer = nearest_of(w, slow(w, some)), recommendation_of(searched)
    assert near is not None and answer.opened
    said = " ".join(" ".join(nearest_lines(near, answer)).split())
    to = int(np.ceil(near.steps[0].to / 60.0))
    assert said.startswith(f"SO FAR allow {to} min instead of 12 min, which opens this coil")
    assert f'chill_time = "{to} min"' in said and near.design.id not in said
    far = replace(near, steps=(replace(near.steps[0], to=9e4),))
    assert nearest_lines(far, answer) == [] == nearest_lines(None, answer)


def test_what_nobody_can_move_is_no_way_out(tmp_path: Path) -> None:
    _, w, some = shut(tmp_path, 12.0)
    judged = w.judge(some)
    wide = [s for s, x in zip(some, judged.misses["wall"], strict=True) if x > 0.0]
    near: Nearest | None = nearest_of(w, wide[:3])
    assert wide and near is None and nearest_of(w, []) is None


@pytest.mark.parametrize(("places", "late"), [((0, 1), 0), ((5, 8), 1), ((7, 8), 2)])
def test_what_came_in_the_last_third_is_counted(tmp_path: Path, places: tuple[int, ...], late: int) -> None:
    """Nine coils tried, two of which nothing beats."""
    good = dict(zip(places, ((1.0, 2.0, 1.0, 1.0), (2.0, 1.0, 1.0, 1.0)), strict=True))
    every = [Coil({"turns": float(n)}, good.get(n, (9.0, 9.0, 9.0, 9.0)), {}) for n in range(9)]
    told = explored(opened(tmp_path / "s", Toy()), every)
    assert len(told.settings) == 2 and told.late == late and not told.near
    missed = [replace(c, broken={"chill_time": 0.5 if n in places else 3.0}) for n, c in enumerate(every)]
    missed[3] = replace(missed[3], broken={"target": 0.01})
    told = explored(opened(tmp_path / "t", Toy()), missed)
    assert not told.settings and len(told.near) == 8 and {"turns": 3.0} not in told.near
    assert [one["turns"] for one in told.near[:2]] == list(map(float, places))
