"""Where the views are taken from, where parts are drawn, and the stage that both views share.

The view from above lies as the scene says (angle 0 at 3 o'clock). The view from the side is seen from one of
the twelve hours, chosen so that the risers stand apart and well to the sides; an arrow in the view from above
shows it. Where round the wall a wall part sits is not known: it is drawn clear of the risers, and the drawing
says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from optichill.fabrication.scene import Scene
from optichill.geometry.standing import FixedPart
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing.measures import Length, Measures, stands_off
from optichill.report.sheet.drawing.pen import BLACK, MARGIN, Label, Pen, Point, named

WALL = 2.0
"""Thickness of the kettle's wall on paper [pt]; the wall's own is not known."""
CAPTION = 12.0
SHOWN_PARTS = 7
"""Parts with a label; of more the rest is counted."""
HOURS = tuple(range(12))
WALL_PLACES = (0, 180, 28, 152, 332, 208, 55, 125, 305, 235, 80, 280)
"""Where wall parts are drawn, counter-clockwise from the right of the side view [deg]."""


def hour_of_view(scene: Scene) -> int:
    """The hour from which the side view is seen: risers far out to the sides and apart; of equals the one
    nearest to 6 o'clock, where both views lie alike, and IN on the left."""

    def merit(hour: int) -> float:
        places = [
            (riser.name, math.cos(riser.angle - view_from(hour)), riser.radius) for riser in scene.risers
        ]
        sideways = min((abs(cos) for _, cos, _ in places), default=1.0)
        gaps = [abs(a[1] * a[2] - b[1] * b[2]) for a, b in combinations(places, 2)]
        clear = min(1.0, min(gaps, default=0.0) / (3.0 * scene.d_o))
        left = sum(cos * (1.0 if name.startswith("OUT") else -1.0) for name, cos, _ in places)
        return round(sideways + clear + 0.005 * left - 0.01 * abs(hour - 6), 6)

    return max(HOURS, key=lambda hour: (merit(hour), -hour))


def view_from(hour: int) -> float:
    """Angle of the scene that lies to the right when seen from an hour; 0 from 6 o'clock [rad]."""
    return math.radians(30.0 * (6 - hour))


def hour_name(hour: int) -> str:
    return f"{hour or 12} o'clock"


def between(a: float, b: float) -> float:
    """Angle between two directions, 0 to pi [rad]."""
    return abs((a - b + math.pi) % (2.0 * math.pi) - math.pi)


def wall_angles(scene: Scene, seen_from: float) -> list[float]:
    """Where the wall parts are drawn [rad]: clear of the risers, then of each other."""
    angles = [seen_from + math.radians(place) for place in WALL_PLACES]
    busy = [angle for riser in scene.risers for angle in (riser.angle, riser.foot_angle)]
    clear = [a for a in angles if all(between(a, b) > 0.35 for b in busy)]
    choice = [*clear, *(a for a in angles if a not in clear)]
    count = sum(part.where == "wall" for part in scene.parts)
    return [choice[k % len(choice)] for k in range(count)]


def part_names(scene: Scene, pen: Pen, most: float) -> list[str]:
    """What stands beside each part; empty for those that are only counted."""
    texts = [pens.short(part.what, most, pen.font) for part in scene.parts]
    hidden = len(texts) - SHOWN_PARTS
    if hidden > 0:
        texts[SHOWN_PARTS - 1] = f"{hidden + 1} parts more"
        texts[SHOWN_PARTS:] = [""] * hidden
    return texts


@dataclass(frozen=True)
class View:
    """A scene on its paper: scale [pt/m], and where the scene's origin lies. reach : of the figure to the
    left and to the right of it [pt]."""

    pen: Pen
    scene: Scene
    sizes: Measures
    length: Length
    hour: int
    scale: float = 1.0
    origin: Point = (0.0, 0.0)
    reach: Point = (0.0, 0.0)

    @property
    def seen_from(self) -> float:
        return view_from(self.hour)

    @property
    def half(self) -> float:
        """Of the kettle, or of the coil where that is wider [m]."""
        return max(self.scene.kettle_diameter, self.sizes.across) / 2.0

    @property
    def ratio(self) -> str:
        """The scale as it is written."""
        return pens.ratio(self.scale)

    @property
    def d(self) -> float:
        return self.scene.d_o * self.scale

    def at(self, x: float, y: float) -> Point:
        return self.origin[0] + x * self.scale, self.origin[1] + y * self.scale

    def polar(self, radius: float, angle: float, points: float = 0.0) -> Point:
        """Seen from above, `points` further out."""
        r = radius * self.scale + points
        return self.origin[0] + r * math.cos(angle), self.origin[1] + r * math.sin(angle)


Ends = tuple[list[tuple[float, float]], list[tuple[float, float]]]


def fitted_view(trial: View, columns: Sequence[list[Label]], across: Ends, upright: Ends) -> View:
    """The largest standard scale for a figure between its two columns of labels, everything in the middle."""
    paper = trial.pen.paper
    left, right = (trial.pen.widest(labels) + pens.ELBOW for labels in columns)
    room = (paper.right - paper.left - left - right, paper.high - paper.low)
    scale = pens.standard(
        min(pens.true_scale(r, *ends) for r, ends in zip(room, (across, upright), strict=True))
    )
    (west, east), (south, north) = ([pens.reach(side, scale) for side in ends] for ends in (across, upright))
    x = paper.left + left + west + (room[0] - west - east) / 2.0
    y = paper.low + south + (room[1] - south - north) / 2.0
    return View(trial.pen, trial.scene, trial.sizes, trial.length, trial.hour, scale, (x, y), (west, east))


def set_columns(view: View, columns: Sequence[list[Label]]) -> None:
    low, high = view.pen.paper.low + CAPTION, view.pen.paper.high
    for labels, side, far in zip(columns, (-1, 1), view.reach, strict=True):
        view.pen.column(labels, view.origin[0] + side * (far + pens.ELBOW), low, high, side)


def open_end(view: View, name: str, start: Point, end: Point) -> None:
    """An arrow for the water at the outer end of a riser, where its level part is seen long enough."""
    run = math.dist(start, end)
    if run > 6.0:
        along = ((end[0] - start[0]) / run, (end[1] - start[1]) / run)
        near, far = ((end[0] + gap * along[0], end[1] + gap * along[1]) for gap in (1.5, 1.5 + pens.ARROW))
        if name.startswith("OUT"):
            view.pen.arrow(far, along, BLACK)
        else:
            view.pen.arrow(near, (-along[0], -along[1]), BLACK)


def set_caption(view: View, text: str) -> None:
    if any(part.where == "wall" for part in view.scene.parts):
        text += "; place of wall parts round the kettle not known"
    aside = stands_off(view.scene, view.length)
    text += f"; {aside}" if aside else ""
    view.pen.text(MARGIN, MARGIN + 2.0, text, pens.NAME_SIZE)


def kettle_label(view: View, target: Point) -> Label:
    scene, length = view.scene, view.length
    sizes = [f"{pens.DIAMETER}{length(scene.kettle_diameter)} wide", f"{length(scene.kettle_height)} high"]
    return named("kettle inside", sizes, target)


def placed(view: View) -> list[tuple[FixedPart, float]]:
    """The parts, those on the wall with the angle at which they are pens."""
    angles = iter(wall_angles(view.scene, view.seen_from))
    return [(part, next(angles) if part.where == "wall" else 0.0) for part in view.scene.parts]


def stub(view: View) -> float:
    """Thickness with which a wall part is drawn [pt]; its own is not known."""
    return min(9.0, max(4.0, 0.014 * view.scale))
