"""What the cost leaves out is said beside it: on the screen, in the JSON, on the sheet's shopping list."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import small_stock
from conftest import Done
from own_coil import own_bench

from optichill.report.left_out import not_counted
from optichill.report.sheet.content import sheet
from optichill.report.sheet.document import Table

COARSE = {"layouts": ["single"], "marking_increment": "50 mm"}
SMALL = {
    "material": "copper",
    "outer_diameter": "10 mm",
    "wall": "1 mm",
    "mean_diameter": "20 cm",
    "pitch": "12 mm",
    "turns": 12,
    "riser_length_in": "3 cm",
    "riser_length_out": "3 cm",
}
ICE = {"source": "precooled tap", "water": "10 L", "ice": "4 kg", "precooler": SMALL}
PLAN: dict[str, Any] = {"cooling": [{"source": "tap", "until": "40 degC"}, ICE], "workshop": COARSE}
# 12 turns of 0.2 m: 12 sqrt((0.2 pi)^2 + 0.012^2) = 7.54 m, and 6 cm of risers: 7.6 m.
IN_ICE = "the coil in the ice is not counted: 10 mm copper"
NO_ENDS = "no fitting of your list fits this tube: what goes at inlet and outlet is not in it"
ASK = "; ask for a compression end for 10 mm tube with a barb for 12.5 mm hose"
NO_LIST = "hoses and ends are not in it: no fittings list"


FEET = {"fitting_id": "feet", "description": "steel wire", "used_at": "feet", "per": "m", "price": "1"}
NO_WIRE = [
    ("wire to lace the turns: not counted, fittings.csv has no row with used_at turns", ""),
    ("wire for feet: not counted, fittings.csv has no row with used_at feet", ""),
]


def with_feet() -> small_stock.Lists:
    """The lists, and wire for feet besides."""
    lists = small_stock.lists()
    row = {**dict.fromkeys(lists["fittings"][0], ""), "owned": "no", **FEET}
    lists["fittings"] = [*lists["fittings"], row]
    return lists


def stock(fittings: str) -> small_stock.Lists:
    """The lists with all fittings, with none, or with those for another tube only."""
    lists = with_feet()
    other = [row for row in lists["fittings"] if row["outer_diameter"] == "12 mm"]
    lists["fittings"] = {"all": lists["fittings"], "none": [], "other": other}[fittings]
    return lists


@pytest.mark.parametrize(
    ("house", "fittings", "said"),
    [
        ({}, "all", []),
        (PLAN, "all", [(IN_ICE, "7.6 m")]),
        ({}, "none", [(NO_LIST, "")]),
        (
            PLAN,
            "other",
            [
                (NO_ENDS + ASK, ""),
                *NO_WIRE,
                (IN_ICE, "7.6 m"),
            ],
        ),
    ],
)
def test_the_shopping_list_says_what_is_not_on_it(
    tmp_path: Path, house: dict[str, Any], fittings: str, said: list[tuple[str, str]]
) -> None:
    changes = {"stock_id": "cu-10-10", "form_id": "tin"}
    plan, inputs = own_bench(tmp_path, house, stock(fittings), **changes)
    blocks = [block for section in sheet(plan, inputs, "a4").sections for block in section.blocks]
    rows = next(block.rows for block in blocks if isinstance(block, Table) and block.ticks)
    assert [row[:2] for row in rows if row[2] == "not counted"] == said
    assert ("without what" in rows[-1][0]) == bool(said)


def test_a_hose_that_is_loose_on_the_tube_is_named_with_its_line(tmp_path: Path) -> None:
    """2.5 mm loose with near-boiling water in it: not billed, and the line of the list is named."""
    lists = stock("other")
    clamp = {**lists["fittings"][0], "fitting_id": "push-10", "outer_diameter": "10 mm"}
    clamp["joint"] = "hose and clamp"
    lists["fittings"] = [clamp, *lists["fittings"]]
    plan, _ = own_bench(tmp_path, {}, lists, stock_id="cu-10-10", form_id="tin")
    (said, _), *wire = not_counted(plan.bill, plan.basis)
    assert wire == NO_WIRE
    assert said == f"{NO_ENDS} (fittings.csv:2: a hose of 12.5 mm bore is loose on 10 mm tube){ASK}"
    assert not [item for item in plan.bill.items if item.part == "joint"]


def test_the_screen_says_it_beside_the_cost(optichill: Callable[..., Done], tmp_path: Path) -> None:
    file = small_stock.write(tmp_path, {"workshop": COARSE}, stock("none"))
    done = optichill("recommend", file, "--top", "1", "--json", tmp_path / "out.json")
    assert NO_LIST in " ".join(done.out.split("COST")[1].split("WORK")[0].split())
    design = json.loads((tmp_path / "out.json").read_text())["designs"][0]
    assert design["cost"]["not_counted"] == [NO_LIST]


def test_wire_that_no_list_has_is_named_on_the_screen_and_by_check(
    optichill: Callable[..., Done], tmp_path: Path
) -> None:
    """The sheet asks for it, so its price must be missed elsewhere too."""
    file = small_stock.write(tmp_path, {"workshop": COARSE})
    _, (feet, _) = NO_WIRE
    for done in (optichill("check", file), optichill("recommend", file, "--top", "1")):
        said = " ".join(done.out.split())
        assert feet in said and NO_WIRE[0][0] not in said
    file = small_stock.write(tmp_path / "floor", {"workshop": COARSE, "kettle": {"coil_rests": "floor"}})
    assert feet not in " ".join(optichill("check", file).out.split())


def test_a_hose_of_another_bore_is_not_counted_and_the_row_is_named(tmp_path: Path) -> None:
    """Water is reckoned with 12.5 mm; the list has no other hose for the outlet."""
    lists = with_feet()
    (hose,) = (row for row in lists["fittings"] if row["fitting_id"] == "hose-out")
    hose["bore"] = "16 mm"
    plan, _ = own_bench(tmp_path, stock=lists)
    line = lists["fittings"].index(hose) + 2
    assert [what for what, _ in not_counted(plan.bill, plan.basis)] == [
        f"outlet hose: not counted, none of your list has 12.5 mm bore (fittings.csv:{line}: 16 mm bore)"
    ]


def test_no_copper_wire_is_tied_on_stainless_tube(tmp_path: Path) -> None:
    """The cheapest wire is copper; a list with no other laces copper tube alone."""
    lists = with_feet()
    wire = next(row for row in lists["fittings"] if row["used_at"] == "turns")
    wire["metal"] = "copper"
    copper, _ = own_bench(tmp_path / "copper", stock=lists)
    assert [i.what for i in copper.bill.items if i.part == "lacing"] == [wire["description"]]
    assert not not_counted(copper.bill, copper.basis)
    steel = {"material": "stainless 304"}
    plan, _ = own_bench(tmp_path / "bare", stock=lists, **steel)
    line = lists["fittings"].index(wire) + 2
    assert [what for what, _ in not_counted(plan.bill, plan.basis)] == [
        f"wire for the turns: not counted, no copper on this tube (fittings.csv:{line})"
    ]
    own = {**wire, "fitting_id": "own", "description": "own wire", "metal": "stainless", "price": "9"}
    plan, _ = own_bench(tmp_path / "own", stock={**lists, "fittings": [*lists["fittings"], own]}, **steel)
    assert [i.what for i in plan.bill.items if i.part == "lacing"] == ["own wire"]
