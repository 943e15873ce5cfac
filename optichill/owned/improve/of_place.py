"""Changes of the coil as it stands: higher or lower, pulled open.

Nothing is proposed that leaves the top turn less than the kettle's `top_clearance` under the smallest batch
when cold, the lowest turn nearer to the floor than asked for, or an end of the coil short of the rim.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from optichill.display import INCH
from optichill.geometry.risers import BY_TAPE
from optichill.model.coil import Coil, CoilLayer, widths
from optichill.model.stands import hung
from optichill.owned import heights as owned
from optichill.owned.improve.changes import BREWHOUSE, COIL, Change, Edit, length, table_of
from optichill.owned.improve.of_wort import Ways
from optichill.owned.improve.seen import Seen
from optichill.problem import placement
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import wire
from optichill.problem.plumbing import fittings, hoses
from optichill.search.done_otherwise import STEP as ABOVE
from optichill.units import parse
from optichill.workshop.fittings import cheapest_end_set

SEEN = 0.010
"""Moved by less, nobody would see it [m] (OWN)."""
HOURS = 0.5
"""Of work to set other feet, or to pull a coil open and lace it anew (OWN)."""
STEP = {"metric": 0.001, "us": INCH / 16.0}
"""In which sizes are set by hand [m]."""


def of_the_place(now: Seen) -> list[Ways]:
    """All that there is to do about how it stands."""
    low, high = heights(now)
    out = now.coil.lowest_turn_height + max(now.ends_short)
    above = [h for h in _above_what_it_hits(now) if low <= h <= high]
    places = (out,) if now.hangs_in and low <= out <= high else (low, high)  # so high that its ends come out
    places = (*places, *above)  # no taller than it has to be
    moved = [h for h in places if abs(h - now.coil.lowest_turn_height) >= SEEN]
    return [
        [_stood(now, h) for h in moved if _reaches_out(now, h)],
        _opened(now, low),
        _unwound(now),
    ]


def heights(now: Seen) -> tuple[float, float]:
    """The lowest and the highest that the lowest turn may stand [m]; the second below the first where the
    wort is too shallow for the coil."""
    return owned.least(now.basis, now.coil.outer_diameter), owned.most(now.basis, now.shape)


def _above_what_it_hits(now: Seen) -> list[float]:
    """Where its lowest turn stands just above all that its turns would hit at the wall [m]; none where they
    hit nothing."""
    tops = [part.height for part in now.in_the_turns]
    step = ABOVE[now.inputs.brewhouse.units]
    if not tops:
        return []
    feet = step * (math.floor(max(tops) / step + BY_ROUNDING) + 1)
    return [feet + now.coil.outer_diameter / 2.0]


def _stood(now: Seen, height: float) -> Change:
    """At another height; one that lay on the floor gets feet."""
    # To the side that keeps what it is for.
    up = now.hangs_in or bool(now.in_the_turns) or height < now.coil.lowest_turn_height
    edits, at = _lines_of(now, height, now.coil.height - now.coil.outer_diameter, up=up)
    if now.rests == "floor" and now.coil.standing.asked:
        edits.append(Edit(BREWHOUSE, "kettle", "coil_rests", "feet"))
    by = at - now.coil.lowest_turn_height
    told = {"by": by, "at": at, "under": at - now.coil.outer_diameter / 2.0, "rests": now.rests}
    buys = _wire(now, at) if by > 0.0 and now.rests != "hangs" else 0.0
    return Change("stand", tuple(edits), told, buys, HOURS)


def _lines_of(now: Seen, height: float, climb: float, *, up: bool) -> tuple[list[Edit], float]:
    """The lines in which the coil's file tells that its lowest turn stands at a height, as it tells it now,
    and the height that they tell [m]; climb : of its turns, centre to centre [m]."""
    coil, units, told = now.coil, now.inputs.brewhouse.units, now.coil.standing
    d_o, rim = coil.outer_diameter, now.inputs.brewhouse.kettle.inside_height
    if told.below_rim is not None:
        written = length(hung(height, rim, climb, d_o), units, up=not up)  # its own inverse
        edits = [Edit(COIL, "coil", "hangs_below_rim", written)]
        at = hung(parse(written, "length"), rim, climb, d_o)
    elif told.feet is not None or told.stands in ("feet", "floor"):
        written = length(height - d_o / 2.0, units, up=up)
        edits = [Edit(COIL, "coil", "feet_height", written)]
        at = parse(written, "length") + d_o / 2.0
        if told.stands == "floor":
            edits.append(Edit(COIL, "coil", "stands", "feet"))
    else:
        written = length(height, units, up=up)
        return [Edit(COIL, "coil", "lowest_turn_height", written)], parse(written, "length")
    if told.lowest is not None:
        edits.insert(0, Edit(COIL, "coil", "lowest_turn_height", None))
    return edits, at


def _reaches_out(now: Seen, height: float) -> bool:
    """Whether its risers, as long as they are, still bring their ends past the rim from a height [m]."""
    if height >= now.coil.lowest_turn_height:
        return True
    needed = now.risers_due(height)
    return now.coil.riser_length_in >= needed[0] and now.coil.riser_length_out >= needed[1]


def _wire(now: Seen, lowest: float, pitch: float | None = None) -> float:
    """Price of the wire for feet of that height, or that laces the turns anew at a pitch [money]."""
    coil, basis = now.coil, _on_feet(now.basis) if pitch is None else now.basis
    ends = cheapest_end_set(fittings(basis), coil.outer_diameter, hoses(basis), 1, coil.metal.wire)
    laced = [wire(basis, coil.outer_diameter, lowest, x.turns, pitch or x.pitch) for x in coil.layers]
    lacing, feet = (float(sum(lengths)) for lengths in zip(*laced, strict=True))
    return ends.feet_per_metre * feet if pitch is None else ends.lacing_per_metre * lacing


def _on_feet(basis: DesignBasis) -> DesignBasis:
    """The same kettle with its coil on feet: one that lies on the floor has none to begin with."""
    kettle = basis.brewhouse.kettle.model_copy(update={"coil_rests": "feet"})
    return basis.restated(brewhouse=basis.brewhouse.model_copy(update={"kettle": kettle}))


# --- ends that hang in the kettle ------------------------------------------------------------------


def _unwound(now: Seen) -> Ways:
    """Whole turns unwound at an end that hangs in the kettle: its riser grows, of the same tube, without a
    joint. Nobody straightens stainless."""
    coil, units = now.coil, now.inputs.brewhouse.units
    if not now.hangs_in or len(coil.layers) > 1 or not coil.metal.bent_freehand:
        return []
    turn = coil.helix_length / coil.turns
    wound_off = [math.ceil(lack / turn) if lack > BY_TAPE else 0 for lack in now.ends_short]
    turns = coil.turns - sum(wound_off)
    if turns < FEWEST:
        return []
    edits = [Edit(COIL, "coil", "turns", turns)]
    for n, key in zip(wound_off, ("riser_length_in", "riser_length_out"), strict=True):
        if n and (key in coil.model_fields_set or coil.bought_length is None):
            edits.append(Edit(COIL, "coil", key, length(getattr(coil, key) + n * turn, units)))
    if coil.overall_height is not None:
        tall = turns * coil.pitch + coil.outer_diameter
        edits.append(Edit(COIL, "coil", "overall_height", length(tall, units, up=True)))
    if coil.standing.below_rim is not None:
        edits += _lines_of(now, coil.lowest_turn_height, turns * coil.pitch, up=True)[0]
    told = {"in": wound_off[0], "out": wound_off[1], "turns": turns}
    return [Change("longer risers", tuple(edits), told, 0.0, UNWINDING)]


FEWEST = 2.0
"""Turns that are left at least."""
UNWINDING = 1.0
"""Hours to unwind turns and bend risers of them (OWN)."""


# --- pulled open -----------------------------------------------------------------------------------


def _opened(now: Seen, low: float) -> Ways:
    """The same tube with its turns farther apart: as far as the wort covers it, half way there, and the
    least gap that the workshop asks for; where it stands, and as low as it may."""
    coil, ways = now.coil, []
    places = [coil.lowest_turn_height]
    if coil.lowest_turn_height - low >= SEEN and _reaches_out(now, low):
        places.append(low)
    for height in places:
        most, step = coil.pitch + _most_open(now, height), STEP[now.inputs.brewhouse.units]
        for pitch, up in _pitches(now, most):
            if pitch >= coil.pitch + step - BY_ROUNDING:
                ways.append(_pulled(now, pitch, None if height == places[0] else height, up=up))
    return ways


BY_ROUNDING = 1e-6
"""What rounding takes of a size that is whole [m]."""


def _pitches(now: Seen, most: float) -> list[tuple[float, bool]]:
    """Pitches [m] worth a look, the widest first, each as a hand can set it, and whether it was rounded up:
    the most there is room for, half way there, and the least gap that the workshop asks for."""
    coil, units = now.coil, now.inputs.brewhouse.units

    def whole(pitch: float, *, up: bool = False) -> float:
        return parse(length(pitch, units, up=up), "length")

    least = whole(coil.outer_diameter + now.inputs.brewhouse.workshop.smallest_gap, up=True)
    found = {whole(most): False, whole(0.5 * (coil.pitch + most)): False}
    found |= {least: True} if coil.pitch < least <= most else {}
    return sorted(found.items(), reverse=True)


def _most_open(now: Seen, height: float) -> float:
    """By how much the pitch may grow with the lowest turn at a height [m]."""
    turns = max(layer.turns for layer in now.coil.layers)
    wider = 0.0
    for _ in range(3):  # the tube of its risers that is under the wort changes a little with it
        wider += (owned.most(now.basis, _wider(now.shape, wider)) - height) / turns
        if wider <= 0.0:
            return 0.0
    return wider


def _wider(shape: placement.Shape, by: float) -> placement.Shape:
    inner = None if shape.pitch_in is None else shape.pitch_in + by
    return replace(shape, pitch=shape.pitch + by, pitch_in=inner)


def _pulled(now: Seen, pitch: float, height: float | None, *, up: bool) -> Change:
    """Every turn wider, its tube as long as it was: one that climbs more goes less far round. pitch : of the
    outer layer then [m], height : of the lowest turn, None where it stays; up : a room is to be kept, sizes
    are rounded up."""
    coil, units = now.coil, now.inputs.brewhouse.units
    edits: list[Edit] = []
    if len(coil.layers) > 1:
        by = pitch - coil.pitch
        opened = [_opened_helix(now, x, x.pitch + by, up=up) for x in coil.layers]
        tables = [table_of(x, units) | then for x, (then, _) in zip(coil.layers, opened, strict=True)]
        edits.append(Edit(COIL, "", "coil.layer", tables))
    else:
        opened = [_opened_helix(now, coil, pitch, up=up)]
        edits += [Edit(COIL, "coil", key, value) for key, value in opened[0][0].items()]
    climb = max(x.turns * then for x, (_, then) in zip(coil.layers, opened, strict=True))
    stands = coil.lowest_turn_height if height is None else height
    if height is not None or coil.standing.below_rim is not None:
        lines, stands = _lines_of(now, stands, climb, up=True)
        edits += lines
    d_o, then = coil.outer_diameter, opened[0][1]
    told: dict[str, Any] = {"gap": then - d_o, "was": coil.pitch - d_o, "at": height, "tall": climb + d_o}
    told["hooks"] = stands + climb - (coil.lowest_turn_height + coil.height - d_o)
    told["below"] = now.inputs.brewhouse.kettle.inside_height - (stands + climb + d_o / 2.0)
    told["rests"] = now.rests
    return Change("pull open", tuple(edits), told, _wire(now, coil.lowest_turn_height, then), HOURS)


def _opened_helix(
    now: Seen, helix: Coil | CoilLayer, pitch: float, *, up: bool
) -> tuple[dict[str, str], float]:
    """The lines that open one helix to a pitch [m], in the terms in which its file tells it, and the pitch
    that they tell."""
    units, d_o, step = now.inputs.brewhouse.units, now.coil.outer_diameter, STEP[now.inputs.brewhouse.units]
    written, pitch = {}, parse(length(pitch, units, up=up), "length")
    if "pitch" in helix.model_fields_set or helix.overall_height is None:
        written["pitch"] = length(pitch, units)
    if helix.overall_height is not None:
        written["overall_height"] = length(helix.turns * pitch + d_o, units, up=up)
        if "pitch" not in written:
            pitch = (parse(written["overall_height"], "length") - d_o) / helix.turns
    round_it = (math.pi * helix.mean_diameter) ** 2 + helix.pitch**2 - pitch**2
    less = helix.mean_diameter - math.sqrt(max(round_it, 0.0)) / math.pi
    if less >= 0.5 * step:  # else no tape would see it
        for key, told in widths(helix).items():
            taken = math.pi * less if key == "string_round" else less
            written[key] = length(told - taken + 0.5 * step, units)
    return written, pitch
