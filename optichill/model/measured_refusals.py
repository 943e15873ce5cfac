"""What no coil can be, refused with its likely cause: the key, why not, and what would agree."""

from __future__ import annotations

import math

from optichill.display import show
from optichill.model.fields import THICKEST, THINNEST
from optichill.model.measured import Tape, overlaps, short, tight
from optichill.model.tape_slips import across, cause, tube_length

Fault = tuple[str, str, str]
"""Reason, what is allowed, key."""

NARROWEST, WIDEST, STEEPEST = 0.03, 2.0, 0.5
"""Mean diameter and pitch of a coil that is read [m]."""


def impossible(t: Tape, units: str) -> Fault | None:
    """The first thing about the sizes that cannot be, as a fault at its key; None where all can."""
    for look in (_width, _room, _tube, _weight):
        found = look(t, units)
        if found is not None:
            return found
    return None


def _width(t: Tape, units: str) -> Fault | None:
    if tight(t):
        told, tube = across(t.across, units), show(t.d_o, "tube", units)
        why = cause(t, units, f"measure {t.across_key} and outer_diameter again")
        if t.across_key == "mean_diameter":
            return ("too tight for this tube", f"more than 2 outer diameters; {why}", t.across_key)
        least = across(_least(t), units)
        return (f"{told} leaves no turns of {tube} tube", f"more than {least}; {why}", t.across_key)
    if not NARROWEST <= t.mean <= WIDEST:
        low, high = (show(x, "length", units) for x in (NARROWEST, WIDEST))
        side = "too small" if t.mean < NARROWEST else "too large"
        return (side, f"a coil of {low} to {high} from middle to middle of the tube", t.across_key)
    if t.height is not None and t.climb > STEEPEST:
        most = show(STEEPEST, "length", units)
        return (
            f"turns {show(t.climb, 'length', units)} apart",
            f"at most {most}; measure overall_height and turns again",
            "overall_height",
        )
    return None


def _least(t: Tape) -> float:
    """What is written where the mean diameter is two tubes [m]."""
    return t.across + (2.0 * t.d_o - t.mean) * (math.pi if t.across_key == "string_round" else 1.0)


def _room(t: Tape, units: str) -> Fault | None:
    if t.height is None or not overlaps(t):
        return None
    told, least = across(t.height, units), across(t.lowest, units)
    tube = show(t.d_o, "tube", units)
    why = cause(t, units, "count the turns along one side, measure overall_height and outer_diameter again")
    return (
        f"turns would overlap: {t.turns:g} turns of {tube} tube stand {least} where they touch, not {told}",
        f"{least} or more; {why}",
        "overall_height",
    )


def _tube(t: Tape, units: str) -> Fault | None:
    if t.length is None or not short(t):
        return None
    bought, taken = (tube_length(length, units) for length in (t.length, t.takes))
    alone = "turns and risers" if t.takes > t.helix else "the turns alone"
    why = cause(t, units, "measure bought_length, turns and their diameter again")
    return (f"{bought} of tube, but {alone} take {taken}", f"{taken} or more; {why}", "bought_length")


def _weight(t: Tape, units: str) -> Fault | None:
    if t.weight is None or not math.isnan(t.wall):
        return None
    wall = t.wall_by_weight()
    if THINNEST <= wall <= THICKEST:
        return None
    again = (
        "weigh the dry coil without fittings, hose and water, measure bought_length and outer_diameter again"
    )
    why = cause(t, units, again)
    if math.isnan(wall):
        solid = "heavier than a solid rod of this length"
        return (solid, f"the dry coil without its ends; {why}", "weight")
    kilos, length = show(t.weight, "mass", units), show(t.weighed, "long_length", units)
    found, thinnest, thickest = (show(w, "wall", units) for w in (wall, THINNEST, THICKEST))
    return (
        f"{kilos} on {length} of this tube gives a wall of {found}",
        f"a wall of {thinnest} to {thickest}; {why}",
        "weight",
    )
