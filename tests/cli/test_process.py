"""What a run says and leaves behind when something is wrong with the world round it: nothing tears."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import kits
import pytest
import small_stock
from conftest import Done
from where import ROOT

from optichill.cli import group
from optichill.errors import printable
from optichill.files.ownership import read_for
from optichill.report.tradeoff import write as tradeoff

Run = Callable[..., Done]
LINK = "\x1b]8;;http://example.invalid\x07"
ONE = ("--tube", "b-roll", "--form", "pot", "--top", "1")


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    (tmp_path / "kit").mkdir()
    return kits.write_kit(tmp_path / "kit")


# --- faults of our own ------------------------------------------------------------------------------------


def fails_with(error: type[Exception], monkeypatch: pytest.MonkeyPatch, reports: Path) -> None:
    def fails(*_: object) -> None:
        raise error("of a test")

    monkeypatch.setattr("tempfile.tempdir", str(reports))
    monkeypatch.setattr(group.group, "invoke", fails)


def test_a_fault_of_ours_is_one_line_and_a_file(
    optichill: Run, kit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = {path: path.read_bytes() for path in kit.iterdir()}
    fails_with(ZeroDivisionError, monkeypatch, tmp_path)
    done, again = optichill("check", kit), optichill("check", kit)
    assert done.status == 70 and done.out == "" and done.err.count("\n") == 1
    assert "Traceback" not in done.err
    first, second = sorted(tmp_path.glob("optichill-fault-*.txt"))
    assert str(first) in done.err + again.err
    number = first.name.split("-")[2]
    assert f"number {number}" in done.err and number in again.err and number in second.name
    told = first.read_text()
    assert "ZeroDivisionError: of a test" in told and str(kit) in told
    assert {path: path.read_bytes() for path in kit.iterdir()} == before


def test_a_fault_of_ours_where_no_report_can_be_written(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fails_with(RecursionError, monkeypatch, tmp_path / "nowhere")
    done = optichill("check")
    assert done.status == 70 and done.err.count("\n") == 1 and "No report could be written" in done.err


def test_a_hold_in_which_the_wort_freezes_is_told_with_its_line(optichill: Run, kit: Path) -> None:
    plan = kit / "brewhouse.toml"
    tap, hold = '[[cooling]]\nsource = "tap"\n', '[[cooling]]\nhold = "24 h"\n'
    stages = f'{tap}until = "40 degC"\n{hold}{tap}'
    text = plan.read_text().replace("[wort]", '[wort]\nambient_temperature = "-10 degC"')
    plan.write_text(f"{text}\n{stages}")
    line = plan.read_text().split("\n").index('hold = "24 h"') + 1
    (kit / "coil.toml").write_text(kits.COIL)
    done = optichill("predict", kit, "--coil", kit / "coil.toml")
    assert done.status == 4 and done.out == ""
    assert f"brewhouse.toml:{line}: cooling[2].hold: the wort freezes" in done.err


def test_a_hold_that_freezes_is_told_with_its_file_where_nothing_fits(optichill: Run, tmp_path: Path) -> None:
    """What the search need not chill is chilled only for the ways out, and was told without file and line."""
    plan = [{"source": "tap", "until": "40 degC"}, {"hold": "24 h"}, {"source": "tap"}]
    cold = {"wort": {"ambient_temperature": "-30 degC"}, "limits": {"budget": 1}, "cooling": plan}
    house = small_stock.write(tmp_path, cold)
    for command in (["recommend"], ["pareto", "--out", tmp_path / "out"]):
        done = optichill(command[0], house, *command[1:])
        assert done.status == 4 and done.out == ""
        assert re.match(r"\S+brewhouse\.toml:\d+: cooling\[2\]\.hold: the wort freezes", done.err)


def test_a_switch_to_be_sought_where_nothing_can_be_wound(optichill: Run, kit: Path) -> None:
    with (kit / "brewhouse.toml").open("a") as file:
        file.write('\n[[cooling]]\nsource = "tap"\nuntil = "best"\n[[cooling]]\nsource = "ice bath"\n')
        file.write('pump = "small"\nwater = "10 L"\nice = "5 kg"\nbucket = "25 L"\n')
    (kit / "tubing.csv").write_text(kits.TUBING.replace("annealed", "hard"))
    done = optichill("recommend", kit)
    assert done.status == 3 and "NO COIL FITS" in done.out and "Hard tube is left out" in done.out


@pytest.mark.parametrize("mixing", ['["still"]', "{ a = 1 }", "true", "[]", f"0x{4000 * 'f'}"])
def test_values_of_the_wrong_kind(optichill: Run, kit: Path, mixing: str) -> None:
    plan = kit / "brewhouse.toml"
    plan.write_text(plan.read_text().replace("[wort]", f"[wort]\nmixing = {mixing}"))
    done = optichill("check", kit)
    named = "wort.mixing" if len(mixing) < 2000 else "a line of 4011 characters"
    assert done.status == 4 and named in done.err and max(map(len, done.err.splitlines())) < 400


def test_names_that_are_not_of_unicode(optichill: Run, kit: Path, tmp_path: Path) -> None:
    name = os.fsdecode(b"caf\xe9.toml")
    (kit / name).write_text(kits.BREWHOUSE)
    coil, answer = (tmp_path / os.fsdecode(b"\xff" + end) for end in (b".toml", b".json"))
    done = optichill("recommend", kit / name, *ONE, "--save-coil", coil, "--json", answer)
    assert done.status == 0 and "caf\\udce9.toml" in done.out and coil.exists()
    written = tmp_path / "check.json"
    assert optichill("check", kit / name, "--json", written).status == 0
    assert json.loads(written.read_text())["file"] == str(kit / name)


def test_an_overlong_name_of_an_input(optichill: Run) -> None:
    assert optichill("check", "a" * 5000).status == 4
    assert optichill("check", "--out", "a" * 5000).status == 4


# --- a terminal -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "c", ["\x1b", "\x07", "\x9b", "\r", "\n", "\t", "\x00", "\u202e", "\u2028", "\udcff"]
)
def test_what_steers_a_terminal_is_shown_escaped(c: str) -> None:
    said = printable(f"a{c}b")
    assert c not in said and said.isprintable() and json.loads(f'"{said}"') == f"a{c}b"


@pytest.mark.parametrize(
    "text", ["24 °C, 1/2 in, ½", "spool [shop A]", "keg[/x]", "木桶", "👩‍🍳", "a\u202fb", "C:\\tubing"]
)
def test_what_does_not_stays(text: str) -> None:
    assert printable(text) == text


def test_ids_are_shown_as_they_are_written(optichill: Run, kit: Path) -> None:
    """Markup and names of emoji are letters like others."""
    for name, old, new in (("tubing", "b-roll", "a [red]b"), ("forms", "pot,pot", "[/x]:pot:,pot")):
        text = kits.FILES[f"{name}.csv"].replace(f"\n{old}", f"\n{new}")
        (kit / f"{name}.csv").write_text(text, newline="")
    done = optichill("recommend", kit, "--tube", "a [red]b", "--full")
    assert done.status == 0 and "a [red]b" in done.out and "[/x]:pot:" in done.out


@pytest.mark.parametrize(
    "arguments",
    [
        (LINK,),
        (f"check{LINK}",),
        ("check", f"--{LINK}"),
        ("check", f"{LINK}.toml"),
        ("check", "--units", LINK),
        ("recommend", "--tube", LINK),
        ("recommend", "--save-coil", f"/{LINK}/{LINK}/a"),
        ("check", "--json", f"/{LINK}/{LINK}/a"),
    ],
)
def test_arguments_are_said_without_their_escapes(optichill: Run, arguments: tuple[str, ...]) -> None:
    done = optichill(*arguments)
    assert done.status in (2, 4, 5) and done.err
    assert "\x1b" not in done.out + done.err and "\x07" not in done.out + done.err


def test_keys_headers_and_cells_are_said_without_their_escapes(optichill: Run, kit: Path) -> None:
    evil = LINK.encode("unicode_escape").decode().replace("\\x", "\\u00")
    (kit / "brewhouse.toml").write_text(f'"{evil}" = 1\nname = "{evil}\\nNO FAULTS"\n')
    (kit / "tubing.csv").write_text(f"{LINK},b\n1,2\n")
    (kit / "forms.csv").write_text(kits.FORMS.replace("25 cm", f"25 {LINK}"))
    done = optichill("check", kit)
    assert done.status == 4 and "\\u001b]8" in done.err
    assert "\x1b" not in done.out + done.err and "\nNO FAULTS" not in done.err


@pytest.mark.parametrize("c", ["\x9b", "\x85", "\u202e", "\u2066", "\u2028", "\U000e0001", "\udcff"])
def test_json_is_printed_and_written_without_them_and_reads_back_the_same(
    optichill: Run, tmp_path: Path, c: str
) -> None:
    name = f"no{c}where.toml"
    printed = optichill("check", name, "--json", "-").out
    assert optichill("check", name, "--json", tmp_path / "a.json").status == 4
    assert (tmp_path / "a.json").read_bytes() == printed.encode()
    assert json.loads(printed)["file"] == name
    assert all(line.isprintable() for line in printed.split("\n"))


def test_json_keeps_letters_of_every_script(optichill: Run) -> None:
    assert '"木桶 ½ 👩‍🍳.toml"' in optichill("check", "木桶 ½ 👩‍🍳.toml", "--json", "-").out


def test_init_says_names_without_their_escapes(optichill: Run, tmp_path: Path) -> None:
    done = optichill("init", tmp_path / f"kit{LINK}", "--yes")
    assert done.status == 0 and "\\u001b]8" in done.out
    assert "\x1b" not in done.out and "\x07" not in done.out


# --- what pareto gives away -------------------------------------------------------------------------------


def test_only_what_was_read_goes_into_the_report(tmp_path: Path) -> None:
    """A private list in another encoding beside it, and a huge one, are neither read nor published."""
    house = small_stock.write(tmp_path)
    (tmp_path / "customers.csv").write_bytes("name,telephone\nMüller,1\n".encode("latin-1"))
    (tmp_path / "measurements.csv").write_bytes(b"1,2\n" * 100_000)
    from optichill.files.reading import load

    inputs = load(house)
    assert set(tradeoff.echo(inputs)) == {path.name for path in read_for(inputs.brewhouse)}
    assert "customers.csv" not in tradeoff.echo(inputs)
    assert set(tradeoff.echo(inputs)) >= {"brewhouse.toml", "tubing.csv", "forms.csv"}


def test_lists_in_another_folder_are_those_that_were_read(kit: Path, tmp_path: Path) -> None:
    from optichill.files.reading import load

    plan = tmp_path / "plan.toml"
    plan.write_text(kits.BREWHOUSE + '\n[stock]\nfolder = "kit"\n')
    echoed = tradeoff.echo(load(plan))
    assert echoed["tubing.csv"] == kits.TUBING and echoed["plan.toml"] == plan.read_text()
    assert "brewhouse.toml" not in echoed


# --- files that are there ---------------------------------------------------------------------------------


def test_save_coil_never_destroys_the_brewhouse(optichill: Run, kit: Path) -> None:
    done = optichill("recommend", kit, *ONE, "--save-coil", kit / "brewhouse.toml", "--force")
    assert done.status == 5 and "never written over" in done.err and done.out == ""
    assert (kit / "brewhouse.toml").read_text() == kits.BREWHOUSE


def test_every_document_says_who_made_it(optichill: Run, kit: Path, tmp_path: Path) -> None:
    """So that the next run knows it for its own; a recipe of another program is left alone."""
    (kit / "coil.toml").write_text(kits.COIL)
    answer = tmp_path / "answer.json"
    for command in (
        ("check", kit),
        ("check", tmp_path / "nowhere"),
        ("predict", kit, "--coil", kit / "coil.toml"),
        ("recommend", kit, *ONE),
    ):
        assert optichill(*command, "--json", answer).status in (0, 4), command
        made = json.loads(answer.read_text())
        assert made["schema_version"] == 1 and made["made_by"].startswith("optichill "), command
    answer.write_text('{"name": "Pale ale"}')
    done = optichill("check", kit, "--json", answer)
    assert done.status == 5 and answer.read_text() == '{"name": "Pale ale"}'
    assert optichill("check", kit, "--json", answer, "--force").status == 0
    assert "made_by" in answer.read_text()


@pytest.mark.slow
def test_a_sheet_of_another_brewhouse_is_not_replaced(optichill: Run, kit: Path, tmp_path: Path) -> None:
    (tmp_path / "twin").mkdir()
    twin = kits.write_kit(tmp_path / "twin")
    coil = kit / os.fsdecode(b"\xff.toml")
    coil.write_text(kits.COIL)
    made = ("--coil", coil, "--out", tmp_path / "r")
    assert optichill("sheet", kit, *made, "--json", tmp_path / "sheet.json").status == 0
    assert json.loads((tmp_path / "sheet.json").read_text())["made_by"].startswith("optichill ")
    done = optichill("sheet", twin, *made)
    assert done.status == 5 and "another brewhouse" in done.err
    assert optichill("sheet", twin, *made, "--force").status == 0


# --- streams and signals ----------------------------------------------------------------------------------


class Closed:
    """A standard output whose reader has gone, or whose disk is full."""

    encoding, errors = "utf-8", "strict"

    def __init__(self, error: OSError) -> None:
        self.error = error

    def write(self, text: str) -> int:
        raise self.error

    def flush(self) -> None:
        raise self.error


@pytest.mark.parametrize(("error", "status"), [(BrokenPipeError(), 0), (OSError(28, "No space left"), 5)])
def test_where_nobody_listens_the_files_are_still_written(
    kit: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: OSError, status: int
) -> None:
    from optichill.cli.main import run

    monkeypatch.setattr(sys, "stdout", Closed(error))
    monkeypatch.setattr(click.utils, "_default_text_stdout", lambda: sys.stdout)
    coil, answer = tmp_path / "coil.toml", tmp_path / "answer.json"
    given = ["recommend", str(kit), *ONE, "--save-coil", str(coil), "--json", str(answer)]
    assert run(given) == status
    assert "mean_diameter" in coil.read_text() and json.loads(answer.read_text())["designs"]


COMMAND = [sys.executable, "-m", "optichill.cli.main"]
PIPES: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}


def test_before_an_interruption_is_quiet_next_to_nothing_is_loaded() -> None:
    """Until `main` has run, Ctrl-C is a traceback: what comes before is kept to what takes no time."""
    code = f"import sys; sys.path.insert(0, {str(ROOT)!r}); import optichill.cli.main; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    assert "optichill.cli.main" in loaded
    assert loaded.isdisjoint({"typing", "re", "importlib", "click", "optichill.errors"})


def interrupted(heard: str, wait: float, *arguments: str) -> subprocess.CompletedProcess[str]:
    """A run that is interrupted so many seconds after it has said what that does. heard : what the signals do
    where it starts, which a run has from its parent: a shell's background job ignores an interruption, and
    so would all that the tests start from there."""
    code = f"""
import os, signal, threading, time
signal.signal(signal.SIGHUP, signal.SIG_DFL)
signal.signal(signal.SIGINT, signal.{heard})
from optichill.cli import main
real = signal.signal
def then_interrupt(*a):
    real(*a)
    if a[0] == signal.SIGHUP:
        threading.Thread(target=lambda: (time.sleep({wait}), os.kill(os.getpid(), signal.SIGINT))).start()
signal.signal = then_interrupt
main.main({list(arguments)})
"""
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)


def test_a_pipe_that_nobody_reads() -> None:
    """Its reader was gone before the first word: he has seen enough."""
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run([*COMMAND, "check"], stdout=writing, stderr=subprocess.PIPE, text=True)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_interrupted_while_loading() -> None:
    """From the first line of our own on; one that comes sooner meets Python itself."""
    for wait in (0.0, 0.05):
        done = interrupted("default_int_handler", wait, "recommend")
        assert (done.returncode, done.stdout, done.stderr) == (130, "", "interrupted\n"), wait


def test_what_was_started_to_ignore_an_interruption_goes_on() -> None:
    done = interrupted("SIG_IGN", 0.0, "--version")
    assert (done.returncode, done.stdout[:9], done.stderr) == (0, "optichill", "")


@pytest.mark.slow
def test_two_at_once_and_one_that_is_stopped(kit: Path, tmp_path: Path) -> None:
    """Two write the same files, whole; a third is told to stop and leaves nothing."""
    (kit / "coil.toml").write_text(kits.COIL)
    out = tmp_path / "r"
    line = [*COMMAND, "sheet", str(kit), "--coil", str(kit / "coil.toml"), "--out", str(out)]
    runs = [subprocess.Popen(line, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for _ in range(3)]
    time.sleep(0.5)
    runs[2].send_signal(signal.SIGTERM)
    assert [run.wait() for run in runs[:2]] == [0, 0], [run.communicate() for run in runs]
    assert runs[2].wait() in (143, 0)
    runs[2].communicate()
    names = sorted(path.name for path in (out / "test-kettle").iterdir())
    assert names == ["index.json", "sheet-coil.html", "sheet-coil.pdf"]
    assert (out / "test-kettle" / "sheet-coil.pdf").read_bytes().rstrip().endswith(b"%%EOF")


def test_every_standard_stream_may_be_closed(kit: Path, tmp_path: Path) -> None:
    """The files are written all the same, and nothing that is meant for a screen gets into them; only what
    should have stood on standard output is a fault."""
    runs = []
    for number, status in ((0, 0), (1, 5), (2, 0)):
        answer = tmp_path / f"{number}.json"
        line = [*COMMAND, "check", str(kit), "--json", str(answer)]
        closing = subprocess.Popen(line, preexec_fn=lambda n=number: os.close(n), **PIPES)  # type: ignore[misc]
        runs.append((closing, status, answer))
    started = subprocess.Popen(
        [*COMMAND, "init", str(tmp_path / "new")], preexec_fn=lambda: os.close(0), **PIPES
    )
    for run, status, answer in runs:
        _, said = run.communicate(timeout=60)
        assert run.returncode == status, said
        assert b"fault of optichill" not in said and json.loads(answer.read_text())["ok"]
    assert started.wait(60) == 0 and (tmp_path / "new" / "brewhouse.toml").exists()
