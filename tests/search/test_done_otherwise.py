"""When nothing fits: what is done otherwise opens a coil once its lines are in the file."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from first_place import first_place

from optichill.files.reading import load
from optichill.problem.basis import design_basis
from optichill.report.no_fit import nothing_fits
from optichill.report.to_write import done_to_write
from optichill.search.answer import Answer
from optichill.search.recommend import recommend

VALVE = [{"what": "valve", "where": "wall", "height": "60 mm", "size": "17 cm"}]
PELLETS = {"mixing": "steady", "dirt": "loose pellets"}


def obeyed(folder: Path, answer: Answer, way: int) -> Answer:
    """The same brewhouse with the lines of one way out written in, searched anew."""
    path = folder / "brewhouse.toml"
    text = path.read_text(encoding="utf-8")
    for table, line in done_to_write(answer.done_otherwise[way]):
        key = line.split(" = ")[0]
        head = f"[{table}]\n"
        before, after = text.split(head, 1)
        body, *rest = re.split(r"(?m)^(?=\[)", after, maxsplit=1)
        body = re.sub(rf"(?m)^{key} = .*\n", "", body)
        text = f"{before}{head}{line}\n{body}{''.join(rest)}"
    path.write_text(text, encoding="utf-8")
    return recommend(design_basis(load(folder)), top=1)


def walled(folder: Path, **kettle: Any) -> Answer:
    """A kettle with so large a part low at its wall that no coil passes it."""
    house = {"kettle": {"part": VALVE, "coil_rests": "feet", **kettle}, "limits": {"chill_time": "45 min"}}
    return recommend(small_stock.of(folder, house), top=1)


@pytest.mark.parametrize("rests", ["feet", "hangs"])
def test_a_coil_stands_or_hangs_above_what_is_at_the_wall(tmp_path: Path, rests: str) -> None:
    answer = walled(tmp_path)
    assert not answer.designs
    assert [way.kind for way in answer.done_otherwise] == ["raise", "hang"]
    said = " ".join(nothing_fits(answer))
    assert 'floor_clearance = "65 mm" under [kettle]' in said and "above the valve" in said
    assert 'coil_rests = "hangs" under [kettle]' in said and "A smaller form would do" not in said
    way = 0 if rests == "feet" else 1
    told = answer.done_otherwise[way].design
    then = obeyed(tmp_path, answer, way)
    assert then.designs
    found = then.designs[0]
    assert float(found.life.total) <= float(told.life.total) + 1e-6
    assert all(line.holds for line in told.limits)


def test_pellets_go_into_a_bag_where_that_keeps_the_time(tmp_path: Path) -> None:
    """A time between what the quickest coil takes with loose pellets and with a bag."""
    dirty, bagged = (
        first_place(small_stock.of(tmp_path / dirt, {"wort": {"dirt": dirt, "mixing": "steady"}}))
        for dirt in ("loose pellets", "hop bag")
    )
    assert dirty is not None and bagged is not None
    for minutes in range(3, 60):  # the least whole minute that a bag keeps and loose pellets do not
        limit = {"chill_time": f"{minutes} min"}
        if first_place(
            small_stock.of(tmp_path / "bag", {"wort": {**PELLETS, "dirt": "hop bag"}, "limits": limit})
        ):
            break
    answer = recommend(small_stock.of(tmp_path / "loose", {"wort": PELLETS, "limits": limit}), top=1)
    assert not answer.designs
    kinds = [way.kind for way in answer.done_otherwise]
    assert "hop bag" in kinds
    assert 'dirt = "hop bag" under [wort]' in " ".join(nothing_fits(answer))
    place = kinds.index("hop bag")
    then = obeyed(tmp_path / "loose", answer, place)
    assert then.designs and all(line.holds for line in answer.done_otherwise[place].design.limits)


def test_nothing_is_told_that_does_not_open_anything(tmp_path: Path) -> None:
    tall = [{**VALVE[0], "height": "39 cm"}]
    answer = walled(tmp_path, part=tall)
    assert not answer.designs and not answer.done_otherwise
