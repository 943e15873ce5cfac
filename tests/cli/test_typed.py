"""The commands that an answer ends with can be copied into a shell as they stand (POSIX.1-2017, Shell Command
Language, 2.2 Quoting)."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from pathlib import Path

import click
import pytest
import small_stock
from conftest import Done

from optichill.cli.group import COMMANDS, group
from optichill.report.paper import folded

Run = Callable[..., Done]

HOSTILE = "a  b $HOME;'c'"


def commands(said: str) -> list[list[str]]:
    """The words that a shell makes of each command of an answer; what is told of it stands after 3 blanks."""
    lines = said[said.index("NEXT") :].splitlines()
    found = [line[13:] for line in lines if line[13:].startswith("optichill")]
    return [shlex.split(line.rpartition("   ")[0] or line) for line in found]


@pytest.mark.parametrize("columns", ["60", "100"])
def test_a_path_that_a_shell_would_take_apart_is_quoted(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    folder = tmp_path / HOSTILE
    folder.mkdir()
    small_stock.write(folder)
    coil = folder / "my coil.toml"
    for more, count in ((), 2), (("--full", "--save-coil", str(coil)), 3):
        given = commands(optichill("recommend", folder, *more).out)
        assert len(given) == count
        assert all(words[:1] == ["optichill"] and words[2] == str(folder) for words in given)
    assert ["optichill", "predict", str(folder), "--coil", str(coil)] in given


def test_init_says_a_command_that_runs(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for folder in (HOSTILE, "-new"):
        said = optichill("init", "--yes", "--", folder).out.splitlines()[-1]
        words = shlex.split(said.partition("then")[2])
        assert words[:2] == ["optichill", "check"]
        assert Path(words[2]).resolve() == (tmp_path / folder / "brewhouse.toml").resolve()
        assert optichill(*words[1:]).status == 0


def test_a_blank_of_somebody_elses_stays_what_it_is() -> None:
    path = "NEXT         no\N{NO-BREAK SPACE}break/" + "long/" * 10 + " and more"
    assert "".join(folded([path], 40)).count("\N{NO-BREAK SPACE}") == 1


def test_an_option_of_one_value_is_not_given_two(optichill: Run) -> None:
    """Of every command, as its own options are: the second would push the first out without a word."""
    seen = 0
    for name in COMMANDS:
        command = group.get_command(click.Context(group), name)
        assert command is not None
        for option in command.params:
            if not isinstance(option, click.Option) or option.is_flag:
                continue
            value = option.type.choices[0] if isinstance(option.type, click.Choice) else "1"
            twice = [option.opts[0], value, f"{option.opts[0]}={value}"]
            done = optichill(name, *twice, "--help") if option.multiple else optichill(name, *twice)
            if option.multiple:  # logs, coils, kettles: as often as one likes
                assert done.status == 0, (name, option.opts)
                continue
            assert done.status == 2, (name, option.opts)
            assert f"{option.opts[0]}: given twice, and it takes one value" in done.err
            seen += 1
    assert seen > 40


def test_a_flag_may_be_given_twice_and_help_comes_first(optichill: Run, tmp_path: Path) -> None:
    assert optichill("init", tmp_path / "new", "--yes", "--yes").status == 0
    assert optichill("predict", "--coil", "a", "--coil", "b", "--help").status == 0
