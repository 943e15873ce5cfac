"""What belongs to a coil that is owned is not bought again, whatever is done about the coil."""

from __future__ import annotations

import math
from typing import Any

import pytest

import optichill as oc
from optichill.api.given import inputs_with
from optichill.files.reading import packaged
from optichill.owned.improve import of_coil
from optichill.owned.improve.seen import Seen
from optichill.owned.new_kettle.kept_options import Kept
from optichill.owned.new_kettle.new_build import best_of, replaced
from optichill.owned.outfit import outfit, wires
from optichill.problem.bill import beyond, billed
from optichill.search.recommend import search_space

COIL = {
    "material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24.7 cm",
    "pitch": "10 mm", "turns": 5, "lowest_turn_height": "30 mm", "riser_length_in": "60 cm",
    "riser_length_out": "55 cm",
}  # fmt: skip


def seen(house: str = "brewhouse.toml", **sizes: Any) -> Seen:
    return Seen(inputs_with({**COIL, **sizes}, oc.read(packaged(house))))


def test_a_coil_of_the_same_make_needs_no_outfit() -> None:
    """Of its own bill nothing is left but roll and form."""
    now = seen()
    way = of_coil._wound(now, "nested")
    assert way is not None
    both = billed(
        now.basis, way[0].tube, way[0].tool, [way[0].form], 1, [way[0].tube], now.coil.lowest_turn_height,
        [(now.coil.turns, now.coil.pitch)],
    )  # fmt: skip
    to_buy, again = beyond(both, outfit(now.basis, now.coil, feet=True))
    assert {item.part for item in to_buy.items} <= {"roll", "form", "bender"}
    assert {"joint", "outlet hose", "vacuum breaker", "clamp", "lacing"} <= {item.part for item in again}


def test_a_second_coil_behind_the_first_takes_two_joints_and_a_hose_between() -> None:
    """By hand from the packaged list: a 10 mm end 4, a clamp 0.70, hot hose 4 a metre from one coil's end to
    the other's, half way round the kettle's rim; lacing 0.80 and feet 1 a metre once more; no second vacuum
    breaker, nor another hose to a drain."""
    now = seen()
    way = of_coil._wound(now, "nested")
    assert way is not None
    tube, form, tool = way[0].tube, way[0].form, way[0].tool
    whole = (tube.price or 0.0) + (0.0 if form.owned else form.price or 0.0)
    whole += 0.0 if tool.bender is None or tool.bender.owned else tool.bender.price or 0.0
    kettle = now.inputs.brewhouse.kettle
    between = math.pi * (kettle.inside_diameter / 2 + now.inputs.brewhouse.workshop.over_the_rim)
    lacing, feet = wires(now.basis, now.coil)
    by_hand = whole + 2 * 4.0 + 2 * 0.7 + 4.0 * between + 0.8 * lacing + 1.0 * feet
    assert of_coil._to_buy(now, way[0], "nested").total == pytest.approx(by_hand, abs=0.01)


@pytest.mark.slow
def test_another_coil_costs_the_same_to_who_stays_and_who_moves() -> None:
    """`improve` with a coil and `new-kettle` into a kettle of the same sizes: one list of what to buy."""
    now = seen("wide/brewhouse.toml")
    another = of_coil.another_coil(now)
    assert another is not None
    basis = now.basis
    moved = replaced(Kept.of(basis, basis, now.coil), best_of(search_space(basis)))
    assert another[0].buys == pytest.approx(moved.bill.total, abs=0.01)  # type: ignore[union-attr]
    assert another[0].buys < another[0].told["design"].bill.total - 15.0  # type: ignore[operator]
