"""Words of the workshop that several steps share."""

from __future__ import annotations

import re

from optichill.display import trim, turns
from optichill.fabrication import bends
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import winding_words


def called(plan: WorkPlan, layer: WoundLayer) -> str:
    """A layer by its place, "" where it is the only one: of two tubes each is a coil."""
    if len(plan.layers) == 1:
        return ""
    return f"{'outer' if layer is plan.layers[0] else 'inner'} {'coil' if plan.layout.tees else 'layer'}"


def form_words(layer: WoundLayer, sizes: Sizes) -> str:
    """What a layer is wound on."""
    if layer.form is None or layer.form.made:
        return f"form of {sizes.length(layer.D_form)} outside diameter"
    name = layer.form.description.split(";")[0].split(",")[0] or layer.form.form_id
    size = sizes.length(layer.form.outer_diameter)
    if not layer.wraps:
        return f"{name} ({size} outside)"
    times = {1: "once", 2: "twice"}[layer.wraps]
    card, packed = winding_words.card(sizes.units), sizes.length(layer.D_form)
    return f"{name} ({size} outside), packed out {times} with {card} to {packed}"


def turns_words(count: float) -> str:
    """Turns as they are: halves in words of the trade, anything else with decimals."""
    return turns(count) if abs(2.0 * count - round(2.0 * count)) < 1e-6 else trim(count, 2)


def unwinds(layer: WoundLayer) -> str:
    back = layer.turns_on_form - layer.turns
    return f"about {round(360.0 * back / 5.0) * 5} degrees" if back < 1.5 else f"about {trim(back)} turns"


def open_end(layer: WoundLayer) -> str:
    """Which way the coil comes off, as the list tells it; a pot's mouth has a rim and handles."""
    said = layer.form.description.split(";") if layer.form is not None else [""]
    for text in (part.strip() for part in said[1:]):
        if text.startswith("off over"):
            return f" {text.removeprefix('off ')}"
        if "rim" in text:
            return f" over the end without a rim ({text})"
    if re.search(r"\b(pot|pan)\b", said[0]):
        return " over its base, away from rim and handles"
    return " over its open end"


def counted(turns_on_form: float) -> str:
    """Turns as they are counted on a form: whole ones, and by how far the last one goes round."""
    whole = int(turns_on_form + 1.0 / 144.0)
    degrees = round(360.0 * (turns_on_form - whole) / 5.0) * 5
    more = f" and {degrees} degrees more" if degrees > 0 else ""
    return f"{whole} turns{more}"


def in_the_tool(plan: WorkPlan, zero: str, other: str, hook: str) -> str:
    """Where a bend lies in its tool. zero : mark where it begins, of the side that is held; other : where it
    ends; hook : which side that is."""
    if plan.tool.kind == "lever":
        return f"in the lever bender, hook on the side of the {hook}, its 0 on mark {zero}, as far as {other}"
    if plan.tool.kind == "spring":
        return f"in the bending spring, round the former, from {zero} to {other}"
    return f"by hand round the former, from {zero} to {other}"


def degrees_past(plan: WorkPlan) -> str:
    """By how much a bend is made past square, in whole degrees that an eye can tell."""
    return f"{max(1, round(bends.past_square(plan)))}°"


def spacers_of(plan: WorkPlan) -> str:
    """Spacers that the list has by the piece, in the plural; "" where turns are held by wire."""
    names = [i.what.split(",")[0] for i in plan.bill.items if i.part == "lacing" and i.unit != "m"]
    return f"{names[0]}s" if names else ""


def bare_wire(plan: WorkPlan) -> str:
    """Wire that may go into the wort with this tube: of its own metal, or stainless."""
    return f"bare {' or '.join(plan.tube.metal.wire)} wire"
