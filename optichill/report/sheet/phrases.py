"""Words of the workshop that several steps share."""

from __future__ import annotations

from optichill.display import trim, turns
from optichill.fabrication.work_plan import WorkPlan, WoundLayer
from optichill.report import words
from optichill.report.sheet.sizes import Sizes


def form_words(layer: WoundLayer, sizes: Sizes) -> str:
    """What a layer is wound on."""
    if layer.form is None:
        return f"form of {sizes.length(layer.D_form)} outside diameter"
    name = layer.form.description.split(";")[0].split(",")[0] or layer.form.form_id
    size = sizes.length(layer.form.outer_diameter)
    if not layer.wraps:
        return f"{name} ({size} outside)"
    times = {1: "once", 2: "twice"}[layer.wraps]
    card, packed = words.card(sizes.units), sizes.length(layer.D_form)
    return f"{name} ({size} outside), packed out {times} with {card} to {packed}"


def turns_words(count: float) -> str:
    """Turns as they are: halves in words of the trade, anything else with decimals."""
    return turns(count) if abs(2.0 * count - round(2.0 * count)) < 1e-6 else trim(count, 2)


def unwinds(layer: WoundLayer) -> str:
    back = layer.turns_on_form - layer.turns
    return f"about {round(360.0 * back / 5.0) * 5} degrees" if back < 1.5 else f"about {trim(back)} turns"


def open_end(layer: WoundLayer) -> str:
    """Which way the coil comes off, as the list tells it."""
    said = layer.form.description.split(";")[1:] if layer.form is not None else []
    for text in (part.strip() for part in said):
        if text.startswith("off over"):
            return f" {text.removeprefix('off ')}"
        if "rim" in text:
            return f" over the end without a rim ({text})"
    return " over its open end"


def bend_words(plan: WorkPlan, sizes: Sizes) -> str:
    """How a bend up to the rim is made."""
    tool, R, d_o = plan.tool, plan.tool.radius, plan.tube.outer_diameter
    if tool.kind == "hand":
        disc = sizes.length(2.0 * R - d_o)
        return f"by hand round a disc or tin of {disc}, radius {sizes.length(R)} to the tube's middle"
    if tool.kind == "spring":
        return f"in the bending spring, radius {sizes.length(R)} to the tube's middle, no tighter"
    return f"in the lever bender, radius {sizes.length(R)}: its 0 mark on the mark where the bend starts"
