"""What belongs to a coil that somebody owns: what of a bill is still to be bought says `problem.bill.beyond`.
One rule for a coil that is made better and for one that meets a new kettle."""

from __future__ import annotations

from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import pump_of, wire
from optichill.problem.plumbing import fittings, hoses
from optichill.workshop.cost import Bill, itemised_bill
from optichill.workshop.fittings import EndSet, cheapest_end_set


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
