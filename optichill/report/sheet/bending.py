"""The risers' bends in words: the former, the two bends of a riser in their order, and by which marks.

The hook of a lever bender needs straight tube, and its handle lies along what the hook holds. For a rim bend
that is the free end, so that the handle points away from the coil; for a foot bend the riser, since turns are
never straight; where the rim bend came first and nothing straight is left on the riser, the turn, a hand's
width of which is straightened by hand.
"""

from __future__ import annotations

import math

from optichill.display import INCH
from optichill.fabrication import bends
from optichill.fabrication.markout import Riser
from optichill.fabrication.pieces import Piece
from optichill.fabrication.work_plan import WorkPlan
from optichill.report.sheet.marks import riser_marks
from optichill.report.sheet.phrases import degrees_past, in_the_tool
from optichill.report.sheet.sizes import Sizes

Step = tuple[str, str]

NARROW = 0.003
"""Less room than that for its radius has no bend by hand round what is about right [m] (OWN)."""

HAIR = 1e-6


def former_step(plan: WorkPlan, sizes: Sizes) -> Step:
    """What the bends are made with and round, how wide, and how far."""
    past = f"{degrees_past(plan)} past square: it springs back to it"
    radius = sizes.length(plan.tool.radius)
    if plan.tool.kind == "lever":
        return (
            f"The bends: in the lever bender, radius {radius} to the tube's middle, each {past}.",
            "The bender sets the radius; the marks are for this one.",
        )
    across = sizes.length(bends.former(plan))
    spring = plan.tool.kind == "spring"
    less = " (less twice the spring's wire, if it goes over the tube)" if spring else ""
    slide = " Slide the spring on from the free end." if spring else ""
    why = "A spring keeps the tube round but sets no radius: the disc does. " if spring else ""
    get, close = ("get a disc, tin or pipe", "") if by_eye(plan, sizes) else _exactly(plan, sizes)
    if has_disc(plan):
        get = "take the disc of your list"
    return (
        f"The bends: {get} to bend round, {across} across{less}: radius {radius} to the "
        f"tube's middle, {radius_bounds(plan, sizes)}. Bend each {past}. Try one on the scrap.{close}{slide}",
        f"{why}Tighter it folds; wider, a riser runs out of tube or height.",
    )


def has_disc(plan: WorkPlan) -> bool:
    """Whether the lists have the disc that a bend by hand goes round, as wide as that."""
    bender = plan.tool.bender
    if plan.tool.kind != "hand" or bender is None:
        return False
    return abs(bender.bend_radius - plan.tool.radius) < HAIR


def _exactly(plan: WorkPlan, sizes: Sizes) -> tuple[str, str]:
    """The former where no tin that is about right will do: sawn to size, and the bend tried on it."""
    up, down = _rounded_bounds(plan, sizes)
    room = f"{sizes.length(down - up)} of room" if down - up > HAIR else "no room"
    get = f"saw a disc of board, thicker than the tube ({sizes.tube(plan.tube.outer_diameter)}),"
    return get, (
        f" The radius has {room}, less than a bend round what is about right: press the tube against the "
        "disc all along, let go, and lay the bend back on it: it must touch all along. Where it rocks, bend "
        "the next scrap round a disc a little smaller, until one lies on the first disc; bend the risers as "
        "that one."
    )


def by_eye(plan: WorkPlan, sizes: Sizes) -> bool:
    """Whether the radius has as much room as a bend by hand takes."""
    up, down = _rounded_bounds(plan, sizes)
    return down - up >= NARROW - HAIR


def _rounded_bounds(plan: WorkPlan, sizes: Sizes) -> tuple[float, float]:
    """Least and most of a bend's radius, rounded inwards, its own among them [m]."""
    (least, most), R = bends.bounds(plan), plan.tool.radius
    step = INCH / 16.0 if sizes.units == "us" else 1e-3
    up, down = step * math.ceil(least / step - 1e-6), step * math.floor(most / step + 1e-6)
    return min(up, R), max(down, R)


def radius_bounds(plan: WorkPlan, sizes: Sizes) -> str:
    """How far from its radius a bend that is made round a former may come out, rounded inwards."""
    (up, down), R = _rounded_bounds(plan, sizes), plan.tool.radius
    if up < R and down > R:
        return f"at least {sizes.length(up)}, at most {sizes.length(down)}"
    if down > R:
        return f"wider up to {sizes.length(down)}, but not tighter"
    if up < R:
        return f"tighter down to {sizes.length(up)}, but not wider"
    return "neither tighter nor wider"


def bent(plan: WorkPlan, piece: Piece, riser: Riser, up: str) -> str:
    """Foot bend of a riser to point `up`, and before it its rim bend where only that order leaves something
    to hold."""
    m = riser_marks(piece, riser.name)
    on_the_form = plan.layout.crossing and riser is piece.riser_in
    lever, edge = plan.tool.kind == "lever", ""
    if lever and not on_the_form:
        edge = " Let that end stand out over the bench's edge: the handles swing under it."
    if not bends.rim_first(plan, piece, riser):
        tool = in_the_tool(plan, m.foot_up, m.foot_in, "riser")
        return f"Foot bend, square, {tool}: the riser points {up}.{edge}"
    rim = in_the_tool(plan, m.rim_out, m.rim_up, "free end")
    straight = ", a hand's width of the turn straightened for the hook" if lever else ""
    return (
        f"RIM BEND FIRST, for after the foot bend the tool has no room there: {rim}, flat, in the plane "
        f"of the turn, its end pointing away from the coil. Then the foot bend, square{straight}, "
        f"{in_the_tool(plan, m.foot_in, m.foot_up, 'turns')}: the riser points {up}.{edge}"
    )
