"""Rows in numbers: one by one as in a vector, and every limit broken where it should be."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock

from optichill.files.reading import load
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.checks import Check, Checks
from optichill.problem.limits import LIMITS
from optichill.problem.placement import Shape, fit_checks, place_coils
from optichill.search.designs import designs
from optichill.search.evaluate import chilled, rows
from optichill.search.space import Space, space


def table(of: Space) -> tuple[Any, Checks]:
    r = rows(of, np.arange(of.size))
    _, physical = chilled(of, r, np.arange(len(r)))
    r.checks.merge(physical)
    return r, r.checks


def broken(checks: Checks, name: str) -> np.ndarray:
    return checks.broken()[checks.names.index(name)]


# --- vector and one by one --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Space:
    house = {
        "limits": {"chill_time": "30 min", "budget": 100, "water": "250 L", "difficulty": "careful beginner"}
    }
    return space(small_stock.of(tmp_path_factory.mktemp("evaluate"), house))


def test_vector_rows_equal_rows_one_by_one(small: Space) -> None:
    numbers = np.random.default_rng(5).choice(small.size, 40, replace=False)
    many = rows(small, numbers)
    times, checks = chilled(small, many, np.arange(len(many)))
    for i, number in enumerate(numbers.tolist()):
        one = rows(small, np.array([number]))
        time, check = chilled(small, one, np.array([0]))
        for field in ("height", "cost", "difficulty", "gap", "turns"):
            assert getattr(one, field)[0] == pytest.approx(getattr(many, field)[i], rel=1e-12)
        for field in ("wetted", "tube_length", "cold_level", "hot_level", "lowest", "top", "wet_share"):
            assert getattr(one.placement, field)[0] == pytest.approx(
                getattr(many.placement, field)[i], rel=1e-12
            )
        assert time.time[0] == pytest.approx(times.time[i], rel=1e-12)
        assert time.water[0] == pytest.approx(times.water[i], rel=1e-12)
        np.testing.assert_array_equal(one.checks.broken()[:, 0], many.checks.broken()[:, i])
        np.testing.assert_array_equal(check.broken()[:, 0], checks.broken()[:, i])


def test_keeping_some_rows_keeps_the_right_ones(small: Space) -> None:
    r = rows(small, np.arange(0, small.size, 37))
    keep = np.arange(1, len(r), 3)
    some, _ = chilled(small, r, keep)
    all_of, _ = chilled(small, r, np.arange(len(r)))
    np.testing.assert_allclose(some.time, all_of.time[keep], rtol=1e-12)


def test_a_design_in_full_agrees_with_its_row(small: Space) -> None:
    numbers = np.array([10, small.size // 2, small.size - 5])
    r = rows(small, numbers)
    for i, d in enumerate(designs(small, numbers, None, np.zeros(3, np.intp))):
        assert d.bill.total == pytest.approx(r.cost[i])  # the itemised bill adds up to the vector's total
        assert d.bill.total == pytest.approx(sum(item.price for item in d.bill.items))
        assert d.difficulty == pytest.approx(r.difficulty[i])
        assert d.height == pytest.approx(
            r.turns[i] * (r.gap[i] + d.winding.tube.outer_diameter) + d.winding.tube.outer_diameter
        )
        # Cut length: turns, both risers and two trims of 50 mm.
        helix = d.turns * np.hypot(np.pi * d.mean_diameter, d.pitch)
        assert d.tube_length == pytest.approx(helix + d.riser_in + d.riser_out + 0.1)
        assert d.offcut == pytest.approx(d.winding.tube.length - d.tube_length)


def test_search_numerics_are_close_to_fine_ones(small: Space) -> None:
    from optichill.rating.prediction import FINE

    r = rows(small, np.arange(0, small.size, 101))
    keep = np.flatnonzero(~r.checks.broken().any(axis=0))
    coarse, fine = (chilled(small, r, keep, *n)[0].time for n in ((), (FINE,)))
    np.testing.assert_allclose(coarse, fine, rtol=0.01)


# --- limits, each broken by one thing ---------------------------------------------------------------------

Edit = dict[str, Any]


def stock_with(name: str, row: int, **cells: str) -> small_stock.Lists:
    lists = small_stock.lists()
    lists[name][row].update(cells)
    return lists


BUCKET = {"source": "bucket", "pump": "small", "water_temperature": "10 degC"}
BROKEN: dict[str, tuple[Edit, small_stock.Lists | None]] = {
    "wall": ({"kettle": {"wall_clearance": "90 mm"}}, None),
    "floor": ({"kettle": {"coil_rests": "hangs", "floor_clearance": "17 cm"}}, None),
    "mouth": ({"kettle": {"mouth": "24 cm"}}, None),
    "submergence": ({"wort": {"volume": "9 L"}}, None),
    "stock_length": ({}, stock_with("tubing", 0, length="4 m")),
    "winding_radius": ({}, stock_with("forms", 0, outer_diameter="5 cm")),
    "form_height": ({}, stock_with("forms", 0, height="4 cm")),
    "riser_gap": ({"kettle": {"inside_diameter": "29 cm", "wall_clearance": "0 mm"}}, None),
    "riser_bend": ({}, {**small_stock.lists(), "benders": []}),
    "riser_height": ({"kettle": {"inside_height": "24 cm"}}, stock_with("benders", 1, bend_radius="9 cm")),
    "headspace": ({"workshop": {"headspace": "17 cm"}}, None),
    "centre": (
        {"kettle": {"part": [{"what": "mast", "where": "centre", "height": "30 cm", "size": "24 cm"}]}},
        None,
    ),
    "budget": ({"limits": {"budget": 60}}, None),
    "difficulty": ({"limits": {"difficulty": "first build"}}, None),
    "chill_time": ({"limits": {"chill_time": "20 min"}}, None),
    "water": ({"limits": {"water": "150 L"}}, None),
    "target": ({"wort": {"target_temperature": "12 degC"}}, None),
    "bucket": ({"cooling": [{**BUCKET, "return": "drain", "refills": 1}]}, None),
    "pump_rating": (
        {
            "wort": {"target_temperature": "66 degC", "unusual": True},
            "cooling": [{**BUCKET, "bucket": "14 L"}],
        },
        stock_with("pumps", 0, max_temperature="50 degC"),
    ),
}
OF_GIVEN_COILS = {"gap", "layer_gap"}
"""What no coil of the search breaks, since it leaves that room from the start."""
NEVER = {"ice"}
"""No more ice melts than there is: the line tells how much of it goes."""


def test_every_limit_has_a_case() -> None:
    assert set(BROKEN) | OF_GIVEN_COILS | NEVER == set(LIMITS)


@pytest.fixture(scope="module")
def was(tmp_path_factory: pytest.TempPathFactory) -> Checks:
    """What the small brewhouse's coils break as it stands."""
    return table(space(small_stock.of(tmp_path_factory.mktemp("before"))))[1]


@pytest.mark.parametrize("name", BROKEN)
def test_every_limit_can_be_broken_and_is_told(tmp_path: Path, was: Checks, name: str) -> None:
    house, stock = BROKEN[name]
    after = space(small_stock.of(tmp_path / "after", house, stock))
    now = table(after)[1]
    # Told as broken now, and by more coils than without the change.
    told = broken(now, name)
    assert told.any()
    if name in was.names:
        assert told.mean() > broken(was, name).mean()
    check = now.rows[name]
    np.testing.assert_array_equal(told, check.margin < -1e-9 * np.maximum(np.abs(check.bound), 0.01))
    # And the design's own line says so.
    d = designs(after, np.flatnonzero(told)[:1], None, np.zeros(1, np.intp))[0]
    line = next(line for line in d.limits if line.name == name)
    assert not line.holds and line.margin < 0.0 or name == "target" and not line.holds


@pytest.mark.parametrize("kilograms", [6, 12])
def test_the_ice_that_melts_is_told_and_is_no_more_than_there_is(tmp_path: Path, kilograms: int) -> None:
    ice = {"source": "ice bath", "pump": "small", "water": "25 L", "bucket": "60 L"}
    plan = [{"source": "tap", "until": "40 degC"}, {**ice, "ice": f"{kilograms} kg"}]
    of = space(small_stock.of(tmp_path, {"cooling": plan}))
    r = rows(of, np.arange(0, of.size, 40))
    result, checks = chilled(of, r, np.arange(len(r)))
    told = checks.rows["ice"]
    np.testing.assert_allclose(told.value, result.ice)
    assert (told.value <= kilograms + 1e-12).all() and np.isfinite(result.time).all()
    # All of little ice goes; of much, what the wort's 20 K and the bath's own water need. By hand, in round
    # figures: 22 kg of wort x 4 kJ/kgK x 20 K and 25 kg x 4.2 kJ/kgK x 11 K, over 338 kJ/kg.
    needed = (22 * 4 * 20 + 25 * 4.2 * 11) / 338
    np.testing.assert_allclose(told.value, min(kilograms, needed), rtol=0.1)


def hottest_water(folder: Path, target: str, refills: int) -> np.ndarray:
    """What the pump's rating is held against, of some coils."""
    plan = [{**BUCKET, "bucket": "8 L", "refills": refills}]
    of = space(
        small_stock.of(folder, {"wort": {"target_temperature": target, "unusual": True}, "cooling": plan})
    )
    r = rows(of, np.arange(0, of.size, 40))
    return chilled(of, r, np.arange(len(r)))[1].rows["pump_rating"].value


def test_a_pump_is_held_to_the_hottest_filling_of_its_bucket(tmp_path: Path) -> None:
    # Equal ratios of the drive to water of 10 degC: the first of two fillings cools from 98 to 76.3 degC.
    first = hottest_water(tmp_path / "first", "76.3 degC", 0)
    both = hottest_water(tmp_path / "both", "60 degC", 1)
    assert (both >= first - 0.5).all()


def checked(s: DesignBasis, pitch: float = 0.017, turns: float = 10.0) -> Checks:
    """The room of one coil that is given: D 26 cm, d 10 mm, 10 turns, lowest turn at 30 mm."""
    shape = Shape(*(np.array([v]) for v in (0.010, 0.008, 0.26, pitch, turns, 0.030)))
    return fit_checks(s, shape, place_coils(s, shape, 0.030))


def test_layers_too_near_to_each_other_are_told_of_a_given_coil(tmp_path: Path) -> None:
    s = small_stock.of(tmp_path)
    columns = [np.full(4, v) for v in (0.010, 0.008, 0.26, 0.030, 8.0, 0.030)]
    tees = np.array([False, False, True, True])
    shape = Shape(*columns, D_in=np.array([0.221, 0.219, 0.201, 0.199]), parallel=tees)
    check = fit_checks(s, shape, place_coils(s, shape, 0.030)).rows["layer_gap"]
    # (26 - 22.1) / 2 cm apart, less one tube: half a millimetre short, and half a millimetre over. Of two
    # tubes the inner one's riser climbs between them: a tube and 5 mm of air on both sides, 20 mm.
    np.testing.assert_allclose(check.value, [0.0095, 0.0105, 0.0195, 0.0205])
    np.testing.assert_allclose(check.bound, [0.010, 0.010, 0.020, 0.020])
    assert check.broken.tolist() == [True, False, True, False]


def test_a_gap_below_the_smallest_is_told_of_a_given_coil(tmp_path: Path) -> None:
    checks = checked(small_stock.of(tmp_path), pitch=0.012)
    check = checks.rows["gap"]
    assert (check.value[0], float(np.atleast_1d(check.bound)[0])) == (pytest.approx(0.002), 0.005)
    assert broken(checks, "gap")[0]


# (limit, brewhouse, value and bound in m worked out by hand)
BY_HAND = [
    ("wall", {}, (0.36 - 0.26 - 0.01) / 2, 0.03),
    ("wall", {"part": [{"what": "well", "where": "wall", "height": "12 cm", "size": "6 cm"}]}, 0.045, 0.065),
    ("wall", {"part": [{"what": "drain", "where": "wall", "height": "2 cm", "size": "6 cm"}]}, 0.045, 0.03),
    ("floor", {}, 0.025, 0.025),
    ("floor", {"part": [{"what": "valve", "where": "floor", "height": "4 cm", "size": "6 cm"}]}, 0.025, 0.04),
    ("floor", {"coil_rests": "floor"}, 0.025, 0.0),
    (
        "centre",
        {"part": [{"what": "mast", "where": "centre", "height": "9 cm", "size": "20 cm"}]},
        0.025,
        0.005,
    ),
    (
        "centre",
        {"part": [{"what": "mast", "where": "centre", "height": "9 cm", "size": "245 mm"}]},
        0.0025,
        0.005,
    ),
]


@pytest.mark.parametrize(("name", "kettle", "value", "bound"), BY_HAND)
def test_rooms_worked_out_by_hand(
    tmp_path: Path, name: str, kettle: Edit, value: float, bound: float
) -> None:
    check = checked(small_stock.of(tmp_path, {"kettle": kettle})).rows[name]
    assert (check.value[0], float(np.atleast_1d(check.bound)[0])) == (
        pytest.approx(value),
        pytest.approx(bound),
    )
    assert bool(check.violation[0] <= 1e-9) == (value >= bound - 1e-12)
    assert check.margin[0] == pytest.approx(value - bound)


@pytest.mark.parametrize(("turns", "risers_out"), [(10.0, 1), (10.5, 2)])
def test_the_mouth_must_pass_both_risers_where_they_stand_opposite(
    tmp_path: Path, turns: float, risers_out: int
) -> None:
    check = checked(small_stock.of(tmp_path, {"kettle": {"mouth": "287 mm"}}), turns=turns).rows["mouth"]
    # The riser from the top turn rises from its tangent, one bend out; that from the lowest passes the turns.
    from_top, past_turns = np.hypot(0.13, 0.03) - 0.13, 0.010 + 0.005
    assert check.value[0] == pytest.approx(0.27 + past_turns + (from_top if risers_out == 2 else 0.0))
    assert bool(check.violation[0] > 0) == (risers_out == 2)


def test_no_centre_part_no_centre_limit(small: Space) -> None:
    assert "centre" not in table(small)[1].names


# --- how a coil rests -------------------------------------------------------------------------------------


def placement(folder: Path, rests: str, **kettle: Any) -> tuple[Any, DesignBasis]:
    of = space(small_stock.of(folder, {"kettle": {"coil_rests": rests, **kettle}}))
    return rows(of, np.arange(of.size)), of.basis


FLOOR_PART = {"part": [{"what": "valve", "where": "floor", "height": "4 cm", "size": "6 cm"}]}


@pytest.mark.parametrize(
    ("rests", "kettle", "under"),
    [("feet", {}, 0.025), ("feet", FLOOR_PART, 0.04), ("floor", {}, 0.0), ("floor", FLOOR_PART, 0.04)],
)
def test_a_standing_coil_has_its_underside_where_it_rests(
    tmp_path: Path, rests: str, kettle: Edit, under: float
) -> None:
    r, _ = placement(tmp_path, rests, **kettle)
    np.testing.assert_allclose(r.placement.lowest - r.shape.d_o / 2, under, atol=1e-12)
    assert not broken(r.checks, "floor").any()


def test_a_hanging_coil_is_just_under_the_cold_surface(tmp_path: Path) -> None:
    r, s = placement(tmp_path, "hangs")
    over_top = r.placement.cold_level - r.placement.top - r.shape.d_o / 2
    lies = np.isclose(r.placement.lowest, r.shape.d_o / 2)
    np.testing.assert_allclose(over_top[~lies], s.brewhouse.kettle.top_clearance, atol=2e-5)
    assert (over_top[lies] <= s.brewhouse.kettle.top_clearance + 2e-5).all()
    assert lies.any() and not lies.all()
    np.testing.assert_array_equal(
        broken(r.checks, "floor"), r.placement.lowest - r.shape.d_o / 2 < 0.025 - 1e-9
    )


def test_hanging_leaves_more_coil_wet_than_standing_in_a_shallow_kettle(tmp_path: Path) -> None:
    shallow = {"wort": {"volume": "14 L"}}
    share = {}
    for rests in ("feet", "hangs"):
        of = space(small_stock.of(tmp_path / rests, {**shallow, "kettle": {"coil_rests": rests}}))
        share[rests] = rows(of, np.arange(of.size)).placement.wet_share
    assert (share["hangs"] >= share["feet"] - 1e-9).all()
    assert (share["hangs"] > share["feet"] + 0.01).any()


# --- limits as such ---------------------------------------------------------------------------------------


def test_a_bound_that_is_met_exactly_holds_and_a_hair_less_does_not() -> None:
    checks = Checks((3,))
    checks.at_most("budget", [100.0, 100.0 * (1 + 1e-12), 100.0001], 100.0)
    checks.at_least("wall", [0.03, 0.03 - 1e-14, 0.0299], 0.03)
    np.testing.assert_array_equal(checks.broken(), [[False, False, True], [False, False, True]])


def test_what_is_not_a_number_is_broken() -> None:
    check = Check(np.array([np.nan, np.inf]), np.array([1.0, 1.0]), 1.0)
    assert (check.violation > 0).all()


def test_a_brewhouse_without_a_tap_cools_from_its_bucket(tmp_path: Path) -> None:
    stock = small_stock.write(tmp_path, {"cooling": [BUCKET]})
    text = (stock / "brewhouse.toml").read_text()
    head, _, rest = text.partition("[tap]")
    (stock / "brewhouse.toml").write_text(head + "[workshop]" + rest.partition("[workshop]")[2])
    s = design_basis(load(stock))
    (source,) = s.scenario.sources
    assert s.brewhouse.tap is None
    assert (source.T_water, source.returns) == (pytest.approx(283.15), True)
    assert [p.pump_id for p in s.pumps] == ["small"]
    of = space(s)
    time = chilled(of, rows(of, np.arange(0, of.size, 50)), np.arange(3))[0].time
    assert (time > 0.0).all()
