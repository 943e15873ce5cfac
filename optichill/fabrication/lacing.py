"""Where the turns are held, by wire or comb, so that fingers reach there and no riser is in the way.

Three columns straight across the turns, a third of the way round apart. A riser that comes up along the turns
leaves no room for fingers behind it, and between two layers there is room for one comb, not for two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from optichill.fabrication.clocking import WHOLE, swing
from optichill.fabrication.scene import DrawnRiser, Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry.supports import FEET, LACING_WIRE

HAND = 0.100
"""Across which a hand goes in to lace [m] (common practice, no source)."""

THIRD = WHOLE / FEET


@dataclass(frozen=True)
class Columns:
    """Of one layer. first : along the tube from where its turns begin; apart : one column to the next, along
    the turn [m]. by_hook : whether no hand reaches one side of the turns; crossed : whether the wire
    passes between the turns; thick : wire that does [m]."""

    first: float
    apart: float
    by_hook: bool
    crossed: bool
    thick: float


def columns(plan: WorkPlan, scene: Scene) -> tuple[Columns, ...]:
    """Of every layer, the outer one first."""
    outer = _farthest([angle for riser in scene.risers for angle in _taken(scene, riser)])
    found = []
    for layer, helix, at in zip(plan.layers, scene.helices, (outer, outer + THIRD / 2.0), strict=False):
        begins = helix.start - (WHOLE * helix.turns if helix.hand < 0 else 0.0)
        R = layer.diameter / 2.0
        found.append(
            Columns(
                first=R * ((at - begins) % THIRD),
                apart=R * THIRD,
                by_hook=plan.layout.crossing or layer.diameter - layer.d_o < HAND,
                crossed=layer.open,
                thick=min(LACING_WIRE, layer.gap),
            )
        )
    return tuple(found)


def _taken(scene: Scene, riser: DrawnRiser) -> list[float]:
    """Where a column of the outer layer would meet a riser, or one of the inner layer that stands midway."""
    way = 1.0 if riser.name.startswith("OUT") else -1.0
    middle = riser.foot_angle + way * swing(riser.foot_radius, riser.bend_radius) / 2.0
    if len(scene.helices) == 1:
        return [middle]
    if scene.crossing:
        return [middle if riser.name == "OUT" else middle - THIRD / 2.0]
    return {"IN": [middle], "IN 2": [middle, middle - THIRD / 2.0]}.get(riser.name, [])


def _farthest(angles: list[float]) -> float:
    """The angle, 0 to a third of the way round, that is farthest from all of these, thirds on."""
    taken = sorted(angle % THIRD for angle in angles)
    room = [(b - a, a) for a, b in zip(taken, [*taken[1:], taken[0] + THIRD], strict=True)]
    widest, begins = max(room)
    return math.fmod(begins + widest / 2.0, THIRD)
