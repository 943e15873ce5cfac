"""The slips that people make with tape, string and scales, tried one key at a time on sizes that contradict
each other: what mends them all is the likely cause.

Three tiers, the first that explains anything is told: mistakes that have a name (turns counted on both
sides, a radius, a string's length for a width, a plumber's name for the outside); a size that is a little
off; another unit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from optichill.display import FOOT, INCH, POUND, inch_fraction, show, trim
from optichill.model.measured import (
    ACROSS,
    Tape,
    broken,
    left_over,
    odd_weight,
    overlaps,
    short,
)
from optichill.model.tube_sizes import SOLD, called, of_outside

NEAR, NEAR_TUBE, NEAR_LENGTH, NEAR_WEIGHT = 0.10, 0.30, 0.15, 0.30
"""Shares by which a width or height, a tube's size, a length or a weight is off by mere measuring (OWN): more
is another mistake. A weight has fittings, hose and water on it."""
MISCOUNT, MISCOUNT_SHARE = 1.0, 0.2
"""Turns by which people miscount: one, or of many a share (OWN)."""
FEWEST_TURNS = 0.5
"""That a coil can be said to have: fewer would be refused once they were written."""
OTHER_WALL, WALL_SOLD = 0.05, 0.12
"""Of the metal's area: a sold wall that comes so near is the likely one; and of a wall, so near it is one
that is sold (OWN)."""
LAYER_APART = 0.010
"""Between the layers of a coil that has two [m]."""
WINDABLE, LEAST_INSIDE, MOST_INSIDE = 8.0, 0.75, 1.25
"""Of a second layer inside: radius of its turns over the tube's diameter, at least, and its turns over those
outside, at least and at most (OWN)."""


@dataclass(frozen=True)
class Slip:
    """One key, the value [SI] at which all agrees (with more: that and what lies beyond), and how the slip
    comes about; value nan where it is no single size. text : instead of key and value. sizes : lengths with
    their kinds, for how and text."""

    key: str
    value: float
    how: str = ""
    more: str = ""
    text: str = ""
    sizes: tuple[tuple[float, str], ...] = ()


Tries = Iterator[tuple[Slip, Tape]]
Tier = tuple[Callable[[Tape], Tries], ...]


def slips(t: Tape, units: str) -> list[Slip]:
    """Each key that alone explains the sizes, once, likeliest first; empty where none does. units : "metric"
    or "us", in which they were written."""
    mine = broken(t)
    may_stay = mine & {"wide"}
    last: Tier = (partial(_other_units, units=units),)
    for tier in (*TIERS, last):
        found: dict[str, Slip] = {}
        for tries in tier:
            for slip, mended in tries(t):
                if slip.key not in found and broken(mended) <= may_stay:
                    found[slip.key] = slip
        if found:
            return list(found.values())
    return []


def cause(t: Tape, units: str, otherwise: str) -> str:
    """What most likely went wrong, as the end of a sentence; `otherwise` where no one key explains it."""
    found = [_told(slip, units) for slip in slips(t, units)]
    if not found:
        return otherwise
    if len(found) == 1:
        return f"most likely {found[0]}: measure again"
    return f"any one of these would explain it: {'; '.join(found)}: measure again"


# --- mistakes that have a name -----------------------------------------------------------------------------


def _counted_twice(t: Tape) -> Tries:
    if t.turns / 2.0 >= FEWEST_TURNS:
        yield (
            Slip("turns", t.turns / 2.0, "were they counted on both sides?"),
            replace(t, turns=t.turns / 2.0),
        )


def _radius(t: Tape) -> Tries:
    if t.across_key != "string_round":
        wide = 2.0 * t.across
        yield Slip(t.across_key, wide, "is it measured from the middle?"), replace(t, across=wide)


def _string(t: Tape) -> Tries:
    """A string's length for the width, or the other way round."""
    if t.across_key == "outside_across":
        other, how = "string_round", "is it the way round the coil?"
    elif t.across_key == "string_round":
        other, how = "outside_across", "is it the width, not the way round?"
    else:
        return
    yield Slip(other, t.across, how), replace(t, across_key=other)


def _plumbers_name(t: Tape) -> Tries:
    """The name of a size, or its inside, for the outside: only a weight that is odd tells it."""
    if not (t.plumbing and odd_weight(t)):
        return
    area = (t.weight or 0.0) / (math.pi * t.density * t.weighed)
    for tube in called(t.d_o):
        if math.isnan(t.wall) and abs(tube.area / area - 1.0) > WALL_SOLD:
            continue
        sizes = ((t.d_o, "tube"), (tube.outside, "tube"))
        slip = Slip("outer_diameter", tube.outside, MISNAMED, sizes=sizes)
        yield slip, replace(t, d_o=tube.outside)


MISNAMED = "tube that is called, or is inside, {} may be {} outside"


def misnamed(t: Tape) -> float | None:
    """Outside diameter [m] of tube that is called by the size told, or is that inside, where no tube of that
    outside is sold with this wall and one so called is; None where nothing says so."""
    told = not math.isnan(t.wall)
    wall = t.wall if told else (t.wall_by_weight() if t.weight is not None else math.nan)
    sold = [tube for tube in of_outside(t.d_o) if abs(wall / tube.wall - 1.0) < WALL_SOLD]
    if math.isnan(wall) or sold or not t.plumbing:
        return None
    area = wall * (t.d_o - wall)
    near = [abs(x.wall / wall - 1.0) if told else abs(x.area / area - 1.0) for x in called(t.d_o)]
    off, tube = min(zip(near, called(t.d_o), strict=True), key=lambda pair: pair[0], default=(1.0, None))
    return tube.outside if tube is not None and off < OTHER_WALL else None


def _second_layer(t: Tape) -> Tries:
    """Turns of a layer inside that nobody counted: as many as outside, or as the tube that is left makes."""
    inner = t.mean - 2.0 * (t.d_o + LAYER_APART)
    if t.length is None or t.more or not left_over(t) or inner < 2.0 * WINDABLE * t.d_o:
        return
    around = math.hypot(math.pi * inner, t.climb)
    left = t.length - t.takes
    turns = min(max(t.turns, (left - t.free * t.room.riser) / around), left / around)
    if LEAST_INSIDE <= turns / t.turns <= MOST_INSIDE:
        text = f"a second layer of about {turns:.0f} turns inside (then write both as [[coil.layer]])"
        yield Slip("layer", math.nan, text=text), replace(t, more=turns * around)


# --- a size that is a little off ---------------------------------------------------------------------------


def _miscounted(t: Tape) -> Tries:
    most = max(MISCOUNT, MISCOUNT_SHARE * t.turns)
    for half in range(1, int(2.0 * most) + 1):
        for turns in (t.turns - half / 2.0, t.turns + half / 2.0):
            if turns >= FEWEST_TURNS:
                yield Slip("turns", turns, "miscounted?"), replace(t, turns=turns)


def _tube_of_turns(t: Tape) -> float | None:
    """Tube that the turns should be [m], where length contradicts them."""
    if t.length is None or not (short(t) or left_over(t)):
        return None
    known = t.takes - t.helix
    return t.length - known - (0.0 if short(t) else t.free * t.room.riser)


def _across_off(t: Tape) -> Tries:
    wanted = _tube_of_turns(t)
    if wanted is None or wanted <= t.more:
        return
    around = ((wanted - t.more) / t.turns) ** 2 - t.climb**2
    if around <= 0.0:
        return
    times, tubes = ACROSS[t.across_key]
    value = (math.sqrt(around) / math.pi - tubes * t.d_o) / times
    if abs(value / t.across - 1.0) <= NEAR:
        yield Slip(t.across_key, value, more=_beyond(t)), replace(t, across=value)


def _beyond(t: Tape) -> str:
    """Which way a size may go on from where it just agrees."""
    return ("or less" if short(t) else "or more") if t.free else ""


def _length_off(t: Tape) -> Tries:
    if t.length is None or not (short(t) or left_over(t)):
        return
    if t.weight is not None and odd_weight(t) and not math.isnan(t.wall):
        length = t.length * t.weight / t.weighs()
        yield Slip("bought_length", length, "as it weighs"), replace(t, length=length)
    length = t.takes + (0.0 if short(t) else t.free * t.room.riser)
    if abs(length / t.length - 1.0) <= NEAR_LENGTH:
        more = ("or more" if short(t) else "or less") if t.free else ""
        yield Slip("bought_length", length, more=more), replace(t, length=length)


def _risers_off(t: Tape) -> Tries:
    """Risers that are told, and are not as long as that."""
    if t.length is None or t.free or not (short(t) or left_over(t)):
        return
    both = t.length - t.helix
    ends = 2.0 * t.tubes
    if 0.0 <= both <= ends * t.room.riser:
        each = both / ends
        text, sizes = "riser_length_in and riser_length_out = {} each", ((each, "tube_length"),)
        yield Slip("risers", each, text=text, sizes=sizes), replace(t, risers=(each, each))


def _height_off(t: Tape) -> Tries:
    if t.height is not None and overlaps(t) and t.lowest <= (1.0 + NEAR) * t.height:
        yield Slip("overall_height", t.lowest, more="or more"), replace(t, height=t.lowest)


def _tube_off(t: Tape) -> Tries:
    """A thinner tube, where turns have no room."""
    if t.height is None or not overlaps(t):
        return
    d_o = t.height / (t.turns + 1.0)
    if d_o >= (1.0 - NEAR_TUBE) * t.d_o:
        smaller = [tube.outside for tube in SOLD if 0.97 * d_o < tube.outside <= 1.03 * d_o]
        size = max(smaller, default=d_o)
        how = "is it the tube's size outside?"
        yield Slip("outer_diameter", size, how, "" if smaller else "or less"), replace(t, d_o=size)


def _weight_off(t: Tape) -> Tries:
    if t.weight is None or math.isnan(t.wall) or not odd_weight(t):
        return
    due = t.weighs()
    if abs(due / t.weight - 1.0) <= NEAR_WEIGHT:
        how = "was it weighed with fittings, hose or water?" if due < t.weight else "was all of it weighed?"
        yield Slip("weight", due, how), replace(t, weight=due)


def _other_wall(t: Tape) -> Tries:
    """A wall that tube of this size is sold with."""
    if t.weight is None or math.isnan(t.wall) or not odd_weight(t):
        return
    area = t.weight / (math.pi * t.density * t.weighed)
    for tube in of_outside(t.d_o):
        if abs(tube.area / area - 1.0) <= OTHER_WALL:
            yield Slip("wall", tube.wall), replace(t, wall=tube.wall)


# --- another unit ------------------------------------------------------------------------------------------


def _other_units(t: Tape, units: str) -> Tries:
    """Each size as it would be, had it been read off in the units that its file does not have."""
    us = units == "us"
    if t.length is not None:
        length = t.length / FOOT if us else t.length * FOOT
        how = "metres, not feet?" if us else "feet, not metres?"
        yield Slip("bought_length", length, how), replace(t, length=length)
    if t.weight is not None:
        weight = t.weight / POUND if us else t.weight * POUND
        how = "kilograms, not pounds?" if us else "pounds, not kilograms?"
        yield Slip("weight", weight, how), replace(t, weight=weight)
    times = 0.01 / INCH if us else INCH / 0.01
    how = "centimetres, not inches?" if us else "inches, not centimetres?"
    yield Slip(t.across_key, t.across * times, how), replace(t, across=t.across * times)
    if t.height is not None:
        yield Slip("overall_height", t.height * times, how), replace(t, height=t.height * times)


TIERS: tuple[Tier, ...] = (
    (_counted_twice, _radius, _string, _plumbers_name, _second_layer, _weight_off, _other_wall),
    (_miscounted, _across_off, _height_off, _tube_off, _length_off, _risers_off),
)
"""Likeliest first; last of all `_other_units`."""


# --- in words ----------------------------------------------------------------------------------------------


def _told(slip: Slip, units: str) -> str:
    """Such as `turns = 9 (miscounted?)`, as a line of the file has it."""
    sizes = [SAID[kind](metres, units) for metres, kind in slip.sizes]
    if slip.text:
        return slip.text.format(*sizes)
    more = f" {slip.more}" if slip.more else ""
    return f"{slip.key} = {_value(slip, units)}{more}" + (f" ({slip.how.format(*sizes)})" if slip.how else "")


def _value(slip: Slip, units: str) -> str:
    if slip.key == "turns":
        return f"{slip.value:g}"
    return '"' + SAID.get(slip.key, across)(slip.value, units) + '"'


def across(metres: float, units: str) -> str:
    """A size to be measured again across the coil."""
    return inch_fraction(metres) if units == "us" else f"{trim(metres * 1e3, 1)} mm"


def tube_length(metres: float, units: str) -> str:
    """A length to be measured again, finely enough to see the difference."""
    return f"{metres / FOOT:.1f} ft" if units == "us" else f"{metres:.2f} m"


def weight(kilograms: float, units: str) -> str:
    """What the scales said, or should say."""
    return f"{kilograms / POUND:.2f} lb" if units == "us" else f"{kilograms:.2f} kg"


def _tube(metres: float, units: str) -> str:
    return show(metres, "tube", units)


SAID: dict[str, Callable[[float, str], str]] = {
    "bought_length": tube_length,
    "tube_length": tube_length,
    "weight": weight,
    "outer_diameter": _tube,
    "tube": _tube,
    "wall": lambda metres, units: show(metres, "wall", units),
}
"""How a key's value is written; sizes across the coil where nothing is said."""
