"""A coil that is bent already, as it stands in another kettle: lengths by hand."""

from __future__ import annotations

import math
from pathlib import Path

import new_kettles as nk
import pytest
from filed import turns_off

import optichill as oc
from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.work_plan import plan_work
from optichill.geometry import risers
from optichill.owned.new_kettle import kept_coil, ways
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import quick_rating


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> DesignBasis:
    return oc.read(nk.house(tmp_path_factory.mktemp("house") / "old", {})).basis


def test_risers_are_bent_as_their_tube_allows(old: DesignBasis) -> None:
    """The level part lies 3 cm over the rim of 34; it takes what the climb and two quarter circles leave, and
    ends so far from the axis of a riser that stands a tube and 5 mm of air outside the turns, or on its own
    bend's tangent, whichever is farther."""
    coil = nk.coil_of()
    into, out = kept_coil.bent_risers(old, coil)
    assert (into.name, into.from_top, out.name, out.from_top) == ("IN", False, "OUT", True)
    assert into.over == pytest.approx(0.37 - 0.03)
    assert out.over == pytest.approx(0.37 - 0.03 - 10 * 0.016)
    level = 0.360 - 2 * (math.pi / 2 * 0.040) - (0.180 - 2 * 0.040)
    assert out.ends == pytest.approx(math.hypot(0.13, 0.04) + 0.040 + level)
    # One bend straightened: a quarter circle of 40 mm is 62.8 mm of tube, and rose 40.
    assert out.straight == pytest.approx(0.360 - (math.pi / 2 * 0.040 - 0.040))


def test_a_riser_that_ends_below_its_own_rim_ends_there(old: DesignBasis) -> None:
    into, _ = kept_coil.bent_risers(old, nk.coil_of(riser_length_in=0.30))
    assert into.over == pytest.approx(0.30 - (math.pi / 2 * 0.040 - 0.040))


@pytest.mark.parametrize(("rim", "short"), [(0.34, 0.0), (0.36, 0.0), (0.37, 0.005), (0.40, 0.035)])
def test_risers_reach_over_a_rim_that_they_can_lie_on(tmp_path: Path, rim: float, short: float) -> None:
    """The level part, bent at 37 cm, needs 5 mm of half its tube over the new rim; set so much higher it
    reaches."""
    new = oc.read(nk.house(tmp_path / "new", {"kettle": {"inside_height": f"{rim} m"}})).basis
    old = oc.read(nk.house(tmp_path / "old", {})).basis
    coil = nk.coil_of()
    bent = kept_coil.bent_risers(old, coil)
    found = kept_coil.too_short(new, coil, bent)
    assert [one.short for _, one in found] == pytest.approx([short] * 2 if short else [])
    assert ways.reach(new, coil, bent) == pytest.approx(0.03 + rim + 0.005 - 0.37)
    higher = kept_coil.set_at(coil, 0.03 + short)
    assert not kept_coil.too_short(new, higher, bent)


def test_a_riser_that_ends_over_the_wort_of_a_wide_kettle(tmp_path: Path, old: DesignBasis) -> None:
    new = oc.read(nk.house(tmp_path / "new", {"kettle": {"inside_diameter": "60 cm"}})).basis
    coil = nk.coil_of()
    bent = kept_coil.bent_risers(old, coil)
    names = {one.name for _, one in kept_coil.too_short(new, coil, bent)}
    assert names == {"inside"} and all(riser.ends < 0.30 + risers.PAST_THE_WALL for riser in bent)


def test_a_coil_hangs_by_its_own_hooks(tmp_path: Path) -> None:
    """From a rim 10 cm higher it hangs 10 cm higher; from a lower one lower, but never below the floor."""
    hangs = {"kettle": {"coil_rests": "hangs"}}
    old = oc.read(nk.house(tmp_path / "old", hangs)).basis
    higher = oc.read(nk.house(tmp_path / "a", {"kettle": {"inside_height": "44 cm"}})).basis
    lower = oc.read(nk.house(tmp_path / "b", {"kettle": {"inside_height": "26 cm"}, "volume": "12 L"})).basis
    coil = nk.coil_of(lowest_turn_height=0.07)
    assert ways.as_it_is(old, higher, coil).lowest_turn_height == pytest.approx(0.17)
    assert ways.as_it_is(old, lower, coil).lowest_turn_height == pytest.approx(0.005)
    assert ways.as_it_is(higher, old, coil).lowest_turn_height == pytest.approx(0.07)  # on its feet


def test_turns_that_are_pulled_open_take_the_tube_they_have() -> None:
    coil = nk.coil_of()
    opened = kept_coil.pulled_open(coil, 0.020)
    assert opened.pitch == 0.020 and opened.mean_diameter < coil.mean_diameter
    assert opened.helix_length == pytest.approx(coil.helix_length)
    written = kept_coil.in_a_file(opened)
    assert written.helix_length == pytest.approx(coil.helix_length, abs=turns_off(written))


@pytest.mark.parametrize(
    ("of", "name"),
    [
        ({"kettle": {"inside_diameter": "26 cm"}, "volume": "14 L"}, "wall"),
        ({"kettle": {"mouth": "25 cm"}}, "mouth"),
        ({"kettle": {"inside_height": "18 cm"}, "volume": "12 L"}, "rim"),
        ({"volume": "30.5 L"}, "headspace"),
        ({"volume": "9 L"}, "dry"),
        ({"kettle": {"part": [{"what": "tap", "where": "wall", "height": "9 cm", "size": "5 cm"}]}}, "part"),
        (
            {"kettle": {"part": [{"what": "screen", "where": "floor", "height": "4 cm", "size": "30 cm"}]}},
            "floor",
        ),
    ],
)
def test_what_keeps_a_coil_out_is_what_a_build_sheet_stops_at(tmp_path: Path, of: dict, name: str) -> None:
    """Whatever stops the sheet of this coil is found here too; a coil in air stops no sheet."""
    new = oc.read(nk.house(tmp_path / "new", of)).basis
    coil = nk.coil_of()
    mine = {one.name for one in kept_coil.hindrances(new, coil)}
    assert name in mine
    bent = kept_coil.bent_risers(new, coil)
    mine |= {one.name for _, one in kept_coil.too_short(new, coil, bent)}
    sheet = {"below_rim" if o.name == "leg_below_rim" else o.name for o in obstacles(plan_work(new, coil))}
    assert sheet <= mine | {"leg_inside", "riser_height"} and (name == "dry" or name in sheet)


@pytest.mark.parametrize(("told", "keeps_out"), [({"riser_bend_radius": None}, False), ({}, True)])
def test_a_bend_that_nobody_has_measured_keeps_no_coil_out(
    tmp_path: Path, told: dict[str, None], keeps_out: bool
) -> None:
    """A rim 19 cm over the lowest turn, 3 cm over the highest one: two bends of 4 cm have no room there; of a
    radius that is only taken from a tool at hand that says nothing."""
    tall = oc.read(nk.house(tmp_path / "tall", {"kettle": {"inside_height": "60 cm"}})).basis
    new = oc.read(nk.house(tmp_path / "new", {"kettle": {"inside_height": "22 cm"}, "volume": "18 L"})).basis
    coil = nk.coil_of(riser_length_in=0.8, riser_length_out=0.64, **told)
    found = kept_coil.too_short(new, coil, kept_coil.bent_risers(tall, coil))
    assert ("riser_height" in [one.name for _, one in found]) is keeps_out


def test_risers_that_nobody_has_measured_pass_no_mouth_that_predict_finds_too_small(tmp_path: Path) -> None:
    """27 cm of turns in a mouth of 27.2, 27 and 30 cm: what is told of the coil there is one figure, that of
    the limit that `predict` warns of."""
    coil = nk.coil_of(riser_bend_radius=None)
    for mouth, passes in (("27.2 cm", False), ("27 cm", False), ("30 cm", True)):
        new = oc.read(nk.house(tmp_path / mouth, {"kettle": {"mouth": mouth}})).basis
        (line,) = (x for x in quick_rating(new, coil).limits if x.name == "mouth")
        found = [one for one in kept_coil.hindrances(new, coil) if one.name == "mouth"]
        assert line.holds is passes and [one.value for one in found] == ([] if passes else [line.value])
