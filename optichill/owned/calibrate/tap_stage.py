"""The part of a batch that the tap cools: where the plan goes on with other water, inlet and flow were read
of the tap until then alone."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import takewhile

import numpy as np

from optichill.arrays import Array, Mask
from optichill.model.brewhouse import Brewhouse
from optichill.model.cooldown_log import CooldownLog
from optichill.thermal.batch import Scenario


@dataclass(frozen=True)
class TapStage:
    """water : of the tap [K]; until : wort at which other water takes over [K], 0 where none does."""

    water: float
    until: float

    @classmethod
    def of(cls, brewhouse: Brewhouse, scenario: Scenario) -> TapStage | None:
        """Of a plan that begins with the tap, hop stands aside; None of one that does not."""
        planned = zip(brewhouse.cooling, scenario.stages, strict=True)
        first = list(takewhile(lambda both: both[0].is_hold or both[0].source == "tap", planned))
        taps = [stage for asked, stage in first if not asked.is_hold]
        if not taps or taps[0].source is None:
            return None
        more = any(not asked.is_hold for asked in brewhouse.cooling[len(first) :])
        until = taps[-1].until
        return cls(taps[0].source.T_water, float(np.max(until)) if more and until is not None else 0.0)

    @property
    def is_all(self) -> bool:
        """Whether no other water comes after it."""
        return self.until == 0.0

    def during(self, log: CooldownLog) -> Mask:
        """Which readings were taken while it ran; shape (readings,). Wort that falls is known by its first
        reading that is colder."""
        over = np.flatnonzero(np.isfinite(log.wort) & (log.wort <= self.until))
        return np.asarray(np.arange(log.wort.size) < (over[0] if over.size else log.wort.size))


def running(log: CooldownLog) -> Mask:
    """Where water ran, by the flow that was read; where none was it is taken to have run."""
    if log.flow is None:
        return np.ones(log.time.size, bool)
    return np.asarray(~(log.flow <= STOPPED * np.nanmax(log.flow)))


STOPPED = 0.02
"""Share of the most that ever ran, below which no water runs [-]."""


def middle(read: Array | None, where: Mask) -> float | None:
    """Median of what was read somewhere, None where nothing was."""
    if read is None or not np.isfinite(read[where]).any():
        return None
    return float(np.nanmedian(read[where]))
