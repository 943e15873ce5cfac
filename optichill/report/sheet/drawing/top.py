"""The view from above: where the turns stand, and where the legs come out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from optichill.fabrication.scene import Scene
from optichill.geometry.fit import FixedPart
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.pen import DARK, PALE, Label, Pen, Point, named
from optichill.report.sheet.drawing.stage import (
    CAPTION,
    HOURS,
    WALL,
    Ends,
    Stage,
    between,
    hour_of_view,
    kettle_label,
    open_end,
    part_names,
    placed,
    set_caption,
    set_columns,
    staged,
    stub,
    view_from,
    wall_angles,
)
from optichill.report.sheet.drawing.told import Length, checked, measures, wall_room

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing


def top_view(
    scene: Scene, length: Length, width: float = 480.0, height: float = 330.0, font: str = "Helvetica"
) -> Drawing:
    """The kettle with the coil in it from above, to scale; arguments and faults as in `side_view`."""
    checked(scene, width, height)
    trial = Stage(Pen(width, height, font), scene, measures(scene), length, hour_of_view(scene))
    legs = [
        (r * math.cos(leg.angle), r * math.sin(leg.angle))
        for leg in scene.legs
        for r in (leg.radius, leg.reach)
    ] or [(0.0, 0.0)]
    far: list[Ends] = []
    for axis, below in ((0, 0.0), (1, CAPTION)):
        places = [point[axis] for point in legs]
        low = [(trial.half, 22.0 + below), (-min(places), 12.0 + below)]
        far.append((low, [(trial.half, 22.0), (max(places), 12.0)]))
    stage = staged(trial, _top_labels(trial), far[0], far[1])
    _plan(stage)
    _top_tubes(stage)
    _top_dimensions(stage)
    set_columns(stage, _top_labels(stage))
    _top_texts(stage)
    return stage.pen.drawing


def _plan(stage: Stage) -> None:
    """Kettle, mouth and parts."""
    pen, scene, half = stage.pen, stage.scene, stage.scene.kettle_diameter / 2.0
    pen.ring(stage.origin, half * stage.scale + WALL / 2.0, WALL, DARK, tag="kettle")
    if scene.mouth < scene.kettle_diameter:
        pen.ring(stage.origin, scene.mouth / 2.0 * stage.scale, 0.7, dash=(5.0, 2.0), tag="mouth")
    floor = 0
    for part, angle in placed(stage):
        if part.where == "wall":
            pen.area(_top_stub(stage, part, angle), PALE, 0.8, tag="part")
        elif part.where == "centre":
            pen.ring(stage.origin, part.size / 2.0 * stage.scale, 0.8, dash=(3.0, 2.0), tag="part")
        else:
            floor += 1
            radius = max(1.0, half * stage.scale - 2.5 * floor)
            pen.ring(stage.origin, radius, 0.6, dash=(1.0, 1.6), tag="part")


def _top_stub(stage: Stage, part: FixedPart, angle: float) -> list[Point]:
    half, wide = stage.scene.kettle_diameter / 2.0, stub(stage) / 2.0
    u, v = math.cos(angle), math.sin(angle)
    ends = [stage.polar(r, angle) for r in (half, half - part.size)]
    (a, b), (c, d) = ends
    return [
        (a - wide * v, b + wide * u),
        (c - wide * v, d + wide * u),
        (c + wide * v, d - wide * u),
        (a + wide * v, b - wide * u),
    ]


def _top_tubes(stage: Stage) -> None:
    pen, scene = stage.pen, stage.scene
    bridge = [stage.at(x, y) for x, y, _ in tube.bridge(scene)]
    if bridge:
        pen.tube(bridge, stage.d, cap=1, tag="bridge")
    for number, helix in enumerate(scene.helices, 1):
        pen.hoop(stage.origin, helix.mean_diameter / 2.0 * stage.scale, stage.d, f"turns {number}")
    for leg in scene.legs:
        foot = stage.polar(leg.foot_radius, leg.foot_angle)
        up, end = (stage.polar(r, leg.angle) for r in (leg.radius, leg.reach))
        pen.tube([foot, up], stage.d, cap=1, tag=f"{leg.name} foot")
        pen.tube([up, end], stage.d, tag=leg.name)
        pen.ring(up, stage.d / 2.0, 0.6, tag=f"{leg.name} upright")
        open_end(stage, leg.name, up, end)


def _spokes(stage: Stage) -> tuple[float, float, float]:
    """Angles of the dimension lines across, inside and of the wall gap, clear of legs and parts [rad]."""
    busy = [leg.angle for leg in stage.scene.legs] + wall_angles(stage.scene, stage.view)

    def clearest(*choice: float) -> float:
        clear = [min([0.35, *(between(math.radians(a), b) for b in busy)]) for a in choice]
        return math.radians(choice[clear.index(max(clear))])

    across, free = clearest(150, 165, 135, 120), clearest(210, 195, 225, 240)
    busy += [across + math.pi, free + math.pi, stage.view - math.pi / 2.0]
    return across, free, clearest(315, 345, 0, 330, 300, 15, 30, 45)


def _gap_ends(stage: Stage, angle: float) -> tuple[Point, Point, Point]:
    """Both ends of the wall gap's dimension line, from the inner, and its unit vector outwards."""
    radii = sorted((stage.sizes.across / 2.0, stage.scene.kettle_diameter / 2.0))
    inner, outer = (stage.polar(r, angle) for r in radii)
    return inner, outer, (math.cos(angle), math.sin(angle))


def _top_dimensions(stage: Stage) -> None:
    pen, sizes = stage.pen, stage.sizes
    across, free, gap = _spokes(stage)
    for angle, size in ((across, sizes.across), (free, sizes.free)):
        ends = (stage.polar(size / 2.0, angle), stage.polar(-size / 2.0, angle))
        pen.span(*ends, (-math.cos(angle), -math.sin(angle)))
    pen.span(*_gap_ends(stage, gap))
    for hour in HOURS[::3]:
        angle = view_from(hour) - math.pi / 2.0
        pen.line([stage.polar(stage.half, angle, p) for p in (WALL, WALL + 4.0)], 0.8, tag="tick")
    eye = stage.view - math.pi / 2.0
    pen.arrow(stage.polar(stage.half, eye, WALL + 1.5), (-math.cos(eye), -math.sin(eye)), size=8.0, tag="eye")


def _top_texts(stage: Stage) -> None:
    """Caption, names of the legs, the hours, and from where the side view is seen."""
    pen, scene = stage.pen, stage.scene
    set_caption(stage, "seen from above; to scale")
    for leg in scene.legs:
        along = (math.cos(leg.angle), math.sin(leg.angle))
        pen.beside(leg.name, stage.polar(leg.reach, leg.angle), along, 8.0)
    eye = stage.view - math.pi / 2.0
    at = stage.polar(stage.half, eye, WALL + 9.5)
    pen.beside("side view from here", at, (math.cos(eye), math.sin(eye)), 1.0, pens.NAME_SIZE)
    for hour in HOURS[::3]:
        angle = view_from(hour) - math.pi / 2.0
        at = stage.polar(stage.half, angle, WALL + 4.0)
        pen.beside(str(hour or 12), at, (math.cos(angle), math.sin(angle)), 1.5, pens.NAME_SIZE)


def _top_labels(stage: Stage) -> tuple[list[Label], list[Label]]:
    pen, scene, sizes, length = stage.pen, stage.scene, stage.sizes, stage.length
    across, free, gap = _spokes(stage)
    half = scene.kettle_diameter / 2.0
    left = [
        named("across the turns", [length(sizes.across)], stage.polar(sizes.across / 2.0, across)),
        named("free inside", [length(sizes.free)], stage.polar(sizes.free / 2.0, free)),
    ]
    name, value = wall_room(sizes, length)
    (a, b), (c, d), _ = _gap_ends(stage, gap)
    right = [named(name, [value], ((a + c) / 2.0, (b + d) / 2.0))]
    walls = wall_angles(scene, stage.view)
    bare = max((0.9, 1.1, 0.7, 0.5), key=lambda angle: min([0.2, *(between(angle, a) for a in walls)]))
    right.append(kettle_label(stage, stage.polar(half, bare, WALL / 2.0)))
    if scene.mouth < scene.kettle_diameter:
        right.append(named("mouth", [length(scene.mouth)], stage.polar(scene.mouth / 2.0, 0.6)))
    floor = 0
    for (part, angle), text in zip(
        placed(stage), part_names(scene, pen, 0.2 * pen.drawing.width), strict=True
    ):
        at = stage.polar(half - part.size / 3.0, angle)
        if part.where == "centre":
            at = stage.polar(part.size / 2.0, 0.3)
        elif part.where == "floor":
            floor += 1
            at = stage.polar(half, -0.2 - 0.1 * floor, -2.5 * floor)
        if text:
            label = Label(((text, pens.NAME_SIZE),), at)
            (left if part.where == "wall" and math.cos(angle) < 0.0 else right).append(label)
    return left, right
