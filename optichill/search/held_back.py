"""The limit of the kettle that rules out most coils quicker than the one recommended, where one does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.problem.limits import LIMITS
from optichill.search.enumeration import Enumeration
from optichill.search.evaluate import chill_of, rows
from optichill.thermal.coil_performance import ROUGH

LOOKED_AT = 4096
"""Rows looked at, evenly spread over all there are."""

QUICKER = 0.8
"""A coil that takes less than this share of the recommended one's time is quicker."""


@dataclass(frozen=True)
class HeldBack:
    """limit : that alone rules out this share of the coils that would be quicker, by a sample."""

    limit: str
    share: float


def held_back(enumeration: Enumeration, best: int) -> HeldBack | None:
    """What rules out more than half of the coils quicker than row number `best`; None where most of them can
    be had. Asked is of limits that a person can mend but has not stated, such as the free rim."""
    everything = enumeration.space
    settings = len(everything.valve_shares)
    there = everything.size // settings
    some = settings * np.unique(np.linspace(0, there - 1, min(LOOKED_AT, there)).astype(np.intp))
    r = rows(everything, np.append(some, best))
    broken = r.checks.broken()
    broken[:, -1] = False
    looked = np.flatnonzero(broken.sum(axis=0) <= 1)
    scenario = enumeration.scenario or everything.basis.scenario
    time = chill_of(everything, r, looked, ROUGH, scenario).time
    quicker = looked[time < QUICKER * time[-1]]
    for name, row in zip(r.checks.names, broken, strict=True):
        share = float(row[quicker].mean()) if quicker.size else 0.0
        if LIMITS[name].held_back is not None and share > 0.5:
            return HeldBack(name, share)
    return None
