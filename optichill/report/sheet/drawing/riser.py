"""One riser, dimensioned: unrolled into the planes of its two bends, and its foot from above.

The foot bend lies in the upright plane along the turn, the rim bend in the one outwards; unrolled, both lie
in the paper. The view from above has outwards at its top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from optichill.fabrication.scene import DrawnRiser, Scene
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.measures import Length
from optichill.report.sheet.drawing.pen import BLACK, BLUE, DARK, Label, Pen, Point, named

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing

CAPTION = 14.0
LANE = 13.0
STUB = 0.035
"""Of the turn that is drawn with its foot bend [m]."""
AIR = 0.012
"""Drawn inside the turns and outside the wall [m]."""
SHARE = 0.6
"""Of the width for the unrolled riser."""


@dataclass(frozen=True)
class RiserFacts:
    """What the drawing says besides the scene. upright, level : straight tube [m]; letters : of the marks
    where the bends begin and end, from the turn outwards."""

    upright: float
    level: float
    letters: tuple[str, str, str, str]


@dataclass(frozen=True)
class Size:
    """A dimension: its name and value, its line on paper, and where from each end is brought to it."""

    name: str
    value: str
    start: Point
    end: Point
    ends: tuple[Point, Point]

    @property
    def label(self) -> Label:
        (a, b), (c, d) = self.start, self.end
        return named(self.name, [self.value], ((a + c) / 2.0, (b + d) / 2.0))


def riser_view(
    scene: Scene, riser: DrawnRiser, facts: RiserFacts, length: Length, width: float, height: float, font: str
) -> Drawing:
    """The riser unrolled on the left, from above on the right, each in a standard scale."""
    pen = Pen(width, height, font)
    _unrolled(pen, scene, riser, facts, length, SHARE * width)
    _from_above(pen, scene, riser, length, SHARE * width)
    return pen.drawing


def _sized(pen: Pen, sizes: Sequence[Size]) -> None:
    for size in sizes:
        for point, end in zip(size.ends, (size.start, size.end), strict=True):
            pen.line([point, end], 0.3, BLUE, tag="extension")
        run = math.dist(size.start, size.end)
        if run > 0.0:
            along = ((size.end[0] - size.start[0]) / run, (size.end[1] - size.start[1]) / run)
            pen.span(size.start, size.end, along)


def _unrolled(
    pen: Pen, scene: Scene, riser: DrawnRiser, facts: RiserFacts, length: Length, room: float
) -> None:
    R, level, top = riser.bend_radius, max(facts.level, 0.0), riser.crossing
    names = ("foot over the floor", "straight between the bends", "rim to the level part", "level, straight")
    column = max(pens.text_width(name, pens.NAME_SIZE, pen.font) for name in names) + pens.ELBOW
    wide = room - column - 3.0 * LANE - pens.MARGIN
    high = pen.paper.high - pen.paper.low - CAPTION - 24.0
    scale = pens.standard(min(wide / (level + 2.0 * R + STUB), high / (top + scene.d_o)))
    caption = f"{riser.name} unrolled, each bend in its own plane; scale {pens.ratio(scale)}"
    pen.text(pen.paper.left, pen.paper.low + 2.0, caption, pens.NAME_SIZE)
    left, floor = pen.paper.left + (level + R) * scale, pen.paper.low + CAPTION + 4.0

    def at(x: float, z: float) -> Point:
        return left + x * scale, floor + z * scale

    def bent(x: float, z: float, first: float) -> list[Point]:
        turned = (first - k * math.pi / 20.0 for k in range(11))
        return [at(x + R * math.cos(a), z + R * math.sin(a)) for a in turned]

    foot = bent(R, riser.foot + R, 1.5 * math.pi)
    over = bent(-R, top - R, 0.5 * math.pi)
    bends = (foot[0], foot[-1], over[-1], over[0])
    west, east = at(-R - level, 0.0)[0], at(R + STUB, 0.0)[0]
    rim = at(0.0, scene.kettle_height)[1]
    pen.line([(west, floor), (east, floor)], 1.0, DARK, tag="floor")
    pen.line([(west, rim), (east, rim)], 0.5, BLACK, dash=(5.0, 2.5), tag="rim")
    path = [at(R + STUB, riser.foot), *foot, *over[::-1], at(-R - level, top)]
    pen.tube(path, scene.d_o * scale, tag=riser.name)
    one, two = east + LANE, east + 2.0 * LANE
    above = bends[3][1] + scene.d_o * scale / 2.0 + 9.0
    heights = ((floor, bends[0][1], one, 0), (bends[1][1], bends[2][1], one, 1), (rim, bends[3][1], two, 2))
    values = (riser.foot, facts.upright, top - scene.kettle_height)
    points = (((east, floor), bends[0]), (bends[1], bends[2]), ((east, rim), bends[3]))
    sizes = [
        Size(names[n], length(values[n]), (lane, low), (lane, up), points[n]) for low, up, lane, n in heights
    ]
    if level > 0.0:
        ends = ((west, bends[3][1]), bends[3])
        sizes.append(Size(names[3], length(level), (west, above), (bends[3][0], above), ends))
    _sized(pen, sizes)
    corner, touched = at(R, riser.foot + R), foot[5]
    pen.line([corner, touched], 0.4, BLUE, tag="radius")
    pen.arrow(touched, (-math.sqrt(0.5), -math.sqrt(0.5)))
    labels = [size.label for size in sizes] + [named("both bends", [f"R {length(R)}"], corner)]
    pen.column(labels, two + LANE, floor, pen.paper.high, 1)
    for letter, point, toward in zip(facts.letters, bends, LETTERS, strict=True):
        pen.dot(point, 1.4, BLACK)
        pen.beside(letter, point, toward, scene.d_o * scale / 2.0 + 2.0)


LETTERS = ((0.3, -1.0), (1.0, 0.2), (1.0, 0.2), (-0.3, -1.0))
"""Towards where the letters of marks stand, from the turn outwards."""


def _from_above(pen: Pen, scene: Scene, riser: DrawnRiser, length: Length, left: float) -> None:
    """The foot on its turn, the riser cut through, and the wall; the way outwards is up."""
    R_k, d_o, r = scene.kettle_diameter / 2.0, scene.d_o, riser.radius
    radii = [helix.mean_diameter / 2.0 for helix in scene.helices]
    outer = max(radii)
    low = min(outer, r, riser.foot_radius) - d_o - AIR
    outside = f"riser to the outer {'layer' if scene.crossing else 'coil'}"
    names = ("riser to the wall", "riser to its turns", outside, "turn's end led out by")
    column = max(pens.text_width(name, pens.NAME_SIZE, pen.font) for name in names) + pens.ELBOW
    half = riser.bend_radius + d_o + 0.02
    wide, high = pen.paper.right - left - column - 2.0 * LANE, pen.paper.high - pen.paper.low - CAPTION - 8.0
    scale = pens.standard(min(wide / (2.0 * half), high / (R_k + AIR - low)))
    caption = f"from above, outwards up; scale {pens.ratio(scale)}"
    pen.text(left + LANE, pen.paper.low + 2.0, caption, pens.NAME_SIZE)
    middle, base = left + 2.0 * LANE + half * scale, pen.paper.low + CAPTION + 4.0
    base += (high - (R_k + AIR - low) * scale) / 2.0
    turned = math.pi / 2.0 - riser.angle

    def at(radius: float, angle: float) -> Point:
        x, y = radius * math.cos(angle + turned), radius * math.sin(angle + turned)
        return middle + x * scale, base + (y - low) * scale

    def arc(radius: float) -> list[Point]:
        most = math.asin(min(1.0, half / radius))
        return [at(radius, riser.angle + most * k / 12.0) for k in range(-12, 13)]

    for number, helix in enumerate(scene.helices, 1):
        if helix.mean_diameter / 2.0 > low + d_o / 2.0:
            pen.tube(arc(helix.mean_diameter / 2.0), d_o * scale, behind=True, tag=f"turns {number}")
        led = tube.led_out(scene, helix)
        mine = abs(helix.mean_diameter / 2.0 + led - riser.foot_radius) < 1e-6 < abs(led)
        if mine and abs(riser.foot - helix.lowest) < 1e-6:
            points = [at(math.hypot(x, y), math.atan2(y, x)) for x, y, _ in tube.led_points(helix, led)]
            shown = [p for p in points if abs(p[0] - middle) <= half * scale]
            pen.tube(shown, d_o * scale, cap=0, tag="led out")
    pen.line(arc(R_k), 1.2, DARK, tag="wall")
    upright, foot = at(r, riser.angle), at(riser.foot_radius, riser.foot_angle)
    pen.tube([foot, upright], d_o * scale, tag=f"{riser.name} foot")
    pen.tube([upright, at(R_k + AIR, riser.angle)], d_o * scale, tag=riser.name)
    pen.ring(upright, d_o * scale / 2.0, 0.9, tag="upright")
    lane = middle + half * scale + 6.0
    beyond = outer - d_o / 2.0 if outer > r else R_k
    own = tube.of_riser(scene, riser).mean_diameter / 2.0
    what = 0 if outer < r else 1 if own == outer else 2
    sizes = [_radial(at, riser.angle, names[what], (r + d_o / 2.0, beyond), lane, length)]
    if riser.foot_radius - own > 5e-4:
        span = (own + d_o / 2.0, r - d_o / 2.0)
        sizes.append(_radial(at, riser.angle, names[1], span, lane, length))
        sizes.append(_radial(at, riser.angle, names[3], (own, riser.foot_radius), lane + LANE, length))
    _sized(pen, sizes)
    pen.column([size.label for size in sizes], lane + 2.0 * LANE, base, pen.paper.high, 1)


def _radial(
    at: pens.Place, angle: float, name: str, span: tuple[float, float], lane: float, length: Length
) -> Size:
    """A size along the radius through the riser, its line beside the drawing."""
    ends = tuple(at(radius, angle) for radius in sorted(span))
    (a, b), (c, d) = ends
    return Size(name, length(abs(span[1] - span[0])), (lane, b), (lane, d), ((a, b), (c, d)))
