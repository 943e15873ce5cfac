"""What about a log does not match its coil, its volume or the clock, and the likely cause."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from optichill.arrays import Array
from optichill.model.calibration import TANK
from optichill.owned.calibrate.alike import Alike
from optichill.owned.calibrate.fit import Doubt, EnergyCheck, FittedBatch
from optichill.owned.calibrate.posterior import Posterior
from optichill.owned.calibrate.question import FAR_FROM_START, Measured, Question
from optichill.owned.calibrate.readings import FEWEST
from optichill.owned.calibrate.told import rms, zip_readings
from optichill.owned.calibrate.unknowns import MASS, OWN
from optichill.problem.basis import DesignBasis
from optichill.problem.uncertain import flow_prior
from optichill.properties import water
from optichill.rating.floor import shortest_time
from optichill.thermal.priors import PRIORS

FAR_VOLUME, FAR_COIL = 2.25, 2.5
"""Standard deviations of all that was known, from which volume and coil are doubted: of logs that are as
they are told one in forty, and one in eighty."""

NO_EYE_ERRS = 0.5
"""Logarithm of a volume to the one that was told: where it takes more the volume is not the cause."""

TOO_MUCH = 2.0
"""Times as far as expected that readings miss the fit."""

FAR_LOSS = 2.0
"""Times as much, or as little, as was thought that a kettle loses by itself, from which that is doubted:
two and a half standard deviations."""

MANY_SLIPS = 0.25
"""Share of the readings that are slips: then they are none."""

OTHER_TAP = 2.0
"""Kelvin that a tap may differ from what the brewhouse says."""

OTHER_UNIT = 8.0
"""Kelvin within which the other unit of temperature makes sense of a first reading that makes none."""

HOTTER = 1.0
"""Kelvin that water may seem warmer than the wort it comes from."""


def doubts(
    basis: DesignBasis, question: Question, found: Posterior, told: tuple[FittedBatch, ...]
) -> tuple[Doubt, ...]:
    """Of all logs, in their order; what explains the rest first."""
    out: list[Doubt] = []
    for (one, where), batch in zip(zip_readings(question), told, strict=True):
        name = one.batch.log.name
        kept, misses = found.kept[where] > 0.5, found.misses[where]
        for kind, figures in (
            *_of_the_readings(basis, one),
            *_of_the_water(basis, one, batch.energy),
            *_of_the_flow(one, misses_of_flow(found, one, where)),
            *_of_the_fit(question, found, one, batch),
        ):
            out.append(Doubt(name, kind, figures))
        off = rms(misses[kept])
        if off > TOO_MUCH or (~kept).sum() > max(MANY_SLIPS * kept.size, 1):
            missed = rms(batch.fitted - batch.measured)
            out.append(Doubt(name, "misses", {"misses": missed, "expected": float(np.mean(one.sigma))}))
    return tuple(out)


def not_alike(question: Question, between: Alike) -> tuple[Doubt, ...]:
    """The quickest and the slowest of batches that differ by more than days do."""
    if not between.doubted:
        return ()
    ends = sorted({int(between.apart.argmin()), int(between.apart.argmax())})
    figures = {"apart": math.exp(float(np.ptp(between.apart)))}
    return tuple(Doubt(question.batches[i].batch.log.name, "day", figures) for i in ends)


Found = Iterator[tuple[str, Mapping[str, float]]]


def _of_the_readings(basis: DesignBasis, one: Measured) -> Found:
    """Units, start, clock."""
    told, first, seen = basis.brewhouse.wort.start_temperature, one.readings.first, one.readings
    as_celsius = (first - 273.15) * 1.8 + 32.0 + 273.15  # read as degF, and was degC
    as_fahrenheit = (first - 273.15 - 32.0) / 1.8 + 273.15
    if abs(first - told) > 2.0 * OTHER_UNIT:
        for other in (as_celsius, as_fahrenheit):
            if abs(other - told) < OTHER_UNIT:
                yield "units", {"first": first, "read_as": other}
                return
    early = one.batch.log.time[np.isfinite(one.batch.log.time)][0] <= 60.0
    # A clock that was started after a hop stand begins where the stand left off.
    after_stand = one.trial.stops and first < told
    if abs(first - told) > FAR_FROM_START and early and not after_stand:
        yield "start", {"began": first, "told": told}
    if seen.late > 0.0:
        yield "late water", {"late": seen.late}
    if seen.pause is not None:
        yield "shut by flow" if seen.by_flow else "pause", {"from": seen.pause[0], "until": seen.pause[1]}
    if np.isfinite(seen.shut):
        yield "water shut", {"since": seen.shut, "at": float(seen.wort[-1])}


def _of_the_water(basis: DesignBasis, one: Measured, energy: EnergyCheck | None) -> Found:
    """Outlet, inlet and heat."""
    log = one.batch.log
    if log.outlet is not None:
        above = np.where(np.isfinite(log.outlet + log.wort), log.outlet - log.wort, -np.inf)
        if (above > HOTTER).sum() >= FEWEST:
            at = int(above.argmax())
            yield "swapped", {"outlet": float(log.outlet[at]), "wort": float(log.wort[at])}
    tap = basis.brewhouse.tap
    if one.trial.inlet and tap is not None and abs(one.trial.scenario.T_in - tap.temperature) > OTHER_TAP:
        yield "tap", {"inlet": one.trial.scenario.T_in, "told": tap.temperature}
    if energy is not None and not energy.agrees:
        yield "energy", {"closure": energy.closure, "error": energy.error}


def misses_of_flow(found: Posterior, one: Measured, where: slice) -> float | None:
    """By how many standard deviations the fit's flow is off the one that was read [-]; None where none was,
    or where it is no slip."""
    if one.flow is None or found.kept[where.stop] > 0.5:
        return None
    return float(found.misses[where.stop])


def _of_the_flow(one: Measured, missed: float | None) -> Found:
    """A flow that cannot be that of this coil at this supply."""
    if one.flow is not None and missed is not None:
        through = one.flow * math.exp(missed * PRIORS["open_flow"].sd)
        yield "flow", {"read": one.flow, "through": through}


def _of_the_fit(question: Question, found: Posterior, one: Measured, batch: FittedBatch) -> Found:
    """Faster than water allows; another volume or another coil than was told."""
    least = _least_time(one)
    took = float(one.readings.time[-1] - one.readings.time[0]) + PRIORS["start"].sd
    unsure = float(np.hypot(flow_prior(one.trial.basis.brewhouse).sd, one.trial.volume.sd))
    if least is not None and took < least * np.exp(-2.0 * unsure):
        yield "too fast", {"took": took, "least": least}
    coil = _direction(question, one, {TANK: PRIORS[TANK].sd, OWN: PRIORS["own"].sd})
    wort = _direction(question, one, {MASS: one.trial.volume.sd})
    off = float(np.linalg.norm(wort)) * _freed(found, wort)
    if one.trial.volume.name != "weighed" and abs(_far(found, wort)) > FAR_VOLUME and abs(off) < NO_EYE_ERRS:
        told = one.trial.scenario.volume
        brim = one.trial.basis.brewhouse.kettle.capacity
        if told * math.exp(off) > brim:
            yield "brim", {"told": told, "holds": brim}
        else:
            yield "volume", {"told": told, "likely": told * math.exp(off)}
    times = loss_of(question, found)
    if not 1.0 / FAR_LOSS < times < FAR_LOSS:
        yield "loss", {"times": times}
    if abs(_far(found, coil)) > FAR_COIL:
        yield "coil", {"slower": _slower(batch)}


def loss_of(question: Question, found: Posterior) -> float:
    """How many times as much as was thought the kettle is taken to lose by itself [-]."""
    place = next(i for i, u in enumerate(question.unknowns.all) if u.name == "loss")
    return float(PRIORS["loss"].relative(found.mean[place]))


def _slower(batch: FittedBatch) -> float:
    """How many times as late the fitted curve is as cold as both it and the one thought before become."""
    time = batch.curve_time - batch.curve_time[0]
    aim = max(batch.curve_fitted[-1], batch.curve_before[-1])
    fitted, before = (
        float(np.interp(-aim, -curve, time)) for curve in (batch.curve_fitted, batch.curve_before)
    )
    return fitted / before


def _direction(question: Question, one: Measured, spreads: Mapping[str, float]) -> Array:
    """Some unknowns of a batch taken as one, each by its spread; shape (unknowns,)."""
    belongs = question.unknowns.belongs
    all_of_them = question.unknowns.all
    return np.array([spreads.get(u.name, 0.0) if belongs(u, one.trial) else 0.0 for u in all_of_them])


def _far(found: Posterior, direction: Array) -> float:
    """How far off, in standard deviations of all that was known before, what was read lies along it [-].

    A deviate that was standard normal and is known to be m give or take s was measured as m/(1 - s^2), give
    or take s/sqrt(1 - s^2): before, a measurement was to be expected within 1/sqrt(1 - s^2) of nought.
    """
    u = direction / np.linalg.norm(direction)
    return float(u @ found.mean) / math.sqrt(max(1.0 - float(u @ found.cov @ u), 1e-6))


def _freed(found: Posterior, direction: Array) -> float:
    """What it would be by the readings alone, in its own standard deviations [-]."""
    u = direction / np.linalg.norm(direction)
    return float(u @ found.mean) / max(1.0 - float(u @ found.cov @ u), 1e-6)


def _least_time(one: Measured) -> float | None:
    """Seconds between the first reading and the last that water leaving as warm as the wort would take."""
    hot, cold = float(one.readings.wort[0]), float(one.readings.wort[-1])
    if not one.trial.plain or not one.trial.scenario.T_in < cold < hot < water.T_MAX:
        return None
    scenario = replace(one.trial.scenario, T_start=hot, T_target=cold)
    return shortest_time(replace(one.trial.basis, scenario=scenario, switch=None))
