"""What keeps a coil from being built or used at all, as against a limit that it only breaks.

A clearance that is smaller than wished, a long chill or a high price are for the brewer to weigh; a tube that
kinks, a coil that does not pass the mouth, or a joint that would hang in the wort are not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry import bend_allowance, fit, risers
from optichill.geometry.strips import strips, thickest
from optichill.problem.limits import LIMITS
from optichill.problem.placement import fit_checks
from optichill.problem.windings import PACKING

WINDS = 0.7
"""Winding margin below which a tube is refused (OWN)."""

BENT = ("riser_gap", "mouth")
"""Known only where the bends of the risers are told; those of a coil that exists are where they are."""

MEASURED = 5e-4
"""By which a strip that a file's rounded sizes ask for may be thicker [m]."""

HAIR = 1e-6
"""A micrometre: what is worked out to be exactly on a bound still holds."""


@dataclass(frozen=True)
class Obstacle:
    """One reason. value [m] : what is there, needed [m] : what must be; of : which riser, layer or part."""

    name: str
    value: float
    needed: float
    of: str = ""


def obstacles(plan: WorkPlan) -> tuple[Obstacle, ...]:
    """Every reason against building the coil, the tube first; empty for one that can be built."""
    found = [*_tube(plan), *_room(plan), *_risers(plan)]
    return tuple(found)


def tips(plan: WorkPlan) -> tuple[Obstacle, ...]:
    """Strips between two layers that would tip over while they are wound over: against building the coil so,
    and nothing against one that exists."""
    if not plan.layout.crossing:
        return ()
    outer, inner = plan.layers
    thick, _ = strips(inner.D_form, outer.D_form, inner.d_o, PACKING)
    most = float(thickest(inner.D_form, inner.d_o))
    return (Obstacle("strips", float(thick), most),) if thick > most + MEASURED else ()


def _tube(plan: WorkPlan) -> list[Obstacle]:
    tube, found = plan.tube, []
    if tube.temper == "hard":
        found.append(Obstacle("hard", 0.0, 0.0))
    for layer in plan.layers:
        R = layer.on_form / 2.0
        if layer.rho < WINDS:
            found.append(Obstacle("winding_radius", R, WINDS * R / layer.rho, _which(plan, layer)))
        if layer.form is not None and not layer.on_strips and not layer.form.open_end:
            found.append(Obstacle("form_closed", 0.0, 0.0, layer.form.form_id))
        if layer.form is not None and layer.taller_than(layer.form_height - HAIR):
            found.append(Obstacle("form_height", layer.form.height, layer.form_height, layer.form.form_id))
    if plan.listed and plan.coil.bought_length is None:
        for roll, pieces in plan.by_roll:
            length = sum(p.marks.cut_length for p in pieces)
            if length > roll.length + HAIR:
                found.append(Obstacle("stock_length", roll.length, length))
    if not plan.tool.holds:
        found.append(Obstacle("riser_bend", plan.tool.radius, plan.tool.smallest))
    return found


def _which(plan: WorkPlan, layer: WoundLayer) -> str:
    if len(plan.layers) == 1:
        return ""
    return "outer" if layer is plan.layers[0] else "inner"


def _room(plan: WorkPlan) -> list[Obstacle]:
    """Where the coil would run into the kettle, its parts or itself."""
    kettle, d_o = plan.basis.brewhouse.kettle, plan.coil.outer_diameter  # as it stands, not as it is listed
    told = fit_checks(plan.basis, plan.shape, plan.placement)
    checks = fit_checks(plan.basis, plan.shape.as_it_is, plan.placement)
    found = []
    for name, check in checks.rows.items():
        if not LIMITS[name].collides or (name in BENT and plan.coil.riser_bend_radius is None):
            continue
        # A room to be left is a wish: only where nothing is left of it, the build stops.
        value, needed = float(check.value[0]), 0.0 if LIMITS[name].at_least else float(check.bound)
        if check.sense * value > check.sense * needed + HAIR:
            # What does not go in as it is planned is told as wide as its limit has it.
            found.append(Obstacle(name, float(told.rows[name].value[0]), needed))
    if any(obstacle.name == "wall" for obstacle in found):  # then it need not be said of risers and mouth too
        found = [obstacle for obstacle in found if obstacle.name not in BENT]
    found += _between_layers(plan)
    gap = float(fit.wall_gap(kettle.inside_diameter, plan.coil.mean_diameter, d_o))
    lowest = float(plan.placement.lowest[0]) - d_o / 2.0
    for part in fit.in_the_turns(gap, lowest, plan.basis.parts):
        found.append(Obstacle("part", gap, part.size, part.what))
    if lowest < plan.basis.floor_part - HAIR:
        found.append(Obstacle("floor", lowest, plan.basis.floor_part))
    top = float(plan.placement.top[0]) + d_o / 2.0
    if top > kettle.inside_height + HAIR:
        found.append(Obstacle("rim", top, kettle.inside_height))
    hot = float(plan.placement.hot_level[0])
    if hot > kettle.inside_height + HAIR:
        found.append(Obstacle("headspace", hot, kettle.inside_height))
    return found


def _between_layers(plan: WorkPlan) -> list[Obstacle]:
    """Risers of the inner layer that would run into the outer one."""
    if len(plan.layers) == 1:
        return []
    outer, d_o = plan.layers[0], plan.tube.outer_diameter
    inner_edge = (outer.diameter - d_o) / 2.0
    piece = plan.pieces[-1]
    passing = [piece.riser_in] if plan.layout.crossing else [piece.riser_in, piece.riser_out]
    top = plan.coil.lowest_turn_height + outer.turns * outer.pitch
    found = []
    for riser in passing:
        edge = plan.axis(piece, riser) + d_o / 2.0
        # A riser from the top passes the outer layer only where that is taller.
        passes = riser.foot + riser.bend_radius < top + d_o / 2.0
        if passes and edge > inner_edge + HAIR:
            name = riser.name + (" 2" if piece.name == "inner" else "")
            found.append(Obstacle("layer_leg", edge, inner_edge, name))
    return found


def _risers(plan: WorkPlan) -> list[Obstacle]:
    """Risers too short to bring their joint outside the kettle: it would hang in the wort, or over it."""
    R_kettle, rim = (
        plan.basis.brewhouse.kettle.inside_diameter / 2.0,
        plan.basis.brewhouse.kettle.inside_height,
    )
    found = []
    for piece in plan.pieces:
        for riser in (piece.riser_in, piece.riser_out):
            name = riser.name + (" 2" if piece.name == "inner" else "")
            up = riser.length - bend_allowance.bend_arc(riser.bend_radius, np.pi / 2.0) + riser.bend_radius
            if float(up) < rim - riser.foot - HAIR:
                found.append(Obstacle("leg_below_rim", riser.foot + float(up), rim, name))
            elif riser.upright < -HAIR:
                found.append(Obstacle("riser_height", riser.upright, 0.0, name))
            else:
                needed = level_needed(R_kettle - plan.axis(piece, riser), riser.bend_radius)
                if too_short(riser.level, needed):
                    found.append(Obstacle("leg_inside", riser.level, needed, name))
    return found


def level_needed(to_wall: float, R_b: float) -> float:
    """Level part of a riser beyond its rim bend that brings the joint past the wall [m]; to_wall : from the
    riser's axis. A rim bend takes its tube also where it is past the wall by itself.

    Examples
    --------
    7 cm from the wall, a bend of 3 cm: 4 cm to the wall, 5 past it:

    >>> round(level_needed(0.07, 0.03), 3), level_needed(0.01, 0.08)
    (0.09, 0.0)
    """
    return max(to_wall - R_b + risers.PAST_THE_WALL, 0.0)


def too_short(level: float, needed: float) -> bool:
    """Whether the level part of a riser lacks more than a tape may be wrong by, or is less than none [m].

    Examples
    --------
    >>> too_short(0.0895, 0.09), too_short(0.079, 0.09), too_short(-0.001, 0.0)
    (False, True, True)
    """
    return level < max(needed - risers.BY_TAPE, 0.0) - HAIR
