"""The view from above: where the turns stand, and where the risers come out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from optichill.fabrication.scene import Scene
from optichill.geometry.standing import FixedPart
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.measures import Length, checked, measures, wall_room
from optichill.report.sheet.drawing.pen import DARK, PALE, Label, Pen, Point, named
from optichill.report.sheet.drawing.view import (
    CAPTION,
    HOURS,
    WALL,
    Ends,
    View,
    between,
    fitted_view,
    hour_of_view,
    kettle_label,
    open_end,
    part_names,
    placed,
    set_caption,
    set_columns,
    stub,
    view_from,
    wall_angles,
)

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing


def top_view(
    scene: Scene, length: Length, width: float = 480.0, height: float = 330.0, font: str = "Helvetica"
) -> Drawing:
    """The kettle with the coil in it from above, to scale; arguments and faults as in `side_view`."""
    checked(scene, width, height)
    trial = View(Pen(width, height, font), scene, measures(scene), length, hour_of_view(scene))
    risers = [
        (r * math.cos(riser.angle), r * math.sin(riser.angle))
        for riser in scene.risers
        for r in (riser.radius, riser.reach)
    ] or [(0.0, 0.0)]
    far: list[Ends] = []
    for axis, below in ((0, 0.0), (1, CAPTION)):
        places = [point[axis] for point in risers]
        low = [(trial.half, 22.0 + below), (-min(places), 12.0 + below)]
        far.append((low, [(trial.half, 22.0), (max(places), 12.0)]))
    view = fitted_view(trial, _top_labels(trial), far[0], far[1])
    _plan(view)
    _top_tubes(view)
    _top_dimensions(view)
    set_columns(view, _top_labels(view))
    _top_texts(view)
    return view.pen.drawing


def _plan(view: View) -> None:
    """Kettle, mouth and parts."""
    pen, scene, half = view.pen, view.scene, view.scene.kettle_diameter / 2.0
    pen.ring(view.origin, half * view.scale + WALL / 2.0, WALL, DARK, tag="kettle")
    if scene.mouth < scene.kettle_diameter:
        pen.ring(view.origin, scene.mouth / 2.0 * view.scale, 0.7, dash=(5.0, 2.0), tag="mouth")
    floor = 0
    for part, angle in placed(view):
        if part.where == "wall":
            pen.area(_top_stub(view, part, angle), PALE, 0.8, tag="part")
        elif part.where == "centre":
            pen.ring(view.origin, part.size / 2.0 * view.scale, 0.8, dash=(3.0, 2.0), tag="part")
        else:
            floor += 1
            radius = max(1.0, half * view.scale - 2.5 * floor)
            pen.ring(view.origin, radius, 0.6, dash=(1.0, 1.6), tag="part")


def _top_stub(view: View, part: FixedPart, angle: float) -> list[Point]:
    half, wide = view.scene.kettle_diameter / 2.0, stub(view) / 2.0
    u, v = math.cos(angle), math.sin(angle)
    ends = [view.polar(r, angle) for r in (half, half - part.size)]
    (a, b), (c, d) = ends
    return [
        (a - wide * v, b + wide * u),
        (c - wide * v, d + wide * u),
        (c + wide * v, d - wide * u),
        (a + wide * v, b - wide * u),
    ]


def _top_tubes(view: View) -> None:
    pen, scene = view.pen, view.scene
    bridge = [view.at(x, y) for x, y, _ in tube.bridge(scene)]
    if bridge:
        pen.tube(bridge, view.d, cap=1, tag="bridge")
    for number, helix in enumerate(scene.helices, 1):
        pen.hoop(view.origin, helix.mean_diameter / 2.0 * view.scale, view.d, f"turns {number}")
        led = tube.led_out(scene, helix)
        if abs(led) > 1e-6:
            out = [view.at(x, y) for x, y, _ in tube.led_points(helix, led)]
            pen.tube(out, view.d, cap=1, tag=f"led out {number}")
    for riser in scene.risers:
        foot = view.polar(riser.foot_radius, riser.foot_angle)
        up, end = (view.polar(r, riser.angle) for r in (riser.radius, riser.reach))
        pen.tube([foot, up], view.d, cap=1, tag=f"{riser.name} foot")
        pen.tube([up, end], view.d, tag=riser.name)
        pen.ring(up, view.d / 2.0, 0.6, tag=f"{riser.name} upright")
        open_end(view, riser.name, up, end)
    for angle in (0.0, math.pi / 2.0):
        pen.axis(*(view.polar(side * view.half, angle, side * (WALL + 1.0)) for side in (-1.0, 1.0)))


def _spokes(view: View) -> tuple[float, float, float]:
    """Angles of the dimension lines across, inside and of the wall gap, clear of risers and parts [rad]."""
    busy = [riser.angle for riser in view.scene.risers] + wall_angles(view.scene, view.seen_from)

    def clearest(*choice: float) -> float:
        clear = [min([0.35, *(between(math.radians(a), b) for b in busy)]) for a in choice]
        return math.radians(choice[clear.index(max(clear))])

    across, free = clearest(150, 165, 135, 120), clearest(210, 195, 225, 240)
    busy += [across + math.pi, free + math.pi, view.seen_from - math.pi / 2.0]
    return across, free, clearest(315, 345, 0, 330, 300, 15, 30, 45)


def _gap_ends(view: View, angle: float) -> tuple[Point, Point, Point]:
    """Both ends of the wall gap's dimension line, from the inner, and its unit vector outwards."""
    radii = sorted((view.sizes.across / 2.0, view.scene.kettle_diameter / 2.0))
    inner, outer = (view.polar(r, angle) for r in radii)
    return inner, outer, (math.cos(angle), math.sin(angle))


def _top_dimensions(view: View) -> None:
    pen, sizes = view.pen, view.sizes
    across, free, gap = _spokes(view)
    for angle, size in ((across, sizes.across), (free, sizes.free)):
        ends = (view.polar(size / 2.0, angle), view.polar(-size / 2.0, angle))
        pen.span(*ends, (-math.cos(angle), -math.sin(angle)))
    pen.span(*_gap_ends(view, gap))
    for hour in HOURS[::3]:
        angle = view_from(hour) - math.pi / 2.0
        pen.line([view.polar(view.half, angle, p) for p in (WALL, WALL + 4.0)], 0.8, tag="tick")
    eye = view.seen_from - math.pi / 2.0
    pen.arrow(view.polar(view.half, eye, WALL + 1.5), (-math.cos(eye), -math.sin(eye)), size=8.0, tag="eye")


def _top_texts(view: View) -> None:
    """Caption, names of the risers, the hours, and from where the side view is seen."""
    pen, scene = view.pen, view.scene
    set_caption(view, f"seen from above; scale {view.ratio}")
    for riser in scene.risers:
        along = (math.cos(riser.angle), math.sin(riser.angle))
        pen.beside(riser.name, view.polar(riser.reach, riser.angle), along, 8.0)
    eye = view.seen_from - math.pi / 2.0
    at = view.polar(view.half, eye, WALL + 9.5)
    pen.beside("side view from here", at, (math.cos(eye), math.sin(eye)), 1.0, pens.NAME_SIZE)
    for hour in HOURS[::3]:
        angle = view_from(hour) - math.pi / 2.0
        at = view.polar(view.half, angle, WALL + 4.0)
        pen.beside(str(hour or 12), at, (math.cos(angle), math.sin(angle)), 1.5, pens.NAME_SIZE)


def _top_labels(view: View) -> tuple[list[Label], list[Label]]:
    pen, scene, sizes, length = view.pen, view.scene, view.sizes, view.length
    across, free, gap = _spokes(view)
    half = scene.kettle_diameter / 2.0
    left = [
        named(name, [pens.DIAMETER + length(size)], view.polar(size / 2.0, angle))
        for name, size, angle in (
            ("across the turns", sizes.across, across),
            ("free inside", sizes.free, free),
        )
    ]
    name, value = wall_room(sizes, length)
    (a, b), (c, d), _ = _gap_ends(view, gap)
    right = [named(name, [value], ((a + c) / 2.0, (b + d) / 2.0))]
    walls = wall_angles(scene, view.seen_from)
    bare = max((0.9, 1.1, 0.7, 0.5), key=lambda angle: min([0.2, *(between(angle, a) for a in walls)]))
    right.append(kettle_label(view, view.polar(half, bare, WALL / 2.0)))
    if scene.mouth < scene.kettle_diameter:
        right.append(
            named("mouth", [pens.DIAMETER + length(scene.mouth)], view.polar(scene.mouth / 2.0, 0.6))
        )
    floor = 0
    for (part, angle), text in zip(
        placed(view), part_names(scene, pen, 0.2 * pen.drawing.width), strict=True
    ):
        at = view.polar(half - part.size / 3.0, angle)
        if part.where == "centre":
            at = view.polar(part.size / 2.0, 0.3)
        elif part.where == "floor":
            floor += 1
            at = view.polar(half, -0.2 - 0.1 * floor, -2.5 * floor)
        if text:
            label = Label(((text, pens.NAME_SIZE),), at)
            (left if part.where == "wall" and math.cos(angle) < 0.0 else right).append(label)
    return left, right
