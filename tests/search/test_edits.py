"""Every column of the stock lists that acts changes the answer when it is edited."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock

from optichill.files.reading import Inputs, load
from optichill.problem.basis import design_basis
from optichill.report import jsonout
from optichill.search.recommend import recommend, search_space


def stated(folder: Path, stock: small_stock.Lists, **house: Any) -> Inputs:
    shop = {"workshop": {"riser_sides": "same", "marking_increment": "5 mm"}}
    return load(small_stock.write(folder, {**shop, **house}, stock))


def answer(folder: Path, stock: small_stock.Lists, **house: Any) -> dict[str, Any]:
    """What a search is left with: the goals of its front and how they are weighed, and its counts. An edit
    must act on these, not only on a drawing or on what is said."""
    found = search_space(design_basis(stated(folder, stock, **house)))
    front, ranking, count = found.front, found.ranking, found.enumeration
    assert front is not None and ranking is not None
    return {
        "front": front.goals.tolist(),
        "levels": repr(ranking.levels),
        "points": ranking.points.tolist(),
        "counts": (count.enumerated, count.feasible),
    }


def designs(folder: Path, stock: small_stock.Lists, **house: Any) -> list[dict[str, Any]]:
    """The shortlist as the document has it."""
    inputs = stated(folder, stock, **house)
    said: list[dict[str, Any]] = jsonout.recommend(recommend(design_basis(inputs)), inputs)["designs"]
    return said


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return answer(tmp_path_factory.mktemp("before"), small_stock.lists())


@pytest.fixture(scope="module")
def shortlist(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    return designs(tmp_path_factory.mktemp("shortlist"), small_stock.lists())


# (list, row, column, cell)
EDITS = [
    ("tubing", 0, "outer_diameter", "9.95 mm"),  # still takes the 10 mm ends
    ("tubing", 0, "wall", "0.9 mm"),
    ("tubing", 0, "length", "9 m"),
    ("tubing", 0, "price", "43"),
    ("tubing", 0, "owned", "yes"),
    ("tubing", 0, "material", "stainless 316"),
    ("tubing", 0, "temper", "half hard"),
    ("forms", 0, "outer_diameter", "255 mm"),
    ("forms", 2, "circumference", "71 cm"),
    ("forms", 0, "height", "9 cm"),
    ("forms", 0, "open_end", "no"),
    ("forms", 0, "owned", "no"),
    ("forms", 1, "price", "9"),
    ("benders", 0, "outer_diameter", "11 mm"),
    ("benders", 1, "bend_radius", "40 mm"),
    ("benders", 1, "owned", "no"),
    ("benders", 1, "kind", "spring"),
    ("benders", 2, "price", "10"),
    ("fittings", 0, "outer_diameter", "11 mm"),
    ("fittings", 0, "joint", "solder"),
    ("fittings", 0, "price", "8"),
    ("fittings", 0, "owned", "yes"),
    ("fittings", 3, "bore", "20 mm"),
    ("fittings", 3, "used_at", "tap"),
    ("fittings", 3, "per", "piece"),
    ("fittings", 4, "price", "1.8"),
    ("fittings", 4, "metal", "copper"),
]
PUMP_EDITS = [
    ("pumps", 0, "max_flow", "8 L/min"),
    ("pumps", 0, "max_head", "2 m"),
    ("pumps", 0, "max_temperature", "50 degC"),
    ("pumps", 0, "owned", "yes"),
    ("pumps", 0, "price", "35"),
]
PUMPED = {
    "wort": {"target_temperature": "66 degC", "unusual": True},
    "cooling": [{"source": "bucket", "pump": "small", "bucket": "14 L"}],
}


@pytest.mark.parametrize(("name", "row", "column", "cell"), EDITS, ids=lambda v: str(v))
def test_an_edited_cell_changes_the_answer(
    tmp_path: Path, before: dict[str, Any], name: str, row: int, column: str, cell: str
) -> None:
    stock = small_stock.lists()
    assert stock[name][row][column] != cell
    stock[name][row][column] = cell
    assert answer(tmp_path, stock) != before


@pytest.mark.parametrize(("name", "row", "column", "cell"), PUMP_EDITS, ids=lambda v: str(v))
def test_an_edited_pump_changes_the_answer(
    tmp_path: Path, name: str, row: int, column: str, cell: str
) -> None:
    stock = small_stock.lists()
    before = answer(tmp_path / "before", stock, **PUMPED)
    stock[name][row][column] = cell
    after = answer(tmp_path / "after", stock, **PUMPED)
    assert before["front"] and after["front"] != before["front"]


def test_every_acting_column_has_an_edit() -> None:
    remarks = {
        "stock_id",
        "form_id",
        "bender_id",
        "fitting_id",
        "pump_id",
        "description",
        "checked",
        "source",
    }
    for name, head in small_stock.HEADS.items():
        edited = {column for of, _, column, _ in EDITS + PUMP_EDITS if of == name}
        assert set(head.split()) - remarks == edited


@pytest.mark.parametrize("column", ["checked", "source"])
def test_remarks_do_not_act(tmp_path: Path, before: dict[str, Any], column: str) -> None:
    stock = small_stock.lists()
    stock["tubing"][0][column] = "2024-02-29"
    assert answer(tmp_path, stock) == before


def test_the_radius_of_a_bending_spring_acts_too(tmp_path: Path, before: dict[str, Any]) -> None:
    stock = small_stock.lists()
    stock["benders"][2]["bend_radius"] = "50 mm"
    assert answer(tmp_path, stock) != before


def test_remarks_do_not_act_on_the_shortlist(tmp_path: Path, shortlist: list[dict[str, Any]]) -> None:
    stock = small_stock.lists()
    stock["tubing"][0]["checked"] = "2024-02-29"
    assert designs(tmp_path, stock) == shortlist


def test_a_dearer_roll_loses_the_first_place(tmp_path: Path, shortlist: list[dict[str, Any]]) -> None:
    stock = small_stock.lists()
    first = shortlist[0]["stock_id"]
    for row in stock["tubing"]:
        if row["stock_id"] == first:
            row["price"] = "400"
    assert designs(tmp_path, stock)[0]["stock_id"] != first


def test_a_form_too_wide_for_the_kettle_is_not_used(tmp_path: Path, shortlist: list[dict[str, Any]]) -> None:
    stock = small_stock.lists()
    first = shortlist[0]["form_id"]
    for row in stock["forms"]:
        if row["form_id"] == first:
            row["outer_diameter"], row["circumference"] = "340 mm", ""
    assert first not in {d["form_id"] for d in designs(tmp_path, stock)}


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("kettle", "inside_diameter", "34 cm"),
        ("kettle", "inside_height", "38 cm"),
        ("kettle", "wall_clearance", "45 mm"),
        ("kettle", "floor_clearance", "40 mm"),
        ("kettle", "top_clearance", "40 mm"),
        ("kettle", "coil_rests", "hangs"),
        ("kettle", "lid", True),
        ("kettle", "metal_mass", "9 kg"),
        ("kettle", "mouth", "28 cm"),
        ("wort", "volume", "25 L"),
        ("wort", "gravity", "18 degP"),
        ("wort", "start_temperature", "95 degC"),
        ("wort", "target_temperature", "22 degC"),
        ("wort", "mixing", "steady"),
        ("wort", "mixing", {"with": "spoon", "motion": "brisk", "seconds_a_minute": 20}),
        ("wort", "mixing", "paddle, slow, 20 s a minute"),
        ("wort", "dirt", "hop bag"),
        ("wort", "dirt", "loose pellets"),
        ("wort", "ambient_temperature", "10 degC"),
        ("wort", "swirl", "0.3 m/s"),
        ("tap", "temperature", "10 degC"),
        ("tap", "open_flow", "10 L in 60 s"),
        ("tap", "static_pressure", "4 bar"),
        ("tap", "hose_bore", "10 mm"),
        ("workshop", "marking_increment", "4 mm"),
        ("workshop", "riser", "inside"),
        ("workshop", "riser_sides", "opposite"),
        ("workshop", "smallest_gap", "8 mm"),
        ("workshop", "forms_owned_only", True),
        ("workshop", "headspace", "17 cm"),
        ("workshop", "over_the_rim", "25 cm"),
        ("workshop", "layouts", ["single", "nested"]),
        ("workshop", "layouts", ["single", "parallel"]),
        ("workshop", "flow_settings", ["full", "half"]),
        ("workshop", "flow_settings", ["two thirds"]),
        ("limits", "budget", 90),
        ("limits", "chill_time", "25 min"),
        ("limits", "water", "220 L"),
        ("limits", "difficulty", 3.5),
        ("wishes", "cost", {"good": 40, "acceptable": 90}),
    ],
)
def test_an_edited_key_changes_the_answer(
    tmp_path: Path, before: dict[str, Any], table: str, key: str, value: Any
) -> None:
    shop = {"riser_sides": "same", "marking_increment": "5 mm"}
    house = {table: {**(shop if table == "workshop" else {}), key: value}}
    assert answer(tmp_path, small_stock.lists(), **house) != before


def test_hose_length_acts_where_the_flow_was_not_measured(tmp_path: Path) -> None:
    def with_hose(length: str) -> dict[str, Any]:
        folder = small_stock.write(tmp_path / length.replace(" ", ""), {"workshop": {"riser_sides": "same"}})
        text = (folder / "brewhouse.toml").read_text()
        text = text.replace('open_flow = "10 L in 45 s"', f'hose_length = "{length}"')
        (folder / "brewhouse.toml").write_text(text)
        inputs = load(folder)
        return jsonout.recommend(recommend(design_basis(inputs)), inputs)["designs"][0]["prediction"]

    short, long = with_hose("5 m"), with_hose("25 m")
    assert short["flow_m3_s"] > long["flow_m3_s"]
    assert short["chill_time_s"] < long["chill_time_s"]


TAP_TO_40 = {"source": "tap", "until": "40 degC"}
ICE = {"source": "ice bath", "pump": "small", "water": "8 L", "ice": "5 kg"}
BUCKET = {"source": "bucket", "pump": "small", "bucket": "60 L", "water_temperature": "5 degC"}
INNER_COIL = {
    "material": "copper",
    "outer_diameter": "10 mm",
    "wall": "1 mm",
    "mean_diameter": "20 cm",
    "pitch": "15 mm",
    "turns": 12,
    "riser_length_in": "40 cm",
    "riser_length_out": "30 cm",
}
PRECOOLED = {"source": "precooled tap", "water": "10 L", "ice": "5 kg", "precooler": INNER_COIL}


@pytest.mark.parametrize(
    ("first", "last", "key", "value"),
    [
        (TAP_TO_40, ICE, "ice", "3 kg"),
        (TAP_TO_40, ICE, "water", "5 L"),
        (TAP_TO_40, ICE, "return", "drain"),
        (TAP_TO_40, ICE, "water_temperature", "6 degC"),
        (TAP_TO_40, BUCKET, "bucket", "45 L"),
        (TAP_TO_40, {**BUCKET, "bucket": "25 L", "refills": 1}, "refills", 2),
        (TAP_TO_40, {**BUCKET, "lift": "95 cm"}, "return_under_water", False),
        (TAP_TO_40, {**BUCKET, "return_under_water": False}, "lift", "60 cm"),
        (TAP_TO_40, PRECOOLED, "ice_stirred", True),
        (TAP_TO_40, PRECOOLED, "precooler", {**INNER_COIL, "turns": 6}),
        pytest.param({"source": "tap", "until": "50 degC"}, ICE, "ice", "7 kg", marks=pytest.mark.long),
        pytest.param({"source": "tap", "until": "best"}, ICE, "ice", "3 kg", marks=pytest.mark.slow),
        ({"hold": "20 min"}, {"source": "tap"}, None, None),
    ],
)
def test_an_edited_stage_changes_the_answer(
    tmp_path: Path, first: dict[str, Any], last: dict[str, Any], key: str | None, value: Any
) -> None:
    edited = [last] if key is None else [first, {**last, key: value}]
    few = small_stock.lists()
    few["tubing"], few["forms"] = few["tubing"][:1], few["forms"][:1]
    before, after = (
        answer(tmp_path / name, few, cooling=plan)
        for name, plan in (("before", [first, last]), ("after", edited))
    )
    times = [[goals[0] for goals in a["front"]] for a in (before, after)]
    assert times[0] and times[1] and times[0] != times[1]
