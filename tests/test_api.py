"""The Python door: what a notebook sees, what it refuses, and that it is the command line's own answer."""

from __future__ import annotations

import dataclasses
import importlib
import io
import json
import pickle
import subprocess
import sys
from collections.abc import Callable
from operator import attrgetter
from pathlib import Path
from typing import Any

import grimp
import kits
import numpy as np
import pandas as pd
import pint
import pytest
import small_stock
from own_coil import SIZES

import optichill as oc
from optichill.errors import CannotWrite
from optichill.model.stock import Stock

Run = Callable[..., Any]
COIL = {key: value for key, value in SIZES.items() if key != "lowest_turn_height"}
KETTLE = {"inside_diameter": "36 cm", "inside_height": "40 cm"}
STATED: dict[str, Any] = {
    "name": "Small kettle",
    "kettle": KETTLE,
    "wort": {"volume": "23 L", "target_temperature": "20 degC", "gravity": "12 degP"},
    "tap": {"temperature": "12 degC", "open_flow": "10 L in 45 s", "static_pressure": "3 bar"},
    "workshop": {"layouts": ["single"], "flow_settings": ["full"], "marking_increment": "2.5 mm"},
    "limits": {"chill_time": "60 min", "water": "400 L"},
    "stock": {
        "tubing": [
            {"stock_id": "cu", "material": "copper", "temper": "annealed", "outer_diameter": "10 mm",
             "wall": "1 mm", "length": "10 m", "price": 41},
        ],
        "forms": [
            {"form_id": "pot", "outer_diameter": "25 cm", "height": "25 cm", "open_end": True, "owned": True},
        ],
    },
}  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small kettle in files, with one form to wind on."""
    lists = small_stock.lists()
    lists["forms"] = lists["forms"][:1]
    return small_stock.write(tmp_path_factory.mktemp("door"), None, lists)


@pytest.fixture(scope="module")
def problem(folder: Path) -> oc.Problem:
    return oc.read(folder)


@pytest.fixture(scope="module")
def rating(problem: oc.Problem) -> Any:
    """A coil of one's own, rated once."""
    return oc.rate(COIL, problem)


# --- lazy ------------------------------------------------------------------------------------------------


def test_the_import_loads_nothing_but_itself() -> None:
    code = (
        "import sys; before = set(sys.modules); import optichill; print(*sorted(set(sys.modules) - before))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert {m for m in done.stdout.split() if m.startswith("optichill")} == {"optichill", "optichill.version"}
    for heavy in ("numpy", "scipy", "pandas", "pydantic", "pint", "CoolProp", "reportlab", "click"):
        assert heavy not in done.stdout.split()


def test_the_door_names_what_it_has() -> None:
    for name in dir(oc):
        assert getattr(oc, name) is not None
    with pytest.raises(AttributeError, match="no attribute 'recomend'"):
        _ = oc.recomend  # type: ignore[attr-defined]


def test_every_command_goes_through_the_door() -> None:
    """A command imports the door, its shared options, and what wraps a line of the screen."""
    graph = grimp.build_graph("optichill", cache_dir=None)
    for name in ("check", "recommend", "predict", "pareto", "sheet"):
        taken = graph.find_modules_directly_imported_by(f"optichill.cli.{name}_command")
        assert "optichill.api" in taken
        for module in taken - {
            "optichill.cli.common",
            "optichill.cli.kept",
            "optichill.cli.progress",
            "optichill.report.paper",
            "optichill.search.designs",
        }:
            assert module.startswith("optichill.api"), (name, module)


# --- a notebook ------------------------------------------------------------------------------------------


def test_a_notebook(folder: Path, tmp_path: Path) -> None:
    problem = oc.read(folder)
    answer = oc.recommend(problem, top=3)
    front = answer.front.to_dataframe()
    quick = front.loc[front["chill_time_s"] < 1.2 * front["chill_time_s"].min()]
    mine = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "26 cm",
            "pitch": "16 mm", "turns": 10, "riser_length_in": "56 cm",
            "riser_length_out": "40 cm"}  # fmt: skip
    rating = oc.rate(mine, problem)
    curve = rating.curve.to_dataframe()
    work = oc.plan_work(mine, problem)
    sheet = work.save(tmp_path / "sheet.pdf")

    assert answer.best is not None and answer.best.rank == 1 and not answer.conflicts
    assert len(front) == len(answer.front) >= len(quick) > 0
    assert {"chill_time_s", "cost", "water_m3", "difficulty"} <= set(front.columns)
    assert rating.chill_time == pytest.approx(curve["time_s"].iloc[-1], rel=2e-3)
    assert curve["wort_K"].iloc[-1] == pytest.approx(problem.brewhouse.wort.target_temperature, abs=0.1)
    assert rating.water == pytest.approx(rating.flow * rating.chill_time, rel=0.05)
    assert work.buildable and sheet.read_bytes().startswith(b"%PDF")
    assert work.marks.to_dataframe()["length_m"].sum() == pytest.approx(work.plan.cut_length)


def test_front_is_the_table_that_is_saved(problem: oc.Problem, tmp_path: Path) -> None:
    import pandas as pd

    front = oc.front(problem)
    page, table, result = front.save(tmp_path)
    text = io.StringIO(front.to_dataframe().to_csv(index=False))
    pd.testing.assert_frame_equal(pd.read_csv(table), pd.read_csv(text), check_dtype=False, rtol=1e-9)
    assert json.loads(result.read_text())["front"]["id"] == front.to_dataframe()["id"].tolist()
    assert page.name == "tradeoff.html" and front.lines((page,))[-1].endswith("tradeoff.html")


@pytest.mark.slow
def test_a_design_rates_as_its_saved_coil(problem: oc.Problem, tmp_path: Path) -> None:
    answer = oc.recommend(problem, top=1)
    file = answer.save_coil(tmp_path / "coil.toml")
    assert oc.rate(answer.best, problem).to_dict() == oc.rate(file, problem).to_dict()


def test_nothing_fits(problem: oc.Problem) -> None:
    answer = oc.recommend(oc.Problem(**{**STATED, "limits": {"chill_time": "2 min"}}))
    assert answer.best is None and answer.designs == () and len(answer.front) == 0
    assert answer.conflicts[0].limits == ("chill_time",) and answer.conflicts[0].ways_out
    assert answer.to_dict()["conflicts"][0]["limits"] == ["chill_time"]
    assert "NO COIL FITS" in answer._repr_html_()
    with pytest.raises(CannotWrite, match="no coil fits"):
        answer.save_coil("nowhere.toml")


def test_sheet_by_suffix(problem: oc.Problem, tmp_path: Path) -> None:
    work = oc.plan_work(COIL, problem)
    page = work.save(tmp_path / "deep" / "bench.html", paper="letter").read_text()
    assert 'href="bench.pdf"' in page and "LETTER" not in page
    with pytest.raises(CannotWrite, match="ends in .pdf or .html"):
        work.save(tmp_path / "sheet.docx")
    with pytest.raises(oc.InputFaults, match="paper: a5: not known .allowed: a4, letter"):
        work.save(tmp_path / "sheet.pdf", paper="a5")
    assert sorted(path.name for path in tmp_path.rglob("*.*")) == ["bench.html"]


def test_what_cannot_be_built_says_why(problem: oc.Problem) -> None:
    layer = {"mean_diameter": "5 cm", "pitch": "30 mm"}
    work = oc.plan_work({**COIL, "outer_diameter": "22 mm", "turns": 6, **layer}, problem)
    assert not work.buildable and "winding_radius" in [o.name for o in work.obstacles]
    assert work.to_dict()["buildable"] is False and work.to_dict()["files"] == []


# --- the command line's own answer -----------------------------------------------------------------------


@pytest.mark.slow
def test_documents_are_those_of_the_command_line(optichill: Run, folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "coil.toml"
    answer = oc.recommend(oc.read(folder), top=2)
    answer.save_coil(file)
    problem = oc.read(folder, coil=file)
    made = {
        ("check",): oc.read(folder).to_dict(),
        ("recommend", "--top", "2"): answer.to_dict(),
        ("predict", "--coil", file): oc.rate(problem.coil, problem).to_dict(),
        ("pareto", "--out", tmp_path): answer.front.to_dict(),
    }
    for (name, *options), document in made.items():
        said = optichill(name, folder, *options, "--json", "-")
        assert json.loads(said.out) == document, name
    sheet = json.loads(optichill("sheet", folder, "--coil", file, "--out", tmp_path, "--json", "-").out)
    assert sheet.pop("files") == ["sheet-coil.html", "sheet-coil.pdf"]
    assert {**sheet, "files": []} == oc.plan_work(file, problem).to_dict()


def test_seed_is_taken_and_not_shown(optichill: Run) -> None:
    for name in ("check", "recommend", "predict", "pareto", "sheet"):
        assert "--seed" not in optichill(name, "--help").out
    assert optichill("check", "--seed", "5").status == 0


# --- what is given ---------------------------------------------------------------------------------------


def test_text_numbers_and_pint_are_one_problem() -> None:
    """Three ways to say a quantity; the registry is pint's own, with its thousand units."""
    Q = pint.UnitRegistry().Quantity
    numbers = {
        **STATED,
        "kettle": {"inside_diameter": 0.36, "inside_height": np.float64(0.40)},
        "wort": {"volume": 0.023, "target_temperature": 293.15, "gravity": 12},
        "tap": {"temperature": 285.15, "open_flow": 10e-3 / 45.0, "static_pressure": 300000},
        "workshop": {**STATED["workshop"], "marking_increment": np.float64(0.0025)},
        "limits": {"chill_time": 3600, "water": 0.4},
    }
    pints = {
        **STATED,
        "kettle": {"inside_diameter": Q(36, "cm"), "inside_height": Q(400, "mm")},
        "wort": {"volume": Q(23, "L"), "target_temperature": Q(68, "degF"), "gravity": 12.0},
        "tap": {"temperature": Q(12, "degC"), "open_flow": Q(10, "L") / Q(45, "s"),
                "static_pressure": Q(3, "bar")},
        "workshop": {**STATED["workshop"], "marking_increment": Q(2.5, "mm")},
        "limits": {"chill_time": Q(1, "hour"), "water": Q(400, "liter")},
    }  # fmt: skip
    problems = [oc.Problem(**stated) for stated in (STATED, numbers, pints)]
    first, *others = ((p.to_dict(), oc.recommend(p, top=1).to_dict()) for p in problems)
    assert first[1]["designs"] and others == [first, first]
    coils = ({**COIL, "turns": 10, "pitch": pitch} for pitch in ("16 mm", 0.016, Q(1.6, "cm")))
    assert len({oc.plan_work(coil, problems[0]).plan.cut_length for coil in coils}) == 1


def test_python_and_files_are_one_problem(folder: Path) -> None:
    """Parts of a problem that was read, or its folder for the stock, state the same problem."""
    files = oc.read(folder)
    house = files.brewhouse
    parts = {key: getattr(house, key) for key in ("kettle", "wort", "tap", "limits", "workshop", "wishes")}
    for stock in (files.stock, folder, str(folder), {"folder": folder, "currency": "EUR"}):
        again = oc.Problem(**parts, name=house.name, stock=stock)
        assert again.stock == files.stock
        assert {**again.to_dict(), "file": None} == {**files.to_dict(), "file": None}
    deep = oc.Problem(**{**STATED, "wort": {"depth": "20 cm"}})
    assert oc.Problem(**{**STATED, "wort": deep.brewhouse.wort}).to_dict() == deep.to_dict()


def test_a_model_with_a_changed_value_is_checked_again(problem: oc.Problem) -> None:
    kettle = problem.brewhouse.kettle.model_copy(update={"inside_diameter": 9.0})
    with pytest.raises(oc.InputFaults, match="kettle.inside_diameter: 9.0: too large"):
        oc.Problem(**{**STATED, "kettle": kettle})


@pytest.mark.slow
def test_the_callers_own_things_stay(problem: oc.Problem) -> None:
    coil = {**COIL}
    oc.rate(coil, problem)
    assert coil == COIL
    bare = oc.rate(COIL, problem).coil
    high = oc.Problem(**{**STATED, "kettle": {**KETTLE, "floor_clearance": "60 mm"}})
    assert oc.rate(bare, high).coil.lowest_turn_height == pytest.approx(0.065)
    assert bare.lowest_turn_height == pytest.approx(0.030)


def test_nothing_changes_a_problem(problem: oc.Problem) -> None:
    def change_inputs() -> None:
        problem.inputs = None  # type: ignore[misc,assignment]

    def change_kettle() -> None:
        problem.brewhouse.kettle.inside_diameter = 1.0

    for change in (change_inputs, change_kettle):
        with pytest.raises(dataclasses.FrozenInstanceError):
            change()
    stated = {**STATED, "kettle": {**KETTLE}}
    made = oc.Problem(**stated)
    stated["kettle"]["inside_diameter"] = "50 cm"
    assert made.brewhouse.kettle.inside_diameter == 0.36


def test_the_plan_is_checked() -> None:
    """A stage that would warm the wort, a pump that is not there, ice on the tap: as in a file."""
    plan = [
        {"source": "tap", "until": "35 degC", "ice": "2 kg"},
        {"source": "bucket", "pump": "big", "water_temperature": "40 degC"},
    ]
    with pytest.raises(oc.InputFaults) as caught:
        oc.Problem(**{**STATED, "cooling": plan})
    said = [str(fault) for fault in caught.value.faults]
    assert "in Python: cooling[1].ice: means nothing to the source 'tap' (allowed: leave it out)" in said
    assert any("cooling[2].pump: no pump 'big' in pumps.csv" in line for line in said)
    assert any("cooling[2].source: would warm the wort: water at 40 degC" in line for line in said)


BAD: list[tuple[dict[str, Any], str]] = [
    ({"kettle": {**KETTLE, "inside_diameter": 9.0}},
     "kettle.inside_diameter: 9.0: too large: read as 9 m, for a bare number is SI; with its unit it could "
     "be '9 in' or '9 ft' (allowed: 10 cm to 3 m)"),
    ({"kettle": {**KETTLE, "inside_diameter": "33"}}, "kettle.inside_diameter: 33: add a unit: mm, cm, m"),
    ({"kettle": {**KETTLE, "inside_height": float("nan")}},
     "kettle.inside_height: nan: not a finite number (allowed: 10 cm to 3 m)"),
    ({"kettle": {**KETTLE, "inside_height": 10**400}}, "kettle.inside_height: a huge number: not a finite"),
    ({"kettle": {**KETTLE, "inside_height": [0.4]}}, "kettle.inside_height: [0.4]: a list is not taken here"),
    ({"kettle": {**KETTLE, "insde_height": 0.4}}, "kettle.insde_height: 0.4: unknown key: did you mean insi"),
    ({"kettle": None}, "kettle: missing"),
    ({"kettle": 5}, "kettle: 5: must be a table of keys"),
    ({"wort": {"volume": 0.023, "mixing": ["steady"]}}, "wort.mixing: ['steady']: a list is not taken here"),
    ({"wort": {"volume": 0.023, "start_temperature": 20.0}},
     "wort.start_temperature: 20.0: too cold: read as 20 K, for a bare number is SI; with its unit "
     "it could be '20 degC' (allowed: 0 °C to 105 °C)"),
    ({"wort": {"volume": 0.023, "gravity": 1.048}},
     "wort.gravity: 1.048: looks like a specific gravity: read as 1.048 degP, for a bare number is "
     "SI; with its unit it could be '1.048 SG' or '1.048 degP' (allowed: 0 °P to 30 °P)"),
    ({"limits": {"chill_time": 40}},
     "limits.chill_time: 40: too small: read as 40 s, for a bare number is SI; with its unit it "
     "could be '40 min' (allowed: 60 s to 6 h)"),
    ({"cooling": [{"source": "tap", "until": 36}, {"source": "bucket", "pump": "p"}]},
     "cooling[1].until: 36: too cold: read as 36 K, for a bare number is SI; with its unit it could "
     "be '36 degC'"),
    ({"tap": None}, "tap: missing: nothing cools the wort"),
    ({"limits": {"budget": -1}}, "limits.budget: -1: out of range (allowed: more than 0 to 1e+09)"),
    ({"limits": {"difficulty": "hard"}}, "limits.difficulty: hard: not known (allowed: first build, careful"),
    ({"units": "furlongs"}, "units: furlongs: not known (allowed: metric, us)"),
    ({"stock": None}, "stock: missing (allowed: a folder with the lists"),
    ({"stock": 7}, "stock: 7: not a stock (allowed: a folder with the lists"),
    ({"stock": Stock()}, "stock.tubing: no rows (allowed: one row or more)"),
    ({"stock": {**STATED["stock"], "formz": []}}, "stock.formz: unknown key: did you mean forms?"),
    ({"stock": {**STATED["stock"], "forms": STATED["stock"]["forms"] * 2}},
     "stock.forms[2].form_id: pot: already in the list (allowed: an id of its own)"),
    ({"stock": {**STATED["stock"], "pumps": [{"pump_id": "p", "max_temperature": "50 degC", "price": 1,
                                              "curve": [(0.0, "3 m"), (1e-4, "4 m")]}]}},
     "stock.pumps[1].curve: [[0.0, '3 m'], [0.0001, '4 m']]: not a falling curve (allowed: two points"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "said"), BAD, ids=[said[:40] for _, said in BAD])
def test_a_bad_input_names_place_and_what_is_allowed(changes: dict[str, Any], said: str) -> None:
    with pytest.raises(oc.InputFaults) as caught:
        oc.Problem(**{**STATED, **changes})
    assert any(str(fault).startswith(f"in Python: {said}") for fault in caught.value.faults), caught.value
    assert isinstance(caught.value, oc.OptichillError)


def test_of_another_dimension() -> None:
    Q = pint.UnitRegistry().Quantity
    for length in (Q(5, "kg"), Q([1, 2], "m"), Q(0.36)):
        with pytest.raises(
            oc.InputFaults,
            match="is not a unit of length, or not one number .allowed: a length in quotes such as 9.5 mm",
        ):
            oc.Problem(**{**STATED, "kettle": {**KETTLE, "inside_diameter": length}})


def test_all_faults_at_once() -> None:
    with pytest.raises(oc.InputFaults) as caught:
        oc.Problem(**{**STATED, "kettle": {"lid": "yes"}, "tap": {"temperature": 400.0}, "stock": "nowhere"})
    keys = {fault.key for fault in caught.value.faults}
    assert {"kettle.inside_diameter", "kettle.inside_height", "kettle.lid", "tap.temperature", "file"} <= keys


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda p: oc.read(5), "folder_or_file: 5: not a path"),
        (lambda p: oc.read("no\0where"), "file: cannot be read"),
        (lambda p: oc.read("x" * 5000), "file: cannot be read: File name too long"),
        (lambda p: oc.read(units="yards"), "units: yards: not known .allowed: metric, us"),
        (lambda p: oc.recommend("kettle"), "problem: kettle: not a problem"),
        (lambda p: oc.recommend(p, top=0), "top: 0: not a number of builds .allowed: 1 to 50"),
        (lambda p: oc.recommend(p, tube=5), "tube: 5: not an id"),
        (lambda p: oc.rate(5, p), "coil: 5: not a coil .allowed: a coil file, or the keys"),
        (lambda p: oc.rate("nowhere.toml", p), "nowhere.toml: file: not found"),
        (lambda p: oc.rate({**COIL, "turns": 0}, p), "coil.turns: 0: out of range .allowed: 0.5 to 500"),
        (
            lambda p: oc.plan_work({**COIL, "wall": "6 mm"}, p),
            "coil.wall: 6 mm: too large .allowed: 0.2 mm to",
        ),
        (lambda p: oc.rate(COIL, None), "problem: None: not a problem"),
    ],
)
def test_a_bad_argument(problem: oc.Problem, call: Callable[[Any], Any], said: str) -> None:
    with pytest.raises(oc.InputFaults, match=said):
        call(problem)


def test_an_id_that_is_not_there(problem: oc.Problem) -> None:
    with pytest.raises(oc.OptichillError, match="cu-10-1: not in the list .allowed: cu-10-10"):
        oc.recommend(problem, tube="cu-10-1")


# --- what a notebook shows -------------------------------------------------------------------------------


def test_html_is_escaped_small_and_has_units(folder: Path) -> None:
    named = oc.Problem(**{**STATED, "name": "<script>alert(1)</script>"})
    shown = {
        "problem": (named, "36 cm"),
        "answer": (oc.recommend(named, top=2), "minutes"),
        "rating": (oc.rate(COIL, named), " L/min"),
        "work": (oc.plan_work(COIL, named), " mm"),
    }
    for name, (thing, unit) in shown.items():
        html = thing._repr_html_()
        assert "<script" not in html and "&lt;script&gt;" in html, name
        assert unit in html and len(html) < 5000, name


# --- correlations ----------------------------------------------------------------------------------------


def test_correlations_stand_under_their_published_names() -> None:
    table = oc.correlations.table()
    assert table["name"].is_unique and not table["source"].eq("").any()
    for name in table["name"]:
        assert callable(attrgetter(name)(oc.correlations)), name
    # Nu = 0.6^2 at Ra = 0 (Churchill & Chu 1975); 64/Re of laminar flow in a straight tube (Hagen)
    assert float(oc.correlations.Nu_horizontal_cylinder_Churchill_Chu(0.0, 5.0)) == pytest.approx(0.36)
    assert float(oc.correlations.f_laminar_helical_White(1000.0, 1e-9, 1.0)) == pytest.approx(0.064)


def test_every_published_formula_is_in_the_table() -> None:
    """A new formula with an author in its name comes with its record."""
    names = set(oc.correlations.table()["name"])
    for room in ("inside_film", "outside_film", "friction"):
        module = importlib.import_module(f"optichill.correlations.{room}")
        for name in vars(module):
            if (
                name.startswith(("Nu_", "f_", "Re_"))
                and name[-1].islower()
                and name.rsplit("_", 1)[1][0].isupper()
            ):
                assert name in names, name


def test_answers_check_the_ranges_of_the_table(problem: oc.Problem) -> None:
    table = oc.correlations.table()
    ranges = set(zip(table["argument"], table["valid_from"], table["valid_to"], strict=True))
    uses = oc.rate(COIL, problem).to_dict()["validity"]
    assert len(uses) >= 5
    for use in uses:
        assert (use["argument"], use["valid_from"], use["valid_to"]) in ranges


# --- examples --------------------------------------------------------------------------------------------


def test_everything_public_has_an_example() -> None:
    from optichill import api

    for name in api.__all__:
        thing = getattr(api, name)
        if getattr(thing, "__module__", "").startswith("optichill.api"):
            assert ">>>" in (thing.__doc__ or ""), name


def test_kit_is_read_like_any_folder(tmp_path: Path) -> None:
    assert oc.read(kits.write_kit(tmp_path)).brewhouse.name == "Test kettle"


def test_lists_as_dataframes_are_the_lists(tmp_path: Path) -> None:
    """As a notebook reads them: what a cell leaves empty is nan there, and left out here."""
    folder = kits.write_kit(tmp_path)
    frames = {name: pd.read_csv(folder / f"{name}.csv") for name in ("tubing", "forms", "fittings", "pumps")}
    mine = {"inside_diameter": "36 cm", "inside_height": "40 cm"}
    tap = {"temperature": "12 degC"}
    told = oc.Problem(kettle=mine, wort={"volume": "23 L"}, tap=tap, stock=frames)
    for name in frames:
        assert getattr(told.stock, name) == getattr(oc.read(folder).stock, name)


def test_a_coil_file_as_tomllib_reads_it(problem: oc.Problem, rating: Any) -> None:
    assert oc.rate({"coil": COIL}, problem).chill_time == rating.chill_time


def test_an_empty_front_has_its_columns(tmp_path: Path) -> None:
    folder = small_stock.write(tmp_path, {"limits": {"chill_time": "1 min"}})
    empty = oc.recommend(oc.read(folder)).front.to_dataframe()
    assert not len(empty) and {"chill_time_s", "cost", "water_m3", "difficulty"} <= set(empty.columns)


def test_what_an_answer_shows_of_itself(problem: oc.Problem, rating: Any) -> None:
    work = oc.plan_work(COIL, problem)
    assert repr(rating) == f"<Rating: {rating.prediction.told.time / 60.0:.0f} min>"
    assert repr(work).startswith("<PlannedWork: ") and " m of tube" in repr(work)
    assert "<th" in rating.curve._repr_html_() and len(rating.curve._repr_html_()) < 50_000


def test_faults_survive_a_pickle() -> None:
    with pytest.raises(oc.InputFaults) as caught:
        oc.Problem(kettle={"inside_diameter": 9.0})
    again = pickle.loads(pickle.dumps(caught.value))
    assert str(again) == str(caught.value) and again.faults == caught.value.faults


class Silent:
    """An object that cannot be shown."""

    def __str__(self) -> str:
        raise RuntimeError("no")


ROUND: dict[str, Any] = {}
ROUND["inside_diameter"] = ROUND


JUNK = [None, 3, b"x", 10**5000, Silent(), ROUND, "x" * 10_000, "a\0b"]


@pytest.mark.parametrize("junk", JUNK, ids=lambda value: type(value).__name__)
def test_whatever_is_given_only_our_own_errors_come_back(junk: Any, problem: oc.Problem) -> None:
    """As folder, kettle, stock, list, coil, file to save to, and answers of init."""
    work = oc.plan_work(COIL, problem)
    for call in (
        lambda: oc.init(junk if not isinstance(junk, str) else 3),
        lambda: oc.init(answers=junk if junk is not None else 3),
        lambda: oc.Problem(kettle=junk, wort={"volume": "24 L"}, tap={"temperature": "12 degC"}, stock=junk),
        lambda: oc.Problem(stock={"tubing": junk, "forms": np.array([1.0, 2.0])}),
        lambda: oc.rate(junk, problem),
        lambda: work.save(junk),
    ):
        with pytest.raises(oc.OptichillError):
            call()


class Unspeakable:
    """Somebody's object that cannot be shown."""

    def __str__(self) -> str:
        raise RuntimeError("not to be said")

    __repr__ = __str__


@pytest.mark.parametrize(
    "table, key", [("kettle", "inside_diameter"), ("limits", "budget"), ("wort", "mixing")]
)
def test_an_object_that_cannot_be_shown_is_a_fault_with_its_key(table: str, key: str) -> None:
    with pytest.raises(oc.InputFaults) as caught:
        oc.Problem(**{table: {key: Unspeakable()}})
    (fault,) = [fault for fault in caught.value.faults if fault.key == f"{table}.{key}"]
    assert fault.given == "a Unspeakable"
