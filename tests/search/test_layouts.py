"""One layer, two layers of one tube, two tubes on tees: what tells them apart, and what each must share.

Judgement of how hard a layout is to build follows this project's own order (OWN): one layer is easier than
either way to make two.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from row_keys import keys

from optichill.files.reading import load, packaged
from optichill.layouts import LAYOUTS, trait
from optichill.problem.basis import DesignBasis, design_basis
from optichill.search.designs import Design, designs
from optichill.search.enumeration import enumerate_space
from optichill.search.evaluate import Rows, chill_of, coils, jobs, rows
from optichill.search.space import Space, space
from optichill.thermal import cooldown
from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.coil_performance import CONVERGED, SEARCH, CoilPerformance, Coils
from optichill.thermal.cooldown import chill, ends
from optichill.thermal.hydraulics import Circuit
from optichill.thermal.supply import Supply

SHOP = {
    "layouts": ["single", "nested", "parallel"],
    "flow_settings": ["full", "half", "fifth"],
    "riser_sides": "same",
    "marking_increment": "5 mm",
}
LITRE_A_MINUTE = 1e-3 / 60.0
NAMES = tuple(LAYOUTS)
NESTED, PARALLEL = NAMES.index("nested"), NAMES.index("parallel")


def everything(folder: Path, stock: small_stock.Lists | None = None, **house: Any) -> Space:
    """Every row of the small stock in all layouts."""
    shop = {**SHOP, **house.pop("workshop", {})}
    return space(small_stock.of(folder, {**house, "workshop": shop}, stock), prune=False)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Space:
    return everything(tmp_path_factory.mktemp("layouts"))


@pytest.fixture(scope="module")
def full(small: Space) -> Rows:
    """All rows with the valve open."""
    return rows(small, np.arange(0, small.size, len(small.valve_shares)))


def of_layout(of: Space, r: Rows, name: str) -> np.ndarray:
    return np.flatnonzero(of.setups.layout[r.setup] == NAMES.index(name))


def twins(of: Space, r: Rows, name: str) -> tuple[np.ndarray, np.ndarray]:
    """Coils of a layout, and the single layers on their outer form with the same tool, gap and turns."""
    found = keys(of, r.number)
    one = {(k[:2], k[3:5], k[6:]): i for i, k in enumerate(found) if k[2] == "single"}
    setups = [
        (i, one[k[:2], k[3:5], k[6:]])
        for i, k in enumerate(found)
        if k[2] == name and (k[:2], k[3:5], k[6:]) in one
    ]
    two, single = np.array(setups).T
    assert two.size > 50
    return two, single


def in_full(of: Space, r: Rows, name: str, **more: Any) -> Design:
    """A middling design of a layout."""
    places = of_layout(of, r, name)
    return designs(of, r.number[places[[places.size // 2]]], None, np.zeros(1, np.intp), **more)[0]


# --- how the water comes and goes -------------------------------------------------------------------------


def test_a_nested_tube_has_both_ends_on_top(small: Space, full: Rows) -> None:
    sunk = full.shape.sunk(full.placement.lowest)
    nested, parallel, single = (of_layout(small, full, n) for n in ("nested", "parallel", "single"))
    below, above = np.asarray(sunk.bottom_risers), np.asarray(sunk.top_risers)
    assert (below[:, nested] == 0.0).all() and (above[:, nested] == 1.0).all()
    # Two tubes on tees: each has one from below and one from above, four in all.
    assert (below[:, parallel].sum(axis=0) + above[:, parallel].sum(axis=0) == 4.0).all()
    assert (below[:, single].sum(axis=0) == 1.0).all() and (above[:, single].sum(axis=0) == 1.0).all()
    # Both risers of a nested tube start at the top, so they differ only by how far each is from the wall.
    risers = full.placement.riser_in[nested] - full.placement.riser_out[nested]
    R_b = full.shape.R_b[nested]
    to_wall = np.hypot(full.shape.D_c[nested] / 2, R_b) - np.hypot(full.shape.innermost[nested] / 2, R_b)
    np.testing.assert_allclose(risers, to_wall, atol=1e-12)


def test_bends_up_to_the_rim_are_two_a_riser(small: Space, full: Rows) -> None:
    assert trait("riser_bends").tolist() == [4, 4, 8]
    for name, bends in (("nested", 4), ("parallel", 8)):
        i = int(of_layout(small, full, name)[0])
        one_bend = small.setups.get("one_bend", full.setup[[i]])[0]
        assert jobs(small, full)[i].bends == pytest.approx(bends * one_bend)


def test_one_tube_has_two_joints_and_two_tubes_have_four_and_their_tees(small: Space, full: Rows) -> None:
    bills = {
        name: {item.what: item.quantity for item in in_full(small, full, name).bill.items} for name in LAYOUTS
    }
    joints = {
        name: sum(n for what, n in bill.items() if "compression" in what or "barbed" in what)
        for name, bill in bills.items()
    }
    tees = {name: bill.get("tee for hose", 0) for name, bill in bills.items()}
    assert joints == {"single": 2, "nested": 2, "parallel": 4}
    assert tees == {"single": 0, "nested": 0, "parallel": 2}


@pytest.mark.parametrize(("name", "harder"), [("nested", False), ("parallel", True)])
def test_joints_are_harder_only_on_tees(small: Space, full: Rows, name: str, harder: bool) -> None:
    two, single = twins(small, full, name)
    for i, j in zip(two[:20].tolist(), single[:20].tolist(), strict=True):
        joints = [float(np.asarray(jobs(small, full)[k].joints)) for k in (i, j)]
        assert (joints[0] > joints[1]) if harder else joints[0] == joints[1]


@pytest.mark.parametrize("name", ["nested", "parallel"])
def test_one_layer_is_easier_and_cheaper_than_two(small: Space, full: Rows, name: str) -> None:
    two, single = twins(small, full, name)
    assert (full.difficulty[two] > full.difficulty[single]).all()
    assert (full.cost[two] > full.cost[single]).all()
    # And two layers take up more heat.
    time = chill_of(small, full, np.arange(len(full)), SEARCH, small.basis.scenario).time
    assert (time[two] < time[single]).all()


def test_two_layers_leave_their_room_and_two_tubes_that_of_a_riser_too(tmp_path: Path) -> None:
    lists = small_stock.lists()
    # 250 mm round 190 mm leaves 21 mm beside a 10 mm tube and 19 mm beside one of 12 mm: a riser and its air
    # take 20 and 22 mm.
    lists["forms"][1]["outer_diameter"] = "190 mm"
    of = everything(tmp_path, lists)
    setups = of.setups
    room = (setups.get("D_c") - setups.inside("D_c")) / 2 - setups.get("d_o")
    nested, parallel = setups.layout == NESTED, setups.layout == PARALLEL
    assert (room[nested | parallel] >= 0.010).all()
    R_in, R_b = setups.inside("D_c") / 2, setups.get("R_b")
    riser = np.maximum(np.hypot(R_in, R_b) - R_in, setups.get("d_o") + 0.005) + 0.005
    assert (room[parallel] >= riser[parallel] - 1e-12).all()
    assert (room[nested] < riser[nested]).any()
    assert 0 < parallel.sum() == (room[nested] >= riser[nested]).sum() < nested.sum()
    assert not setups.get("packed", np.flatnonzero(nested | parallel)).any()  # card tunes single layers only


def test_what_two_layers_wet_is_what_each_has_under(small: Space, full: Rows) -> None:
    """Turns of both layers and the crossing lie in the wort; a dry top shortens both alike."""
    nested = of_layout(small, full, "nested")
    outer, inner = full.shape.layer_lengths
    crossing = full.shape.crossing[nested]
    assert (crossing > 0.0).all() and (full.shape.crossing[of_layout(small, full, "parallel")] == 0.0).all()
    wet = full.placement.wet_share[nested] * (outer + inner)[nested]
    risers = full.placement.wetted[nested] - wet - crossing
    covered = full.placement.chilled_level[nested] > full.placement.top[nested]
    assert (risers[covered] > 0.0).all()
    np.testing.assert_allclose(risers[~covered], 0.0, atol=1e-12)


# --- rolls ------------------------------------------------------------------------------------------------


def test_two_tubes_come_out_of_one_roll_where_they_fit(small: Space, full: Rows) -> None:
    parallel = of_layout(small, full, "parallel")
    d_o = full.shape.d_o[parallel]
    form = small.setups.get("D_form", full.setup[parallel]) + d_o
    form_in = small.setups.inside("D_form", full.setup[parallel]) + d_o
    # Half a turn to spare on each form.
    both = full.placement.tube_length[parallel] + np.pi / 2 * (form + form_in)
    roll = small.setups.get("roll", full.setup[parallel])
    np.testing.assert_array_equal(full.rolls[parallel], np.where(both <= roll, 1, 2))
    assert set(full.rolls[parallel].tolist()) == {1, 2}
    assert (full.rolls[of_layout(small, full, "nested")] == 1).all()


def test_a_second_roll_is_billed(small: Space, full: Rows) -> None:
    parallel = of_layout(small, full, "parallel")
    for rolls in (1, 2):
        number = full.number[parallel[full.rolls[parallel] == rolls][:1]]
        d = designs(small, number, None, np.zeros(1, np.intp))[0]
        bought = [item for item in d.bill.items if item.unit == "roll"]
        assert [item.quantity for item in bought] == [d.rolls] == [rolls]
        assert bought[0].price == pytest.approx(rolls * (d.winding.tube.price or 0.0))
        assert d.bill.total == pytest.approx(sum(item.price for item in d.bill.items))
        assert d.offcut == pytest.approx(rolls * d.winding.tube.length - d.tube_length)


def test_of_a_roll_that_is_owned_there_is_no_second(tmp_path: Path) -> None:
    lists = small_stock.lists()
    for row in lists["tubing"]:
        row["owned"] = "yes"
    of = everything(tmp_path, lists)
    r = rows(of, np.arange(0, of.size, len(of.valve_shares)))
    parallel = of_layout(of, r, "parallel")
    assert (r.rolls[parallel] == 1).all()
    check = r.checks.rows["stock_length"]
    roll = of.setups.get("roll", r.setup)[parallel]
    # Both tubes must come out of it, or the limit is broken.
    assert (check.value[parallel] > r.placement.tube_length[parallel]).all()
    assert check.broken[parallel][r.placement.tube_length[parallel] > roll].all()


# --- in numbers -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_design_in_full_agrees_with_its_row(small: Space, full: Rows, name: str) -> None:
    place = of_layout(small, full, name)[[7]]
    number = full.number[place] + 1  # the valve half open
    r = rows(small, number)
    d = designs(small, number, None, np.zeros(1, np.intp), march=True)[0]
    assert (d.layout, d.valve_share) == (name, 0.5)
    assert d.bill.total == pytest.approx(r.cost[0]) and d.difficulty == pytest.approx(r.difficulty[0])
    assert (d.inner is None) == (name == "single")
    coarse = chill_of(small, r, np.arange(1), SEARCH, small.basis.scenario)
    assert d.prediction.chill_time == pytest.approx(coarse.time[0], rel=0.01)
    assert d.prediction.water == pytest.approx(coarse.water[0], rel=0.01)
    assert d.prediction.marched_time == pytest.approx(d.prediction.chill_time, rel=1e-3)
    # Of two layers the outer one's sizes are told; the cut is that of all tube.
    turns = d.turns * np.hypot(np.pi * d.mean_diameter, d.pitch)
    if d.inner_diameter is not None:
        turns += d.turns * np.hypot(np.pi * d.inner_diameter, d.pitch)
    ends_of = d.riser_in + d.riser_out + d.inner_risers + (0.2 if name == "parallel" else 0.1)
    crossing = d.tube_length - turns - ends_of
    assert crossing == pytest.approx(float(r.shape.crossing[0]), abs=1e-9)


def test_ids_tell_layouts_and_valves_apart(small: Space, full: Rows) -> None:
    some = np.concatenate([full.number[of_layout(small, full, n)[::40]] for n in LAYOUTS])
    numbers = np.concatenate([some, some + 1, some + 2])
    found = designs(small, numbers, None, np.zeros(numbers.size, np.intp))
    assert len({d.id for d in found}) == numbers.size


def test_layouts_chilled_together_and_apart_agree(small: Space, full: Rows) -> None:
    places = np.concatenate([of_layout(small, full, n)[::9] for n in LAYOUTS])
    places = np.random.default_rng(4).permutation(places)
    scenario = small.basis.scenario
    together = chill_of(small, full, places, SEARCH, scenario)
    for name in LAYOUTS:
        mine = np.flatnonzero(np.isin(places, of_layout(small, full, name)))
        apart = chill_of(small, full, places[mine], SEARCH, scenario)
        for column in ("time", "water", "limit_time", "lost"):
            np.testing.assert_allclose(
                getattr(together, column)[mine], getattr(apart, column), rtol=1e-12, err_msg=column
            )
        np.testing.assert_allclose(together.stages[0].water[mine], apart.stages[0].water, rtol=1e-12)


def own_switches(folder: Path, warmest: float) -> tuple[np.ndarray, np.ndarray]:
    """Chill times of coils that each change to ice at their own temperature: together, and one by one."""
    ice = {"source": "ice bath", "pump": "small", "water": "8 L", "ice": "5 kg"}
    of = everything(folder, cooling=[{"source": "tap", "until": "best"}, ice])
    r = rows(of, np.arange(0, of.size, len(of.valve_shares)))
    places = np.concatenate([of_layout(of, r, n)[3:90:12] for n in reversed(NAMES)])
    until = 273.15 + np.linspace(32.0, warmest, places.size)
    s = of.basis
    together = chill_of(of, r, places, SEARCH, s.with_change_over(until))
    np.testing.assert_allclose(together.stages[0].T, until)
    alone = [
        chill_of(of, r, places[[i]], SEARCH, s.with_change_over(until[[i]])).time[0]
        for i in range(0, places.size, 3)
    ]
    return together.time[::3], np.array(alone)


def test_each_design_keeps_its_own_switch_where_layouts_are_chilled_together(tmp_path: Path) -> None:
    # How many steps are taken depends on the coils chilled together.
    np.testing.assert_allclose(*own_switches(tmp_path, 40.0), rtol=0.01)


def test_each_design_keeps_its_own_switch_where_some_run_out_of_ice(tmp_path: Path) -> None:
    np.testing.assert_allclose(*own_switches(tmp_path, 46.0), rtol=0.02)


def test_sharing_out_what_is_wet_by_the_turns_costs_little(small: Space, full: Rows) -> None:
    """Of two tubes each is wetted by its own turns and risers; the risers are taken as shared like the "
    "turns."""
    parallel = of_layout(small, full, "parallel")
    parallel = parallel[~full.checks.broken()[:, parallel].any(axis=0)]
    c = coils(small, full, parallel)
    outer, inner = (length[parallel] for length in full.shape.layer_lengths)
    share = full.placement.wet_share[parallel]
    risers = full.placement.wetted[parallel] - share * (outer + inner)
    own = replace(c, wetted_length=np.stack([share * outer + risers / 2, share * inner + risers / 2]))
    np.testing.assert_allclose(c.summed("wetted_length"), own.summed("wetted_length"), rtol=1e-12)
    as_is, exact = (chill(one, small.basis.scenario, SEARCH) for one in (c, own))
    np.testing.assert_allclose(as_is.time, exact.time, rtol=2e-3)


# --- a shallow, wide kettle -------------------------------------------------------------------------------


def only(s: DesignBasis, *layouts: str) -> DesignBasis:
    shop = s.brewhouse.workshop.model_copy(update={"layouts": layouts})
    return replace(s, brewhouse=s.brewhouse.model_copy(update={"workshop": shop}))


def fastest(s: DesignBasis, tube: str | None, budget: float) -> float:
    front = enumerate_space(space(s, tube=tube)).front
    return float(front.goals[front.goals[:, 1] <= budget, 0].min())


def check_two_layers_win(tube: str | None, budgets: tuple[float, ...]) -> None:
    wide = design_basis(load(packaged("wide/brewhouse.toml")))
    for budget in budgets:
        one, two = (fastest(only(wide, *names), tube, budget) for names in (NAMES[:1], NAMES[1:]))
        assert two < 0.95 * one, budget


@pytest.mark.parametrize("tube", ["cu-10x1-25m", "acr-3/8-50ft"])
def test_in_a_shallow_wide_kettle_two_layers_are_faster_for_the_same_money(tube: str) -> None:
    check_two_layers_win(tube, (140.0, 200.0))


@pytest.mark.long
def test_in_a_shallow_wide_kettle_two_layers_are_faster_with_every_tube_of_the_list() -> None:
    check_two_layers_win(None, (80.0, 200.0))


# --- two tubes share the flow -----------------------------------------------------------------------------


def circuits(rng: np.random.Generator, n: int, equal: bool = False) -> Circuit:
    """Pairs of household tubes of one bore on a tap, the first the longer; shape (2, n)."""
    bore = rng.uniform(0.004, 0.013, n)
    long = rng.uniform(4.0, 20.0, n)
    length = np.stack([long, long if equal else long * rng.uniform(0.4, 0.95, n)])
    D_c = np.broadcast_to(rng.uniform(0.16, 0.34, n), (2, n))
    tap = Supply.tap(static_pressure=3e5, open_flow=12.0 * LITRE_A_MINUTE, hose_bore=0.0125)
    return Circuit.of(tap, np.broadcast_to(bore, (2, n)), D_c, length)


def with_fittings(c: Circuit, V: np.ndarray, T: float) -> np.ndarray:
    """Pressure that each tube takes [Pa], its fittings and tees included; water of 998 kg/m3, 20 degC."""
    velocity = 4.0 * V / (np.pi * c.d_i**2)
    return c.pressure_drop(V, np.array(T)) + c.K * 0.5 * 998.0 * velocity**2


@pytest.mark.parametrize("share", [1.0, 0.5, 1.0 / 3.0, 0.2])
def test_two_tubes_take_the_same_pressure_and_the_shorter_carries_more(share: float) -> None:
    c = circuits(np.random.default_rng(7), 4000)
    c = c.throttled(np.full(4000, share), np.array(293.15))
    V = c.flow(np.array(293.15), rounds=5)
    long, short = with_fittings(c, V, 293.15)
    np.testing.assert_allclose(long, short, rtol=1e-3)
    assert (V[1] > V[0]).all()
    # Both together take what the tap gives and no more.
    assert (V.sum(axis=0) < share * 12.0 * LITRE_A_MINUTE).all()


def test_one_tube_may_run_smooth_beside_one_that_does_not() -> None:
    """Where the shorter tube runs turbulent and the longer one not yet, the split still balances."""
    c = circuits(np.random.default_rng(8), 8000)
    c = c.throttled(np.full(8000, 0.3), np.array(293.15))
    V = c.flow(np.array(293.15), rounds=5)
    Re = 4.0 * V / (np.pi * c.d_i * 1.0e-6)  # water of 20 degC: 1.0 mm2/s
    bend = np.log(with_fittings(c, 1.01 * V, 293.15) / with_fittings(c, V, 293.15)) / np.log(1.01)
    mixed = (bend[0] < 1.6) & (bend[1] > 1.65)
    assert mixed.sum() > 50 and (Re[:, mixed] > 1000).all()
    long, short = with_fittings(c, V, 293.15)[:, mixed]
    np.testing.assert_allclose(long, short, rtol=1e-3)


def test_equal_tubes_share_evenly_and_each_is_like_one_alone_on_half_a_tap() -> None:
    c = circuits(np.random.default_rng(9), 500, equal=True)
    V = c.flow(np.array(293.15), rounds=5)
    np.testing.assert_allclose(V[0], V[1], rtol=1e-9)


def tap_batch(mixing: str = "steady") -> Scenario:
    tap = Supply.tap(static_pressure=3e5, open_flow=14.0 * LITRE_A_MINUTE, hose_bore=0.0125)
    return Scenario(0.023, 12.0, 371.15, 293.15, 293.15, 0.36, one_tap(285.15, tap), Mixing.of(mixing))


@pytest.mark.parametrize("share", [0.75, 1.0 / 3.0])
@pytest.mark.parametrize("name", LAYOUTS)
def test_a_valve_lets_its_share_of_the_full_flow_through(
    small: Space, full: Rows, name: str, share: float
) -> None:
    s = tap_batch()
    c = coils(small, full, of_layout(small, full, name)[::5])
    closed = replace(c, valve_share=np.full_like(c.valve_share, share))
    # It is set with the water a quarter of the way to the wort.
    T = np.full((1, 1, 1) if c.parallel else (1, 1), 0.75 * s.T_in + 0.25 * s.T_start)
    for numerics, near in ((CONVERGED, 1e-4), (SEARCH, 0.005)):
        open_flow, flow = (CoilPerformance(one, s, numerics).flow(T)[0] for one in (c, closed))
        if c.parallel:
            open_flow, flow = open_flow.sum(axis=0), flow.sum(axis=0)
        np.testing.assert_allclose(flow / open_flow, share, rtol=near)
    # At the start a long tube's water is warmer and a short one's colder, which the open tube feels more.
    open_flow, flow = (ends(one, s, CONVERGED).flow_start for one in (c, closed))
    np.testing.assert_allclose(flow / open_flow, share, rtol=0.015)


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_valve_saves_water_and_costs_time(small: Space, full: Rows, name: str) -> None:
    places = of_layout(small, full, name)[::3]
    results = []
    for flow, share in enumerate(small.valve_shares):
        r = rows(small, full.number[places] + flow)
        assert (r.valve_share == share).all()
        results.append(chill_of(small, r, np.arange(len(r)), SEARCH, small.basis.scenario))
    for wider, further_shut in zip(results, results[1:], strict=False):
        assert (further_shut.time > wider.time).all()
        assert (further_shut.water < wider.water).all()


def test_a_valve_does_nothing_where_the_water_comes_back(tmp_path: Path) -> None:
    of = everything(tmp_path, cooling=[{"source": "bucket", "pump": "small", "bucket": "80 L"}])
    assert of.valve_shares == (1.0,)
    r = rows(of, np.arange(of.size))
    c = coils(of, r, of_layout(of, r, "nested")[:5])
    s = of.basis.scenario
    shut = replace(c, valve_share=np.full_like(c.valve_share, 0.2))
    assert CoilPerformance(shut, s, SEARCH).circuit.valve_resistance == 0.0
    np.testing.assert_array_equal(chill(shut, s, SEARCH).time, chill(c, s, SEARCH).time)


def test_two_equal_tubes_far_apart_do_as_one_with_twice_the_surface() -> None:
    """Two like tubes on tees beside a tap without limits: as much heat as two coils in two such kettles."""
    strong = Supply(1e9, 1e9 / (16.0 * LITRE_A_MINUTE) ** 2, 0.0125)
    half = Supply(1e9, 1e9 / (8.0 * LITRE_A_MINUTE) ** 2, 0.0125)
    tube: dict[str, Any] = {
        "d_o": 0.010,
        "d_i": 0.008,
        "k": 339.0,
        "D_c": 0.25,
        "pitch": 0.017,
        "wetted_length": 8.0,
        "tube_length": 9.0,
        "metal_capacity": 800.0,
    }
    two = Coils.of(**{name: np.full((2, 1), value) for name, value in tube.items()})
    one = Coils.of(**tube)
    T = np.array([[350.0]])
    s = replace(tap_batch(), stages=one_tap(285.15, strong))
    both = CoilPerformance(two, s, SEARCH).at(T)
    single = CoilPerformance(one, replace(s, stages=one_tap(285.15, half)), SEARCH).at(T)
    np.testing.assert_allclose(both.Q, 2.0 * single.Q, rtol=1e-3)
    np.testing.assert_allclose(both.T_out, single.T_out, rtol=1e-4)


# --- what a layout should not be taken for ----------------------------------------------------------------


def test_a_nested_coil_has_no_riser_that_could_climb_inside(tmp_path: Path, small: Space, full: Rows) -> None:
    inside = everything(tmp_path, workshop={"riser": "inside"})
    nested = of_layout(small, full, "nested")
    r = rows(inside, full.number[nested])
    assert keys(inside, r.number) == keys(small, full.number[nested])
    np.testing.assert_allclose(r.difficulty, full.difficulty[nested])


def test_a_riser_inside_the_outer_of_two_tubes_has_room_beside_the_inner(tmp_path: Path) -> None:
    of = everything(tmp_path, workshop={"riser": "inside"})
    setups = of.setups.take(np.flatnonzero(of.setups.layout == PARALLEL))
    d_o, R, R_in = setups.get("d_o"), setups.get("D_c") / 2, setups.inside("D_c") / 2
    riser = R - d_o - 0.005  # its own 5 mm of air from the outer turns
    assert (riser - R_in - d_o >= 0.005 - 1e-12).all()


def test_two_tubes_are_not_cheaper_and_easier_for_want_of_tees(
    tmp_path: Path, small: Space, full: Rows
) -> None:
    lists = small_stock.lists()
    lists["fittings"] = [row for row in lists["fittings"] if row["used_at"] != "tee"]
    without = everything(tmp_path, lists)
    offered = without.setups.layout == PARALLEL
    if offered.any():
        parallel = of_layout(small, full, "parallel")
        r = rows(without, full.number[parallel])
        assert (r.cost >= full.cost[parallel]).all() and (r.difficulty >= full.difficulty[parallel]).all()


def test_layouts_by_number() -> None:
    assert NAMES == ("single", "nested", "parallel")
    assert cooldown.LONGEST == 6 * 3600.0
