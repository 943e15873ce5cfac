"""One rule wherever it applies: what stands there already, what was bad in the input, what comes next."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

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
