"""The bar for long searches: on a terminal only, after a while, and gone when done."""

from __future__ import annotations

import io
import sys
import time
from pathlib import Path

import pytest
import small_stock

from optichill.api import problem as problem_module
from optichill.cli import main as cli
from optichill.cli import progress as progress_module
from optichill.cli.progress import progress
from optichill.problem.basis import DesignBasis
from optichill.search.forecast import Forecast


class Terminal(io.StringIO):
    """Says that it is one."""

    def isatty(self) -> bool:
        return True


def on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Standard error from here on; a fixture would be too soon, for pytest sets its own after those."""
    made = Terminal()
    monkeypatch.setattr(sys, "stderr", made)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(progress_module, "PATIENCE", 0.05)
    return made


def test_nothing_is_said_of_what_is_short_where_there_is_no_terminal(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(progress_module, "PATIENCE", 0.01)
    with progress("Searching") as tell, progress("Fitting", counts=False) as uncounted:
        assert tell is not None and uncounted is None
        time.sleep(0.02)
        for done in range(1, 6):
            tell(done, 10)
    assert capsys.readouterr() == ("", "")


def test_what_takes_long_is_told_once_where_there_is_no_terminal(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = [0.0]
    monkeypatch.setattr(progress_module, "monotonic", lambda: clock[0])
    with progress("Searching") as tell:
        assert tell is not None
        for done in (1, 2, 3, 4):
            clock[0] = 1.5 * done  # so that ten take 15 s
            tell(done, 10)
    assert capsys.readouterr() == ("", "Searching all combinations takes about 15 s\n")
    with progress("Searching") as tell:  # two short searches, one after another
        assert tell is not None
        for done in (3, 6, 9, 3, 6, 9):
            clock[0] += 2.5
            tell(done, 10)
    assert capsys.readouterr() == ("", "")


def test_what_is_done_soon_shows_no_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = on_a_terminal(monkeypatch)
    monkeypatch.setattr(progress_module, "PATIENCE", 30.0)
    with progress("Searching") as tell:
        assert tell is not None
        tell(1, 2)
    assert terminal.getvalue().strip() == ""


def test_the_bar_shows_with_the_time_left_and_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = on_a_terminal(monkeypatch)
    with progress("Searching") as tell:
        assert tell is not None
        for done in range(1, 6):
            tell(done, 10)
            time.sleep(0.06)
    said = terminal.getvalue()
    assert "Searching" in said and "left" in said
    assert said.rstrip("\r").endswith("\x1b[2K")  # the last thing done is to clear its line


def test_where_nothing_is_counted_the_time_that_went_by_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = on_a_terminal(monkeypatch)
    with progress("Fitting", counts=False):
        time.sleep(0.2)
    said = terminal.getvalue()
    assert "Fitting" in said and "0:00:0" in said and "so far" in said and "left" not in said


def test_the_bar_is_gone_when_the_work_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = on_a_terminal(monkeypatch)
    with pytest.raises(KeyboardInterrupt), progress("Searching"):
        time.sleep(0.1)
        raise KeyboardInterrupt
    assert terminal.getvalue().rstrip("\r").endswith("\x1b[2K")


def test_check_shows_the_bar_while_it_counts(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of the longest lists it takes seconds to count what a search would look at."""
    counted = problem_module.forecast

    def slowly(basis: DesignBasis) -> Forecast:
        time.sleep(0.2)
        return counted(basis)

    monkeypatch.setattr(problem_module, "forecast", slowly)
    folder = small_stock.write(tmp_path)
    terminal = on_a_terminal(monkeypatch)
    assert cli.run(["check", str(folder)]) == 0
    assert "Counting" in terminal.getvalue()
    assert "No faults." in capsys.readouterr().out
