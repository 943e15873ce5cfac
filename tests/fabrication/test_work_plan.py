"""From a coil to its bench: the same sheet from a found design and from its file; what stops a build."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import SIZES, own_bench, two_layers

from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import as_written
from optichill.files.reading import load
from optichill.geometry import bend_allowance, helix, springback
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.limits import LIMITS
from optichill.report.sheet.notes import notes
from optichill.report.sheet.refusal import SENTENCES, reasons
from optichill.report.sheet.sizes import Sizes
from optichill.search.answer import Answer
from optichill.search.designs import Design, as_coil
from optichill.search.recommend import recommend

SHOP = {"layouts": ["single", "nested", "parallel"], "marking_increment": "5 mm"}


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Answer]:
    """The best builds of each layout."""
    found = {}
    for layout in ("single", "nested", "parallel"):
        house = {"workshop": {**SHOP, "layouts": [layout]}}
        found[layout] = recommend(small_stock.of(tmp_path_factory.mktemp(layout), house), top=3)
    return found


@pytest.fixture(scope="module")
def benches(answers: dict[str, Answer]) -> list[tuple[DesignBasis, Design, WorkPlan]]:
    """Each of them on its bench."""
    found = [(a.basis, d) for a in answers.values() for d in a.designs]
    assert {d.layout for _, d in found} == {"single", "nested", "parallel"}
    return [(s, d, plan_work(s, as_coil(d))) for s, d in found]


def test_a_coil_brings_back_the_design_that_it_was_saved_from(
    benches: list[tuple[DesignBasis, Design, WorkPlan]],
) -> None:
    for _, d, b in benches:
        forms = [d.winding] + ([d.inner] if d.inner else [])
        assert [(x.form.form_id, x.wraps) for x in b.layers if x.form] == [
            (w.form.form_id, w.wraps) for w in forms
        ]
        assert (b.tube, b.tool, b.rolls, b.bill) == (d.winding.tube, d.winding.tool, d.rolls, d.bill)
        assert b.cut_length == pytest.approx(d.tube_length, abs=1e-9)
        assert b.layers[0].k == pytest.approx(d.springback, rel=1e-9)
        assert obstacles(b) == ()


def test_pieces_and_marks_are_the_tube_of_the_design(
    benches: list[tuple[DesignBasis, Design, WorkPlan]],
) -> None:
    for s, d, b in benches:
        assert len(b.pieces) == (2 if d.layout == "parallel" else 1)
        assert len(b.layers) == (1 if d.layout == "single" else 2)
        turns = sum(helix.helix_length(x.diameter, x.pitch, x.turns) for x in b.layers)
        riser_tube = sum(p.riser_in.length + p.riser_out.length for p in b.pieces)
        across = helix.nested_crossing_length(b.layers[-1].diameter, b.layers[0].diameter)
        whole = turns + riser_tube + 0.1 * len(b.pieces) + (across if d.layout == "nested" else 0.0)
        assert b.cut_length == pytest.approx(float(whole), abs=1e-9)
        for piece in b.pieces:
            assert piece.marks.possible
            for riser in (piece.riser_in, piece.riser_out):
                # It climbs to 3 cm over the rim, and its end is past the wall by what the workshop wants, to
                # what two tubes of one file length are apart.
                top = riser.foot + 2 * riser.bend_radius + riser.upright
                assert top == pytest.approx(s.brewhouse.kettle.inside_height + 0.03)
                reach = b.axis(piece, riser) + riser.bend_radius + riser.level
                over = reach - s.brewhouse.kettle.inside_diameter / 2
                near = 0.03 if d.layout == "parallel" else 1e-6
                assert over == pytest.approx(s.brewhouse.workshop.over_the_rim, abs=near)


def test_both_states_of_every_layer(benches: list[tuple[DesignBasis, Design, WorkPlan]]) -> None:
    for _, _, b in benches:
        for x in b.layers:
            assert x.on_form / x.k == pytest.approx(x.diameter, rel=1e-9)
            assert x.turns_on_form == pytest.approx(x.turns / x.k, rel=1e-9)
            assert x.k_low < x.k < x.k_high
            assert x.relaxed(x.k_high) < x.diameter < x.relaxed(x.k_low)
            assert x.template.width == pytest.approx(math.pi * x.D_form)
            assert x.template.rise == pytest.approx(x.k * x.pitch)
            assert x.comb.pitch == x.pitch
            lines = x.template.lines()
            assert lines[-1][1][1] - lines[0][0][1] == pytest.approx(x.hand * x.turns * x.pitch, rel=1e-6)


def plain(folder: Path, house: dict[str, Any] | None = None, **changes: Any) -> WorkPlan:
    """A coil like a brewer's own, with something changed, in the small kettle."""
    return own_bench(folder, house, **changes)[0]


def test_a_coil_file_without_names_finds_tube_form_and_tool(tmp_path: Path) -> None:
    b = plain(tmp_path, mean_diameter=0.26 / 0.9693)
    assert b.listed and b.tube.stock_id == "cu-10-10" and b.tool.kind == "lever"
    assert b.layers[0].form is not None and b.layers[0].form.form_id == "pot"
    # The form it would take if the list had it: from there it opens to just this diameter.
    no_form = plain(tmp_path, mean_diameter=0.22)
    layer = no_form.layers[0]
    assert layer.form is None and not no_form.complete
    assert not any(item.what.startswith("form") for item in no_form.bill.items)
    k = springback.springback_ratio(0.010, 0.008, (layer.D_form + 0.010) / 2, 100e6, 117e9)
    assert (layer.D_form + 0.010) / float(k) == pytest.approx(0.22)


def test_a_tube_that_is_not_listed_is_taken_as_told(tmp_path: Path) -> None:
    b = plain(tmp_path, outer_diameter=0.011, riser_bend_radius=0.035)
    assert not b.listed and not b.complete and b.tube.outer_diameter == 0.011
    assert b.bill.items and not any(item.unit == "roll" for item in b.bill.items)
    assert not b.tool_known and obstacles(b) == ()  # a lever bender of 35 mm would do, if there were one


STOPPED = [
    # name, what is changed in the coil, what in the brewhouse, value and bound by hand [m]
    ("winding_radius", {"mean_diameter": 0.040}, {}, None),
    ("mouth", {}, {"kettle": {"mouth": "270 mm"}}, (0.2704 + 0.015, 0.270)),
    ("wall", {"mean_diameter": 0.355}, {}, ((0.36 - 0.365) / 2, 0.0)),
    ("riser_gap", {"mean_diameter": 0.335}, {}, (0.18 - 0.1675 - 0.015 - 0.005, 0.0)),
    ("riser_height", {"turns": 22.0}, {}, (0.40 + 0.03 - 0.030 - 22.0 * 0.016 - 0.06, 0.0)),
    ("leg_below_rim", {"riser_length_in": 0.30}, {}, (0.030 + 0.30 - math.pi / 2 * 0.03 + 0.03, 0.40)),
    ("leg_inside", {"riser_length_in": 0.46}, {}, None),
    ("stock_length", {"turns": 12.0, "riser_length_in": 0.6}, {}, None),
    ("form_height", {"turns": 24.0, "pitch": 0.0105, "mean_diameter": 0.26 / 0.9693}, {}, None),
    ("riser_bend", {"riser_bend_radius": 0.012}, {}, (0.012, 0.030)),
    ("rim", {"turns": 23.0, "riser_length_in": 0.7}, {}, (0.030 + 23 * 0.016 + 0.005, 0.40)),
    ("headspace", {}, {"wort": {"volume": "40.5 L"}}, None),
    (
        "part",
        {},
        {"kettle": {"part": [{"what": "well", "where": "wall", "height": "9 cm", "size": "6 cm"}]}},
        ((0.36 - 0.2704) / 2, 0.06),
    ),
    (
        "centre",
        {},
        {"kettle": {"part": [{"what": "mast", "where": "centre", "height": "9 cm", "size": "26 cm"}]}},
        ((0.2504 - 0.26) / 2, 0.0),
    ),
    (
        "floor",
        {},
        {"kettle": {"part": [{"what": "screen", "where": "floor", "height": "5 cm", "size": "20 cm"}]}},
        (0.025, 0.05),
    ),
]


@pytest.mark.parametrize(("name", "coil", "house", "by_hand"), STOPPED, ids=[row[0] for row in STOPPED])
def test_what_stops_a_build_is_named_with_its_figures(
    tmp_path: Path,
    name: str,
    coil: dict[str, Any],
    house: dict[str, Any],
    by_hand: tuple[float, float] | None,
) -> None:
    b = plain(tmp_path, house, **coil)
    found = {obstacle.name: obstacle for obstacle in obstacles(b)}
    assert name in found
    if by_hand is not None:
        assert (found[name].value, found[name].needed) == pytest.approx(by_hand, abs=2e-6)
    said = reasons(b, Sizes("metric", 1e-3))
    assert len(said) == len(obstacles(b)) and all(text.endswith(".") for text in said)


def test_the_plain_coil_itself_can_be_built(tmp_path: Path) -> None:
    assert obstacles(plain(tmp_path)) == ()


def test_layers_that_overlap_and_hard_tube_are_stopped(tmp_path: Path) -> None:
    b = plain(tmp_path, layout="nested", **two_layers(0.2604, 0.245), riser_length_in=0.45)
    assert "layer_gap" in {obstacle.name for obstacle in obstacles(b)}
    # Without air the inner tube's riser from below needs 15 mm between the layers of two tubes: it has 10.
    tees = plain(tmp_path, layout="parallel", **two_layers(0.2604, 0.2204))
    told = {obstacle.name: obstacle for obstacle in obstacles(tees)}["layer_leg"]
    assert told.of == "IN 2" and told.value - told.needed == pytest.approx(0.005, abs=1e-3)
    hard = replace(b, tube=b.tube.model_copy(update={"temper": "hard"}))
    assert "hard" in {obstacle.name for obstacle in obstacles(hard)}
    closed = b.layers[0].form
    assert closed is None or closed.open_end


def test_a_piece_without_length_is_stopped(tmp_path: Path) -> None:
    """A riser whose bends eat all its tube, and one that ends in its own rim bend."""
    for changes in (
        {"riser_bend_radius": 0.12, "turns": 12.0},
        {"riser_length_out": 0.32, "riser_bend_radius": 0.08},
    ):
        b = plain(tmp_path, **changes)
        assert not all(piece.marks.possible for piece in b.pieces) or obstacles(b)
        assert {"riser_height", "leg_inside", "leg_below_rim"} & {obstacle.name for obstacle in obstacles(b)}


def test_bends_wider_than_need_be_are_made_by_hand(tmp_path: Path) -> None:
    b = plain(tmp_path, riser_bend_radius=0.06)
    assert b.tool_known and b.tool.kind == "hand" and b.tool.radius == 0.06 and b.tool.holds


def test_a_form_that_is_tall_enough_is_taken_before_one_that_is_not(tmp_path: Path) -> None:
    stock = small_stock.lists()
    stock["forms"].append({**stock["forms"][0], "form_id": "pot-low", "height": "11 cm", "price": "1"})
    same = {"mean_diameter": 0.26 / 0.9693, "stock": stock}
    assert own_bench(tmp_path, None, form_id="pot-low", **same)[0].layers[0].form.form_id == "pot"  # type: ignore[union-attr]
    low = own_bench(tmp_path, None, form_id="pot-low", turns=5.0, **same)[0]
    assert low.layers[0].form is not None and low.layers[0].form.form_id == "pot-low"


def test_a_low_centre_part_stops_nothing_that_stands_over_it(tmp_path: Path) -> None:
    for height, stopped in (("1 cm", False), ("9 cm", True)):
        part = {"what": "mast", "where": "centre", "height": height, "size": "26 cm"}
        found = {
            obstacle.name for obstacle in obstacles(plain(tmp_path / height, {"kettle": {"part": [part]}}))
        }
        assert ("centre" in found) == stopped


def test_a_riser_inside_must_clear_the_centre_too(tmp_path: Path) -> None:
    part = {"what": "mast", "where": "centre", "height": "9 cm", "size": "22.5 cm"}
    for riser, stopped in (("outside", False), ("inside", True)):
        house = {"kettle": {"part": [part]}, "workshop": {"riser": riser}}
        found = {obstacle.name for obstacle in obstacles(plain(tmp_path / riser, house))}
        assert ("centre" in found) == stopped


def test_a_form_closed_at_both_ends_is_stopped(tmp_path: Path) -> None:
    # The keg of the list, flanged at both ends; without its name another form would be looked for.
    b = plain(tmp_path, mean_diameter=0.245 / 0.9712, form_id="keg")
    assert b.layers[0].form is not None and b.layers[0].form.form_id == "keg"
    assert "form_closed" in {obstacle.name for obstacle in obstacles(b)}
    assert plain(tmp_path, mean_diameter=0.245 / 0.9712).layers[0].form is None


def test_every_reason_has_a_sentence() -> None:
    names = {row[0] for row in STOPPED} | {"layer_gap", "layer_leg", "hard", "form_closed", "strips"}
    assert names == set(SENTENCES) | {limit.name for limit in LIMITS.values() if limit.stops}


def test_a_coil_that_exists_has_no_trim_and_no_roll_to_come_out_of(tmp_path: Path) -> None:
    """Ten metres bought and all used: nothing is cut off any more, and its bends are where they are."""
    sizes = {k: v for k, v in SIZES.items() if not k.startswith("riser")}
    b = plan_work(small_stock.of(tmp_path), Coil(**sizes, bought_length=10.0))
    assert b.cut_length == pytest.approx(10.0, abs=1e-6)
    assert not {"stock_length", "riser_height", "riser_gap"} & {obstacle.name for obstacle in obstacles(b)}


def test_the_roll_that_holds_the_coil_is_found_and_else_the_longest(tmp_path: Path) -> None:
    stock = small_stock.lists()
    short = {**stock["tubing"][0], "stock_id": "cu-10-6", "length": "6 m", "price": "20"}
    stock["tubing"].append(short)
    for turns, roll in ((4.0, "cu-10-6"), (9.0, "cu-10-10"), (20.0, "cu-10-10")):
        b, _ = own_bench(tmp_path / str(turns), None, stock, turns=turns)
        assert b.tube.stock_id == roll


def test_names_that_the_lists_do_not_have_are_told(tmp_path: Path) -> None:
    told = " ".join(notes(plain(tmp_path, stock_id="nonsuch", form_id="nowhere")))
    for what in ("stock_id 'nonsuch' is not in tubing.csv", "form_id 'nowhere' is not in forms.csv"):
        assert what in told and told.count(what.split()[1].strip("'")) == 1, "said once"
    other = plain(tmp_path, stock_id="cu-12-15", form_id="pipe", mean_diameter=0.26 / 0.9693).notes
    assert any("another tube" in text for text in other) and any("another" in text for text in other)
    assert plain(tmp_path, stock_id="cu-10-10", form_id="pot", mean_diameter=0.26 / 0.9693).notes == ()


def test_each_layer_is_wound_on_the_form_that_its_coil_names(tmp_path: Path) -> None:
    """An owned form of the same size would be taken where none is named: then the bill would be another than
    that of the search."""
    stock = small_stock.lists()
    stock["forms"].append(
        {**stock["forms"][1], "form_id": "own", "outer_diameter": "180.5 mm", "owned": "yes"}
    )
    sizes = two_layers(0.2682, 0.1935)
    named = [{**layer, "form_id": name} for layer, name in zip(sizes["layer"], ("pot", "pipe"), strict=True)]
    bills = {}
    for folder, layers in (("named", named), ("not named", sizes["layer"])):
        riser = dict.fromkeys(("riser_length_in", "riser_length_out"), 0.50)
        b, _ = own_bench(tmp_path / folder, {"workshop": SHOP}, stock, layout="nested", layer=layers, **riser)
        bills[folder] = b.bill.total
        assert [x.form.form_id for x in b.layers if x.form] == ["pot", "pipe" if folder == "named" else "own"]
        written = as_written(b.coil)
        assert written.form_ids == b.coil.form_ids
    assert bills["named"] - bills["not named"] == pytest.approx(8.0)  # the price of the pipe


def test_a_broken_wish_is_no_stop(tmp_path: Path) -> None:
    """Less room to the wall than wished, a long chill, dry turns: for the brewer to weigh."""
    tight = {"kettle": {"wall_clearance": "80 mm"}, "limits": {"chill_time": "2 min", "budget": 1}}
    b = plain(tmp_path, tight, lowest_turn_height=0.12)
    assert b.rating.wet_share < 1.0 and not all(line.holds for line in b.rating.limits)
    assert obstacles(b) == ()


@pytest.mark.slow
def test_the_demo_coil_file_and_the_rank_make_one_sheet() -> None:
    s = design_basis(load())
    d = recommend(s, top=1).designs[0]
    b = plan_work(s, as_coil(d))
    assert b.bill == d.bill and obstacles(b) == ()
    low, high = (float(bend_allowance.bend_arc(b.tool.radius, a)) for a in (np.pi / 4, np.pi / 2))
    assert low * 2 == pytest.approx(high) == pytest.approx(b.pieces[0].riser_in.arc)


@pytest.mark.parametrize("height", ["90 mm", "116 mm"])
def test_a_coil_of_another_kettles_form_is_not_held_against_a_short_one_here(
    tmp_path: Path, height: str
) -> None:
    """`recommend --also` has it wound on a form of the first lists; the other's own, as wide but short, was
    said to stop the build. The one that the file names is held to its height all the same."""
    stock = small_stock.lists()
    pot = {**stock["forms"][0], "form_id": "pot", "outer_diameter": "242.5 mm"}
    stock["forms"] = [{**pot, "height": height}]
    theirs, _ = own_bench(tmp_path / "theirs", None, stock, form_id="pot-of-the-first")
    assert theirs.layers[0].form is None and "form_height" not in {o.name for o in obstacles(theirs)}
    here, _ = own_bench(tmp_path / "here", None, stock, form_id="pot")
    assert here.layers[0].form is not None and "form_height" in {o.name for o in obstacles(here)}
    tall = [{**pot, "height": "25 cm"}]
    fits, _ = own_bench(tmp_path / "tall", None, {**stock, "forms": tall}, form_id="pot-of-the-first")
    assert fits.layers[0].form is not None
