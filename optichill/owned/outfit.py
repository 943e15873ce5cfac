"""What belongs to a coil that somebody owns, and what of a bill is still to be bought beside it: one rule for
a coil that is made better and for one that meets a new kettle."""

from __future__ import annotations

from dataclasses import replace

from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import pump_of, wire
from optichill.problem.plumbing import fittings, hoses
from optichill.workshop.cost import Bill, itemised_bill
from optichill.workshop.fittings import EndSet, Item, cheapest_end_set


def outfit(basis: DesignBasis, coil: Coil, *, feet: bool = False, pumps: bool = False) -> Bill:
    """What a coil that exists has about it, at the prices of the lists: ends, hoses, what is at the tap, the
    wire round its turns, that of its feet where they serve, and the pumps of a plan that runs already;
    whatever its tube and its form once cost."""
    lacing, held = wires(basis, coil)
    tubes = LAYOUTS[coil.layout].tubes
    run = [pump_of(pump) for pump in basis.pumps if pumps]
    return itemised_bill(run, ends_of(basis, coil, tubes), lacing, held if feet else 0.0)


def ends_of(basis: DesignBasis, coil: Coil, tubes: int = 1) -> EndSet:
    """The fittings of the lists that its tube takes."""
    return cheapest_end_set(fittings(basis), coil.outer_diameter, hoses(basis), tubes, coil.metal.wire)


def wires(basis: DesignBasis, coil: Coil) -> tuple[float, float]:
    """Wire that laces all layers, and that of feet or hooks [m]."""
    both = [
        wire(basis, coil.outer_diameter, coil.lowest_turn_height, layer.turns, layer.pitch)
        for layer in coil.layers
    ]
    return float(sum(lacing for lacing, _ in both)), float(sum(feet for _, feet in both))


def beyond(bill: Bill, there: Bill) -> tuple[Bill, tuple[Item, ...]]:
    """What of a bill has still to be bought where some of it is there already, and what serves again. What
    the lists price as one line is one thing: of four ends two are there."""
    have = {(item.what, item.part): item.quantity for item in there.items}
    to_buy, reused = [], []
    for item in bill.items:
        if item.owned:
            reused.append(item)
            continue
        had = min(have.get((item.what, item.part), 0.0), item.quantity)
        each = item.price / item.quantity if item.quantity else 0.0
        if had > 0.0:
            reused.append(replace(item, quantity=had, price=each * had))
        if item.quantity - had > 1e-9:
            more = item.quantity - had
            to_buy.append(replace(item, quantity=more, price=each * more))
    return replace(bill, items=tuple(to_buy)), tuple(reused)
