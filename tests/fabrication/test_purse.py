"""What a given coil costs and asks of its maker, against the limits stated for them."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_stock
from filed import difficulty_off
from own_coil import own_bench

import optichill as oc
from optichill.fabrication.purse import how_hard, stated
from optichill.report.sheet.notes import notes
from optichill.report.warnings import of_coil

TIGHT = {"limits": {"budget": 20, "difficulty": 1.5}}


def test_a_coil_that_is_given_is_as_hard_and_as_dear_as_when_it_was_found(tmp_path: Path) -> None:
    house = {"workshop": {"layouts": ["single", "nested", "parallel"]}}
    kettle = oc.read(small_stock.write(tmp_path, house))
    for design in oc.recommend(kettle).designs:
        plan = oc.plan_work(design, kettle).plan
        assert how_hard(plan) == pytest.approx(design.difficulty, abs=difficulty_off(plan))
        assert plan.bill.total == pytest.approx(design.bill.total, abs=1e-9)


def test_a_budget_and_a_difficulty_that_it_breaks_are_told_with_their_figures(tmp_path: Path) -> None:
    """On the sheet, by which it is built; of a coil that is there, and predicted, neither counts."""
    plan, _ = own_bench(tmp_path, TIGHT)
    lines = {line.name: line for line in stated(plan)}
    assert not lines["budget"].holds and lines["budget"].value == plan.bill.total
    hard = how_hard(plan)
    assert hard is not None and lines["difficulty"].value == hard > 1.5
    text = " ".join(notes(plan)).lower()
    assert f"the budget: {plan.bill.total:.0f} eur, wanted 20 eur." in text
    assert f"how hard the build may be: {hard:.1f} of 10, wanted 1.5 of 10." in text
    there = " ".join(of_coil(plan, plan.rating))
    assert "budget" not in there and "how hard the build" not in there


def test_what_holds_or_has_no_limit_is_not_told(tmp_path: Path) -> None:
    plan, _ = own_bench(tmp_path)
    assert stated(plan) == ()
    plan, _ = own_bench(tmp_path / "wide", {"limits": {"budget": 900, "difficulty": 9}})
    assert all(line.holds for line in stated(plan)) and "budget" not in " ".join(notes(plan))
