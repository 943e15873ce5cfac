"""Every part that is bought is used in a step, and every part that a step asks for is on a list."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import numpy as np
import pytest
from tiers import count

from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import as_written
from optichill.files.reading import Inputs, load, packaged
from optichill.geometry.supports import FEET, foot_heights
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.report.sheet.content import sheet
from optichill.report.sheet.document import Block, Card, Section, Sheet, Steps, Table, Text
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
    "piece": "",
    "inlet hose": "inlet hose",
    "outlet hose": "outlet hose",
    "tap union": "tap's union",
    "vacuum breaker": "vacuum breaker",
    "tee": "one tee",
    "clamp": "worm clamp",
    "lacing": "lace|laced",
    "feet wire": "feet|hooks",
}
"""What a step calls a part of the bill."""

ASKED = {
    "worm clamp": "worm clamp",
    "inlet hose": "drinking-water hose",
    "outlet hose": "hose, .* rated|hose rated",
    "tap's union": "union",
    "vacuum breaker": "vacuum breaker",
    r"\btee\b": r"\btee\b",
    "compression end": "compression end",
    "bending spring": "spring",
    "wire 3 mm|wire 1/8 in": "wire (3 mm|1/8 in)",
    r"[Ll]ace": "wire .* lac|to lace",
    r"turn of tape": "masking tape",
    "felt pen": "felt pen",
    "combs": "flat (copper|stainless) bar",
    "strips": "strips",
    r"\bcard\b": r"\bcard\b",
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


@cache
def made(name: str, layout: str) -> tuple[WorkPlan, Sheet]:
    """A coil of 3/8 in copper on forms of the example's list, one that fits its kettle."""
    basis, inputs = demo(name)
    tube, turns = next(t for t in basis.stock.tubing if t.stock_id == "light-3/8-50ft"), 5.0
    layers: dict[str, Any] = {"mean_diameter": 0.2171, "pitch": 0.0145, "turns": turns}
    if layout != "single":
        inner = {"mean_diameter": 0.172, "pitch": 0.0145, "turns": turns}
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


def lists(content: Sheet) -> str:
    before = [block for title, block in blocks(content.sections) if title == "Before you start"]
    rows = [" ".join(row) for block in before if isinstance(block, Table) for row in block.rows]
    return "\n".join(rows + [block.text for block in before if isinstance(block, Text)])


def each_part_is_used_and_listed(plan: WorkPlan, content: Sheet) -> None:
    assert content.stops == ()
    said, listed = work(content), lists(content)
    for item in plan.bill.items:
        assert item.part in PARTS and item.what in listed
        assert re.search(SAID[item.part], said), item
    for word, line in ASKED.items():
        if re.search(word, said):
            assert re.search(line, listed), (word, listed)


QUICK = (("", "single"), ("us/", "parallel"), ("wide/", "nested"))
ALL = [
    pytest.param(name, layout, marks=() if (name, layout) in QUICK else pytest.mark.slow)
    for name in DEMOS
    for layout in ("single", "nested", "parallel")
]


@pytest.mark.parametrize(("name", "layout"), ALL)
def test_bill_and_steps_hold_the_same_parts(name: str, layout: str) -> None:
    each_part_is_used_and_listed(*made(name, layout))


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
    assert said.count("Feet for the") == 2
    assert all(f"{riser} at " in said for riser in ("IN", "IN 2", "OUT", "OUT 2"))


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
