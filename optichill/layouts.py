"""How a coil is laid out: its layers of turns, its tubes, and the words for it.

One record a layout, and nothing else knows their names. Who must tell layouts apart asks for a trait: of one
coil by name, `LAYOUTS[coil.layout].tubes`; of many by their records' numbers, `trait("tubes")[numbers]`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

BENDS_PER_TUBE = 4
"""Two a riser: up from the turn, and out over the rim."""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """One way to lay out a coil. name : as files and JSON have it. layers of turns, and tubes that they are
    made of: one through all, or one each, on tees outside the kettle. hardness : share of the difficulty's
    term for layers [-].

    Words, without stop or capital. called : anywhere it must be named; short : in a line of figures, and
    full : on the first screen, both empty where nothing need be said; mark, legend : between the forms of
    two layers in the ranked table, and what it stands for; hard_part : what its layers add to the work.
    """

    name: str
    layers: int
    tubes: int
    hardness: float
    called: str
    short: str = ""
    full: str = ""
    mark: str = ""
    legend: str = ""
    hard_part: str = ""

    def __post_init__(self) -> None:
        if self.layers not in (1, 2) or self.tubes not in (1, self.layers):
            raise ValueError(f"{self.name}: must be one layer, or two of one tube or of one tube each")

    @property
    def crossing(self) -> bool:
        """Whether a tube goes on from the inner to the outer layer underneath. Then each layer has its riser
        at the top, and none that could climb inside; else each tube has one at its lowest turn and one at its
        highest."""
        return self.layers > self.tubes

    @property
    def tees(self) -> bool:
        """Whether tubes are joined by tees, outside the kettle."""
        return self.tubes > 1

    @property
    def riser_bends(self) -> int:
        """Bends up to the rim, of all risers."""
        return BENDS_PER_TUBE * self.tubes


LAYOUTS: dict[str, Layout] = {
    layout.name: layout
    for layout in (
        Layout(name="single", layers=1, tubes=1, hardness=0.0, called="one layer"),
        Layout(
            name="nested",
            layers=2,
            tubes=1,
            hardness=1.0,
            called="two layers of one tube",
            short="two layers",
            full="two layers of one tube, down the inner and up the outer: both ends on top, no joint",
            mark="=",
            legend="one tube (nested)",
            hard_part="two layers from one tube, one over the other",
        ),
        Layout(
            name="parallel",
            layers=2,
            tubes=2,
            hardness=0.6,
            called="two coils on tees",
            short="two coils on tees",
            full="two coils, one standing in the other, both fed through tees outside the kettle",
            mark="//",
            legend="two tubes on tees",
            hard_part="two coils side by side on tees",
        ),
    )
}
"""By name. Their places in this order are the numbers that arrays hold; the first is meant where a coil file
names none."""


def numbered(number: int) -> Layout:
    """The layout with this number."""
    return list(LAYOUTS.values())[number]


def trait(name: str) -> NDArray[Any]:
    """One trait of all layouts, an array to be indexed by their numbers."""
    return np.array([getattr(layout, name) for layout in LAYOUTS.values()])


def with_layers(layers: int) -> dict[int, Layout]:
    """All layouts of that many layers, by number."""
    return {number: x for number, x in enumerate(LAYOUTS.values()) if x.layers == layers}


def of_traits(layers: int, tubes: int) -> str:
    """Name of the first layout of so many layers and tubes.

    Examples
    --------
    >>> LAYOUTS[of_traits(2, 2)].tees
    True
    """
    return next(name for name, one in LAYOUTS.items() if (one.layers, one.tubes) == (layers, tubes))
