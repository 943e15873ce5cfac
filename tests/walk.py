"""A coil walked along in three dimensions: a fly inside the tube, from one end to the other.

Nothing of the package is used to build it: what is drawn comes in as plain numbers, and is laid out as a
polyline, stretch by stretch. Every stretch starts where the last one ended, or `joints` tells by how much it
does not. Lengths in metres, heights over the kettle floor, all of the tube's middle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

A_TURN = 720
"""Points of a turn: chords lose 3 parts in a million of it."""
QUARTER = math.pi / 2.0
LED = QUARTER
"""Angle over which the end of a turn is led out to its riser (common practice, no source)."""


@dataclass(frozen=True)
class Stretch:
    """A piece of the tube: what it is, of which riser or layer, and its middle line (n, 3)."""

    what: str
    of: str
    points: Points

    @property
    def length(self) -> float:
        return length(self.points)


def length(points: Points) -> float:
    """Along a polyline."""
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def round_about(radius: Any, angle: Points, z: Any) -> Points:
    """Points about the kettle's axis."""
    return np.stack(
        [radius * np.cos(angle), radius * np.sin(angle), np.broadcast_to(z, angle.shape)], axis=-1
    )


@dataclass(frozen=True)
class Tube:
    """One tube from its IN to its OUT end."""

    stretches: tuple[Stretch, ...]

    def __getitem__(self, key: tuple[str, str]) -> Stretch:
        (found,) = (s for s in self.stretches if (s.what, s.of) == key)
        return found

    def all(self, *what: str) -> list[Stretch]:
        return [s for s in self.stretches if s.what in what]

    @property
    def length(self) -> float:
        return sum(s.length for s in self.stretches)

    @property
    def joints(self) -> list[tuple[float, float]]:
        """Between neighbours: how far apart [m], and by how much the direction breaks [rad]."""
        found = []
        for a, b in zip(self.stretches, self.stretches[1:], strict=False):
            before, after = a.points[-1] - a.points[-2], b.points[1] - b.points[0]
            cosine = before @ after / np.linalg.norm(before) / np.linalg.norm(after)
            found.append(
                (float(np.linalg.norm(b.points[0] - a.points[-1])), math.acos(min(1.0, float(cosine))))
            )
        return found


def turns(helix: Any, feet: dict[str, float]) -> Points:
    """A layer upwards, its ends led out or in to the radius that `feet` has for "low" and "high"."""
    whole = 2.0 * math.pi * helix.turns
    gone = np.linspace(0.0, whole, math.ceil(helix.turns * A_TURN) + 1)
    radius = np.full(gone.shape, helix.mean_diameter / 2.0)
    for end, along in (("low", gone), ("high", whole - gone)):
        if end in feet:
            left = np.clip(1.0 - along / LED, 0.0, 1.0)
            radius += (feet[end] - helix.mean_diameter / 2.0) * left**2 * (3.0 - 2.0 * left)
    z = helix.lowest + helix.pitch * gone / (2.0 * math.pi)
    return round_about(radius, helix.start + helix.hand * gone, z)


def riser(drawn: Any, way: int) -> list[tuple[str, Points]]:
    """From the turns on: foot bend, upright, rim bend, level. way : +1 where it goes on as angles grow."""
    angle, R = drawn.foot_angle, drawn.bend_radius
    foot = np.array([drawn.foot_radius * math.cos(angle), drawn.foot_radius * math.sin(angle), drawn.foot])
    tangent = way * np.array([-math.sin(angle), math.cos(angle), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    turned = np.linspace(0.0, QUARTER, 181)[:, None]
    bend = foot + R * (np.sin(turned) * tangent + (1.0 - np.cos(turned)) * up)
    stands = np.array([drawn.radius * math.cos(drawn.angle), drawn.radius * math.sin(drawn.angle), 0.0])
    outward = stands / np.linalg.norm(stands)
    low, high = stands + bend[-1, 2] * up, stands + (drawn.crossing - R) * up
    over = high + R * ((1.0 - np.cos(turned)) * outward + np.sin(turned) * up)
    end = stands + drawn.crossing * up + (drawn.reach - drawn.radius) * outward
    level = between(over[-1], end)
    return [("foot bend", bend), ("upright", between(low, high)), ("rim bend", over), ("level", level)]


def between(a: Points, b: Points) -> Points:
    """A straight piece."""
    return a + np.linspace(0.0, 1.0, 101)[:, None] * (b - a)


def crossing(inner: Any, outer: Any) -> Points:
    """Flat under both layers, outwards as it goes round."""
    start, end = inner.start, outer.start
    s = np.linspace(0.0, 1.0, A_TURN // 4 + 1)
    radius = (inner.mean_diameter + s * (outer.mean_diameter - inner.mean_diameter)) / 2.0
    return round_about(radius, start + s * (end - start), inner.lowest)


def walked(scene: Any) -> tuple[Tube, ...]:
    """Every tube of what is drawn."""
    by_name = {r.name: r for r in scene.risers}
    tubes = []
    for second in ("", " 2") if len(scene.risers) > 2 else ("",):
        into, out = by_name[f"IN{second}"], by_name[f"OUT{second}"]
        if scene.crossing:
            outer, inner = scene.helices
            middle = [
                Stretch("turns", "inner", turns(inner, {"high": into.foot_radius})[::-1]),
                Stretch("crossing", "", crossing(inner, outer)),
                Stretch("turns", "outer", turns(outer, {"high": out.foot_radius})),
            ]
        else:
            helix = scene.helices[1 if second else 0]
            of = "" if len(scene.helices) == 1 else "inner" if second else "outer"
            feet = {"low": into.foot_radius, "high": out.foot_radius}
            middle = [Stretch("turns", of, turns(helix, feet))]
        first = [Stretch(what, into.name, points[::-1]) for what, points in reversed(riser(into, -1))]
        last = [Stretch(what, out.name, points) for what, points in riser(out, 1)]
        tubes.append(Tube((*first, *middle, *last)))
    return tuple(tubes)


def nearest(a: Points, b: Points) -> float:
    """The smallest distance between the points of two lines."""
    found = math.inf
    for part in np.array_split(a, max(1, len(a) * len(b) // 2_000_000)):
        found = min(found, float(np.linalg.norm(part[:, None] - b[None], axis=-1).min()))
    return found


def pushed_aside(tubes: Iterable[Tube], d_o: float, level: float) -> float:
    """Volume of the tube that is under a level [m3]."""
    wet = 0.0
    for tube in tubes:
        for s in tube.stretches:
            z, step = s.points[:, 2], np.linalg.norm(np.diff(s.points, axis=0), axis=1)
            wet += float(step[(z[1:] + z[:-1]) / 2.0 < level].sum())
    return math.pi / 4.0 * d_o**2 * wet


def surface(tubes: tuple[Tube, ...], d_o: float, across: float, volume: float) -> float:
    """Level [m] at which a volume stands on a round floor with the tubes in it: halved until it is found."""
    low, high = 0.0, 4.0 * volume / (math.pi / 4.0 * across**2)
    for _ in range(40):
        middle = (low + high) / 2.0
        room = math.pi / 4.0 * across**2 * middle - pushed_aside(tubes, d_o, middle)
        low, high = (middle, high) if room < volume else (low, middle)
    return low


def across(points: Points) -> float:
    """Diameter of the smallest circle round points seen from above: steps towards the farthest point (Badoiu
    and Clarkson 2003), a hair too large, never too small."""
    flat = points[:, :2]
    flat = flat[np.hypot(flat[:, 0], flat[:, 1]) > 0.8 * np.hypot(flat[:, 0], flat[:, 1]).max()][::4]
    centre = flat.mean(axis=0)
    for step in range(1, 1001):
        off = flat - centre
        centre = centre + off[np.argmax((off**2).sum(axis=1))] / (step + 1.0)
    return 2.0 * float(np.sqrt(((flat - centre) ** 2).sum(axis=1)).max())


def room_of_a_former(turns: Points, foot: Points, radius: float, thick: float, d_o: float) -> float:
    """Air [m] between the turns and a round former in the plane of a foot bend, below 0 where it meets them.

    foot : the bend, from the turns on; radius : of its middle line; thick : of the former, whose middle is a
    radius up.
    """
    tangent, up = foot[1] - foot[0], np.array([0.0, 0.0, 1.0])
    tangent = tangent / np.linalg.norm(tangent)
    square = np.cross(tangent, up)
    away = turns - (foot[0] + radius * up)
    beside = np.hypot(away @ tangent, away @ up) < radius + d_o / 2.0
    others = beside & (np.abs(turns[:, 2] - foot[0, 2]) > d_o / 2.0)
    if not others.any():
        return math.inf
    return float(np.abs(away[others] @ square).min()) - (thick + d_o) / 2.0


def opened_out(radius: float, over: float, gap: float, d_o: float) -> tuple[Points, Points, float]:
    """A turn's end bent open over the last `over` of it [rad] until it is `gap` from the round that it left.

    Returns its place and its direction (x, y), seen from above, the round about the origin, its end going on
    against the clock from there; and how many radians it still goes round.
    """
    from_here, along = np.array([math.cos(-over), math.sin(-over)]) * radius, over * radius

    def end(left: float) -> tuple[Points, Points]:
        heading = QUARTER - over + np.linspace(0.0, left, 2001)
        middle = (heading[1:] + heading[:-1]) / 2.0
        step = along / 2000.0
        place = from_here + step * np.array([np.cos(middle).sum(), np.sin(middle).sum()])
        return place, np.array([math.cos(heading[-1]), math.sin(heading[-1])])

    low, high = 1e-3, over
    for _ in range(50):
        left = (low + high) / 2.0
        too_far = float(np.hypot(*end(left)[0])) - radius - d_o > gap
        low, high = (left, high) if too_far else (low, left)
    return (*end(left), left)


def beside_the_plane(place: Points, direction: Points, radius: float) -> float:
    """How far a round about the origin keeps from the upright plane that a straight end lies in [m]."""
    return abs(float(place[0] * direction[1] - place[1] * direction[0])) - radius
