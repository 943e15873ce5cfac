"""A coil is named by its id: the same on screen, table and sheet and in JSON, and found again by it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import small_stock
from conftest import Done
from filed import tube_off

import optichill as oc
from optichill.files.coil_file import as_written
from optichill.problem.coil_id import DIGITS, LETTERS, SIGNS
from optichill.search.designs import as_coil
from optichill.search.find import NoSuchCoil

Run = Callable[..., Done]

CATALOGS = Path(__file__).parents[2] / "catalogs"
CLOSE = 1e-3
"""Search and `predict` work the same chill out with different fineness (share)."""


@pytest.fixture(scope="module")
def kettle(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One with two valve settings."""
    valves = {"workshop": {"flow_settings": ["full", "half"]}}
    return small_stock.write(tmp_path_factory.mktemp("ids"), valves)


@pytest.fixture(scope="module")
def table(kettle: Path) -> list[dict[str, Any]]:
    """front.csv as it is read from Python."""
    rows: list[dict[str, Any]] = oc.front(oc.read(kettle)).to_dataframe().to_dict("records")
    return rows


def same_figures(row: dict[str, Any], problem: oc.Problem) -> None:
    """The coil of a row's id, rated and planned, is the coil of the row."""
    said = oc.rate(row["id"], problem).to_dict()
    assert said["coil"]["id"] == row["id"]
    assert said["prediction"]["chill_time_s"] == pytest.approx(float(row["chill_time_s"]), rel=CLOSE)
    assert said["prediction"]["water_m3"] == pytest.approx(float(row["water_m3"]), rel=CLOSE)
    work = oc.plan_work(row["id"], problem)
    off = tube_off(work.plan.coil)
    assert said["coil"]["tube_length_m"] == pytest.approx(float(row["tube_length_m"]), abs=off)
    assert work.to_dict()["coil_id"] == row["id"] == work.sheet().block.coil_id
    assert work.plan.cut_length == pytest.approx(float(row["tube_length_m"]), abs=off)
    assert work.plan.bill.total == pytest.approx(float(row["cost"]), abs=1e-6)
    assert work.plan.layers[0].form is not None and work.plan.layers[0].form.form_id == row["form_id"]
    tool = work.plan.tool
    assert row["riser_tool"] == (tool.kind if tool.bender is None else tool.bender.bender_id)
    assert work.plan.rating.throttled == (float(row["valve_share"]) < 1.0)


@pytest.mark.slow
def test_each_row_of_the_table_is_found_by_its_id(kettle: Path, table: list[dict[str, Any]]) -> None:
    problem = oc.read(kettle)
    shut = [row for row in table if row["valve_share"] < 1.0]
    open_ = [row for row in table if row["valve_share"] == 1.0]
    assert shut and open_
    for row in (open_[-1], shut[0]):
        same_figures(row, problem)


def test_ids_are_fit_for_a_spreadsheet_and_a_pencil(table: list[dict[str, Any]]) -> None:
    ids = [row["id"] for row in table]
    assert len(set(ids)) == len(ids)
    assert all(name[0] in LETTERS and set(name) <= set(SIGNS) and len(name) == 8 for name in ids)


def test_a_saved_coil_keeps_its_id_until_a_size_is_changed(kettle: Path) -> None:
    problem = oc.read(kettle)
    best = oc.recommend(problem).best
    assert best is not None
    coil = as_written(as_coil(best))
    assert oc.plan_work(coil, problem).plan.coil_id == best.id
    longer = coil.model_copy(update={"riser_length_in": coil.riser_length_in + 0.01})
    assert oc.plan_work(longer, problem).plan.coil_id != best.id


def test_screen_prediction_and_sheet_print_the_id(optichill: Run, kettle: Path, tmp_path: Path) -> None:
    found = oc.recommend(oc.read(kettle))
    assert found.best is not None
    said = optichill("recommend", kettle).out
    table = said[said.index("what it is") :]
    assert all(d.id in table for d in found.designs[:2])
    name = found.designs[1].id
    assert f"coil {name}" in " ".join(optichill("predict", kettle, "--coil", name[:4].upper()).out.split())
    done = optichill("sheet", kettle, "--coil", name[:5], "--out", tmp_path)
    assert done.status == 0 and f"Coil {name}." in " ".join(done.out.split())
    page = next(tmp_path.rglob(f"sheet-{name}.html"))
    assert f"<dt>Coil</dt><dd>{name}</dd>" in page.read_text(encoding="utf-8")


def test_a_coil_of_an_id_is_kept_in_a_file(optichill: Run, kettle: Path, tmp_path: Path) -> None:
    second, file = oc.recommend(oc.read(kettle)).designs[1], tmp_path / "second.toml"
    done = optichill("recommend", kettle, "--save-coil", file, "--coil", second.id)
    assert done.status == 0 and f"coil {second.id}" in done.err
    said = json.loads(optichill("predict", kettle, "--coil", file, "--json", "-").out)
    assert said["coil"]["id"] == second.id
    alone = optichill("recommend", kettle, "--coil", second.id)
    assert alone.status == 2 and "--save-coil" in alone.err


def test_an_id_that_no_coil_has_is_refused(optichill: Run, kettle: Path, table: list[dict[str, Any]]) -> None:
    ids = {row["id"] for row in table}
    other = next(name for name in (f"cccc{x}ccc" for x in SIGNS) if name not in ids)
    for command in ("predict", "sheet"):
        done = optichill(command, kettle, "--coil", other)
        assert done.status == 4 and done.out == ""
        assert len(done.err.splitlines()) == 1
        assert other in done.err and "lists and the kettle" in done.err and "optichill pareto" in done.err


@pytest.mark.parametrize("name", ["ccc", "sausage", "ccccccccc", "", "../x"])
def test_what_cannot_be_an_id_is_refused_without_a_search(
    optichill: Run, kettle: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("optichill.api.search_pass.search_space", None)
    done = optichill("predict", kettle, "--coil", name)
    assert done.status == 4, done.err


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("hmwvx6pz", "no id has z ("),
        ("o0mwvx6p", "no id has o 0 ("),
        ("2mwvx6pq", "begins with a letter"),
        ("hmw", "3 signs ("),
        ("hmwvx6pqq", "9 signs ("),
    ],
)
def test_what_is_wrong_with_an_id_is_said(
    optichill: Run, kettle: Path, monkeypatch: pytest.MonkeyPatch, name: str, told: str
) -> None:
    monkeypatch.setattr("optichill.api.search_pass.search_space", None)
    done = optichill("predict", kettle, "--coil", name)
    assert done.status == 4 and len(done.err.splitlines()) == 1
    assert name in done.err and told in done.err and LETTERS in done.err and DIGITS in done.err


def test_an_option_says_which_of_file_and_id_it_takes(
    optichill: Run, kettle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("optichill.api.search_pass.search_space", None)
    coil = tmp_path / "coil"
    coil.write_text("[coil]\n", encoding="utf-8")
    for file in (coil, "nowhere.toml"):
        done = optichill("recommend", kettle, "--save-coil", tmp_path / "new.toml", "--coil", file)
        assert done.status == 2 and len(done.err.splitlines()) == 1
        assert str(file) in done.err and "takes only the id of a coil" in done.err
    done = optichill("check", kettle, "--coil", "hmwvx6pq")
    assert done.status == 4 and len(done.err.splitlines()) == 1
    assert "hmwvx6pq" in done.err and "takes no id" in done.err and "no such file" in done.err
    for command in ("check", "predict", "sheet", "recommend"):
        done = optichill(command, kettle, "--coil", " ")
        assert done.status == 4 and done.out == ""
        assert done.err.startswith("--coil: empty") and len(done.err.splitlines()) == 1


def test_an_id_that_limits_or_a_choice_hide_is_not_called_unknown(
    optichill: Run, kettle: Path, tmp_path: Path
) -> None:
    answer = oc.recommend(oc.read(kettle))
    assert answer.best is not None
    taken = answer.best.winding.form.form_id
    other = next(row.form_id for row in answer.problem.stock.forms if row.form_id != taken)
    hidden = optichill(
        "recommend", kettle, "--form", other, "--save-coil", tmp_path / "c.toml", "--coil", answer.best.id
    )
    assert hidden.status == 4 and "--form" in hidden.err
    price = round(0.9 * answer.best.bill.total)
    valves = {"flow_settings": ["full", "half"]}
    dearer = oc.read(small_stock.write(tmp_path, {"limits": {"budget": price}, "workshop": valves}))
    with pytest.raises(NoSuchCoil, match="holds your limits.*change of limits"):
        oc.find(answer.best.id, dearer)


def test_a_beginning_of_several_ids_tells_them(kettle: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ids = "optichill.search.find.ids_of"
    monkeypatch.setattr(ids, lambda space, r: tuple(f"ccccf{i:03d}" for i in range(len(r))))
    with pytest.raises(NoSuchCoil, match=r"ccccf: \d+ coils have an id that begins so: ccccf") as refused:
        oc.find("ccccf", oc.read(kettle))
    assert "..." in str(refused.value)


def test_a_file_is_a_file_whatever_its_name(
    optichill: Run, kettle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An id is no more than what is not a file: one that is there is read, and one that is not is missed."""
    best = oc.recommend(oc.read(kettle)).best
    assert best is not None
    monkeypatch.chdir(tmp_path)
    Path("cccc").write_text("[coil]\n", encoding="utf-8")
    assert "coil.material" in optichill("predict", kettle, "--coil", "cccc").err
    assert "not found" in optichill("predict", kettle, "--coil", f"{best.id}.toml").err


def test_where_nothing_fits_what_would_open_is_found(tmp_path: Path) -> None:
    problem = oc.read(small_stock.write(tmp_path, {"limits": {"budget": 1}}))
    answer = oc.recommend(problem)
    opened = answer.to_keep
    assert not answer.designs and opened is not None
    assert oc.find(opened.id, problem).id == opened.id == oc.plan_work(opened, problem).plan.coil_id


def test_python_takes_an_id_wherever_a_coil_is_meant(kettle: Path, tmp_path: Path) -> None:
    problem, file = oc.read(kettle), tmp_path / "second.toml"
    answer = oc.recommend(problem)
    second = answer.designs[1]
    assert answer.save_coil(file, coil=second.id[:5]) == file
    by_id = file.read_bytes()
    answer.save_coil(file, coil=second)
    assert file.read_bytes() == by_id
    assert oc.plan_work(file, problem).plan.coil_id == second.id


def test_python_refuses_what_is_no_id_in_plain_words(kettle: Path, tmp_path: Path) -> None:
    problem, file = oc.read(kettle), tmp_path / "coil.toml"
    answer = oc.recommend(problem)
    for ask in (answer.find, lambda c: answer.save_coil(file, coil=c), lambda c: oc.find(c, problem)):
        for wrong in (3, 0, b"hmwv", ["hmwv"], {}):
            with pytest.raises(oc.InputFaults, match="in Python: coil: .*not an id"):
                ask(wrong)
        for wrong in ("", "n9x6", "sausage"):
            with pytest.raises(NoSuchCoil):
                ask(wrong)
    with pytest.raises(oc.InputFaults, match="path: 3: not a path"):
        answer.save_coil(3)  # type: ignore[arg-type]
    assert not file.exists()


@pytest.mark.long
@pytest.mark.parametrize("name", ["", "wide", "stove", "us"])
def test_every_coil_of_the_examples_is_found_by_its_id(name: str) -> None:
    problem = oc.read(CATALOGS / name)
    found = oc.recommend(problem)
    rows = found.front.to_dataframe().to_dict("records")
    every = {row["id"]: row for row in rows}
    assert len(every) == len(rows)
    for d in found.designs:
        assert every[d.id]["rank"] == d.rank
    for row in rows:
        coil = as_written(as_coil(found.find(row["id"])))
        plan = oc.plan_work(coil, problem).plan
        assert plan.coil_id == row["id"]
        assert plan.cut_length == pytest.approx(row["tube_length_m"], abs=tube_off(coil))
        # Wire is sold by the metre, and a file has hundredths of a millimetre of it.
        assert plan.bill.total == pytest.approx(row["cost"], abs=1e-4)
        assert plan.rating.prediction.chill_time == pytest.approx(row["chill_time_s"], rel=CLOSE)
