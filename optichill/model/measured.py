"""Sizes of one layer of turns by tape, string and scales: where they cannot all be true, and which one
of them alone would explain it.

Five relations bind them. Turns have room in the height; turns and risers take no more tube than there is, and
leave no more than risers use; the weight is that of tube of this wall; the turns are wider than two tubes.
What breaks one of them is tried against the slips that people make, one key at a time: the slip that mends
every relation is the likely cause (`slips`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from optichill.model.fields import THICKEST, THINNEST

SHORT = 0.01
"""Of a tube that is measured: by so much less than turns and risers take it may still be the same tube (OWN:
a tape round ten turns)."""
LONG = 0.05
"""Of a tube that is measured: so much more than turns and risers take is no contradiction (OWN)."""
HEIGHT_OFF, TUBE_OFF = 0.003, 0.02
"""How much lower than its touching turns a coil may measure: a tape's error [m], and a share of the turns,
for the tube's own size is known no better (OWN)."""
HEAVY = 0.10
"""Of a weight: so far it may be off that of tube of this wall (OWN)."""
THIN_SHARE, THICK_SHARE = 0.03, 0.18
"""Wall to outside diameter of soft tube as it is sold: 1/2 in by 0.020 in is 0.04, 6 by 1 mm 0.167."""


@dataclass(frozen=True)
class Room:
    """What a kettle lets a coil be: tube of one riser at most, and across its mouth [m]; without a kettle,
    what a household's would (OWN)."""

    riser: float = 1.0
    mouth: float = math.inf


ANY_ROOM = Room()

ACROSS: dict[str, tuple[float, float]] = {
    "mean_diameter": (1.0, 0.0),
    "outside_across": (1.0, -1.0),
    "inside_across": (1.0, 1.0),
    "string_round": (1.0 / math.pi, -1.0),
}
"""Ways to give the diameter: what is written times the first, and so many tubes more, is the mean."""


def mean_of(key: str, written: float, d_o: float) -> float:
    """Diameter centre to centre [m] from what stands under a key.

    Examples
    --------
    >>> round(mean_of("string_round", 0.8, 0.01), 4)  # 80 cm round the outside: 25.5 cm across, less a tube
    0.2446
    """
    times, tubes = ACROSS[key]
    return times * written + tubes * d_o


@dataclass(frozen=True)
class Tape:
    """One layer as it was measured [SI]; None or nan where nothing is told. across, across_key : one of
    ACROSS; height or pitch; risers : nan where what is left of the tube is theirs; more : tube of a second
    layer; tubes : each with both risers; room : of its kettle; plumbing : whether its metal is sold by names
    that are not its outside."""

    d_o: float
    density: float
    across: float
    across_key: str
    turns: float
    height: float | None = None
    pitch: float = math.nan
    length: float | None = None
    weight: float | None = None
    wall: float = math.nan
    risers: tuple[float, float] = (math.nan, math.nan)
    more: float = 0.0
    tubes: int = 1
    room: Room = ANY_ROOM
    plumbing: bool = False

    @property
    def mean(self) -> float:
        """Diameter centre to centre [m]."""
        return mean_of(self.across_key, self.across, self.d_o)

    @property
    def climb(self) -> float:
        """Pitch [m]: of the height where that was measured, but at least a tube."""
        if self.height is None:
            return self.pitch
        return max((self.height - self.d_o) / self.turns, self.d_o)

    @property
    def lowest(self) -> float:
        """Height of so many turns that touch [m]."""
        return (self.turns + 1.0) * self.d_o

    @property
    def helix(self) -> float:
        """Tube of the turns [m]."""
        return self.turns * math.hypot(math.pi * self.mean, self.climb) + self.more

    @property
    def free(self) -> int:
        """Risers whose length is not told, of all tubes."""
        return self.tubes * sum(map(math.isnan, self.risers))

    @property
    def takes(self) -> float:
        """Tube of turns and the risers that are told [m]."""
        return self.helix + self.tubes * sum(r for r in self.risers if not math.isnan(r))

    @property
    def weighed(self) -> float:
        """Tube on the scales [m]."""
        return self.length or self.takes

    def wall_by_weight(self) -> float:
        """Wall of which tube this long weighs so much [m]; nan where a solid rod would be lighter."""
        bore_2 = self.d_o**2 - 4.0 * (self.weight or 0.0) / (math.pi * self.density * self.weighed)
        return (self.d_o - math.sqrt(bore_2)) / 2.0 if bore_2 > 0.0 else math.nan

    def weighs(self) -> float:
        """What tube of this wall weighs [kg]."""
        return math.pi * self.wall * (self.d_o - self.wall) * self.density * self.weighed


def overlaps(t: Tape) -> bool:
    """Whether the turns have no room in the height."""
    return t.height is not None and t.lowest - t.height > HEIGHT_OFF + TUBE_OFF * t.turns * t.d_o


def short(t: Tape) -> bool:
    """Whether turns and risers take more than there is."""
    return t.length is not None and t.takes > (1.0 + SHORT) * t.length


def left_over(t: Tape) -> bool:
    """Whether more is left than risers use."""
    return t.length is not None and t.length - t.takes > t.free * t.room.riser + LONG * t.length


def tight(t: Tape) -> bool:
    """Whether no tube is wound so narrow."""
    return t.mean <= 2.0 * t.d_o


def odd_weight(t: Tape) -> bool:
    """Whether no tube of this wall, or of a wall that is sold, weighs so much."""
    if t.weight is None:
        return False
    if not math.isnan(t.wall):
        return t.wall < t.d_o / 2.0 and abs(t.weighs() - t.weight) > HEAVY * t.weight
    wall = t.wall_by_weight()
    sold = max(THINNEST, THIN_SHARE * t.d_o) <= wall <= min(THICKEST, THICK_SHARE * t.d_o)
    return not sold


def _wide(t: Tape) -> bool:
    return t.mean + t.d_o > t.room.mouth


RELATIONS: dict[str, Callable[[Tape], bool]] = {
    "overlaps": overlaps,
    "short": short,
    "left_over": left_over,
    "odd_weight": odd_weight,
    "wide": _wide,
}


def broken(t: Tape) -> frozenset[str]:
    """Names of the relations that the sizes break."""
    if tight(t):
        return frozenset({"tight"})
    return frozenset(name for name, breaks in RELATIONS.items() if breaks(t))
