"""The limit of the kettle that rules out most coils quicker than the one recommended, where one does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Index
from optichill.problem.limits import LIMITS
from optichill.search.enumeration import Enumeration
from optichill.search.evaluate import Rows, chill_of, rows
from optichill.search.space import Space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import ROUGH
from optichill.thermal.cooldown import Chill

LOOKED_AT = 4096
"""Rows looked at."""

QUICKER = 0.8
"""A coil that takes less than this share of the recommended one's time is quicker."""


@dataclass(frozen=True)
class Looked:
    """Rows that break at most one of the limits that need no chill, roughly chilled."""

    rows: Rows
    chill: Chill

    @classmethod
    def at(cls, space: Space, numbers: Index, scenario: Scenario) -> Looked:
        """Those of some rows."""
        broken = rows(space, numbers).checks.broken().sum(axis=0)
        r = rows(space, numbers[broken <= 1])
        return cls(r, chill_of(space, r, np.arange(len(r)), ROUGH, scenario))


@dataclass(frozen=True)
class HeldBack:
    """limit : that alone rules out this share of the coils that would be quicker, by a sample."""

    limit: str
    share: float


def held_back(enumeration: Enumeration, best: int) -> HeldBack | None:
    """What rules out more than half of the coils quicker than row number `best`; None where most of them can
    be had. Asked is of limits that a person can mend but has not stated, such as the free rim."""
    everything = enumeration.space
    scenario = enumeration.scenario or everything.basis.scenario
    looked = Looked.at(everything, np.append(everything.spread(LOOKED_AT), best), scenario)
    quicker = looked.chill.time < QUICKER * looked.chill.time[-1]
    for name, row in zip(looked.rows.checks.names, looked.rows.checks.broken(), strict=True):
        share = float(row[quicker].mean()) if quicker.any() else 0.0
        if LIMITS[name].held_back is not None and share > 0.5:
            return HeldBack(name, share)
    return None
