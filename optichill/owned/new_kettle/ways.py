"""How a coil that exists may stand in another kettle: as it comes, and at other heights, its turns pulled
open or not. One that hangs is hung by its hooks from the new rim, and has no feet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from optichill.display import INCH
from optichill.model.coil import Coil
from optichill.owned import heights as owned
from optichill.owned.new_kettle.kept_coil import (
    HAIR,
    BentRiser,
    hindrances,
    pulled_open,
    set_at,
    too_short,
)
from optichill.problem.basis import DesignBasis
from optichill.problem.placement import fit_checks
from optichill.rating.coil_rating import placed

FINEST = 1e-5
"""Heights under the wort are told to so much [m]: nobody sets a coil finer."""

STEPS = 6
"""Heights between the lowest and the highest that are looked at."""

OPENINGS = (1.25, 1.5, 1.75, 2.0)
"""Pitches that turns are pulled open to, in outside diameters: as wide as a search goes (OWN)."""

OPENED_LEAST = 0.001
"""By so much more a pull between two turns is worth the trouble [m] (OWN)."""


def rests(basis: DesignBasis, coil: Coil) -> str:
    """How a coil stands in its kettle: feet, floor or hangs."""
    return coil.standing.rests or basis.brewhouse.kettle.coil_rests


def as_it_is(old: DesignBasis, new: DesignBasis, coil: Coil) -> Coil:
    """The coil in the new kettle with nothing done to it: on its own feet, on the floor or what lies there,
    or from the rim by its own hooks; one whose hooks are too long for the rim comes to stand on the floor."""
    how, lowest = rests(old, coil), coil.lowest_turn_height
    floor = new.floor_part + coil.outer_diameter / 2.0
    if how == "hangs":
        lowest += new.brewhouse.kettle.inside_height - old.brewhouse.kettle.inside_height
        how = "floor" if lowest < floor else how
    return set_at(coil, floor if how == "floor" else lowest, how)


def moved_by(new: DesignBasis, coil: Coil) -> str:
    """What holds a coil at another height in the new kettle: hooks where it hangs, or the kettle hangs its
    coils; else feet."""
    return "hangs" if "hangs" in (coil.stands, new.brewhouse.kettle.coil_rests) else "feet"


def held_at(coil: Coil) -> float:
    """Height of what feet or hooks hold [m]: the lowest turn, or the top turn of one that hangs."""
    return coil.lowest_turn_height + (_climb(coil) if coil.stands == "hangs" else 0.0)


def raised(coil: Coil, start: Coil) -> float:
    """By how much higher than at the start its feet or hooks hold it [m]; of one that had no hooks, or has
    none any more, by how much higher it stands."""
    if coil.stands == start.stands:
        return held_at(coil) - held_at(start)
    return coil.lowest_turn_height - start.lowest_turn_height


def _climb(coil: Coil) -> float:
    return coil.height - coil.outer_diameter


def heights(basis: DesignBasis, coil: Coil) -> tuple[float, float]:
    """Lowest and highest at which its lowest turn may be [m]: off the floor, and the top turn under the cold
    wort; the same where it is too tall for both."""
    low, high = owned.least(basis, coil.outer_diameter), owned.most(basis, placed(basis, coil)[0])
    # Down to what a file tells, so that no rounding takes what is wished for over the top turn.
    return low, max(low, math.floor(high / FINEST) * FINEST)


def highest(basis: DesignBasis, coil: Coil) -> float:
    """The highest at which its lowest turn may be where the risers ask for it [m]: the top turn just under
    the cold wort; of a coil that is too tall anyhow as much more."""
    return heights(basis, coil)[1] + basis.brewhouse.kettle.top_clearance


def keeps_top(basis: DesignBasis, coil: Coil, beside: Coil | None = None) -> bool:
    """Whether its top turn is as deep under the cold wort as the kettle asks for; beside : or lacks no more
    than the coil lacks like this."""
    then, was = (fit_checks(basis, *placed(basis, x)) for x in (coil, beside or coil))
    if beside is None:
        return not any(then.rows[name].broken[0] for name in owned.TOP)
    return owned.no_worse(then, was, (*owned.TOP, "floor"))


def others(new: DesignBasis, start: Coil, bent: tuple[BentRiser, ...]) -> Iterator[Coil]:
    """The coil as it may stand or hang in the kettle without new tube, also with its turns pulled open; its
    risers reach as they are. start : as it comes."""
    how = moved_by(new, start)
    for pitch in _pitches(new, start):
        opened = start if pitch == start.pitch else pulled_open(start, pitch)
        stays = _held_as(opened, start)
        found = [_set(new, opened, lowest, how) for lowest in _levels(new, opened, bent)]
        for other in [*found, *([stays] if pitch != start.pitch else [])]:
            if not hindrances(new, other) and not too_short(new, other, bent):
                yield other


def _pitches(new: DesignBasis, start: Coil) -> list[float]:
    """Pitches that are looked at: as it is, some that are wider, and the widest that the wort covers, as low
    as the coil may stand and where it stands."""
    d_o, step = start.outer_diameter, STEP[new.brewhouse.units]
    places = (heights(new, start)[0], start.lowest_turn_height)
    # What a hand sets, and a screen tells, is the gap: that is whole.
    widest = [
        d_o + step * math.floor((_covered(new, start, lowest) - d_o) / step + HAIR) for lowest in places
    ]
    wider = {*(d_o + step * round((s - 1.0) * d_o / step) for s in OPENINGS), *widest}
    least, most = start.pitch + OPENED_LEAST - HAIR, max(OPENINGS) * d_o + step / 2.0 + HAIR
    return [start.pitch, *sorted(pitch for pitch in wider if least <= pitch <= most)]


STEP = {"metric": 0.001, "us": INCH / 32.0}
"""In which gaps between turns are set [m]."""


def _covered(new: DesignBasis, start: Coil, lowest: float) -> float:
    """The widest pitch at which the top turn is still as deep as the kettle asks for [m]."""
    turns, pitch = max(layer.turns for layer in start.layers), start.pitch
    for _ in range(3):  # the tube of its risers that is under the wort changes a little with it
        shape = placed(new, pulled_open(start, max(pitch, start.pitch)))[0]
        pitch = max(pitch, start.pitch) + (owned.most(new, shape) - lowest) / turns
        if pitch <= start.pitch:
            return start.pitch
    return pitch


def _set(new: DesignBasis, coil: Coil, lowest: float, how: str) -> Coil:
    """Held so at a height; feet of no height are none."""
    floor = new.floor_part + coil.outer_diameter / 2.0
    return set_at(coil, lowest, "floor" if how == "feet" and lowest <= floor + HAIR else how)


def _held_as(opened: Coil, start: Coil) -> Coil:
    """Pulled open on the same feet, or by the same hooks: one that hangs opens downwards."""
    return set_at(opened, held_at(start) - (held_at(opened) - opened.lowest_turn_height), start.stands)


def _levels(basis: DesignBasis, coil: Coil, bent: tuple[BentRiser, ...]) -> list[float]:
    """Heights that are looked at: all over, and where the risers just come over the rim."""
    low, high = heights(basis, coil)
    reaches = max(reach(basis, coil, bent), low)
    just = [reaches] if reaches <= highest(basis, coil) else []
    return sorted({*np.linspace(low, high, STEPS).tolist(), *just})


def reach(basis: DesignBasis, coil: Coil, bent: tuple[BentRiser, ...]) -> float:
    """Height of the lowest turn [m] from which on every riser comes over the rim of the kettle."""
    lies = basis.brewhouse.kettle.inside_height + coil.outer_diameter / 2.0
    return max(lies - riser.over - (riser.foot(coil) - coil.lowest_turn_height) for riser in bent)
