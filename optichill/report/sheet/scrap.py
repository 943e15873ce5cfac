"""The piece of tube that is bent first, to see what the tube does."""

from __future__ import annotations

from optichill.display import FOOT, trim
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry import kinking
from optichill.report.sheet.sizes import Sizes

Step = tuple[str, str]

SCRAP = 0.3
"""Its length [m] (common practice, no source)."""


def scrap_length(sizes: Sizes) -> float:
    """Of the piece, as a rule has it [m]."""
    return SCRAP if sizes.units == "metric" else FOOT


def scrap_wanting(plan: WorkPlan, sizes: Sizes) -> bool:
    """Whether the roll leaves nothing to try a bend on."""
    spare = plan.offcut - (plan.spare if plan.has_spare else 0.0)
    return plan.listed and spare <= scrap_length(sizes)


def scrap(plan: WorkPlan, sizes: Sizes) -> Step:
    """The first step."""
    rho = min(layer.rho for layer in plan.layers)
    where = "off the inner end of the roll" if plan.listed else "of the same tube"
    if scrap_wanting(plan, sizes):
        where = (
            "of the same tube (your roll leaves none: ask the shop for an end of that size, wall and temper)"
        )
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
