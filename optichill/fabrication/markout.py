"""Where the marks go on the straight tube before it is wound, and what each piece between them becomes.

Distances run along the tube from the end that water goes in at. The pieces add up to the cut length; the form
changes how many turns a length makes, never the length.

The risers' lengths are taken as they are: what the climb and the two bends leave is the level part over the
rim. The tube that the led-out end of the lowest turn takes (some 7 mm) comes out of that turn's way round:
the coil ends a few degrees short (`scene`), and no mark moves. Left out is the slope of a turn at its bend
(1 mm). Marks are rounded one by one, so that no error adds up.
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

    Examples
    --------
    Rim at 400 mm, crossing 30 above it, foot at 30, bends of 40: 320 mm upright, and the rest is level:

    >>> riser = Riser.of_length("IN", 0.55, foot=0.03, rim=0.40, bend_radius=0.04)
    >>> round(riser.upright, 4), round(riser.level, 4)
    (0.32, 0.1043)
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
    """The pieces of one tube in order.

    Examples
    --------
    Marks are rounded by their distance from the end, so that three thirds still make a whole:

    >>> thirds = MarkOut(tuple(Segment(TURN, "coil", 1.0 / 3.0, n + 1) for n in range(3)))
    >>> [round(end, 3) for end in thirds.rounded(0.01).ends]
    [0.33, 0.67, 1.0]
    """

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
    """The turns that a length of tube makes on the form, each a piece, the last one what is over.

    Parameters
    ----------
    of : str
        Name of the layer.
    length, per_turn : float [m]
        Of tube; in one turn on the form.

    Returns
    -------
    tuple of Segment

    Examples
    --------
    >>> [(turn.number, round(turn.length, 3), round(turn.part, 3)) for turn in wound("coil", 2.0, 0.8)]
    [(1, 0.8, 1.0), (2, 0.8, 1.0), (3, 0.4, 0.5)]
    """
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
    """One tube: trim, riser, turns (of two layers with the crossing between), riser, trim.

    Parameters
    ----------
    riser_in, riser_out : Riser
        At the end that water goes in at; at the other.
    turns : tuple of Segment
        `wound`, in order along the tube.
    trim_length : float [m]
        Cut off each end.

    Returns
    -------
    MarkOut

    Examples
    --------
    50 mm of trim at each end, two risers of 0.55 m and 2 m of turns:

    >>> ends = [Riser.of_length(name, 0.55, foot=0.03, rim=0.40, bend_radius=0.04) for name in ("IN", "OUT")]
    >>> marks = mark_out(ends[0], wound("coil", 2.0, 0.8), ends[1])
    >>> round(marks.cut_length, 6), marks.possible
    (3.2, True)
    """
    inwards = [Segment(what, riser_in.name, length) for what, length in riser_in.pieces]
    outwards = [Segment(what, riser_out.name, length) for what, length in reversed(riser_out.pieces)]
    trim = [Segment(TRIM_CUT, riser.name, trim_length) for riser in (riser_in, riser_out)]
    return MarkOut((trim[0], *inwards, *turns, *outwards, trim[1]))
