"""A form that no list has: how it is made, of board and slats, and what that takes (OWN)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from optichill.display import INCH
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.report.sheet.measure import BLANK
from optichill.report.sheet.phrases import called
from optichill.report.sheet.sizes import Sizes

Step = tuple[str, str]

FLAT = 0.001
"""So far may the middle of a slat lie under the circle through its edges [m]: a plane takes them off."""

SLAT = {"metric": 0.012, "us": 0.5 * INCH}
"""Thickness of a slat [m]."""

WIDEST = {"metric": 0.040, "us": 1.5 * INCH}
"""Slats wider than that are hard to bed on a round disc [m]."""

APART = 0.20
"""Discs stand no farther apart [m], or the slats give way under the tube."""

HANDLE = 0.05
"""Form beyond the turns, to strap the tube's start on [m]."""


@dataclass(frozen=True)
class Built:
    """What a form is made of. disc : its diameter [m]; discs, slats : how many; wide, tall : a slat [m];
    gape : between two slats at the outside, where the tube lies [m]."""

    disc: float
    discs: int
    slats: int
    wide: float
    tall: float
    gape: float


def built(plan: WorkPlan, layer: WoundLayer) -> Built:
    """The form of one layer: slats of whole steps round discs, so narrow that they lie as round as FLAT, and
    as many as go round: square slats meet at the disc, not at the outside."""
    units, R = plan.basis.brewhouse.units, layer.D_form / 2.0
    step, thick = (INCH / 16.0 if units == "us" else 1e-3), SLAT[units]
    chord = min(2.0 * math.sqrt(R**2 - (R - FLAT) ** 2), WIDEST[units])
    wide = step * math.floor(chord / step + 1e-6)
    r = math.sqrt(R**2 - (wide / 2.0) ** 2) - thick  # its outer edges lie on the form
    slats = math.floor(math.pi / math.atan(wide / (2.0 * r)))
    gape = 2.0 * (r + thick) * math.tan(math.pi / slats) - wide
    # Under an outer layer over strips it carries both.
    on_it = plan.layers if plan.layout.crossing else (layer,)
    tall = max(x.height_on_form(plan.by_template(x)) for x in on_it) + HANDLE
    discs = 1 + math.ceil(tall / APART)
    return Built(2.0 * r, discs, slats, wide, tall, gape)


def of_what(plan: WorkPlan, layer: WoundLayer, sizes: Sizes) -> str:
    """What is bought for it."""
    b = built(plan, layer)
    return (
        f"wood for a form to be made, {sizes.length(layer.D_form)} across: {b.discs} discs of board, "
        f"{sizes.length(b.disc)} across; {b.slats} slats {sizes.length(SLAT[sizes.units])} thick, "
        f"{sizes.length(b.wide)} wide, {sizes.length(b.tall)} long; screws"
    )


def made(plan: WorkPlan, layer: WoundLayer, sizes: Sizes) -> list[Step]:
    """How it is made; nothing for a form that is there."""
    if layer.form is None or not layer.form.made or layer.on_strips:
        return []
    b, name = built(plan, layer), called(plan, layer)
    which = f" of the {name}" if name else ""
    across, round_ = sizes.length(layer.D_form), sizes.length(math.pi * layer.D_form)
    return [
        (
            f"Make the form{which}: saw {b.discs} discs of board, {sizes.length(b.disc)} across, and screw "
            f"{b.slats} slats evenly round them, {sizes.length(SLAT[sizes.units])} thick, "
            f"{sizes.length(b.wide)} wide and {sizes.length(b.tall)} long, a disc at either end and none "
            f"farther than {sizes.length(APART)} from the next. Square slats all but touch at the discs and "
            f"stand about {sizes.length(b.gape)} apart outside, which the tube bridges. Screw heads below "
            "the wood. Plane the edges off, or pad it with card, until it measures "
            f"{round_} round at both ends and in the middle: {across} across. Measured round: {BLANK}. "
            "Nothing may stand out at the end over which the coil comes off. Goggles, and hands clear of the "
            "saw, as its maker says.",
            "No list of yours has this diameter; the coil is as wide as its form. Any round and stiff thing "
            f"that measures {round_} round does as well.",
        )
    ]
