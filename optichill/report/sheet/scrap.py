"""The piece of tube that is bent first, to see what the tube does."""

from __future__ import annotations

from optichill.display import FOOT, trim
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry import kinking
from optichill.model.stock import Tube
from optichill.report.sheet.sizes import Sizes

Step = tuple[str, str]

SCRAP = 0.3
"""Its length [m] (common practice, no source)."""


def scrap_length(sizes: Sizes) -> float:
    """Of the piece, as a rule has it [m]."""
    return SCRAP if sizes.units == "metric" else FOOT


def scrap_wanting(plan: WorkPlan, sizes: Sizes) -> bool:
    """Whether the roll leaves nothing to try a bend on."""
    return plan.listed and _most_left(plan)[0] <= scrap_length(sizes)


def _most_left(plan: WorkPlan) -> tuple[float, Tube]:
    """What a roll leaves beside the coil and its half turns to spare [m], and which: that with the most."""
    left = [
        (tube.length - sum(p.marks.cut_length + (p.spare if plan.has_spare else 0.0) for p in pieces), tube)
        for tube, pieces in plan.by_roll
    ]
    return max(left, key=lambda one: one[0])


def scrap(plan: WorkPlan, sizes: Sizes) -> Step:
    """The first step."""
    rho = min(layer.rho for layer in plan.layers)
    which = f"{sizes.long(_most_left(plan)[1].length)} roll" if plan.two_lengths else "roll"
    where = f"off the inner end of the {which}" if plan.listed else "of the same tube"
    if scrap_wanting(plan, sizes):
        left = "rolls leave" if plan.two_lengths else "roll leaves"
        where = f"of the same tube (your {left} none: ask the shop for an end of that size, wall and temper)"
    tightest = min(plan.layers, key=lambda layer: layer.on_form)
    margin = str(kinking.winding_class(rho))
    verdict = {
        "free": "it should go round without a mark",
        "scrap test first": "it is not far from its kink limit: if it ripples or goes flat, stop",
        "filled or grooved roller": "it is close to its kink limit: try it filled, as you will wind it",
    }.get(margin, "it is tighter than this tube takes")
    return (
        f"Bend a scrap: {sizes.length(scrap_length(sizes))} {where}, by hand, round the "
        f"{sizes.length(tightest.D_form)} form; {verdict}.",
        f"No published figures exist for tube wound by hand; the radius is {trim(rho)} times the reckoned "
        "limit, the scrap has the last word.",
    )
