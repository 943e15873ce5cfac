"""More ice than the plan has: which amounts are worth a look, bounded by what the stage's vessel holds and by
what a person carries home; by one rule for a coil that is looked for and for one that somebody has.
"""

from __future__ import annotations

import math

import numpy as np

from optichill.model.brewhouse import Brewhouse
from optichill.rating.remedies import WEIGHED
from optichill.thermal.sources import ICE_DENSITY

CARRIED = 20.0
"""Ice for one batch that is looked at, at most [kg]: five bags or so (OWN)."""
AMOUNTS = 5
"""Amounts that are looked at, evenly spread."""
HAIR = 1e-6
"""Of a step: what is whole but for rounding stays."""


def larger_amounts(house: Brewhouse) -> tuple[int, list[float]]:
    """The last stage that has ice, from 0, and amounts beyond its own [kg], as they are weighed out, that its
    vessel holds with all its water and the coil in it; none where no stage has ice, or nothing more goes in.

    Examples
    --------
    >>> from optichill.files.reading import load
    >>> larger_amounts(load().brewhouse)
    (0, [])
    """
    iced = [place for place, stage in enumerate(house.cooling) if stage.ice]
    if not iced:
        return 0, []
    stage, step = house.cooling[iced[-1]], WEIGHED[house.units]
    had, coil = stage.ice or 0.0, 0.0 if stage.precooler is None else stage.precooler.turns_volume
    holds = (stage.bucket - (stage.water or 0.0) - coil) * ICE_DENSITY
    most = math.floor(min(holds, CARRIED) / step + HAIR)
    some = np.unique(np.round(np.linspace(had / step, most, AMOUNTS + 1)[1:]).astype(np.intp))
    return iced[-1], [n * step for n in some.tolist() if had + HAIR < n * step <= holds + HAIR]
