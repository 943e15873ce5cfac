"""A fit as a person asks for it: what was learnt, and each batch beside its curve."""

from __future__ import annotations

import math

import numpy as np

from optichill.arrays import Array
from optichill.model.calibration import TANK, Calibration, is_learnt
from optichill.owned.calibrate.fit import FittedBatch, Learnt
from optichill.owned.calibrate.forward import Walk
from optichill.owned.calibrate.posterior import Posterior
from optichill.owned.calibrate.question import Measured, Question, batches_between
from optichill.owned.calibrate.unknowns import DAY, MASS, OF_A_BATCH, OWN, START, Unknown
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS, Z_90

TOLD_ALWAYS = (TANK, OWN, MASS, DAY)
"""What is told whether or not it was learnt; of the columns those that act."""

ACTS = 0.02
"""Standard deviations that some reading must move by with a deviate of one, for it to act at all."""

CURVE = 61
"""Points of a smooth curve."""


def learnt(question: Question, found: Posterior, law: Calibration) -> tuple[Learnt, ...]:
    """Each quantity before and after, what acts in none of the batches left out: what lasts as the law has it
    that is kept, for another day."""
    out = []
    for place, unknown in enumerate(question.unknowns.all):
        acts = np.abs(found.slopes[:, place]).max() > ACTS
        if unknown.name == START or not (acts or unknown.name in TOLD_ALWAYS):
            continue
        known = _known(question, found, law, place)
        if known is None:
            continue
        before, after = (span(unknown, *m) for m in ((0.0, 1.0), known))
        out.append(
            Learnt(
                unknown.name,
                unknown.prior.what,
                before,
                after,
                unknown.prior.unit,
                is_learnt(known[1]),
                _of(question, unknown),
            )
        )
    return tuple(out)


def _known(question: Question, found: Posterior, law: Calibration, place: int) -> tuple[float, float] | None:
    """Mean and standard deviation of a deviate; None of a way to stir that the law does not keep."""
    unknown = question.unknowns.all[place]
    if unknown.name in OF_A_BATCH:
        return float(found.mean[place]), math.sqrt(found.cov[place, place])
    if unknown.name in ("speed", "share") and law.priors[unknown.name] != unknown.prior.name:
        return None
    row = len(COLUMNS) + 1 + unknown.number if unknown.number is not None else law.names.index(unknown.name)
    return float(law.mean[row]), math.sqrt(law.cov[row, row])


def span(unknown: Unknown, mean: float, sd: float) -> tuple[float, float, float]:
    """10th percentile, median and 90th."""
    ends = unknown.prior.at(mean + sd * Z_90 * np.array([-1.0, 0.0, 1.0]))
    if unknown.name == "share" and unknown.prior.median < 1.0:  # nobody stirs more than all the time
        ends = np.minimum(ends, 1.0)
    low, middle, high = ends
    return float(low), float(middle), float(high)


def _of(question: Question, unknown: Unknown) -> str | None:
    """The coil or the log that an unknown belongs to."""
    if unknown.number is None:
        return None
    if unknown.name == OWN:
        return question.coils[unknown.number].name
    return question.batches[unknown.number].batch.log.name


def told_batches(question: Question, found: Posterior) -> tuple[FittedBatch, ...]:
    """Each batch with its readings and curves, by the log's own clock."""
    return tuple(_told(question, found, one, where) for one, where in zip_readings(question))


def zip_readings(question: Question) -> list[tuple[Measured, slice]]:
    """Each batch with the place of its readings among all that was missed."""
    out, begins = [], 0
    for one in question.batches:
        n = one.readings.time.size
        out.append((one, slice(begins, begins + n)))
        begins += n + (one.flow is not None)
    return out


def _told(question: Question, found: Posterior, one: Measured, where: slice) -> FittedBatch:
    both = np.stack([found.mean, np.zeros_like(found.mean)])
    at = question.unknowns.of_batch(one.trial, both)
    walk = one.trial.walked(at)
    start = PRIORS["start"].at(at[START])
    smooth = np.linspace(0.0, one.readings.last, CURVE)
    curves = walk.at(smooth, start)
    fitted = one.readings.wort + found.misses[where] * one.sigma
    used = found.kept[where] > 0.5
    volume = one.trial.scenario.volume * float(one.trial.share_of_wort(at[MASS])[0])
    return FittedBatch(
        one.batch,
        one.readings.time + one.shift,
        one.readings.wort,
        fitted,
        used,
        smooth + one.shift,
        curves[0],
        curves[1],
        rms((fitted - one.readings.wort)[used]),
        volume,
        one.energy,
        _whole(one, walk),
        batches_between(question.house, one.batch.log),
        _idle(one),
    )


def _idle(one: Measured) -> tuple[str, ...]:
    """What was read of water that is not the tap's, and so says nothing."""
    log = one.batch.log
    inlet = log.inlet is not None and not one.trial.inlet
    flow = log.flow is not None and one.flow is None and one.tap is None
    return tuple(name for name, idle in (("inlet", inlet), ("flow", flow)) if idle)


def _whole(one: Measured, walk: Walk) -> float | None:
    """Mean of all the wort at the last reading [K], by the fit, where some of it stood above the coil."""
    if one.trial.stranded == 0.0 or one.trial.place == "stirred":
        return None
    return float(np.interp(one.readings.last, walk.clock, walk.mean[0]))


def rms(values: Array) -> float:
    """Root mean square, 0 of nothing."""
    return float(np.sqrt(np.mean(values**2))) if values.size else 0.0
