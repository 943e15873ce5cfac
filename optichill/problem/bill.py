"""What one build takes from the lists, and its price; what has still to be bought where some is there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array
from optichill.display import show
from optichill.geometry import supports
from optichill.model.stock import Form, Pump, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.plumbing import fittings, hoses
from optichill.problem.riser_tools import RiserTool
from optichill.workshop import cost
from optichill.workshop.fittings import Item, cheapest_end_set


def wire(
    basis: DesignBasis, d_o: ArrayLike, lowest: ArrayLike, turns: ArrayLike, pitch: ArrayLike
) -> tuple[Array, Array]:
    """Wire that laces one layer, and that of its feet or hooks [m]; lowest : the lowest turn's height."""
    kettle = basis.brewhouse.kettle
    underside = np.asarray(lowest) - np.asarray(d_o) / 2.0
    feet = supports.support_wire(kettle.coil_rests, underside, pitch, d_o, kettle.inside_height)
    return supports.lacing_wire(turns, pitch, d_o), feet


TOOLS = {"hand": "disc to bend round"}
"""What benders are called that are none: round it tube is bent by hand."""


def roll_of(tube: Tube) -> cost.Purchase:
    """One roll of the list."""
    return cost.Purchase(tube.description or tube.stock_id, tube.price or 0.0, tube.owned, "roll", "roll")


def rolls_of(tubes: Sequence[Tube], units: str) -> list[cost.Purchase]:
    """Rolls as the bill has them; two lengths of one tube are told apart by them, or else by name."""
    names = {t.stock_id: show(t.length, "long_length", units) for t in tubes}
    if len(names) == 1:
        return [roll_of(tube) for tube in tubes]
    alike = len(set(names.values())) == 1

    def named(tube: Tube) -> cost.Purchase:
        which = f"{names[tube.stock_id]} roll" + (f" {tube.stock_id}" if alike else "")
        one = roll_of(tube)
        return replace(one, what=f"{which}: {one.what}")

    return [named(tube) for tube in tubes]


def form_of(form: Form, units: str = "metric") -> cost.Purchase:
    """One form of the list, or one that has to be made; units : of the reader."""
    what = f"form: {form.description or form.form_id}"
    if form.made:
        what = made_of(form.outer_diameter, units)
    return cost.Purchase(what, form.price or 0.0, form.owned, part="form")


def made_of(diameter: float, units: str) -> str:
    """What the bill says of a form of this diameter [m] that has to be made."""
    return f"form to be made, {show(diameter, 'length', units)} across"


def pump_of(pump: Pump) -> cost.Purchase:
    """One pump of the list."""
    what = f"pump {pump.pump_id}: {pump.description}".rstrip(": ")
    return cost.Purchase(what, pump.price or 0.0, pump.owned, part="pump")


def billed(
    basis: DesignBasis,
    tube: Tube,
    tool: RiserTool,
    forms: list[Form],
    tubes: int,
    rolls: Sequence[Tube],
    lowest: float,
    layers: Sequence[tuple[float, float]],
) -> cost.Bill:
    """What a build takes and costs; lowest : height of its lowest turn [m]; layers : turns and pitch [m] of
    each; rolls : to take, none where the lists have none."""
    units = basis.brewhouse.units
    purchases = rolls_of(rolls, units)
    # A form that is wound on twice is one all the same.
    purchases += [form_of(form, units) for form in {form.form_id: form for form in forms}.values()]
    if tool.bender is not None:
        bender = tool.bender
        what = f"{TOOLS.get(bender.kind, f'{bender.kind} bender')} {bender.bender_id}"
        purchases.append(cost.Purchase(what, bender.price or 0.0, bender.owned, part="bender"))
    purchases += [pump_of(pump) for pump in basis.pumps]
    ends = cheapest_end_set(fittings(basis), tube.outer_diameter, hoses(basis), tubes, tube.metal.wire)
    every = [wire(basis, tube.outer_diameter, lowest, turns, pitch) for turns, pitch in layers]
    lacing, feet = (float(sum(lengths)) for lengths in zip(*every, strict=True))
    return cost.itemised_bill(purchases, ends, lacing, feet)


def beyond(bill: cost.Bill, there: cost.Bill) -> tuple[cost.Bill, tuple[Item, ...]]:
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


def serves_on(bill: cost.Bill) -> cost.Bill:
    """What of a build is of use to the next coil: ends, hoses, what is at the tap, lacing wire."""
    return replace(bill, items=tuple(x for x in bill.items if x.fitting and x.part != "feet wire"))
