"""What the search leaves out is never missed: its answer against that of the whole product, row by row.

Three things are left out: pairs of forms and numbers of turns that break a limit for certain, chills that a
rough look shows to be no match for the front, and valves further shut than could still come near it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from row_keys import keys, on_dearer_rolls
from small_stock import Key
from tiers import count

from optichill.correlations import layers
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import OUT_OF_HAND, Checks
from optichill.search import enumeration as search_enumerate
from optichill.search.conflicts import conflicts
from optichill.search.enumeration import enumerate_space
from optichill.search.evaluate import Rows, chilled, rows
from optichill.search.front import Front, joined, rounded, steps_of
from optichill.search.recommend import recommend
from optichill.search.space import Space, space
from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.coil_performance import ROUGH, SEARCH, Coils
from optichill.thermal.cooldown import LONGEST, chill, throttled_at_least
from optichill.thermal.supply import Supply

# --- a stock with many pairs of forms ---------------------------------------------------------------------

TUBES = """\
cu-8-25|copper|8 mm|25 m|71|no
cu-10-10|copper|10 mm|10 m|41|no
cu-10-25|copper|10 mm|25 m|92|no
cu-12-15|copper|12 mm|15 m|30|yes
ss-10-15|stainless 304|10 mm|15 m|97|no"""
FORMS = """\
can|150 mm|12 cm|yes
pipe-16|160 mm|40 cm|no
pipe-20|200 mm|40 cm|no
keg|216 mm|55 cm|yes
pot|250 mm|25 cm|yes
pot-28|282 mm|25 cm|no"""
SHOP = {
    "layouts": ["single", "nested", "parallel"],
    "flow_settings": ["full", "half", "third"],
    "marking_increment": "5 mm",
}
PUMPED = {"source": "bucket", "pump": "small"}
ICE_LAST = [{"source": "tap", "until": "40 degC"}, {"source": "ice bath", "pump": "small", "water": "10 L"}]


def stock() -> small_stock.Lists:
    """Sizes of rolls in the trade, forms of a kitchen and a builders' merchant; prices are invented."""
    lists = small_stock.lists()
    tube, end = lists["tubing"][0], lists["fittings"][0]
    columns = ("stock_id", "material", "outer_diameter", "length", "price", "owned")
    lists["tubing"] = [
        {**tube, **dict(zip(columns, line.split("|"), strict=True))} for line in TUBES.splitlines()
    ]
    columns = ("form_id", "outer_diameter", "height", "owned")
    same = {"description": "", "circumference": "", "open_end": "yes", "price": "9"}
    lists["forms"] = [
        {**same, **dict(zip(columns, line.split("|"), strict=True))} for line in FORMS.splitlines()
    ]
    lists["fittings"].append({**end, "fitting_id": "comp-8", "outer_diameter": "8 mm"})
    return lists


def of(folder: Path, house: dict[str, Any]) -> DesignBasis:
    return small_stock.of(folder, {**house, "workshop": {**SHOP, **house.get("workshop", {})}}, stock())


# --- the whole product ------------------------------------------------------------------------------------


def at_flow(everything: Space, flow: int) -> Rows:
    """All rows with one setting of the valve."""
    return rows(everything, np.arange(flow, everything.size, len(everything.valve_shares)))


def goals_of(r: Rows, keep: np.ndarray, time: np.ndarray, water: np.ndarray) -> np.ndarray:
    return np.stack([time, r.cost[keep], water, r.difficulty[keep]], axis=1)


def plainness(everything: Space, r: Rows) -> np.ndarray:
    """Two layers are least plain, then the less plain of two forms, then a valve that is not open."""
    setups = everything.setups
    forms = np.maximum(setups.get("plainness", r.setup), setups.inside("plainness", r.setup))
    return 20.0 * (setups.layout[r.setup] > 0) + forms + 0.5 * (r.valve_share < 1.0)


def whole_front(everything: Space) -> Front:
    """Every row that holds every limit, in one go."""
    pieces, steps = [], steps_of(everything.basis.stock)
    for flow in range(len(everything.valve_shares)):
        r = at_flow(everything, flow)
        keep = np.flatnonzero(~r.checks.broken().any(axis=0))
        if not keep.size:
            continue
        result, checks = chilled(everything, r, keep)
        goals = goals_of(r, keep, result.time, result.water)
        holds = ~checks.broken().any(axis=0)
        pieces.append((r.number[keep][holds], goals[holds], plainness(everything, r)[keep][holds]))
    if not pieces:
        return Front.empty(steps)
    number, goals, plain = (np.concatenate(column) for column in zip(*pieces, strict=True))
    return joined(Front.empty(steps), Front.of(number, goals, plain))


def content(everything: Space, front: Front) -> dict[Key, tuple[float, ...]]:
    """Designs by what they are, with their rounded goals."""
    found = rounded(front.goals, front.steps).tolist()
    return dict(zip(keys(everything, front.number), map(tuple, found), strict=True))


def lost(front: Front, of_other: Front) -> np.ndarray:
    """Goals on one front that no design of the other meets within a step and 0.3 %."""
    allowed = front.goals + front.steps + 0.003 * np.abs(front.goals)
    met = (of_other.goals[None] <= allowed[:, None]).all(axis=2).any(axis=1)
    return front.goals[~met]


MAST = {"what": "mast", "where": "centre", "height": "40 cm", "size": "12 cm"}
WELL = {"what": "well", "where": "wall", "height": "12 cm", "size": "35 mm"}
VALVE = {"what": "valve", "where": "floor", "height": "3 cm", "size": "6 cm"}
TIGHT = {"chill_time": "25 min", "budget": 140, "water": "200 L", "difficulty": 6.0}


def some_of(names: Iterable[str], quick: int, rare: tuple[str, ...] = ()) -> list[Any]:
    """The first few for every run of the tests, the rest for the gate, the rare ones for the long run."""

    def tier(place: int, name: str) -> Any:
        return () if place < quick else pytest.mark.long if name.startswith(rare) else pytest.mark.slow

    return [pytest.param(n, marks=tier(i, n)) for i, n in enumerate(names)]


CASES: dict[str, dict[str, Any]] = {
    "now and then": {},
    "now and then, all limits": {"limits": TIGHT},
    "steady": {"wort": {"mixing": "steady"}},
    "steady, all limits": {
        "wort": {"mixing": "steady"},
        "limits": {"chill_time": "16 min", "budget": 160, "water": "120 L", "difficulty": 7.0},
    },
    "little water": {"limits": {"water": "90 L"}},
    "cold tap, lid": {"tap": {"temperature": "3 degC"}, "kettle": {"lid": True}},
    "tap a kelvin below the target": {"tap": {"temperature": "19 degC"}},
    "hanging": {"kettle": {"coil_rests": "hangs", "part": [VALVE]}},
    "shallow and wide": {
        "kettle": {"inside_diameter": "46 cm", "inside_height": "30 cm"},
        "wort": {"volume": "20 L"},
        "limits": {"budget": 150},
    },
    "on the floor, parts in the way": {
        "kettle": {"coil_rests": "floor", "mouth": "30 cm", "part": [MAST, WELL]}
    },
    "two batches": {"wort": {"volume": ["17 L", "24 L"]}},
    "risers on one side, inside": {"workshop": {"riser_sides": "same", "riser": "inside"}},
    "risers opposite, forms owned": {"workshop": {"riser_sides": "opposite", "forms_owned_only": True}},
    "two layers only": {"workshop": {"layouts": ["nested", "parallel"]}, "limits": {"difficulty": 7.0}},
    "bucket": {"cooling": [{**PUMPED, "bucket": "60 L", "refills": 2}]},
    "bucket to the drain": {"cooling": [{**PUMPED, "bucket": "20 L", "return": "drain"}]},
    "ice bath to the drain": {"cooling": [ICE_LAST[0], {**ICE_LAST[1], "ice": "6 kg", "return": "drain"}]},
}
STEPPED: dict[str, dict[str, Any]] = {
    "left alone, all limits": {
        "wort": {"mixing": "left alone"},
        "limits": {"chill_time": "60 min", "budget": 160, "water": "300 L", "difficulty": 7.0},
    },
    "left alone, hanging": {"wort": {"mixing": "left alone"}, "kettle": {"coil_rests": "hangs"}},
    "ice bath": {"cooling": [ICE_LAST[0], {**ICE_LAST[1], "ice": "6 kg"}]},
    "ice bath left alone": {
        "wort": {"mixing": "left alone"},
        "cooling": [ICE_LAST[0], {**ICE_LAST[1], "ice": "6 kg"}],
        "limits": {"chill_time": "50 min"},
    },
}
"""Chills in steps, whose number depends on the coils chilled together: up to 0.15 % of time from one set to
another, so that a goal may round to the step next to it."""


@dataclass(frozen=True)
class Both:
    """One case searched, and worked out whole."""

    basis: DesignBasis
    searched: Space
    front: Front
    whole: Space
    whole_front: Front


def both_ways(folder: Path, house: dict[str, Any], chunk: int = 20_000) -> Both:
    s = of(folder, house)
    searched, whole = space(s), space(s, prune=False)
    return Both(s, searched, enumerate_space(searched, chunk=chunk).front, whole, whole_front(whole))


RARE = (
    "cold tap", "hanging", "shallow and wide", "two batches", "risers", "bucket to the drain", "ice bath to"
)  # fmt: skip
"""Cases beside which others of their kind stay in the gate."""


@pytest.mark.parametrize("name", some_of(CASES, 5, RARE))
def test_the_front_is_that_of_the_whole_product(tmp_path: Path, name: str) -> None:
    case = both_ways(tmp_path, CASES[name])
    assert case.searched.raw == case.whole.size == case.whole.raw
    expected = content(case.whole, case.whole_front)
    assert len(expected) > 5
    assert content(case.searched, case.front) == expected


@pytest.mark.parametrize("name", some_of(STEPPED, 1, ("ice bath left",)))
def test_the_front_is_that_of_the_whole_product_where_chills_go_in_steps(tmp_path: Path, name: str) -> None:
    case = both_ways(tmp_path, STEPPED[name])
    assert len(case.whole_front) > 5
    assert lost(case.whole_front, case.front).size == 0
    assert lost(case.front, case.whole_front).size == 0


NARROW: dict[str, dict[str, Any]] = {
    "five valve settings": {
        "workshop": {"flow_settings": ["full", "three quarters", "half", "third", "fifth"]}
    },
    "nearly six hours": {"tap": {"temperature": "19.9 degC"}, "kettle": {"lid": True}},
    "left alone in deep wort": {
        "tap": {"temperature": "17 degC"},
        "wort": {"mixing": "left alone", "volume": "36 L"},
    },
}
"""Where what is left out comes near to what counts."""


@pytest.mark.parametrize("name", some_of(NARROW, 1, ("nearly six",)))
def test_nothing_on_the_front_of_the_whole_product_is_lost(tmp_path: Path, name: str) -> None:
    case = both_ways(tmp_path, NARROW[name])
    expected = content(case.whole, case.whole_front)
    missed = {key for key in expected if key not in content(case.searched, case.front)}
    assert len(missed) <= (0 if not case.basis.scenario.mixing.still else 0.02 * len(expected))


@pytest.mark.parametrize("name", some_of(CASES, 5, RARE))
def test_what_is_ruled_out_beforehand_breaks_a_limit(tmp_path: Path, name: str) -> None:
    s = of(tmp_path, CASES[name])
    searched, whole = space(s), space(s, prune=False)
    looked_at = np.concatenate([*searched.chunks(10**6)])
    beyond = np.concatenate([*searched.chunks(10**6, beyond=True), np.empty(0, np.intp)])
    dearer = on_dearer_rolls(searched)
    every = np.sort(np.concatenate([looked_at, beyond, dearer]))
    np.testing.assert_array_equal(every, np.arange(0, searched.size, len(searched.valve_shares)))
    assert 0 < looked_at.size < whole.size // len(whole.valve_shares)
    kept = {*keys(searched, looked_at), *keys(searched, dearer)}
    r = at_flow(whole, 0)
    holds = ~r.checks.broken().any(axis=0)
    assert kept >= {key for key, fits in zip(keys(whole, r.number), holds.tolist(), strict=True) if fits}


@pytest.mark.parametrize("chunk", [700, pytest.param(10**6, marks=pytest.mark.long)])
@pytest.mark.parametrize("name", ["now and then", "steady, all limits", "bucket to the drain"])
def test_one_chunk_and_many_give_the_same_answer(tmp_path: Path, name: str, chunk: int) -> None:
    s = of(tmp_path, CASES[name])
    one, other = (enumerate_space(space(s), chunk=rows_) for rows_ in (search_enumerate.CHUNK, chunk))
    np.testing.assert_array_equal(one.front.number, other.front.number)
    np.testing.assert_array_equal(*(rounded(found.front.goals, found.front.steps) for found in (one, other)))
    assert (one.buildable, one.cheapest) == (other.buildable, other.cheapest)


@pytest.mark.slow
def test_a_short_roll_in_deep_wort_left_alone_is_answered(tmp_path: Path) -> None:
    lists = small_stock.lists()
    for row in lists["tubing"]:
        row["length"] = "4 m"
    house = {
        "kettle": {"lid": True, "inside_height": "45 cm"},
        "tap": {"temperature": "17 degC"},
        "wort": {"mixing": "left alone", "volume": "36 L"},
    }
    assert recommend(small_stock.of(tmp_path, house, lists)).enumerated > 0


# --- plans with ice at random -----------------------------------------------------------------------------

LUMPS = ("small cubes", "blocks", "bags")


def ice_plan(rng: np.random.Generator) -> dict[str, Any]:
    """A brewhouse with ice that lasts, just lasts, or runs short, down the drain or round and round."""
    tap, target = float(rng.uniform(4.0, 26.0)), float(rng.uniform(17.0, 26.0))
    change = float(rng.uniform(max(tap, target) + 4.0, 60.0))
    iced = {
        "source": "ice bath",
        "pump": "small",
        "water": f"{rng.uniform(4.0, 20.0):.1f} L",
        "bucket": "40 L",
        "ice": f"{rng.choice([0.5, 1.0, 2.0, 4.0, 8.0]) * rng.uniform(0.8, 1.25):.2f} kg",
        "ice_lumps": str(rng.choice(LUMPS)),
        "return": str(rng.choice(["bucket", "bucket", "drain"])),
    }
    stages = [{"source": "tap", "until": f"{change:.1f} degC"}, iced]
    return {
        "tap": {"temperature": f"{tap:.1f} degC"},
        "wort": {
            "volume": f"{rng.uniform(12.0, 30.0):.0f} L",
            "mixing": str(rng.choice(["left alone", "now and then", "steady", "vigorous"])),
            "target_temperature": f"{target:.1f} degC",
        },
        "workshop": {"flow_settings": ["full", "half"]},
        "cooling": stages if rng.random() < 0.8 else stages[1:],
    }


@pytest.mark.slow
@pytest.mark.parametrize("part", range(count(1, 40)))
def test_plans_with_ice_keep_the_front_of_the_whole_product(tmp_path: Path, part: int) -> None:
    rng = np.random.default_rng([20261128, part])
    for i in range(count(4, 5)):
        folder = tmp_path / str(i)
        folder.mkdir()
        s = small_stock.of(folder, ice_plan(rng))
        searched, whole = space(s), space(s, prune=False)
        found, expected = enumerate_space(searched).front, whole_front(whole)
        assert lost(expected, found).size == 0
        assert lost(found, expected).size == 0


# --- when nothing fits ------------------------------------------------------------------------------------

NOTHING: dict[str, dict[str, Any]] = {
    "time and budget": {"limits": {"chill_time": "11 min", "budget": 95}},
    "water, time and budget": {"limits": {"water": "70 L", "chill_time": "20 min", "budget": 60}},
    **{
        f"{water}, time and budget": {"limits": {"water": water, "chill_time": "20 min", "budget": 60}}
        for water in ("66 L", "68 L", "72 L")
    },
    "water, time, budget and work": {
        "limits": {"water": "80 L", "chill_time": "21.2 min", "budget": 60, "difficulty": 3.3}
    },
    "difficulty and mouth": {"limits": {"difficulty": 1.5}, "kettle": {"mouth": "24 cm"}},
    "two layers round a wide mast": {
        "workshop": {"layouts": ["nested", "parallel"]},
        "kettle": {"part": [{**MAST, "size": "20 cm"}]},
        "limits": {"chill_time": "14 min", "budget": 90},
    },
    "shallow and wide": {
        "kettle": {"inside_diameter": "46 cm", "inside_height": "30 cm"},
        "wort": {"volume": "15 L"},
        "limits": {"chill_time": "6 min"},
    },
}


def patterns_of(everything: Space) -> dict[frozenset[str], float]:
    """Every set of limits that a row of the whole product breaks, with the nearest miss as a share."""
    found: dict[frozenset[str], float] = {}
    for flow in range(len(everything.valve_shares)):
        r = at_flow(everything, flow)
        checks: Checks = r.checks
        checks.merge(chilled(everything, r, np.arange(len(r)))[1])
        broken, names = checks.broken(), checks.names
        worst = np.where(broken, checks.steps(), 0.0).max(axis=0)
        kinds, kind_of = np.unique(broken, axis=1, return_inverse=True)
        for k, column in enumerate(kinds.T.tolist()):
            pattern = frozenset(n for n, b in zip(names, column, strict=True) if b)
            nearest = float(worst[kind_of.ravel() == k].min())
            found[pattern] = min(nearest, found.get(pattern, np.inf))
    return found


def blocking(patterns: set[frozenset[str]], largest: int) -> set[frozenset[str]]:
    """Minimal sets of limits that meet every pattern, by trying all."""
    names, found = sorted(set().union(*patterns)), set()
    for size in range(1, largest + 1):
        for chosen in map(frozenset, combinations(names, size)):
            if not any(f <= chosen for f in found) and all(chosen & p for p in patterns):
                found.add(chosen)
    return found


@pytest.mark.parametrize("name", some_of(NOTHING, 2, ("66 L", "68 L", "72 L", "shallow", "difficulty")))
def test_conflicts_and_steps_are_those_of_the_whole_product(tmp_path: Path, name: str) -> None:
    s = of(tmp_path, NOTHING[name])
    patterns = patterns_of(space(s, prune=False))
    enumeration = enumerate_space(space(s), chunk=20_000)
    assert frozenset() not in patterns and enumeration.feasible == 0
    told = conflicts(enumeration)
    assert {frozenset(names) for names in told.sets} == blocking(set(patterns), largest=4)
    alone = {p: miss for p, miss in patterns.items() if len(p) == 1 and miss < OUT_OF_HAND}
    steps = {frozenset(step.limit for step in r.steps): r for r in told.relaxations}
    if alone:
        assert set(steps) == set(alone)
    for pattern, relaxation in steps.items():
        misses = [abs(step.to - step.now) / max(abs(step.now), 0.01) for step in relaxation.steps]
        assert max(misses) == pytest.approx(patterns[pattern], rel=1e-6)


# --- what the search relies on, on coils and batches at random --------------------------------------------

SURELY = search_enumerate.ROUGH_SURELY
VALVES = (1.0, 1.0 / 2.0, 1.0 / 3.0, 1.0 / 5.0)
COILS = 120


def coils(layout: str, rng: np.random.Generator, stranded: float = 0.0) -> Coils:
    """Household coils of one layout at random, from two turns of a can to forty metres."""
    n = COILS
    d_o = rng.choice([6.35e-3, 8e-3, 9.525e-3, 10e-3, 12e-3, 12.7e-3, 15e-3], n)
    d_i = d_o - 2 * rng.choice([0.6e-3, 0.8e-3, 1e-3], n)
    pitch, turns = d_o * rng.uniform(1.0, 2.2, n), rng.uniform(2.0, 22.0, n)
    D = rng.uniform(0.14, 0.40, n)
    D_in = np.maximum(D - 2 * (d_o + rng.uniform(0.010, 0.050, n)), 0.06)
    outer, inner = (turns * np.hypot(np.pi * d, pitch) for d in (D, D_in))
    k, wet, risers = rng.choice([339.0, 15.0], n), rng.uniform(0.6, 1.0, n), rng.uniform(0.5, 1.5, n)
    same = {"d_o": d_o, "d_i": d_i, "k": k, "pitch": pitch, "stranded": stranded * rng.uniform(0.0, 1.0, n)}
    turns_of = {"single": outer, "nested": outer + inner, "parallel": np.stack([outer, inner])}[layout]
    D_c = {"single": D, "nested": (outer * D + inner * D_in) / (outer + inner)}.get(
        layout, np.stack([D, D_in])
    )
    tube = turns_of + risers
    share = {"single": 1.0, "nested": layers.mean_speed_share(inner, outer)}.get(
        layout, np.array([[1.0], [layers.INNER_SPEED]])
    )
    return Coils.of(
        **same,
        D_c=D_c,
        wetted_length=wet * turns_of,
        tube_length=tube,
        metal_capacity=np.pi / 4 * (d_o**2 - d_i**2) * tube * 8940.0 * 385.0,
        film_share=1.0 if layout == "single" else layers.film_share(D_in, D, d_o),
        speed_share=share,
    )


def throttled(c: Coils, valve_share: float) -> Coils:
    return replace(c, valve_share=np.full_like(c.valve_share, valve_share))


LAYOUTS = st.sampled_from(["single", "nested", "parallel"])
TAPS = st.builds(
    lambda pressure, litres_per_minute, bore: Supply.tap(
        static_pressure=pressure * 1e5, open_flow=litres_per_minute / 6e4, hose_bore=bore
    ),
    st.floats(1.0, 6.0),
    st.floats(3.0, 25.0),
    st.sampled_from([0.008, 0.0125, 0.019]),
)


@st.composite
def batches(draw: st.DrawFn, mixing: tuple[str, ...]) -> Scenario:
    """8 to 80 L, chilled to 2 K above the tap or less far, in a pot or a wide pan, with a lid or open."""
    volume, T = 1e-3 * draw(st.floats(8.0, 80.0)), 273.15 + draw(st.floats(2.0, 25.0))
    start = 273.15 + draw(st.floats(80.0, 100.0))
    return Scenario(
        volume=volume,
        plato=draw(st.floats(5.0, 25.0)),
        T_start=start,
        T_target=T + draw(st.floats(2.0, 30.0)),
        T_ambient=273.15 + draw(st.floats(0.0, 35.0)),
        kettle_diameter=draw(st.floats(1.0, 1.6)) * volume ** (1.0 / 3.0),
        stages=one_tap(T, draw(TAPS)),
        mixing=Mixing.of(draw(st.sampled_from(mixing))),
        lid=draw(st.booleans()),
    )


STIRRED = ("now and then", "steady", "whirlpool pump", "vigorous")
Figures = tuple[np.ndarray, np.ndarray]


def exceeds(at_most: Figures, true: Figures) -> np.ndarray:
    """Worst ratio of what is claimed to be no more than the true time and water, where both are known."""
    with np.errstate(invalid="ignore"):
        ratios = [claimed / real for claimed, real in zip(at_most, true, strict=True)]
    return np.max([r[np.isfinite(r)].max(initial=0.0) for r in ratios])


@settings(max_examples=count(40, 400), phases=[Phase.generate])
@given(batches(STIRRED), LAYOUTS, st.sampled_from(VALVES), st.integers(0, 10**6))
def test_a_rough_chill_is_no_longer_than_claimed(
    s: Scenario, layout: str, valve_share: float, seed: int
) -> None:
    c = throttled(coils(layout, np.random.default_rng(seed)), valve_share)
    rough, true = chill(c, s, ROUGH), chill(c, s, SEARCH)
    claimed = (SURELY * rough.time, SURELY * rough.water)
    assert exceeds(claimed, (true.time, true.water)) <= 1.0
    assert (np.isfinite(rough.time) | ~(true.time < SURELY * LONGEST)).all()


@settings(max_examples=count(15, 150), phases=[Phase.generate])
@given(batches(("left alone",)), LAYOUTS, st.sampled_from(VALVES), st.integers(0, 10**6))
def test_a_rough_chill_of_wort_left_alone_is_no_longer_than_claimed(
    s: Scenario, layout: str, valve_share: float, seed: int
) -> None:
    c = throttled(coils(layout, np.random.default_rng(seed)), valve_share)
    rough, true = chill(c, s, ROUGH), chill(c, s, SEARCH)
    claimed = (SURELY * rough.time, SURELY * rough.water)
    assert exceeds(claimed, (true.time, true.water)) <= 1.0


@settings(max_examples=count(30, 300), phases=[Phase.generate])
@given(batches((*STIRRED, "left alone")), LAYOUTS, st.integers(0, 10**6))
def test_a_throttled_coil_needs_at_least_what_is_claimed(s: Scenario, layout: str, seed: int) -> None:
    c = coils(layout, np.random.default_rng(seed))
    true, rough = ([chill(throttled(c, v), s, n) for v in VALVES] for n in (SEARCH, ROUGH))
    for i, j in combinations(range(len(VALVES)), 2):
        less = VALVES[j] / VALVES[i]
        # From a rough chill the search counts on a share of what is claimed.
        for known, share in ((true[i], 1.0), (rough[i], SURELY)):
            ends = np.flatnonzero(np.isfinite(known.time))
            time, water = throttled_at_least(known.take(ends), less)
            needs = (true[j].time[ends], true[j].water[ends])
            assert exceeds((share * time, share * water), needs) <= 1.0


def test_a_throttled_coil_needs_what_is_claimed_half_a_kelvin_above_the_tap() -> None:
    T = 273.15 + 24.0
    tap = Supply.tap(static_pressure=3e5, open_flow=20.0 / 6e4, hose_bore=0.0125)
    s = Scenario(
        volume=0.030,
        plato=12.0,
        T_start=371.15,
        T_target=T + 0.5,
        T_ambient=293.15,
        kettle_diameter=0.36,
        stages=one_tap(T, tap),
        mixing=Mixing.of("steady"),
    )
    c = coils("nested", np.random.default_rng(1))
    full, fifth = (chill(throttled(c, v), s, SEARCH) for v in (1.0, 0.2))
    assert exceeds(throttled_at_least(full, 0.2), (fifth.time, fifth.water)) <= 1.0


def test_nothing_is_claimed_of_a_throttled_coil_where_no_limit_was_worked_out() -> None:
    T = 273.15 + 12.0
    tap = Supply.tap(static_pressure=3e5, open_flow=20.0 / 6e4, hose_bore=0.0125)
    s = Scenario(0.023, 12.0, 371.15, 293.15, 293.15, 0.36, one_tap(T, tap), Mixing.of("left alone"))
    c = coils("single", np.random.default_rng(2), stranded=0.2)
    time, water = throttled_at_least(chill(c, s, SEARCH), 0.5)
    assert np.isnan(time).all() and np.isnan(water).all()
    assert (
        not Front(np.arange(1), np.ones((1, 4)), np.zeros(1), np.ones(1, int))
        .beats(np.stack([time, time, water, time], axis=1))
        .any()
    )
