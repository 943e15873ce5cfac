"""A longer roll than the lists have: what it is of, and what it would cost by the metre."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from optichill.display import FOOT, show
from optichill.model.stock import Tube
from optichill.money import money
from optichill.problem.basis import DesignBasis
from optichill.problem.mates import size_of
from optichill.search.conflicts import Step
from optichill.search.designs import Design
from optichill.search.what_opens import as_told


@dataclass(frozen=True)
class LongerRoll:
    """Rolls of this tube, `length` [m] each, so `many` of them; rest : of the build's cost, without them;
    per_metre : the least price of a metre of that tube in the list, None where none has one; budget : what
    the brewer spends at most."""

    tube: Tube
    length: float
    many: int
    rest: float
    per_metre: float | None
    budget: float | None

    def bought_with(self, d: Design) -> tuple[Tube, ...]:
        """What a design takes, these rolls as long as they must be."""
        longer = self.tube.model_copy(update={"length": self.length, "owned": False})
        return tuple(longer if roll.stock_id == self.tube.stock_id else roll for roll in d.bought)

    @property
    def price(self) -> float | None:
        """Of all of them at the metre's price."""
        return None if self.per_metre is None else self.many * self.length * self.per_metre


def longer_roll(d: Design, steps: Sequence[Step], basis: DesignBasis) -> LongerRoll | None:
    """The roll that a way out asks for, as it is told; None where it asks for none."""
    step = next((step for step in steps if step.limit == "stock_length"), None)
    if step is None:
        return None
    to = as_told(step.limit, step.now, step.to, basis.brewhouse.units)
    tube = d.winding.tube
    mine = [roll for roll in d.bought if roll.stock_id == tube.stock_id]
    paid = sum(0.0 if roll.owned else roll.price or 0.0 for roll in mine)
    alike = [roll for roll in basis.stock.tubing if size_of(roll) == size_of(tube)]
    prices = [roll.price / roll.length for roll in alike if roll.price and not roll.owned]
    moved = next((step.to for step in steps if step.limit == "budget"), basis.brewhouse.limits.budget)
    return LongerRoll(tube, to, len(mine), d.bill.total - paid, min(prices, default=None), moved)


def named(roll: LongerRoll, units: str) -> str:
    """The tube: "10 mm copper with a wall of 1 mm"."""
    size, wall = show(roll.tube.outer_diameter, "tube", units), show(roll.tube.wall, "wall", units)
    return f"{size} {roll.tube.material} with a wall of {wall}"


def cost(roll: LongerRoll, basis: DesignBasis) -> str:
    """What the build costs without the roll, and what the roll may: no list has it."""
    brewhouse, one = basis.brewhouse, roll.many == 1
    currency, us = brewhouse.stock.currency, brewhouse.units == "us"
    said = f"{money(roll.rest, currency)} without {'that roll' if one else 'those rolls'}"
    if roll.per_metre is not None and roll.price is not None:
        each = money(roll.per_metre * (FOOT if us else 1.0), currency, 2)
        said += (
            f", which at {each} a {'foot' if us else 'metre'}, the least that such tube costs in your list, "
            f"come{'s' if one else ''} to {money(roll.price, currency)}"
        )
    left = None if roll.budget is None else max(roll.budget - roll.rest, 0.0)
    if left is not None and (roll.price is None or roll.price > left):
        said += f"; your budget leaves {money(math.floor(left), currency)} for {'it' if one else 'them'}"
    return said


def document(roll: LongerRoll | None) -> dict[str, float | str | None] | None:
    """For other programs: tube and length [m] of the roll, what the build costs without it and what it may
    cost itself."""
    if roll is None:
        return None
    return {
        "stock_id": roll.tube.stock_id,
        "length_m": roll.length,
        "rolls": roll.many,
        "cost_without": roll.rest,
        "least_price_per_metre": roll.per_metre,
    }
