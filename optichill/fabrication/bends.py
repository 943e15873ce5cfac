"""The square bends of the risers: between which radii they may come out, how far past square they are bent,
and which of the two comes first.

A lever bender has its radius; a spring keeps the tube round and sets none, nor does a hand: they need a
former, and bounds. A wider bend takes more tube than the marks give it and more height than the riser has.
"""

from __future__ import annotations

from optichill.fabrication.markout import Riser
from optichill.fabrication.obstacles import HAIR, LEVEL_LEAST
from optichill.fabrication.pieces import Piece
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry import risers, springback

GRIP = 3.0
"""Straight that a lever bender or a hand must hold between two bends, in outside diameters (OWN)."""

STEP = 0.0005
"""In which the widest bend is looked for [m]."""


def rim_first(plan: WorkPlan, riser: Riser) -> bool:
    """Whether the rim bend is made before the foot bend, for between them there is too little to hold. A
    spring is slid on from the free end and passes no bend: with it the foot bend always comes first."""
    return plan.tool.kind != "spring" and riser.upright < GRIP * plan.tube.outer_diameter


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
    needed = max(to_wall - axis - R + LEVEL_LEAST, 0.0)
    apart = to_wall - axis - plan.tube.outer_diameter / 2.0
    return bent.upright >= 0.0 and bent.level >= needed - HAIR and apart >= risers.AIR_AROUND_RISER - HAIR


def past_square(plan: WorkPlan) -> float:
    """Degrees by which a bend is made past square, for it springs back [deg]."""
    tube, Y = plan.tube, plan.stresses[0]
    d_i = tube.outer_diameter - 2.0 * tube.wall
    k = float(
        springback.springback_ratio(tube.outer_diameter, d_i, plan.tool.radius, Y, tube.metal.youngs_modulus)
    )
    return 90.0 * (1.0 / k - 1.0)
