"""The space beyond the lists against the lists: where both can say it, they say the same."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import moocore
import numpy as np
import pytest
import small_stock
from explored import drawn, every, one_form, spread
from listed_explored import hypervolume, volume

from optichill.errors import OptichillError
from optichill.problem.basis import DesignBasis
from optichill.search.evaluate import chilled, rows
from optichill.search.explore.grown import emptied, grown
from optichill.search.explore.knobs import Setting
from optichill.search.explore.wider import WORTH_A_CHILL, Wider, joined, wider
from optichill.search.explore.wound_coil import Size, WoundCoil
from optichill.search.front import Front, rounded
from optichill.search.front import joined as fronts_joined
from optichill.search.recommend import search_space
from optichill.search.space import space

SHOP = {"flow_settings": ["full", "half"], "marking_increment": "5 mm", "riser_sides": "same"}
ALL = ["single", "nested", "parallel"]


def kettle(folder: Path, which: str) -> DesignBasis:
    """Three spaces small enough for both: one layer, all layouts, and a plan that ends in ice."""
    stock = small_stock.lists()
    stock["tubing"], stock["benders"] = stock["tubing"][:1], stock["benders"][2:]
    stock["forms"] = stock["forms"][: 3 if which == "single" else 2]
    house: dict[str, Any] = {"limits": {"chill_time": "45 min"}}
    shop = {**SHOP, "layouts": ["single"] if which == "single" else ALL}
    if which == "ice":
        folder.mkdir(parents=True, exist_ok=True)
        made = small_stock.write(folder, {**house, "workshop": shop}, stock)
        file = made / "brewhouse.toml"
        file.write_text(file.read_text(encoding="utf-8") + small_stock.TAP_THEN_ICE, encoding="utf-8")
        from optichill.files.reading import load
        from optichill.problem.basis import design_basis

        return design_basis(load(made))
    return small_stock.of(folder, {**house, "workshop": shop}, stock)


def listed_settings(w: Wider) -> tuple[np.ndarray, list[Any]]:
    """Rows of the search's space that its knobs can say exactly, and their settings."""
    full = w.space
    numbers = np.arange(full.size)
    settings = w.settings_of(numbers)
    coils = [w.coil(setting) for setting in settings]
    same = []
    for number, coil in zip(numbers.tolist(), coils, strict=True):
        setup = int(full.decode(np.array([number]))[0][0])
        outer, inner, _ = full.wound(setup)
        wound = [outer] if inner is None else [outer, inner]
        same.append([(s.form, s.wraps) for s in coil.layers] == [(x.form, x.wraps) for x in wound])
    keep = np.flatnonzero(same)
    return numbers[keep], [settings[i] for i in keep]


@pytest.mark.parametrize("which", ["single", "layouts", pytest.param("ice", marks=pytest.mark.slow)])
def test_what_the_lists_hold_is_judged_as_the_search_judges_it(tmp_path: Path, which: str) -> None:
    searched = search_space(kettle(tmp_path, which))
    full = space(searched.enumeration.space.basis, prune=False)
    full = replace(full, sureness=searched.enumeration.space.sureness)
    w = Wider(replace(searched, enumeration=replace(searched.enumeration, space=full)))
    numbers, settings = listed_settings(w)
    assert len(settings) > 0.8 * full.size  # forms too short for their turns would have to be made
    judged = w.judge(settings)
    r = rows(full, numbers)
    worth = np.flatnonzero(np.max(list(judged.misses.values()), axis=0) <= WORTH_A_CHILL)
    dry = np.flatnonzero(np.max(r.checks.violations(), axis=0) <= WORTH_A_CHILL)
    result, checks = chilled(full, r, dry, scenario=searched.enumeration.scenario)
    time = np.full(len(r), np.inf)
    time[dry] = result.time
    np.testing.assert_array_equal(judged.goals[:, 0], time)
    np.testing.assert_array_equal(judged.goals[:, 1], r.cost)
    np.testing.assert_array_equal(judged.goals[:, 3], r.difficulty)
    r.checks.merge(checks) if dry.size == len(r) else None
    holds = ~r.checks.broken().any(axis=0)
    holds[dry] &= ~checks.broken().any(axis=0)
    holds &= np.isfinite(time)
    np.testing.assert_array_equal(judged.holds & np.isfinite(time), holds)
    assert holds.any() and worth.size

    # And nothing on the grid of the lists beats what the search left.
    best = searched.enumeration.front
    ours = rounded(judged.goals[judged.holds], best.steps)
    theirs = rounded(best.goals, best.steps)
    for goals in ours:
        beaten = (goals <= theirs).all(axis=1) & (goals < theirs).any(axis=1)
        assert not beaten.any()


@pytest.mark.slow
def test_a_scan_of_all_diameters_leaves_what_joining_leaves(tmp_path: Path) -> None:
    searched = search_space(one_form(tmp_path, limits={"chill_time": "60 min"}))
    w = wider(searched)
    tube = next(name for name in w.knobs[1].choices if name.startswith("cu-10"))
    wide = spread(w, "outer_form_mm", 4)
    settings = list(every(w, tube=[tube], outer_form_mm=wide, valve=["full"]))
    assert len(settings) > 2000
    judged = w.judge(settings)
    found = joined(searched, settings)
    mine, lists = found.enumeration, searched.enumeration
    assert (mine.buildable, mine.excluded) == (
        lists.buildable,
        lists.excluded,
    )  # what is counted is the lists'
    # By hand: what holds of all, thrown together with the search's own front, and sieved.
    coils = [w.coil(setting) for setting in settings]
    made = np.array([coil.layers[0].form.made for coil in coils])
    keep = np.flatnonzero(judged.holds & made & np.isfinite(judged.goals[:, 0]))
    front = searched.enumeration.front
    mine = rounded(np.vstack([front.goals, judged.goals[keep]]), front.steps)
    left = np.unique(mine[moocore.is_nondominated(mine, keep_weakly=True)], axis=0)
    theirs = np.unique(rounded(found.enumeration.front.goals, front.steps), axis=0)
    np.testing.assert_array_equal(left, theirs)
    explored = found.enumeration.space.explored(found.front.number)
    assert 0 < explored.sum() < explored.size
    assert volume(judged.goals[keep], searched) > 0.0


@pytest.mark.slow
def test_differential_evolution_finds_nothing_better_than_a_fine_scan(tmp_path: Path) -> None:
    """Storn and Price's method as scipy has it, on any diameter and gap, not only those of the marks."""
    from scipy.optimize import differential_evolution

    # Deep enough that no half millimetre of gap bares a turn: steps are then what they cost.
    house = {"wort": {"volume": "30 L"}, "limits": {"budget": 120.0}}
    basis = one_form(tmp_path, workshop={"marking_increment": "0.5 mm"}, **house)
    searched = search_space(basis)
    w = wider(searched)
    tube, tool = next(w.ways[name] for name in w.ways if name.startswith("cu-10"))
    pipe = basis.stock.forms[0]

    def worst(x: np.ndarray) -> np.ndarray:
        """Time [s] of coils (diameter, gap, turns in columns), longer by what they miss."""
        coils = [
            WoundCoil(
                tube,
                tool,
                "single",
                (Size(pipe.model_copy(update={"outer_diameter": D, "height": 0.6, "form_id": str(D)}), 0),),
                (gap,),
                (round(2.0 * turns) / 2.0,),
                1.0,
            )
            for D, gap, turns in x.T
        ]
        made, numbers = grown(emptied(w.space), coils)
        r = rows(made, numbers)
        result, checks = chilled(made, r, np.arange(len(r)))
        r.checks.merge(checks)
        return np.where(np.isfinite(result.time), result.time, 1e5) + 1e5 * np.maximum(
            r.checks.violations(), 0.0
        ).sum(axis=0)

    bounds = [(0.10, 0.30), (0.005, 0.012), (2.0, 20.0)]
    how = {"popsize": 30, "maxiter": 60, "tol": 1e-9, "updating": "deferred"}
    best = differential_evolution(worst, bounds, vectorized=True, seed=4, **how)
    name = next(name for name, way in w.ways.items() if way == (tube, tool))
    wide = [x for x in spread(w, "outer_form_mm", 1) if 200.0 <= x <= 300.0]
    count = [x for x in spread(w, "turns", 1) if 8.0 <= x <= 15.0]
    scanned = w.judge(list(every(w, tube=[name], outer_form_mm=wide, turns=count, valve=["full"])))
    least = scanned.goals[scanned.holds, 0].min()
    assert best.fun < 1e4
    assert least <= 1.01 * best.fun


def test_joining_nothing_changes_nothing(tmp_path: Path) -> None:
    searched = search_space(one_form(tmp_path))
    assert joined(searched, []) is searched
    w = wider(searched)
    own = w.settings_of(searched.front.number)
    assert joined(searched, own) is searched  # coils of the lists have been weighed
    hopeless = [{**own[0], **{name: spread(w, name, 1)[-1] for name in ("turns", "outer_form_mm")}}]
    assert w.judge(hopeless).holds.sum() == 0 and joined(searched, hopeless) is searched


def test_rows_of_the_search_keep_their_numbers(tmp_path: Path) -> None:
    searched = search_space(one_form(tmp_path, layouts=("single", "nested", "parallel")))
    w = wider(searched)
    before = w.space
    after, numbers = grown(before, [w.coil(s) for s in drawn(w, 60, seed=2)])
    old = np.arange(before.size)
    for mine, theirs in zip(before.decode(old), after.decode(old), strict=True):
        np.testing.assert_array_equal(mine, theirs)
    assert [before.wound(int(s)) for s in np.unique(before.setup)] == [
        after.wound(int(s)) for s in np.unique(before.setup)
    ]
    assert not after.explored(old).any() and after.explored(numbers).all()
    a, b = rows(before, old), rows(after, old)
    np.testing.assert_array_equal(a.cost, b.cost)
    np.testing.assert_array_equal(a.placement.wetted, b.placement.wetted)
    np.testing.assert_array_equal(a.checks.violations(), b.checks.violations())
    assert (numbers >= before.size).all()


def test_layers_of_their_own_are_those_that_were_asked_for(tmp_path: Path) -> None:
    searched = search_space(one_form(tmp_path, layouts=("nested", "parallel")))
    w = wider(searched)
    settings = drawn(w, 200, seed=5)
    made, numbers = grown(emptied(w.space), [w.coil(s) for s in settings])
    r = rows(made, numbers)
    for i, setting in enumerate(settings):
        assert r.turns[i] == setting["turns"] and r.own_turns[i] == setting["inner_turns"]
        assert 1e3 * r.gap[i] == pytest.approx(setting["gap_mm"])
        assert 1e3 * r.own_gap[i] == pytest.approx(setting["inner_gap_mm"])
    assert made.explored(numbers).all()
    # What differs in its layers alone is the same coil to none of its goals.
    alike = [{**s, "inner_turns": s["turns"], "inner_gap_mm": s["gap_mm"]} for s in settings]
    assert not np.allclose(w.judge(settings).goals[:, 1], w.judge(alike).goals[:, 1])


def no_hand_makes(w: Wider, settings: list[Setting]) -> list[bool]:
    """Which no hand can wind: of each a limit is missed."""
    judged = w.judge(settings)
    found = [not w.coil(setting).windable for setting in settings]
    assert not (judged.holds & np.array(found)).any()
    return found


def test_an_outer_layer_hangs_over_no_end(tmp_path: Path) -> None:
    w = wider(search_space(one_form(tmp_path, layouts=("nested",))))
    base = {**drawn(w, 1, seed=1)[0], "turns": 10.0, "gap_mm": 5.0, "inner_gap_mm": 5.0}
    base |= {"outer_form_mm": 250.0, "inner_form_mm": 180.0}
    some = [{**base, "inner_turns": n} for n in (6.0, 8.5, 9.0, 12.0)]
    judged = w.judge(some)
    assert no_hand_makes(w, some) == [True, True, False, False]
    assert judged.misses["form_height"][0] == pytest.approx(0.3)


def test_what_no_hand_can_make_never_joins(tmp_path: Path) -> None:
    """Forms on which no tool has room beside the turns, and strips that a foot bend would stand through."""
    w = wider(search_space(one_form(tmp_path, layouts=("single", "nested", "parallel"))))
    sizes = {k.name: k.low for k in w.knobs if k.name.endswith("form_mm")}
    assert sizes == {"outer_form_mm": 170.0, "inner_form_mm": 100.0}
    common = {"tube": w.knobs[1].choices[0], "gap_mm": 5.0, "turns": 6.0, "valve": "full"}
    two = {**common, "inner_gap_mm": 5.0, "inner_turns": 6.0, "outer_form_mm": 250.0}
    some = [{**two, "layout": x, "inner_form_mm": D} for x in ("nested", "parallel") for D in (150.0, 190.0)]
    some[0]["outer_form_mm"] = 217.5  # strips on so narrow a layer stand to 21 mm
    judged = w.judge(some)
    assert no_hand_makes(w, some) == [False, False, True, False]
    assert judged.misses["winding_radius"][2] == pytest.approx(1.0 - 0.15 / 0.17)
    # 10 mm tube on 190 mm: its foot bend, of 4 diameters' radius, stands out to 215.4 + 10 mm.
    tube, tool = w.ways[common["tube"]]
    bend = 2e3 * np.hypot(0.1, tool.radius) + 1e3 * tube.outer_diameter
    close = [{**some[1], "outer_form_mm": 2.5 * np.ceil(bend / 2.5) + x} for x in (-2.5, 0.0)]
    assert no_hand_makes(w, close) == [True, False]


def test_strips_that_would_tip_over_never_join(tmp_path: Path) -> None:
    """Strips of 51 mm, 15 wide, were to be tied with string and wound over: past one and a half times its
    width none stands."""
    w = wider(search_space(one_form(tmp_path, layouts=("nested", "parallel"))))
    base = {"tube": w.knobs[1].choices[0], "gap_mm": 5.0, "turns": 6.0, "valve": "full"}
    base |= {"inner_gap_mm": 5.0, "inner_turns": 6.0, "inner_form_mm": 180.0}
    wide = (247.5, 250.0, 252.5, 280.0)
    both = [(x, D) for x in ("nested", "parallel") for D in wide]
    some = [{**base, "layout": x, "outer_form_mm": D} for x, D in both]
    judged = w.judge(some)
    # 180 and twice 10 of tube, 3 of card and 22.5 of strip are 251.
    assert no_hand_makes(w, some) == [False, False, True, True, False, False, False, False]
    assert judged.misses["layer_gap"][3] == pytest.approx(280.0 / 251.0 - 1.0, abs=1e-5)


# --- what a setting means ---------------------------------------------------------------------------------


def test_a_form_of_the_list_within_a_millimetre_is_that_form(tmp_path: Path) -> None:
    w = wider(search_space(one_form(tmp_path, workshop={"marking_increment": "1 mm"})))
    base = drawn(w, 1, seed=3, turns=6.0)[0]
    for wanted, made in ((179.0, False), (180.0, False), (181.0, False), (182.0, True), (178.0, True)):
        size = w.coil({**base, "outer_form_mm": wanted}).layers[0]
        assert size.form.made == made
        assert size.diameter == pytest.approx(1e-3 * wanted if made else 0.180)
        assert w.canonical({**base, "outer_form_mm": wanted})["outer_form_mm"] == (wanted if made else 180.0)
    # Packed out once it gives 186 mm.
    assert w.coil({**base, "outer_form_mm": 186.0}).layers[0].wraps == 1
    # So many turns as 40 cm of pipe have no room for: a taller one has to be made.
    for turns, made in ((30.0, False), (45.0, True)):
        assert w.sizes.taken(0.180, 0.001, w.ways[base["tube"]][0], turns).form.made == made
    both = [w.canonical({**base, "outer_form_mm": x}) for x in (179.0, 181.0, 183.0)]
    assert both[0] == both[1] != both[2]


def test_a_form_that_is_made_costs_and_is_harder(tmp_path: Path) -> None:
    w = wider(search_space(one_form(tmp_path, workshop={"marking_increment": "1 mm"})))
    base = drawn(w, 1, seed=3, turns=6.0)[0]
    listed, made = (w.judge([{**base, "outer_form_mm": x}]).goals[0] for x in (180.0, 182.0))
    assert made[3] > listed[3]  # the form's share of the difficulty
    # The list has one form, to buy for 8: one to be made is counted like it; a wider coil takes a hair of
    # wire more.
    assert made[1] - listed[1] == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"tube": "lead"}, "tube: lead: not a value of it (allowed: cu-10-10"),
        ({"turns": 3.25}, "turns: 3.25: not a value of it (allowed: 2 to"),
        ({"outer_form_mm": 1e6}, "outer_form_mm: 1000000.0: not a value of it (allowed: "),
        ({"gap_mm": "wide"}, "gap_mm: wide: not a value of it (allowed: 5 to 12.5 in steps of 2.5)"),
        ({"valve": None}, "valve: missing (allowed: full, half)"),
        ({"colour": 1}, "colour: no such knob (allowed: gap_mm, inner_form_mm, inner_gap_mm"),
        ({"inner_turns": 4.0}, "inner_turns: does not apply to layout single (allowed: leave it out"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_by_its_key(
    tmp_path: Path, change: dict[str, Any], says: str
) -> None:
    w = wider(search_space(one_form(tmp_path, layouts=("single", "nested"))))
    setting = {**drawn(w, 1, seed=1, layout="single")[0], **change}
    with pytest.raises(OptichillError) as fault:
        w.judge([{key: value for key, value in setting.items() if value is not None}])
    assert str(fault.value).startswith(says)


def test_only_owned_forms_means_that_none_is_made(tmp_path: Path) -> None:
    stock = small_stock.lists()
    shop = {**SHOP, "layouts": ALL, "forms_owned_only": True}
    w = wider(search_space(small_stock.of(tmp_path, {"workshop": shop}, stock)))
    assert not w.may_make
    for setting in drawn(w, 200, seed=6):
        coil = w.coil(setting)
        on = coil.layers[1:] if coil.layout == "nested" else coil.layers
        assert {size.form.form_id for size in on} == {"pot"}


def test_a_form_that_is_made_may_open_what_no_list_does(tmp_path: Path) -> None:
    """The pipe's narrow turns are too slow for 27 minutes; wider ones are not."""
    basis = one_form(tmp_path, limits={"chill_time": "27 min", "budget": 90.0})
    searched = search_space(basis)
    assert searched.front is None
    w = wider(searched)
    tube = next(name for name in w.knobs[1].choices if name.startswith("cu-10"))
    wide = spread(w, "outer_form_mm", 4)
    found = joined(searched, list(every(w, tube=[tube], outer_form_mm=wide, valve=["full"])))
    assert found.front is not None and len(found.front)
    assert found.enumeration.space.explored(found.front.number).all()
    assert searched.front is None and searched.enumeration.feasible == 0


def test_judging_says_something_of_every_setting(tmp_path: Path) -> None:
    basis = one_form(tmp_path, layouts=("single", "nested", "parallel"), limits={"chill_time": "40 min"})
    w = wider(search_space(basis))
    judged = w.judge(drawn(w, 400, seed=8))
    assert all(np.isfinite(miss).all() for miss in judged.misses.values())
    assert np.isfinite(judged.goals[:, [1, 3]]).all() and not np.isnan(judged.goals).any()
    assert np.isfinite(judged.goals[judged.holds]).all()
    assert w.judge([]).goals.shape == (0, 4)


def test_the_key_follows_what_the_goals_follow_from(tmp_path: Path) -> None:
    stock, house = small_stock.lists(), {"workshop": SHOP}
    key = wider(search_space(small_stock.of(tmp_path / "a", house, stock))).key()
    assert key == wider(search_space(small_stock.of(tmp_path / "b", house, stock))).key()
    remark = small_stock.lists()
    remark["tubing"][0]["description"] = "another word"
    other = {**house, "name": "Another name"}
    assert key == wider(search_space(small_stock.of(tmp_path / "c", other, remark))).key()
    dearer = small_stock.lists()
    dearer["tubing"][0]["price"] = "42"
    changed = [
        wider(search_space(small_stock.of(tmp_path / name, h, s))).key()
        for name, h, s in (
            ("d", house, dearer),
            ("e", {**house, "wort": {"volume": "22 L"}}, stock),
            ("f", {"workshop": {**SHOP, "smallest_gap": "6 mm"}}, stock),
        )
    ]
    assert len({key, *changed}) == 4


def test_hypervolume_is_the_volume_of_boxes() -> None:
    """Two boxes that overlap: 0.5 and 0.5 of the whole, 0.25 in both."""
    reference = np.array([10.0, 20.0, 1.0, 4.0])
    one, two = np.array([5.0, 0.0, 0.0, 0.0]), np.array([0.0, 10.0, 0.0, 0.0])
    assert hypervolume(np.array([one]), reference) == pytest.approx(0.5)
    assert hypervolume(np.array([one, two]), reference) == pytest.approx(0.75)
    beyond = np.array([11.0, 0.0, 0.0, 0.0])
    assert hypervolume(np.array([one, two, beyond]), reference) == pytest.approx(0.75)
    assert hypervolume(np.array([beyond]), reference) == 0.0


def test_the_sieve_is_that_of_the_search(tmp_path: Path) -> None:
    """What joining leaves is what `front.joined` leaves of both."""
    searched = search_space(one_form(tmp_path))
    w = wider(searched)
    settings = drawn(w, 1000, seed=9)
    found = joined(searched, settings)
    space_, numbers = grown(w.space, [c for c in map(w.coil, settings) if w.is_new(c)])
    numbers = np.unique(numbers)
    r = rows(space_, numbers)
    fits = np.flatnonzero(~space_.barred(r.checks))
    result, checks = chilled(space_, r, fits, scenario=searched.enumeration.scenario)
    holds = ~space_.barred(checks)
    goals = np.stack([result.time, r.cost[fits], result.water, r.difficulty[fits]], axis=1)[holds]
    new = Front.of(numbers[fits][holds], goals, np.zeros(holds.sum()), searched.enumeration.front.steps)
    by_hand = fronts_joined(searched.enumeration.front, new)
    np.testing.assert_array_equal(
        np.unique(rounded(by_hand.goals, by_hand.steps), axis=0),
        np.unique(rounded(found.enumeration.front.goals, by_hand.steps), axis=0),
    )
