"""The shopping list: what is bought from the lists, what no list has, and what is at hand."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from optichill.display import INCH, inch_fraction, show, trim
from optichill.fabrication import bends
from optichill.fabrication.feet import feet
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.files.reading import Inputs
from optichill.geometry import supports
from optichill.geometry.helix import bore_volume
from optichill.geometry.strips import how_many, strip_width, strips
from optichill.money import bill_figures
from optichill.problem.bill import form_of, roll_of
from optichill.problem.plumbing import hoses
from optichill.problem.windings import PACKING
from optichill.report.left_out import not_counted
from optichill.report.sheet.bending import by_eye, has_disc
from optichill.report.sheet.document import Table
from optichill.report.sheet.hose_ends import clamps_wanting, joints_wanting
from optichill.report.sheet.made_form import of_what
from optichill.report.sheet.phrases import bare_wire, form_words
from optichill.report.sheet.scrap import scrap_length, scrap_wanting
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import by_hand, roll_words, winding_words
from optichill.workshop.fittings import TEES

Row = tuple[str, str]
Said = Callable[[float], str]

TIES = 4.0
"""Times that string goes round the strips: twice at either end (OWN)."""

HOLDS = 3
"""Times that strong tape goes round either end of the inner layer (OWN)."""

COMMON = {
    "metric": (0.110, 0.125, 0.160, 0.200, 0.250, 0.315, 0.400),
    "us": tuple(INCH * size for size in (4.5, 6.625, 8.625, 10.75, 12.75, 14.0)),
}
"""Outside diameters of pipe that every merchant has [m]: EN 1401 drain pipe; NPS 4 to 14 of ASME B36.10."""

TUBES = {
    "metric": (0.008, 0.010, 0.012, 0.015, 0.018, 0.022),
    "us": tuple(INCH * size for size in (0.25, 0.3125, 0.375, 0.5, 0.625, 0.75, 0.875)),
}
"""Outside diameters of soft tube [m]: EN 12735-1 and EN 1057; ASTM B280."""


def tables(plan: WorkPlan, inputs: Inputs, sizes: Sizes) -> list[Table]:
    """All three, each line with a box where something has to be got."""
    at_hand = [
        (_what(plan, item.what, item.unit, sizes), by_hand.amount(item.quantity, item.unit, sizes.units))
        for item in plan.bill.items
        if item.owned
    ]
    found = [_priced(plan, inputs, sizes)]
    besides = ("Also needed, not in your lists", _besides(plan, sizes))
    for title, rows in (besides, ("Already yours", at_hand)):
        if rows:
            found.append(Table(title, (title.lower(), "how many"), tuple(rows), (7.4, 2.2), (1,), ticks=True))
    return found


def _priced(plan: WorkPlan, inputs: Inputs, sizes: Sizes) -> Table:
    """What is bought from the lists, with its price."""
    brewhouse = plan.basis.brewhouse
    currency = brewhouse.stock.currency
    rows: list[tuple[str, ...]] = []
    if not plan.listed:
        size = f"{sizes.tube(plan.tube.outer_diameter)}, {sizes.wall(plan.tube.wall)} wall"
        near = _nearest(plan.tube.outer_diameter, TUBES, sizes, sizes.tube)
        rows.append((f"tube, OUTSIDE diameter {size}{near}", sizes.long(plan.cut_length), "not in your list"))
    bought = [item for item in plan.bill.items if not item.owned]
    *prices, total = bill_figures([item.price for item in bought], plan.bill.total)
    for item, price in zip(bought, prices, strict=True):
        much = by_hand.amount(item.quantity, item.unit, sizes.units)
        rows.append((_what(plan, item.what, item.unit, sizes), much, f"{price} {currency}"))
    left_out = not_counted(plan.bill, plan.basis)
    rows += [(what, much, "not counted") for what, much in left_out]
    short = " without what is not counted" if left_out else ""
    if not plan.complete:
        short = " without what your lists do not have"
    rows.append((f"TOTAL{short}{_prices(plan, inputs)}", "", f"{total} {currency}"))
    return Table(
        "Shopping list", ("what", "how many", "price"), tuple(rows), (6.6, 1.2, 1.8), (1, 2), ticks=True
    )


def _what(plan: WorkPlan, what: str, unit: str, sizes: Sizes) -> str:
    """A line of the bill as the shop is asked for it."""
    for layer in plan.layers:
        if layer.form is not None and what == form_of(layer.form, sizes.units).what and layer.form.made:
            return of_what(plan, layer, sizes)
    if unit != "roll":
        return what
    tube, told = plan.tube, roll_of(plan.tube).what
    size = f"{sizes.tube(tube.outer_diameter)}, {sizes.wall(tube.wall)} wall"
    length = f"{show(tube.length, 'long_length', sizes.units)} roll"
    if what != told:  # one of two lengths, which say so themselves
        length, _, what = what.partition(": ")
    return f"{length}, {roll_words.temper(tube)}, OUTSIDE diameter {size}: {what}"


def _prices(plan: WorkPlan, inputs: Inputs) -> str:
    if inputs.stock.example_prices:
        return " (example prices)"
    return f" ({roll_words.price_date([tube for tube, _ in plan.by_roll])})"


def _nearest(size: float, common: dict[str, tuple[float, ...]], sizes: Sizes, said: Said) -> str:
    """The common size next to one that no list has; nothing where it is one."""
    near = min(common[sizes.units], key=lambda other: abs(other - size))
    if abs(near - size) < 1e-4:
        return ""
    return f" (the nearest common size is {said(near)}, and makes another coil: ask again)"


def _besides(plan: WorkPlan, sizes: Sizes) -> list[Row]:
    """What no list has a price for."""
    parts = {item.part for item in plan.bill.items}
    rows: list[Row] = []
    for layer in plan.layers:
        if layer.wants_form:
            near = _nearest(layer.D_form, COMMON, sizes, sizes.length)
            rows.append((f"a {form_words(layer, sizes)}{near}", "1"))
    rows += _missing(plan, parts, sizes)
    rows += _packing(plan, sizes)
    rows += _plates(plan, sizes)
    if scrap_wanting(plan, sizes):
        tube, long = plan.tube, sizes.length(scrap_length(sizes))
        size = f"{sizes.tube(tube.outer_diameter)}, {sizes.wall(tube.wall)} wall, {roll_words.temper(tube)}"
        rows.append((f"an end of the same tube ({size}), {long} long, for the bend trial", "1"))
    rows += _straps(plan, sizes)
    rows.append(("masking tape, for marks, card and template", _up(_tape(plan), sizes)))
    if plan.tool.kind != "lever" and not has_disc(plan):
        disc = "a disc or tin" if by_eye(plan, sizes) else "a disc of board, sawn to size,"
        rows.append((f"{disc} of {sizes.length(bends.former(plan))} across, to bend round", "1"))
    if any(item.joint == "solder" for item in plan.bill.items):
        rows.append(("lead-free solder, its flux, a torch", "1 of each"))
    rows += _combs(plan, sizes)
    bore = sizes.tube(hoses(plan.basis).bore)
    rows += [
        (f"test plug: a hand's length of hose, a bolt of its bore, {bore}, two worm clamps", "1"),
        ("mild detergent", "some"),
        ("household vinegar, 5 %, if the coil stays dull", _vinegar(plan, sizes)),
    ]
    return rows


def _missing(plan: WorkPlan, parts: set[str], sizes: Sizes) -> Iterable[Row]:
    """Parts that steps need and the lists do not have."""
    hose, brewhouse = hoses(plan.basis), plan.basis.brewhouse
    bore, hot = sizes.tube(hose.bore), by_hand.degrees(373.15, sizes.units)
    arms = 2.0 * hose.arm if plan.layout.tees else 0.0
    if "inlet hose" not in parts:
        yield f"drinking-water hose, {bore} bore", _up(hose.inlet + arms, sizes)
    if "outlet hose" not in parts:
        yield f"hose rated {hot}, {bore} bore", _up(hose.outlet + arms, sizes)
    if hose.tap and "vacuum breaker" not in parts:
        yield "vacuum breaker for the hose tap, unless it has one", "1"
    if hose.tap and "tap union" not in parts:
        yield f"hose union for the tap, for {bore} hose", "1"
    tube = sizes.tube(plan.tube.outer_diameter)
    if joints_wanting(plan):
        yield f"compression end for {tube} tube, barb for {bore} hose", str(joints_wanting(plan))
    if "tee" in plan.bill.missing:
        yield f"tee with barbs for {bore} hose", str(TEES)
    if plan.rating.throttled:
        yield f"valve for the inlet hose, barbs for {bore} hose", "1"
    if clamps_wanting(plan):
        more = ", besides those of your list" if "clamp" in parts else ""
        yield f"worm clamp, for {bore} hose on a barb{more}", str(clamps_wanting(plan))
    d_o = plan.tube.outer_diameter
    if all(i.part != "lacing" or i.unit != "m" for i in plan.bill.items):
        # Spacers hold the turns between the ends; the end half turns are laced down after their bends.
        turns = [1.0 if "lacing" in parts else x.turns for x in plan.layers]
        laced = zip(turns, plan.layers, strict=True)
        lacing = sum(float(supports.lacing_wire(n, x.pitch, d_o)) for n, x in laced)
        yield f"{bare_wire(plan)} {sizes.length(supports.LACING_WIRE)}, to lace", _up(lacing, sizes)
    if "feet wire" not in parts and brewhouse.kettle.coil_rests != "floor":
        kettle, low = brewhouse.kettle, float(plan.placement.lowest[0]) - d_o / 2.0
        each = (
            supports.support_wire(kettle.coil_rests, low, x.pitch, d_o, kettle.inside_height)
            for x in plan.layers
        )
        what = "hooks" if kettle.coil_rests == "hangs" else "feet"
        wire = f"bare stainless wire {sizes.length(supports.FOOT_WIRE)}, for {what}"
        yield wire, _up(float(sum(each)), sizes)


def _packing(plan: WorkPlan, sizes: Sizes) -> Iterable[Row]:
    """Card round a form, each wrap longer than the one under it, and strips and card between two layers of
    one tube."""
    card = winding_words.card(sizes.units)
    for layer in plan.layers:
        for over in reversed(range(layer.wraps)):
            yield f"{card}, {_patch(plan, layer, sizes, over)}", "1"
    if plan.layout.crossing:
        outer, inner = plan.layers
        strip, carded = strips(inner.D_form, outer.D_form, inner.d_o, PACKING)
        long = sizes.length(outer.height_on_form(plan.by_template(outer)))
        wide = sizes.off(float(strip_width(inner.D_form, inner.d_o)))
        yield (
            f"wooden strips, {long} long, no wider than {wide}, planed to the step's thickness (about "
            f"{sizes.length(float(strip))})",
            f"{how_many(inner.D_form, outer.D_form, inner.d_o):.0f}",
        )
        yield "thin string, to tie the strips", _up(TIES * math.pi * outer.D_form, sizes)
        if carded:
            yield f"{card} over the strips, {_patch(plan, outer, sizes)}", "1"


def _plates(plan: WorkPlan, sizes: Sizes) -> Iterable[Row]:
    """Sheet that feet may be cut from, as thick as bar of its metal for combs, with what it measures."""
    metal, metric, us = plan.tube.metal.bar
    plates = [foot for layer in plan.layers for foot in feet(plan, layer)]
    if plates:
        wide, tall = (sizes.length(max(getattr(x, side) for x in plates)) for side in ("width", "tall"))
        thick = us if sizes.units == "us" else metric
        yield (
            f"if you take plates in place of wire feet: {metal} sheet {thick}, {wide} by {tall}",
            str(len(plates)),
        )


def _patch(plan: WorkPlan, layer: WoundLayer, sizes: Sizes, over: int = 0) -> str:
    """Once round by the middle of the card, that is bent, and as high as the turns stand on it however they
    are wound; over : wraps that lie over this one."""
    high = layer.height_on_form(plan.by_template(layer))
    middle = layer.D_form - (2 * over + 1) * PACKING
    return f"{sizes.length(math.pi * middle)} by {sizes.length(high)}"


def _straps(plan: WorkPlan, sizes: Sizes) -> list[Row]:
    """What holds the tube on its form; of two layers of one tube also the inner one under strips."""
    if not plan.layout.crossing:
        return [("strap or clamp, to hold the tube's start on the form", "1")]
    around = 2 * HOLDS * math.pi * (plan.layers[1].on_form + plan.tube.outer_diameter)
    return [
        ("strap or clamp, to hold the tube's start and end on the form", "2"),
        ("strong tape (fabric or parcel tape), to hold the inner layer", _up(around, sizes)),
    ]


def _tape(plan: WorkPlan) -> float:
    """A turn round the tube at each end of the turns, twice round each wrap of card, and the template's two
    ends [m]."""
    turns = sum(4.0 * math.pi * len(piece.layers) for piece in plan.pieces) * plan.tube.outer_diameter
    card = sum(2.0 * math.pi * layer.D_form * layer.wraps for layer in plan.layers)
    over = 2.0 * math.pi * plan.layers[0].D_form if plan.layout.crossing else 0.0
    ends = sum(2.0 * layer.template.height for layer in plan.layers if plan.by_template(layer))
    return turns + card + over + ends


def _combs(plan: WorkPlan, sizes: Sizes) -> Iterable[Row]:
    """Bars to drill, one kind a layer that has a gap."""
    metal, metric, us = plan.tube.metal.bar
    thick = us if sizes.units == "us" else metric
    open_ = [layer for layer in plan.layers if layer.combed]
    bars = [
        f"{sizes.length(layer.d_o + 2.0 * layer.beside)} by {thick}, {sizes.length(layer.comb.length)} long"
        for layer in open_
    ]
    for bar in dict.fromkeys(bars):
        many = supports.FEET * bars.count(bar)
        yield f"if you take combs in place of lacing: flat {metal} bar {bar}", str(many)
    if open_:
        yield f"if you take combs: drill {drill(plan.tube.outer_diameter, sizes.units)}", "1"
        yield "if you take combs: metal saw, to saw each in two along its holes", "1"


def drill(d_o: float, units: str) -> str:
    """The drill for a comb's holes: half a millimetre, or 1/64 in, larger than the tube."""
    if units != "us":
        return f"{trim(round(2.0 * (d_o * 1e3 + 0.5)) / 2.0)} mm"
    return inch_fraction(math.ceil(d_o / INCH * 64.0 - 1e-2) / 64.0 * INCH + INCH / 64.0, 64)


def _vinegar(plan: WorkPlan, sizes: Sizes) -> str:
    """Half of what the tube holds, for it is thinned with as much water."""
    tube = plan.tube
    holds = float(bore_volume(tube.outer_diameter - 2.0 * tube.wall, plan.cut_length))
    return by_hand.vessel(0.5 * holds, sizes.units)


def _up(length: float, sizes: Sizes) -> str:
    """A length to buy, never told shorter than it is."""
    return by_hand.amount(length, "m", sizes.units)
