"""The square bends of the risers: between which radii they may come out, how far past square they are bent,
and which of the two comes first.

A lever bender has its radius; a spring keeps the tube round and sets none, nor does a hand: they need a
former, and bounds. A wider bend takes more tube than the marks give it and more height than the riser has.
"""

from __future__ import annotations

import math

from optichill.fabrication.markout import Riser
from optichill.fabrication.obstacles import HAIR, level_needed, too_short
from optichill.fabrication.pieces import Piece
from optichill.fabrication.scene import DrawnRiser
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry import risers, springback

GRIP = 3.0
"""Straight that a lever bender or a hand must hold between two bends, in outside diameters (OWN)."""

HAND = 0.050
"""From the middle of one riser to that of the next, for a hand with its tool (half a hand's breadth, and the
tube) [m] (common practice, no source)."""

HOOK = 0.010
"""How far a lever bender's hook stands out beyond the tube that it holds [m] (common practice, no source)."""

STEP = 0.0005
"""In which the widest bend is looked for [m]."""


def rim_first(plan: WorkPlan, piece: Piece, riser: Riser) -> bool:
    """Whether the rim bend is made before the foot bend, for between them there is too little to hold, or no
    room for the tool that holds it. A spring is slid on from the free end and passes no bend, and a riser
    that is led up through the turns has none yet: there the foot bend always comes first."""
    inside = plan.from_below(riser) and plan.basis.brewhouse.workshop.riser == "inside"
    if plan.tool.kind == "spring" or inside:
        return False
    return riser.upright < GRIP * plan.tube.outer_diameter or not _hook_free(plan, piece, riser)


def _hook_free(plan: WorkPlan, piece: Piece, riser: Riser) -> bool:
    """Whether a lever bender's hook, just below the rim bend, is above the turns or has room beside them."""
    if plan.tool.kind != "lever" or not plan.from_below(riser):
        return True
    d_o = plan.tube.outer_diameter
    rim_bend = plan.basis.brewhouse.kettle.inside_height + risers.ABOVE_RIM - riser.bend_radius
    top = float(plan.placement.top[0]) + d_o / 2.0
    air = plan.axis(piece, riser) - piece.layers[0].diameter / 2.0 - d_o
    return rim_bend - GRIP * d_o > top or air > HOOK


def too_near(into: DrawnRiser, out: DrawnRiser) -> float:
    """How much sooner along the tube the last turn must end so that a hand goes between both risers of one
    tube [m]; 0 where it goes."""
    across = math.sqrt(
        into.radius**2 + out.radius**2 - 2.0 * into.radius * out.radius * math.cos(out.angle - into.angle)
    )
    if across >= HAND:
        return 0.0
    ahead = (out.angle - into.angle + math.pi) % (2.0 * math.pi) - math.pi
    cosine = (into.radius**2 + out.radius**2 - HAND**2) / (2.0 * into.radius * out.radius)
    return (ahead + math.acos(min(cosine, 1.0))) * out.foot_radius


def former(plan: WorkPlan) -> float:
    """Diameter of what a bend is made round, so that the tube's middle has its radius [m]."""
    return 2.0 * plan.tool.radius - plan.tube.outer_diameter


def bounds(plan: WorkPlan) -> tuple[float, float]:
    """Least and most of the radius to the tube's middle [m]: below, the tube folds; above, a riser runs out
    of height, of tube over the rim, or into the kettle wall."""
    R, widest = plan.tool.radius, 3.0 * plan.tool.radius
    while R + STEP <= widest and _all_fit(plan, R + STEP):
        R += STEP
    return min(plan.tool.smallest, plan.tool.radius), R


def _all_fit(plan: WorkPlan, R: float) -> bool:
    return all(_fits(plan, p, riser, R) for p in plan.pieces for riser in (p.riser_in, p.riser_out))


def _fits(plan: WorkPlan, piece: Piece, riser: Riser, R: float) -> bool:
    """Whether a riser of the same tube, bent to R, still climbs over the rim and past the wall."""
    kettle = plan.basis.brewhouse.kettle
    bent = Riser.of_length(riser.name, riser.length, riser.foot, kettle.inside_height, R)
    axis, to_wall = plan.axis(piece, bent), kettle.inside_diameter / 2.0
    reaches = not too_short(bent.level, level_needed(to_wall - axis, R))
    apart = to_wall - axis - plan.tube.outer_diameter / 2.0
    return bent.upright >= 0.0 and reaches and apart >= risers.AIR_AROUND_RISER - HAIR


def past_square(plan: WorkPlan) -> float:
    """Degrees by which a bend is made past square, for it springs back [deg]."""
    tube, Y = plan.tube, plan.stresses[0]
    d_i = tube.outer_diameter - 2.0 * tube.wall
    k = float(
        springback.springback_ratio(tube.outer_diameter, d_i, plan.tool.radius, Y, tube.metal.youngs_modulus)
    )
    return 90.0 * (1.0 / k - 1.0)
