"""More tube on risers that are too short for the new kettle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from optichill.geometry import helix, risers, springback
from optichill.geometry.riser_bends import BY_HAND
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.stock import Tube
from optichill.owned.new_kettle import kept_coil, ways
from optichill.owned.new_kettle.kept_options import BENT_ANEW, SET_OTHERWISE, Kept, riser_lengths
from optichill.owned.new_kettle.option import LeftOut, Option, Work, purchases, wire_for, worked_out
from optichill.owned.new_kettle.rolls import cheapest_roll
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import roll_of
from optichill.problem.riser_tools import riser_tools
from optichill.workshop import difficulty

STRAIGHTENED, JOINED = 1.0, 0.5
"""Hours to straighten one riser at the rim and bend it anew; and to solder new tube on (OWN)."""

JOINT_OVER_RIM = risers.ABOVE_RIM
"""How far over the rim old tube must reach to be joined there [m] (OWN)."""


def extend(of: Kept) -> Option | LeftOut:
    """More tube on risers that are too short: each is straightened at the rim and joined over it."""
    start = of.as_it_is
    if kept_coil.hindrances(of.new, start) or _held_up(
        of, start
    ):  # as it comes it does not stand in the wort
        start = kept_coil.set_at(start, ways.heights(of.new, of.coil)[1])
    short = [one for one in kept_coil.too_short(of.new, start, of.bent) if one[1].name != "riser_height"]
    if not short:
        return LeftOut("extend", "reaches")
    if not of.coil.metal.bent_freehand:
        return LeftOut("extend", "not_by_hand")
    longer = list(_longer(of))
    if not longer:
        best = max((_over_rim(of, coil) for coil in _everywhere(of)), default=-np.inf)
        if not -np.inf < best < JOINT_OVER_RIM:
            return LeftOut("extend", "no_height")
        return LeftOut("extend", "joint_below", {"short": JOINT_OVER_RIM - best})
    timed = [(of.time_of(coil), coil, needs) for coil, needs in longer]
    time, coil, needs = min(timed, key=lambda way: (way[0], way[2]))
    if time == np.inf:
        return LeftOut("extend", "target")
    bends = len(short) if LAYOUTS[coil.layout].tubes == 1 else len(of.bent)
    bill = wire_for(of.new, coil, feet=True, lacing=False)
    tube = cheapest_roll(of.new.stock, coil, needs)
    joints = 0 if needs < BENT_ANEW else bends
    if joints and tube is None:
        return LeftOut("extend", "no_tube")
    texts = {}
    if joints and tube is not None:
        bill = replace(bill, items=(*purchases(roll_of(tube)), *bill.items))
        texts["roll"] = tube.stock_id
    hard = None if tube is None else _bending(of.new, tube, needs, bends, joints)
    work = Work(SET_OTHERWISE + STRAIGHTENED * bends + JOINED * joints, hard, winds=False)
    sizes = {"tube": needs if joints else 0.0, "bends": float(bends), "joints": float(joints)}
    sizes |= of.standing(coil)
    return worked_out("extend", of.new, coil, bill, work, sizes=sizes, texts=texts)


def _held_up(of: Kept, coil: Coil) -> bool:
    """Whether it stands so high, where it comes to stand, that its top turn is not as deep under the wort as
    the kettle asks for: its risers reach only from there."""
    return coil.lowest_turn_height > ways.heights(of.new, of.coil)[1] + HELD_UP and not ways.keeps_top(
        of.new, coil
    )


HELD_UP = 0.005
"""Higher by less, nobody would set it lower [m] (OWN)."""


def _everywhere(of: Kept) -> Iterable[Coil]:
    """The coil at every height at which its turns are free and under the wort."""
    low, high = ways.heights(of.new, of.coil)
    for lowest in np.linspace(low, high, ways.STEPS).tolist():
        coil = kept_coil.set_at(of.coil, lowest, ways.moved_by(of.new, of.as_it_is))
        if not kept_coil.hindrances(of.new, coil):
            yield coil


def _over_rim(of: Kept, coil: Coil) -> float:
    """How far the least of its risers that must be joined reaches over the rim, straightened [m]."""
    rim = of.new.brewhouse.kettle.inside_height
    short = kept_coil.too_short(of.new, coil, of.bent)
    if any(found.name == "riser_height" for _, found in short):
        return -np.inf
    return min((riser.foot(coil) + riser.straight - rim for riser, _ in short), default=np.inf)


def _longer(of: Kept) -> Iterable[tuple[Coil, float]]:
    """The coil with risers as long as the new kettle takes, and how much tube that is more [m]."""
    for coil in _everywhere(of):
        if _over_rim(of, coil) < JOINT_OVER_RIM:
            continue
        names = {riser.name for riser, _ in kept_coil.too_short(of.new, coil, of.bent)}
        new = riser_lengths(of.new, coil)
        old = (coil.riser_length_in, coil.riser_length_out)
        long = [max(n, o) if name in names else o for name, n, o in zip(("IN", "OUT"), new, old, strict=True)]
        more = max((sum(long) - sum(old)) * LAYOUTS[coil.layout].tubes, 0.0)
        whole = None if coil.bought_length is None else coil.bought_length + more
        update = {"riser_length_in": long[0], "riser_length_out": long[1], "bought_length": whole}
        longer = kept_coil.in_a_file(coil.model_copy(update=update))
        if not kept_coil.hindrances(of.new, longer):
            yield longer, more


def _bending(basis: DesignBasis, tube: Tube, length: float, bends: int, joints: int) -> float:
    """How hard it is to bend the ends anew and to join what is missing of them [0-10]."""
    tool, metal = riser_tools(tube, basis.stock)[0], tube.metal
    by_hand = tool.kind == "hand"
    bend = difficulty.bend_factor(metal.bend_hardness, tube.outer_diameter, tube.wall, tool.radius, np.pi / 2)
    bore = float(helix.inside_diameter(tube.outer_diameter, tube.wall))
    job = difficulty.Job(
        rho_coil=np.inf,
        rho_bends=BY_HAND if by_hand else np.inf,
        moment=springback.full_plastic_moment(
            tube.outer_diameter, bore, springback.flow_stress(metal, False)
        ),
        length=length,
        growth=0.0,
        bends=2.0 * bends * float(bend),  # one is straightened, one is made
        tool_fits=not by_hand,
        joints=joints * difficulty.JOINTS["solder"],
    )
    return float(difficulty.score(difficulty.difficulty_terms(job)))
