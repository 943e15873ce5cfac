"""A list with many rolls of few sizes: left out is only what another roll makes as well for no more, coil by
coil, and the answer is the one that all rolls give."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from row_keys import keys, on_dearer_rolls
from tiers import count

from optichill.problem import windings as windings_module
from optichill.problem.basis import DesignBasis
from optichill.problem.rolls import Rolls, rolls_of
from optichill.search.answer import Answer
from optichill.search.enumeration import enumerate_space
from optichill.search.evaluate import rows
from optichill.search.front import rounded
from optichill.search.kettles import kettles_of, same_stock
from optichill.search.recommend import recommend
from optichill.search.space import Space, space

HOUSES: list[dict[str, Any]] = [
    {"limits": {"chill_time": "45 min", "budget": 150}},
    {"kettle": {"coil_rests": "hangs"}, "workshop": {"riser": "inside"}},
    {"wort": {"volume": ["18 L", "24 L"]}, "limits": {"difficulty": 7.0}},
    {"workshop": {"layouts": ["single"]}, "wishes": {"batches": 10, "coils_wound": 1}},
]
SHOP = {
    "marking_increment": "5 mm",
    "flow_settings": ["full", "half"],
    "layouts": ["single", "nested", "parallel"],
}


def shop(folder: Path, seed: int) -> DesignBasis:
    """A stock of two sizes in rolls of many lengths, some at hand, whose prices go with the length, but not
    closely: INVENTED. Prices of its copper decide what an hour counts."""
    rng, lists = np.random.default_rng([41, seed]), small_stock.lists()
    two = lists["tubing"][:2]
    lists["tubing"] = []
    for n in range(8):
        tube, length = two[n % 2], float(rng.integers(6, 26))
        price = f"{4.0 * length * rng.uniform(0.7, 1.3):.1f}"
        owned = "yes" if rng.random() < 0.15 else "no"
        lists["tubing"].append(
            {**tube, "stock_id": f"t{n}", "length": f"{length} m", "price": price, "owned": owned}
        )
    house = HOUSES[seed % len(HOUSES)]
    return small_stock.of(folder, {**house, "workshop": {**SHOP, **house.get("workshop", {})}}, lists)


def every_roll(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on no roll is left out, and none takes a coil from another."""

    def all_of_them(basis: DesignBasis, tube: str | None = None, *, beaten: bool = False) -> Rolls:
        return rolls_of(basis, tube, beaten=True)

    monkeypatch.setattr(windings_module, "rolls_of", all_of_them)


def without_roll(of: Space, numbers: np.ndarray) -> list[tuple[Any, ...]]:
    """What a row is but for the roll: size, tool, layout, forms, gap, turns and valve."""
    tubes = [of.windings[o].tube for o in of.setups.outer[of.decode(numbers)[0]].tolist()]
    return [(t.outer_diameter, *key[1:]) for t, key in zip(tubes, keys(of, numbers), strict=True)]


@pytest.mark.parametrize("seed", range(count(8, 60)))
def test_each_coil_left_out_is_there_on_a_roll_that_costs_no_more(tmp_path: Path, seed: int) -> None:
    """The same limits are broken, none by more, and no goal is worse: row by row."""
    basis = shop(tmp_path, seed)
    searched, all_rolls = space(basis), space(basis, prune=False)
    looked_at = np.concatenate([*searched.chunks(10**6)])
    r = rows(searched, looked_at)
    order = np.lexsort((r.cost, r.checks.broken().sum(axis=0)))[::-1]  # the best of each kind comes last
    made = without_roll(searched, looked_at)
    best = {made[i]: int(looked_at[i]) for i in order.tolist()}
    least = {made[i]: float(r.cost[i]) for i in order.tolist()}
    r = rows(all_rolls, np.arange(0, all_rolls.size, len(all_rolls.valve_shares)))
    holds = np.flatnonzero(~r.checks.broken().any(axis=0))
    assert holds.size > looked_at.size / 4
    for key, cost in zip(without_roll(all_rolls, r.number[holds]), r.cost[holds].tolist(), strict=True):
        assert least[key] <= cost + 1e-9
    dearer = on_dearer_rolls(searched)
    assert dearer.size and searched.left_out.combinations == dearer.size * len(searched.valve_shares)
    there = [
        (d, best[key]) for d, key in zip(dearer, without_roll(searched, dearer), strict=True) if key in best
    ]
    assert len(there) > 0.5 * dearer.size
    ours, twin = (rows(searched, np.array(column)) for column in zip(*there, strict=True))
    for name, check in ours.checks.rows.items():
        assert (twin.checks.rows[name].broken <= check.broken).all(), name
    np.testing.assert_allclose(twin.difficulty, ours.difficulty)


@pytest.mark.parametrize("seed", range(count(6, 40)))
def test_the_front_is_that_of_all_rolls(tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    basis = shop(tmp_path, seed)
    some = enumerate_space(space(basis))
    every_roll(monkeypatch)
    every = enumerate_space(space(basis))
    assert space(basis).left_out.rolls == space(basis).left_out.combinations == 0
    ours, theirs = (found.front for found in (some, every))
    assert len(ours) > 10

    def goals(front: Any) -> list[list[float]]:
        return sorted(rounded(front.goals, front.steps).tolist())

    assert goals(ours) == goals(theirs)
    assert some.cheapest == every.cheapest


def told(answer: Answer) -> list[tuple[Any, ...]]:
    """What a person reads of the builds, and by which they are chosen."""
    return [
        (
            d.layout,
            d.winding.tube.outer_diameter,
            d.winding.form.form_id,
            round(1e4 * d.gap),
            d.turns,
            round(float(d.prediction.chill_time)),
            round(d.bill.total, 2),
            round(float(d.life.total), 1),
        )
        for d in answer.designs
    ]


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, count(6, 30)))]
)
def test_the_choice_is_that_of_all_rolls(tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    basis = shop(tmp_path, seed)
    some = recommend(basis)
    every_roll(monkeypatch)
    every = recommend(basis)
    ours, theirs = told(some), told(every)
    # Of two rolls at hand, which cost nothing, the front of all rolls may hold the one that is dearer to
    # spoil: then the choice is the same coil, and no dearer.
    assert ours[0][:-1] == theirs[0][:-1] and ours[0][-1] <= theirs[0][-1]
    at_hand = [t.outer_diameter for t in basis.stock.tubing if t.owned]
    if len(set(at_hand)) == len(at_hand):
        assert ours == theirs
        assert [r.names for r in some.roles] == [r.names for r in every.roles]
    assert some.left_out is not None and some.left_out.combinations > 0


def test_what_hangs_on_the_whole_list_is_asked_of_all_rolls(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Many dear rolls, all beaten: the median price of copper, and with it an hour, is theirs all the
    same."""
    lists = small_stock.lists()
    dear = [{**lists["tubing"][0], "stock_id": f"dear-{n}", "price": "400"} for n in range(9)]
    lists["tubing"] += dear
    basis = small_stock.of(tmp_path, stock=lists)
    found = recommend(basis)
    assert found.left_out is not None and found.left_out.rolls == 9
    every_roll(monkeypatch)
    assert told(found) == told(recommend(basis))


def test_a_roll_that_is_asked_for_is_there_whatever_beats_it(tmp_path: Path) -> None:
    lists = small_stock.lists()
    lists["tubing"].append({**lists["tubing"][0], "stock_id": "dear", "price": "43"})
    basis = small_stock.of(tmp_path, stock=lists)
    assert space(basis).left_out.rolls == 1
    assert {w.tube.stock_id for w in space(basis, tube="dear").windings} == {"dear"}
    assert "dear" in {w.tube.stock_id for w in space(basis, prune=False).windings}


@pytest.mark.parametrize("rests", ["feet", "hangs"])
def test_with_another_kettle_in_view_its_rim_counts(tmp_path: Path, rests: str) -> None:
    """Risers for a taller kettle take more tube: what comes out of the cheaper roll for one kettle alone need
    not do so for both."""
    basis = shop(tmp_path, 0)
    tall = basis.brewhouse.kettle.model_copy(update={"inside_height": 0.9, "coil_rests": rests})
    taller = replace(basis, brewhouse=basis.brewhouse.model_copy(update={"kettle": tall}))
    both = kettles_of(basis, [same_stock(basis, taller)])[0].space
    dearer = on_dearer_rolls(both)
    assert 0 < dearer.size < on_dearer_rolls(space(basis)).size
    r = rows(both, dearer)
    needed = r.checks.rows["stock_length"].value
    assert (needed <= both.setups.get("spared", r.setup) + 1e-9).all()


def test_turns_that_a_cheaper_roll_takes_are_counted_nearly_to_the_last(tmp_path: Path) -> None:
    """Of one layer whose whole tube comes out of the cheaper roll, none but the last two turns of a helix are
    looked at twice."""
    house: dict[str, Any] = {"workshop": {**SHOP, "layouts": ["single"]}}
    lists = small_stock.lists()
    lists["tubing"].append({**lists["tubing"][0], "stock_id": "longer", "length": "25 m", "price": "92"})
    searched = space(small_stock.of(tmp_path, house, lists))
    r = rows(searched, np.concatenate([*searched.chunks(10**6)]))
    spared, needed = searched.setups.get("spared", r.setup), r.checks.rows["stock_length"].value
    a_turn = np.pi * r.shape.D_c
    assert (spared > 0).any() and (needed >= spared - 2.0 * a_turn)[spared > 0].all()
