"""The view from the side: the kettle in section."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from optichill.fabrication.scene import Helix, Scene
from optichill.geometry.fit import FixedPart
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.pen import BLACK, BLUE, DARK, PALE, Box, Label, Pen, Point, named
from optichill.report.sheet.drawing.stage import (
    CAPTION,
    WALL,
    Stage,
    hour_name,
    hour_of_view,
    kettle_label,
    open_end,
    part_names,
    placed,
    set_caption,
    set_columns,
    staged,
    stub,
)
from optichill.report.sheet.drawing.told import (
    Length,
    checked,
    cover_room,
    measures,
    rim_room,
    signed,
    wall_room,
)

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing

LANE = 8.5
LANES = 3


def side_view(
    scene: Scene, length: Length, width: float = 480.0, height: float = 330.0, font: str = "Helvetica"
) -> Drawing:
    """The kettle in section with the coil in it, to scale, on width x height points.

    length turns metres into text with its unit. `pens.tagged` finds the shapes: "kettle", "turns 1" ...
    Raises ValueError for a scene without turns or with sizes that are no lengths, and for too small a paper.
    """
    checked(scene, width, height)
    trial = Stage(Pen(width, height, font), scene, measures(scene), length, hour_of_view(scene))
    seen = [tube.seen(p, trial.view) for leg in scene.legs for p in tube.leg_points(leg)]
    sides, half = [p[0] for p in seen] or [0.0], trial.half
    tops = [scene.kettle_height, scene.hot, trial.sizes.top, *(p[1] for p in seen)]
    tops += [part.height for part in scene.parts]
    across = (
        [(half, WALL + 8.0 + LANE * LANES), (-min(sides), 9.0)],
        [(half, WALL + 8.0 + pens.TAIL), (max(sides), 9.0)],
    )
    upright = ([(0.0, 34.0 + CAPTION), (-trial.sizes.bottom, 24.0 + CAPTION)], [(max(tops), 15.0)])
    stage = staged(trial, _side_labels(trial), across, upright)
    _section(stage)
    _support(stage)
    _side_tubes(stage)
    _level_marks(stage)
    _upright_dimensions(stage)
    _level_dimensions(stage)
    set_caption(stage, f"seen from {hour_name(stage.hour)}; to scale")
    set_columns(stage, _side_labels(stage))
    for leg in scene.legs:
        end = stage.at(*tube.seen(tube.leg_points(leg)[-1], stage.view)[:2])
        stage.pen.beside(leg.name, end, (0.0, 1.0), stage.d / 2.0 + 2.5)
    return stage.pen.drawing


def _section(stage: Stage) -> None:
    """Wall and floor, the mouth, the parts, and both levels."""
    pen, scene = stage.pen, stage.scene
    (left, floor), (right, rim) = (
        stage.at(-scene.kettle_diameter / 2.0, 0.0),
        stage.at(scene.kettle_diameter / 2.0, scene.kettle_height),
    )
    out_l, out_r, under = left - WALL, right + WALL, floor - WALL
    outside = [(out_l, rim), (out_l, under), (out_r, under), (out_r, rim)]
    inside = [(right, rim), (right, floor), (left, floor), (left, rim)]
    pen.taken.append(Box(out_l, under, out_r, rim))
    for part, angle in sorted(placed(stage), key=lambda placed: placed[0].where != "floor"):
        _side_part(stage, part, angle)
    pen.area([*outside, *inside], DARK, 0.0, tag="kettle")
    if scene.mouth < scene.kettle_diameter:
        for wall, lip in ((left, -scene.mouth / 2.0), (right, scene.mouth / 2.0)):
            x = stage.at(lip, 0.0)[0]
            pen.area([(wall, rim - WALL), (x, rim - WALL), (x, rim), (wall, rim)], DARK, 0.0, tag="mouth")
    for tag, level, dash in (("hot", scene.hot, (5.0, 2.5)), ("cold", scene.cold, None)):
        y = stage.at(0.0, level)[1]
        pen.line([(left, y), (right, y)], 0.7, BLACK, dash=dash, tag=tag)


def _level_marks(stage: Stage) -> None:
    """A small triangle stands on each level, clear of the legs."""
    scene = stage.scene
    edge = stage.at(scene.kettle_diameter / 2.0, 0.0)[0]
    busy = [
        stage.at(tube.seen(tube.leg_points(leg)[tube.UPRIGHT], stage.view)[0], 0.0)[0] for leg in scene.legs
    ]
    for level in (scene.hot, scene.cold):
        places = [edge - 9.0 - 4.0 * k for k in range(8)]
        x = next((x for x in places if all(abs(x - b) > stage.d / 2.0 + 4.0 for b in busy)), places[0])
        y = stage.at(0.0, level)[1]
        mark = [(x, y), (x - 2.6, y + 4.4), (x + 2.6, y + 4.4), (x, y)]
        stage.pen.line(mark, 0.5, BLACK, tag="level mark")
        busy.append(x - stage.d / 2.0)


def _right_side(stage: Stage, angle: float) -> int:
    return 1 if math.cos(angle - stage.view) > 0.0 else -1


def _side_part(stage: Stage, part: FixedPart, angle: float) -> None:
    pen, half = stage.pen, stage.scene.kettle_diameter / 2.0
    top = stage.at(0.0, part.height)[1]
    if part.where == "wall":
        side = _right_side(stage, angle)
        (wall, _), (tip, _) = stage.at(side * half, 0.0), stage.at(side * (half - part.size), 0.0)
        low = top - stub(stage)
        pen.area([(wall, low), (tip, low), (tip, top), (wall, top)], PALE, 0.8, tag="part")
        return
    wide = half if part.where == "floor" else part.size / 2.0
    (left, floor), (right, _) = stage.at(-wide, 0.0), stage.at(wide, 0.0)
    fill, dash = (PALE, None) if part.where == "floor" else (None, (3.0, 2.0))
    corners = [(left, floor), (left, top), (right, top), (right, floor)]
    pen.area(corners, fill, 0.8, dash=dash, tag="part")


def _height_at(helix: Helix, angle: float, from_top: bool) -> float:
    """Height of the lowest or highest turn's centre at an angle [m]."""
    turned = helix.hand * (angle - helix.start) / (2.0 * math.pi)
    if from_top:
        return helix.lowest + helix.pitch * max(0.0, helix.turns - (helix.turns - turned) % 1.0)
    return helix.lowest + helix.pitch * min(helix.turns, turned % 1.0)


def _support(stage: Stage) -> None:
    """Wire feet under the coil, or wire hooks over the rim."""
    scene, outer = stage.scene, max(stage.scene.helices, key=lambda helix: helix.mean_diameter)
    radius = outer.mean_diameter / 2.0
    if scene.rests == "feet":
        for off in (math.pi / 2.0, -0.7, -2.45):
            x, y = stage.at(radius * math.cos(off), _height_at(outer, stage.view + off, False))
            floor = stage.origin[1]
            stage.pen.line([(x, y), (x, floor)], 1.0, DARK, tag="foot")
            stage.pen.line([(x - 2.5, floor + 0.5), (x + 2.5, floor + 0.5)], 1.0, DARK, tag="foot")
    if scene.rests == "hangs":
        for off, side in ((-0.5, 1), (-2.64, -1)):
            x, y = stage.at(radius * math.cos(off), _height_at(outer, stage.view + off, True))
            wall, rim = stage.at(side * scene.kettle_diameter / 2.0, scene.kettle_height)
            lip = stage.at(side * min(scene.mouth, scene.kettle_diameter) / 2.0, 0.0)[0] - side * 3.0
            over, out = side * min(side * x, side * lip), wall + side * (WALL + 2.0)
            wire = [(x, y), (over, rim + 3.0), (out, rim + 3.0), (out, rim - 6.0)]
            stage.pen.line(wire, 1.0, DARK, tag="hook")


def _side_tubes(stage: Stage) -> None:
    """Turns, the piece under two layers and the legs, what is nearer to the eye over what is further."""
    scene, view, pen = stage.scene, stage.view, stage.pen
    found: list[tuple[float, list[Point], bool, int, str]] = []
    for number, helix in enumerate(scene.helices, 1):
        radius = helix.mean_diameter / 2.0
        for front, half in tube.halves(helix, view):
            found.append((radius if front else -radius, half, not front, 1, f"turns {number}"))
    bridge = [tube.seen(point, view) for point in tube.bridge(scene)]
    if bridge:
        found.append((bridge[len(bridge) // 2][2], [point[:2] for point in bridge], False, 1, "bridge"))
    for leg in scene.legs:
        points = [tube.seen(point, view) for point in tube.leg_points(leg)]
        found.append((points[tube.UPRIGHT][2], [point[:2] for point in points], False, 0, leg.name))
    for _, plane, behind, cap, tag in sorted(found, key=lambda item: item[0]):
        line = [stage.at(*point) for point in plane]
        pen.tube(line, stage.d, behind=behind, cap=cap, tag=tag, mark=not tag.startswith("turns"))
    for leg in scene.legs:
        ends = [stage.at(*tube.seen(point, view)[:2]) for point in tube.leg_points(leg)[-2:]]
        open_end(stage, leg.name, ends[0], ends[1])
    half_across = stage.sizes.across / 2.0
    low, high = stage.at(-half_across, stage.sizes.bottom), stage.at(half_across, stage.sizes.top)
    pen.taken.append(Box(*low, *high))


Upright = tuple[float, float, str, str]


def _uprights(stage: Stage) -> list[Upright]:
    """The upright dimensions: (from, to, name, value), heights [m]."""
    scene, sizes, length = stage.scene, stage.sizes, stage.length
    tall = sizes.top - sizes.bottom
    return [
        (0.0, sizes.bottom, *signed(sizes.bottom, "floor to lowest turn", "below the floor", length)),
        (sizes.bottom, sizes.top, "height of the turns", length(tall)),
        (sizes.top, scene.cold, *cover_room(sizes, length)),
        (scene.hot, scene.kettle_height, *rim_room(sizes, length)),
    ]


def _lanes(stage: Stage) -> list[float]:
    """Where each upright dimension stands, left of the kettle: the nearest lane in which it is clear [pt]."""
    first = stage.origin[0] - stage.half * stage.scale - WALL - 8.0
    lanes: list[list[tuple[float, float]]] = []
    found = []
    for start, end, *_ in _uprights(stage):
        low, high = sorted((start * stage.scale, end * stage.scale))
        outside = high - low < 2.0 * pens.ARROW + 3.0
        room = (low - pens.TAIL - 1.0, high + pens.TAIL + 1.0) if outside else (low + 0.01, high - 0.01)
        free = (k for k, used in enumerate(lanes) if all(room[1] < a or room[0] > b for a, b in used))
        lane = next(free, len(lanes))
        lanes[lane:] = lanes[lane:] or [[]]
        lanes[lane].append(room)
        found.append(first - LANE * lane)
    return found


def _upright_dimensions(stage: Stage) -> None:
    scene, sizes, pen = stage.scene, stage.sizes, stage.pen
    half = scene.kettle_diameter / 2.0
    starts = {0.0: -half, scene.kettle_height: -half, scene.hot: -half, scene.cold: -half}
    low, high = (
        min(scene.helices, key=lambda h: h.lowest),
        max(scene.helices, key=lambda h: h.lowest + h.turns * h.pitch),
    )
    for helix, height, angle in (
        (low, sizes.bottom, low.start),
        (high, sizes.top, high.start + high.hand * 2.0 * math.pi * high.turns),
    ):
        starts[height] = helix.mean_diameter / 2.0 * math.cos(angle - stage.view)
    reaching: dict[float, float] = {}
    for (start, end, *_), x in zip(_uprights(stage), _lanes(stage), strict=True):
        points = [(x, stage.at(0.0, height)[1]) for height in (start, end)]
        pen.span(points[0], points[1], (0.0, 1.0 if end >= start else -1.0))
        for height in (start, end):
            reaching[height] = min(x, reaching.get(height, x))
    for height, x in reaching.items():
        right, y = stage.at(starts[height], height)
        pen.line([(right, y), (x - 2.0, y)], 0.3, BLUE, tag="extension")


def _gap_span(stage: Stage) -> tuple[Point, Point]:
    """The dimension line of the wall gap, under the right wall."""
    sizes, y = stage.sizes, stage.origin[1] - WALL - 9.0
    ends = sorted((sizes.across / 2.0, sizes.across / 2.0 + sizes.wall_gap))
    return (stage.at(ends[0], 0.0)[0], y), (stage.at(ends[1], 0.0)[0], y)


def _level_dimensions(stage: Stage) -> None:
    """Under the floor: the gap to the wall, and the width across the turns with its text."""
    pen, sizes = stage.pen, stage.sizes
    start, end = _gap_span(stage)
    pen.span(start, end, (1.0, 0.0))
    left, right = (
        stage.at(side * sizes.across / 2.0, sizes.bottom + stage.scene.d_o / 2.0) for side in (-1, 1)
    )
    y = start[1] - 10.0
    pen.span((left[0], y), (right[0], y), (1.0, 0.0))
    for x, top in (left, right):
        pen.line([(x, top), (x, y - 2.0)], 0.3, BLUE, tag="extension")
    wall = stage.at(stage.scene.kettle_diameter / 2.0, 0.0)
    pen.line([(wall[0], wall[1] - WALL), (wall[0], start[1] - 2.0)], 0.3, BLUE, tag="extension")
    text = f"across the turns {stage.length(sizes.across)}"
    wide = pens.text_width(text, pens.VALUE_SIZE, pen.font)
    pen.text(stage.origin[0] - wide / 2.0, y - 10.5, text, pens.VALUE_SIZE)


def _side_labels(stage: Stage) -> tuple[list[Label], list[Label]]:
    """The labels in the columns on the left and on the right."""
    pen, scene, half = stage.pen, stage.scene, stage.scene.kettle_diameter / 2.0
    left = [
        named(name, [value], (x, stage.at(0.0, (start + end) / 2.0)[1]))
        for (start, end, name, value), x in zip(_uprights(stage), _lanes(stage), strict=True)
    ]
    edge = stage.at(half, 0.0)[0]
    right = [
        named(f"{name} wort, depth", [stage.length(level)], (edge - 3.0, stage.at(0.0, level)[1]))
        for name, level in (("hot", scene.hot), ("cold", scene.cold))
    ]
    start, end = _gap_span(stage)
    name, value = wall_room(stage.sizes, stage.length)
    right.append(named(name, [value], ((start[0] + end[0]) / 2.0, end[1])))
    heights = [part.height / scene.kettle_height for part in scene.parts]
    bare = max((0.3, 0.4, 0.5, 0.6, 0.7), key=lambda z: min([0.1, *(abs(z - part) for part in heights)]))
    right.append(kettle_label(stage, (edge + WALL / 2.0, stage.at(0.0, bare * scene.kettle_height)[1])))
    if scene.mouth < scene.kettle_diameter:
        lip, rim = stage.at((half + scene.mouth / 2.0) / 2.0, scene.kettle_height)
        right.append(named("mouth", [stage.length(scene.mouth)], (lip, rim - WALL / 2.0)))
    for (part, angle), text in zip(
        placed(stage), part_names(scene, pen, 0.2 * pen.drawing.width), strict=True
    ):
        if text:
            side = _right_side(stage, angle) if part.where == "wall" else 1
            label = Label(((text, pens.NAME_SIZE),), _side_target(stage, part, side))
            (right if side > 0 else left).append(label)
    return left, right


def _side_target(stage: Stage, part: FixedPart, side: int) -> Point:
    half = stage.scene.kettle_diameter / 2.0
    if part.where == "wall":
        x, top = stage.at(side * (half - part.size / 3.0), part.height)
        return x, top - stub(stage) / 2.0
    x, top = stage.at(0.85 * half if part.where == "floor" else part.size / 2.0, part.height)
    return (x, (top + stage.origin[1]) / 2.0) if part.where == "floor" else (x, top - 2.0)
