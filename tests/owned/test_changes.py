"""What may be proposed: where a coil may stand, how far it opens, what a hose lets through."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import fluids
import numpy as np
import pytest
import small_calibration
import small_stock
from hypothesis import given, settings
from hypothesis import strategies as st
from own_coil import SIZES
from tiers import count

from optichill.files.reading import Inputs, load, with_remarks
from optichill.model.coil import Coil
from optichill.model.stirring import more_motion
from optichill.model.tap import Tap
from optichill.owned.improve.changes import BREWHOUSE, COIL, Change, Edit, changed, toml
from optichill.owned.improve.of_coil import second_coil
from optichill.owned.improve.of_place import of_the_place
from optichill.owned.improve.of_water import of_the_water, open_flow_with
from optichill.owned.improve.ranked import Found
from optichill.owned.improve.seen import Seen
from optichill.properties import water
from optichill.rating.coil_rating import quick_rating
from optichill.report.improve.words import what_to_do


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Inputs:
    return load(small_stock.write(tmp_path_factory.mktemp("owned")))


def seen(inputs: Inputs, coil: dict[str, Any] | None = None, *edits: Edit) -> Seen:
    """A coil like a brewer's own in the small kettle, with lines changed."""
    there = with_remarks(replace(inputs, coil=Coil(**{**SIZES, **(coil or {})})))
    then = changed(there, edits)
    assert then is not None
    return Seen(then)


def kinds(ways: list[list[Change]]) -> dict[str, Change]:
    return {change.kind: change for some in ways for change in some}


# --- as the coil's own file says how it stands --------------------------------------------------------------

BY_TAPE = {
    "material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "outside_across": "25 cm",
    "overall_height": "11.5 cm", "turns": 7,
}  # fmt: skip
"""A coil of which tape and caliper tell all."""


def by_tape(inputs: Inputs, **more: Any) -> Seen:
    return Seen(with_remarks(replace(inputs, coil=Coil(**{**BY_TAPE, **more}))))


@pytest.mark.parametrize(
    ("told", "key"),
    [
        ({"stands": "feet", "feet_height": "12 cm"}, "feet_height"),
        ({"stands": "hangs", "hangs_below_rim": "5 cm"}, "hangs_below_rim"),
    ],
)
def test_a_coil_is_moved_in_the_terms_of_its_file(bench: Inputs, told: dict[str, str], key: str) -> None:
    """Down to the floor's clearance; what is written is read again, and holds the height that was told; one
    that hangs and is pulled open opens downwards, and keeps the height of its lowest turn."""
    now = by_tape(bench, riser_length_in="90 cm", riser_length_out="80 cm", **told)
    changes = [change for ways in of_the_place(now) for change in ways]
    lower = [change for change in changes if change.kind == "stand" and change.told["by"] < 0.0]
    assert lower and {edit.key for edit in lower[0].edits} == {key}
    then = changed(now.inputs, lower[0].edits)
    assert then is not None and then.coil is not None
    assert then.coil.lowest_turn_height == pytest.approx(lower[0].told["at"], abs=1e-9)
    assert lower[0].told["under"] == pytest.approx(now.inputs.brewhouse.kettle.floor_clearance, abs=0.0011)
    for change in changes:
        opened = changed(now.inputs, change.edits)
        assert opened is not None and opened.coil is not None, change
        if change.kind == "pull open" and change.told["at"] is None:
            least = now.coil.lowest_turn_height
            assert least <= opened.coil.lowest_turn_height + 1e-9 <= least + 0.0011


def test_ends_in_the_kettle_come_out_of_turns_that_are_unwound(bench: Inputs) -> None:
    """By hand: a turn of 24 cm at a pitch of 15 mm holds 75.4 cm of tube; both ends lie where the turns end,
    so one turn at each makes a riser."""
    now = by_tape(bench, riser_length_in="0 m", riser_length_out="0 m", feet_height="25 mm")
    assert now.hangs_in
    (change,) = (c for ways in of_the_place(now) for c in ways if c.kind == "longer risers")
    written = {edit.key: edit.value for edit in change.edits}
    assert (change.told["in"], change.told["out"], written["turns"]) == (1, 1, 5.0)
    assert written["riser_length_in"] == written["riser_length_out"] == "754 mm"
    then = changed(now.inputs, change.edits)
    assert then is not None and not Seen(then).hangs_in
    whole = [c.helix_length + c.riser_length_in + c.riser_length_out for c in (now.coil, Seen(then).coil)]
    assert whole[1] == pytest.approx(whole[0], abs=0.002)
    out = by_tape(bench, riser_length_in="90 cm", riser_length_out="80 cm", feet_height="25 mm")
    assert not out.hangs_in


def test_what_reaches_over_the_rim_does_not_go_in(bench: Inputs) -> None:
    """On feet of 40 cm in a kettle of 40 cm: not in; nor three metres of coil, which nobody has wound."""
    ends = {"riser_length_in": "90 cm", "riser_length_out": "80 cm"}
    high = by_tape(bench, feet_height="40 cm", **ends)
    assert not high.goes_in and not high.cannot_be
    lower = next(c for ways in of_the_place(high) for c in ways if c.kind == "stand")
    then = changed(high.inputs, lower.edits)
    assert then is not None and Seen(then).goes_in
    tall = by_tape(bench, feet_height="25 mm", **{**ends, "overall_height": "3 m"})
    assert not tall.goes_in and tall.cannot_be


# --- lines -------------------------------------------------------------------------------------------------


def test_what_is_written_reads_back_the_same() -> None:
    """By the reader of the standard library."""
    value = {"with": 'a "paddle"\\', "motion": "slow", "seconds": 30, "on": True, "list": [1.5, "x"]}
    assert tomllib.loads(f"value = {toml(value)}")["value"] == value
    iced = {"source": "precooled tap", "precooler": {"turns": 12, "wall": "1 mm"}, "ice": "6 kg"}
    plan = Edit(BREWHOUSE, "", "cooling", [{"source": "tap", "until": "30 degC"}, iced])
    assert tomllib.loads("\n".join(plan.lines))["cooling"] == plan.value
    layers = Edit(COIL, "", "coil.layer", [{"pitch": "12 mm", "turns": 7}, {"pitch": "12 mm", "turns": 6}])
    assert tomllib.loads("\n".join(["[coil]", *layers.lines]))["coil"]["layer"] == layers.value


def test_what_a_file_may_not_hold_is_no_change(bench: Inputs) -> None:
    assert changed(bench, [Edit(BREWHOUSE, "kettle", "inside_height", "9 m")]) is None
    assert changed(bench, [Edit(BREWHOUSE, "wort", "no_such_key", 1)]) is None
    pumped = [{"source": "bucket", "pump": "no such pump", "water": "10 L"}]
    assert changed(bench, [Edit(BREWHOUSE, "", "cooling", pumped)]) is None


# --- where it may stand ------------------------------------------------------------------------------------

LENGTHS = st.tuples(
    st.floats(0.08, 0.30), st.floats(0.010, 0.030), st.floats(2.0, 14.0), st.floats(0.01, 0.30)
)


@settings(max_examples=count(30, 1000))
@given(sizes=LENGTHS, rests=st.sampled_from(["feet", "floor", "hangs"]))
def test_no_coil_is_moved_out_of_the_wort_or_into_the_floor(
    bench: Inputs, sizes: tuple[float, float, float, float], rests: str
) -> None:
    """By Archimedes: wort and the tube of the turns fill the kettle to a level that the risers can only
    raise, and the top turn stays its clearance under it."""
    D, pitch, turns, height = sizes
    coil = {"mean_diameter": D, "pitch": pitch, "turns": turns, "lowest_turn_height": height}
    now = seen(bench, coil, Edit(BREWHOUSE, "kettle", "coil_rests", rests))
    kettle, d = now.inputs.brewhouse.kettle, now.coil.outer_diameter
    for change in (change for some in of_the_place(now) for change in some):
        then = changed(now.inputs, change.edits)
        assert then is not None and then.coil is not None
        c = then.coil
        top = c.lowest_turn_height + c.turns * c.pitch + d / 2.0
        tube = math.pi / 4.0 * d**2 * c.helix_length
        level = (now.basis.cold_volume + tube) / kettle.area
        moved_or_opened = c.pitch > now.coil.pitch or c.lowest_turn_height > now.coil.lowest_turn_height
        if moved_or_opened and Seen(then).stands_no_worse(now):
            risers_ = 2.0 * math.pi / 4.0 * d**2 * kettle.inside_height / kettle.area
            assert top <= level + risers_ - kettle.top_clearance + 2e-3, change
        if c.lowest_turn_height < now.coil.lowest_turn_height:
            least = 0.0 if rests == "floor" else kettle.floor_clearance
            assert c.lowest_turn_height - d / 2.0 >= least - 1e-9, change


def test_a_coil_that_hangs_out_comes_down_and_one_near_the_floor_stays(bench: Inputs) -> None:
    high = kinds(of_the_place(seen(bench, {"lowest_turn_height": 0.22, "turns": 6.0})))
    assert high["stand"].told["by"] < 0.0
    low = of_the_place(seen(bench, {"turns": 6.0}))
    assert all(change.told["by"] > 0.0 for change in low[0])


def test_risers_that_are_too_short_keep_a_coil_up(bench: Inputs) -> None:
    """40 cm of kettle: an end of 20 cm does not reach its rim from lower down."""
    hung = {"lowest_turn_height": 0.22, "turns": 6.0, "riser_length_in": 0.20, "riser_length_out": 0.12}
    assert all(change.told["by"] > 0.0 for change in of_the_place(seen(bench, hung))[0])


@pytest.mark.parametrize("pitch", [0.010, 0.014])
def test_pulling_a_coil_open_takes_no_more_tube(bench: Inputs, pitch: float) -> None:
    now = seen(bench, {"pitch": pitch, "turns": 6.0})
    ways = of_the_place(now)[1]
    assert ways
    for change in ways:
        then = changed(now.inputs, change.edits)
        assert then is not None and then.coil is not None and then.coil.pitch > now.coil.pitch
        # A tape reads a turn's round to a millimetre or two.
        assert then.coil.helix_length / then.coil.turns == pytest.approx(
            now.coil.helix_length / 6.0, abs=2.5e-3
        )


# --- water -------------------------------------------------------------------------------------------------


FLOW = 7e-3 / 60  # m3/s, of the bucket test


@pytest.mark.parametrize(("bore", "long"), [(0.019, 25.0), (0.008, 10.0), (0.0127, 4.0)])
def test_another_hose_lets_through_what_a_pipe_library_says(bore: float, long: float) -> None:
    """The tap's own share by the bucket test, the hoses' by `fluids` (smooth pipe): within 6 %, for the 3 %
    by which two formulas differ over the old hose are a tenth of what it leaves to the tap."""
    tap = Tap(temperature=285.15, open_flow=FLOW, hose_bore=0.008, hose_length=25.0, static_pressure=3e5)
    rho, mu = float(water.density(285.15)), float(water.viscosity(285.15))

    def hose(V: float, d: float, L: float) -> float:
        v = V / (math.pi / 4.0 * d**2)
        f = fluids.friction_factor(Re=rho * v * d / mu, eD=0.0)
        return float((1.0 + f * L / d) * rho * v**2 / 2.0)

    rest = (3e5 - hose(FLOW, 0.008, 25.0)) / FLOW**2
    assert rest > 0.0
    flows = np.linspace(1e-5, 2e-3, 20_000)
    taken = np.array([rest * V**2 + hose(V, bore, long) for V in flows])
    expected = float(np.interp(3e5, taken, flows))
    assert open_flow_with(tap, bore, long) == pytest.approx(expected, rel=0.06)


def test_the_hose_that_is_there_lets_through_what_was_timed() -> None:
    tap = Tap(temperature=285.15, open_flow=12e-3 / 60, hose_bore=0.0125, hose_length=10.0)
    assert open_flow_with(tap, 0.0125, 10.0) == pytest.approx(12e-3 / 60, rel=1e-6)


def test_a_pressure_that_no_gauge_read_is_higher_where_the_hose_says_so() -> None:
    """10 L/min through 25 m of 8 mm hose take 4.5 bar: more than the 3 that are assumed."""
    tap = Tap(temperature=285.15, open_flow=10e-3 / 60, hose_bore=0.008, hose_length=25.0)
    assert open_flow_with(tap, 0.008, 25.0) == pytest.approx(10e-3 / 60, rel=1e-6)
    assert open_flow_with(tap, 0.008, 12.5) > 1.3 * 10e-3 / 60


def test_a_valve_is_opened_only_where_one_holds_water_back(bench: Inputs) -> None:
    assert "open the valve" not in kinds(of_the_water(seen(bench)))
    assert "open the valve" in kinds(of_the_water(seen(bench, {"flow": 3e-3 / 60})))


# --- stirring, a second coil -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mixing", "expected"),
    [
        ("left alone", [("paddle", "slow")]),
        ("now and then", [("paddle", "slow")]),
        ("steady", [("paddle", "brisk")]),
        ("vigorous", []),
        ("whirlpool pump", []),
        ("spoon, slow, 15 s a minute", [("paddle", "slow"), ("spoon", "slow")]),
        ("spoon, slow", [("paddle", "slow")]),
        ("coil, slow, 15 s a minute", [("coil", "slow")]),
        ("coil, slow", [("coil", "brisk")]),
        ("whirlpool pump, 15 s a minute", [("whirlpool pump", None)]),
        ("paddle, brisk", []),
        ("0.2 m/s", []),
    ],
)
def test_who_stirs_goes_on_with_what_is_in_use(
    bench: Inputs, mixing: str, expected: list[tuple[str, str | None]]
) -> None:
    then = changed(bench, [Edit(BREWHOUSE, "wort", "mixing", mixing)])
    assert then is not None and more_motion(then.brewhouse.wort.mixing) == expected


def test_a_second_coil_leaves_room_for_its_riser_and_is_of_the_same_tube(bench: Inputs) -> None:
    both = Edit(BREWHOUSE, "workshop", "layouts", ["single", "nested", "parallel"])
    now = seen(bench, {"turns": 6.0, "mean_diameter": 0.30}, both)
    ways = second_coil(now)
    assert {way.told["joined"] for way in ways} == {"tees", "series"}
    for way in ways:
        then = changed(now.inputs, way.edits)
        assert then is not None and then.coil is not None
        outer, inner = then.coil.layers
        assert outer.mean_diameter == pytest.approx(0.30) and inner.turns == 6.0
        between = (outer.mean_diameter - inner.mean_diameter) / 2.0 - then.coil.outer_diameter
        assert between >= 0.02  # a riser of 10 mm, with 5 mm of air on both sides
        assert way.told["tube"].material == now.coil.material and way.buys and way.buys > 41.0
    assert second_coil(seen(bench, {"turns": 6.0})) == []  # the workshop asks for one layer


def test_the_lines_of_a_second_coil_leave_nothing_told_twice_and_can_be_measured_off(bench: Inputs) -> None:
    """A coil by string and scales: its file then holds two layers, wall and ends to a mark of a tape."""
    both = Edit(BREWHOUSE, "workshop", "layouts", ["single", "nested", "parallel"])
    told = {"turns": 6.0, "string_round": 0.9739, "overall_height": 0.106}
    told |= {"bought_length": 6.6, "weight": 1.66}
    keys = ("material", "outer_diameter", "lowest_turn_height")
    mine = replace(bench, coil=Coil(**{key: SIZES[key] for key in keys}, **told))
    now = changed(with_remarks(mine), [both])
    assert now is not None
    ways = second_coil(Seen(now))
    assert ways
    for way in ways:
        # The tube of both is told in place of the roll that the first was made of.
        assert {edit.key for edit in way.edits if edit.value is None} == set(told) - {"bought_length"}
        assert sum(edit.key == "bought_length" for edit in way.edits) == 1
        written = {edit.key: edit.value for edit in way.edits if edit.key.startswith(("wall", "riser"))}
        assert len(written) == 3 and all(len(value) <= len("0.99 mm") for value in written.values()), written
        then = changed(now, way.edits)
        assert then is not None and then.coil is not None and len(then.coil.layers) == 2


def test_stainless_is_not_offered_copper(bench: Inputs) -> None:
    both = Edit(BREWHOUSE, "workshop", "layouts", ["single", "nested", "parallel"])
    steel = {"material": "stainless 304", "turns": 6.0, "mean_diameter": 0.30}
    for way in second_coil(seen(bench, steel, both)):
        assert way.told["tube"].material == "stainless 304"


def test_changes_that_want_one_line_do_not_go_together() -> None:
    up = Change("a", (Edit(COIL, "coil", "lowest_turn_height", "30 mm"),))
    open_ = Change("b", (Edit(COIL, "coil", "pitch", "20 mm"),))
    low_and_open = Change("c", (*open_.edits, *up.edits))
    later = Change("d", (Edit(BREWHOUSE, "cooling[1]", "until", "30 degC"),))
    cubes = Change("e", (Edit(BREWHOUSE, "cooling[2]", "ice_lumps", "small cubes"),))
    plan = Change("f", (Edit(BREWHOUSE, "", "cooling", [{"source": "tap"}]),))
    assert not up.clashes(open_) and up.clashes(low_and_open)
    assert not later.clashes(cubes) and plan.clashes(cubes) and cubes.clashes(plan)


def test_the_file_is_what_is_told_of(tmp_path: Path, bench: Inputs) -> None:
    """A coil that says nothing of its height stands on the kettle's feet also after a change."""
    sizes = {key: value for key, value in SIZES.items() if key != "lowest_turn_height"}
    there = with_remarks(replace(bench, coil=Coil(**sizes)))
    then = changed(there, [Edit(BREWHOUSE, "kettle", "floor_clearance", "50 mm")])
    assert then is not None and then.coil is not None
    assert then.coil.lowest_turn_height == pytest.approx(0.055)


def test_a_measured_coil_is_told_as_predict_tells_it(bench: Inputs) -> None:
    """What is its own counts as long as the coil is the same, also where the wort is stirred otherwise."""
    fit = small_calibration.fitted()
    n = fit.calibration.mean.size
    moved = replace(fit.calibration, mean=np.full(n, 0.1))
    coil = small_calibration.coil()
    now = Seen(with_remarks(replace(bench, coil=coil, calibration=moved)))
    assert now.basis.of_coil == fit.calibration.coils[0].name
    assert now.told.time == pytest.approx(quick_rating(now.basis, now.coil).prediction.told.time, rel=1e-5)
    then = changed(now.inputs, [Edit(BREWHOUSE, "wort", "mixing", "steady")])
    assert then is not None and Seen(then).basis.of_coil == now.basis.of_coil


# --- steps that a hand has to make ------------------------------------------------------------------------


def test_feet_where_there_are_none_cost_their_wire(tmp_path: Path) -> None:
    """Off the floor, on feet of wire that the list sells by the metre: no less than taller feet for one that
    stands on some already, of the same height then."""
    stock = small_stock.lists()
    copper = next(row for row in stock["fittings"] if row["fitting_id"] == "wire")
    stock["fittings"].append({**copper, "fitting_id": "feet", "used_at": "feet", "price": "1"})
    bench = load(small_stock.write(tmp_path, None, stock))
    ends = {"riser_length_in": "90 cm", "riser_length_out": "80 cm"}
    lain, stood = by_tape(bench, stands="floor", **ends), by_tape(bench, feet_height="25 mm", **ends)
    new, taller = (kinds(of_the_place(now))["stand"] for now in (lain, stood))
    assert new.buys is not None and new.buys > 0.0
    assert new.told["at"] == pytest.approx(taller.told["at"], abs=0.002)
    assert new.buys == pytest.approx(taller.buys, rel=0.02)


def test_hooks_of_a_coil_that_is_pulled_open_are_told(bench: Inputs) -> None:
    """By hand: its lowest turn stays, so its top rises by what it gets taller, and hooks are as much shorter;
    the sentence has the figure of the line to write."""
    ends = {"riser_length_in": "90 cm", "riser_length_out": "80 cm"}
    now = by_tape(bench, stands="hangs", hangs_below_rim="21 cm", **ends)
    opened = [c for ways in of_the_place(now) for c in ways if c.kind == "pull open"]
    change = next(c for c in opened if c.told["at"] is None)
    then = changed(now.inputs, change.edits)
    assert then is not None and then.coil is not None and then.coil.hangs_below_rim is not None
    shorter = 0.21 - then.coil.hangs_below_rim
    assert shorter >= 0.005 and change.told["hooks"] == pytest.approx(shorter, abs=1e-6)
    said = what_to_do(Found(now, change, Seen(then)))
    assert f"on hooks {1e3 * shorter:.0f} mm shorter" in said and "below the rim" in said
    on_feet = by_tape(bench, feet_height="25 mm", **ends)
    on = kinds(of_the_place(on_feet))["pull open"]
    again = changed(on_feet.inputs, on.edits)
    assert again is not None and "hooks" not in what_to_do(Found(on_feet, on, Seen(again)))
