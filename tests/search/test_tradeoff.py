"""All that nothing beats, and the best of it in full."""

from __future__ import annotations

from pathlib import Path

import moocore
import numpy as np
import pytest
import small_stock

from optichill.files.reading import load
from optichill.problem.basis import design_basis
from optichill.problem.worth import worth_of
from optichill.rating.prediction import FINE
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.designs import designs
from optichill.search.evaluate import coils, rows
from optichill.search.front import rounded
from optichill.search.recommend import recommend, search_space
from optichill.search.tradeoff import POINTS, Tradeoff, weigh
from optichill.thermal.march import march

SHOP = {"layouts": ["single", "nested", "parallel"], "marking_increment": "5 mm"}


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Tradeoff:
    return weigh(search_space(small_stock.of(tmp_path_factory.mktemp("weighed"), {"workshop": SHOP})))


def test_what_is_kept_is_beaten_by_nothing_and_ordered_by_rank(found: Tradeoff) -> None:
    """Against the non-dominated filter of moocore: in the steps a brewer notices, or to the last digit what
    costs least over its life."""
    assert len(found) == found.answer.front > 20
    assert found.searched.front is not None
    steps = found.searched.front.steps
    noticed = moocore.is_nondominated(rounded(found.goals, steps), keep_weakly=True)
    assert (noticed | moocore.is_nondominated(found.goals)).all()
    assert (found.score[~noticed] >= found.score.max() - worth_of(found.answer.basis).minute).all()
    assert noticed.sum() > 20
    assert (np.diff(found.score) <= 1e-12).all()
    assert len(set(found.ids)) == len(found)
    assert found.rows is not None and len(found.rows) == len(found)
    np.testing.assert_allclose(found.goals[:, 1], found.rows.cost)
    np.testing.assert_allclose(found.goals[:, 3], found.rows.difficulty)


def test_the_shortlist_is_that_of_recommend(found: Tradeoff) -> None:
    again = recommend(found.answer.basis, top=len(found.answer.designs))
    assert [d.id for d in again.designs] == [d.id for d in found.answer.designs]
    for d in found.answer.designs:
        i = found.ids.index(d.id)
        assert found.rank[i] == d.rank == found.full[d.id].rank
        np.testing.assert_allclose(found.goals[i], list(d.goals.values()), rtol=1e-9)
    assert np.count_nonzero(found.rank) == len(found.answer.designs)


def test_designs_in_full_agree_with_their_rows(found: Tradeoff) -> None:
    for name, d in found.full.items():
        i = found.ids.index(name)
        np.testing.assert_allclose(found.goals[i], list(d.goals.values()), rtol=1e-6)
        assert found.layout(i) == d.layout


def test_no_coil_beats_what_no_coil_can(found: Tradeoff) -> None:
    """The least time and water lie below every design's own limit, and no design comes near to them."""
    own = [d.prediction for d in found.full.values()]
    assert found.least_time <= min(p.limit_time for p in own if p.limit_time is not None) * (1 + 1e-9)
    assert found.least_water <= min(p.limit_water for p in own if p.limit_water is not None) * (1 + 1e-9)
    assert (found.goals[:, 0] > found.least_time).all() and (found.goals[:, 2] > found.least_water).all()


def test_curves_end_where_the_chill_does_and_fall_all_the_way(found: Tradeoff) -> None:
    for name, curve in found.curves.items():
        assert curve.time.shape == curve.wort.shape == (POINTS,)
        assert (
            curve.time[0] == 0.0 and (np.diff(curve.time) > 0.0).all() and (np.diff(curve.wort) < 0.0).all()
        )
        assert curve.time[-1] == pytest.approx(found.full[name].prediction.chill_time, rel=1e-6)


def test_all_are_worked_out_in_full_and_as_one_by_one(found: Tradeoff) -> None:
    """Many at once give the digits of one alone: wort stirred on a tap shares nothing between coils."""
    assert found.in_full == len(found) and tuple(found.full) == found.ids
    space, ranking = found.searched.enumeration.space, found.searched.ranking
    assert found.rows is not None and ranking is not None
    for i in range(1, len(found), len(found) // 3):
        numbers, near = found.rows.number[[i]], found.stands_for[[i]] - 1
        alone = designs(space, numbers, ranking.levels, near, march=bool(found.rank[i]))[0]
        mine = found.full[found.ids[i]]
        assert alone.told == pytest.approx(mine.told, rel=1e-12)
        assert found.told[i].tolist() == pytest.approx(list(alone.told.values()), rel=1e-12)
        assert alone.prediction.steady == pytest.approx(mine.prediction.steady, rel=1e-12)
        for name in ("reasons", "bill", "limits", "offcut"):
            assert getattr(alone, name) == getattr(mine, name), name


def test_a_long_front_has_its_best_in_full(found: Tradeoff) -> None:
    short = weigh(found.searched, in_full=10)
    assert 10 <= short.in_full < len(short) == len(found)
    assert set(short.ids[:10]) <= set(short.full) and set(short.curves) == set(short.full)
    np.testing.assert_allclose(short.told, found.told, rtol=1e-12)


def test_rows_that_differ_by_the_valve_alone_are_one_physical_coil(tmp_path: Path) -> None:
    valve = {"workshop": SHOP | {"flow_settings": ["full", "half", "quarter"]}, "limits": {"water": "150 L"}}
    t = weigh(search_space(small_stock.of(tmp_path, valve), tube="cu-10-10"), in_full=0)
    assert t.rows is not None
    coils = list(zip(t.rows.setup.tolist(), t.rows.gap.tolist(), t.rows.turns.tolist(), strict=True))
    order = list(dict.fromkeys(coils))  # as they come first, best ranked first
    assert t.coil.tolist() == [order.index(coil) for coil in coils]
    assert t.coil.max() + 1 == len(order) < len(t)


@pytest.mark.parametrize(
    "plan", ["", *(pytest.param(name, marks=pytest.mark.slow) for name in ("two buckets", "hold"))]
)
def test_curves_follow_the_march(tmp_path: Path, plan: str) -> None:
    """The march in time comes to each temperature of the curve within 0.5 % of the whole time."""
    folder = small_stock.write(tmp_path)
    file = folder / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + PLANS[plan], encoding="utf-8")
    t = weigh(search_space(design_basis(load(folder)), tube="cu-10-10"), in_full=3)
    assert t.rows is not None
    space = t.searched.enumeration.space
    for name, curve in list(t.curves.items())[:3]:
        i = t.ids.index(name)
        r = rows(space, t.rows.number[[i]])
        run = march(coils(space, r, np.arange(1)), plan_of_rows(space, r.number), FINE, rtol=1e-5)
        passed, time, wort = 0.0, [], []
        for piece in run.pieces:
            at = np.linspace(0.0, float(piece.time[0]), 200)
            cools = piece.source is not None
            time += (passed + at * cools).tolist()
            wort += piece.at(at)[0, 0].tolist()
            passed += cools * float(piece.time[0])
        expected = np.interp(-curve.wort, -np.array(wort), time)
        np.testing.assert_allclose(curve.time, expected, atol=0.005 * passed)


PLANS = {
    "": "",
    "two buckets": """
[[cooling]]
source = "bucket"
pump = "small"
water = "20 L"
refills = 2
return = "bucket"
until = "40 degC"
[[cooling]]
source = "tap"
""",
    "hold": """
[[cooling]]
source = "tap"
until = "80 degC"
[[cooling]]
hold = "20 min"
[[cooling]]
source = "tap"
""",
}


@pytest.mark.slow
def test_curves_of_a_plan_pass_its_changes(tmp_path: Path) -> None:
    folder = small_stock.write(tmp_path)
    file = folder / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + small_stock.TAP_THEN_ICE, encoding="utf-8")
    found = weigh(search_space(design_basis(load(folder))))
    assert len(found)
    for name, curve in found.curves.items():
        first, second = found.full[name].prediction.stages
        at = float(np.interp(first.time, curve.time, curve.wort))
        assert at == pytest.approx(273.15 + 40.0, abs=1.5)  # between points the curve is a chord
        assert curve.time[-1] == pytest.approx(first.time + second.time, rel=1e-6)


def test_nothing_fits_leaves_nothing_to_compare(tmp_path: Path) -> None:
    found = weigh(search_space(small_stock.of(tmp_path, {"limits": {"chill_time": "1 min"}})))
    assert len(found) == 0 and not found.answer.designs and found.answer.conflicts is not None
