"""The ways out of a warm tap, written into the brewhouse file word for word: true to the minute."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

import optichill as oc
from optichill.display import POUND
from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.rating.coil_rating import quick_rating, rate
from optichill.rating.remedies import BATH_WATER, PRECOOLERS, VESSEL, Remedy
from optichill.report.advice import advice
from optichill.report.no_fit import nothing_fits, ways_text
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend

WARM = {"metric": ["21 degC", "27 degC"], "us": ["72 degF", "80 degF"]}
SIZE = r"(\d[\d ./]* (?:mm|cm|in))"


def house(units: str, tap: str) -> dict[str, Any]:
    flow = "5 gal in 90 s" if units == "us" else "10 L in 60 s"
    return {
        "units": units,
        "wort": {"mixing": "steady", "volume": "6 gal" if units == "us" else "23 L"},
        "tap": {"temperature": tap, "open_flow": flow},
    }


def written(way: str, plain: dict[str, Any]) -> dict[str, Any]:
    """The brewhouse with what a way out says, in its own words."""
    if way.startswith("stop at"):
        stop = re.search(r"stop at (\d+) °([CF])", way)
        assert stop, way
        return {**plain, "wort": {**plain["wort"], "target_temperature": f"{stop[1]} deg{stop[2]}"}}
    change = re.search(r"the tap down to (\d+) °([CF])", way)
    bath = re.search(
        r"with ([\d.]+ \w+) of water and ([\d.]+ \w+) of ice .* in a vessel of ([\d.]+ \w+)", way
    )
    assert change and bath, way
    iced: dict[str, Any] = {"water": bath[1], "ice": bath[2], "bucket": bath[3]}
    if pump := re.search(r"pumped round through the coil \((\w+)\)", way):
        iced |= {"source": "ice bath", "pump": pump[1]}
    else:
        coil = re.search(
            rf"\(([\d.]+) turns of {SIZE} (\w+) with a wall of {SIZE}, {SIZE} across from tube centre to "
            rf"tube centre, a turn every {SIZE}, risers of {SIZE}\)",
            way,
        )
        assert coil, way
        keys = ("outer_diameter", "material", "wall", "mean_diameter", "pitch", "riser_length_in")
        small: dict[str, Any] = dict(zip(keys, coil.groups()[1:], strict=True))
        small |= {"turns": float(coil[1]), "riser_length_out": small["riser_length_in"]}
        iced |= {"source": "precooled tap", "ice_stirred": "kept moving" in way, "precooler": small}
    tap = {"source": "tap", "until": f"{change[1]} deg{change[2]}"}
    return {**plain, "cooling": [tap, iced]}


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_second_coil_has_room_in_the_vessel_that_is_named(tmp_path: Path, units: str) -> None:
    """10 L, 4 kg of ice and the 0.6 L of 7.5 m of 10 mm tube are 14.96 L: told as 15 L, and 2 kg more than
    that are 17.15 L: without the coil 16.5 L would have been told."""
    plain = house(units, WARM[units][0])
    for ice in (4.0, 6.0) if units == "metric" else (9.0 * POUND, 13.0 * POUND):
        way = Remedy("precooling", 900.0, ice, 293.15, 308.15, BATH_WATER[units], precooler=PRECOOLERS[units])
        said = written(ways_text(way, units), plain)
        assert small_stock.of(tmp_path, said).brewhouse.cooling[1].bucket - way.filled < VESSEL[units]


@pytest.mark.slow
@pytest.mark.parametrize(("units", "tap"), [(units, tap) for units in WARM for tap in WARM[units]])
def test_a_way_out_holds_when_it_is_written_into_the_file(tmp_path: Path, units: str, tap: str) -> None:
    plain = house(units, tap)
    basis = small_stock.of(tmp_path / "warm", plain)
    ways = rate(basis, Coil(**SIZES)).warm_tap_remedies
    assert [way.kind for way in ways] == ["ice", "precooling", "fridge"]
    for way in ways:
        said = ways_text(way, units)
        if way.time is None:
            assert "does not reach" in said
            continue
        minutes = re.search(r"in (\d+) min", said)
        assert minutes, said
        obeyed = small_stock.of(tmp_path / way.kind, written(said, plain))
        found = quick_rating(obeyed, Coil(**SIZES)).prediction
        time = found.told.time
        assert time == pytest.approx(way.time, rel=2e-4), said  # a level follows the target
        assert f"{time / 60.0:.0f}" == minutes[1], said
        assert all(line.missing < 0.05 for line in found.stages), said


def told_ways(lines: list[str], head: str, end: str) -> list[str]:
    """The ways out of a screen, each in one line."""
    text = " ".join(" ".join(lines).split())
    return re.split(r" \d\. ", text.split(head)[1].split(end)[0])[1:]


def reaches(folder: Path, plain: dict[str, Any], coil: Coil, ways: list[str], written: list[str]) -> None:
    """Each way's lines copied into the file as they stand: the target is reached, in the minutes told."""
    assert len(ways) == len(written) == 3
    for n, (way, lines) in enumerate(zip(ways, written, strict=True)):
        assert lines in way
        there = small_stock.write(folder / str(n), plain)
        copied(there / "brewhouse.toml", lines)
        time, minutes = quick_rating(design_basis(load(there)), coil).prediction.told.time, IN.search(way)
        assert time is not None and minutes and f"{time / 60.0:.0f}" == minutes[1], (way, time)


IN = re.compile(r"in (\d+) min")


@pytest.mark.parametrize("units", ["metric", pytest.param("us", marks=pytest.mark.slow)])
def test_the_lines_that_predict_gives_reach_the_target(tmp_path: Path, units: str) -> None:
    plain, coil = house(units, WARM[units][0]), Coil(**SIZES)
    kettle = oc.read(small_stock.write(tmp_path / "warm", plain))
    found = oc.rate(coil, kettle)
    written = [way["write"] for way in found.to_dict()["ways_out"]]
    reaches(tmp_path, plain, coil, told_ways(found.lines(), "WAYS OUT", "FLOW"), written)


@pytest.mark.slow
def test_the_lines_that_recommend_gives_reach_the_target(tmp_path: Path) -> None:
    plain = house("metric", WARM["metric"][0])
    answer = recommend(design_basis(load(small_stock.write(tmp_path / "warm", plain))))
    told = [a for a in advice(answer) if a["kind"].startswith("too warm")]
    assert answer.quickest is not None
    ways = told_ways([*nothing_fits(answer), "THE END"], "TOO WARM", "THE END")
    reaches(tmp_path, plain, as_coil(answer.quickest), ways, [a["change"]["write"] for a in told])


def copied(file: Path, lines: str) -> None:
    """What is told to write, under the tables that it names; in place of what was there."""
    text = file.read_text(encoding="utf-8")
    for part in lines.removeprefix("in the brewhouse file: ").split("; "):
        told, _, table = part.rpartition(" under ")
        pairs = re.findall(r'(\w+ = (?:"[^"]*"|\{[^}]*\}|[\w.]+))', told)
        head = re.search(r"\[+[\w.]+\]+", table)
        assert head and pairs, part
        new = "\n".join([head[0], *pairs]) + "\n"
        there = head[0].count("[") == 1 and f"{head[0]}\n" in text
        for key in (pair.split(" = ")[0] for pair in pairs if there):
            text = re.sub(rf"(?m)^{key} = .*\n", "", text)
        text = text.replace(f"{head[0]}\n", new, 1) if there else f"{text}\n{new}"
    file.write_text(text, encoding="utf-8")


LIMITS: list[dict[str, Any]] = [
    {"chill_time": "24 min", "budget": 95},
    {"chill_time": {"within": "30 min", "chance": 0.9}},
]


@pytest.mark.slow
@pytest.mark.parametrize("limits", LIMITS)
def test_the_lines_of_a_way_out_of_a_warm_tap_open_a_coil(tmp_path: Path, limits: dict[str, Any]) -> None:
    """Where its pump or its time breaks a limit, it says what must be allowed too."""
    plain = {**house("metric", "24 degC"), "workshop": {"marking_increment": "5 mm"}, "limits": limits}
    answer = recommend(design_basis(load(small_stock.write(tmp_path / "warm", plain))))
    told = [a for a in advice(answer) if a["kind"].startswith("too warm")]
    assert not answer.designs and len(told) == 3
    if "budget" in limits:
        assert {name for way in answer.warm_tap_remedies for name, _, _ in way.missed} == set(limits)
    screen = " ".join(" ".join(nothing_fits(answer)).split())
    for n, way in enumerate(told):
        there = small_stock.write(tmp_path / str(n), plain)
        copied(there / "brewhouse.toml", way["change"]["write"])
        found = recommend(design_basis(load(there)), top=1)
        assert way["change"]["write"] in screen
        assert found.designs and all(line.holds for line in found.designs[0].limits), way["text"]
        for name, value, bound in answer.warm_tap_remedies[n].missed:
            assert value > bound
            assert f"{name} = " in way["change"]["write"]
