"""What is drawn: a coil as it stands in its kettle, in plain numbers [m, rad].

Heights are above the kettle floor, to the tube's centre unless said otherwise; angles run counter-clockwise
seen from above, from the right-hand side of the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from optichill.fabrication.clocking import WHOLE, apart, swing
from optichill.fabrication.work_plan import Piece, WorkPlan
from optichill.geometry.fit import FixedPart
from optichill.geometry.risers import ABOVE_RIM


@dataclass(frozen=True)
class Helix:
    """One layer of turns, relaxed. start : angle of its lower end; hand : +1 climbs counter-clockwise."""

    mean_diameter: float
    pitch: float
    turns: float
    lowest: float
    start: float
    hand: int = 1


@dataclass(frozen=True)
class Leg:
    """One leg up to the rim and over it.

    name : "IN", "OUT" (of two tubes also "IN 2", "OUT 2"). foot : height where it leaves the turns;
    foot_angle, foot_radius : where that is, seen from above. angle, radius : where it stands upright.
    bend_radius : of both bends. crossing : height of its level part. reach : distance of its outer end from
    the kettle's axis.
    """

    name: str
    foot: float
    foot_angle: float
    foot_radius: float
    angle: float
    radius: float
    bend_radius: float
    crossing: float
    reach: float


@dataclass(frozen=True)
class Scene:
    """A coil in its kettle. d_o : of the tube. hot, cold : wort levels with the coil in. rests : "feet",
    "floor" or "hangs". crossing : whether a piece of tube joins two layers underneath."""

    kettle_diameter: float
    kettle_height: float
    mouth: float
    parts: tuple[FixedPart, ...]
    d_o: float
    helices: tuple[Helix, ...]
    legs: tuple[Leg, ...]
    hot: float
    cold: float
    rests: str
    crossing: bool = False


SIX_O_CLOCK = -math.pi / 2.0
QUARTER = math.pi / 2.0


def scene_of(plan: WorkPlan) -> Scene:
    """The coil of a bench in its kettle, the first IN leg at six o'clock."""
    kettle = plan.basis.brewhouse.kettle
    helices: list[Helix] = []
    legs: list[Leg] = []
    nested = plan.coil.layout == "nested"
    for piece in plan.pieces:
        turned = SIX_O_CLOCK if not legs else _turned(plan, piece, legs)
        mine, ends = (_nested if nested else _single)(plan, piece, turned)
        helices += mine
        legs += ends
    return Scene(
        kettle_diameter=kettle.inside_diameter,
        kettle_height=kettle.inside_height,
        mouth=kettle.mouth,
        parts=plan.basis.parts,
        d_o=plan.tube.outer_diameter,
        helices=tuple(helices),
        legs=tuple(legs),
        hot=float(plan.placement.hot_level[0]),
        cold=float(plan.placement.cold_level[0]),
        rests=kettle.coil_rests,
        crossing=nested,
    )


def _single(plan: WorkPlan, piece: Piece, leg_at: float) -> tuple[list[Helix], list[Leg]]:
    """One layer with its IN leg at `leg_at`."""
    layer = piece.layers[0]
    start = leg_at + swing(layer.diameter / 2.0, plan.tool.radius)
    end = start + WHOLE * layer.turns
    helix = Helix(layer.diameter, layer.pitch, layer.turns, piece.leg_in.foot, start)
    return [helix], [_leg(plan, piece, True, start, -1), _leg(plan, piece, False, end, 1)]


def _nested(plan: WorkPlan, piece: Piece, leg_at: float) -> tuple[list[Helix], list[Leg]]:
    """One tube down the inner layer and up the outer: it goes round the same way all along, so that the inner
    layer climbs the other way."""
    inner, outer = piece.layers
    top = leg_at + swing(inner.diameter / 2.0, plan.tool.radius)
    bottom = top + WHOLE * inner.turns
    end = bottom + QUARTER + WHOLE * outer.turns
    low = plan.coil.lowest_turn_height
    helices = [
        Helix(outer.diameter, outer.pitch, outer.turns, low, bottom + QUARTER),
        Helix(inner.diameter, inner.pitch, inner.turns, low, bottom, -1),
    ]
    return helices, [_leg(plan, piece, True, top, -1), _leg(plan, piece, False, end, 1)]


def _leg(plan: WorkPlan, piece: Piece, water_in: bool, foot_angle: float, way: int) -> Leg:
    """A leg whose turn ends at `foot_angle`; it stands one bend before that (-1) or after it (1)."""
    leg = piece.leg_in if water_in else piece.leg_out
    R_c = piece.layers[0 if water_in else -1].diameter / 2.0
    radius, whole = plan.axis(piece, leg), plan.basis.brewhouse.kettle.inside_height + ABOVE_RIM
    tip = (
        leg.foot + leg.length - leg.arc + leg.bend_radius
    )  # of a leg with too little tube to get over the rim
    return Leg(
        name=leg.name + (" 2" if piece.name == "inner" else ""),
        foot=leg.foot,
        foot_angle=foot_angle % WHOLE,
        foot_radius=math.sqrt(max(radius**2 - leg.bend_radius**2, 0.0)) if plan.from_below(leg) else R_c,
        angle=(foot_angle + way * swing(R_c, leg.bend_radius)) % WHOLE,
        radius=radius,
        bend_radius=leg.bend_radius,
        crossing=min(whole, max(tip, leg.foot + 2.0 * leg.bend_radius)),
        reach=radius + leg.bend_radius + max(leg.level, 0.0),
    )


def _turned(plan: WorkPlan, piece: Piece, others: Sequence[Leg]) -> float:
    """Where the IN leg of the inner of two tubes stands so that the legs come out well apart."""

    def nearest(at: float) -> float:
        mine = _single(plan, piece, at)[1]
        return min(apart(leg.angle - other.angle) for leg in mine for other in others)

    steps = [SIX_O_CLOCK + WHOLE * n / 24.0 for n in range(24)]
    return max(steps, key=lambda at: (round(nearest(at), 6), -at))
