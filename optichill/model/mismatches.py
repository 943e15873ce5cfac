"""Where sizes of a coil that was measured disagree, though each could be: with the likely cause."""

from __future__ import annotations

import math

from optichill.display import show
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil, widths
from optichill.model.measured import ACROSS, ANY_ROOM, Room, Tape, left_over, mean_of, odd_weight
from optichill.model.tape_slips import across, cause, misnamed, tube_length, weight

OFF = 0.003  # m, the most that two sizes by tape differ by
SEEN = 0.005  # m, the least difference of two lengths that is seen when they are written
AGAIN = "measure again"


def room_of(brewhouse: Brewhouse) -> Room:
    """Of a kettle: a riser goes up its whole height, out to its wall and over the rim."""
    kettle = brewhouse.kettle
    riser = kettle.inside_height + kettle.inside_diameter / 2.0 + brewhouse.workshop.over_the_rim
    return Room(riser, kettle.mouth)


def mismatches(coil: Coil, units: str = "metric", room: Room | None = None) -> tuple[str, ...]:
    """Measured sizes that disagree with the rest: by more than 3 mm, 10 % of weight; tube that is longer than
    what is made of it by 5 %, and that is shorter by all that is seen; tube left for risers beyond what this
    room takes; a tube's size that is no size outside."""
    tape = coil.tape(room or ANY_ROOM)
    said = [*_across(coil, tape, units), *_height(coil, units), *_tube(coil, tape, units)]
    if room is not None:
        said += _left_for_risers(coil, tape, units)
    return tuple(f"coil: {text}" for text in [*said, *_weight(coil, tape, units), *_name(tape, units)])


def _across(coil: Coil, tape: Tape, units: str) -> list[str]:
    """Other ways to have measured the diameter."""
    said = []
    for key, told in widths(coil).items():
        off = mean_of(key, told, coil.outer_diameter) - coil.mean_diameter
        if key != tape.across_key and abs(off) > OFF:
            mine, due = (across(size, units) for size in (told, told - off / ACROSS[key][0]))
            said.append(f"{key} is {mine}, by {tape.across_key} and tube it is {due}: {AGAIN}")
    return said


def _height(coil: Coil, units: str) -> list[str]:
    told = coil.overall_height
    if told is None or abs(told - coil.height) <= OFF:
        return []
    mine, due = (across(size, units) for size in (told, coil.height))
    return [f"overall_height is {mine}, {coil.turns:g} turns of this pitch stand {due}: {AGAIN}"]


def _tube(coil: Coil, tape: Tape, units: str) -> list[str]:
    """Tube that is not what turns and risers take, where both risers are told, or a little short of it."""
    bought = coil.bought_length
    if bought is None or -SEEN <= bought - coil.takes <= 0.05 * bought:
        return []
    pair = [tube_length(length, units) for length in (bought, coil.takes)]
    apart = "water runs as through the first, heat passes as through the second"
    why = cause(tape, units, AGAIN) if left_over(tape) else AGAIN
    return [f"bought_length is {pair[0]}, turns and risers take {pair[1]}; {apart}: {why}"]


def _left_for_risers(coil: Coil, tape: Tape, units: str) -> list[str]:
    """Tube that leaves more for its risers than this kettle can use: sizes that cannot all be true, or ends
    of tube that hang about."""
    if coil.bought_length is None or not tape.free or not left_over(tape):
        return []
    left = (coil.bought_length - tape.takes) / tape.free
    bought, turns, each, most = (
        show(x, "long_length", units) for x in (coil.bought_length, coil.helix_length, left, tape.room.riser)
    )
    which = "the other riser" if tape.free == 1 else "each riser"
    counted = "the turns of both layers" if tape.more else "the turns (a second layer?)"
    again = f"count {counted}, and measure length, turns and {tape.across_key} again"
    untold = [key for key in ("riser_length_in", "riser_length_out") if key not in coil.model_fields_set]
    long = "; or are its ends so long? Then measure them along the tube and write " + " and ".join(untold)
    return [
        f"bought_length is {bought}, the turns take {turns}: {each} would be left for {which}, which takes "
        f"{most} at most in this kettle: {cause(tape, units, again)}{long}"
    ]


def _weight(coil: Coil, tape: Tape, units: str) -> list[str]:
    if coil.weight is None or not odd_weight(tape):
        return []
    mine = weight(coil.weight, units)
    if math.isnan(tape.wall):
        wall, tube = show(coil.wall, "wall", units), show(coil.outer_diameter, "tube", units)
        side = "thick" if coil.wall > 0.1 * coil.outer_diameter else "thin"
        dry = "weigh the dry coil without fittings, hose and water, and measure bought_length again"
        why = cause(tape, units, dry)
        return [f"weight of {mine} gives a wall of {wall}, {side} for tube of {tube}: {why}"]
    due = weight(tape.weighs(), units)
    return [f"weight is {mine}, tube of this wall weighs {due}: {cause(tape, units, AGAIN)}"]


def _name(tape: Tape, units: str) -> list[str]:
    """A plumber's name, or the inside, for the outside of the tube."""
    outside = None if odd_weight(tape) else misnamed(tape)
    if outside is None:
        return []
    wall = tape.wall if not math.isnan(tape.wall) else tape.wall_by_weight()
    told, size, walled = (
        show(tape.d_o, "tube", units),
        show(outside, "tube", units),
        show(wall, "wall", units),
    )
    return [
        f"no copper tube of {told} outside is sold with a wall of {walled}, but tube that is called, or is "
        f'inside, {told} may be {size} outside: outer_diameter = "{size}"? Measure it with a caliper'
    ]
