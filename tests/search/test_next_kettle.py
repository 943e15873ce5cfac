"""A coil bought with regard for the next kettle: where the regard turns the choice, and where rightly not."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock

import optichill as oc
from optichill.api import ForSeveral, Recommendation
from optichill.search.next_kettle import Regard

pytestmark = pytest.mark.slow

TODAY = {"wort": {"volume": "23 L", "mixing": "now and then"}, "wishes": {"batches": 30}}


def read(folder: Path, house: dict[str, Any], name: str) -> oc.Problem:
    return oc.read(small_stock.write(folder / name, house))


def regard(folder: Path, planned: dict[str, Any], today: dict[str, Any] = TODAY) -> Regard:
    found = oc.recommend(read(folder, today, "today"), next_kettle=read(folder, planned, "next"))
    assert isinstance(found, ForSeveral) and isinstance(found.found, Regard)
    return found.found


def test_a_kettle_that_differs_in_its_name_alone_changes_nothing(tmp_path: Path) -> None:
    alone = oc.recommend(read(tmp_path, TODAY, "today"))
    same = oc.recommend(
        read(tmp_path, TODAY, "again"), next_kettle=read(tmp_path, {**TODAY, "name": "New"}, "new")
    )
    assert isinstance(same, Recommendation) and [d.id for d in same.designs] == [d.id for d in alone.designs]


def test_the_regard_turns_the_choice_where_much_is_brewed_later(tmp_path: Path) -> None:
    """The best of today is too wide for the next kettle: what goes into both pays, though dearer today."""
    today = {**TODAY, "wishes": {"batches": 20}}
    planned = {
        "name": "Tall and narrow",
        "kettle": {"inside_diameter": "33 cm", "inside_height": "46 cm"},
        "wort": {"volume": "30 L"},
        "wishes": {"batches": 60},
    }
    found = regard(tmp_path, planned, today)
    best, plain = found.coils[0], found.plain
    assert not best.is_built_as(plain) and best.kept
    assert best.today > plain.today and plain.later - best.later > best.today - plain.today
    assert best.total < plain.total - found.tie


def test_the_regard_changes_nothing_where_nothing_can_be_kept(tmp_path: Path) -> None:
    """Into a kettle so narrow nothing of today's goes: today's best it is, and a new coil then."""
    planned = {
        "name": "Narrow",
        "kettle": {"inside_diameter": "26.5 cm", "inside_height": "45 cm"},
        "wort": {"volume": "14 L"},
    }
    today = {**TODAY, "limits": {"chill_time": "25 min"}, "wishes": {"batches": 100}}
    found = regard(tmp_path, planned, today)
    plain = oc.recommend(oc.read(tmp_path / "today")).best
    new = oc.recommend(oc.read(tmp_path / "next")).best
    best = found.coils[0]
    assert plain is not None and new is not None
    assert not best.kept and best.design.id == plain.id == found.plain.design.id
    assert found.replacement is not None and found.replacement.id == new.id
    # What is bought then is what new-kettle buys: hoses and ends of today's coil serve on.
    then = oc.new_kettle(plain, oc.read(tmp_path / "today"), oc.read(tmp_path / "next")).option("replace")
    assert best.replaced_for == pytest.approx(then.bill.total)
    assert then.bill.total < new.bill.total - 1.0
    assert best.total == pytest.approx(float(plain.life.total + then.life.total))
    assert best.there.broken


def test_the_plain_first_stays_where_nothing_is_a_tie_ahead(tmp_path: Path) -> None:
    """A kettle hardly larger: what is best today serves it as well as anything."""
    planned = {**TODAY, "name": "Twin", "wort": {"volume": "23.5 L", "mixing": "now and then"}}
    found = regard(tmp_path, planned)
    best = found.coils[0]
    assert best.is_built_as(found.plain) and best.kept
    assert best.total <= min(c.total for c in found.coils) + found.tie


def test_of_no_coil_of_the_next_kettle_nothing_is_made_up(tmp_path: Path) -> None:
    """Its limits let nothing pass: each coil of today is told as what it is, in the plain order."""
    planned = {
        "name": "Hopeless",
        "kettle": {"inside_diameter": "40 cm", "inside_height": "44 cm"},
        "wort": {"volume": "36 L"},
        "limits": {"chill_time": "2 min"},
    }
    found = regard(tmp_path, planned)
    plain = oc.recommend(oc.read(tmp_path / "today")).best
    assert plain is not None and found.replacement is None
    assert found.coils[0].design.id == plain.id and not any(c.kept for c in found.coils)
    lines = oc.recommend(oc.read(tmp_path / "today"), next_kettle=oc.read(tmp_path / "next")).lines()
    said = " ".join(" ".join(lines).split())
    assert f"says optichill recommend {tmp_path}/next" in said
    assert "no coil of these lists holds its limits" in said and not re.search(r"\b(inf|nan)\b", said)


def test_what_comes_then_is_what_its_file_gives_there(tmp_path: Path) -> None:
    planned = {**TODAY, "name": "Tall", "kettle": {"inside_diameter": "36 cm", "inside_height": "55 cm"}}
    found = oc.recommend(read(tmp_path, TODAY, "today"), next_kettle=read(tmp_path, planned, "next"))
    assert isinstance(found, ForSeveral) and isinstance(found.found, Regard)
    best = found.found.coils[0]
    assert best.kept and found.bench.brewhouse.name == "Tall"
    rated = oc.rate(found.save_coil(tmp_path / "coil.toml"), oc.read(tmp_path / "next"))
    assert rated.prediction.told.time == pytest.approx(best.there.design.told["chill_time"], rel=5e-3)
