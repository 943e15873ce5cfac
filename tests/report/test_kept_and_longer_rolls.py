"""Where nothing fits: the coil that is kept is the one of the first way out, which says what comes first; a
roll that no list has is told with the tube that it is of, and no other roll's price."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
import small_stock
from conftest import Done

import optichill as oc
from optichill.search.ways_out import OpenedDesign

SHORT = {"length": "5 m", "price": "0", "owned": "yes"}


def with_a_rest() -> small_stock.Lists:
    """A short piece that is at hand beside rolls that cost more than is to be spent."""
    stock = small_stock.lists()
    roll = stock["tubing"][0]
    stock["tubing"] = [roll, {**roll, "stock_id": "rest", **SHORT}]
    return stock


def test_a_longer_roll_has_no_price_of_the_short_piece(tmp_path: Path) -> None:
    house = {
        "limits": {"budget": 50, "chill_time": "32 min"},
        "workshop": {"marking_increment": "5 mm"},
    }
    found = oc.recommend(oc.read(small_stock.write(tmp_path, house, with_a_rest())))
    assert not found.designs
    way = next(w for w in found.answer.opened if [s.limit for s in w.steps] == ["stock_length"])
    assert way.design.winding.tube.stock_id == "rest"
    said = " ".join(" ".join(found.lines()).split())
    told = re.search(r"get a roll of ([\d.]+) m instead of 5 m, of 10 mm copper with a wall of 1 mm", said)
    assert told, said
    price = float(told[1]) * 41.0 / 10.0
    assert f"opens {told[1]} m of 10 mm copper" in said
    assert f"{way.design.bill.total:.0f} EUR without that roll, which at 4.10 EUR a metre" in said
    assert f"comes to {price:.0f} EUR" in said
    left = 50.0 - way.design.bill.total
    assert (f"your budget leaves {left // 1:.0f} EUR for it" in said) == (price > left)


def test_no_price_is_told_where_no_roll_of_that_tube_has_one(tmp_path: Path) -> None:
    house = {"limits": {"chill_time": "32 min"}, "workshop": {"marking_increment": "5 mm"}}
    stock = with_a_rest()
    stock["tubing"] = stock["tubing"][1:]
    found = oc.recommend(oc.read(small_stock.write(tmp_path, house, stock)))
    said = " ".join(" ".join(found.lines()).split())
    assert re.search(r"\d+ EUR without that roll, (first build|careful beginner|practised)", said), said


def first_told(lines: list[str]) -> str:
    said = " ".join(" ".join(lines).split())
    return re.split(r"WAY OUT 2|NOTE|NEXT", said.split("WAY OUT 1")[1])[0]


@pytest.mark.parametrize("dirt", ["loose pellets", "clean"])
def test_the_coil_that_is_kept_is_that_of_way_out_1_and_fits_once_its_line_is_written(
    optichill: Callable[..., Done], tmp_path: Path, dirt: str
) -> None:
    house = {
        "wort": {"mixing": "now and then", "dirt": dirt},
        "limits": {"chill_time": "17 min"},
        "workshop": {"marking_increment": "5 mm"},
    }
    folder, file = small_stock.write(tmp_path, house), tmp_path / "kept.toml"
    done = optichill("recommend", folder, "--save-coil", file)
    assert done.status == 3, done.out
    found = oc.recommend(oc.read(folder))
    way, kept = found.answer.first_way_out, found.to_keep
    assert way is not None and kept is not None
    assert kept is (way.taken.design if isinstance(way, OpenedDesign) else way.design)
    assert "the coil of WAY OUT 1" in done.err
    (lines,) = re.findall(r"First write (.+?) in the brewhouse file", " ".join(done.err.split()))
    assert lines in first_told(done.out.splitlines())
    obey(folder / "brewhouse.toml", lines)
    again = oc.recommend(oc.read(folder))
    assert again.designs
    assert kept.prediction.likely is not None
    rated = oc.rate(file, oc.read(folder)).prediction
    assert rated.likely is not None and rated.likely.in_time is not None
    assert rated.likely.in_time >= again.problem.brewhouse.limits.sure - 0.003


def obey(file: Path, lines: str) -> None:
    """Each line written under its table, in place of the one that is there."""
    text = file.read_text(encoding="utf-8")
    for line, table in re.findall(r"(\w+ = .+?) under \[(\w+)\](?:, )?", lines):
        text = re.sub(rf"(?m)^{line.split(' = ')[0]} = .*\n", "", text)
        text = text.replace(f"[{table}]\n", f"[{table}]\n{line}\n")
    file.write_text(text, encoding="utf-8")
