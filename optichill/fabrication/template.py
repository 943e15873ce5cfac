"""Paper to tape round the form, and the comb that keeps the gap: plain geometry, [m].

Unrolled, the surface of the form is a strip of width pi D_f, and every turn on it a straight line that climbs
by the pitch on the form, k p, over that width. One tube that goes down an inner layer and up an outer one
turns the same way all along: the inner layer's paper is the mirror image of what it would be by itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

END = 0.010
"""Bar left beyond the last hole's edge [m] (OWN)."""

LEAST_BESIDE = 0.003
"""Bar beside a hole that does not break out when it is drilled [m] (OWN)."""

Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class WrapTemplate:
    """The unrolled form. width : pi D_f, card packing included; rise : per turn, k p; turns : to be wound,
    N/k; d_o : of the tube; hand : 1 where the turns climb to the right as the tube is wound on, -1 where they
    go down. The upper edge of both lies towards the kettle's rim.

    Examples
    --------
    Two and a half turns, 15 mm apart, of 10 mm tube:

    >>> template = WrapTemplate(width=0.75, rise=0.015, turns=2.5, d_o=0.010)
    >>> round(template.height, 4), len(template.lines())
    (0.0475, 3)

    Its mirror image begins at the upper edge and ends at the lower:

    >>> mirrored = WrapTemplate(width=0.75, rise=0.015, turns=2.5, d_o=0.010, hand=-1)
    >>> [round(mirrored.lines()[n][end][1], 4) for n, end in ((0, 0), (2, 1))]
    [0.0425, 0.005]
    """

    width: float
    rise: float
    turns: float
    d_o: float
    hand: int = 1

    @property
    def height(self) -> float:
        """From the lower edge of the first turn to the upper edge of the last [m]."""
        return self.turns * self.rise + self.d_o

    @property
    def lead_angle(self) -> float:
        """Angle of the lines on the form's surface, atan(k p / (pi D_f)) [rad]. Along the tube's centre line,
        half a tube further out, it is a little smaller."""
        return math.atan2(self.rise, self.width)

    def lines(self) -> tuple[Line, ...]:
        """The tube's centre line turn by turn, ((x0, y0), (x1, y1)); x round the form from the first turn's
        start, y up from the template's lower edge. The last line ends where the turns end."""
        found = []
        for turn in range(math.ceil(self.turns - 1e-9)):
            part = min(1.0, self.turns - turn)
            found.append(((0.0, self.at(turn, 0.0)), (part * self.width, self.at(turn, part * self.width))))
        return tuple(found)

    def at(self, turn: float, x: float) -> float:
        """Height of the centre line of a turn, counted from 0, above the lower edge [m]."""
        along = self.d_o / 2.0 + (turn + x / self.width) * self.rise
        return along if self.hand > 0 else self.height - along


def room_beside(inner: float, outer: float, d_o: float, together: bool) -> float:
    """Bar beside the holes of a comb that stands between two layers.

    A comb is sawn in two along its holes and laid round the turns. Where the layers are wound into each
    other, a half must be slid down between them before its teeth go in, half a tube deep.

    Parameters
    ----------
    inner, outer : float [m]
        Mean diameters of the layers, relaxed.
    d_o : float [m]
        Outside diameter of the tube.
    together : bool
        Whether the layers are one tube, in each other before the comb comes.

    Returns
    -------
    float [m]
        0 where no comb goes between them.

    Examples
    --------
    10 mm of tube in layers 15 mm apart leave 5 mm, of which one is air; 25 mm apart leave 15, of which the
    teeth take 5:

    >>> round(room_beside(0.200, 0.230, 0.010, together=False), 4)
    0.004
    >>> round(room_beside(0.200, 0.250, 0.010, together=True), 4)
    0.009
    >>> room_beside(0.200, 0.230, 0.010, together=True)
    0.0
    """
    room = (outer - inner) / 2.0 - d_o - AIR_AT_COMB - (d_o / 2.0 if together else 0.0)
    return min(END, room) if room >= LEAST_BESIDE else 0.0


AIR_AT_COMB = 0.001
"""Between a comb and the other layer [m] (OWN)."""


@dataclass(frozen=True)
class SpacerComb:
    """A bar with a hole for every turn that passes it, at the pitch of the relaxed coil. beside : bar left on
    either side of the holes [m].

    Examples
    --------
    Two and a half turns need three holes; 10 mm of bar are left beyond the outer ones:

    >>> comb = SpacerComb(pitch=0.015, turns=2.5, d_o=0.010)
    >>> [round(x, 4) for x in comb.centres], round(comb.length, 4)
    ([0.015, 0.03, 0.045], 0.06)
    """

    pitch: float
    turns: float
    d_o: float
    beside: float = END

    @property
    def centres(self) -> tuple[float, ...]:
        """Hole centres from the bar's lower end [m]: one for each turn it meets, and for a part of one."""
        first = self.d_o / 2.0 + END
        return tuple(first + hole * self.pitch for hole in range(math.ceil(self.turns - 1e-9)))

    @property
    def length(self) -> float:
        """Of the bar [m]."""
        return self.centres[-1] + self.d_o / 2.0 + END
