"""Hop stands: whether the times of a log have their minutes in them, or the clock stood meanwhile.

Nobody says so in a line of readings, and one way makes no sense of what the other explains: both are tried,
each by itself, and the one that agrees better with what was known is taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from optichill.display import show
from optichill.errors import shown
from optichill.owned.calibrate.fit import HoldRead, MeasuredBatch
from optichill.owned.calibrate.posterior import disagreement, roughly
from optichill.owned.calibrate.question import Question, basis_of_log
from optichill.owned.calibrate.readings import NothingToFit, stood_still
from optichill.problem.basis import DesignBasis

SURE = 6.0
"""By so much the two ways must disagree otherwise with what was known for one of them to be told as
found: odds of e^3, twenty to one."""

OTHER_TAP = 2.0
"""Kelvin that a tap may differ from what the brewhouse says, as doubts have it."""

MOST, EACH = 20.0, 2.0
"""Disagreement past which neither explains the readings, and more for each of them (OWN)."""


def with_holds(basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> list[MeasuredBatch]:
    """The batches, each read in the way that explains it where the plan has hop stands."""
    lasts = sum(stage.hold for stage in basis.scenario.stages if stage.source is None)
    return [_found(basis, batch, lasts) for batch in batches] if lasts > 0.0 else list(batches)


def _found(basis: DesignBasis, batch: MeasuredBatch, lasts: float) -> MeasuredBatch:
    tried = _both_ways(basis, batch, lasts)
    (best, found), (other, _) = sorted(tried, key=lambda pair: pair[0])
    most = MOST + EACH * batch.log.time.size
    if best > most:
        for pause in stood_still(batch.log):
            without = _both_ways(basis, replace(batch, paused=pause), lasts)
            (best, found), (other, _) = sorted(without, key=lambda pair: pair[0])
            if best <= most:
                tried = without
                break
    if best > most:
        raise NothingToFit(
            f"{shown(batch.log.name)}: the plan has a hop stand of {show(lasts, 'time')}, and neither with "
            f"its minutes nor without them are these readings of a chill by this plan"
            f"{_at_inlet(basis, found)} (allowed: times with all of its minutes in them, or with none: the "
            "clock stopped, or started after it)"
        )
    if other - best < SURE:
        return tried[0][1]
    return replace(found, hold=HoldRead(lasts, counted_of(found), sure=True))


def _at_inlet(basis: DesignBasis, batch: MeasuredBatch) -> str:
    """That a tap was measured which is another than the brewhouse states; "" where none was."""
    tap, units = basis.brewhouse.tap, basis.brewhouse.units
    inlet = basis_of_log(basis, batch.log).brewhouse.tap
    if tap is None or inlet is None or abs(inlet.temperature - tap.temperature) < OTHER_TAP:
        return ""
    read, told = (show(T, "temperature", units) for T in (inlet.temperature, tap.temperature))
    return f" with water of {read}, as its inlet was read ({told} is stated)"


def _both_ways(basis: DesignBasis, batch: MeasuredBatch, lasts: float) -> list[tuple[float, MeasuredBatch]]:
    """How badly a log agrees with what was known, with the stand's minutes in its times and without them;
    by a pause that leaves too little of it, infinitely."""
    tried = []
    for counted in (True, False):
        read = replace(batch, hold=HoldRead(lasts, counted, sure=False))
        try:
            tried.append((_off(basis, read), read))
        except NothingToFit:
            if batch.paused is None:
                raise
            tried.append((math.inf, read))
    return tried


def counted_of(batch: MeasuredBatch) -> bool:
    """Whether a log's times have the minutes of hop stands in them."""
    return batch.hold is None or batch.hold.counted


def _off(basis: DesignBasis, batch: MeasuredBatch) -> float:
    """How badly one way to read it agrees with what was known."""
    asked = Question.of(basis, [batch])
    return disagreement(asked.misses, roughly(asked.misses, len(asked.unknowns)))
