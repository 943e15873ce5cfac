"""What the screen of `new-kettle` tells of one option: the form that it is wound on, rooms as `predict` has
them, what to take care of; and a table whose footnote has its column."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import new_kettles as nk
import pytest
import small_stock

import optichill as oc
from optichill.display import show
from optichill.owned.new_kettle.kept_options import Kept, keep
from optichill.owned.new_kettle.new_build import best_of, replaced
from optichill.owned.new_kettle.option import LeftOut, Option
from optichill.owned.new_kettle.ranked import NewKettle
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.coil_rating import quick_rating
from optichill.report.new_kettle.reasons import left_out, named
from optichill.report.new_kettle.screen import _bill, _cautions
from optichill.report.new_kettle.steps import fits
from optichill.report.new_kettle.told import Told
from optichill.report.words import limit_words
from optichill.search.recommend import search_space

PIPE = "drain pipe off-cut, EN 1401"


def kept(at: Path, new: dict[str, Any], stock: small_stock.Lists | None = None, **coil: Any) -> Kept:
    """The coil, and both kettles."""
    old, then = (oc.read(nk.house(at / name, of, stock)).basis for name, of in (("old", {}), ("new", new)))
    return Kept.of(old, then, nk.coil_of(**coil))


def told_of(of: Kept, *options: Option | LeftOut) -> Told:
    """An answer that has these options alone."""
    chosen = tuple(one for one in options if isinstance(one, Option))
    left = tuple(one for one in options if isinstance(one, LeftOut))
    before = quick_rating(of.old, of.coil)
    return Told.of(NewKettle(of.old, of.new, of.coil, before, chosen, left, None, None))  # type: ignore[arg-type]


def test_a_form_is_told_with_its_own_size_where_many_are_called_alike(tmp_path: Path) -> None:
    """As shops have pipe: one name, many sizes. What is bought is what is wound on."""
    stock = nk.rolls()
    for row in stock["forms"]:
        row |= {"description": PIPE, "owned": "no", "price": "17"}
    stock["forms"].insert(0, {**stock["forms"][0], "form_id": "decoy", "outer_diameter": "55 mm"})
    of = kept(tmp_path, nk.CASES["smaller"], stock)
    option = replaced(of, best_of(search_space(of.new)))
    assert isinstance(option, Option) and option.design is not None
    wound = option.design.winding.form.outer_diameter
    (line,) = (line for line in _bill(option, told_of(of, option)) if line.startswith("form:"))
    assert line.startswith(f"form: {PIPE} ({show(wound, 'length', 'metric')} across)")
    assert wound == option.sizes["form"] != 0.055


def test_a_pump_has_its_caution(tmp_path: Path) -> None:
    """Where the new kettle's plan runs one, and nowhere else."""
    without = oc.read(nk.house(tmp_path / "tap", {})).basis
    house = nk.house(tmp_path / "ice", {})
    file = house / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + small_stock.TAP_THEN_ICE, encoding="utf-8")
    with_one: DesignBasis = oc.read(house).basis
    assert with_one.pumps and not without.pumps
    assert any("GFCI/RCD" in said and "drip loop" in said for said in _cautions(None, with_one))
    assert not any("GFCI/RCD" in said for said in _cautions(None, without))


def test_a_room_that_is_short_is_told_as_the_warning_has_it(tmp_path: Path) -> None:
    """28 mm to the wall and 30 wished for are not "3 cm (wished for: 3 cm)"."""
    of = kept(tmp_path, {"kettle": {"inside_diameter": "32.6 cm", "wall_clearance": "30 mm"}})
    option = keep(of)
    assert isinstance(option, Option)
    said = fits(option, told_of(of, option))
    assert "28 mm from turns to wall (wished for: 30 mm)" in said


def test_what_does_not_pass_the_mouth_has_the_figures_of_predict(tmp_path: Path) -> None:
    """Risers that nobody has measured: as the tool bends them, and what to measure."""
    of = kept(tmp_path, {"kettle": {"mouth": "27.2 cm"}}, riser_bend_radius=None)
    out = keep(of)
    assert isinstance(out, LeftOut) and out.why == "mouth"
    (line,) = (x for x in quick_rating(of.new, of.coil).limits if x.name == "mouth")
    across = limit_words.told_apart(LIMITS["mouth"], line.value, line.limit, of.new)[0]
    said = left_out(out, told_of(of, out))
    assert (
        f"the coil is up to {across} across, the kettle's opening 27.2 cm" in said
        and "riser_bend_radius" in said
    )
    narrow = kept(tmp_path / "narrow", {"kettle": {"mouth": "25 cm"}}, riser_bend_radius=None)
    out = keep(narrow)  # its turns alone are 27 cm: nothing to measure
    assert isinstance(out, LeftOut) and "riser_bend_radius" not in left_out(out, told_of(narrow, out))


def test_what_hangs_nowhere_is_not_hung_otherwise(tmp_path: Path) -> None:
    """On feet in the old kettle: hooks are new to it."""
    on_feet = kept(tmp_path / "feet", {})
    assert named("hang", told_of(on_feet)) == "hung from the rim"
    hangs = oc.read(nk.house(tmp_path / "hangs", {"kettle": {"coil_rests": "hangs"}})).basis
    assert named("hang", told_of(Kept.of(hangs, on_feet.new, nk.coil_of()))) == "hung otherwise"


@pytest.mark.slow
def test_money_in_all_has_its_column_and_its_footnote_or_neither(tmp_path: Path) -> None:
    """A label of two things takes two lines, so that the figures stay at 80 columns."""
    found = nk.both(tmp_path, nk.CASES["higher by a hand"])
    assert any(" and pulled open to " in line for line in [found.to_dict()["options"][0]["title"]])
    for width in (60, 70, 80, 100):
        lines = found.lines(width)
        head = next(line for line in lines if "what becomes of it" in line)
        assert ("in all" in head) == any(line.startswith("In all: money") for line in lines)
        assert width < 80 or "in all" in head
    assert any(re.search(r"^ +and pulled open to \d+ mm", line) for line in found.lines(80))
