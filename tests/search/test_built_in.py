"""What is built into the kettle takes its room whatever the brewer asks for: no way out goes below it, and
none moves what neither a line of a file nor a hand does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock

from optichill.problem.limits import LIMITS
from optichill.report.no_fit import nothing_fits
from optichill.search.answer import Answer
from optichill.search.recommend import recommend

WELL = [{"what": "well", "where": "wall", "height": "12 cm", "size": "20 mm"}]
"""Takes 25 mm of the room at the wall: its own and 5 mm of air."""

BY_HAND = {"stock_length", "riser_bend", "form_height"}
"""Limits whose step a hand takes: another roll, tool or form is got, and stands in the lists then."""


def kettle(folder: Path, across: str, clearance: str, **more: Any) -> Answer:
    house = {
        "kettle": {"inside_diameter": across, "wall_clearance": clearance, **more},
        "wort": {"volume": "12 L"},
        "workshop": {"riser_sides": "same", "marking_increment": "5 mm", "riser": "inside"},
    }
    if not more:
        house["workshop"]["riser"] = "outside"
    return recommend(small_stock.of(folder, house), top=1)


def test_a_step_that_leaves_what_is_built_in_its_room_is_offered_and_opens_a_coil(tmp_path: Path) -> None:
    """25.3 mm are there, the well takes 25, the brewer asks for 30."""
    answer = kettle(tmp_path / "asked", "25.5 cm", "30 mm", part=WELL)
    assert [[step.limit for step in way.steps] for way in answer.opened] == [["wall"]]
    assert 'wall_clearance = "25 mm" under [kettle]' in " ".join(nothing_fits(answer))
    assert kettle(tmp_path / "written", "25.5 cm", "25 mm", part=WELL).designs


def test_no_step_goes_below_what_is_built_in(tmp_path: Path) -> None:
    """24.8 mm are there: whatever the brewer asks for, no coil fits, and none is promised."""
    answer = kettle(tmp_path / "asked", "25.4 cm", "30 mm", part=WELL)
    said = " ".join(nothing_fits(answer))
    assert not answer.opened and "accept" not in said
    assert "24.8 mm, and what is built in takes 25 mm, whatever `wall_clearance` says" in said
    assert [other.form.form_id for other in answer.instead if other.form] == ["pipe"]
    assert not kettle(tmp_path / "written", "25.4 cm", "0 mm", part=WELL).designs


@pytest.mark.parametrize("across", ["24 cm", "23 cm"])
def test_no_step_moves_the_room_that_a_riser_takes(tmp_path: Path, across: str) -> None:
    answer = kettle(tmp_path, across, "0 mm")
    said = " ".join(nothing_fits(answer))
    assert not answer.designs and not answer.opened
    assert "beside the riser" not in said and "built in" not in said
    assert "A smaller form, or a tighter bend, would do." in said


def test_whatever_step_is_offered_has_a_line_or_a_hand() -> None:
    assert {x.name for x in LIMITS.values() if x.advice is not None and not x.written} == BY_HAND
