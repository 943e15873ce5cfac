"""A limit on time kept with a chance, where it is close: all draws of a coil decide, not an idea of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock

from optichill.problem.basis import DesignBasis
from optichill.search.evaluate import chilled, rows
from optichill.search.recommend import recommend, search_space
from optichill.search.sampled import samples_of
from optichill.search.space import space
from optichill.search.sureness import Sureness

COARSE = {"marking_increment": "5 mm", "riser_sides": "same"}
KITS: dict[str, dict[str, Any]] = {
    "one layer": {"workshop": COARSE},
    "tees and a valve": {"workshop": {**COARSE, "layouts": ["parallel"], "flow_settings": ["full", "half"]}},
}
QUICKEST = 48
"""Coils, quickest by the medians, among which the one that keeps the least time is: ratios differ by 4 %."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("close")


def basis(folder: Path, kit: str, chance: float, seconds: float | None = None) -> DesignBasis:
    house = {**KITS[kit]}
    if seconds is not None:
        house["limits"] = {"chill_time": {"within": f"{seconds:.3f} s", "chance": chance}}
    return small_stock.of(folder, house)


@cache
def least_kept(folder: Path, kit: str, chance: float) -> float:
    """The least time [s] that any coil of the kit keeps with a chance: all draws of the quickest of them."""
    everything = space(basis(folder, kit, chance), prune=False)
    r = rows(everything, np.arange(everything.size))
    fits = np.flatnonzero(~r.checks.broken().any(axis=0))
    result, checks = chilled(everything, r, fits)
    fits = fits[~checks.broken().any(axis=0)]
    quickest = fits[np.argsort(result.time[~checks.broken().any(axis=0)])[:QUICKEST]]
    drawn = samples_of(everything, r, quickest, everything.basis.scenario)
    return float(drawn.as_built().quantile("time", chance).min())


CASES = [(kit, chance, more) for kit in KITS for chance in (0.7, 0.9) for more in (0.997, 1.003, 1.03)]
QUICK = {("one layer", 0.9, 0.997), ("one layer", 0.9, 1.003), ("tees and a valve", 0.9, 1.003)}


@pytest.mark.parametrize(
    ("kit", "chance", "more"),
    [c if c in QUICK else pytest.param(*c, marks=pytest.mark.slow) for c in CASES],
)
def test_nothing_fits_where_nothing_does_and_what_is_shown_holds(
    folder: Path, kit: str, chance: float, more: float
) -> None:
    seconds = more * least_kept(folder, kit, chance)
    found = recommend(basis(folder, kit, chance, seconds))
    assert bool(found.designs) == (more > 1.0)
    for d in found.designs:
        assert d.prediction.likely is not None and d.prediction.likely.in_time is not None
        assert d.prediction.likely.in_time >= chance - 1e-9
    for way in found.opened:  # what is said to open a coil does
        steps = {s.limit: s.to for s in way.steps}
        if set(steps) == {"chill_time"}:
            assert recommend(basis(folder, kit, chance, steps["chill_time"] * (1.0 + 1e-6))).designs


def test_the_whole_front_keeps_the_time(folder: Path) -> None:
    """Every design of the front, drawn; a tight limit, so that many are close to it."""
    seconds = 1.05 * least_kept(folder, "one layer", 0.9)
    searched = search_space(basis(folder, "one layer", 0.9, seconds))
    assert searched.front is not None
    everything = searched.enumeration.space
    r = rows(everything, searched.front.number)
    drawn = samples_of(everything, r, np.arange(len(r)), everything.basis.scenario)
    assert (drawn.as_built().quantile("time", 0.9) <= seconds).all()


@pytest.mark.parametrize("by", [-0.005, -0.02])
def test_a_plane_that_promises_too_much_is_found_out(
    folder: Path, monkeypatch: pytest.MonkeyPatch, by: float
) -> None:
    """Planes so much lower than they should be, and a limit that no coil keeps, by 0.3 %."""
    fitted = Sureness.fitted
    monkeypatch.setattr(Sureness, "fitted", lambda *args: fitted(*args).lifted(by))
    found = recommend(basis(folder, "one layer", 0.9, 0.997 * least_kept(folder, "one layer", 0.9)))
    assert not found.designs and found.conflicts is not None and found.conflicts.sets
