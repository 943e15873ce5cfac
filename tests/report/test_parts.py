"""Every part that is bought is used in a step, and every part that a step asks for is on a list."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from own_coil import own_bench
from tiers import count

from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import as_written
from optichill.files.reading import Inputs, load, packaged
from optichill.geometry.supports import FEET, foot_heights
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.report.sheet.content import sheet
from optichill.report.sheet.document import Block, Card, Figure, Section, Sheet, Steps, Table, Text
from optichill.report.sheet.refusal import stops
from optichill.report.sheet.shopping import drill
from optichill.report.sheet.sizes import Sizes
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend
from optichill.workshop.fittings import PARTS

DEMOS = ("", "us/", "stove/", "wide/")
SAID = {
    "roll": "tube",
    "form": "wind",
    "bender": "bender|bending spring",
    "pump": "pump",
    "joint": "compression end|solder end|barb end|hoses go over",
    "piece": "With them what your list has for the ends: [^.]*{}",
    "inlet hose": "inlet hose",
    "outlet hose": "outlet hose",
    "tap union": "tap's union",
    "vacuum breaker": "vacuum breaker",
    "tee": "one tee",
    "clamp": "worm clamp",
    "lacing": "[Ll]ace .* with bare|[Hh]old it with the stainless spacers",
    "feet wire": "feet|hooks",
}
"""What a step calls a part of the bill; {} is its own name."""

ASKED = {
    "worm clamp": "worm clamp",
    "screwdriver|worm clamp": "screwdriver",
    "inlet valve": "valve for the inlet hose",
    "disc, tin or pipe to bend round": "a disc or tin",
    "saw a disc of board": "a disc of board, sawn to size",
    "inlet hose": "drinking-water hose",
    "outlet hose": "hose, .* rated|hose rated",
    "tap's union": "union",
    "vacuum breaker": "vacuum breaker",
    r"\btee\b": r"\btee\b",
    "compression end": "compression end",
    "compression end for": "two spanners",
    "solder end": "torch",
    "template": "masking tape",
    "bending spring": "spring",
    "wire 3 mm|wire 1/8 in": "wire (3 mm|1/8 in)",
    r"[Ll]ace": "wire .* lac|to lace",
    r"turn of tape": "masking tape",
    "felt pen": "felt pen",
    "combs": "flat (copper|stainless) bar",
    "strips": "wooden strips",
    "strips ": "saw and plane, for the strips",
    "string": "thin string, to tie",
    "strap": "strap or clamp",
    "strong tape": "strong tape",
    r"\bhose|\bcard\b": "knife and scissors",
    r"\bcard\b": r"\bcard\b",
    "plates from the files": "plates .*: (copper|stainless) sheet",
    "ask the shop for an end": "an end of the same tube",
    "bolt": "test plug: .* a bolt",
    "detergent": "detergent",
    "vinegar": "vinegar",
    "tube cutter": "tube cutter",
}
"""What a step says, and the line of a list that holds it."""


@cache
def demo(name: str) -> tuple[Any, Inputs]:
    inputs = load(packaged(f"{name}brewhouse.toml"))
    return design_basis(inputs), inputs


def fittings_less(stock: Any, *places: str | None) -> Any:
    """The stock without the joints of some places."""
    kept = [f for f in stock.fittings if not (f.joint and f.used_at in places)]
    return stock.model_copy(update={"fittings": kept})


def without_bores(stock: Any) -> Any:
    """The list without its column `bore`."""
    return stock.model_copy(
        update={"fittings": [f.model_copy(update={"bore": None}) for f in stock.fittings]}
    )


def with_pieces(stock: Any) -> Any:
    """A list that also has couplings for the ends, and spacers in place of lacing wire."""
    one = next(f for f in stock.fittings if f.used_at == "clamp")
    coupling = {"fitting_id": "quick", "description": "quick coupling, a pair", "used_at": None, "bore": None}
    spacers = {"fitting_id": "spacer", "description": "stainless spacer, three slots", "used_at": "turns"}
    more = [one.model_copy(update=row) for row in (coupling, {**spacers, "bore": None, "price": 0.1})]
    return stock.model_copy(update={"fittings": [*stock.fittings, *more]})


def rests(inputs: Inputs, how: str) -> Inputs:
    kettle = inputs.brewhouse.kettle.model_copy(update={"coil_rests": how})
    return replace(inputs, brewhouse=inputs.brewhouse.model_copy(update={"kettle": kettle}))


CASES = {
    "": lambda inputs: inputs,
    "touching": lambda inputs: inputs,
    "throttled": lambda inputs: inputs,
    "stainless": lambda inputs: inputs,
    "by hand": lambda inputs: replace(inputs, stock=inputs.stock.model_copy(update={"benders": []})),
    "no joint": lambda inputs: replace(inputs, stock=fittings_less(inputs.stock, None, "tee")),
    "no clamp": lambda inputs: replace(
        inputs,
        stock=inputs.stock.model_copy(
            update={"fittings": [f for f in inputs.stock.fittings if f.used_at != "clamp"]}
        ),
    ),
    "no bore": lambda inputs: replace(inputs, stock=without_bores(inputs.stock)),
    "no list": lambda inputs: replace(inputs, stock=inputs.stock.model_copy(update={"fittings": []})),
    "pieces": lambda inputs: replace(inputs, stock=with_pieces(inputs.stock)),
    "hangs": lambda inputs: rests(inputs, "hangs"),
}
"""What is changed about a brewhouse; about the coil: below."""


@cache
def made(name: str, layout: str, case: str = "") -> tuple[WorkPlan, Sheet]:
    """A coil of 3/8 in tube on forms of the example's list, one that fits its kettle."""
    inputs = CASES[case](demo(name)[1])
    basis = design_basis(inputs)
    stock_id = "ss304-3/8-50ft" if case == "stainless" else "light-3/8-50ft"
    tube, turns = next(t for t in basis.stock.tubing if t.stock_id == stock_id), 5.0
    pitch = tube.outer_diameter if case == "touching" else 0.0145
    layers: dict[str, Any] = {"mean_diameter": 0.2171, "pitch": pitch, "turns": turns}
    if layout != "single":
        inner = {"mean_diameter": 0.172, "pitch": pitch, "turns": turns}
        layers = {"layer": [{**layers, "mean_diameter": 0.235}, inner]}
    coil = Coil(
        material="copper",
        outer_diameter=tube.outer_diameter,
        wall=tube.wall,
        lowest_turn_height=0.025 + tube.outer_diameter / 2.0,
        riser_length_in=0.60,
        riser_length_out=0.55,
        riser_bend_radius=0.0381,
        stock_id=tube.stock_id,
        layout=layout,
        **layers,
    )
    plan = plan_work(basis, coil)
    if case == "throttled":
        plan = plan_work(basis, coil.model_copy(update={"flow": 0.5 * plan.rating.prediction.flow}))
    return plan, sheet(plan, inputs, "a4")


def blocks(sections: tuple[Section, ...]) -> Iterator[tuple[str, Block]]:
    for section in sections:
        for block in section.blocks:
            yield section.title, block
            if isinstance(block, Card):
                yield from ((section.title, part) for part in block.blocks)


def work(content: Sheet) -> str:
    steps = [block for _, block in blocks(content.sections) if isinstance(block, Steps)]
    return " ".join(text for block in steps for item in block.items for text in item)


def drawn(content: Sheet) -> str:
    """Every text in a drawing."""
    figures = [block for _, block in blocks(content.sections) if isinstance(block, Figure)]
    shapes = [shape for figure in figures for shape in figure.draw("Helvetica").getContents()]
    return " ".join(shape.text for shape in shapes if hasattr(shape, "text"))


def lists(content: Sheet) -> str:
    before = [block for title, block in blocks(content.sections) if title == "Before you start"]
    rows = [" ".join(row) for block in before if isinstance(block, Table) for row in block.rows]
    return "\n".join(rows + [block.text for block in before if isinstance(block, Text)])


def each_part_is_used_and_listed(plan: WorkPlan, content: Sheet) -> None:
    assert content.stops == ()
    said, listed = work(content), lists(content)
    for item in plan.bill.items:
        assert item.part in PARTS and item.what in listed
        assert re.search(SAID[item.part].format(re.escape(item.what)), said), item
    for word, line in ASKED.items():
        if re.search(word, said):
            assert re.search(line, listed), (word, listed)
    assert clamps_listed(plan, content) == hose_ends(plan)
    assert printed_bill_adds_up(content)


def hose_ends(plan: WorkPlan) -> int:
    """Ends of hose that a clamp goes round, counted as a hand meets them: at the source, on each end of a
    tube, three on either tee, two on a valve. A hose over the bare tube has its clamp with it."""
    tubes = len(plan.pieces)
    return 1 + 2 * tubes + (6 if tubes == 2 else 0) + (2 if plan.fully_open is not None else 0)


def clamps_listed(plan: WorkPlan, content: Sheet) -> float:
    bill = [i.quantity for i in plan.bill.items if i.part == "clamp" or i.joint == "hose and clamp"]
    besides = re.search(
        r"^worm clamp, for [^|\n]* hose on a barb(?:, besides.*)? (\d+)$", lists(content), re.M
    )
    return sum(bill) + (float(besides[1]) if besides else 0.0)


def printed_bill_adds_up(content: Sheet) -> bool:
    """What is printed behind each line makes the total that is printed under them, to the cent."""
    tables = [block for _, block in blocks(content.sections) if isinstance(block, Table)]
    prices = [row[2] for row in next(t for t in tables if t.caption == "Shopping list").rows]
    *lines, total = [Decimal(p.split(" ")[0].replace(",", "")) for p in prices if re.match(r"\d", p)]
    return sum(lines) == total


QUICK = (
    ("", "single", ""),
    ("", "single", "throttled"),
    ("wide/", "nested", ""),
    ("", "nested", "stainless"),
    ("us/", "single", "touching"),
    ("us/", "single", "by hand"),
    ("", "parallel", "no joint"),
    ("", "parallel", "no clamp"),
    ("wide/", "single", "no list"),
    ("us/", "parallel", "no bore"),
    ("us/", "parallel", "pieces"),
)
ALL = [
    pytest.param(name, layout, case, marks=() if (name, layout, case) in QUICK else pytest.mark.long)
    for name in DEMOS
    for layout in ("single", "nested", "parallel")
    for case in CASES
    if (name, case) != ("stove/", "throttled")  # its pump is not held back by a tap's valve
]


@pytest.mark.parametrize(("name", "layout", "case"), ALL)
def test_bill_and_steps_hold_the_same_parts(name: str, layout: str, case: str) -> None:
    """Of every kind of coil, and of lists that lack something."""
    each_part_is_used_and_listed(*made(name, layout, case))


@pytest.mark.slow
@pytest.mark.parametrize("name", DEMOS)
def test_bill_and_steps_of_what_is_recommended(name: str) -> None:
    """The first two in the gate, in the long run the first four and those with a role."""
    basis, inputs = demo(name)
    for design in recommend(basis, top=4).designs[: count(2, 99)]:
        plan = plan_work(basis, as_written(as_coil(design)))
        each_part_is_used_and_listed(plan, sheet(plan, inputs, "a4"))


def test_two_coils_on_tees_count_clamps_hoses_and_feet() -> None:
    """Ten clamps on ends and tees, and the tap's; each arm a quarter of the way round, at 33/2 + 15 cm."""
    plan, content = made("", "parallel")
    bought = {item.part: item.quantity for item in plan.bill.items}
    arm = np.pi / 2.0 * (0.165 + 0.15)
    assert (bought["clamp"], bought["joint"], bought["tee"]) == (11.0, 4.0, 2.0)
    assert bought["outlet hose"] == pytest.approx(3.0 + 2.0 * arm)
    said = work(content)
    assert "6 on the tees, 4 on the ends" in said and "four hoses of 495 mm" in said
    assert said.count("Feet for each coil: cut") == 1
    assert all(f"{riser} at " in said for riser in ("IN", "IN 2", "OUT", "OUT 2"))


def test_an_outer_layer_over_strips_takes_no_form_and_one_half_turn_more() -> None:
    """One tube, wound on one form, ends once: pi/2 of the outer layer's diameter on its strips."""
    plan, content = made("wide/", "nested")
    outer, inner = plan.layers
    assert outer.form is not None and inner.form is not None
    forms = [i.what for i in plan.bill.items if i.part == "form"]
    assert forms == [f"form: {inner.form.description}"]
    assert plan.spare == pytest.approx(math.pi / 2.0 * (outer.D_form + outer.d_o))
    tables = [block for _, block in blocks(content.sections) if isinstance(block, Table)]
    to_measure = next(table.rows for table in tables if table.caption.startswith("Measured again"))
    assert sum(row[0].startswith("form ") for row in to_measure) == 1
    assert "round the strips" in work(content) and "wooden strips" in lists(content)
    low = replace(outer, form=outer.form.model_copy(update={"height": 0.01}))
    assert not obstacles(replace(plan, pieces=(replace(plan.pieces[0], layers=(inner, low)),)))
    both, _ = made("", "parallel")
    assert sum(i.part == "form" for i in both.bill.items) == 2
    assert both.spare == pytest.approx(sum(math.pi / 2.0 * layer.on_form for layer in both.layers))


def test_strips_are_as_long_as_turns_that_are_wound_at_their_gap() -> None:
    """Turns along a template climb their pitch on the form each, and a half to spare, and are a tube thick;
    on a form that is too low for that they are wound touching."""
    plan, content = made("wide/", "nested")
    outer, inner = plan.layers
    assert outer.gap > 0.004 and inner.form is not None
    high = (outer.turns_on_form + 0.5) * outer.k * outer.pitch + outer.d_o
    assert high > outer.form_height + 0.02
    told = re.search(r"wooden strips, (\d+) mm long", lists(content))
    assert told is not None and float(told[1]) == pytest.approx(1e3 * high, abs=0.51)
    low = replace(inner, form=inner.form.model_copy(update={"height": inner.form_height}))
    by_turns = replace(plan, pieces=(replace(plan.pieces[0], layers=(low, outer)),))
    assert not by_turns.by_template(outer)


def test_layers_too_far_apart_for_strips_are_not_built_so() -> None:
    """51.5 mm strips no wider than 15 mm were to be tied with string: they tip. A coil that exists is as it
    is, and two coils on tees have a form each."""
    plan, content = made("wide/", "nested")
    assert content.stops == () and not stops(plan, to_build=True)
    for layout, tips in (("nested", True), ("parallel", False)):
        near, _ = made("wide/", layout)
        inner = near.coil.layers[1].model_copy(update={"mean_diameter": 0.130})
        layers = (near.coil.layers[0], inner)
        far = plan_work(near.basis, near.coil.model_copy(update={"layers": layers}))
        names = {stop["name"] for stop in stops(far, to_build=True)}
        assert ("strips" in names) == tips
        assert "strips" not in {stop["name"] for stop in stops(far)}
        said = " ".join(sheet(far, demo("wide/")[1], "a4").stops)
        assert ("strips between them would be" in said) == tips


def test_strips_are_so_narrow_that_the_form_they_make_is_round() -> None:
    """An edge stands at hypot(R, w/2) from the axis, its middle at R: by Pythagoras, under 0.3 mm apart."""
    plan, content = made("wide/", "nested")
    wide = re.search(r"strips, \d+ mm long, no wider than (\d+) mm", lists(content))
    assert wide is not None and f"no wider than {wide[1]} mm evenly" in work(content)
    R, half = 1e3 * (plan.layers[1].D_form / 2.0 + plan.tube.outer_diameter), float(wide[1]) / 2.0
    assert half >= 5.0 and math.hypot(R, half) - R < 0.3
    assert work(content).index("Cut string and tape") < work(content).index("draw the strips out")


def test_each_wrap_of_card_is_as_long_as_its_middle(tmp_path: Path) -> None:
    """Two wraps of 3 mm on a pot of 250 mm: their middles are 253 and 259 mm across, 795 and 814 round."""
    plan, inputs = own_bench(tmp_path, mean_diameter=0.2729 + 0.0075)
    told = re.findall(r"card, (\d+) mm by", lists(sheet(plan, inputs, "a4")))
    assert [float(x) for x in told] == [round(math.pi * 253.0), round(math.pi * 259.0)]


def test_a_template_that_is_not_printed_is_told_why() -> None:
    """The inner of two coils, on a form that takes its turns only touching."""
    plan, whole = made("", "parallel")
    outer, inner = plan.pieces
    (layer,) = inner.layers
    assert layer.form is not None and "No template" not in work(whole)
    low = replace(layer, form=layer.form.model_copy(update={"height": layer.form_height}))
    content = sheet(replace(plan, pieces=(outer, replace(inner, layers=(low,)))), demo("")[1], "a4")
    assert [p.title for p in content.papers if "template" in p.title] == ["Wrap template outer coil"]
    assert work(content).count("No template is printed: its form is too short for turns at their gap.") == 1


def test_ends_of_two_coils_stand_equally_far_outside() -> None:
    """Their risers stand 30 mm apart, and one length of tube is told for both."""
    plan, _ = made("", "parallel")
    for name in ("riser_in", "riser_out"):
        mine = [getattr(piece, name) for piece in plan.pieces]
        reach = [r.level + plan.axis(p, r) for p, r in zip(plan.pieces, mine, strict=True)]
        assert abs(mine[0].level - mine[1].level) > 0.02
        assert reach[0] == pytest.approx(reach[1], abs=1e-9)
    told = sum(p.marks.cut_length for p in plan.pieces)
    turns = sum(layer.tube for layer in plan.layers)
    assert told == pytest.approx(turns + 2.0 * (0.60 + 0.55) + 4.0 * 0.05, abs=1e-6)


def test_feet_are_as_unequal_as_the_helix_climbs() -> None:
    """A straight line up the developed turn: a third of the pitch a third of the way round."""
    np.testing.assert_allclose(foot_heights(0.025, 0.015), [0.025, 0.030, 0.035])
    plan, content = made("", "single")
    feet = next(i for i in plan.bill.items if i.part == "feet wire")
    cut = re.search(r"Feet for the coil: cut (\d+) mm, (\d+) mm and (\d+) mm", work(content))
    assert cut is not None and "25 mm, 30 mm and 34.5 mm from the floor" in work(content)
    assert sum(map(int, cut.groups())) / 1e3 == pytest.approx(feet.quantity, abs=0.001 * FEET)


def test_feet_of_two_layers_of_one_tube_begin_on_either_side_of_the_crossing() -> None:
    """Alike in height, told once; from where the tube goes down to where it goes up, and opposite ways."""
    plan, content = made("", "nested")
    (crossing,) = [n for n, s in enumerate(plan.pieces[0].marks.grouped().segments) if s.what == "crossing"]
    before, behind = (chr(ord("A") + n) for n in (crossing - 1, crossing))
    told = f"outer layer: from mark {behind}; inner layer: from mark {before}, the other way round"
    assert work(content).count("Feet for each layer: cut") == work(content).count(told) == 1
    plates = re.search(r"if you take plates .* (\d+)$", lists(content), re.MULTILINE)
    assert plates is not None and int(plates[1]) == 2 * FEET


def test_lacing_is_as_long_as_a_wire_laid_round_the_turns() -> None:
    """A column walked in steps: half round the tube on one side, across the gap, for both strands."""
    plan, _ = made("", "single")
    (layer,) = plan.layers
    angle = np.linspace(0.0, np.pi, 2001)
    r = (layer.d_o + 0.0015) / 2.0
    half = np.hypot(np.diff(r * np.cos(angle)), np.diff(r * np.sin(angle))).sum()
    column = (layer.turns + 0.5) * 2.0 * (half + layer.gap) + 0.1
    bought = next(i for i in plan.bill.items if i.part == "lacing")
    assert bought.quantity == pytest.approx(3.0 * column, rel=1e-4)


def test_us_sheets_speak_of_feet_inches_and_sixteenths() -> None:
    _, content = made("us/", "parallel")
    for _, block in blocks(content.sections):
        items = block.items if isinstance(block, Steps) else block.rows if isinstance(block, Table) else ()
        for text in (text for item in items for text in item):
            assert not re.search(r"\d (mm|cm|m)\b|\d\.\d+ ft", text), text
    assert Sizes("us", 1.0).long(3.048) == "10 ft" and Sizes("us", 1.0).long(14.05) == "46 ft 1 in"


def test_the_drill_is_a_little_larger_than_the_tube() -> None:
    assert [drill(d_o, "metric") for d_o in (0.010, 0.009525)] == ["10.5 mm", "10 mm"]
    assert [drill(d_o, "us") for d_o in (0.009525, 0.0127)] == ["25/64 in", "33/64 in"]


def test_two_coils_are_not_called_layers_nor_two_layers_coils() -> None:
    """One tube has layers, two tubes are coils; a single one has neither, nor a riser to an outer one."""
    for name, layout, wrong in (
        ("", "parallel", "layer"),
        ("wide/", "nested", "outer coil|inner coil|two coils|each coil"),
        ("", "single", "layer|inner coil|outer coil|strips"),
    ):
        content = made(name, layout)[1]
        said = f"{content.lead} {work(content)} {lists(content)} {' '.join(p.title for p in content.papers)}"
        assert not re.findall(wrong, f"{said} {drawn(content)}"), layout


def test_a_riser_inside_a_single_coil_keeps_off_its_turns(tmp_path: Path) -> None:
    """Its drawing told of an outer layer, which there is not."""
    content = sheet(*own_bench(tmp_path, {"workshop": {"riser": "inside"}}), "a4")
    assert "outer" not in drawn(content) and "riser to its turns" in drawn(content)
