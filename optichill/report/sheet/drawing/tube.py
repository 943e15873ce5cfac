"""The tube in space: risers, turns and crossing as points, and how they are seen from one side."""

from __future__ import annotations

import math

from optichill.fabrication.scene import LED_OVER, DrawnRiser, Helix, Scene
from optichill.report.sheet.drawing.pen import Point

Point3 = tuple[float, float, float]

UPRIGHT = 11
"""Which of a riser's points is the first where it stands upright."""


def riser_points(riser: DrawnRiser) -> list[Point3]:
    """A riser from the turns to its outer end; bends that do not fit are drawn as tight as there is room."""
    foot = (riser.foot_radius * math.cos(riser.foot_angle), riser.foot_radius * math.sin(riser.foot_angle))
    u, v = math.cos(riser.angle), math.sin(riser.angle)
    up = (riser.radius * u, riser.radius * v)
    bend = max(0.0, min(riser.bend_radius, abs(riser.crossing - riser.foot) / 2.0))
    over = max(0.0, min(bend, riser.reach - riser.radius))
    sign = 1.0 if riser.crossing >= riser.foot else -1.0
    points = []
    for angle in (k * math.pi / 20.0 for k in range(11)):
        part, rise = math.sin(angle), sign * bend * (1.0 - math.cos(angle))
        points.append(
            (foot[0] + part * (up[0] - foot[0]), foot[1] + part * (up[1] - foot[1]), riser.foot + rise)
        )
    for angle in (k * math.pi / 20.0 for k in range(11)):
        r = riser.radius + over * (1.0 - math.cos(angle))
        points.append((r * u, r * v, riser.crossing - sign * bend * (1.0 - math.sin(angle))))
    return [*points, (riser.reach * u, riser.reach * v, riser.crossing)]


def bridge_points(inner: Helix, outer: Helix) -> list[Point3]:
    """The piece under two layers: from the inner lower end on in the sense in which the outer one climbs."""
    turn = outer.hand * (outer.start - inner.start) % (2.0 * math.pi)
    turn = turn if turn <= math.pi else turn - 2.0 * math.pi
    points = []
    for part in (k / 16.0 for k in range(17)):
        radius = (inner.mean_diameter + part * (outer.mean_diameter - inner.mean_diameter)) / 2.0
        angle = inner.start + part * outer.hand * turn
        height = inner.lowest + part * (outer.lowest - inner.lowest)
        points.append((radius * math.cos(angle), radius * math.sin(angle), height))
    return points


def bridge(scene: Scene) -> list[Point3]:
    if not scene.crossing or len(scene.helices) < 2:
        return []
    by_size = sorted(scene.helices, key=lambda helix: helix.mean_diameter)
    return bridge_points(by_size[0], by_size[-1])


def of_riser(scene: Scene, riser: DrawnRiser) -> Helix:
    """The turns of a riser: IN goes down the inner of two layers, and IN 2 is of the inner coil."""
    inner = riser.name == "IN" if scene.crossing else riser.name.endswith(" 2")
    return scene.helices[-1 if inner else 0]


def led_out(scene: Scene, helix: Helix) -> float:
    """How far the lower end of a layer stands outside its turn, where its riser begins; inside below 0."""
    for riser in scene.risers:
        turned = (riser.foot_angle - helix.start + math.pi) % (2.0 * math.pi) - math.pi
        if abs(turned) < 1e-6 and abs(riser.foot - helix.lowest) < 1e-6:
            return riser.foot_radius - helix.mean_diameter / 2.0
    return 0.0


def radius_at(helix: Helix, turned: float, led: float) -> float:
    """Distance of a turn from the axis, `turned` from the lower end, which stands `led` further out [m]: it
    leaves the turn, and comes to the bend, along the way round."""
    left = max(0.0, 1.0 - turned / LED_OVER)
    return helix.mean_diameter / 2.0 + led * left * left * (3.0 - 2.0 * left)


def led_points(helix: Helix, led: float) -> list[Point3]:
    """The piece of a turn that is led out to its riser, from there on."""
    points = []
    for turned in (LED_OVER * k / 16.0 for k in range(17)):
        r, angle = radius_at(helix, turned, led), helix.start + helix.hand * turned
        height = helix.lowest + helix.pitch * turned / (2.0 * math.pi)
        points.append((r * math.cos(angle), r * math.sin(angle), height))
    return points


def halves(helix: Helix, seen_from: float, led: float = 0.0) -> list[tuple[bool, list[Point]]]:
    """The turns as seen from the side, cut where they pass from back to front: (in front, [(x, height)]);
    led : how far the lower end stands further out."""
    first = helix.start - seen_from
    ends = sorted((first, first + helix.hand * 2.0 * math.pi * helix.turns))
    cuts = [k * math.pi for k in range(math.ceil(ends[0] / math.pi), math.floor(ends[1] / math.pi) + 1)]
    stops = sorted({ends[0], *cuts, ends[1]})
    found = []
    for low, high in zip(stops, stops[1:], strict=False):
        if high - low < 1e-9:
            continue
        steps = max(2, math.ceil((high - low) / math.pi * 24))
        angles = [low + (high - low) * k / steps for k in range(steps + 1)]
        heights = [helix.lowest + helix.pitch * abs(a - first) / (2.0 * math.pi) for a in angles]
        half = [
            (radius_at(helix, abs(a - first), led) * math.cos(a), height)
            for a, height in zip(angles, heights, strict=True)
        ]
        found.append((math.sin((low + high) / 2.0) < 0.0, half))
    return found


def seen(point: Point3, seen_from: float) -> Point3:
    """(right, height, towards the eye) of a point, seen from the side."""
    x, y, z = point
    return (
        x * math.cos(seen_from) + y * math.sin(seen_from),
        z,
        x * math.sin(seen_from) - y * math.cos(seen_from),
    )
