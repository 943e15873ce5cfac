"""Sizes of a coil on the bench: by tape, string and scales, and where they contradict each other."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from own_coil import SIZES
from pydantic import ValidationError

from optichill.display import FOOT, INCH, POUND
from optichill.model.coil import Coil
from optichill.model.measured import Room, mean_of
from optichill.model.mismatches import mismatches

EIGHTH, MILLIMETRE = INCH / 8, 1e-3
KITCHEN = Room(riser=0.65, mouth=0.33)
TUBES = ((0.008, 0.001), (0.010, 0.001), (0.009525, 0.0008128), (0.0127, 0.0008128), (0.012, 0.001))


def rounded(size: float, mark: float) -> float:
    """As a tape is read: to the nearest mark."""
    return round(size / mark) * mark


def test_tube_left_over_is_told_with_what_each_length_is_used_for() -> None:
    """Ten turns 26 cm across and 0.96 m of risers are pi x 2.604 + 0.96 = 9.14 m, of 15 m bought."""
    (said,) = mismatches(Coil(**SIZES, bought_length=15.0))
    assert "15.00 m" in said and "9.14 m" in said
    assert "water runs as through the first, heat passes as through the second" in said


# --- what is drawn and measured reads back ------------------------------------------------------------------


@st.composite
def helices(draw: st.DrawFn) -> dict[str, Any]:
    """A drawn coil that fits a household's kettle: tube, diameter, pitch, turns, ends."""
    d_o, wall = draw(st.sampled_from(TUBES))
    return {
        "d_o": d_o,
        "wall": wall,
        "mean": draw(st.floats(0.16, 0.38)),
        "pitch": d_o + draw(st.floats(0.0, 0.02)),
        "turns": draw(st.integers(6, 32)) / 2.0,
        "riser": draw(st.floats(0.2, 0.6)),
        "mark": draw(st.sampled_from((MILLIMETRE, EIGHTH))),
        "way": draw(st.sampled_from(("outside_across", "inside_across", "string_round"))),
    }


def by_tape(h: dict[str, Any]) -> dict[str, Any]:
    """The keys of one layer, as a person reads them off."""
    width = {
        "outside_across": h["mean"] + h["d_o"],
        "inside_across": h["mean"] - h["d_o"],
        "string_round": math.pi * (h["mean"] + h["d_o"]),
    }[h["way"]]
    over = h["turns"] * h["pitch"] + h["d_o"]
    return {
        h["way"]: rounded(width, h["mark"]),
        "overall_height": rounded(over, h["mark"]),
        "turns": h["turns"],
    }


def agrees(found: Any, h: dict[str, Any]) -> None:
    """Diameter within half a mark (of a string a third of that), pitch within half a mark over all turns."""
    across = 0.5 * h["mark"] / (math.pi if h["way"] == "string_round" else 1.0)
    assert abs(found.mean_diameter - h["mean"]) <= across + 1e-9
    assert abs(found.pitch - h["pitch"]) <= 0.5 * h["mark"] / h["turns"] + 1e-9


@given(helices())
def test_a_coil_by_tape_reads_back_within_what_a_tape_errs(h: dict[str, Any]) -> None:
    """Its length too: half a mark on the diameter is N pi times that of tube, which its risers take."""
    helix = h["turns"] * math.hypot(math.pi * h["mean"], h["pitch"])
    length = rounded(helix + 2.0 * h["riser"], 0.01)
    weight = rounded(math.pi * h["wall"] * (h["d_o"] - h["wall"]) * 8940.0 * length, 0.01)
    coil = Coil(material="copper", outer_diameter=h["d_o"], bought_length=length, weight=weight, **by_tape(h))
    agrees(coil, h)
    slack = h["turns"] * math.pi * 0.5 * h["mark"] + 0.02
    assert abs(coil.riser_length_in - h["riser"]) <= slack
    assert coil.takes == pytest.approx(length)
    assert coil.wall == pytest.approx(h["wall"], rel=0.05)
    assert mismatches(coil, room=Room(riser=1.0)) == ()


@given(helices(), st.floats(0.011, 0.03), st.integers(-2, 2))
def test_two_layers_by_tape_read_back(h: dict[str, Any], apart: float, more: int) -> None:
    """The outer layer by its width, the inner one from inside, where no tape gets round it."""
    inner = {**h, "mean": h["mean"] - 2.0 * (h["d_o"] + apart), "way": "inside_across"}
    inner["turns"] = h["turns"] + more / 2.0
    assume(inner["mean"] > 5.0 * h["d_o"])
    helix = sum(x["turns"] * math.hypot(math.pi * x["mean"], x["pitch"]) for x in (h, inner))
    coil = Coil(
        material="copper",
        outer_diameter=h["d_o"],
        wall=h["wall"],
        layout="nested",
        layer=[by_tape(inner), by_tape(h)],
        bought_length=helix + 2.0 * h["riser"],
    )
    for layer, drawn in zip(coil.layers, (h, inner), strict=True):
        agrees(layer, drawn)
    assert coil.mean_diameter == coil.layers[0].mean_diameter
    assert mismatches(coil, room=Room(riser=1.0)) == ()


def test_a_string_and_both_ways_across_are_one_diameter() -> None:
    """A tape of 27 cm over the turns, 25 inside and a string of 84.8 cm are one coil of 26 cm, of 10 mm."""
    ways = {"outside_across": 0.27, "inside_across": 0.25, "string_round": math.pi * 0.27}
    assert [mean_of(key, size, 0.010) for key, size in ways.items()] == pytest.approx([0.26] * 3)
    both = Coil(**ON_THE_BENCH, string_round=0.87)
    (said,) = mismatches(both)
    assert "string_round is 870 mm, by outside_across and tube it is 848.2 mm: measure again" in said


# --- what cannot be, with its cause -------------------------------------------------------------------------

ON_THE_BENCH: dict[str, Any] = {
    "material": "copper",
    "outer_diameter": 0.010,
    "wall": 0.001,
    "outside_across": 0.27,
    "overall_height": 0.17,
    "turns": 10.0,
    "bought_length": 9.4,
}
"""10 turns of 26 cm take 8.17 m, and 0.6 m is left for each riser; 9.4 m of 10 x 1 mm copper are 2.38 kg."""


def refused(**changes: Any) -> str:
    sizes = {k: v for k, v in {**ON_THE_BENCH, **changes}.items() if v is not None}
    with pytest.raises(ValidationError) as caught:
        Coil.model_validate(sizes, context={"room": KITCHEN})
    (error,) = caught.value.errors(include_url=False)
    return "{key}: {reason} ({allowed})".format(**error["ctx"])


def warned(**changes: Any) -> str:
    sizes = {k: v for k, v in {**ON_THE_BENCH, **changes}.items() if v is not None}
    return " ".join(mismatches(Coil.model_validate(sizes, context={"room": KITCHEN}), room=KITCHEN))


def test_the_coil_on_the_bench_is_sound() -> None:
    assert warned() == "" and warned(weight=2.38) == "" and warned(wall=None, weight=2.38) == ""


@pytest.mark.parametrize(
    ("changes", "key", "cause"),
    [
        # Half of 20 turns is the 10 that 9.4 m and 17 cm have room for.
        ({"turns": 20.0}, "overall_height", "turns = 10 (were they counted on both sides?)"),
        ({"turns": 20.0, "overall_height": 0.35}, "bought_length", "turns = 10 (were they counted on both"),
        # 84.8 cm is the way round 27 cm.
        ({"outside_across": 0.848}, "bought_length", 'string_round = "848 mm" (is it the way round'),
        # 12 turns of 10 mm stand 13 cm where they touch: 11 would stand 12, and leave tube for the ends.
        ({"overall_height": 0.12, "turns": 12.0, "bought_length": 10.4}, "overall_height", "turns = 11"),
        # 27 cm written for a string: 8.6 cm across, of which 10 turns take 2.4 m and leave 7.
        ({"outside_across": None, "string_round": 0.032}, "string_round", "measure string_round and"),
        # A solid rod of 10 mm weighs 0.702 kg/m (8.94 g/cm3): 6.6 kg.
        ({"wall": None, "weight": 7.0}, "weight", 'weight = "3.18 kg" (pounds, not kilograms?)'),
        ({"wall": None, "weight": 60.0}, "weight", "weigh the dry coil without fittings, hose and water"),
        # Risers that are told: 8.17 m of turns leave 1.23 m for both.
        (
            {"riser_length_in": 1.6, "riser_length_out": 1.6},
            "bought_length",
            "riser_length_in and riser_length_out = 0.62 m each",
        ),
        ({"outside_across": 0.03}, "outside_across", "more than 30 mm"),
    ],
)
def test_what_cannot_be_is_refused_with_its_cause(changes: dict[str, Any], key: str, cause: str) -> None:
    said = refused(**changes)
    assert said.startswith(f"{key}: ") and cause in said, said


def test_where_several_sizes_would_explain_it_each_is_told_with_its_figure() -> None:
    """7.7 m of tube for 8.17 m of turns: half a turn fewer takes 7.76, turns of 24.5 cm 7.7."""
    said = refused(bought_length=7.7)
    assert "any one of these would explain it: turns = 9.5 (miscounted?); " in said
    assert '; bought_length = "8.17 m" or more: measure again' in said
    across = float(said.split('outside_across = "')[1].split(" mm")[0]) / 1e3
    length = 10.0 * math.hypot(math.pi * (across - 0.010), 0.016)
    assert length == pytest.approx(7.7, abs=0.005)


def test_scales_tell_which_of_tape_and_turns_is_wrong() -> None:
    """9.4 m of this tube weigh 2.38 kg: of 7.7 m told the length is wrong, not the turns; of 9.4 m told, of
    which 12 turns would take 9.8, the turns are."""
    length = refused(bought_length=7.7, weight=2.38)
    assert length.endswith('most likely bought_length = "9.42 m" (as it weighs): measure again)')
    turns = refused(turns=13.0, weight=2.38)
    assert turns.endswith("most likely turns = 11.5 (miscounted?): measure again)")
    half_a_roll = warned(bought_length=20.0, weight=2.38)
    assert 'most likely bought_length = "9.42 m" (as it weighs)' in half_a_roll


@pytest.mark.parametrize("turns", [0.5, 0.75, 1.0])
def test_no_fewer_turns_are_advised_than_a_coil_may_have(turns: float) -> None:
    """Half a turn 1 cm tall was "most likely turns = 0.25", which is refused in its turn."""
    said = refused(turns=turns, overall_height=0.010, bought_length=None)
    advised = [float(found) for found in re.findall(r"turns = ([0-9.]+)", said)]
    assert all(found >= 0.5 for found in advised), said


def test_where_no_size_alone_explains_it_all_are_to_be_measured_again() -> None:
    said = refused(bought_length=4.0)
    assert said.endswith("(8.17 m or more; measure bought_length, turns and their diameter again)")


@pytest.mark.parametrize(
    ("changes", "cause"),
    [
        # 13.5 cm from the middle is a coil of 27 cm.
        ({"outside_across": 0.135, "overall_height": 0.17}, 'outside_across = "270 mm" (is it measured from'),
        # 27 cm said to be the way round: 8.6 cm across, 8.6 - 1 = 7.6 from middle to middle.
        ({"outside_across": None, "string_round": 0.27}, 'outside_across = "270 mm" (is it the width'),
        # 17 m: 8.8 m are left, risers take 1.3; a turn 22 cm across takes 0.69.
        ({"bought_length": 17.0}, "a second layer of about 11 turns inside"),
        ({"bought_length": 40.0}, "count the turns (a second layer?), and measure length, turns and"),
        ({"bought_length": 11.5}, "turns = 12 (miscounted?)"),
        # Fittings of 0.4 kg on 2.38.
        ({"weight": 2.78}, 'weight = "2.38 kg" (was it weighed with fittings, hose or water?)'),
        # 10 x 0.8 weighs 0.2067 kg/m: 1.94 kg.
        ({"weight": 1.943}, 'wall = "0.8 mm"'),
        ({"weight": 2.38 / POUND}, 'weight = "2.38 kg" (pounds, not kilograms?)'),
        ({"wall": None, "weight": 5.9}, 'thick for tube of 10 mm: most likely weight = "2.68 kg" (pounds'),
    ],
)
def test_what_is_unlikely_is_told_with_its_cause(changes: dict[str, Any], cause: str) -> None:
    said = warned(**changes)
    assert cause in said, said


PLUMBING: dict[str, Any] = {
    **{k: v for k, v in ON_THE_BENCH.items() if k != "wall"},
    "outer_diameter": 0.375 * INCH,
    "outside_across": 10.5 * INCH,
    "overall_height": 7.0 * INCH,
    "turns": 8.0,
    "bought_length": 25.0 * FOOT,
}


@pytest.mark.parametrize(
    ("metal", "sizes", "told"),
    [
        # ASTM B88 3/8 in nominal, type L: 0.198 lb/ft, so 25 ft weigh 4.95 lb; its outside is 1/2 in.
        ("copper", {"weight": 4.95 * POUND}, True),
        # Type K of that name has walls of 0.049 in, and no 3/8 in tube has.
        ("copper", {"wall": 0.049 * INCH}, True),
        # ASTM B280 3/8 in: 0.134 lb/ft. And of stainless no plumber has names.
        ("copper", {"weight": 3.35 * POUND}, False),
        ("copper", {"wall": 0.032 * INCH}, False),
        ("stainless 304", {"wall": 0.049 * INCH}, False),
    ],
)
def test_a_plumbers_name_for_the_outside_is_told(metal: str, sizes: dict[str, Any], told: bool) -> None:
    coil = Coil(**{**PLUMBING, "material": metal, **sizes})
    said = " ".join(mismatches(coil, "us"))
    assert ('3/8 in may be 1/2 in outside: outer_diameter = "1/2 in"?' in said) is told, said


def test_a_weight_against_a_wall_that_is_told_asks_for_both() -> None:
    """4.2 lb on 25 ft of 3/8 by 0.032 in, which weigh 3.34: hose and water, or 1/2 in by that name."""
    (said,) = mismatches(Coil(**PLUMBING, wall=0.032 * INCH, weight=4.2 * POUND), "us")
    assert 'outer_diameter = "1/2 in"' in said and 'weight = "3.34 lb" (was it weighed with' in said


OFF = st.floats(-1.0, 1.0)


@given(helices(), OFF, OFF, OFF, OFF)
def test_what_a_hand_errs_by_is_never_called_impossible(
    h: dict[str, Any], wide: float, high: float, thick: float, long: float
) -> None:
    """3 mm across and in height, 0.15 mm on the tube, 1 % of its length: turns that touch may be measured a
    little lower than they can be, and a tube a little shorter than its turns."""
    helix = h["turns"] * math.hypot(math.pi * h["mean"], h["pitch"])
    d_o = h["d_o"] + 1.5e-4 * thick
    coil = Coil(
        material="copper",
        outer_diameter=d_o,
        wall=h["wall"],
        outside_across=h["mean"] + h["d_o"] + 0.003 * wide,
        overall_height=h["turns"] * h["pitch"] + h["d_o"] + 0.003 * high,
        turns=h["turns"],
        bought_length=(helix + 2.0 * h["riser"]) * (1.0 + 0.01 * long),
    )
    assert coil.pitch >= d_o and coil.riser_length_in >= 0.0
    assert not [text for text in mismatches(coil, room=Room(riser=1.0)) if "most likely" in text]


SIZE = st.floats(1e-3, 9.9)


@given(
    st.fixed_dictionaries(
        {
            "outer_diameter": st.floats(0.003, 0.06),
            "turns": st.floats(0.5, 500.0),
            "overall_height": SIZE,
            "bought_length": st.floats(0.2, 1000.0),
            "weight": st.floats(1e-3, 500.0),
        },
        optional={
            "wall": st.floats(2e-4, 0.005),
            "riser_length_in": st.floats(0.0, 5.0),
            "riser_length_out": st.floats(0.0, 5.0),
            "pitch": st.floats(0.003, 0.5),
        },
    ),
    st.dictionaries(st.sampled_from(("outside_across", "inside_across", "string_round")), SIZE, min_size=1),
    st.sampled_from(("metric", "us")),
)
def test_whatever_is_written_is_read_or_refused_with_a_place(
    sizes: dict[str, Any], across: dict[str, float], units: str
) -> None:
    try:
        coil = Coil.model_validate({"material": "copper", **sizes, **across}, context={"units": units})
    except ValidationError as error:
        assert all(found["type"] == "refused" and found["ctx"]["key"] for found in error.errors())
        return
    assert coil.pitch >= coil.outer_diameter - 1e-4 and coil.bore > 0.0 and coil.mean_diameter > 0.0
    assert "nan" not in " ".join(mismatches(coil, units, KITCHEN))


@given(helices(), st.integers(0, 3))
def test_a_slip_of_a_sound_coil_is_found(h: dict[str, Any], slip: int) -> None:
    """Turns counted twice, a radius, a string's length for a width, one for a string: where it is told as
    wrong at all, nothing else alone explains it, or it is among what does."""
    h = {**h, "way": "string_round" if slip == 3 else "outside_across", "mark": MILLIMETRE}
    helix = h["turns"] * math.hypot(math.pi * h["mean"], h["pitch"])
    sizes = by_tape(h) | {"bought_length": helix + 2.0 * h["riser"], "wall": h["wall"]}
    key, right = ("turns", h["turns"]) if slip == 0 else ("outside_across", h["mean"] + h["d_o"])
    if slip == 0:
        sizes["turns"] *= 2.0
    elif slip == 1:
        sizes["outside_across"] /= 2.0
    elif slip == 2:
        key, sizes["outside_across"] = "string_round", math.pi * sizes["outside_across"]
    else:
        sizes["string_round"] = h["mean"] + h["d_o"]
    context = {"room": Room(riser=0.65)}
    try:
        coil = Coil.model_validate(
            {"material": "copper", "outer_diameter": h["d_o"], **sizes}, context=context
        )
        said = " ".join(mismatches(coil, room=Room(riser=0.65)))
    except ValidationError as error:
        said = str(error.errors(include_url=False)[0]["ctx"]["allowed"])
    assume(said)
    if key == "turns":
        assert f"turns = {right:g} (were they counted on both sides?)" in said
    else:
        assert f'{key} = "' in said


# --- how it stands ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("told", "lowest"),
    [
        ({"stands": "floor"}, 0.005),
        ({"stands": "feet", "feet_height": 0.03}, 0.035),
        ({"feet_height": 0.03}, 0.035),
        ({"lowest_turn_height": 0.05}, 0.05),
        ({"stands": "hangs", "lowest_turn_height": 0.05}, 0.05),
        ({"stands": "feet", "feet_height": 0.03, "lowest_turn_height": 0.037}, 0.037),
    ],
)
def test_the_lowest_turn_follows_from_how_it_stands(told: dict[str, Any], lowest: float) -> None:
    coil = Coil(**ON_THE_BENCH, **told)
    assert coil.lowest_turn_height == pytest.approx(lowest) and not coil.standing.asked


@pytest.mark.parametrize(
    ("told", "key", "why"),
    [
        ({"stands": "hangs"}, "hangs_below_rim", "missing"),
        ({"stands": "floor", "feet_height": 0.03}, "feet_height", 'stands is "floor"'),
        ({"stands": "feet", "hangs_below_rim": 0.1}, "hangs_below_rim", 'stands is "feet"'),
        ({"feet_height": 0.03, "hangs_below_rim": 0.1}, "hangs_below_rim", "both given"),
        (
            {"stands": "floor", "lowest_turn_height": 0.05},
            "lowest_turn_height",
            'by stands = "floor" it is 5 mm',
        ),
        (
            {"feet_height": 0.03, "lowest_turn_height": 0.05},
            "lowest_turn_height",
            "by feet_height it is 35 mm",
        ),
    ],
)
def test_a_coil_stands_in_one_way(told: dict[str, Any], key: str, why: str) -> None:
    said = refused(**told)
    assert said.startswith(f"{key}: ") and why in said, said
