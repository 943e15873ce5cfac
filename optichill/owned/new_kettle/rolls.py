"""Tube of the lists that is like a coil's own."""

from __future__ import annotations

from optichill.model.coil import Coil
from optichill.model.stock import MATCH, Stock, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import metre_of_copper


def like(stock: Stock, coil: Coil) -> list[Tube]:
    """Rolls of the lists that are of the coil's tube, and soft."""
    return [
        tube
        for tube in stock.tubing
        if tube.material == coil.material
        and tube.temper == "annealed"
        and abs(tube.outer_diameter - coil.outer_diameter) <= MATCH
        and abs(tube.wall - coil.wall) <= MATCH
    ]


def cheapest_roll(stock: Stock, coil: Coil, length: float) -> Tube | None:
    """The cheapest roll of its tube that is long enough."""
    return min(
        (tube for tube in like(stock, coil) if tube.length >= length),
        key=lambda tube: (tube.cost, tube.stock_id),
        default=None,
    )


def price_of_such_a_roll(basis: DesignBasis, coil: Coil) -> float:
    """What tube like the coil's costs new [money]: of the lists, else by their metre of copper."""
    takes = coil.bought_length or coil.takes
    roll = cheapest_roll(basis.stock, coil, takes)
    return float(roll.price or 0.0) if roll is not None else metre_of_copper(basis.stock) * takes
