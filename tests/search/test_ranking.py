"""Ranking: achievement of stated levels, worked out by hand; a shortlist of builds that differ."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
import small_stock
from first_place import first_place
from hypothesis import given
from hypothesis import strategies as st

from optichill.model.wishes import DifficultyWish, MoneyWish, TimeWish, Wishes
from optichill.search.designs import Design
from optichill.search.front import Front
from optichill.search.ranking import Levels, achievements, levels, score, shortlist
from optichill.search.recommend import recommend
from optichill.search.space import Space, space
from optichill.workshop.difficulty import band

BY = Levels(
    good=np.array([600.0, 50.0, 0.08, 3.0]),
    acceptable=np.array([1800.0, 150.0, 0.28, 6.0]),
    weight=np.ones(4),
    assumed=(),
)


def test_score_worked_out_by_hand() -> None:
    # Halves and quarters of the way: time 0.5, cost 0.75, water 1.0, difficulty 0.25 achieved.
    goals = np.array([[1200.0, 75.0, 0.08, 5.25]])
    np.testing.assert_allclose(achievements(goals, BY), [[0.5, 0.75, 1.0, 0.25]])
    # 1 - largest shortfall 0.75 - 0.05 of the sum of shortfalls (0.5 + 0.25 + 0 + 0.75).
    assert score(goals, BY)[0] == pytest.approx(1 - 0.75 - 0.05 * 1.5)


def test_good_everywhere_is_one_and_acceptable_everywhere_is_less() -> None:
    good, acceptable = score(np.stack([BY.good, BY.acceptable]), BY)
    assert good == pytest.approx(1.0)
    assert acceptable == pytest.approx(-0.2)
    assert good > acceptable


shares = st.lists(st.floats(-1.0, 3.0), min_size=4, max_size=4)


@given(shares, st.integers(0, 3), st.floats(1e-6, 1.0))
def test_score_falls_when_any_goal_gets_worse(at: list[float], goal: int, by_how_much: float) -> None:
    goals = BY.good + np.array(at) * (BY.acceptable - BY.good)
    worse = goals.copy()
    worse[goal] += by_how_much * (BY.acceptable - BY.good)[goal]
    assert score(worse[None], BY)[0] < score(goals[None], BY)[0]


@given(shares)
def test_a_heavier_wish_is_felt_sooner(at: list[float]) -> None:
    goals = (BY.good + np.abs(np.array(at)) * (BY.acceptable - BY.good))[None]
    heavy = Levels(BY.good, BY.acceptable, np.array([3.0, 1.0, 1.0, 1.0]), ())
    assert score(goals, heavy)[0] <= score(goals, BY)[0] + 1e-12


def test_a_weight_can_turn_the_order() -> None:
    fast, cheap = [700.0, 140.0, 0.1, 4.0], [1700.0, 60.0, 0.1, 4.0]
    for weight, first in ((np.array([4.0, 1, 1, 1]), 0), (np.array([1.0, 4, 1, 1]), 1)):
        by = Levels(BY.good, BY.acceptable, weight, ())
        assert int(score(np.array([fast, cheap]), by).argmax()) == first


def test_a_dented_front_can_be_won_in_the_dent() -> None:
    # Between two extremes lies a point above their line: no weighted sum would pick it, achievement does.
    goals = np.array([[600.0, 150.0, 0.08, 3.0], [1300.0, 105.0, 0.08, 3.0], [1800.0, 50.0, 0.08, 3.0]])
    assert int(score(goals, BY).argmax()) == 1


def test_fixed_levels_are_those_of_the_contract() -> None:
    assert levels(Wishes(), cheapest=80.0, wort_volume=0.023) is None  # then lifetime cost ranks
    by = levels(Wishes(difficulty=DifficultyWish(good=3.0, acceptable=6.0)), cheapest=80.0, wort_volume=0.023)
    assert by is not None
    np.testing.assert_allclose(by.good, [720.0, 80.0, 3.5 * 0.023, 3.0])
    np.testing.assert_allclose(by.acceptable, [1800.0, 200.0, 12 * 0.023, 6.0])
    assert by.assumed == ("chill_time", "cost", "water")


def test_wishes_replace_the_fixed_levels() -> None:
    wishes = Wishes(
        chill_time=TimeWish(good=500.0, acceptable=900.0, weight=2.0), cost=MoneyWish(good=40, acceptable=90)
    )
    by = levels(wishes, cheapest=80.0, wort_volume=0.02)
    assert by is not None
    assert by.good[:2].tolist() == [500.0, 40.0] and by.acceptable[:2].tolist() == [900.0, 90.0]
    assert by.weight.tolist() == [2.0, 1.0, 1.0, 1.0]
    assert by.assumed == ("water", "difficulty")


# --- the shortlist ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Space:
    stock = small_stock.lists()
    stock["tubing"] += [
        dict(
            stock["tubing"][0],
            stock_id="cu-9.5-15",
            outer_diameter="3/8 in",
            wall="0.032 in",
            length="15 m",
            price="58",
        )
    ]
    stock["forms"] += [dict(stock["forms"][1], form_id="pipe-150", outer_diameter="150 mm")]
    stock["fittings"] += [dict(stock["fittings"][0], fitting_id="comp-38", outer_diameter="3/8 in")]
    return space(small_stock.of(tmp_path_factory.mktemp("rank"), {}, stock))


def alike(a: Design, b: Design) -> bool:
    """Within a tenth of the first in time, money and water, and in one band of work."""
    near = all(abs(a.goals[g] - b.goals[g]) <= 0.10 * a.goals[g] for g in ("chill_time", "cost", "water"))
    return near and band(a.difficulty) == band(b.difficulty)


def test_no_two_of_the_shortlist_are_one_choice(small: Space) -> None:
    found = recommend(small.basis, top=50).designs
    assert len(found) >= 5
    assert not any(alike(a, b) for a, b in itertools.combinations(found, 2))


def test_ranks_count_up_and_what_coils_cost_over_their_life_grows(small: Space) -> None:
    found = recommend(small.basis, top=50).designs
    assert [d.rank for d in found] == list(range(1, len(found) + 1))
    costs = [float(d.life.total) for d in found]
    assert costs == sorted(costs)
    assert [d.score for d in found] == [-cost for cost in costs]


def test_top_is_kept_and_the_first_do_not_depend_on_it(small: Space) -> None:
    few, many = (recommend(small.basis, top=n).designs for n in (2, 6))
    assert [d.id for d in few] == [d.id for d in many[:2]]
    assert len(few) == 2


def front_of(small: Space, entries: list[tuple[list[float], int]]) -> Front:
    """A front by hand: goals and what each entry stands for; each a coil of its own."""
    number = np.arange(len(entries)) * len(small.valve_shares)
    goals = np.array([goals for goals, _ in entries])
    return Front(number, goals, np.zeros(len(entries)), np.array([count for _, count in entries]))


BASE = [1200.0, 90.0, 0.15, 3.0]


def test_near_variants_count_what_is_alike(small: Space) -> None:
    front = front_of(
        small, [(BASE, 5), ([1300.0, 95.0, 0.16, 3.4], 3), ([1300.0, 95.0, 0.16, 3.6], 7)]
    )  # the last is in another band of work
    choice = shortlist(front, np.array([3.0, 2.0, 1.0]), np.ones(3, bool), 5)
    assert choice.entry.tolist() == [0, 2]
    assert choice.near_variants.tolist() == [4 + 3, 6]


@pytest.mark.parametrize(
    ("other", "builds"),
    [
        ([1310.0, 98.0, 0.164, 3.4], 1),  # 9 % more of each
        ([1330.0, 90.0, 0.15, 3.0], 2),  # 11 % slower
        ([1200.0, 100.0, 0.15, 3.0], 2),  # 11 % dearer
        ([1200.0, 90.0, 0.167, 3.0], 2),  # 11 % more water
        ([1200.0, 90.0, 0.15, 3.6], 2),  # past the end of "first build"
    ],
)
def test_what_counts_as_another_build(small: Space, other: list[float], builds: int) -> None:
    choice = shortlist(front_of(small, [(BASE, 1), (other, 1)]), np.array([2.0, 1.0]), np.ones(2, bool), 5)
    assert choice.entry.size == builds


@pytest.mark.parametrize("water", [0.5, 50])
def test_a_coil_is_shown_as_open_as_it_may_be(tmp_path: Path, water: float) -> None:
    """Half shut it takes less water and may cost less over its life, also where fully open it would not be on
    the front: a habit, not another coil. A limit on water can make it one."""
    house = {
        "workshop": {"flow_settings": ["full", "half"]},
        "wishes": {"hour": 0.1, "water_price": water},
    }
    free = recommend(small_stock.of(tmp_path / "free", house), top=50).designs
    assert {d.valve_share for d in free} == {1.0}
    least = min(d.goals["water"] for d in free)
    thrifty = {**house, "limits": {"water": f"{990.0 * least:.1f} L"}}
    found = recommend(small_stock.of(tmp_path / "thrifty", thrifty), top=50).designs
    assert 0.5 in {d.valve_share for d in found}


def test_wishes_of_the_file_rank(tmp_path: Path) -> None:
    levels_of = {
        "quick": {"chill_time": {"good": "8 min", "acceptable": "14 min", "weight": 5}},
        "cheap": {"cost": {"good": 40, "acceptable": 75, "weight": 5}},
    }
    best = {
        name: first_place(small_stock.of(tmp_path / name, {"wishes": w})) for name, w in levels_of.items()
    }
    assert best["quick"].goals["chill_time"] < best["cheap"].goals["chill_time"]
    assert best["quick"].bill.total > best["cheap"].bill.total
