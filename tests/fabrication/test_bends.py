"""The risers' bends: which comes first, between which radii, what the steps say of former, hook and mark."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from own_coil import own_bench

from optichill.fabrication import bends
from optichill.report.sheet.content import sheet
from optichill.report.sheet.document import Points, Steps

TALL = {"pitch": 0.032, "riser_length_out": 0.42}
"""Ten turns so tall that 20 mm are left between the bends of the OUT riser, of 30 mm radius."""


def said(folder: Path, **changes: Any) -> tuple[list[str], str]:
    """Steps of the work, and the notes on the first page."""
    plan, inputs = own_bench(folder, **changes)
    content = sheet(plan, inputs, "a4")
    assert content.stops == ()
    work = next(s for s in content.sections if s.title == "The work, in order")
    notes = [t for b in content.sections[0].blocks if isinstance(b, Points) for t in b.items]
    return [t for b in work.blocks if isinstance(b, Steps) for t, _ in b.items], " ".join(notes)


def test_rim_bend_first_is_said_once_and_done_once(tmp_path: Path) -> None:
    steps, notes = said(tmp_path, **TALL)
    assert "rim bend" not in notes.lower()
    (out,) = [t for t in steps if t.startswith("OUT riser")]
    assert out.index("RIM BEND FIRST") < out.index("Then the foot bend")
    (rim,) = [t for t in steps if "make the rim bends" in t]
    assert "IN in the" in rim and "OUT" not in rim
    ordinary, _ = said(tmp_path / "ordinary")
    assert "RIM BEND FIRST" not in " ".join(ordinary)


def test_a_spring_passes_no_bend(tmp_path: Path) -> None:
    plan, _ = own_bench(tmp_path, **TALL)
    (piece,) = plan.pieces
    out = piece.riser_out
    assert bends.rim_first(plan, piece, out) and not bends.rim_first(plan, piece, piece.riser_in)
    assert not bends.rim_first(replace(plan, tool=replace(plan.tool, kind="spring")), piece, out)


def test_a_spring_gets_a_former_and_both_bounds_of_the_radius(tmp_path: Path) -> None:
    """Tube of 10 mm bent to 40 mm lies on a disc of 70 mm. At the widest radius that is told both risers
    still climb over the rim and past the wall: by hand, from their lengths alone."""
    plan, _ = own_bench(tmp_path, riser_bend_radius=0.040)
    assert plan.tool.kind == "spring" and bends.former(plan) == pytest.approx(0.070)
    least, most = bends.bounds(plan)
    assert least == pytest.approx(0.040) and most > least
    kettle = plan.basis.brewhouse.kettle

    def left(R: float) -> float:
        """The scarcest of what the risers have left [m]."""
        found = []
        for piece in plan.pieces:
            for riser in (piece.riser_in, piece.riser_out):
                straight = kettle.inside_height + 0.030 - riser.foot - 2.0 * R
                level = riser.length - math.pi * R - straight
                out = R + math.hypot(plan.layers[0].diameter / 2.0, R)  # at least: the tangent's own place
                found += [straight, level - max(kettle.inside_diameter / 2.0 - out + 0.050, 0.0)]
        return min(found)

    assert left(most) >= -1e-9
    steps, _ = said(tmp_path / "said", riser_bend_radius=0.040)
    (step,) = [t for t in steps if t.startswith("The bends:")]
    assert "70 mm across" in step and "past square" in step
    widest = math.floor(most * 1e3 + 1e-6)
    assert f"40 mm to the tube's middle, wider up to {widest} mm, but not tighter." in step


@pytest.mark.parametrize(
    ("least", "most", "said"),
    [
        (0.035, 0.045, "at least 35 mm, at most 45 mm"),
        (0.040, 0.045, "wider up to 45 mm, but not tighter"),
        (0.035, 0.040, "tighter down to 35 mm, but not wider"),
        (0.0396, 0.0404, "neither tighter nor wider"),
    ],
)
def test_a_radius_is_told_by_the_bounds_that_it_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, least: float, most: float, said: str
) -> None:
    """Round a disc a bend of 40 mm may come out wider, tighter, both or neither."""
    plan, inputs = own_bench(tmp_path, riser_bend_radius=0.040)
    monkeypatch.setattr(bends, "bounds", lambda _: (least, most))
    told = str(sheet(plan, inputs, "a4"))
    assert told.count(f"{said}.") == 1 and f"{said}, round a former" in told


@pytest.mark.parametrize(
    ("least", "most", "sawn", "room"),
    [
        (0.040, 0.041, True, "has 1 mm of room"),
        (0.0396, 0.0404, True, "has no room"),
        (0.0385, 0.0412, True, "has 2 mm of room"),
        (0.040, 0.043, False, ""),
    ],
)
def test_a_radius_with_hardly_any_room_is_bent_round_a_sawn_disc(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, least: float, most: float, sawn: bool, room: str
) -> None:
    """One millimetre of room was told beside a disc, tin or pipe and a spring that sets no radius."""
    plan, inputs = own_bench(tmp_path, riser_bend_radius=0.040)
    monkeypatch.setattr(bends, "bounds", lambda _: (least, most))
    told = str(sheet(plan, inputs, "a4"))
    assert ("saw a disc of board" in told and "a disc of board, sawn to size, of 70 mm" in told) == sawn
    assert ("disc, tin or pipe" in told or "a disc or tin" in told) != sawn
    assert room in told and ("it must touch all along" in told) == sawn


def test_the_radius_of_a_lever_bender_has_no_bounds(tmp_path: Path) -> None:
    told = str(sheet(*own_bench(tmp_path), "a4"))
    assert "to the tube's middle, as the lever bender makes it" in told
    assert "not tighter" not in told


def test_a_lever_bender_has_its_zero_and_its_hook(tmp_path: Path) -> None:
    """The hook holds straight tube: that of the riser for a foot bend, of the free end for a rim bend, so
    that the handle, which lies along what is held, points away from the turns. Marks A to E lie along the IN
    riser, F to J along the OUT riser."""
    steps, _ = said(tmp_path)
    text = " ".join(steps)
    for place in (
        "hook on the side of the riser, its 0 on mark D, as far as E",
        "hook on the side of the riser, its 0 on mark G, as far as F",
        "hook on the side of the free end, its 0 on mark B, as far as C",
        "hook on the side of the free end, its 0 on mark I, as far as H",
    ):
        assert text.count(place) == 1, place
    assert (
        text.index("swing the lowest half turn out")
        < text.index("0 on mark D")
        < text.index("half turn back")
    )


def test_the_out_riser_is_marked_from_its_turn_and_cut_to_length(tmp_path: Path) -> None:
    """Marks G to J, counted from F, are the pieces of the riser one after another."""
    plan, _ = own_bench(tmp_path)
    steps, _ = said(tmp_path / "said")
    (out,) = [t for t in steps if t.startswith("OUT riser")]
    riser = plan.pieces[0].riser_out
    at = 0.0
    for mark, piece in zip("GHIJ", (riser.arc, riser.upright, riser.arc, riser.level), strict=True):
        at += piece
        told = float(out.split(f"{mark} at ")[1].split(" mm")[0]) / 1e3
        assert told == pytest.approx(at, abs=plan.step)
    (cut,) = [t for t in steps if t.startswith("Cut the ends")]
    assert "IN at mark A" in cut and "OUT at mark J" in cut


def test_a_roll_without_half_a_turn_to_spare_is_wound_to_its_last_mark(tmp_path: Path) -> None:
    """A roll of 10 m, a coil of 9.8: no half turn more in any step, nor a scrap that is not there."""
    steps, notes = said(tmp_path, turns=10.6, riser_length_out=0.46)
    text = " ".join(steps)
    assert "wind to the last mark and no further" in notes
    assert "half a turn on" not in text and "Straighten the tube behind" not in text
    assert "and no further" in text and "your roll leaves none" in text
    assert "your roll leaves none" not in " ".join(said(tmp_path / "enough")[0])


def test_turns_may_be_wound_off_the_roll_or_on_the_floor(tmp_path: Path) -> None:
    """Off the roll only the start is laid out, and turns are counted by whole ones and degrees."""
    plan, _ = own_bench(tmp_path)
    steps, _ = said(tmp_path / "said")
    (unroll,) = [t for t in steps if t.startswith("Unroll")]
    floor = plan.cut_length + plan.spare
    assert "OFF THE ROLL" in unroll and f"ON THE FLOOR: all of {floor:.1f} m" in unroll
    (wind,) = [t for t in steps if t.startswith("Wind on")]
    turns = plan.layers[0].turns_on_form
    whole, degrees = re.findall(r"(\d+) turns and (\d+) degrees more", wind)[0]
    assert int(whole) + int(degrees) / 360.0 == pytest.approx(turns, abs=2.5 / 360.0 + 1e-9)


def test_a_riser_inside_the_turns_is_not_bent_by_a_tool_that_does_not_reach_it(tmp_path: Path) -> None:
    plan, inputs = own_bench(tmp_path, {"workshop": {"riser": "inside"}})
    content = sheet(plan, inputs, "a4")
    work = next(s for s in content.sections if s.title == "The work, in order")
    steps = [t for b in work.blocks if isinstance(b, Steps) for t, _ in b.items]
    (first,) = [t for t in steps if t.startswith("IN riser")]
    assert "from below" in first and "lever bender" not in first


def test_both_marks_of_a_rim_bend_are_set_anew_in_the_kettle(tmp_path: Path) -> None:
    """Its tool is laid on one of them and stops at the other: pi/2 of 30 mm apart, to this bench's 2.5 mm."""
    steps, _ = said(tmp_path)
    (stand,) = [t for t in steps if t.startswith("Stand the coil")]
    assert "anew mark C of IN and H of OUT, and B and I where the bend ends, 47.5 mm on" in stand
