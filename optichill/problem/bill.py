"""What one build takes from the lists, and its price."""

from __future__ import annotations

from optichill.model.stock import Form, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.riser_tools import RiserTool
from optichill.problem.windings import fittings
from optichill.workshop import cost


def billed(
    basis: DesignBasis,
    tube: Tube,
    tool: RiserTool,
    forms: list[Form],
    tubes: int,
    rolls: int,
    height: float,
    laced: bool,
) -> cost.Bill:
    """What a build takes and costs; height : of all layers together [m]."""
    roll = cost.Purchase(tube.description or tube.stock_id, tube.price or 0.0, tube.owned, "roll")
    purchases = [roll] * rolls
    for form in forms:
        what = f"form: {form.description or form.form_id}"
        purchases.append(cost.Purchase(what, form.price or 0.0, form.owned))
    if tool.bender is not None:
        bender = tool.bender
        what = f"{bender.kind} bender {bender.bender_id}"
        purchases.append(cost.Purchase(what, bender.price or 0.0, bender.owned))
    purchases += [
        cost.Purchase(f"pump {p.pump_id}: {p.description}".rstrip(": "), p.price or 0.0, p.owned)
        for p in basis.pumps
    ]
    ends = cost.cheapest_end_set(fittings(basis), tube.outer_diameter, tubes)
    return cost.itemised_bill(purchases, ends, height, laced)
