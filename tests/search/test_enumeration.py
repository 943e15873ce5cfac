"""The search against plain loops that leave nothing out early."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import brewers
import numpy as np
import pytest
import small_stock
from row_keys import keys
from small_stock import Every

from optichill.problem.basis import DesignBasis, basis_of
from optichill.problem.worth import worth_of
from optichill.search import enumeration as enumerate_module
from optichill.search.enumeration import Enumeration, enumerate_space
from optichill.search.evaluate import chilled, rows
from optichill.search.front import rounded
from optichill.search.lifetime import lifetime_of
from optichill.search.recommend import recommend
from optichill.search.sampled import samples_of
from optichill.search.space import space

ALL_LAYOUTS = {"layouts": ["single", "nested", "parallel"], "flow_settings": ["full", "half", "fifth"]}
SLOW = ("layers left alone", "hanging", "layers, risers")
"""Cases left to the gate."""

CASES = {
    "plain": {"workshop": {"marking_increment": "5 mm"}},
    "limits": {
        "limits": {"chill_time": "28 min", "budget": 120, "water": "250 L", "difficulty": 5.5},
        "workshop": {"riser_sides": "same", "marking_increment": "5 mm"},
    },
    "hanging, parts in the way": {
        "kettle": {
            "mouth": "31 cm",
            "coil_rests": "hangs",
            "part": [
                {"what": "well", "where": "wall", "height": "12 cm", "size": "35 mm"},
                {"what": "valve", "where": "floor", "height": "3 cm", "size": "6 cm"},
                {"what": "mast", "where": "centre", "height": "40 cm", "size": "19 cm"},
            ],
        },
        "workshop": {"riser_sides": "opposite", "riser": "inside", "marking_increment": "5 mm"},
    },
    "layers": {
        "kettle": {"part": [{"what": "valve", "where": "floor", "height": "3 cm", "size": "6 cm"}]},
        "workshop": {**ALL_LAYOUTS, "riser_sides": "same", "marking_increment": "5 mm"},
    },
    "layers, risers inside": {
        "workshop": {
            **ALL_LAYOUTS,
            "layouts": ["nested", "parallel"],
            "riser": "inside",
            "riser_sides": "opposite",
            "marking_increment": "5 mm",
        },
    },
    "layers left alone, hanging, two batches, limits": {
        "kettle": {
            "coil_rests": "hangs",
            "part": [
                {"what": "well", "where": "wall", "height": "12 cm", "size": "35 mm"},
                {"what": "mast", "where": "centre", "height": "40 cm", "size": "17 cm"},
            ],
        },
        "wort": {"volume": ["21 L", "24 L"], "mixing": "left alone"},
        "limits": {"chill_time": "70 min", "budget": 140, "water": "300 L", "difficulty": 7.0},
        "workshop": {**ALL_LAYOUTS, "riser_sides": "opposite", "marking_increment": "5 mm"},
    },
}


@pytest.fixture(
    scope="module",
    params=[pytest.param(n, id=n, marks=pytest.mark.slow if n.startswith(SLOW) else ()) for n in CASES],
)
def both(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[DesignBasis, Enumeration, Every]:
    s = small_stock.of(tmp_path_factory.mktemp("enumerate"), CASES[request.param])
    return s, enumerate_space(space(s), chunk=500), small_stock.every_coil(s, kept=False)


def test_the_same_coils_are_looked_at(both: tuple[DesignBasis, Enumeration, Every]) -> None:
    s, enumeration, every = both
    assert enumeration.enumerated == len(every.key)
    assert sorted(keys(space(s, prune=False))) == sorted(every.key)


def test_as_many_hold_every_limit(
    both: tuple[DesignBasis, Enumeration, Every], monkeypatch: pytest.MonkeyPatch
) -> None:
    s, enumeration, every = both
    # Only what could not come to the front is left uncounted.
    assert 0 < enumeration.feasible <= int(every.holds().sum())
    monkeypatch.setattr(enumerate_module, "ROUGH_SURELY", 1e-9)
    assert enumerate_space(space(s), chunk=500).feasible == int(every.holds().sum())


def test_each_coil_has_the_same_goals_and_limits(both: tuple[DesignBasis, Enumeration, Every]) -> None:
    s, _, every = both
    whole = space(s, prune=False)
    place = {key: i for i, key in enumerate(every.key)}
    broken = every.broken()
    # Wort that is left alone is worked out in steps, and how many depends on the coils chilled together.
    near = 5e-4 if s.scenario.mixing.still else 1e-9
    for flow in range(len(whole.valve_shares)):  # as the search does: one valve setting at a time
        numbers = np.arange(flow, whole.size, len(whole.valve_shares))
        order = np.array([place[key] for key in keys(whole, numbers)])
        r = rows(whole, numbers)
        result, physical = chilled(whole, r, np.arange(len(r)))
        r.checks.merge(physical)
        goals = np.stack([result.time, r.cost, result.water, r.difficulty], axis=1)
        np.testing.assert_allclose(goals, every.goals[order], rtol=near)
        assert set(broken) == set(r.checks.names)
        for name, check in r.checks.rows.items():
            close = {"rtol": near, "atol": 1e-12, "err_msg": name}
            np.testing.assert_allclose(check.value, every.value[name][order], **close)
            bound = np.broadcast_to(check.bound, check.value.shape)
            np.testing.assert_allclose(bound, every.bound[name][order], **close)
            np.testing.assert_array_equal(check.broken, broken[name][order], err_msg=name)


def test_the_front_is_the_same(both: tuple[DesignBasis, Enumeration, Every]) -> None:
    _, enumeration, every = both
    steps = [10.0, 0.22 * 4.1, 1e-3, 0.5]  # copper costs 4.10 a metre
    whole = np.unique(np.rint(every.goals[every.holds()] / steps), axis=0)
    beaten = [bool(((whole <= w).all(axis=1) & (whole < w).any(axis=1)).any()) for w in whole]
    ours = np.unique(rounded(enumeration.front.goals, enumeration.front.steps), axis=0)
    np.testing.assert_array_equal(ours, whole[~np.array(beaten)])


def test_the_first_of_the_answer_costs_least_over_its_life(
    both: tuple[DesignBasis, Enumeration, Every],
) -> None:
    """Of the whole product, each row by its own draws, none costs less by what a quarter of a minute is
    worth: the front rounds goals to steps, and of equals keeps the plainest."""
    s, _, every = both
    whole, worth = space(s, prune=False), worth_of(s)
    numbers = np.arange(0, whole.size, len(whole.valve_shares))  # as open as can be
    r = rows(whole, numbers)
    result, physical = chilled(whole, r, np.arange(len(r)))
    r.checks.merge(physical)
    holds = np.flatnonzero(~r.checks.broken().any(axis=0))
    # By the medians first; what is more than three ties behind is no rival.
    roughly = r.cost + worth.batches * (
        worth.waiting / 3600.0 * np.maximum(result.time - worth.good_time, 0.0) + worth.water * result.water
    )
    near = holds[roughly[holds] <= roughly[holds].min() + 3.0 * worth.minute + 20.0][:400]
    some = rows(whole, numbers[near])
    life = lifetime_of(whole, some, samples_of(whole, some, np.arange(len(some)), s.scenario))
    first = float(recommend(s).designs[0].life.total)
    assert first <= life.total.min() + 0.25 * worth.minute


def test_the_cheapest_build_that_fits_ignores_the_chill(both: tuple[DesignBasis, Enumeration, Every]) -> None:
    _, enumeration, every = both
    broken = every.broken()
    dry = [b for name, b in broken.items() if name not in ("chill_time", "water", "target")]
    # The same coil with the valve further shut is the same build.
    fits = np.array([key[-1] == 1.0 for key in every.key]) & ~np.any(dry, axis=0)
    assert enumeration.cheapest == pytest.approx(every.goals[fits, 1].min())
    assert enumeration.buildable == int(fits.sum())


@pytest.mark.parametrize("shop", [{}, ALL_LAYOUTS], ids=["one layer", "all layouts"])
@pytest.mark.parametrize("chunk", [1000, 10**6])
def test_the_outcome_does_not_depend_on_the_chunk(tmp_path: Path, chunk: int, shop: dict[str, Any]) -> None:
    everything = space(small_stock.of(tmp_path, {"limits": {"budget": 100}, "workshop": shop}))
    one, other = enumerate_space(everything, chunk=333), enumerate_space(everything, chunk=chunk)
    assert (one.buildable, one.cheapest) == (other.buildable, other.cheapest)
    np.testing.assert_array_equal(one.front.number, other.front.number)
    np.testing.assert_allclose(one.front.goals, other.front.goals, rtol=1e-12)


def test_near_variants_and_counts_never_exceed_what_holds(tmp_path: Path) -> None:
    answer = recommend(small_stock.of(tmp_path), top=50)
    assert sum(1 + d.near_variants for d in answer.designs) <= answer.feasible


@pytest.mark.parametrize("times", [18_000.0, 1.0 / 256.0])
def test_the_front_is_the_same_in_any_currency(tmp_path: Path, times: float) -> None:
    """A roll that costs 740 000, as it does somewhere, or a sixth of a coin."""
    basis = small_stock.of(tmp_path)
    dearer = basis_of(basis.brewhouse, brewers.at_prices_times(basis.stock, times))
    one, other = (enumerate_space(space(s)).best for s in (basis, dearer))
    np.testing.assert_array_equal(one.number, other.number)


@pytest.mark.parametrize("few", [0, 10**9])
def test_one_thread_finds_what_two_find(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, few: int) -> None:
    everything = space(small_stock.of(tmp_path, {"workshop": ALL_LAYOUTS}))
    usual = enumerate_space(everything, chunk=500)
    monkeypatch.setattr(enumerate_module, "FEW", few)
    other = enumerate_space(everything, chunk=500)
    np.testing.assert_array_equal(usual.front.number, other.front.number)
    np.testing.assert_array_equal(usual.front.goals, other.front.goals)
    assert (usual.feasible, usual.excluded) == (other.feasible, other.excluded)


def test_what_was_told_by_proof_is_counted(tmp_path: Path) -> None:
    shop = {"flow_settings": ["full", "half", "third"]}
    found = enumerate_space(space(small_stock.of(tmp_path, {"workshop": shop})))
    r = rows(found.space, np.arange(0, found.space.size, 3))
    fits = int((~r.checks.broken().any(axis=0)).sum())
    assert found.worth_a_chill == 3 * fits
    # Each coil is looked at with the valve open; what is left out is among the other settings.
    assert 0 < found.excluded < 2 * fits
    assert found.feasible + found.excluded <= found.worth_a_chill


def test_with_the_valve_open_nothing_is_told_by_proof(tmp_path: Path) -> None:
    found = enumerate_space(space(small_stock.of(tmp_path, {"workshop": {"flow_settings": ["full"]}})))
    assert found.excluded == 0 < found.worth_a_chill
