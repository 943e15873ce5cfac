"""What is drawn: a coil as it stands in its kettle, in plain numbers [m, rad].

Heights are above the kettle floor, to the tube's centre unless said otherwise; angles run counter-clockwise
seen from above, from the right-hand side of the drawing.

A turn whose end is led out to a riser takes the tube for it from its way round, so that the coil comes out a
few degrees short of its turns: the marks, not the angle, are what is set.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from optichill.display import show
from optichill.fabrication.clocking import WHOLE, apart, swing
from optichill.fabrication.markout import Riser
from optichill.fabrication.pieces import Piece
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry.risers import ABOVE_RIM
from optichill.geometry.standing import FixedPart
from optichill.problem.placement import off_the_middle


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
class DrawnRiser:
    """One riser up to the rim and over it.

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
    "floor" or "hangs". crossing : whether a piece of tube joins two layers underneath. batches : in words,
    the largest, which stands hot, and the smallest, which stands cold, where there are two. off : how
    far from the middle it stands, away from its outermost riser; it is drawn in the middle."""

    kettle_diameter: float
    kettle_height: float
    mouth: float
    parts: tuple[FixedPart, ...]
    d_o: float
    helices: tuple[Helix, ...]
    risers: tuple[DrawnRiser, ...]
    hot: float
    cold: float
    rests: str
    crossing: bool = False
    batches: tuple[str, str] = ("", "")
    off: float = 0.0


SIX_O_CLOCK = -math.pi / 2.0
QUARTER = math.pi / 2.0
LED_OVER = QUARTER
"""Angle over which the end of a turn is led out to its riser, smoothly (OWN)."""


def scene_of(plan: WorkPlan) -> Scene:
    """The coil of a work plan in its kettle, the first IN riser at six o'clock."""
    kettle = plan.basis.brewhouse.kettle
    helices: list[Helix] = []
    risers: list[DrawnRiser] = []
    for piece in plan.pieces:
        turned = SIX_O_CLOCK if not risers else _turned(plan, piece, risers)
        mine, ends = (_down_and_up if plan.layout.crossing else _one_layer)(plan, piece, turned)
        helices += mine
        risers += ends
    return Scene(
        kettle_diameter=kettle.inside_diameter,
        kettle_height=kettle.inside_height,
        mouth=kettle.mouth,
        parts=plan.basis.parts,
        d_o=plan.tube.outer_diameter,
        helices=tuple(helices),
        risers=tuple(risers),
        hot=float(plan.placement.hot_level[0]),
        cold=float(plan.placement.cold_level[0]),
        rests=kettle.coil_rests,
        crossing=plan.layout.crossing,
        batches=_batches(plan),
        off=float(off_the_middle(plan.basis, plan.shape)[0]),
    )


def _batches(plan: WorkPlan) -> tuple[str, str]:
    """The largest and the smallest batch, in words; empty where there is one."""
    volumes, units = plan.basis.brewhouse.wort.batches, plan.basis.brewhouse.units
    if len(volumes) < 2:
        return "", ""
    return show(volumes[-1], "exact_volume", units), show(volumes[0], "exact_volume", units)


def outermost(scene: Scene) -> DrawnRiser:
    """The riser that stands farthest out; of equals the first."""
    return max(scene.risers, key=lambda riser: round(riser.radius, 6))


def _one_layer(plan: WorkPlan, piece: Piece, riser_at: float) -> tuple[list[Helix], list[DrawnRiser]]:
    """One layer with its IN riser at `riser_at`."""
    layer = piece.layers[0]
    R_c, foot = layer.diameter / 2.0, _foot_radius(plan, piece, piece.riser_in)
    start = riser_at + swing(foot, plan.tool.radius)
    turns = layer.turns - _led_out(R_c, foot) / (WHOLE * R_c)
    end = start + WHOLE * turns
    pitch = layer.pitch * layer.turns / turns  # as high as planned all the same
    helix = Helix(layer.diameter, pitch, turns, piece.riser_in.foot, start)
    return [helix], [_riser(plan, piece, True, start, -1), _riser(plan, piece, False, end, 1)]


def _down_and_up(plan: WorkPlan, piece: Piece, riser_at: float) -> tuple[list[Helix], list[DrawnRiser]]:
    """One tube down the inner layer and up the outer: it goes round the same way all along, so that the inner
    layer climbs the other way."""
    inner, outer = piece.layers
    top = riser_at + swing(inner.diameter / 2.0, plan.tool.radius)
    bottom = top + WHOLE * inner.turns
    end = bottom + QUARTER + WHOLE * outer.turns
    low = plan.coil.lowest_turn_height
    helices = [
        Helix(outer.diameter, outer.pitch, outer.turns, low, bottom + QUARTER),
        Helix(inner.diameter, inner.pitch, inner.turns, low, bottom, -1),
    ]
    return helices, [_riser(plan, piece, True, top, -1), _riser(plan, piece, False, end, 1)]


def _riser(plan: WorkPlan, piece: Piece, water_in: bool, foot_angle: float, way: int) -> DrawnRiser:
    """A riser whose turn ends at `foot_angle`; it stands one bend before that (-1) or after it (1)."""
    riser = piece.riser_in if water_in else piece.riser_out
    foot = _foot_radius(plan, piece, riser)
    radius, whole = plan.axis(piece, riser), plan.basis.brewhouse.kettle.inside_height + ABOVE_RIM
    tip = (
        riser.foot + riser.length - riser.arc + riser.bend_radius
    )  # of a riser with too little tube to get over the rim
    return DrawnRiser(
        name=riser.name + (" 2" if piece.name == "inner" else ""),
        foot=riser.foot,
        foot_angle=foot_angle % WHOLE,
        foot_radius=foot,
        angle=(foot_angle + way * swing(foot, riser.bend_radius)) % WHOLE,
        radius=radius,
        bend_radius=riser.bend_radius,
        crossing=min(whole, max(tip, riser.foot + 2.0 * riser.bend_radius)),
        reach=radius + riser.bend_radius + max(riser.level, 0.0),
    )


def _foot_radius(plan: WorkPlan, piece: Piece, riser: Riser) -> float:
    """How far from the kettle's axis the foot bend of a riser starts [m]: on its turn, or led out of it."""
    return math.sqrt(max(plan.axis(piece, riser) ** 2 - riser.bend_radius**2, 0.0))


def _led_out(R_c: float, foot: float) -> float:
    """Tube that leading the end of a turn out takes [m]: half the way out all along, and what the slant of a
    smooth S adds."""
    out = foot - R_c
    return out * LED_OVER / 2.0 + 0.6 * out**2 / (LED_OVER * R_c)


def _turned(plan: WorkPlan, piece: Piece, others: Sequence[DrawnRiser]) -> float:
    """Where the IN riser of the inner of two tubes stands so that the risers come out well apart."""

    def nearest(at: float) -> float:
        mine = _one_layer(plan, piece, at)[1]
        return min(apart(riser.angle - other.angle) for riser in mine for other in others)

    steps = [SIX_O_CLOCK + WHOLE * n / 24.0 for n in range(24)]
    return max(steps, key=lambda at: (round(nearest(at), 6), -at))
