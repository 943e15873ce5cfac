"""Paper to tape round the form, and the comb that keeps the gap: plain geometry, [m].

Unrolled, the surface of the form is a strip of width pi D_f, and every turn on it a straight line that climbs
by the pitch on the form, k p, over that width.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class WrapTemplate:
    """The unrolled form. width : pi D_f, card packing included; rise : per turn, k p; turns : to be wound,
    N/k; d_o : of the tube.

    Examples
    --------
    Two and a half turns, 15 mm apart, of 10 mm tube:

    >>> template = WrapTemplate(width=0.75, rise=0.015, turns=2.5, d_o=0.010)
    >>> round(template.height, 4), len(template.lines())
    (0.0475, 3)
    """

    width: float
    rise: float
    turns: float
    d_o: float

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
            y = self.d_o / 2.0 + turn * self.rise
            found.append(((0.0, y), (part * self.width, y + part * self.rise)))
        return tuple(found)


@dataclass(frozen=True)
class SpacerComb:
    """A bar with a hole for every turn that passes it, at the pitch of the relaxed coil.

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

    @property
    def centres(self) -> tuple[float, ...]:
        """Hole centres from the bar's lower end [m]: one for each turn it meets, and for a part of one."""
        first = self.d_o / 2.0 + END
        return tuple(first + hole * self.pitch for hole in range(math.ceil(self.turns - 1e-9)))

    @property
    def length(self) -> float:
        """Of the bar [m]."""
        return self.centres[-1] + self.d_o / 2.0 + END


END = 0.010
"""Bar left beyond the last hole's edge [m] (OWN)."""
