"""Sizes that copper tube is sold in, as far as they tell a slip: the name on the shelf for the true outside.

Outside diameters and walls of ASTM B88 (types K, L, M), ASTM B280, light-wall utility rolls and EN 1057 / EN
12735-1; tests/model/test_tube_sizes.py holds them against the published rows. Of ASTM B88 the name is 1/8
in less than the outside.
"""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import INCH

SAME = 2e-4
"""Sizes of tube that differ by less are one [m]: what a caliper reads."""


@dataclass(frozen=True)
class SoldTube:
    """A copper tube as sold [m]. name : the size that plumbers call it by, the outside where that is it."""

    outside: float
    wall: float
    name: float

    @property
    def bore(self) -> float:
        """Inside diameter [m]."""
        return self.outside - 2.0 * self.wall

    @property
    def area(self) -> float:
        """Of metal, over pi [m2]."""
        return self.wall * (self.outside - self.wall)


def _sold() -> tuple[SoldTube, ...]:
    rows = [
        SoldTube(o * INCH, w * INCH, (o - 0.125) * INCH)
        for o, walls in (
            (0.375, (0.035, 0.030)),
            (0.5, (0.049, 0.035, 0.025)),
            (0.625, (0.049, 0.040, 0.028)),
            (0.75, (0.049, 0.042)),
            (0.875, (0.065, 0.045, 0.032)),
        )
        for w in walls
    ]
    rows += [
        SoldTube(o * INCH, w * INCH, o * INCH)
        for o, walls in (
            (0.25, (0.030, 0.024)),
            (0.3125, (0.032, 0.024)),
            (0.375, (0.032, 0.024)),
            (0.5, (0.032, 0.028)),
            (0.625, (0.035, 0.028)),
            (0.75, (0.035, 0.042)),
            (0.875, (0.045,)),
        )
        for w in walls
    ]
    mm = (
        (6, (0.8, 1.0)),
        (8, (0.8, 1.0)),
        (10, (0.8, 1.0)),
        (12, (0.8, 1.0)),
        (15, (0.7, 1.0)),
        (18, (1.0,)),
    )
    rows += [SoldTube(o * 1e-3, w * 1e-3, o * 1e-3) for o, walls in mm for w in walls]
    return tuple(rows)


SOLD = _sold()


def of_outside(d_o: float) -> list[SoldTube]:
    """Tubes of an outside diameter [m]."""
    return [tube for tube in SOLD if abs(tube.outside - d_o) < SAME]


def called(size: float) -> list[SoldTube]:
    """Larger tubes that a size [m] is the name or the inside of."""
    names = [tube for tube in SOLD if min(abs(tube.name - size), abs(tube.bore - size)) < SAME]
    return [tube for tube in names if tube.outside > size + SAME]
