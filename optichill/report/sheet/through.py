"""A kettle whose mouth is narrower than itself: trying the turns before risers are bent, and where the coil
then stands."""

from __future__ import annotations

import math

from optichill.display import INCH
from optichill.fabrication.mouth import Mouth, mouth_of
from optichill.fabrication.scene import outermost, scene_of
from optichill.fabrication.work_plan import WorkPlan
from optichill.report.sheet.drawing.measures import TOLD
from optichill.report.sheet.sizes import Sizes
from optichill.report.words.mouth_words import ONLY_JUST, rounded_down

Step = tuple[str, str]


def at_most(plan: WorkPlan, mouth: Mouth) -> float:
    """How wide the turns may come out, rounded down to what a tape tells [m]."""
    step = INCH / 16.0 if plan.basis.brewhouse.units == "us" else 1e-3
    return step * math.floor(mouth.most / step + 1e-6)


def tried(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    """Before a riser is bent: whether coil and riser will go through the mouth. Turning the ends the way they
    were wound closes a coil (common practice, no source)."""
    mouth = mouth_of(plan)
    if mouth is None:
        return []
    which = "the outer coil" if plan.layout.tees else "the coil"
    just = " It goes in only just." if mouth.spare < ONLY_JUST else ""
    return [
        (
            f"Before a riser is bent, measure {which} across its turns, outside, in four directions: nowhere "
            f"more than {sizes.length(at_most(plan, mouth))}, or with its riser it does not go through the "
            f"kettle's mouth of {sizes.length(mouth.wide)}.{just} Wider: wind it tighter by hand, an end in "
            "each hand, before you go on.",
            "Turns can still be closed; a riser that is bent and does not go in is lost.",
        )
    ]


def stands(plan: WorkPlan, sizes: Sizes) -> str:
    """Where the coil stands in its kettle, as the end of a sentence."""
    off = aside(plan)
    if off is None:
        return "evenly off the wall"
    riser = outermost(scene_of(plan)).name
    return (
        f"as it came through the mouth: {off} off the kettle's middle, away from {riser}, so that no riser "
        "stands under the lip"
    )


def aside(plan: WorkPlan) -> str | None:
    """How far off the middle, in words; None where it stands in it."""
    mouth = mouth_of(plan)
    if mouth is None or mouth.off < TOLD:
        return None
    return Sizes(plan.basis.brewhouse.units, plan.step).length(mouth.off)


def final_row(plan: WorkPlan, sizes: Sizes) -> list[tuple[str, str, str, str]]:
    """The final check's line of the mouth."""
    mouth = mouth_of(plan)
    if mouth is None:
        return []
    planned = mouth.wide - (mouth.most - mouth.across)
    return [
        (
            "across turns and risers, widest",
            sizes.length(planned),
            f"not over {sizes.length(mouth.wide)}",
            "goes through the kettle's mouth",
        )
    ]


def notes(plan: WorkPlan, sizes: Sizes) -> list[str]:
    """How much the mouth leaves, where that is little; of what does not go in a warning says it."""
    mouth = mouth_of(plan)
    if mouth is None or not 0.0 <= mouth.spare < ONLY_JUST:
        return []
    spare = rounded_down(mouth.spare, sizes.units)
    return [
        f"the coil goes only just through the kettle's mouth: where its tube springs most, {spare} is to "
        "spare. Measure the mouth before you buy, and the turns before a riser is bent."
    ]
