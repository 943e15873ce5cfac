"""Where the marks go on the straight tube before it is wound, and what each piece between them becomes.

Distances run along the tube from the end that water goes in at. The pieces add up to the cut length; the form
changes how many turns a length makes, never the length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate

from optichill.geometry.risers import ABOVE_RIM, TRIM

TRIM_CUT, LEVEL, RIM_BEND, UPRIGHT, FOOT_BEND, TURN, CROSSING = (
    "trim", "level", "rim bend", "upright", "foot bend", "turn", "crossing",
)  # fmt: skip
"""What a piece of tube becomes."""


@dataclass(frozen=True)
class Riser:
    """One riser from the turns over the rim, both bends square.

    name : "IN" or "OUT". foot : height of its turn above the kettle floor, tube centre; bend_radius;
    upright : straight between the bends, below 0 where they do not fit; level : straight from the rim bend to
    the end, below 0 where the tube is too short [m].
    """

    name: str
    foot: float
    bend_radius: float
    upright: float
    level: float

    @classmethod
    def of_length(cls, name: str, length: float, foot: float, rim: float, bend_radius: float) -> Riser:
        """The riser that a length of tube makes, without trim [m]; rim : inside height of the kettle."""
        upright = rim + ABOVE_RIM - foot - 2.0 * bend_radius
        return cls(name, foot, bend_radius, upright, length - math.pi * bend_radius - upright)

    @property
    def arc(self) -> float:
        """Tube in one bend [m]."""
        return math.pi / 2.0 * self.bend_radius

    @property
    def length(self) -> float:
        """Tube of the riser without trim [m]."""
        return self.level + self.upright + 2.0 * self.arc

    @property
    def pieces(self) -> tuple[tuple[str, float], ...]:
        """What it becomes, from its outer end to the turns."""
        return ((LEVEL, self.level), (RIM_BEND, self.arc), (UPRIGHT, self.upright), (FOOT_BEND, self.arc))


@dataclass(frozen=True)
class Segment:
    """A piece of tube: what it becomes, of which riser or layer, how long [m]; number : of the turn, from 1;
    part : how much of a turn it makes on the form."""

    what: str
    of: str
    length: float
    number: int = 0
    part: float = 1.0


@dataclass(frozen=True)
class MarkOut:
    """The pieces of one tube in order."""

    segments: tuple[Segment, ...]

    @property
    def cut_length(self) -> float:
        """All of the tube, trim included [m]."""
        return sum(s.length for s in self.segments)

    @property
    def ends(self) -> tuple[float, ...]:
        """Where each piece ends, from the IN end [m]: the marks."""
        return tuple(accumulate(s.length for s in self.segments))

    @property
    def possible(self) -> bool:
        """Whether every piece has a length at all."""
        return all(s.length >= 0.0 for s in self.segments)

    def grouped(self) -> MarkOut:
        """The same with all turns of a layer as one piece: the few marks that are used at the bench."""
        found: list[Segment] = []
        for s in self.segments:
            last = found[-1] if found else None
            if last is not None and last.what == s.what == TURN and last.of == s.of:
                found[-1] = Segment(TURN, s.of, last.length + s.length, s.number, last.part + s.part)
            else:
                found.append(s)
        return MarkOut(tuple(found))

    def rounded(self, step: float) -> MarkOut:
        """With every mark moved to the nearest step [m]. The distances are rounded, not the pieces, so that
        no error adds up; the pieces are what lies between, and still sum to the last mark."""
        marks = [step * round(end / step) for end in self.ends]
        lengths = [b - a for a, b in zip([0.0, *marks], marks, strict=False)]
        pairs = zip(self.segments, lengths, strict=True)
        return MarkOut(tuple(Segment(s.what, s.of, x, s.number, s.part) for s, x in pairs))


def wound(of: str, length: float, per_turn: float) -> tuple[Segment, ...]:
    """The turns that a length of tube makes on the form, each a piece, the last one what is over [m]."""
    whole = int(length / per_turn + 1e-9)
    turns = [Segment(TURN, of, per_turn, n + 1) for n in range(whole)]
    rest = length - whole * per_turn
    if rest > 1e-6 * per_turn:
        turns.append(Segment(TURN, of, rest, whole + 1, rest / per_turn))
    elif turns:  # what rounding left over must not be lost from the sum
        turns[-1] = Segment(TURN, of, per_turn + rest, whole)
    return tuple(turns)


def mark_out(
    riser_in: Riser, turns: tuple[Segment, ...], riser_out: Riser, trim_length: float = TRIM
) -> MarkOut:
    """One tube: trim, riser, turns (of two layers with the crossing between), riser, trim."""
    inwards = [Segment(what, riser_in.name, length) for what, length in riser_in.pieces]
    outwards = [Segment(what, riser_out.name, length) for what, length in reversed(riser_out.pieces)]
    trim = [Segment(TRIM_CUT, riser.name, trim_length) for riser in (riser_in, riser_out)]
    return MarkOut((trim[0], *inwards, *turns, *outwards, trim[1]))
