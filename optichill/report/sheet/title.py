"""The title block of every page: what a drawing office asks of one (ISO 7200), drawn at the foot of the page.

By the coil's id the sheet, a template that lay in a drawer and the tag on the coil can be told to belong
together.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from optichill.display import POUND, US_GALLON
from optichill.fabrication import markout
from optichill.fabrication.work_plan import WorkPlan
from optichill.report.sheet.document import TitleBlock
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import roll_words

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

WIDTH = 180.0 / 25.4 * 72.0
"""Most that a title block may be wide [pt] (ISO 7200)."""

ROW, LABEL, VALUE = 20.0, 6.5, 8.5
HEIGHT = 2.0 * ROW
STROKE = 0.6

TOLERANCES = {
    "metric": "ISO 2768-v: 1.5 mm to 120, 2.5 to 400, 4 to 1000",
    "us": "1/16 in to 16 in, 1/8 in above",
}
"""Very coarse (ISO 2768-1), for work by hand; in inches rounded inwards to sixteenths."""

FIRST_ANGLE = {"metric": True, "us": False}
"""Projection that is usual: third angle in the US, first angle elsewhere (ISO 5456-2)."""


def title_block(plan: WorkPlan, sizes: Sizes) -> TitleBlock:
    """Of all pages of a coil's sheet."""
    tube = plan.tube
    bore = tube.outer_diameter - 2.0 * tube.wall
    length = plan.cut_length - sum(
        s.length for piece in plan.pieces for s in piece.marks.segments if s.what == markout.TRIM_CUT
    )
    area, bore_area = (math.pi / 4.0 * square for square in (tube.outer_diameter**2 - bore**2, bore**2))
    kg, m3 = area * length * tube.metal.density, bore_area * length
    mass, holds = f"{kg:.2f} kg", f"{1e3 * m3:.2f} L"
    if sizes.units == "us":
        mass, holds = f"{kg / POUND:.1f} lb", f"{m3 / US_GALLON:.2f} gal"
    size = f"{sizes.tube(tube.outer_diameter)} x {sizes.wall(tube.wall)}"
    return TitleBlock(
        coil_id=plan.coil_id,
        what=f"{plan.basis.brewhouse.name}: immersion coil",
        material=f"{roll_words.temper(tube)} {tube.material}, {size}",
        mass=f"{mass}, holds {holds}",
        tolerance=TOLERANCES[sizes.units],
        first_angle=FIRST_ANGLE[sizes.units],
    )


def draw_block(
    canvas: Canvas,
    block: TitleBlock,
    page: tuple[str, str],
    number: tuple[int, int],
    corner: tuple[float, float],
) -> None:
    """The block with its lower right corner at `corner`; page : what it shows, and its scale; number : n of
    m."""
    x, y = corner[0] - WIDTH, corner[1]
    n, m = number
    upper = (
        (0.38, "what it is", f"{page[0]}; {block.what}"),
        (0.30, "material", block.material),
        (0.20, "mass of the coil, empty", block.mass),
        (0.12, "coil", block.coil_id),
    )
    lower = (
        (0.13, "date", ""),
        (0.15, "made by", ""),
        (0.10, "scale", page[1]),
        (0.38, "general tolerance, plus or minus", block.tolerance),
        (0.11, "projection", ""),
        (0.13, "page", f"{n} of {m}"),
    )
    canvas.saveState()
    canvas.setLineWidth(STROKE)
    canvas.setDash()
    canvas.setStrokeGray(0.0)
    canvas.setFillGray(0.0)
    for row, base in ((upper, y + ROW), (lower, y)):
        left = x
        for share, label, value in row:
            _field(canvas, (left, base), share * WIDTH, label, value)
            if label == "projection":
                _symbol(canvas, (left + share * WIDTH / 2.0, base + 0.34 * ROW), block.first_angle)
            left += share * WIDTH
    canvas.restoreState()


def _field(canvas: Canvas, at: tuple[float, float], wide: float, label: str, value: str) -> None:
    from optichill.report.sheet.fonts import REGULAR, cut, printable

    x, y = at
    canvas.rect(x, y, wide, ROW, stroke=1, fill=0)
    canvas.setFont(REGULAR, LABEL)
    canvas.drawString(x + 2.5, y + ROW - 6.6, label)
    canvas.setFont(REGULAR, VALUE)
    canvas.drawString(x + 2.5, y + 3.0, cut(printable(value), wide - 5.0, REGULAR, VALUE))


def _symbol(canvas: Canvas, middle: tuple[float, float], first: bool) -> None:
    """A truncated cone from the side and from its small end: the end view lies behind it in first angle,
    before it in third (ISO 5456-2)."""
    x, y = middle
    r = 2.6
    side, end = (x - 2.6 * r, x + 2.6 * r) if first else (x + 2.6 * r, x - 2.6 * r)
    corners = (
        (side - 2 * r, y - r),
        (side + 2 * r, y - 2 * r),
        (side + 2 * r, y + 2 * r),
        (side - 2 * r, y + r),
    )
    path = canvas.beginPath()
    path.moveTo(*corners[0])
    for corner in corners[1:]:
        path.lineTo(*corner)
    path.close()
    canvas.drawPath(path, stroke=1, fill=0)
    for radius in (r, 2 * r):
        canvas.circle(end, y, radius, stroke=1, fill=0)
