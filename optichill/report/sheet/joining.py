"""What the coil stands on and what its water comes through: feet, ends, hoses, clamps, tees, in steps.

Every part is named as the bill has it, with how many of it go where.
"""

from __future__ import annotations

import math

from optichill.arrays import Array
from optichill.fabrication.clocking import clock
from optichill.fabrication.scene import Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry import supports
from optichill.problem.plumbing import hoses
from optichill.report.sheet.hose_ends import joint_kinds, joints_wanting
from optichill.report.sheet.marks import letter
from optichill.report.sheet.phrases import called
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import by_hand
from optichill.workshop.fittings import ARMS, PUSHED, TEES

Step = tuple[str, str]

OVERLAP = 0.025
"""How far a hose goes over a tube or barb [m] (common practice, no source)."""

PLACES = "at the start of the lowest turn, a third of a turn on and two thirds of a turn on"


def standing(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    """Feet of three heights, for a helix climbs; or hooks of three lengths; alike layers told once."""
    kettle, d_o = plan.basis.brewhouse.kettle, plan.tube.outer_diameter
    if kettle.coil_rests == "floor":
        return []
    underside, hung = float(plan.placement.lowest[0]) - d_o / 2.0, kettle.coil_rests == "hangs"
    cut, tall = [], []
    for layer in plan.layers:
        heights = supports.foot_heights(underside, layer.pitch)
        drops = kettle.inside_height - heights
        cut.append(_and(sizes, supports.hook_wire(drops, d_o) if hung else supports.foot_wire(heights, d_o)))
        tall.append(_and(sizes, drops if hung else heights))
    wire = f"{_of_each(plan, cut)} of bare stainless wire {sizes.length(supports.FOOT_WIRE)} thick"
    whose = "each layer" if len(plan.layers) == 2 else "the coil"
    if plan.layout.tees:
        whose = "each coil"
    where = f"{PLACES}{_begins(plan)}"
    if hung:
        what = (
            f"Hooks for {whose}: cut {wire}, and bend three hooks that carry the lowest turn "
            f"{_of_each(plan, tall)} below the rim, {where}."
        )
        return [(what, "A helix climbs: hooks of one length would hang it askew.")]
    what = (
        f"Feet for {whose}: cut {wire}; bend each to a U with {sizes.length(supports.TOE)} of foot on the "
        f"floor, its ends one and a half times round the lowest turn: {_of_each(plan, tall)} from the floor "
        f"to the tube, in this order {where}, the way the turns climb. Or plates from the files for "
        "machines, foot 1 to 3 in the same order, each laced to the turn through its two holes."
    )
    spread = any(layer.gap < supports.FOOT_WIRE for layer in plan.layers)
    why = (
        "A helix climbs: on feet of one height it leans. Wort must flow under the coil, and trub stay where "
        "it is." + (" The wire holds the lowest turn open by its own thickness there." if spread else "")
    )
    return [(what, why)]


def _of_each(plan: WorkPlan, told: list[str]) -> str:
    """What is told of every layer: once where it is the same."""
    if len(set(told)) == 1:
        return told[0]
    return ", ".join(f"{text} for the {called(plan, x)}" for text, x in zip(told, plan.layers, strict=True))


def _begins(plan: WorkPlan) -> str:
    """Where the lowest turns of two layers of one tube begin: they climb opposite ways from there."""
    if not plan.layout.crossing:
        return ""
    outer, inner = (letter(plan.pieces[0], place) for place in ("outer first", "inner last"))
    return f" (outer layer: from mark {outer}; inner layer: from mark {inner}, the other way round)"


def _and(sizes: Sizes, lengths: Array) -> str:
    said = [sizes.length(x) for x in lengths.tolist()]
    return f"{', '.join(said[:-1])} and {said[-1]}"


def tubes(plan: WorkPlan) -> list[str]:
    """Names of the tubes' ends."""
    return [f"{name}{second}" for second in ("", " 2")[: len(plan.pieces)] for name in ("IN", "OUT")]


def ends(plan: WorkPlan) -> str:
    """Which joints go on the tube's ends."""
    kinds, pieces = joint_kinds(plan), [i.what for i in plan.bill.items if i.part == "piece"]
    on, where = (
        (" and " if len(plan.pieces) == 1 else ", ").join(tubes(plan)),
        "outside the kettle, never under the wort",
    )
    besides = f" With them what your list has for the ends: {'; '.join(pieces)}." if pieces else ""
    if not kinds:
        return f"Fit the ends: smooth {on}, for hoses go over them, {where}.{besides}"
    each = " and ".join(f"a {kind} end" for kind in kinds)
    return f"Fit the ends, {each} on each of {on}, {where}: lead-free only.{besides}"


def joints(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Step]:
    """Hoses on ends and tap or pump, and between two tubes the tees."""
    tees = _tees(plan, scene, sizes) if plan.layout.tees else []
    return [*tees, _hoses(plan, sizes), *_valve(plan, sizes)]


def _valve(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    """The valve that holds the water back, in the inlet hose and never behind the coil."""
    if not plan.rating.throttled:
        return []
    source = "tap" if plan.basis.brewhouse.draws_from_tap else "pump"
    return [
        (
            f"Fit the inlet valve: cut the inlet hose where a hand reaches it, between {source} and "
            f"{'the IN tee' if plan.layout.tees else 'IN'}, outside the kettle, away from steam and flame. "
            f"Push both ends over the valve's barbs, {sizes.length(OVERLAP)} each, a worm clamp on each; an "
            "arrow on it points to the coil. How far it is opened stands on the brew-day card.",
            "It stands before the coil, never behind it: hot tube with its outlet shut builds up pressure.",
        )
    ]


def _hoses(plan: WorkPlan, sizes: Sizes) -> Step:
    """The inlet hose from tap or pump, and the outlet hose."""
    parts = {item.part for item in plan.bill.items}
    to_in, to_out = ("the IN tee", "the OUT tee") if plan.layout.tees else ("IN", "OUT")
    if plan.basis.brewhouse.draws_from_tap:
        begins = "the tap's union" if "tap union" in parts else "the cold tap"
        breaker = " Screw the vacuum breaker on the tap first, the union on it."
    else:
        begins, breaker = "the pump's outlet", ""
    hot = by_hand.degrees(373.15, sizes.units)
    over = sizes.length(OVERLAP)
    return (
        f"Push the inlet hose on {begins} and on {to_in}, and the outlet hose, rated {hot}, on {to_out}: "
        f"each {over} over what it sits on, softened in hot water, a worm clamp on every end, on a barb "
        f"behind its last ridge, tightened until the hose does not turn.{breaker}",
        "A hose that is loose comes off with near-boiling water in it; a clamp does not make a wide hose "
        "tight." + (" The breaker keeps wort from being drawn into the pipes." if breaker else ""),
    )


def _tees(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Step]:
    """Four short hoses of one length, two to each tee; where each riser stands."""
    arm = hoses(plan.basis).arm
    first = scene.risers[0].angle
    sides = ", ".join(
        f"{riser.name} at {clock((riser.angle - first) % (2.0 * math.pi))}" for riser in scene.risers
    )
    bought = sum(i.quantity for i in plan.bill.items if i.part == "joint" and i.joint != PUSHED)
    on_ends = bought + joints_wanting(plan)
    clamps = f"{TEES * ARMS} on the tees" + (f", {on_ends:.0f} on the ends" if on_ends else "")
    return [
        (
            f"The risers stand, seen from above, {sides}. Cut four hoses of {sizes.length(arm)}, two off the "
            f"inlet and two off the outlet hose. Outside the kettle and round it, join IN and IN 2 with one "
            "tee, OUT and OUT 2 with the other; its third arm takes the hose. A worm clamp on every barb: "
            f"{clamps}.",
            "Each tube takes the water that its own length lets through; equal hoses keep that so. The hose "
            "is long enough for ends that stand on opposite sides.",
        )
    ]
