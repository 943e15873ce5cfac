"""An answer that was given before: the same to the last byte, and never one of another question."""

from __future__ import annotations

import dataclasses
import json
import os
import random
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import kits
import pytest
from conftest import Done
from tiers import count
from where import ROOT

from optichill.api import problem as problem_module
from optichill.cli import kept as kept_module
from optichill.cli.kept import Outcome
from optichill.errors import CannotWrite
from optichill.files.kept import shelf
from optichill.files.places import sources
from optichill.files.texts import read_text
from optichill.properties import water

Run = Callable[..., Done]
ONE = ("--tube", "b-roll", "--form", "pot", "--top", "1")
DEMOS = ("brewhouse.toml", "us", "wide", "stove")


@pytest.fixture
def patch() -> Iterator[pytest.MonkeyPatch]:
    """As `monkeypatch`, under a name at which searches of the test run are not asked afresh."""
    with pytest.MonkeyPatch.context() as patch:
        yield patch


@pytest.fixture
def cache(tmp_path: Path, patch: pytest.MonkeyPatch) -> Path:
    """Answers are kept, in a folder of this test's own, with the table of water that is there already."""
    water.table()
    place = water._cache_file()
    (tmp_path / "cache").mkdir()
    if place is not None and place.is_file():
        shutil.copy(place, tmp_path / "cache")
    patch.delenv("OPTICHILL_NO_CACHE")
    patch.setenv("OPTICHILL_CACHE", str(tmp_path / "cache"))
    patch.setenv("COLUMNS", "80")
    return tmp_path / "cache" / "answers"


@pytest.fixture
def worked_out(patch: pytest.MonkeyPatch) -> list[object]:
    """Grows with each time that inputs are read to work an answer out."""
    calls: list[object] = []
    load = problem_module.load

    def counted(*given: object, **named: object) -> object:
        calls.append(given)
        return load(*given, **named)  # type: ignore[arg-type]

    patch.setattr(problem_module, "load", counted)
    return calls


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    (tmp_path / "kit").mkdir()
    (tmp_path / "kit" / "coil.toml").write_text(kits.COIL)
    return kits.write_kit(tmp_path / "kit")


def everything(run: Run, folder: Path, *line: str | Path) -> tuple[object, ...]:
    """All that a command line says and writes; its files go into a folder that is made anew."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    said = run(*line)
    files = {path.name: path.read_bytes() for path in sorted(folder.iterdir())}
    return said.status, said.out, said.err, files


# --- the same again ---------------------------------------------------------------------------------------

RECOMMENDS = {
    "plain": (),
    "full": ("--full",),
    "top": ("--top", "3"),
    "tube": ("--tube", "b-roll"),
    "form": ("--form", "pot"),
    "us": ("--units", "us"),
    "json": ("--json", "OUT/answer.json"),
    "json to the screen": ("--json", "-"),
    "coil": ("--save-coil", "OUT/coil.toml", "--json", "OUT/answer.json"),
    "also": ("--also", "OTHER", "--save-coil", "OUT/coil.toml"),
    "next kettle": ("--next-kettle", "OTHER", "--json", "-"),
    "the same kettle once more": ("--also", "KIT"),
}
QUICK = ("coil", "json to the screen", "the same kettle once more")
HEAVY = ("also", "next kettle")


def tier(name: str) -> tuple[pytest.MarkDecorator, ...]:
    return () if name in QUICK else (pytest.mark.slow,) if name in HEAVY else (pytest.mark.long,)


def placed(options: tuple[str, ...], **places: Path) -> list[str]:
    """Options with their places filled in."""
    said = list(options)
    for name, place in places.items():
        said = [part.replace(name, str(place)) for part in said]
    return said


def is_told_again(run: Run, cache: Path, worked_out: list[object], out: Path, *line: str | Path) -> Done:
    """Fresh, kept, with --no-cache and after deleting what was kept: one answer."""
    fresh = everything(run, out, *line)
    times = len(worked_out)
    assert times > 0 and len(list(cache.iterdir())) == 1
    kept = everything(run, out, *line)
    assert kept == fresh and len(worked_out) == times
    assert everything(run, out, *line, "--no-cache") == fresh and len(worked_out) == 2 * times
    shutil.rmtree(cache)
    assert everything(run, out, *line) == fresh and len(worked_out) == 3 * times
    status, said, error, _ = fresh
    return Done(int(str(status)), str(said), str(error))


@pytest.mark.parametrize(
    "options",
    [pytest.param(options, id=name, marks=tier(name)) for name, options in RECOMMENDS.items()],
)
def test_recommend_is_told_again(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, tmp_path: Path, options: tuple[str, ...]
) -> None:
    other = kits.write_kit(shutil.copytree(kit, tmp_path / "other"))
    (other / "brewhouse.toml").write_text(kits.BREWHOUSE.replace("Test", "Other").replace("36 cm", "40 cm"))
    line = placed(options, OUT=tmp_path / "out", OTHER=other, KIT=kit)
    done = is_told_again(optichill, cache, worked_out, tmp_path / "out", "recommend", kit, *ONE, *line)
    assert done.status == 0 and "BUILD" in done.out + done.err
    assert ("it counts once" in done.err) == ("KIT" in options)


@pytest.mark.parametrize(
    ("command", "options"),
    [
        ("predict", ("--units", "us", "--json", "-")),
        pytest.param("predict", (), marks=pytest.mark.long),
        pytest.param("improve", ("--units", "us", "--json", "-"), marks=pytest.mark.slow),
    ],
)
def test_a_coil_is_told_again(
    optichill: Run,
    cache: Path,
    worked_out: list[object],
    kit: Path,
    tmp_path: Path,
    command: str,
    options: tuple[str, ...],
) -> None:
    line = (command, kit, "--coil", kit / "coil.toml", *options)
    is_told_again(optichill, cache, worked_out, tmp_path / "out", *line)


@pytest.mark.slow
def test_a_coil_by_its_id_is_told_again(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, tmp_path: Path
) -> None:
    coil = json.loads(optichill("recommend", kit, "--json", "-", "--no-cache").out)["designs"][0]["id"]
    worked_out.clear()
    done = is_told_again(optichill, cache, worked_out, tmp_path / "out", "predict", kit, "--coil", coil[:4])
    assert done.status == 0


def test_that_nothing_fits_is_told_again(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, tmp_path: Path
) -> None:
    with (kit / "brewhouse.toml").open("a") as file:
        file.write("\n[limits]\nbudget = 5\n")
    coil = tmp_path / "out" / "coil.toml"
    line = ("recommend", kit, "--save-coil", coil)
    done = is_told_again(optichill, cache, worked_out, tmp_path / "out", *line)
    assert done.status == 3 and "NO COIL FITS" in done.out and coil.exists()


DEMO_OPTIONS = {
    "plain": (),
    "full": ("--full",),
    "top": ("--top", "7"),
    "one form": ("--form", "keg-soda"),
    "us": ("--units", "us"),
    "metric": ("--units", "metric"),
    "json": ("--json", "OUT/answer.json"),
    "json to the screen": ("--full", "--json", "-"),
    "coil": ("--save-coil", "OUT/coil.toml"),
    "all": ("--full", "--units", "us", "--json", "OUT/answer.json", "--save-coil", "OUT/coil.toml"),
}


@pytest.mark.parametrize(
    ("demo", "options"),
    [
        pytest.param(demo, options, id=f"{demo}-{name}", marks=pytest.mark.slow if few else pytest.mark.long)
        for demo in DEMOS
        for name, options in DEMO_OPTIONS.items()
        for few in [name == "all" and demo == "stove"]
    ],
)
def test_demos_are_told_again(
    optichill: Run, cache: Path, worked_out: list[object], tmp_path: Path, demo: str, options: tuple[str, ...]
) -> None:
    line, kettle = placed(options, OUT=tmp_path / "out"), ROOT / "catalogs" / demo
    is_told_again(optichill, cache, worked_out, tmp_path / "out", "recommend", kettle, *line)


def test_what_is_faulty_is_not_kept(optichill: Run, cache: Path, kit: Path) -> None:
    (kit / "forms.csv").write_text("nothing\n")
    first, again = optichill("recommend", kit), optichill("recommend", kit)
    assert first == again and first.status == 4 and not cache.exists()


# --- never another question's -----------------------------------------------------------------------------


def test_a_byte_of_any_input(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, tmp_path: Path
) -> None:
    """Whatever byte of whatever input is another, the answer is that of a run without any cache; and told
    once more it is kept, or was none."""
    chance = random.Random(7)
    line = ("recommend", kit, *ONE, "--json", "-")
    is_told_again(optichill, cache, worked_out, tmp_path / "out", *line)
    inputs = [file for file in sorted(kit.iterdir()) if file.name != "coil.toml"]
    other = 0
    for _ in range(count(5, 400)):
        file = chance.choice(inputs)
        whole = file.read_bytes()
        at = chance.randrange(len(whole))
        # a digit becomes another one more often than not: other files are mostly refused
        digits = [n for n, byte in enumerate(whole) if chr(byte).isdigit()]
        if chance.random() < 0.7 and digits:
            at = chance.choice(digits)
        new = chance.choice(b"0123456789".replace(whole[at : at + 1], b""))
        file.write_bytes(whole[:at] + bytes([new]) + whole[at + 1 :])
        before = len(worked_out)
        told = optichill(*line)
        assert len(worked_out) > before, "told without reading what was changed"
        assert told == optichill(*line, "--no-cache")
        read = len(worked_out)
        assert optichill(*line) == told and len(worked_out) == read + (told.status == 4)
        other += told.status != 4
        file.write_bytes(whole)
    assert other > 1


def test_the_document_and_the_width_are_questions_of_their_own(
    optichill: Run, cache: Path, kit: Path, patch: pytest.MonkeyPatch
) -> None:
    plain = optichill("recommend", kit, *ONE)
    both = optichill("recommend", kit, *ONE, "--json", "-")
    assert both == optichill("recommend", kit, *ONE, "--json", "-", "--no-cache")
    assert both.err == plain.out and json.loads(both.out)["designs"]
    patch.setenv("COLUMNS", "60")
    narrow = optichill("recommend", kit, *ONE)
    assert narrow == optichill("recommend", kit, *ONE, "--no-cache") and narrow.out != plain.out


@pytest.mark.slow
def test_a_calibration_that_comes_and_goes(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path
) -> None:
    line = ("predict", kit, "--coil", kit / "coil.toml")
    plain = optichill(*line)
    points = ("--coil", kit / "coil.toml", "--points", "0:98 5:60 10:38 15:28 20:23 25:20")
    assert optichill("calibrate", kit, *points, "--out", kit / "reports").status == 0
    calibrated = optichill(*line)
    assert "CALIBRATED" in calibrated.out and calibrated != plain
    (kit / "brewhouse.calibration.json").unlink()
    before = len(worked_out)
    assert optichill(*line) == plain and len(worked_out) == before  # the question of before once more


@pytest.mark.slow
def test_a_coil_and_another_kettle_that_change(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, tmp_path: Path
) -> None:
    other = shutil.copytree(kit, tmp_path / "other")
    (other / "brewhouse.toml").write_text(kits.BREWHOUSE.replace("Test", "Other"))
    for line, file, old, new in (
        (("predict", kit, "--coil", kit / "coil.toml"), kit / "coil.toml", "coil", "c0il"),
        (("recommend", kit, *ONE, "--also", other), other / "brewhouse.toml", "23 L", "22 L"),
        (("recommend", kit, *ONE, "--next-kettle", other), other / "brewhouse.toml", "12 deg", "11 deg"),
    ):
        first = optichill(*line)
        text = file.read_text()
        assert old in text
        file.write_text(text.replace(old, new))
        changed = optichill(*line)
        assert changed == optichill(*line, "--no-cache") and changed != first
        file.write_text(text)
        assert optichill(*line) == first


@pytest.mark.slow
def test_each_option_and_width_is_a_question_of_its_own(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, patch: pytest.MonkeyPatch
) -> None:
    said = set()
    for options in ((), ("--full",), ("--units", "us"), ("--top", "1"), ("--form", "tin"), ("--seed", "5")):
        before = len(worked_out)
        said.add(optichill("recommend", kit, *options).out)
        assert len(worked_out) == before + 1
    assert len(said) == 5  # the seed changes nothing
    for width in ("60", "100"):
        before = len(worked_out)
        patch.setenv("COLUMNS", width)
        said.add(optichill("recommend", kit).out)
        assert len(worked_out) == before + 1
    assert len(said) == 7
    for name, value in (("NO_COLOR", "1"), ("TERM", "dumb"), ("FORCE_COLOR", "1"), ("LANG", "C")):
        before = len(worked_out)
        patch.setenv(name, value)
        kept, fresh = optichill("recommend", kit), optichill("recommend", kit, "--no-cache")
        assert kept == fresh and len(worked_out) == before + 1  # no answer looks at these


def test_what_changed_meanwhile_is_not_kept(
    optichill: Run, cache: Path, kit: Path, patch: pytest.MonkeyPatch
) -> None:
    load = problem_module.load

    def edited_meanwhile(*given: object, **named: object) -> object:
        found = load(*given, **named)  # type: ignore[arg-type]
        (kit / "brewhouse.toml").write_text(kits.BREWHOUSE.replace("23 L", "20 L"))
        return found

    with pytest.MonkeyPatch.context() as meanwhile:
        meanwhile.setattr(problem_module, "load", edited_meanwhile)
        assert optichill("recommend", kit, *ONE).status == 0
    assert not cache.exists()


def test_an_answer_that_rests_on_more_than_was_asked_about_is_not_kept(
    optichill: Run, cache: Path, kit: Path, patch: pytest.MonkeyPatch
) -> None:
    load = problem_module.load

    def reads_more(*given: object, **named: object) -> object:
        read_text(kit / "more.toml", "more.toml", [])
        return load(*given, **named)  # type: ignore[arg-type]

    patch.setattr(problem_module, "load", reads_more)
    assert optichill("recommend", kit, *ONE).status == 0
    assert not cache.exists()


def test_no_answer_looks_at_a_clock() -> None:
    """Else the day would belong into the key. Half-written files and studies may: they are not kept."""
    clock = re.compile(
        r"\b(date|datetime|time)\.(today|now|utcnow|time|time_ns|perf_counter|monotonic|localtime|gmtime|strftime)\("
    )
    texts = {path: path.read_text(encoding="utf-8") for path in (ROOT / "optichill").rglob("*.py")}
    assert len(texts) > 100
    assert {path.name for path, text in texts.items() if clock.search(text)} == {
        "temporary.py",
        "study_run.py",
        "study_team.py",
    }


# --- what is written --------------------------------------------------------------------------------------


def test_a_kept_answer_is_written_where_this_command_line_says(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, tmp_path: Path
) -> None:
    """After the same looks at what stands there."""
    line = ("recommend", kit, *ONE, "--save-coil", tmp_path / "coil.toml", "--json")
    assert optichill(*line, tmp_path / "one.json").status == 0
    coil = (tmp_path / "coil.toml").read_bytes()
    times = len(worked_out)
    refused = optichill(*line, tmp_path / "two.json")
    assert refused.status == 5 and "coil.toml: exists" in refused.err
    (tmp_path / "coil.toml").unlink()
    (tmp_path / "mine.json").write_text('{"mine": 1}')
    refused = optichill(*line, tmp_path / "mine.json")
    assert refused.status == 5 and (tmp_path / "mine.json").read_text() == '{"mine": 1}'
    refused = optichill(*line, kit / "tubing.csv")
    assert refused.status == 5 and (kit / "tubing.csv").read_text() == kits.TUBING
    assert not (tmp_path / "coil.toml").exists()
    done = optichill(*line, tmp_path / "two.json")
    assert done.status == 0 and done.err.count("\n") == 2 and len(worked_out) == times
    assert (tmp_path / "coil.toml").read_bytes() == coil
    assert (tmp_path / "two.json").read_bytes() == (tmp_path / "one.json").read_bytes()


def test_a_kept_answer_that_cannot_be_written(
    optichill: Run,
    cache: Path,
    worked_out: list[object],
    kit: Path,
    tmp_path: Path,
    patch: pytest.MonkeyPatch,
) -> None:
    """It is said first, and the status is that of a fresh one."""

    def full(*_: object) -> None:
        raise CannotWrite("no space left")

    line = ("recommend", kit, *ONE, "--json", tmp_path / "answer.json")
    first = optichill(*line)
    patch.setattr("optichill.files.writing.write_whole", full)
    kept, fresh = optichill(*line), optichill(*line, "--no-cache")
    assert kept == fresh and kept.status == 5 and kept.out == first.out and len(worked_out) == 2


# --- whatever is wrong with what is kept ------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        "nothing",
        200_000 * "[",
        '{"status": 0, "lines": ["a"]}',
        '{"status": "0", "lines": [], "document": null, "coil": null, "ahead": null, "after": null}',
        '{"status": true, "lines": [], "document": null, "coil": null, "ahead": null, "after": null}',
        '{"status": 0, "lines": [1], "document": null, "coil": null, "ahead": null, "after": null}',
        '{"status": 0, "lines": null, "document": null, "coil": null, "ahead": null, "after": null}',
        '{"status": 0, "lines": [], "document": 5, "coil": null, "ahead": null, "after": null}',
        '{"status": 0, "lines": [], "document": null, "coil": null, "ahead": null, "after": null, "more": 1}',
    ],
)
def test_what_is_no_outcome_is_none(text: str) -> None:
    """Also with a right checksum."""
    assert kept_module._read(text) is None


def test_what_is_no_outcome_is_replaced(optichill: Run, cache: Path, kit: Path) -> None:
    first = optichill("recommend", kit, *ONE)
    (file,) = cache.iterdir()
    shelf.put(file.stem, "{}")
    assert optichill("recommend", kit, *ONE) == first
    assert kept_module._read(shelf.take(file.stem)) is not None


def test_an_outcome_reads_back() -> None:
    whole = Outcome(3, ["½", "\udcff"], "{}", None, ["a"], [])
    assert kept_module._read(json.dumps(dataclasses.asdict(whole))) == whole


@pytest.mark.parametrize("where", ["cache", "cache/answers"])
def test_a_file_where_the_folder_should_be_changes_no_answer(
    optichill: Run, cache: Path, kit: Path, tmp_path: Path, where: str
) -> None:
    fresh = optichill("recommend", kit, *ONE, "--no-cache")
    shutil.rmtree(tmp_path / "cache")
    (tmp_path / where).parent.mkdir(exist_ok=True)
    (tmp_path / where).write_text("in the way")
    assert optichill("recommend", kit, *ONE) == optichill("recommend", kit, *ONE) == fresh
    assert (tmp_path / where).read_text() == "in the way"


def test_the_environment_turns_it_off(
    optichill: Run, cache: Path, worked_out: list[object], kit: Path, patch: pytest.MonkeyPatch
) -> None:
    patch.setenv("OPTICHILL_NO_CACHE", "1")
    optichill("recommend", kit, *ONE)
    optichill("recommend", kit, *ONE)
    assert not cache.exists() and len(worked_out) == 2


def test_tests_run_without_it() -> None:
    assert os.environ.get("OPTICHILL_NO_CACHE")


# --- as processes -----------------------------------------------------------------------------------------

COMMAND = (sys.executable, "-m", "optichill.cli.main")


def process(*line: str | Path, cwd: Path = ROOT, **environment: str) -> tuple[int, bytes, bytes]:
    """A process of its own, of the program that stands in cwd."""
    told = {**os.environ, **environment}
    done = subprocess.run([*COMMAND, *map(str, line)], env=told, cwd=cwd, capture_output=True)
    return done.returncode, done.stdout, done.stderr


def test_nothing_heavy_is_loaded_to_tell_it_again(optichill: Run, cache: Path, kit: Path) -> None:
    line = ["recommend", str(kit), *ONE]
    first = optichill(*line)
    code = (
        "import sys; from optichill.cli.main import run\n"
        f"status = run({line!r})\n"
        "heavy = {'numpy', 'scipy', 'pydantic', 'pint', 'rich', 'pandas', 'CoolProp', 'moocore'}\n"
        "print(status, sorted(heavy & set(sys.modules)), 'optichill.api.problem' in sys.modules)"
    )
    # -P: what lies in the working folder is beside the program, and makes another one of it.
    done = subprocess.run([sys.executable, "-P", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == f"{first.out}0 [] False\n"


OPENED = """
import sys
opened = []
sys.addaudithook(lambda event, what: opened.append(what) if event == "open" else None)
from optichill.cli.main import run
run(sys.argv[1:])
paths = {path for path, mode, flags in opened if isinstance(path, str)}
print(*sorted(paths), sep="\\n", file=sys.stderr)
"""


@pytest.mark.slow
def test_nothing_else_is_opened_for_an_answer(cache: Path, kit: Path, tmp_path: Path) -> None:
    """Python itself tells which files are: inputs, all of them in the key; else the program, its libraries,
    and its own cache."""
    other = shutil.copytree(kit, tmp_path / "other")
    (other / "brewhouse.toml").write_text(kits.BREWHOUSE.replace("Test", "Other"))
    coil = kit / "coil.toml"
    for line, files in (
        (("improve", kit, "--coil", coil), {*sources(kit), coil}),
        (("recommend", kit, *ONE, "--also", other), {*sources(kit), *sources(other)}),
    ):
        code = [sys.executable, "-c", OPENED, *map(str, line)]
        done = subprocess.run(code, capture_output=True, text=True, check=True)
        opened = [Path(path) for path in done.stderr.splitlines() if os.path.isabs(path)]
        ours = {path for path in opened if path.is_relative_to(tmp_path)}
        assert {path for path in ours if not path.is_relative_to(cache.parent)} == files
        libraries = [Path(place) for place in (sys.prefix, sys.base_prefix, *sys.path) if place]
        known = [tmp_path, ROOT / "optichill", ROOT / "catalogs", *libraries, Path("/proc"), Path("/sys")]
        assert not [path for path in opened if not any(path.is_relative_to(place) for place in known)]


@pytest.mark.slow
def test_eight_at_once(cache: Path, kit: Path) -> None:
    """All answer alike, and one whole answer is left."""
    line = [*COMMAND, "recommend", str(kit), *ONE]
    runs = [subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(8)]
    said = {(*run.communicate(), run.returncode) for run in runs}
    assert len(said) == 1 and said.pop()[1:] == (b"", 0)
    (file,) = cache.iterdir()
    assert shelf.take(file.stem) is not None


@pytest.mark.slow
def test_another_physics_answers_afresh(cache: Path, kit: Path, tmp_path: Path) -> None:
    """A copy of the program, of which one figure in one file is changed, and set back."""
    shutil.copytree(ROOT / "optichill", tmp_path / "copy" / "optichill")
    file = tmp_path / "copy" / "optichill" / "correlations" / "outside_film.py"

    def asked() -> tuple[int, bytes, bytes]:
        return process("predict", kit, "--coil", kit / "coil.toml", cwd=tmp_path / "copy")

    first = asked()
    assert first[0] == 0 and asked() == first and len(list(cache.iterdir())) == 1
    text = file.read_text()
    assert "0.387" in text  # Churchill and Chu 1975, horizontal cylinder
    file.write_text(text.replace("0.387", "0.287"))
    changed = asked()
    assert changed[0] in (0, 3) and changed[1] != first[1]
    file.write_text(text)
    assert asked() == first


@pytest.mark.slow
def test_it_is_told_at_once(cache: Path) -> None:
    """In a fifth of the time at most, measured side by side."""

    def seconds() -> float:
        began = time.perf_counter()
        assert process("recommend", ROOT / "catalogs")[0] == 0
        return time.perf_counter() - began

    fresh, kept = seconds(), [seconds() for _ in range(3)]
    assert min(kept) < 0.2 * fresh, (kept, fresh)
