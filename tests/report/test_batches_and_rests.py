"""Two batch sizes, and how a coil rests, in the sheet's words: each where it counts, none of another case."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import small_stock
from own_coil import SIZES, own_sizes, two_layers

from optichill.display import show
from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.model.remarks import warnings
from optichill.problem.basis import design_basis
from optichill.report.sheet import measure
from optichill.report.sheet.card import brew_day
from optichill.report.sheet.document import Table
from optichill.report.sheet.drawing.in_words import side_words
from optichill.report.sheet.shopping import tables
from optichill.report.sheet.sizes import Sizes
from optichill.report.sheet.work import steps
from optichill.report.words import winding_words
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend

METRIC = Sizes("metric", 1e-3)
TWO = {"wort": {"volume": ["20 L", "24 L"]}}


def plan_in(at: Path, house: dict[str, Any], coil: dict[str, Any] | None = None) -> WorkPlan:
    basis = small_stock.of(at, house)
    return plan_work(basis, Coil(**(coil if coil and "layer" in coil else {**SIZES, **(coil or {})})))


def test_both_batches_are_named_where_each_counts(tmp_path: Path) -> None:
    """The smallest covers the turns, the largest is near the rim."""
    plan = plan_in(tmp_path, TWO)
    rows = {row[0]: row[3] for row in measure.before(plan, METRIC).rows}
    (large,) = (stop for name, stop in rows.items() if "the largest batch, 24 L" in name)
    (small,) = (stop for name, stop in rows.items() if "the smallest batch, 20 L" in name)
    assert large.endswith("more") and small.endswith("less")
    said = side_words(scene_of(plan), METRIC.length)
    assert "Hot wort of 24 L" in said and "cold wort of 20 L" in said
    log = next(block for block in brew_day(plan).blocks if isinstance(block, Table))
    assert ("hot wort", "24 L; 20 L takes less") == log.rows[0][:2]
    final = {row[0]: row[3] for row in measure.finished(plan, METRIC).rows}
    assert "smallest batch, 20 L" in final["turns, lowest underside to top"]


def test_one_batch_is_named_on_the_card_alone(tmp_path: Path) -> None:
    plan = plan_in(tmp_path, {"wort": {"volume": "24 L"}})
    log = next(block for block in brew_day(plan).blocks if isinstance(block, Table))
    assert log.rows[0][:2] == ("hot wort", "24 L")
    assert "Hot wort stands" in side_words(scene_of(plan), METRIC.length)
    assert not any("batch" in row[0] for row in measure.before(plan, METRIC).rows)


def test_a_coil_on_the_floor_has_no_wort_under_it(tmp_path: Path) -> None:
    plan = plan_in(tmp_path, {"kettle": {"coil_rests": "floor"}}, {"lowest_turn_height": 0.005})
    (row,) = (r for r in measure.finished(plan, METRIC).rows if r[0].startswith("underside"))
    assert row[2:] == ("flat on it", "it lies on the floor")


def test_what_may_not_be_higher_says_the_wort_over_it(tmp_path: Path) -> None:
    """Feet that may not be taller keep the cover of the top turn, not the wort under the coil."""
    plan = plan_in(tmp_path, {"kettle": {"top_clearance": "12 cm"}})
    (row,) = (r for r in measure.finished(plan, METRIC).rows if r[0].startswith("underside"))
    assert row[2].startswith("not more") or row[2] == "as it is"
    assert "cold wort over the top turn" in row[3]


def test_two_coils_hang_on_hooks_not_on_feet(tmp_path: Path) -> None:
    two = own_sizes(layout="parallel", **two_layers(0.2682, 0.1932))
    for rests, on in (
        ("hangs", "both on their hooks"),
        ("feet", "both on their feet"),
        ("floor", "both flat"),
    ):
        plan = plan_in(tmp_path / rests, {"kettle": {"coil_rests": rests}}, two)
        said = " ".join(text for text, _ in steps(plan, scene_of(plan), METRIC))
        assert on in said and said.count("both on their") + said.count("both flat") == 1


def test_a_hand_is_no_lever_bender(tmp_path: Path) -> None:
    """An own disc for bends by hand: screen, bill and sheet say so, and it is not to be got once more."""
    stock = small_stock.lists()
    stock["benders"] = [
        {
            "bender_id": "disc-10",
            "kind": "hand",
            "outer_diameter": "10 mm",
            "bend_radius": "60 mm",
            "owned": "yes",
        }
    ]
    folder = small_stock.write(tmp_path, {}, stock)
    inputs = load(folder)
    best = recommend(design_basis(inputs)).designs[0]
    assert best.winding.tool.kind == "hand"
    assert winding_words.tool(best.winding) == "bent by hand round a disc (yours)"
    assert any(item.what == "disc to bend round disc-10" for item in best.bill.items)
    plan = plan_work(design_basis(inputs), as_coil(best))
    listed = " ".join(" ".join(row) for table in tables(plan, inputs, METRIC) for row in table.rows)
    assert "disc to bend round disc-10" in listed and "across, to bend round" not in listed
    assert "lever" not in " ".join(text for text, _ in steps(plan, scene_of(plan), METRIC))


def test_a_clearance_under_a_coil_on_the_floor_is_told_not_to_count(tmp_path: Path) -> None:
    house = {"kettle": {"coil_rests": "floor", "floor_clearance": "40 mm"}}
    basis = small_stock.of(tmp_path / "floor", house)
    said = warnings(basis.brewhouse, basis.stock, None)
    assert any("floor_clearance of 40 mm does not count" in text for text in said)
    feet = small_stock.of(tmp_path / "feet", {"kettle": {"floor_clearance": "40 mm"}})
    assert not any("does not count" in text for text in warnings(feet.brewhouse, feet.stock, None))


def test_ends_that_fit_the_tube_but_not_the_hose_are_told_as_that(tmp_path: Path) -> None:
    stock = small_stock.lists()
    stock["fittings"] = [
        {
            "fitting_id": "sch-10",
            "outer_diameter": "10 mm",
            "bore": "8 mm",
            "joint": "hose and clamp",
            "price": "1",
        },
    ]
    basis = small_stock.of(tmp_path, {"tap": {"hose_bore": "12.5 mm"}}, stock)
    said = " ".join(warnings(basis.brewhouse, basis.stock, None))
    hose = show(basis.brewhouse.hose_bore, "tube", "metric")
    assert f"no ends that join {hose} hose" in said and "10 mm (fittings.csv:2, for 8 mm hose)" in said
