"""`recommend --also` and `--next-kettle`: what is refused, said, written, and with which status."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import small_calibration
import small_stock

from optichill.files import calibration_file
from optichill.files.calibration_file import calibration_of
from optichill.files.ownership import HEAD
from optichill.files.reading import load

BIG: dict[str, Any] = {
    "name": "Big kettle",
    "kettle": {"inside_diameter": "40 cm", "inside_height": "46 cm"},
    "wort": {"volume": "34 L"},
}
Run = Callable[..., Any]


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    return small_stock.write(tmp_path / "one"), small_stock.write(tmp_path / "two", BIG)


def test_json_tells_each_coil_elsewhere(optichill: Run, two: tuple[Path, Path], tmp_path: Path) -> None:
    done = optichill("recommend", two[0], "--also", two[1], "--json", "-", "--save-coil", tmp_path / "c.toml")
    document = json.loads(done.out)
    assert done.status == 0 and len(document["designs"]) > 1
    for design in document["designs"]:
        (there,) = design["elsewhere"]
        assert there["brewhouse"] == "Big kettle" and there["serves"]
        assert there["chill_time_s"] > design["prediction"]["chill_time_s"]
        assert all(line["holds"] for line in there["limits"])
        runs = sum(design["lifetime"][part] for part in ("total",)) + there["running"]
        assert design["in_all"] == pytest.approx(runs)
    coil = load(two[0], tmp_path / "c.toml").coil
    assert coil is not None and coil.turns == document["designs"][0]["coil"]["turns"]
    assert "# In Big kettle: lowest_turn_height" in (tmp_path / "c.toml").read_text(encoding="utf-8")
    told = optichill("predict", two[1], "--coil", tmp_path / "c.toml")
    assert told.status == 0
    # Both stand on the same feet: the file serves both, and the same range is told.
    minutes = re.search(r"TIME +(\d+ to \d+ min, most likely \d+)", told.out)
    assert minutes is not None and minutes[1] in done.err


def test_a_calibration_of_any_kettle_is_named(optichill: Run, two: tuple[Path, Path], tmp_path: Path) -> None:
    kept = calibration_of(two[1] / "brewhouse.toml")
    law = calibration_file.document(small_calibration.fitted().calibration)
    kept.write_text(json.dumps(HEAD | law), encoding="utf-8")
    done = optichill("recommend", two[0], "--also", two[1], "--json", tmp_path / "told.json")
    document = json.loads((tmp_path / "told.json").read_text(encoding="utf-8"))
    assert done.status == 0 and f"CALIBRATED   Big kettle: by 1 batch ({kept.name})" in done.out
    assert document["calibrated"] is False
    first, second = document["kettles"]
    assert first["calibrated"] is False and second["calibrated"]["batches"] == 1
    assert document["designs"][0]["elsewhere"][0]["calibrated"] == second["calibrated"]


@pytest.mark.parametrize("width", [60, *(pytest.param(w, marks=pytest.mark.slow) for w in (80, 100))])
@pytest.mark.parametrize("option", ["--also", "--next-kettle"])
def test_no_line_is_wider_than_the_terminal(
    optichill: Run, two: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, width: int, option: str
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    done = optichill("recommend", two[0], option, two[1])
    assert done.status == 0
    assert (
        max(len(x) for x in done.out.splitlines() if "optichill " not in x and str(two[0]) not in x) <= width
    )


def test_both_together_are_refused(optichill: Run, two: tuple[Path, Path]) -> None:
    done = optichill("recommend", two[0], "--also", two[1], "--next-kettle", two[1])
    assert done.status == 2 and "give one of the two" in done.err


def test_faults_of_all_kettles_are_told_at_once_with_their_files(
    optichill: Run, two: tuple[Path, Path], tmp_path: Path
) -> None:
    for folder, diameter in zip(two, ("9 m", "8 m"), strict=True):
        small_stock.write(folder, {"kettle": {"inside_diameter": diameter}})
    done = optichill("recommend", two[0], "--also", two[1], "--also", tmp_path / "nowhere")
    assert done.status == 4
    for file in ("one/brewhouse.toml", "two/brewhouse.toml", "nowhere"):
        assert file in done.err


def test_an_input_of_another_kettle_is_not_written_over(optichill: Run, two: tuple[Path, Path]) -> None:
    file = two[1] / "brewhouse.toml"
    before = file.read_text(encoding="utf-8")
    done = optichill("recommend", two[0], "--also", two[1], "--save-coil", file, "--force")
    assert done.status == 5 and file.read_text(encoding="utf-8") == before


def test_a_kettle_named_twice_counts_once(optichill: Run, two: tuple[Path, Path]) -> None:
    plain, twice = optichill("recommend", two[0]), optichill("recommend", two[0], "--also", two[0])
    assert twice.out == plain.out and "it counts once" in twice.err


def test_one_of_several_named_twice_is_told(optichill: Run, two: tuple[Path, Path]) -> None:
    done = optichill("recommend", two[0], "--also", two[1], "--also", f"{two[1]}/brewhouse.toml")
    assert done.status == 0 and "two/brewhouse.toml: the same brewhouse once more: it counts once" in done.err
    assert done.err.count("it counts once") == 1


def test_a_second_next_kettle_is_refused(optichill: Run, two: tuple[Path, Path]) -> None:
    done = optichill("recommend", two[0], "--next-kettle", two[1], "--next-kettle", two[0])
    assert done.status == 2 and "--next-kettle twice" in done.err and not done.out


def test_where_nothing_fits_today_the_next_kettle_is_left_out(
    optichill: Run, two: tuple[Path, Path], tmp_path: Path
) -> None:
    house = small_stock.write(tmp_path / "none", {"limits": {"chill_time": "2 min"}})
    plain, done = optichill("recommend", house), optichill("recommend", house, "--next-kettle", two[1])
    assert done.status == 3 and done.out == plain.out and "nothing fits today" in done.err


def test_where_no_coil_serves_all_the_status_says_so_and_no_file_is_written(
    optichill: Run, two: tuple[Path, Path], tmp_path: Path
) -> None:
    other = small_stock.write(tmp_path / "none", {"name": "Hurried", "limits": {"chill_time": "2 min"}})
    file = tmp_path / "c.toml"
    done = optichill("recommend", two[0], "--also", other, "--save-coil", file, "--json", "-")
    document = json.loads(done.out)
    assert done.status == 3 and document["designs"] == [] and not file.exists()
    assert [alone["brewhouse"] for alone in document["alone"]] == ["Small kettle", "Hurried"]
    assert "holds the limits of Hurried even alone" in " ".join(done.err.split())


def test_a_hold_that_freezes_the_wort_is_told_of_its_own_file(optichill: Run, two: tuple[Path, Path]) -> None:
    with open(two[1] / "brewhouse.toml", "a", encoding="utf-8") as file:
        file.write('\n[[cooling]]\nsource = "tap"\nuntil = "30 degC"\n\n[[cooling]]\nhold = "90 h"\n')
        file.write('\n[[cooling]]\nsource = "tap"\n')
    text = (two[1] / "brewhouse.toml").read_text(encoding="utf-8")
    text = text.replace('volume = "34 L"', 'volume = "34 L"\nambient_temperature = "-30 degC"')
    (two[1] / "brewhouse.toml").write_text(text, encoding="utf-8")
    done = optichill("recommend", two[0], "--also", two[1])
    assert done.status == 4 and "two/brewhouse.toml" in done.err and "one/brewhouse.toml" not in done.err


def test_turns_that_stay_dry_in_the_next_kettle_are_told_as_predict_tells_them(
    optichill: Run, two: tuple[Path, Path], tmp_path: Path
) -> None:
    """No limit of a coil that is there already: on the screen, beside `fits`, and in the document."""
    wide = {"name": "Wide", "kettle": {"inside_diameter": "44 cm", "inside_height": "40 cm"}}
    other = small_stock.write(tmp_path / "wide", {**wide, "wort": {"volume": "24 L"}})
    file = tmp_path / "c.toml"
    done = optichill("recommend", two[0], "--next-kettle", other, "--save-coil", file, "--json", "-")
    there = json.loads(done.out)["designs"][0]["elsewhere"][0]
    told = json.loads(optichill("predict", other, "--coil", file, "--json", "-").out)
    dry = [text for text in told["warnings"] if "stand dry" in text]
    assert there["kept"] and len(dry) == 1 and dry[0] in there["warnings"]
    # No room is asked for over turns that may stay dry: a limit that is off is not listed.
    assert "submergence" not in {line["name"] for line in there["limits"]} and there["limits"]
    assert there["text"].endswith(f"kept with {dry[0].split()[0]} % of its turns dry")
    assert f"In Wide: {dry[0]}" in " ".join(done.err.split())


def test_a_file_has_no_comments_where_its_coil_is_replaced(
    optichill: Run, two: tuple[Path, Path], tmp_path: Path
) -> None:
    narrow = {"name": "Narrow", "kettle": {"inside_diameter": "20 cm", "inside_height": "45 cm"}}
    other = small_stock.write(tmp_path / "narrow", {**narrow, "wort": {"volume": "8 L"}})
    file = tmp_path / "c.toml"
    done = optichill("recommend", two[0], "--next-kettle", other, "--save-coil", file)
    assert done.status == 0 and "In Narrow" not in file.read_text(encoding="utf-8")
    assert "saved " in done.err and "comments in it" not in done.err
