"""One rule wherever it applies: what stands there already, what was bad in the input, what comes next."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import click
import pytest
import small_stock
from conftest import Done

from optichill.errors import CannotWrite

Run = Callable[..., Done]


@pytest.mark.parametrize("option", ["--json", "--save-coil"])
def test_what_stands_there_is_refused_alike(optichill: Run, tmp_path: Path, option: str) -> None:
    """5 is "could not write" in the table of README."""
    folder, file = small_stock.write(tmp_path / "k"), tmp_path / "mine"
    file.write_text("mine", encoding="utf-8")
    done = optichill("recommend", folder, option, file)
    assert done.status == 5
    assert re.search(r"mine: exists.*: left as it is; give another name, or --force to replace it", done.err)
    assert file.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["check", "recommend", "predict", "pareto", "improve", "sheet", "explore"])
def test_of_bad_input_the_document_holds_the_faults(optichill: Run, tmp_path: Path, name: str) -> None:
    """Where the answer of an earlier run stood, which a script would read as that of this one."""
    folder, file = small_stock.write(tmp_path / "k", {"wort": {"volume": "24 X"}}), tmp_path / "a.json"
    file.write_text('{"schema_version": 1, "made_by": "optichill 0.1.0", "designs": [1]}', encoding="utf-8")
    coil = ("--coil", packaged_coil(tmp_path)) if name in ("predict", "improve", "sheet") else ()
    done = optichill(name, folder, *coil, "--json", file)
    assert done.status == 4
    document = json.loads(file.read_text(encoding="utf-8"))
    assert document["ok"] is False and "designs" not in document
    assert [fault["key"] for fault in document["faults"]] == ["wort.volume"]
    assert "unknown unit" in done.err


def packaged_coil(folder: Path) -> Path:
    file = folder / "coil.toml"
    file.write_text(
        '[coil]\nmaterial = "copper"\nouter_diameter = "10 mm"\nwall = "1 mm"\nmean_diameter = "24 cm"\n'
        'pitch = "16 mm"\nturns = 10\nriser_length_in = "60 cm"\nriser_length_out = "40 cm"\n',
        encoding="utf-8",
    )
    return file


def test_faults_go_over_nothing_of_others(optichill: Run, tmp_path: Path) -> None:
    """Also with --force, which is for an answer: an input that is misspelt costs no file."""
    folder, file = small_stock.write(tmp_path / "k", {"wort": {"volume": "24 X"}}), tmp_path / "mine"
    file.write_text("mine", encoding="utf-8")
    done = optichill("recommend", folder, "--json", file, "--force")
    assert done.status == 4
    assert file.read_text(encoding="utf-8") == "mine"


def test_a_fault_without_a_place_is_in_the_document_too(optichill: Run, tmp_path: Path) -> None:
    folder, file = small_stock.write(tmp_path / "k"), tmp_path / "a.json"
    assert optichill("predict", folder, "--coil", "zzzz", "--json", file).status == 4
    (fault,) = json.loads(file.read_text(encoding="utf-8"))["faults"]
    assert "no id has z" in fault["reason"]


def test_a_kit_goes_into_a_folder(optichill: Run, tmp_path: Path) -> None:
    file = tmp_path / "brewhouse.toml"
    file.write_text("mine", encoding="utf-8")
    for more in ((), ("--coil",)):
        done = optichill("init", file, "--yes", *more)
        assert done.status == 5
        assert f"{file}: is no folder" in done.err and "give a folder" in done.err
    assert file.read_text(encoding="utf-8") == "mine"


def test_what_comes_next_is_said_once_its_file_stands(
    optichill: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, coil = small_stock.write(tmp_path / "k"), tmp_path / "c.toml"
    good = optichill("recommend", folder, "--full", "--save-coil", coil)
    assert "NEXT" in good.out and f"--coil {coil}" in good.out

    def full(path: Path, text: str) -> None:
        raise CannotWrite(f"{path}: cannot be written: No space left on device")

    monkeypatch.setattr("optichill.files.writing.write_whole", full)
    monkeypatch.setattr("optichill.api.upgrade.write_whole", full)
    bad = optichill("recommend", folder, "--full", "--save-coil", tmp_path / "d.toml")
    assert bad.status == 5 and "BUILD THIS" in bad.out and "NEXT" not in bad.out
    other = small_stock.write(tmp_path / "new", {"name": "Other", "kettle": {"inside_diameter": "40 cm"}})
    new = ("new-kettle", folder, other, "--coil", coil, "--out", tmp_path / "r")
    bad = optichill(*new, "--save-coil", tmp_path / "n.toml")
    assert bad.status == 5 and "No space left" in bad.err and "n.toml" not in bad.out


EMPTY = [
    ("recommend", "--save-coil", "the name of a file"),
    ("recommend", "--tube", "an id"),
    ("recommend", "--also", "a brewhouse file, or a folder with one"),
    ("recommend", "--study", "a file, or postgresql"),
    ("recommend", "--out", "a folder"),
    ("recommend", "--json", "the name of a file, or - for standard output"),
    ("recommend", "--next-kettle", "a brewhouse file"),
    ("predict", "--coil", "a coil file or an id"),
    ("sheet", "--coil", "a coil file or an id"),
    ("explore", "--study", "a file, or postgresql"),
]


@pytest.mark.parametrize(("name", "option", "allowed"), EMPTY)
@pytest.mark.parametrize("given", ["", "  "])
def test_a_name_of_nothing_is_refused(
    optichill: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    option: str,
    allowed: str,
    given: str,
) -> None:
    """A path of nothing would be the folder that one stands in, an id of nothing none at all."""
    monkeypatch.chdir(tmp_path)
    folder, file = small_stock.write(tmp_path / "k"), tmp_path / "a.json"
    before = sorted(tmp_path.rglob("*"))
    done = optichill(name, folder, option, given, *(() if option == "--json" else ("--json", file)))
    assert done.status == 4 and done.out == ""
    assert f"{option}: empty (allowed: {allowed}" in done.err
    if option == "--json":
        assert sorted(tmp_path.rglob("*")) == before
    else:
        (fault,) = json.loads(file.read_text(encoding="utf-8"))["faults"]
        assert fault["reason"].startswith(f"{option}: empty")


def test_no_option_that_takes_a_text_is_left_out(optichill: Run, tmp_path: Path) -> None:
    """Whatever command: each of its options of a text, and each argument."""
    from optichill.cli.group import COMMANDS, group

    tried = 0
    for name in COMMANDS:
        command = group.get_command(click.Context(group), name)
        assert command is not None
        for parameter in command.params:
            text = isinstance(parameter.type, click.types.StringParamType | click.Path)
            if not text or parameter.is_eager:
                continue
            given = [""] if isinstance(parameter, click.Argument) else [parameter.opts[0], ""]
            given = ["here", ""] if parameter.name == "new" else given
            done = optichill(name, *given)
            assert done.status == 4 and ": empty (allowed: " in done.err, (name, parameter.name, done.err)
            tried += 1
    assert tried > 40


def test_readings_of_nothing_are_told_in_the_document_too(optichill: Run, tmp_path: Path) -> None:
    folder, file = small_stock.write(tmp_path / "k"), tmp_path / "a.json"
    coil = packaged_coil(tmp_path)
    assert optichill("calibrate", folder, "--coil", coil, "--points", "", "--json", file).status == 4
    (fault,) = json.loads(file.read_text(encoding="utf-8"))["faults"]
    assert fault["reason"].startswith("--log or --points: empty")


@pytest.mark.parametrize("input_of", ["coil", "brewhouse"])
def test_faults_go_over_no_input(optichill: Run, tmp_path: Path, input_of: str) -> None:
    folder, coil = small_stock.write(tmp_path / "k"), packaged_coil(tmp_path)
    file = coil if input_of == "coil" else folder / "brewhouse.toml"
    text = file.read_bytes()
    assert optichill("sheet", folder, "--coil", coil, "--out", "", "--json", file).status == 4
    assert file.read_bytes() == text


def test_of_what_could_not_be_written_the_document_says_so(optichill: Run, tmp_path: Path) -> None:
    """Where the answer of an earlier run stood; not over what others wrote, and said once."""
    folder, mine, file = small_stock.write(tmp_path / "k"), tmp_path / "mine", tmp_path / "a.json"
    mine.write_text("mine", encoding="utf-8")
    file.write_text('{"schema_version": 1, "made_by": "optichill 0.1.0", "designs": [1]}', encoding="utf-8")
    done = optichill("recommend", folder, "--save-coil", mine, "--json", file)
    assert done.status == 5
    document = json.loads(file.read_text(encoding="utf-8"))
    assert document["ok"] is False and "designs" not in document
    assert "mine: exists" in document["faults"][0]["reason"]
    foreign = optichill("recommend", folder, "--save-coil", tmp_path / "new", "--json", mine)
    assert foreign.status == 5 and foreign.err.count("left as it is") == 1
    assert mine.read_text(encoding="utf-8") == "mine" and not (tmp_path / "new").exists()


def test_one_or_the_other_is_a_matter_of_usage(optichill: Run, tmp_path: Path) -> None:
    folder, coil = small_stock.write(tmp_path / "k"), packaged_coil(tmp_path)
    done = optichill(
        "calibrate", folder, "--coil", coil, "--points", "0:98 5:60 10:38", "--anew", "--with-earlier"
    )
    assert done.status == 2 and "--anew with --with-earlier" in done.err and "one of the two" in done.err
