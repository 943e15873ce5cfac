"""`optichill improve`: one sentence, what helps with its lines, and what does not."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import small_stock
from small_stock import TAP_THEN_ICE

import optichill as oc
from optichill.report.jsonout import dumps

Run = Callable[..., Any]

COIL = """\
[coil]
material = "{material}"
outer_diameter = "10 mm"
wall = "1 mm"
mean_diameter = "27 cm"
pitch = "{pitch}"
turns = {turns}
lowest_turn_height = "30 mm"
riser_length_in = "60 cm"
riser_length_out = "55 cm"
"""


def case(
    folder: Path, house: dict[str, Any] | None = None, plan: str = "", **sizes: Any
) -> tuple[Path, Path]:
    """A small kettle with a plan, and a coil."""
    small_stock.write(folder, house)
    file = folder / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + plan, encoding="utf-8")
    coil = folder / "mine.toml"
    coil.write_text(COIL.format(**{"material": "copper", "pitch": "10 mm", "turns": 6, **sizes}))
    return folder, coil


def flat(done: Any) -> str:
    return " ".join(done.out.split())


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Two coils are allowed, and time is limited."""
    house = {"workshop": {"layouts": ["single", "nested", "parallel"]}, "limits": {"chill_time": "30 min"}}
    return case(tmp_path_factory.mktemp("better"), house)


@pytest.fixture(scope="module")
def better(files: tuple[Path, Path]) -> oc.api.Improvement:
    return oc.improve(str(files[1]), oc.read(files[0]))


def test_one_sentence_then_what_helps_and_its_lines(better: oc.api.Improvement) -> None:
    said = " ".join(" ".join(better.lines()).split())
    assert re.search(
        r"IN SHORT Not good enough: [^.]*\. What helps most: [a-z][^.]*: \d+ min instead of \d+", said
    )
    assert "your 30 min are not kept" in said and better.reached and not better.good_enough
    assert 'mine.toml [coil] pitch = "' in said
    assert 'brewhouse.toml [wort] mixing = { with = "paddle", motion = "slow" }' in said
    assert re.search(r"TOGETHER 1 and 2 done together: \d+ min instead of", said)
    assert re.search(r"1 and 2 done together make it \d+ min, and your 30 min are kept", said)
    assert "No difference you could see" in said


@pytest.mark.parametrize("width", [60, 80, 100])
def test_lines_are_folded_but_those_to_copy(better: oc.api.Improvement, width: int) -> None:
    over = [line for line in better.lines(width) if len(line) > width]
    assert all(re.search(r"\.toml( \[|:|\)$)|optichill |mean_diameter = ", line) for line in over), over


def test_the_document_is_the_doors(
    optichill: Run, files: tuple[Path, Path], better: oc.api.Improvement
) -> None:
    done = optichill("improve", files[0], "--coil", files[1], "--json", "-")
    document = json.loads(done.out)
    assert done.status == 0 and document == json.loads(dumps(better.to_dict()))
    assert list(document)[:2] == ["schema_version", "made_by"] and "IN SHORT" in done.err
    assert [change["rank"] for change in document["changes"]] == [*range(1, len(document["changes"]) + 1)]
    first = document["changes"][0]
    assert first["gain_s"] == pytest.approx(
        document["as_it_is"]["chill_time_p50_s"] - first["chill_time_p50_s"], rel=1e-9
    )
    assert better.changes.rows[0]["text"] == first["text"]


def test_free_changes_that_save_as_much_come_first(better: oc.api.Improvement) -> None:
    """Each by what it saves for what it costs, a minute with every batch at least."""
    document = better.to_dict()
    tie = document["worth"]["batches"] * document["worth"]["hour_of_waiting"] / 60.0
    told = [c for c in document["changes"] if c["kind"] != "stop"]
    by = [c["saves"] / max(c["saves"] - c["net"], tie) for c in told]
    assert len(told) > 2 and by == sorted(by, reverse=True)


def test_a_target_out_of_reach_is_status_3_and_what_reaches_it_comes_first(
    optichill: Run, tmp_path: Path
) -> None:
    house = {"tap": {"temperature": "22 degC", "open_flow": "10 L in 45 s"}}
    folder, coil = case(tmp_path, house, turns=12, pitch="16 mm")
    done = optichill("improve", folder, "--coil", coil, "--json", tmp_path / "told.json")
    assert done.status == 3
    document = json.loads((tmp_path / "told.json").read_text())
    first = document["changes"][0]
    assert document["reached"] is False and first["mends"] == ["target"] and first["chill_time_s"]
    assert first["kind"] == "ice behind the tap" and "[[cooling]]" in done.out
    assert "Not good enough: 20 °C is not reached" in flat(done) and "GFCI/RCD" in flat(done)


@pytest.mark.slow
def test_good_enough_is_said_first(optichill: Run, tmp_path: Path) -> None:
    house = {"wishes": {"good_time": "40 min"}, "limits": {"chill_time": "50 min"}}
    kept = r"\d+ min, within the 40 min that count as good; your 50 min are kept"
    folder, coil = case(tmp_path, house, turns=9, pitch="16 mm")
    done = optichill("improve", folder, "--coil", coil)
    assert done.status == 0 and re.search(f"IN SHORT Good enough: {kept}", flat(done))
    folder, coil = case(tmp_path, house, turns=12, pitch="16 mm")  # its top turn looks out of the wort
    done = optichill("improve", folder, "--coil", coil)
    but = "In time, but the depth of wort over the top turn is not enough"
    assert done.status == 0 and re.search(f"IN SHORT {but}: {kept}", flat(done))


@pytest.mark.slow
def test_words_of_the_case_alone(optichill: Run, tmp_path: Path) -> None:
    """Where there is no tap none is named, nor a hose of it; a coil of stainless gets no copper."""
    house = {
        "tap": {"temperature": "12 degC", "open_flow": "10 L in 45 s"},
        "workshop": {"layouts": ["single", "nested", "parallel"]},
    }
    folder, coil = case(tmp_path, house, material="stainless 304")
    text = (folder / "brewhouse.toml").read_text(encoding="utf-8")
    text = re.sub(r"\[tap\][^\[]*", "", text)
    bath = TAP_THEN_ICE.split("[[cooling]]")[2].replace('"8 kg"', '"24 kg"\nbucket = "40 L"')
    (folder / "brewhouse.toml").write_text(f"{text}\n[[cooling]]{bath}water_temperature = '12 degC'\n")
    done = optichill("improve", folder, "--coil", coil)
    told = done.out[: done.out.index("TAKE CARE")]
    assert done.status == 0, done.err
    assert not re.search(r"\btap\b|\ba hose of|valve", told), told
    mine = [line for line in re.findall(r"(?s)\d\. (.*?)\.toml", told) if "nother coil" not in line]
    assert not any("copper" in line for line in mine)


@pytest.mark.slow
def test_a_coil_by_its_id_is_kept_in_a_file_first(optichill: Run, tmp_path: Path) -> None:
    folder, _ = case(tmp_path)
    name = oc.recommend(oc.read(folder)).best.id
    done = optichill("improve", folder, "--coil", name)
    assert done.status == 0 and f"coil {name}" in flat(done)
    if "coil.toml [coil]" in done.out:
        assert f"--save-coil coil.toml --coil {name}" in done.out


def test_the_coils_file_is_never_written_over(optichill: Run, tmp_path: Path) -> None:
    folder, coil = case(tmp_path)
    before = coil.read_text()
    done = optichill("improve", folder, "--coil", coil, "--json", coil, "--force")
    assert done.status == 5 and coil.read_text() == before
    shutil.rmtree(folder)
    assert optichill("improve", folder, "--coil", coil).status == 4
