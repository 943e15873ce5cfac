"""Which rolls another of their size beats: against every two of them, compared one by one."""

from __future__ import annotations

import numpy as np
import pytest

from optichill.model.stock import Tube
from optichill.problem.rolls import unbeaten

SIZE = {"material": "copper", "temper": "annealed", "outer_diameter": 0.010, "wall": 0.001}


def roll(name: str, length: float, price: float, **other: object) -> Tube:
    return Tube(stock_id=name, length=length, price=price, **{**SIZE, **other})  # type: ignore[arg-type]


def kept(*tubes: Tube, on_tees: bool = True) -> list[str]:
    return [tube.stock_id for tube in unbeaten(tubes, on_tees=on_tees).kept]


def test_a_roll_that_is_no_longer_and_no_cheaper_goes() -> None:
    assert kept(roll("long", 15, 40), roll("short", 10, 41)) == ["long"]
    assert kept(roll("long", 15, 40), roll("as long", 15, 41)) == ["long"]
    assert kept(roll("long", 15, 40), roll("as dear", 14, 40)) == ["long"]
    assert kept(roll("long", 15, 41), roll("cheap", 14, 40)) == ["cheap", "long"]


def test_of_equal_rolls_the_first_id_stays_in_whatever_order_they_come() -> None:
    equal = [roll(name, 15, 40) for name in "bca"]
    assert kept(*equal) == kept(*equal[::-1]) == ["a"]


@pytest.mark.parametrize(
    "other",
    [
        {"material": "stainless 304"},
        {"temper": "half hard"},
        {"outer_diameter": 0.0095},
        {"wall": 0.0008},
    ],
)
def test_only_rolls_of_one_size_are_held_against_each_other(other: dict[str, object]) -> None:
    assert kept(roll("a", 15, 40), roll("b", 10, 41, **other)) == ["a", "b"]


def test_a_size_in_inches_is_that_size_in_millimetres() -> None:
    inch, mm = 3 / 8 * 0.0254, 0.009525
    assert kept(roll("in", 15, 40, outer_diameter=inch), roll("mm", 10, 41, outer_diameter=mm)) == ["in"]


def test_a_roll_at_hand_is_never_beaten_by_one_that_is_bought() -> None:
    assert kept(roll("mine", 10, 60, owned=True), roll("shop", 25, 40)) == ["mine", "shop"]


def test_of_the_roll_at_hand_there_is_no_second() -> None:
    """Two tubes of 8 m each come out of two rolls of 10 m, and out of no one roll of 15 m."""
    mine, shop = roll("mine", 15, 0, owned=True), roll("shop", 10, 41)
    assert kept(mine, shop, on_tees=True) == ["mine", "shop"]
    assert kept(mine, shop, on_tees=False) == ["mine"]
    assert kept(roll("mine", 20, 0, owned=True), shop, on_tees=True) == ["mine"]


def test_a_roll_at_hand_that_is_dear_to_spoil_beats_none_that_is_not() -> None:
    """What is spoilt counts at the price of such a roll, paid or not (workshop.lifetime)."""
    mine, shop = roll("mine", 25, 90, owned=True), roll("shop", 10, 41)
    assert kept(mine, shop, on_tees=False) == ["mine", "shop"]


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("on_tees", [True, False])
def test_of_many_rolls_those_stay_that_none_of_all_others_beats(seed: int, on_tees: bool) -> None:
    rng = np.random.default_rng(seed)
    tubes = [
        roll(
            f"r{n:02}",
            float(rng.integers(5, 15)),
            float(rng.integers(20, 40)),
            owned=bool(rng.random() < 0.2),
        )
        for n in range(40)
    ]

    def beats(a: Tube, b: Tube) -> bool:
        """One by one, as it is said in words."""
        apart = a.owned and not b.owned and on_tees
        no_shorter = a.length >= (2.0 if apart else 1.0) * b.length
        no_dearer = a.cost <= b.cost and (a.price or 0.0) <= (b.price or 0.0)
        same = (a.length, a.price, a.owned) == (b.length, b.price, b.owned)
        return no_shorter and no_dearer and (not same or a.stock_id < b.stock_id)

    found = unbeaten(tubes, on_tees=on_tees)
    expected = sorted(b.stock_id for b in tubes if not any(beats(a, b) for a in tubes if a is not b))
    assert [t.stock_id for t in found.kept] == expected and found.left_out == 40 - len(expected) > 0
    for tube in found.kept:
        cheaper = [
            a.length
            for a in found.kept
            if a is not tube and a.cost <= tube.cost and (a.price or 0.0) <= (tube.price or 0.0)
        ]
        assert found.spared[tube.stock_id] == max(cheaper, default=0.0)
