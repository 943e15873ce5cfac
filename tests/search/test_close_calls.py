"""A limit on time kept with a chance, where it is close: all draws of a coil decide, not an idea of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from tiers import count

from optichill.arrays import Array, Index
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


def a_kettle(seed: int) -> dict[str, Any]:
    """A kettle at random, with a batch that leaves room, wound coarsely."""
    rng = np.random.default_rng(seed)
    return {
        "kettle": {"inside_diameter": f"{rng.uniform(30, 42):.1f} cm"},
        "wort": {"volume": f"{rng.uniform(20, 27):.1f} L"},
        "tap": {"temperature": f"{rng.uniform(6, 15):.1f} degC"},
        "workshop": COARSE,
    }


class EveryCoil:
    """Every coil of the lists that can be built, cheapest first: money, and time by the medians [s]."""

    def __init__(self, at: DesignBasis) -> None:
        self.everything = space(at, prune=False)
        self.rows = rows(self.everything, np.arange(self.everything.size))
        fits = np.flatnonzero(~self.rows.checks.broken().any(axis=0))
        result, checks = chilled(self.everything, self.rows, fits)
        fits, time = (of[~checks.broken().any(axis=0)] for of in (fits, result.time))
        order = np.argsort(self.rows.cost[fits], kind="stable")
        self.fits, self.time = fits[order], time[order]
        self.cost = self.rows.cost[self.fits]

    def kept(self, some: Index) -> Array:
        """Time [s] kept 7 times in 10, over all draws."""
        at = self.everything
        return samples_of(at, self.rows, self.fits[some], at.basis.scenario).as_built().quantile("time", 0.7)

    def least_cost(self, limit: float) -> float:
        """Of the coils that keep a limit on time [s], one after the other from the cheapest."""
        could = np.flatnonzero(self.time <= limit)  # what is not in time by the medians is late more often
        for some in (could[n : n + 8] for n in range(0, could.size, 8)):
            holds = some[self.kept(some) <= limit]
            if holds.size:
                return float(self.cost[holds[0]])
        return np.inf


@pytest.mark.parametrize("seed", range(count(2, 20)))
def test_the_smallest_budget_that_opens_a_coil_is_the_one_told(tmp_path: Path, seed: int) -> None:
    """For 21 min 124 EUR were asked for, where a coil of 102 kept them 7 times in 10: the idea of its draws
    put it past the limit by little. Limits on time that a coil of the lists just keeps, and less money."""
    house = a_kettle(seed)
    every = EveryCoil(small_stock.of(tmp_path / "free", house))
    # One that is quicker than all cheaper ones.
    first = np.flatnonzero(every.time[1:] < np.minimum.accumulate(every.time)[:-1]) + 1
    limit = 1.0005 * float(every.kept(first[[first.size // 2]])[0])
    least = every.least_cost(limit)
    limits = {"chill_time": f"{limit:.3f} s", "budget": round(0.98 * least, 2)}
    ways = recommend(small_stock.of(tmp_path / "tight", {**house, "limits": limits}), top=1).opened
    (way,) = (way for way in ways if [s.limit for s in way.steps] == ["budget"])
    assert way.relaxation.steps[0].to == pytest.approx(least, abs=0.01)
