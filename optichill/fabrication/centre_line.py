"""The middle line of each tube in space, as points: for files of other machines.

Heights over the kettle floor, the kettle's axis at x = y = 0, IN at six o'clock [m]. A bend or a turn becomes
chords, none farther from it than `off`. The end of a turn is led out to its riser as `scene` reckons it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array
from optichill.fabrication.scene import LED_OVER, QUARTER, DrawnRiser, Helix, Scene

WHOLE = 2.0 * math.pi


@dataclass(frozen=True)
class CentreLine:
    """One tube: name ("", "outer" or "inner"), and its parts in order: "riser", "turns" or "crossing", with
    points (n, 3) [m]; each part begins where the last one ended."""

    name: str
    parts: tuple[tuple[str, Array], ...]

    @property
    def points(self) -> Array:
        """All of it as one line, (n, 3)."""
        lines = [points for _, points in self.parts]
        return np.concatenate([lines[0], *(line[1:] for line in lines[1:])])


def centre_lines(scene: Scene, off: float) -> tuple[CentreLine, ...]:
    """Every tube from its IN to its OUT end."""
    risers = {r.name: r for r in scene.risers}
    if scene.crossing:
        outer, inner = scene.helices
        ends = risers["IN"], risers["OUT"]
        down, up = _turns(inner, (None, ends[0]), off)[::-1], _turns(outer, (None, ends[1]), off)
        middle = (("turns", down), ("crossing", _crossing(inner, outer, off)), ("turns", up))
        return (_with_risers("", ends, middle, off),)
    found = []
    for helix, second in zip(scene.helices, ("", " 2"), strict=False):
        ends = risers[f"IN{second}"], risers[f"OUT{second}"]
        name = "" if len(scene.helices) == 1 else "inner" if second else "outer"
        found.append(_with_risers(name, ends, (("turns", _turns(helix, ends, off)),), off))
    return tuple(found)


def _with_risers(
    name: str, ends: tuple[DrawnRiser, DrawnRiser], middle: tuple[tuple[str, Array], ...], off: float
) -> CentreLine:
    first, last = (_riser(end, way, off) for end, way in zip(ends, (-1, 1), strict=True))
    return CentreLine(name, (("riser", first[::-1]), *middle, ("riser", last)))


def _steps(radius: float, angle: float, off: float) -> Array:
    """Angles along an arc whose chords are never farther from it than `off` [m]."""
    each = 2.0 * math.acos(max(1.0 - off / radius, 0.0))
    return np.linspace(0.0, angle, max(2, math.ceil(abs(angle) / each)) + 1)


def _about(radius: Array, angle: Array, height: Array) -> Array:
    return np.stack(np.broadcast_arrays(radius * np.cos(angle), radius * np.sin(angle), height), axis=-1)


def _turns(helix: Helix, ends: tuple[DrawnRiser | None, DrawnRiser | None], off: float) -> Array:
    """A layer upwards, its lower and upper end led out to the foot of a riser where there is one."""
    R, whole = helix.mean_diameter / 2.0, WHOLE * helix.turns
    gone = _steps(R, whole, off)
    radius = np.full(gone.shape, R)
    for end, along in zip(ends, (gone, whole - gone), strict=True):
        if end is not None:
            left = np.clip(1.0 - along / LED_OVER, 0.0, 1.0)
            radius = radius + (end.foot_radius - R) * left**2 * (3.0 - 2.0 * left)
    return _about(radius, helix.start + helix.hand * gone, helix.lowest + helix.pitch * gone / WHOLE)


def _crossing(inner: Helix, outer: Helix, off: float) -> Array:
    """Flat under both layers, outwards over a quarter of a turn."""
    share = _steps(outer.mean_diameter / 2.0, QUARTER, off) / QUARTER
    radius = (inner.mean_diameter + share * (outer.mean_diameter - inner.mean_diameter)) / 2.0
    return _about(radius, inner.start + share * (outer.start - inner.start), np.array(outer.lowest))


def _riser(riser: DrawnRiser, way: int, off: float) -> Array:
    """From the turns up along the tangent, over the rim and outwards; way : 1 where angles grow along it."""
    R, at = riser.bend_radius, riser.foot_angle
    foot = _about(np.array(riser.foot_radius), np.array(at), np.array(riser.foot))
    tangent = way * np.array([-math.sin(at), math.cos(at), 0.0])
    outward, up = np.array([math.cos(riser.angle), math.sin(riser.angle), 0.0]), np.array([0.0, 0.0, 1.0])
    turned = _steps(R, QUARTER, off)[:, None]
    bend = foot + R * (np.sin(turned) * tangent + (1.0 - np.cos(turned)) * up)
    corner = riser.radius * outward + (riser.crossing - R) * up
    over = corner + R * ((1.0 - np.cos(turned)) * outward + np.sin(turned) * up)
    end = riser.reach * outward + riser.crossing * up
    return np.concatenate([bend, over, end[None]])
