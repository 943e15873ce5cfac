"""The command `sheet`: files, screen, JSON, and clear refusals."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

from optichill.cli.main import run
from optichill.files.coil_file import coil_text
from optichill.model.coil import Coil


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A brewhouse with a saved coil."""
    where = small_stock.write(tmp_path_factory.mktemp("small"))
    assert run(["recommend", str(where), "--save-coil", str(where / "best.toml")]) == 0
    return where


def sheet(folder: Path, out: Path, *more: str) -> int:
    return run(["sheet", str(folder), "--out", str(out), *more])


@pytest.mark.slow
def test_a_coil_file_and_its_rank_make_the_same_sheet(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert sheet(folder, tmp_path, "--coil", str(folder / "best.toml")) == 0
    assert sheet(folder, tmp_path, "--rank", "1") == 0
    said = capsys.readouterr().out
    assert "SHEET" in said and "WROTE" in said and "100 %" in said
    made = {path.name: path.read_bytes() for path in (tmp_path / "small-kettle").iterdir()}
    assert set(made) == {
        "index.json",
        "sheet-best.html",
        "sheet-best.pdf",
        "sheet-rank-1.html",
        "sheet-rank-1.pdf",
    }
    assert made["sheet-best.pdf"] == made["sheet-rank-1.pdf"]
    assert made["sheet-best.html"].replace(b"sheet-best", b"") == made["sheet-rank-1.html"].replace(
        b"sheet-rank-1", b""
    )


def test_json_has_the_marks_and_what_stops_the_build(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert sheet(folder, tmp_path, "--coil", str(folder / "best.toml"), "--json", "-") == 0
    captured = capsys.readouterr()
    data = json.loads(captured.out)
    assert data["buildable"] is True and data["stops"] == [] and data["schema_version"] == 1
    for tube in data["tubes"]:
        assert tube["marks"][-1]["ends_at_m"] == pytest.approx(tube["cut_length_m"], abs=1e-9)
        assert sum(m["length_m"] for m in tube["marks"]) == pytest.approx(tube["cut_length_m"], abs=1e-7)
    assert data["cut_length_m"] == pytest.approx(sum(t["cut_length_m"] for t in data["tubes"]))
    assert "WROTE" in captured.err


def edited(folder: Path, tmp_path: Path, key: str, value: str) -> Path:
    lines = (folder / "best.toml").read_text(encoding="utf-8").splitlines()
    changed = [f"{key} = {value}" if line.startswith(f"{key} =") else line for line in lines]
    assert changed != lines
    path = tmp_path / "edited.toml"
    path.write_text("\n".join(changed) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("key", "value", "name"),
    [
        ("mean_diameter", '"45 mm"', "winding_radius"),
        ("mean_diameter", '"352 mm"', "wall"),
        ("riser_length_in", '"20 cm"', "leg_below_rim"),
        ("riser_length_out", '"30 cm"', "leg_inside"),
    ],
)
def test_what_cannot_be_built_still_gets_its_sheet(
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    key: str,
    value: str,
    name: str,
) -> None:
    coil = edited(folder, tmp_path, key, value)
    assert sheet(folder, tmp_path / "out", "--coil", str(coil), "--json", str(tmp_path / "s.json")) == 0
    assert "NOT BUILDABLE" in capsys.readouterr().out
    data = json.loads((tmp_path / "s.json").read_text(encoding="utf-8"))
    assert not data["buildable"] and name in [stop["name"] for stop in data["stops"]]
    page = (tmp_path / "out" / "small-kettle" / "sheet-edited.html").read_text(encoding="utf-8")
    assert "<strong>NOT BUILDABLE</strong>" in page
    assert (tmp_path / "out" / "small-kettle" / "sheet-edited.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("more", "status", "said"),
    [
        ((), 2, "one of --coil COIL and --rank N"),
        (("--coil", "a.toml", "--rank", "1"), 2, "one of --coil COIL and --rank N"),
        (("--rank", "0"), 2, "1<=x<=50"),
        (("--rank", "50"), 2, "that differ"),
        (("--rank", "1", "--paper", "a5"), 2, "a4"),
        (("--coil", "nowhere.toml"), 4, "nowhere.toml"),
    ],
)
def test_refusals_are_clear(
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    more: tuple[str, ...],
    status: int,
    said: str,
) -> None:
    assert sheet(folder, tmp_path, *more) == status
    assert said in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_nothing_fits_ends_with_three_and_says_why(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    house = small_stock.write(tmp_path / "house", {"limits": {"chill_time": "1 min"}})
    assert sheet(house, tmp_path / "out", "--rank", "1") == 3
    assert "NO COIL FITS" in capsys.readouterr().out
    assert not (tmp_path / "out").exists()


def test_a_folder_that_cannot_be_written_ends_with_five(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "taken").write_text("a file, not a folder", encoding="utf-8")
    assert sheet(folder, tmp_path / "taken", "--coil", str(folder / "best.toml")) == 5
    assert "is no folder" in capsys.readouterr().err
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "a file, not a folder"


def test_us_units_bring_letter_paper_and_fractions(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert sheet(folder, tmp_path, "--coil", str(folder / "best.toml"), "--units", "us") == 0
    said = capsys.readouterr().out
    assert "LETTER" in said and "/16 in" in said
    import pdfplumber

    with pdfplumber.open(tmp_path / "small-kettle" / "sheet-best.pdf") as file:
        assert {tuple(sorted((page.width, page.height))) for page in file.pages} == {(612, 792)}


@pytest.mark.slow
def test_what_people_wrote_in_the_folder_is_left_alone(folder: Path, tmp_path: Path) -> None:
    notes = tmp_path / "small-kettle" / "my notes.txt"
    notes.parent.mkdir()
    notes.write_text("mine", encoding="utf-8")
    for _ in range(2):
        assert sheet(folder, tmp_path, "--coil", str(folder / "best.toml")) == 0
    assert notes.read_text(encoding="utf-8") == "mine"
    assert len(list(notes.parent.iterdir())) == 4  # the sheet, its PDF and the folder's index


ENDS_IN_ITS_BEND = {
    "measured": (
        {"inside_diameter": "15 in", "inside_height": "13 in"},
        """\
outside_across = "9 in"
overall_height = "7 in"
turns = 10
bought_length = "25 ft"
outer_diameter = "3/8 in"
wall = "0.032 in"
""",
    ),
    "drawn": (
        {"inside_diameter": "38 cm", "inside_height": "42 cm"},
        """\
mean_diameter = "8 cm"
pitch = "16 mm"
turns = 8
riser_length_in = "50 cm"
riser_length_out = "45 cm"
outer_diameter = "1/2 in"
wall = "0.032 in"
""",
    ),
}


@pytest.mark.parametrize("case", ENDS_IN_ITS_BEND)
def test_a_riser_that_ends_in_its_rim_bend_is_told_with_what_is_there_and_what_is_needed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], case: str
) -> None:
    kettle, sizes = ENDS_IN_ITS_BEND[case]
    where = small_stock.write(tmp_path, {"kettle": kettle, "workshop": {"layouts": ["single"]}})
    (tmp_path / "coil.toml").write_text(f'[coil]\nmaterial = "copper"\n{sizes}', encoding="utf-8")
    more = ("--coil", str(tmp_path / "coil.toml"), "--json", str(tmp_path / "s.json"))
    assert sheet(where, tmp_path / "out", *more) == 0
    stops = json.loads((tmp_path / "s.json").read_text(encoding="utf-8"))["stops"]
    short = [stop for stop in stops if stop["name"] == "leg_inside" and stop["value"] < 0.0]
    assert short
    for stop in short:
        assert stop["needed"] >= 0.0
        figures = re.search(r"has (\S+) mm of tube and needs (\S+) mm, (\S+) mm more", stop["text"])
        assert figures is not None
        there, needed, missing = map(float, figures.groups())
        assert needed - there == pytest.approx(missing, abs=1.0)
        assert missing == pytest.approx(1e3 * (stop["needed"] - stop["value"]), abs=1.0)
    assert "NOT BUILDABLE" in capsys.readouterr().out


def test_a_riser_shorter_than_its_bends_has_no_marks(optichill: Any, tmp_path: Path) -> None:
    """Rather than a stretch of negative length."""
    folder = small_stock.write(tmp_path / "house")
    coil = tmp_path / "coil.toml"
    coil.write_text(coil_text(Coil(**{**SIZES, "riser_length_out": 0.01}), demo=False), encoding="utf-8")
    done = optichill("sheet", folder, "--coil", coil, "--out", tmp_path / "out", "--json", "-")
    document = json.loads(done.out)
    assert not document["buildable"] and [tube["marks"] for tube in document["tubes"]] == [[]]
