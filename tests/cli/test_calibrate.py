"""The command `calibrate`: from six readings to every other command, and what it never does."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import kits
import numpy as np
import pytest
from conftest import Done

import optichill as oc
from optichill.api import calibration
from optichill.cli.main import run
from optichill.errors import CannotWrite
from optichill.files.reading import packaged
from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.fit import Fit, MeasuredBatch
from optichill.owned.calibrate.meaning import Meaning
from optichill.owned.calibrate.readings import NothingToFit
from optichill.problem.basis import DesignBasis

Run = Callable[..., Done]
SIX = "0:98 5:68 10:48 15:36 20:28 25:23"
OTHER = "0:97 5:70 10:51 15:39 20:31 25:25"


@dataclass(frozen=True)
class Told:
    """One calibration, made once: what was said, and what was written."""

    done: Done
    files: dict[str, bytes]
    fit: Fit
    means: tuple[Meaning, ...]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    folder, fits, means = _house(tmp_path_factory.mktemp("told")), list[Fit](), list[tuple[Meaning, ...]]()
    out, err = io.StringIO(), io.StringIO()

    def kept(*of: Any) -> Fit:
        fits.append(FITTED(*of))
        return fits[-1]

    def meant(*of: Any) -> tuple[Meaning, ...]:
        means.append(MEANING(*of))
        return means[-1]

    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        patch.chdir(folder)
        patch.setenv("COLUMNS", "80")
        patch.setattr(calibration, "fitted", kept)
        patch.setattr(calibration, "meaning", meant)
        status = run(["calibrate", "--coil", "coil.toml", "--points", SIX, "--json", "told.json"])
    return Told(Done(status, out.getvalue(), err.getvalue()), everything(folder), fits[0], means[0])


FITTED, MEANING = calibration.fitted, calibration.meaning


def _house(folder: Path) -> Path:
    kits.write_kit(folder)
    (folder / "coil.toml").write_text(kits.COIL, encoding="utf-8")
    return folder


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A brewhouse with a coil, in the folder where the person is."""
    monkeypatch.chdir(_house(tmp_path))
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.fixture
def calibrated(house: Path, told: Told) -> Path:
    """The same with the calibration beside it, and its page."""
    for name in (KEPT, "told.json", str(PAGE), str(PAGE.with_name("index.json"))):
        (house / name).parent.mkdir(parents=True, exist_ok=True)
        (house / name).write_bytes(told.files[name])
    return house


@pytest.fixture
def no_fit(told: Told, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was fitted before is told of whatever batch is given: for what happens to files."""

    def again(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Fit:
        return replace(told.fit, batches=tuple(replace(told.fit.batches[0], batch=b) for b in batches))

    monkeypatch.setattr(calibration, "fitted", again)
    monkeypatch.setattr(calibration, "meaning", lambda *of: told.means)


def everything(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def calibrate(optichill: Run, *more: str) -> Done:
    return optichill("calibrate", "--coil", "coil.toml", *(more or ("--points", SIX)))


KEPT = "brewhouse.calibration.json"
PAGE = Path("reports/test-kettle/calibration.html")


def test_six_readings_are_enough(told: Told) -> None:
    done = told.done
    assert done.status == 0, done.err
    lines = done.out.splitlines()
    assert lines[0] == "Brewhouse: Test kettle (brewhouse.toml)"
    assert len(lines) <= 34 and max(map(len, lines)) <= 80
    assert "batch 1, coil coil.toml: 6 readings over 25 min, 98 °C to 23 °C" in " ".join(done.out.split())
    for head in ("READ", "FITS", "LEARNT", "NOT LEARNT", "TIME", "KEPT"):
        assert re.search(rf"^{head}  ", done.out, re.MULTILINE), head
    assert f"wrote {KEPT}" in done.err and str(PAGE) in told.files
    document, kept = (json.loads(told.files[name]) for name in ("told.json", KEPT))
    assert document["files"] == [KEPT, str(PAGE)]
    assert document["calibration"]["mean"] == pytest.approx(kept["mean"])
    assert kept["measured"][0]["wort_K"] == pytest.approx([371.15, 341.15, 321.15, 309.15, 301.15, 296.15])
    assert kept["made_by"].startswith("optichill ") and "delete" in kept["what"].lower()
    # The law on the screen is that in the document: one figure, wherever it stands.
    likely = document["coils"][0]["after"]["chill_time_p50_s"] / 60.0
    assert f"most likely {likely:.0f} (before:" in " ".join(done.out.split())


@pytest.mark.slow
def test_every_command_names_it_and_uses_it(house: Path, optichill: Run) -> None:
    commands = (["check"], ["recommend"], ["predict", "--coil", "coil.toml"], ["pareto"])
    commands += (["sheet", "--coil", "coil.toml"],)
    before = {}
    for c in commands:
        done = optichill(*c, "--json", f"{c[0]}.json")
        before[c[0]] = json.loads((house / f"{c[0]}.json").read_text(encoding="utf-8"))
        assert (
            before[c[0]]["calibrated"] is False
            and "CALIBRATED" not in done.out
            and "MEASURED" not in done.out
        )
    assert calibrate(optichill).status == 0
    for c in commands:
        done = optichill(*c, "--json", "after.json")
        assert done.status in (0, 3), done.err
        told = re.search("(?:CALIBRATED|MEASURED) .*", done.out)
        assert told is not None and f"by 1 batch ({KEPT})" in told[0], c
        document = json.loads((house / "after.json").read_text(encoding="utf-8"))
        assert document["calibrated"]["file"] == KEPT and document["calibrated"]["batches"] == 1
        if c[0] == "predict":
            assert "it is the one that was measured (coil.toml)" in " ".join(done.out.split())
            assert document["calibrated"]["coil"] == "coil.toml"
        if c[0] == "predict":  # these readings are of a slower chill
            times = [d["prediction"]["chill_time_p50_s"] for d in (before["predict"], document)]
            assert times[1] / times[0] > 1.03
    folder = house / "reports" / "test-kettle"
    for page in (folder / "tradeoff.html", folder / "sheet-coil.html"):
        assert f"Calibrated by 1 batch ({KEPT})" in page.read_text(encoding="utf-8")
    (house / KEPT).unlink()
    assert json.loads(optichill(*commands[2], "--json", "-").out) == before["predict"]


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (('inside_diameter = "36 cm"', 'inside_diameter = "40 cm"'), "this kettle is of another size"),
        (
            ('volume = "23 L"', 'volume = "23 L"\nmixing = "steady"'),
            "stirred otherwise than when it was measured",
        ),
        (('volume = "23 L"', 'volume = "23 L"\ndirt = "loose pellets"'), "more or less dirt than when"),
        (('open_flow = "10 L in 45 s"', ""), "flow of the hose: known in another way"),
    ],
    ids=["kettle", "stirring", "dirt", "flow"],
)
def test_what_does_not_count_any_more_is_said(
    calibrated: Path, optichill: Run, edit: tuple[str, str], said: str
) -> None:
    house = calibrated
    assert said not in " ".join(optichill("check").out.split())
    file = house / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8").replace(*edit), encoding="utf-8")
    assert said in " ".join(optichill("check").out.split())
    assert json.loads(optichill("check", "--json", "-").out)["calibrated"]["left_out"]


# --- what it never does -------------------------------------------------------------------------------------


def test_a_look_keeps_nothing(house: Path, no_fit: None, optichill: Run) -> None:
    before = everything(house)
    done = calibrate(optichill, "--points", SIX, "--look-only")
    assert done.status == 0 and "LEARNT" in done.out and "nothing: you asked to look only" in done.out
    assert everything(house) == before


def test_the_example_keeps_nothing_and_says_how_to_begin(house: Path, no_fit: None, optichill: Run) -> None:
    done = optichill("calibrate", str(packaged("brewhouse.toml")), "--coil", "coil.toml", "--points", SIX)
    assert done.status == 0 and "LEARNT" in done.out and "optichill init" in done.out
    assert not list(packaged("brewhouse.toml").parent.glob("*.calibration.json"))


@pytest.mark.slow
def test_again_is_the_same(calibrated: Path, optichill: Run) -> None:
    """Same input, same bytes; the index of the report folder counts its runs."""
    once = everything(calibrated)
    assert calibrate(optichill, "--points", SIX, "--json", "told.json").status == 0
    again = everything(calibrated)
    assert {n for n in once | again if once.get(n) != again.get(n)} <= {str(PAGE.with_name("index.json"))}


def test_its_own_is_replaced_and_what_goes_is_said(calibrated: Path, no_fit: None, optichill: Run) -> None:
    once = (calibrated / KEPT).read_bytes()
    done = calibrate(optichill, "--points", "0:98 5:60 10:40 15:30 20:25")
    assert done.status == 0 and (calibrated / KEPT).read_bytes() != once
    assert "counted with what was measured before: batch 1; --anew would put" in " ".join(done.out.split())
    done = calibrate(optichill, "--points", "0:98 5:61 10:40 15:30 20:25", "--anew")
    assert "not counted: batch 1, measured before and put aside; with --with-earlier" in " ".join(
        done.out.split()
    )


def test_what_cannot_be_kept_is_not_said_to_be(
    house: Path, no_fit: None, monkeypatch: pytest.MonkeyPatch, optichill: Run
) -> None:
    def full(path: Path, text: str) -> None:
        raise CannotWrite(f"{path}: no space left")

    monkeypatch.setattr(calibration, "write_whole", full)
    done = calibrate(optichill)
    assert (
        done.status == 5 and "LEARNT" in done.out and "KEPT" not in done.out and not (house / KEPT).exists()
    )


def test_a_folder_that_cannot_be_written_into_is_told_at_once(
    house: Path, monkeypatch: pytest.MonkeyPatch, optichill: Run
) -> None:
    monkeypatch.setattr(calibration.os, "access", lambda *of: False)
    done = calibrate(optichill)
    assert done.status == 5 and f"{KEPT}: its folder cannot be written into" in done.err and not done.out


def logs_of(house: Path, key: str = "measured") -> list[str]:
    return [batch["log"] for batch in json.loads((house / KEPT).read_text(encoding="utf-8"))[key]]


def test_earlier_batches_count_and_are_kept_when_they_do_not(
    calibrated: Path, monkeypatch: pytest.MonkeyPatch, told: Told, optichill: Run
) -> None:
    """With what counted before; anew alone; then also what was put aside. The same readings count once."""
    seen: list[list[MeasuredBatch]] = []

    def noted(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Fit:
        seen.append([*batches])
        return replace(told.fit, batches=tuple(replace(told.fit.batches[0], batch=b) for b in batches))

    monkeypatch.setattr(calibration, "fitted", noted)
    monkeypatch.setattr(calibration, "meaning", lambda *of: told.means)
    one, two = "0:98 5:60 10:40 15:30", "0:98 4:64 8:46 12:36"
    calibrate(optichill, "--points", one, "--volume", "21 L", "--thermometer", "top", "--anew")
    assert (logs_of(calibrated), logs_of(calibrated, "left_aside")) == (["batch 2"], ["batch 1"])
    calibrate(optichill, "--points", two)
    assert (logs_of(calibrated), logs_of(calibrated, "left_aside")) == (["batch 2", "batch 3"], ["batch 1"])
    assert calibrate(optichill, "--points", two, "--with-earlier").status == 0
    assert (logs_of(calibrated), logs_of(calibrated, "left_aside")) == (["batch 2", "batch 1", "batch 3"], [])
    assert calibrate(optichill, "--points", two, "--with-earlier", "--anew").status == 2
    (first,), (again, *_) = seen[0], seen[2]
    assert again.log.name == "batch 2" and again.coil == first.coil and again.coil_name == "coil.toml"
    assert again.log.volume == pytest.approx(21e-3) and again.log.place == "top"
    assert (again.log.time == first.log.time).all() and (abs(again.log.wort - first.log.wort) < 1e-6).all()


def test_a_reading_that_is_corrected_does_not_count_beside_its_slip(
    calibrated: Path, no_fit: None, optichill: Run
) -> None:
    better = SIX.replace("20:28", "20:29")
    done = calibrate(optichill, "--points", better)
    assert (logs_of(calibrated), logs_of(calibrated, "left_aside")) == (["batch 1"], ["batch 1"])
    assert "taken for corrected: batch 1, nearly the same readings" in " ".join(done.out.split())


def test_what_is_given_twice_counts_once_and_may_be_corrected(
    house: Path, no_fit: None, optichill: Run
) -> None:
    """Pasted twice in one line; then with a reading corrected; then with all that was put aside."""
    better = SIX.replace("20:28", "20:29")
    twice = calibrate(optichill, "--points", SIX, "--points", SIX)
    assert twice.status == 0
    assert "holds the same readings: they are one batch, and count once" in " ".join(twice.out.split())
    assert logs_of(house) == ["batch 1"]
    assert calibrate(optichill, "--points", better).status == 0
    assert (logs_of(house), logs_of(house, "left_aside")) == (["batch 1"], ["batch 1"])
    assert calibrate(optichill, "--points", better, "--with-earlier").status == 0
    assert (logs_of(house), logs_of(house, "left_aside")) == (["batch 1"], ["batch 1"])


def test_batches_of_another_cellar_do_not_count_in_this_one(
    calibrated: Path, no_fit: None, optichill: Run
) -> None:
    """A copied file: its batches are kept, put aside, and said to be."""
    law = json.loads((calibrated / KEPT).read_text(encoding="utf-8"))
    (calibrated / KEPT).write_text(json.dumps(law | {"brewhouse": "Tall Cellar"}), encoding="utf-8")
    assert "it was measured in Tall Cellar, this is Test kettle" in " ".join(optichill("check").out.split())
    one = "0:98 5:60 10:40 15:30"
    done = calibrate(optichill, "--points", one)
    assert done.status == 0 and "not counted: batch 1, measured before" in " ".join(done.out.split())
    assert (logs_of(calibrated), logs_of(calibrated, "left_aside")) == (["batch 2"], ["batch 1"])


def test_a_refusal_of_an_earlier_batch_says_how_to_go_on(
    calibrated: Path, no_fit: None, monkeypatch: pytest.MonkeyPatch, optichill: Run
) -> None:
    def none(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Fit:
        raise NothingToFit(f"{batches[0].log.name}: no chill")

    monkeypatch.setattr(calibration, "fitted", none)
    earlier = calibrate(optichill, "--points", "0:98 5:60 10:40 15:30")
    assert earlier.status == 4 and "batch 1: no chill; it was measured before: --anew" in earlier.err
    assert "--anew" not in calibrate(optichill, "--points", "0:98 5:60 10:40 15:30", "--anew").err


@pytest.mark.parametrize(
    "bend",
    [
        lambda one: one | {"wort_K": one["wort_K"][1:]},
        lambda one: one | {"time_s": one["time_s"][::-1]},
        lambda one: one | {"wort_K": [900.0, *one["wort_K"][1:]]},
        lambda one: one | {"coil_file": "[coil]"},
        lambda one: one | {"place": "cellar"},
        lambda one: one | {"clock_s": 0.0},
        lambda one: [],
    ],
)
def test_batches_that_somebody_bent_are_not_lost(
    calibrated: Path, no_fit: None, optichill: Run, bend: Callable[[Any], Any]
) -> None:
    law = json.loads((calibrated / KEPT).read_text(encoding="utf-8"))
    law["measured"] = [bend(law["measured"][0])]
    (calibrated / KEPT).write_text(json.dumps(law), encoding="utf-8")
    before = everything(calibrated)
    for more in ([], ["--with-earlier"]):
        done = calibrate(optichill, "--points", "0:98 5:60 10:40", *more)
        assert done.status == 4 and f"{KEPT}: measured" in done.err and "delete or move it" in done.err
    assert everything(calibrated) == before
    assert optichill("check").status == 0  # the law itself is whole


@pytest.mark.parametrize(
    "text",
    ["", "garbage", "{}", "[1, 2]", '{"schema_version": 1, "made_by": "optichill 9"}', "[" * 100_000, "\0"],
)
def test_what_is_no_calibration_is_left_and_says_what_to_do(house: Path, optichill: Run, text: str) -> None:
    (house / KEPT).write_text(text, encoding="utf-8")
    for command in (["check"], ["calibrate", "--coil", "coil.toml", "--points", SIX, "--force"]):
        done = optichill(*command)
        assert done.status == 4 and KEPT in done.err and "delete or move it" in done.err, done.err
    assert (house / KEPT).read_text(encoding="utf-8") == text


@pytest.mark.parametrize("target", ["log.csv", "coil.toml", "brewhouse.toml", KEPT, str(PAGE)])
def test_json_is_never_written_over_what_is_read_or_written(
    calibrated: Path, no_fit: None, optichill: Run, target: str
) -> None:
    house = calibrated
    (house / "log.csv").write_text("time_min,wort_degC\n0,98\n5,60\n10,38\n", encoding="utf-8")
    before = everything(house)
    done = calibrate(optichill, "--log", "log.csv", "--json", target, "--force")
    assert done.status in (2, 5) and everything(house) == before
    if target == KEPT:
        assert optichill("recommend", "--json", KEPT).status == 5 and everything(house) == before


def test_a_page_that_is_somebody_elses_stays_and_nothing_is_kept(
    house: Path, no_fit: None, optichill: Run
) -> None:
    PAGE.parent.mkdir(parents=True)
    PAGE.write_text("mine", encoding="utf-8")
    before = everything(house)
    done = calibrate(optichill)
    assert done.status == 5 and str(PAGE) in done.err and "LEARNT" in done.out
    assert everything(house) == before
    assert calibrate(optichill, "--points", SIX, "--force").status == 0 and (house / KEPT).is_file()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--points", "0:208 5:140"], "points: reading 1: 0:208: hotter than wort can boil"),
        (["--log", "none.csv"], "none.csv: file: not found"),
        (["--log", "brewhouse.toml"], "brewhouse.toml:1: header: "),
        (["--log", "tubing.csv"], "tubing.csv:1: time: the column is missing"),
        (["--log", "."], ".: file: cannot be read: Is a directory"),
        (["--points", SIX, "--volume", "21"], "--volume: hot wort: 21: add a unit"),
        (["--points", SIX, "--volume", "9000 L"], "--volume: hot wort: 9000 L: more than the kettle holds: "),
        (["--points", SIX, "--coil", "none.toml"], "--coil: logs: 2 of them for 1 log"),
        (["--points", SIX, "--volume", "21 L", "--volume", "22 L"], "--volume: logs: 2 of them for 1 log"),
        (["--points", SIX, "--points", "0:98 5:x"], "points 2: reading 2: 5:x"),
    ],
)
def test_bad_input_names_the_place(house: Path, optichill: Run, more: list[str], said: str) -> None:
    before = everything(house)
    done = calibrate(optichill, *more)
    assert done.status == 4 and said in done.err and everything(house) == before


def test_faults_of_all_logs_and_coils_at_once(house: Path, optichill: Run) -> None:
    done = optichill(
        "calibrate", "--coil", "a.toml", "--coil", "b.toml", "--points", "0:98 5:x", "--log", "none.csv"
    )
    assert done.status == 4
    for said in ("a.toml: file: not found", "b.toml: file: not found", "points: reading 2", "none.csv: file"):
        assert said in done.err


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--points", ""], "--log or --points: empty"),
        (["--points", SIX.replace("20:28", "20:280")], "reading 5.*20:280.*after a colder one: a digit"),
        (["--points", "0:98 300:68 600:48 2400:23"], "as seconds these times are 40 min"),
    ],
)
def test_what_is_wrong_is_named_as_it_was_given(
    house: Path, no_fit: None, optichill: Run, more: list[str], said: str
) -> None:
    done = optichill("calibrate", "--coil", "coil.toml", *more)
    assert done.status == 4 and re.search(said, " ".join(done.err.split())), done.err
    assert "in Python" not in done.err and "degF?" not in done.err


@pytest.mark.parametrize("more", [[], ["--points", ""], ["--log", "  "]])
def test_a_log_must_be_named(house: Path, optichill: Run, more: list[str]) -> None:
    assert optichill("calibrate", "--coil", "coil.toml", *more).status in (2, 4)


@pytest.mark.slow
def test_pairs_and_options_of_each(house: Path, optichill: Run) -> None:
    """A table and a line of readings, each with its coil, volume and thermometer; one option serves both."""
    (house / "log.csv").write_text(
        "clock;wort_degC\n18:00;98,5\n18:05;66\n18:10;46\n18:20;27,5\n", encoding="utf-8"
    )
    (house / "other.toml").write_text(kits.COIL.replace("turns = 10.5", "turns = 8"), encoding="utf-8")
    done = calibrate(
        optichill, "--log", "log.csv", "--coil", "other.toml", "--points", SIX, "--volume", "21 L",
        "--volume", "23 L", "--volume-by", "stick", "--thermometer", "stirred", "--json", "-",
    )  # fmt: skip
    assert done.status == 0, done.err
    told = json.loads(done.out)
    assert [(b["log"], b["coil"], b["thermometer"]) for b in told["batches"]] == [
        ("log.csv", "coil.toml", "stirred"),
        ("batch 2", "other.toml", "stirred"),
    ]
    assert told["batches"][0]["volume_m3"] == pytest.approx(21e-3, rel=0.03)
    assert [c["coil"] for c in told["coils"]] == ["coil.toml", "other.toml"]
    assert "semicolons between cells" in " ".join(told["batches"][0]["remarks"])


@pytest.mark.slow
def test_us_units(house: Path, optichill: Run) -> None:
    """Fahrenheit without a word where the brewhouse is shown in it, and no metric unit on the screen."""
    done = calibrate(optichill, "--points", "0:208 5:154 10:118 15:97 20:82", "--units", "us")
    assert done.status == 0 and "208 °F to 82 °F" in " ".join(done.out.split())
    assert not re.search(r"\d (?:°C|K|L|m/s|mm|cm)\b", done.out)
    page = PAGE.read_text(encoding="utf-8")
    body = page[page.index("<body") :]
    assert "wort beside the turns, °F" in body and not re.search(r"\d °C|\d K\b|\d L\b|\d m/s", body)


# --- from Python --------------------------------------------------------------------------------------------


def test_a_log_of_ones_own_keeps_what_it_says(
    house: Path, told: Told, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[MeasuredBatch] = []

    def noted(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Fit:
        seen.extend(batches)
        return told.fit

    monkeypatch.setattr(calibration, "fitted", noted)
    monkeypatch.setattr(calibration, "meaning", lambda *of: told.means)
    own = CooldownLog(
        "mine", np.array([0.0, 300.0, 600.0]), np.array([371.0, 333.0, 311.0]), place="top", volume=0.02
    )
    problem = oc.read()
    found = oc.calibrate(
        problem, "coil.toml", [own, "0:98 5:60 10:38"], volume=[None, "21 L"], volume_by="stick"
    )
    assert [(b.log.place, b.log.volume, b.log.volume_by) for b in seen] == [
        ("top", 0.02, "stick"),
        ("coil", pytest.approx(0.021), "stick"),
    ]
    assert found.place == house / KEPT or found.place == Path(KEPT)
    assert found.keep().is_file() and oc.read().inputs.calibration is not None


@pytest.mark.parametrize(
    ("of", "said"),
    [
        ({"log": []}, "log: none"),
        ({"log": 3.0}, "not a log"),
        ({"log": SIX, "coil": 5}, "coil"),
        ({"log": SIX, "volume": [1, 2]}, "2 of them for 1 log"),
        ({"log": SIX, "volume": object()}, "not a volume"),
        ({"log": SIX, "volume": float("nan")}, "no batch of wort"),
        ({"log": SIX, "thermometer": "cellar"}, "in Python: thermometer: cellar: not known"),
        ({"log": [SIX, None]}, "not a log"),
        ({"log": ""}, 'in Python: log: empty (allowed: a CSV file with time and wort; or "0:98'),
        ({"log": SIX, "volume": "900 L"}, "in Python: volume: 900 L: more than the kettle holds"),
        ({"log": SIX, "name": " "}, "in Python: name: no name for a batch"),
        ({"log": SIX, "volume_by": "nose"}, "in Python: volume_by: nose: not known (allowed: eye, stick)"),
        ({"log": "no.csv"}, 'no.csv: file: not found (allowed: a CSV file with time and wort; or "0:98'),
        ({"log": "0:98 5:abc"}, 'points: reading 2: 5:abc: the temperature is not a number (allowed: "0:98'),
    ],
)
def test_what_is_given_in_python_is_refused_with_its_place(
    house: Path, of: dict[str, Any], said: str
) -> None:
    with pytest.raises(oc.InputFaults, match=re.escape(said)) as refused:
        oc.calibrate(oc.read(), **({"coil": "coil.toml"} | of))
    assert "--" not in str(refused.value)
    with pytest.raises(oc.InputFaults, match="not a problem"):
        oc.calibrate("brewhouse.toml", "coil.toml", SIX)  # type: ignore[arg-type]


def test_two_that_measure_at_once_lose_no_batch(house: Path, no_fit: None, optichill: Run) -> None:
    """A batch cannot be measured again: who comes second is told, and says the same again."""
    problem = oc.read()
    first, second = (oc.calibrate(problem, "coil.toml", log) for log in (SIX, OTHER))
    first.keep()
    first.keep()  # what stands there is what was to be kept
    kept = everything(house)
    with pytest.raises(CannotWrite, match="was changed while.*same command again"):
        second.keep("reports", force=True)
    assert everything(house) == kept
    again = oc.calibrate(problem, "coil.toml", OTHER)
    again.keep()
    document = json.loads(again.place.read_text(encoding="utf-8"))
    assert len(document["measured"]) == 2
