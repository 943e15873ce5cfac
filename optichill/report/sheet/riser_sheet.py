"""The risers on a page of their own: every bend in its plane, with its sizes, marks and former."""

from __future__ import annotations

import math

from optichill.fabrication import bends
from optichill.fabrication.clocking import apart, clock
from optichill.fabrication.markout import LEVEL, UPRIGHT, Riser
from optichill.fabrication.pieces import Piece
from optichill.fabrication.scene import SIX_O_CLOCK, DrawnRiser, Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.report.sheet.bending import radius_bounds
from optichill.report.sheet.document import Block, Figure, Section, Text
from optichill.report.sheet.drawing.riser import RiserFacts, riser_view
from optichill.report.sheet.marks import riser_marks
from optichill.report.sheet.phrases import degrees_past
from optichill.report.sheet.sizes import Sizes

WIDTH = 510.0
HEIGHT = {"a4": 286.0, "letter": 258.0}
"""Of two to a page [pt]."""


def riser_section(plan: WorkPlan, scene: Scene, sizes: Sizes, paper: str) -> Section:
    """Every riser, as it is drawn and as it is told."""
    drawn = {riser.name: riser for riser in scene.risers}
    blocks: list[Block] = [Text(_bend(plan, sizes) + _sides(scene, sizes))]
    for piece in plan.pieces:
        for riser in (piece.riser_in, piece.riser_out):
            name = riser.name + (" 2" if piece.name == "inner" else "")
            blocks.append(_figure(piece, riser, scene, drawn[name], sizes, HEIGHT[paper]))
    return Section("The risers, bend by bend", tuple(blocks), new_page=True)


def _figure(
    piece: Piece, riser: Riser, scene: Scene, drawn: DrawnRiser, sizes: Sizes, height: float
) -> Figure:
    m = riser_marks(piece, riser.name)
    told = piece.between_marks(sizes.step, riser.name)
    upright, level = told[UPRIGHT], told[LEVEL]
    facts = RiserFacts(upright, level, (m.foot_in, m.foot_up, m.rim_up, m.rim_out))
    said = (
        f"{drawn.name}: foot {sizes.length(riser.foot)} over the floor, {sizes.mark(upright)} "
        f"straight between the bends, {sizes.mark(level)} level and straight; marks "
        f"{', '.join(facts.letters)} from the turn outwards."
    )
    return Figure(
        lambda font: riser_view(scene, drawn, facts, sizes.length, WIDTH, height, font),
        said,
        f"{drawn.name}: letters are the marks where each bend begins and ends; the trim is not drawn.",
    )


def _bend(plan: WorkPlan, sizes: Sizes) -> str:
    """All bends are alike."""
    around = "as the lever bender makes it"
    if plan.tool.kind != "lever":
        around = f"{radius_bounds(plan, sizes)}, round a former, Ø {sizes.length(bends.former(plan))}"
    return (
        f"Every bend: R {sizes.length(plan.tool.radius)} to the tube's middle, {around}, "
        f"{degrees_past(plan)} past square. "
    )


def _sides(scene: Scene, sizes: Sizes) -> str:
    """Where each comes out, and how far from the next."""
    sides = ", ".join(f"{riser.name} at {clock(riser.angle - SIX_O_CLOCK)}" for riser in scene.risers)
    told = []
    order = sorted(scene.risers, key=lambda riser: riser.angle)
    pairs = list(zip(order, [*order[1:], order[0]], strict=True))
    for a, b in pairs[: 1 if len(order) == 2 else len(order)]:
        turned = apart(a.angle - b.angle)
        across = math.sqrt(a.radius**2 + b.radius**2 - 2.0 * a.radius * b.radius * math.cos(turned))
        told.append(f"{a.name} to {b.name} {sizes.length(across)}")
    return f"Seen from above: {sides}. From middle to middle of the uprights: {', '.join(told)}."
