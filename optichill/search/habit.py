"""The same coil with the valve further shut: a habit, that costs nothing and may save water or money."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Index
from optichill.search.designs import Design
from optichill.search.ranking import ALIKE
from optichill.search.space import Space
from optichill.workshop.lifetime import Worth

TOLD_UP_TO = 3.0
"""Minutes with every batch that a thriftier habit may come out worse and still be told: within three ties
somebody may want it (OWN)."""


@dataclass(frozen=True)
class Habit:
    """The first coil as it ranks, and with its valve further shut."""

    design: Design
    as_ranked: Design

    @property
    def water_saved(self) -> float:
        """Of a batch, as both are told [m3]."""
        return self.as_ranked.told["water"] - self.design.told["water"]

    @property
    def saves(self) -> float:
        """Over the coil's life [money]; negative where it costs some."""
        return float(self.as_ranked.life.total - self.design.life.total)


def further_shut(space: Space, number: int) -> Index:
    """Rows that differ from row number `number` by a valve further shut alone."""
    settings = len(space.valve_shares)
    return np.arange(number + 1, number - number % settings + settings)


def habit_of(as_ranked: Design, twins: Sequence[Design], worth: Worth) -> Habit | None:
    """Of the twins with the valve further shut that hold every limit the one that costs least over its life,
    if it saves water that a person notices and does not cost too much."""
    held = [Habit(d, as_ranked) for d in twins if all(line.holds for line in d.limits)]
    best = max(held, key=lambda habit: habit.saves, default=None)
    if best is None or best.saves < -TOLD_UP_TO * worth.minute:
        return None
    return best if best.water_saved > ALIKE * as_ranked.told["water"] else None
