"""The window of one page: lines clipped to it, and text that keeps off text and lines."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from optichill.report.sheet.paper.sizes import PENS, SMALL, Box, Point, measure
from optichill.report.sheet.paper.tile import Tile

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


class Board:
    """The window of one tile, in points of the template: lines clipped to it, text off text and lines."""

    def __init__(self, canvas: Canvas, tile: Tile) -> None:
        self.canvas, self.tile, self.window, self.taken = canvas, tile, tile.window, list[Box]()

    def line(self, pen: str, start: Point, stop: Point, dash: tuple[float, ...] = ()) -> None:
        ends = clipped(start, stop, self.window)
        if ends is not None:
            dx, dy = self.tile.offset
            self.canvas.setLineWidth(PENS[pen])
            self.canvas.setDash(list(dash))
            self.canvas.line(ends[0] + dx, ends[1] + dy, ends[2] + dx, ends[3] + dy)
            self.canvas.setDash()

    def outline(self, width: float, height: float) -> None:
        corners = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
        for n in range(4):
            self.line("cut", corners[n], corners[(n + 1) % 4])

    def circle(self, pen: str, centre: Point, radius: float) -> None:
        x, y = centre
        if self.holds((x - radius, y - radius, x + radius, y + radius)):
            dx, dy = self.tile.offset
            self.canvas.setLineWidth(PENS[pen])
            self.canvas.circle(x + dx, y + dy, radius, stroke=1, fill=0)

    def head(self, tip: Point, angle: float, size: float = 6.0) -> bool:
        """A filled arrow head; false where the window or something else does not leave it whole."""
        c, s = math.cos(angle), math.sin(angle)
        ends = [(-size, size / 3.5), (-size, -size / 3.5)]
        points = [tip, *((tip[0] + c * a - s * b, tip[1] + s * a + c * b) for a, b in ends)]
        xs, ys = zip(*points, strict=True)
        box = (min(xs), min(ys), max(xs), max(ys))
        if not self.holds(box) or self.covers(box):
            return False
        self.taken.append(box)
        path, (dx, dy) = self.canvas.beginPath(), self.tile.offset
        path.moveTo(points[0][0] + dx, points[0][1] + dy)
        for x, y in points[1:]:
            path.lineTo(x + dx, y + dy)
        path.close()
        self.canvas.setFillGray(0.0)
        self.canvas.drawPath(path, stroke=0, fill=1)
        return True

    def holds(self, box: Box, inset: float = 0.0) -> bool:
        x0, y0, x1, y1 = self.window
        return box[0] >= x0 + inset and box[1] >= y0 + inset and box[2] <= x1 - inset and box[3] <= y1 - inset

    def covers(self, box: Box) -> bool:
        return any(meet(box, other, 1.0) for other in self.taken)

    def extent(self, text: str, size: float = SMALL) -> Point:
        """Width and height of a text's box."""
        return measure(text, self.tile.font, size) + 2.0, 1.04 * size

    def put(self, text: str, spots: Iterable[Point], size: float = SMALL) -> Box | None:
        """Text on white at the first spot (its box's lower left) where it hides no more than a hair line, or
        better nothing; None where there is none."""
        (wide, high), struck = self.extent(text, size), self.tile.subject.struck
        boxes = [(x, y, x + wide, y + high) for x, y in spots]
        free = [box for box in boxes if self.holds(box, 0.5) and not self.covers(box) and not struck(box)]
        box = next((box for box in free if not struck(box, hair=True)), free[0] if free else None)
        if box is not None:
            self.write(text, box, size)
        return box

    def write(self, text: str, box: Box, size: float = SMALL) -> None:
        self.taken.append(box)
        x, y = box[0] + self.tile.offset[0], box[1] + self.tile.offset[1]
        self.canvas.setFillGray(1.0)
        self.canvas.rect(x, y, box[2] - box[0], box[3] - box[1], stroke=0, fill=1)
        self.canvas.setFillGray(0.0)
        self.canvas.setFont(self.tile.font, size)
        self.canvas.drawString(x + 1.0, y + 0.23 * size, text)

    def above(self, text: str, x: float) -> None:
        """Text in the gutter over the window, where the drawing has no room for it."""
        wide, high = self.extent(text)
        box = (x, self.window[3] + 3.0, x + wide, self.window[3] + 3.0 + high)
        if not self.covers(box) and self.window[0] <= x and x + wide <= self.window[2]:
            self.write(text, box)


def meet(a: Box, b: Box, gap: float) -> bool:
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def clipped(start: Point, stop: Point, window: Box) -> Box | None:
    """The part of a straight line inside a window (Liang and Barsky 1984), None where there is none."""
    (x0, y0), dx, dy = start, stop[0] - start[0], stop[1] - start[1]
    low, high, slack = 0.0, 1.0, 1e-6
    sides = ((-dx, x0 - window[0]), (dx, window[2] - x0), (-dy, y0 - window[1]), (dy, window[3] - y0))
    for step, room in sides:
        if step == 0.0:
            if room < -slack:
                return None
        elif step < 0.0:
            low = max(low, room / step)
        else:
            high = min(high, room / step)
    if low >= high:
        return None
    return x0 + low * dx, y0 + low * dy, x0 + high * dx, y0 + high * dy
