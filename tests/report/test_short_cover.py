"""Less wort over the top turn than is wished: told wherever a coil is told, one figure, never more than there
is; and what the price of a second coil leaves out."""

from __future__ import annotations

from pathlib import Path

import new_kettles as nk
import pytest
import small_stock
from own_coil import own_bench

import optichill as oc
from optichill.owned.new_kettle.kept_options import Kept, keep
from optichill.owned.new_kettle.option import Option
from optichill.owned.new_kettle.ranked import NewKettle
from optichill.owned.new_kettle.second_coil import pair
from optichill.rating.coil_rating import quick_rating
from optichill.report.new_kettle.screen import _bill
from optichill.report.new_kettle.told import Told
from optichill.report.several import next_kettle
from optichill.report.warnings import in_use
from optichill.report.words import limit_words
from optichill.search.next_kettle import Regard


def test_predict_tells_a_cover_that_is_too_small(tmp_path: Path) -> None:
    plan, _ = own_bench(tmp_path, {"kettle": {"top_clearance": "6 cm"}})
    (line,) = (x for x in plan.rating.limits if x.name == "submergence")
    assert 0.0 < line.value < line.limit and not line.holds
    there, wished = limit_words.over_the_top(line.value, line.limit, plan.basis)
    assert f"only {there} of wort stands over the top turn when it is cold, wished {wished}." in in_use(
        plan.rating, plan.basis
    )
    enough, _ = own_bench(tmp_path / "enough", {"kettle": {"top_clearance": "5 mm"}})
    assert not any("top turn" in text for text in in_use(enough.rating, enough.basis))


@pytest.mark.parametrize("over", [0.0114, 0.0026, 0.0149])
def test_a_room_is_not_told_as_more_than_there_is(tmp_path: Path, over: float) -> None:
    basis = small_stock.of(tmp_path)
    there, wished = limit_words.over_the_top(over, 0.015875, basis)
    assert float(there.split()[0]) / 1e3 <= over < float(there.split()[0]) / 1e3 + 1e-3
    assert wished == "16 mm"


def second(at: Path, stock: small_stock.Lists) -> tuple[Option, Told]:
    """A second coil beside one that is kept."""
    old, new = (oc.read(nk.house(at / name, {}, stock)).basis for name in ("old", "new"))
    of = Kept.of(old, new, nk.coil_of())
    option = pair(of, keep(of))
    assert isinstance(option, Option)
    before = quick_rating(of.old, of.coil)
    return option, Told.of(NewKettle(of.old, of.new, of.coil, before, (option,), (), None, None))  # type: ignore[arg-type]


def test_what_a_second_coil_lacks_is_named(tmp_path: Path) -> None:
    stock = nk.rolls()
    full, told = second(tmp_path / "full", stock)
    assert not any("not counted" in line for line in _bill(full, told))
    stock["fittings"] = [row for row in stock["fittings"] if row.get("used_at") != "tee"]
    bare, told = second(tmp_path / "bare", stock)
    assert any("not counted: 2 tees" in line for line in _bill(bare, told))
    clamps = [item.quantity for item in bare.bill.items if item.part == "clamp"]
    assert clamps and clamps == [item.quantity for item in full.bill.items if item.part == "clamp"]


@pytest.mark.slow
def test_a_coil_that_is_kept_with_less_wort_over_it_says_so(tmp_path: Path) -> None:
    """The next kettle asks for 5 cm, which no coil of today has there."""
    house = {"wort": {"volume": "23 L", "mixing": "now and then"}, "wishes": {"batches": 30}}
    first = oc.read(small_stock.write(tmp_path / "today", house))
    then = {**house, "name": "Next", "kettle": {"top_clearance": "9 cm"}}
    found = oc.recommend(first, next_kettle=oc.read(small_stock.write(tmp_path / "next", then))).found
    assert isinstance(found, Regard) and found.wished == pytest.approx(0.09)
    kept = [coil for coil in found.coils if coil.kept]
    assert kept
    for coil in kept:
        short = coil.there.design.submergence < 0.09
        assert ("wished 90 mm" in next_kettle.fate(coil, found)) is short
        assert next_kettle.fate(coil, found).endswith(", fits") is not short
    assert any(coil.there.design.submergence < 0.09 for coil in kept)
