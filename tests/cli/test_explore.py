"""`explore`, and what recommend and pareto make of its study: on a small kettle whose forms fit it badly."""

from __future__ import annotations

import csv
import json
import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import small_stock
from conftest import Done
from where import ROOT

import optichill as oc
from optichill.errors import OptichillError
from optichill.search.explore import study_team

Run = Callable[..., Done]
TRIALS = 800
PAIL = "pail|small pail|160 mm||25 cm|yes|yes|"


def house(folder: Path, **limits: Any) -> Path:
    """A kettle 36 cm wide, and nothing to wind on but a pail of 16 cm."""
    stock = small_stock.lists()
    stock["forms"] = [dict(zip(small_stock.HEADS["forms"].split(), PAIL.split("|"), strict=True))]
    return small_stock.write(folder, {"limits": limits}, stock)


@dataclass(frozen=True)
class Told:
    """A run of explore, and where it left its study."""

    house: Path
    study: Path
    done: Done
    document: dict[str, Any]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    folder, out = house(tmp_path_factory.mktemp("house")), tmp_path_factory.mktemp("out")
    done = subprocess.run(
        [sys.executable, "-m", "optichill.cli.main", "explore", folder, "--trials", str(TRIALS)]
        + ["--out", out, "--json", out / "found.json"],
        capture_output=True,
        text=True,
        check=False,
    )
    study = out / "small-kettle" / "study.journal"
    document = json.loads((out / "found.json").read_text(encoding="utf-8"))
    return Told(folder, study, Done(done.returncode, done.stdout, done.stderr), document)


def labels(text: str) -> set[str]:
    return set(re.findall(r"^([A-Z][A-Z ]+?)  ", text, re.MULTILINE))


def test_it_says_what_was_tried_what_came_of_it_and_what_it_is_worth(told: Told) -> None:
    done, found = told.done, told.document
    assert done.status == 0, done.err
    assert {"EXPLORED", "CAME OF IT", "THE BEST", "BESIDE IT", "GAIN", "STUDY", "NEXT"} <= labels(done.out)
    assert f"{TRIALS} coils beyond your lists tried" in done.out
    assert f"{found['study']['hold']:,} of them hold every limit" in done.out
    assert "TAKE CARE" in done.out and "near boiling" in done.out
    assert all(len(line) <= 100 for line in done.out.split("\n") if "optichill " not in line)
    assert "trial" not in done.out.lower() and "[I " not in done.err and "Warning" not in done.err


def test_the_document_tells_the_same(told: Told) -> None:
    found = told.document
    assert found["schema_version"] == 1 and found["study"]["tried"] == found["study"]["tried_now"] == TRIALS
    best, first, gain = found["best"], found["first_of_lists"], found["gain"]
    assert (best["origin"], first["origin"]) == ("explored", "enumerated")
    for name, goal in (("chill_time_s", "chill_time_p50_s"), ("water_m3", "water_p50_m3")):
        there = first["prediction"][goal] - best["prediction"][goal]
        assert gain[name] == pytest.approx(there, rel=0.02, abs=0.02 * first["prediction"][goal])
    assert gain["saves"] == pytest.approx(first["lifetime"]["total"] - best["lifetime"]["total"])
    assert 0 < found["study"]["on_the_front"] <= found["front"] and len(found["settings"]) > 0
    # A wider form than a pail of 16 cm is quicker in a kettle of 36 cm, whether it is worth making or not.
    assert any("quicker" in text for text in gain["noticed"])
    said = " ".join(told.done.out.split("GAIN")[1].split("STUDY")[0].split())
    assert all(text in said for text in gain["noticed"]) and "over its life" in said
    assert said.startswith("none") != gain["better"]


def test_the_same_command_goes_on(told: Told, optichill: Run, tmp_path: Path) -> None:
    (tmp_path / "s").write_bytes(told.study.read_bytes())
    done = optichill("explore", told.house, "--trials", 50, "--study", tmp_path / "s", "--json", "-")
    found = json.loads(done.out)
    assert done.status == 0 and found["study"]["tried"] == TRIALS + 50 and found["study"]["tried_now"] == 50
    assert f"In the study: {TRIALS + 50} coils" in done.err


def test_recommend_and_pareto_take_the_study(told: Told, optichill: Run, tmp_path: Path) -> None:
    best = told.document["best"]["id"]
    kept = ("--save-coil", tmp_path / "coil.toml", "--coil", best)
    done = optichill("recommend", told.house, "--study", told.study, "--json", tmp_path / "r.json", *kept)
    assert done.status == 0 and f"EXPLORED     {TRIALS} coils beyond your lists" in done.out
    document = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    came = told.document["study"]["on_the_front"]
    assert document["search"]["explored"] == {
        "file": str(told.study),
        "tried": TRIALS,
        "hold": told.document["study"]["hold"],
        "on_the_front": came,
    }
    assert f"{came} of them come" in " ".join(done.out.split())
    assert {d["origin"] for d in document["designs"]} >= {"explored"}
    assert optichill("predict", told.house, "--coil", tmp_path / "coil.toml").status == 0
    done = optichill("pareto", told.house, "--study", told.study, "--out", tmp_path)
    assert done.status == 0 and "EXPLORED" in done.out
    with open(tmp_path / "small-kettle" / "front.csv", encoding="utf-8") as file:
        origins = [row["origin"] for row in csv.DictReader(file)]
    assert origins.count("explored") >= came > 0 and "enumerated" in origins
    plain = optichill("recommend", told.house)
    assert "EXPLORED" not in plain.out and "explored" not in plain.out


def test_an_explored_id_without_its_study_is_told_where_it_is(told: Told, optichill: Run) -> None:
    done = optichill("predict", told.house, "--coil", told.document["best"]["id"])
    assert done.status == 4 and done.err.count("\n") == 1
    assert "a coil that explore found is found with its --study" in done.err


def test_a_study_goes_with_the_whole_lists(told: Told, optichill: Run) -> None:
    for more in (("--tube", "cu-10-10"), ("--form", "pail"), ("--also", told.house)):
        done = optichill("recommend", told.house, "--study", told.study, *more)
        assert done.status == 2 and "--study goes with none of --tube" in " ".join(done.err.split())
    with pytest.raises(OptichillError, match="study and tube do not go together"):
        oc.recommend(oc.read(told.house), tube="cu-10-10", study=told.study)


def test_another_brewhouse_or_a_changed_list_is_refused(told: Told, optichill: Run, tmp_path: Path) -> None:
    before = told.study.read_bytes()
    other = house(tmp_path / "other", budget=200)
    for command in ("explore", "recommend", "pareto"):
        more = ("--trials", 10) if command == "explore" else ()
        done = optichill(command, other, "--study", told.study, "--out", tmp_path, *more)
        assert done.status == 4 and done.err.count("\n") == 1 and "another --study name" in done.err
    assert told.study.read_bytes() == before


def test_what_cannot_be_a_study_is_refused_before_any_work(
    told: Told, optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("optichill.api.search_pass.search_space", lambda *_, **__: pytest.fail("it searched"))
    price_list = (told.house / "tubing.csv").read_bytes()
    cases = {
        str(told.house / "tubing.csv"): 5,  # an input
        str(ROOT / "README.md"): 4,
        str(tmp_path): 4,
        str(tmp_path / "no" / "folder" / "s"): 5,
        "mysql://host/x": 4,
    }
    for study, status in cases.items():
        done = optichill("explore", told.house, "--study", study)
        assert (done.status, done.err.count("\n")) == (status, 1), done.err
    assert (told.house / "tubing.csv").read_bytes() == price_list
    done = optichill("explore", told.house, "--study", tmp_path / "s", "--json", tmp_path / "s")
    assert done.status == 2 and not (tmp_path / "s").exists()
    for wrong in (("--minutes", 0), ("--trials", 0), ("--workers", 0)):
        assert optichill("explore", told.house, *wrong).status == 2


@pytest.mark.parametrize(
    "wrong",
    [
        {"minutes": -1.0},
        {"minutes": float("nan")},
        {"trials": 1.5},
        {"trials": 10**20},
        {"workers": 65},
        {"seed": -1},
        {"study": 3},
    ],
)
def test_the_door_names_what_is_wrong(told: Told, wrong: dict[str, Any]) -> None:
    with pytest.raises(oc.InputFaults, match=f"{next(iter(wrong))}: .* .allowed: "):
        oc.explore(oc.read(told.house), **{"study": "s", **wrong})


@pytest.mark.slow
def test_where_nothing_fits_a_form_that_is_made_may_open_it(
    told: Told, optichill: Run, tmp_path: Path
) -> None:
    """No coil on a pail of 16 cm gets by with so little water; one on a wider form does."""
    least = told.document["best"]["prediction"]["water_m3"]
    assert least < 0.94 * told.document["first_of_lists"]["prediction"]["water_m3"]
    shut = house(tmp_path / "house", water=f"{1060.0 * least:.0f} L")
    assert optichill("recommend", shut).status == 3
    done = optichill("explore", shut, "--trials", 400, "--out", tmp_path, "--json", tmp_path / "j.json")
    found = json.loads((tmp_path / "j.json").read_text(encoding="utf-8"))
    assert done.status == 0 and found["opened"] and found["first_of_lists"] is None
    assert "No coil of your lists holds every limit, but" in " ".join(done.out.split())
    assert "form" in done.out and found["best"]["origin"] == "explored"
    again = optichill("recommend", shut, "--study", tmp_path / "small-kettle" / "study.journal")
    assert again.status == 0 and "BUILD THIS" in again.out


def test_where_nothing_helps_nothing_is_shown(optichill: Run, tmp_path: Path) -> None:
    shut = house(tmp_path / "house", budget=1)
    done = optichill("explore", shut, "--trials", 100, "--out", tmp_path, "--json", tmp_path / "j.json")
    found = json.loads((tmp_path / "j.json").read_text(encoding="utf-8"))
    assert done.status == 3 and "THE BEST" not in done.out and "none of them holds every limit" in done.out
    assert found["best"] is None and found["settings"] == [] and found["study"]["hold"] == 0
    study = tmp_path / "small-kettle" / "study.journal"
    assert next_of(done) == [f"optichill recommend {shut} --study {study}"]


def next_of(done: Done) -> list[str]:
    """The commands that go on, as they are typed."""
    return re.findall(r"(optichill .*?)(?:   |\n)", done.out.split("NEXT")[1].split("TAKE CARE")[0])


def test_what_is_typed_next_is_for_this_brewhouse_also_where_it_is_marked_as_an_example(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Marked `demo`, as a copy of the example is; named as it was given, by its folder or by its file."""
    folder = house(tmp_path / "my kettle")
    file = folder / "brewhouse.toml"
    file.write_text("demo = true\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    done = optichill("explore", "my kettle", "--study", "s", "--trials", 30)
    assert done.status == 0
    assert next_of(done)[0] == "optichill recommend 'my kettle' --study s"
    assert all(line.split("--study")[0].endswith(" 'my kettle' ") for line in next_of(done))
    told = optichill(*shlex.split(next_of(done)[0])[1:])
    assert told.status == 0 and "EXPLORED     30 coils beyond your lists (s)" in told.out
    (folder / "brewhouse.toml").rename(folder / "big.toml")
    done = optichill("explore", folder / "big.toml", "--study", "s2", "--trials", 10)
    assert next_of(done)[0] == f"optichill recommend '{folder / 'big.toml'}' --study s2"


def test_no_more_processes_are_begun_than_have_something_to_do(
    told: Told, optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("optichill.search.explore.study_team._begin", lambda _: pytest.fail("one was begun"))
    done = optichill("explore", told.house, "--study", tmp_path / "s", "--trials", 1, "--workers", 64)
    assert done.status == 0 and "1 coil beyond your lists tried" in done.out
    assert "1 process is enough for 1 coil: each tries 100 at once" in done.err


def test_more_processes_than_cores_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.sched_getaffinity", lambda _: {0, 1})
    heard: list[str] = []
    assert study_team._enough(64, None, heard.append) == 64 and len(heard) == 1
    assert "64 processes share 2 cores: more of them than cores gain nothing" in heard[0]
    assert study_team._enough(2, 150, heard.append) == 2 and study_team._enough(4, 150, None) == 2
    assert len(heard) == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (("--minutes", "nan"), "'--minutes': nan: not a time .allowed: more than 0"),
        (("--minutes", "inf"), "'--minutes': inf: not a time"),
        (("--trials", "99999999999999999999"), "'--trials': 99999999999999999999 is not in the range"),
    ],
)
def test_a_number_that_cannot_be_names_its_option(
    told: Told, optichill: Run, tmp_path: Path, wrong: tuple[str, str], said: str
) -> None:
    done = optichill("explore", told.house, "--study", tmp_path / "s", *wrong)
    assert done.status == 2 and re.search(said, " ".join(done.err.split())), done.err
    assert not (tmp_path / "s").exists()


def test_a_line_that_is_no_record_is_named_by_every_command(
    told: Told, optichill: Run, tmp_path: Path
) -> None:
    (tmp_path / "s").write_bytes(told.study.read_bytes() + b'{"op_code":99}\n')
    before = (tmp_path / "s").read_bytes()
    for command in ("explore", "recommend"):
        done = optichill(command, told.house, "--study", tmp_path / "s")
        assert done.status == 4 and done.err.count("\n") == 1 and f"{tmp_path / 's'}:{TRIALS + 5}" in done.err
    assert (tmp_path / "s").read_bytes() == before


def test_a_coil_goes_into_a_file_not_to_standard_output(
    told: Told, optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = optichill("recommend", told.house, "--save-coil", "-")
    assert done.status == 2 and "--save-coil -: a coil goes into a file" in " ".join(done.err.split())
    assert not (tmp_path / "-").exists()


@pytest.mark.slow
def test_where_no_form_may_be_made_it_is_said(optichill: Run, tmp_path: Path) -> None:
    shop = {**small_stock.HOUSE["workshop"], "forms_owned_only": True}
    owned = small_stock.write(tmp_path / "house", {"workshop": shop})
    done = optichill("explore", owned, "--trials", 60, "--out", tmp_path)
    assert "No form is made, for forms_owned_only is set" in " ".join(done.out.split())


def begun(told: Told, study: Path) -> subprocess.Popen[str]:
    """A run of a minute by two processes, some populations on its way."""
    worker = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "optichill.cli.main",
            "explore",
            told.house,
            "--study",
            study,
            "--workers",
            "2",
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    until = time.monotonic() + 60.0
    while not study.exists() or study.stat().st_size < 100_000:
        assert worker.poll() is None and time.monotonic() < until
        time.sleep(0.05)
    return worker


@pytest.mark.slow
@pytest.mark.parametrize(("number", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_interrupted_it_keeps_and_tells_what_was_found(
    told: Told, tmp_path: Path, number: int, status: int
) -> None:
    with begun(told, tmp_path / "s") as worker:
        worker.send_signal(number)
        out, err = worker.communicate(timeout=60.0)
    assert worker.returncode == status and "stopping: what was found is kept" in err
    assert "then stopped" in out and "Stopped before its end: what was found is kept." in out
    tried = int(re.findall(r"In the study: ([0-9,]+) coils", out)[0].replace(",", ""))
    assert tried >= 200 and not (tmp_path / "s.lock").exists()
    assert (tmp_path / "s").read_bytes().endswith(b"\n")


@pytest.mark.slow
def test_killed_its_helpers_end_too_and_the_study_goes_on(told: Told, tmp_path: Path, optichill: Run) -> None:
    with begun(told, tmp_path / "s") as worker:
        children = Path(f"/proc/{worker.pid}/task/{worker.pid}/children")
        helpers = [int(x) for x in children.read_text().split()] if children.exists() else []
        worker.kill()
        worker.communicate()
    (tmp_path / "s.lock").unlink(missing_ok=True)  # waited for in a test of its own
    until = time.monotonic() + 20.0
    while any(os.path.exists(f"/proc/{helper}") for helper in helpers):
        assert time.monotonic() < until, "a helper of a run that is gone works on"
        time.sleep(0.05)
    done = optichill("explore", told.house, "--study", tmp_path / "s", "--trials", 20)
    assert done.status == 0 and "20 coils beyond your lists tried" in done.out


def test_help_and_other_commands_load_no_optuna() -> None:
    code = (
        "import sys, optichill.cli.main as m\n"
        "m.run(['--help']); m.run(['explore', '--help']); m.run(['recommend', '--help'])\n"
        "sys.exit(any(name.startswith(('optuna', 'numpy', 'psycopg')) for name in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0 and "--study" in done.stdout


@pytest.mark.slow
def test_an_explored_coil_is_found_again_by_its_id_with_its_study(
    told: Told, optichill: Run, tmp_path: Path
) -> None:
    """What the page says to type makes the sheet: with the study, and without it no coil has the id."""
    best = told.document["best"]["id"]
    optichill("pareto", told.house, "--study", told.study, "--out", tmp_path)
    page = (tmp_path / "small-kettle" / "tradeoff.html").read_text(encoding="utf-8")
    assert f"--study {told.study} --coil {{id}}" in page
    result = json.loads((tmp_path / "small-kettle" / "result.json").read_text(encoding="utf-8"))
    assert result["explored"]["tried"] == TRIALS
    done = optichill("predict", told.house, "--study", told.study, "--coil", best, "--json", "-")
    prediction = json.loads(done.out)["prediction"]
    assert done.status == 0
    expected = told.document["best"]["prediction"]["chill_time_p50_s"]
    assert prediction["chill_time_p50_s"] == pytest.approx(expected, rel=0.02)
    assert optichill("predict", told.house, "--coil", best).status == 4
    done = optichill("sheet", told.house, "--study", told.study, "--coil", best, "--out", tmp_path)
    assert done.status == 0 and any((tmp_path / "small-kettle").glob(f"*{best}*.pdf"))
    first = optichill("recommend", told.house, "--study", told.study).out
    assert f"--study {told.study} --rank 1" in first
    done = optichill(
        "sheet", told.house, "--study", told.study, "--rank", 1, "--out", tmp_path, "--json", "-"
    )
    assert done.status == 0
    done = optichill("predict", told.house, "--study", told.study, "--coil", tmp_path / "c.toml")
    assert done.status == 2 and "--study goes with the id of a coil" in done.err
