"""The same coil with the valve further shut: a habit, that costs nothing and may save water or money."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Index
from optichill.search.designs import Design
from optichill.search.ranking import ALIKE
from optichill.search.space import Space

LEAST_TOLD = 0.5
"""Money that a habit saves at least, to be told."""


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


def habit_of(as_ranked: Design, twins: Sequence[Design]) -> Habit | None:
    """Of the twins with the valve further shut that hold every limit the one that costs least over its life,
    if it saves money, and water that a person notices."""
    held = [Habit(d, as_ranked) for d in twins if all(line.holds for line in d.limits)]
    best = max(held, key=lambda habit: habit.saves, default=None)
    if best is None or best.saves < LEAST_TOLD:
        return None
    return best if best.water_saved > ALIKE * as_ranked.told["water"] else None
