"""Advice to look for another form: taken, in the list of forms, it holds to the minute told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import small_stock

from optichill.report.form_advice import form_advice
from optichill.search.answer import Answer
from optichill.search.recommend import recommend

ONE_TUBE = "cu-12-15"


def found(folder: Path, *forms: dict[str, str], units: str = "metric", mixing: str = "left alone") -> Answer:
    """One tube and these forms."""
    stock = small_stock.lists()
    stock["forms"] = [{**stock["forms"][0], **form} for form in forms]
    house = {"units": units, "workshop": {"marking_increment": "5 mm"}, "wort": {"mixing": mixing}}
    folder.mkdir(parents=True, exist_ok=True)
    return recommend(small_stock.of(folder, house, stock), top=1, tube=ONE_TUBE)


NARROW = {"form_id": "narrow", "outer_diameter": "150 mm", "height": "20 cm"}


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_form_that_is_named_saves_what_is_told(tmp_path: Path, units: str) -> None:
    before = found(tmp_path / "before", NARROW, units=units)
    advice, said = before.form_advice, form_advice(before)
    assert advice is not None and len(said) == 1
    told = re.search(r"in the place of narrow .* would save (\d+) min a batch", said[0])
    assert told, said
    size = {"form_id": "found", "outer_diameter": f"{advice.diameter * 1e3:.3f} mm", "height": "40 cm"}
    after = found(tmp_path / "after", NARROW, size, units=units).designs[0]
    assert after.winding.form.form_id == "found"
    was, now = (d.prediction.chill_time or 0.0 for d in (before.designs[0], after))
    assert was - now >= 60.0 * int(told[1]) - 60.0 and int(told[1]) * 60.0 >= 0.10 * was - 60.0
    assert float(before.designs[0].life.total - after.life.total) >= 0.9 * advice.money


def test_nothing_is_said_where_the_form_at_hand_is_nearly_the_best(tmp_path: Path) -> None:
    narrow = found(tmp_path / "narrow", NARROW).form_advice
    assert narrow is not None
    best = {"form_id": "found", "outer_diameter": f"{narrow.diameter * 1e3:.3f} mm", "height": "40 cm"}
    answer = found(tmp_path / "best", NARROW, best)
    assert answer.form_advice is None and form_advice(answer) == []


def test_of_two_layers_nothing_is_said(tmp_path: Path) -> None:
    house = {"workshop": {"marking_increment": "5 mm", "layouts": ["nested"]}}
    assert recommend(small_stock.of(tmp_path, house), top=1).form_advice is None
