"""The view from the side: the kettle in section."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from optichill.fabrication.scene import Helix, Scene
from optichill.geometry.standing import FixedPart
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.measures import (
    Length,
    checked,
    cover_room,
    measures,
    rim_room,
    signed,
    wall_room,
)
from optichill.report.sheet.drawing.pen import BLACK, BLUE, DARK, PALE, Box, Label, Pen, Point, named
from optichill.report.sheet.drawing.view import (
    CAPTION,
    WALL,
    View,
    fitted_view,
    hour_name,
    hour_of_view,
    kettle_label,
    open_end,
    part_names,
    placed,
    set_caption,
    set_columns,
    stub,
)

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing

LANE = 8.5
LANES = 3


def side_view(
    scene: Scene, length: Length, width: float = 480.0, height: float = 330.0, font: str = "Helvetica"
) -> Drawing:
    """The kettle in section with the coil in it, to scale, on width x height points.

    length turns metres into text with its unit. A shape's `_tag` says what it shows: "kettle", "turns 1" ...
    Raises ValueError for a scene without turns or with sizes that are no lengths, and for too small a paper.
    """
    checked(scene, width, height)
    trial = View(Pen(width, height, font), scene, measures(scene), length, hour_of_view(scene))
    seen = [tube.seen(p, trial.seen_from) for riser in scene.risers for p in tube.riser_points(riser)]
    sides, half = [p[0] for p in seen] or [0.0], trial.half
    tops = [scene.kettle_height, scene.hot, trial.sizes.top, *(p[1] for p in seen)]
    tops += [part.height for part in scene.parts]
    under = (0.0, _across(trial)[1] / 2.0 + pens.ASIDE - pens.ELBOW)  # of a narrow kettle wider than all else
    across = (
        [(half, WALL + 8.0 + LANE * LANES), (-min(sides), 9.0), under],
        [(half, WALL + 8.0 + pens.TAIL), (max(sides), 9.0), under],
    )
    upright = ([(0.0, 34.0 + CAPTION), (-trial.sizes.bottom, 24.0 + CAPTION)], [(max(tops), 15.0)])
    view = fitted_view(trial, _side_labels(trial), across, upright)
    _section(view)
    _support(view)
    _side_tubes(view)
    _axis(view)
    _level_marks(view)
    _upright_dimensions(view)
    _level_dimensions(view)
    set_caption(view, f"seen from {hour_name(view.hour)}; scale {view.ratio}")
    set_columns(view, _side_labels(view))
    for riser in scene.risers:
        end = view.at(*tube.seen(tube.riser_points(riser)[-1], view.seen_from)[:2])
        view.pen.beside(riser.name, end, (0.0, 1.0), view.d / 2.0 + 2.5)
    return view.pen.drawing


def _section(view: View) -> None:
    """Wall and floor, the mouth, the parts, and both levels."""
    pen, scene = view.pen, view.scene
    (left, floor), (right, rim) = (
        view.at(-scene.kettle_diameter / 2.0, 0.0),
        view.at(scene.kettle_diameter / 2.0, scene.kettle_height),
    )
    out_l, out_r, under = left - WALL, right + WALL, floor - WALL
    outside = [(out_l, rim), (out_l, under), (out_r, under), (out_r, rim)]
    inside = [(right, rim), (right, floor), (left, floor), (left, rim)]
    pen.taken.append(Box(out_l, under, out_r, rim))
    for part, angle in sorted(placed(view), key=lambda placed: placed[0].where != "floor"):
        _side_part(view, part, angle)
    pen.area([*outside, *inside], DARK, 0.0, tag="kettle")
    if scene.mouth < scene.kettle_diameter:
        for wall, lip in ((left, -scene.mouth / 2.0), (right, scene.mouth / 2.0)):
            x = view.at(lip, 0.0)[0]
            pen.area([(wall, rim - WALL), (x, rim - WALL), (x, rim), (wall, rim)], DARK, 0.0, tag="mouth")
    for tag, level, dash in (("hot", scene.hot, (5.0, 2.5)), ("cold", scene.cold, None)):
        y = view.at(0.0, level)[1]
        pen.line([(left, y), (right, y)], 0.7, BLACK, dash=dash, tag=tag)


def _axis(view: View) -> None:
    """The centre line of kettle and coil."""
    x, floor = view.origin
    view.pen.axis((x, floor - WALL - 4.0), (x, view.at(0.0, view.scene.kettle_height)[1] + 6.0))


def _level_marks(view: View) -> None:
    """A small triangle stands on each level, clear of the risers."""
    scene = view.scene
    edge = view.at(scene.kettle_diameter / 2.0, 0.0)[0]
    busy = [
        view.at(tube.seen(tube.riser_points(riser)[tube.UPRIGHT], view.seen_from)[0], 0.0)[0]
        for riser in scene.risers
    ]
    for level in (scene.hot, scene.cold):
        places = [edge - 9.0 - 4.0 * k for k in range(8)]
        x = next((x for x in places if all(abs(x - b) > view.d / 2.0 + 4.0 for b in busy)), places[0])
        y = view.at(0.0, level)[1]
        mark = [(x, y), (x - 2.6, y + 4.4), (x + 2.6, y + 4.4), (x, y)]
        view.pen.line(mark, 0.5, BLACK, tag="level mark")
        busy.append(x - view.d / 2.0)


def _right_side(view: View, angle: float) -> int:
    return 1 if math.cos(angle - view.seen_from) > 0.0 else -1


def _side_part(view: View, part: FixedPart, angle: float) -> None:
    pen, half = view.pen, view.scene.kettle_diameter / 2.0
    top = view.at(0.0, part.height)[1]
    if part.where == "wall":
        side = _right_side(view, angle)
        (wall, _), (tip, _) = view.at(side * half, 0.0), view.at(side * (half - part.size), 0.0)
        low = top - stub(view)
        pen.area([(wall, low), (tip, low), (tip, top), (wall, top)], PALE, 0.8, tag="part")
        return
    wide = half if part.where == "floor" else part.size / 2.0
    (left, floor), (right, _) = view.at(-wide, 0.0), view.at(wide, 0.0)
    fill, dash = (PALE, None) if part.where == "floor" else (None, (3.0, 2.0))
    corners = [(left, floor), (left, top), (right, top), (right, floor)]
    pen.area(corners, fill, 0.8, dash=dash, tag="part")


def _height_at(helix: Helix, angle: float, from_top: bool) -> float:
    """Height of the lowest or highest turn's centre at an angle [m]."""
    turned = helix.hand * (angle - helix.start) / (2.0 * math.pi)
    if from_top:
        return helix.lowest + helix.pitch * max(0.0, helix.turns - (helix.turns - turned) % 1.0)
    return helix.lowest + helix.pitch * min(helix.turns, turned % 1.0)


def _support(view: View) -> None:
    """Wire feet under the coil, or wire hooks over the rim."""
    scene, outer = view.scene, max(view.scene.helices, key=lambda helix: helix.mean_diameter)
    radius = outer.mean_diameter / 2.0
    if scene.rests == "feet":
        for off in (math.pi / 2.0, -0.7, -2.45):
            x, y = view.at(radius * math.cos(off), _height_at(outer, view.seen_from + off, False))
            floor = view.origin[1]
            view.pen.line([(x, y), (x, floor)], 1.0, DARK, tag="foot")
            view.pen.line([(x - 2.5, floor + 0.5), (x + 2.5, floor + 0.5)], 1.0, DARK, tag="foot")
    if scene.rests == "hangs":
        for off, side in ((-0.5, 1), (-2.64, -1)):
            x, y = view.at(radius * math.cos(off), _height_at(outer, view.seen_from + off, True))
            wall, rim = view.at(side * scene.kettle_diameter / 2.0, scene.kettle_height)
            lip = view.at(side * min(scene.mouth, scene.kettle_diameter) / 2.0, 0.0)[0] - side * 3.0
            over, out = side * min(side * x, side * lip), wall + side * (WALL + 2.0)
            wire = [(x, y), (over, rim + 3.0), (out, rim + 3.0), (out, rim - 6.0)]
            view.pen.line(wire, 1.0, DARK, tag="hook")


def _side_tubes(view: View) -> None:
    """Turns, the piece under two layers and the risers, what is nearer to the eye over what is further."""
    scene, seen_from, pen = view.scene, view.seen_from, view.pen
    found: list[tuple[float, list[Point], bool, int, str]] = []
    for number, helix in enumerate(scene.helices, 1):
        radius = helix.mean_diameter / 2.0
        for front, half in tube.halves(helix, seen_from, tube.led_out(scene, helix)):
            found.append((radius if front else -radius, half, not front, 1, f"turns {number}"))
    bridge = [tube.seen(point, seen_from) for point in tube.bridge(scene)]
    if bridge:
        found.append((bridge[len(bridge) // 2][2], [point[:2] for point in bridge], False, 1, "bridge"))
    for riser in scene.risers:
        points = [tube.seen(point, seen_from) for point in tube.riser_points(riser)]
        # A riser stands before, or behind, all turns that are nearer to the axis than itself.
        nearness = math.copysign(riser.radius, points[tube.UPRIGHT][2])
        found.append((nearness, [point[:2] for point in points], False, 0, riser.name))
    for _, plane, behind, cap, tag in sorted(found, key=lambda item: item[0]):
        line = [view.at(*point) for point in plane]
        pen.tube(line, view.d, behind=behind, cap=cap, tag=tag, mark=not tag.startswith("turns"))
    for riser in scene.risers:
        ends = [view.at(*tube.seen(point, seen_from)[:2]) for point in tube.riser_points(riser)[-2:]]
        open_end(view, riser.name, ends[0], ends[1])
    half_across = view.sizes.across / 2.0
    low, high = view.at(-half_across, view.sizes.bottom), view.at(half_across, view.sizes.top)
    pen.taken.append(Box(*low, *high))


Upright = tuple[float, float, str, str]


def _uprights(view: View) -> list[Upright]:
    """The upright dimensions: (from, to, name, value), heights [m]."""
    scene, sizes, length = view.scene, view.sizes, view.length
    tall = sizes.top - sizes.bottom
    return [
        (0.0, sizes.bottom, *signed(sizes.bottom, "floor to lowest turn", "below the floor", length)),
        (sizes.bottom, sizes.top, "height of the turns", length(tall)),
        (sizes.top, scene.cold, *cover_room(sizes, length)),
        (scene.hot, scene.kettle_height, *rim_room(sizes, length)),
    ]


def _lanes(view: View) -> list[float]:
    """Where each upright dimension stands, left of the kettle: the nearest lane in which it is clear [pt]."""
    first = view.origin[0] - view.half * view.scale - WALL - 8.0
    lanes: list[list[tuple[float, float]]] = []
    found = []
    for start, end, *_ in _uprights(view):
        low, high = sorted((start * view.scale, end * view.scale))
        outside = high - low < 2.0 * pens.ARROW + 3.0
        room = (low - pens.TAIL - 1.0, high + pens.TAIL + 1.0) if outside else (low + 0.01, high - 0.01)
        free = (k for k, used in enumerate(lanes) if all(room[1] < a or room[0] > b for a, b in used))
        lane = next(free, len(lanes))
        lanes[lane:] = lanes[lane:] or [[]]
        lanes[lane].append(room)
        found.append(first - LANE * lane)
    return found


def _upright_dimensions(view: View) -> None:
    scene, sizes, pen = view.scene, view.sizes, view.pen
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
        starts[height] = helix.mean_diameter / 2.0 * math.cos(angle - view.seen_from)
    reaching: dict[float, float] = {}
    for (start, end, *_), x in zip(_uprights(view), _lanes(view), strict=True):
        points = [(x, view.at(0.0, height)[1]) for height in (start, end)]
        pen.span(points[0], points[1], (0.0, 1.0 if end >= start else -1.0))
        for height in (start, end):
            reaching[height] = min(x, reaching.get(height, x))
    for height, x in reaching.items():
        right, y = view.at(starts[height], height)
        pen.line([(right, y), (x - 2.0, y)], 0.3, BLUE, tag="extension")


def _gap_span(view: View) -> tuple[Point, Point]:
    """The dimension line of the wall gap, under the right wall."""
    sizes, y = view.sizes, view.origin[1] - WALL - 9.0
    ends = sorted((sizes.across / 2.0, sizes.across / 2.0 + sizes.wall_gap))
    return (view.at(ends[0], 0.0)[0], y), (view.at(ends[1], 0.0)[0], y)


def _across(view: View) -> tuple[str, float]:
    """What stands under the floor of the width across the turns, and how wide that is [pt]."""
    text = f"across the turns {pens.DIAMETER}{view.length(view.sizes.across)}"
    return text, pens.text_width(text, pens.VALUE_SIZE, view.pen.font)


def _level_dimensions(view: View) -> None:
    """Under the floor: the gap to the wall, and the width across the turns with its text."""
    pen, sizes = view.pen, view.sizes
    start, end = _gap_span(view)
    pen.span(start, end, (1.0, 0.0))
    left, right = (
        view.at(side * sizes.across / 2.0, sizes.bottom + view.scene.d_o / 2.0) for side in (-1, 1)
    )
    y = start[1] - 10.0
    pen.span((left[0], y), (right[0], y), (1.0, 0.0))
    for x, top in (left, right):
        pen.line([(x, top), (x, y - 2.0)], 0.3, BLUE, tag="extension")
    wall = view.at(view.scene.kettle_diameter / 2.0, 0.0)
    pen.line([(wall[0], wall[1] - WALL), (wall[0], start[1] - 2.0)], 0.3, BLUE, tag="extension")
    text, wide = _across(view)
    pen.text(view.origin[0] - wide / 2.0, y - 10.5, text, pens.VALUE_SIZE)


def _side_labels(view: View) -> tuple[list[Label], list[Label]]:
    """The labels in the columns on the left and on the right."""
    pen, scene, half = view.pen, view.scene, view.scene.kettle_diameter / 2.0
    left = [
        named(name, [value], (x, view.at(0.0, (start + end) / 2.0)[1]))
        for (start, end, name, value), x in zip(_uprights(view), _lanes(view), strict=True)
    ]
    edge = view.at(half, 0.0)[0]
    right = [
        named(f"{name} wort{_of(batch)}, depth", [view.length(level)], (edge - 3.0, view.at(0.0, level)[1]))
        for name, level, batch in zip(("hot", "cold"), (scene.hot, scene.cold), scene.batches, strict=True)
    ]
    start, end = _gap_span(view)
    name, value = wall_room(view.sizes, view.length)
    right.append(named(name, [value], ((start[0] + end[0]) / 2.0, end[1])))
    heights = [part.height / scene.kettle_height for part in scene.parts]
    bare = max((0.3, 0.4, 0.5, 0.6, 0.7), key=lambda z: min([0.1, *(abs(z - part) for part in heights)]))
    right.append(kettle_label(view, (edge + WALL / 2.0, view.at(0.0, bare * scene.kettle_height)[1])))
    if scene.mouth < scene.kettle_diameter:
        lip, rim = view.at((half + scene.mouth / 2.0) / 2.0, scene.kettle_height)
        right.append(named("mouth", [pens.DIAMETER + view.length(scene.mouth)], (lip, rim - WALL / 2.0)))
    for (part, angle), text in zip(
        placed(view), part_names(scene, pen, 0.2 * pen.drawing.width), strict=True
    ):
        if text:
            side = _right_side(view, angle) if part.where == "wall" else 1
            label = Label(((text, pens.NAME_SIZE),), _side_target(view, part, side))
            (right if side > 0 else left).append(label)
    return left, right


def _of(batch: str) -> str:
    """Of which batch, where there are two."""
    return f" of {batch}" if batch else ""


def _side_target(view: View, part: FixedPart, side: int) -> Point:
    half = view.scene.kettle_diameter / 2.0
    if part.where == "wall":
        x, top = view.at(side * (half - part.size / 3.0), part.height)
        return x, top - stub(view) / 2.0
    x, top = view.at(0.85 * half if part.where == "floor" else part.size / 2.0, part.height)
    return (x, (top + view.origin[1]) / 2.0) if part.where == "floor" else (x, top - 2.0)
