"""Measured batches as a question to the model: what each was, and by how much deviates miss it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import dropwhile

import numpy as np

from optichill.arrays import Array
from optichill.display import show
from optichill.errors import shown
from optichill.model.brewhouse import Brewhouse
from optichill.model.calibration import MeasuredCoil
from optichill.model.cooldown_log import MEASURED_BY, CooldownLog
from optichill.owned.calibrate.energy import energy
from optichill.owned.calibrate.fit import EnergyCheck, MeasuredBatch
from optichill.owned.calibrate.forward import Trial, with_volume
from optichill.owned.calibrate.readings import NothingToFit, Readings, readings_of, sigma
from optichill.owned.calibrate.tap_stage import TapStage, middle, running
from optichill.owned.calibrate.unknowns import START, Unknowns
from optichill.problem.basis import DesignBasis, basis_of
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.priors import PRIORS, Z_90, Prior

BETWEEN = "between two batches"
"""Name of the prior of a volume that may be that of the smallest batch, of the largest, or any between."""

LEAST_IN_WORT = 0.01
"""Share of a tube that wort wets at least where any turn of it is in the wort."""

AT_ONCE = 60.0
"""A first reading within so many seconds tells how hot the wort was [s]."""

HOTTEST = 374.15
"""Wort that boils [K]: what is hotter was read wrongly."""

OTHER_START, FAR_FROM_START = 1.0, 6.0
"""A first reading so far from the start temperature that is told [K] is taken in its place, and doubted."""


@dataclass(frozen=True)
class Measured:
    """One batch with all that a fit takes of it. sigma : standard deviation of its readings [K]; flow : as
    measured [m3/s], None where it was not, or where heat says that it cannot be true; energy : of that;
    flow_until : of the readings' clock, until when the flow is the tap's [s]; tap : its part of the plan,
    None where the plan begins with other water."""

    batch: MeasuredBatch
    trial: Trial
    readings: Readings
    sigma: Array
    flow: float | None
    energy: EnergyCheck | None
    flow_until: float
    tap: TapStage | None

    @property
    def shift(self) -> float:
        """By how much the log's clock is ahead of the readings' [s]."""
        return self.readings.late


@dataclass(frozen=True)
class Question:
    """Batches, what is unknown of them, and the coils they were brewed with. house : the brewhouse as it is
    stated."""

    house: Brewhouse
    batches: tuple[Measured, ...]
    unknowns: Unknowns
    coils: tuple[MeasuredCoil, ...]

    @classmethod
    def of(cls, basis: DesignBasis, batches: Sequence[MeasuredBatch]) -> Question:
        coils: list[MeasuredCoil] = []
        measured = []
        for number, batch in enumerate(batches):
            this = MeasuredCoil.of(batch.coil, batch.coil_name)
            place = next((i for i, coil in enumerate(coils) if coil.is_one_with(this)), len(coils))
            coils += [this] if place == len(coils) else []
            measured.append(_measured(basis, number, place, batch))
        unknowns = Unknowns.of([m.trial for m in measured])
        return cls(basis.brewhouse, tuple(measured), unknowns, tuple(coils)).sharpened(
            np.zeros(len(unknowns))
        )

    def sharpened(self, z: Array) -> Question:
        """The same, with what the clock's steps are worth by the curves at these deviates."""
        batches = []
        for one in self.batches:
            at = one.readings.time
            walk = one.trial.walked(self.unknowns.of_batch(one.trial, z[None]))
            slope = np.interp(at, walk.clock, np.gradient(walk.read[0], walk.clock))
            sharper = sigma(one.readings, one.batch.log, slope)
            # What was found out of the tap was found out at other deviates.
            batches.append(replace(one, sigma=sharper, trial=replace(one.trial)))
        return replace(self, batches=tuple(batches))

    def misses(self, z: Array) -> Array:
        """Model less readings, in standard deviations; z : shape (sets, unknowns). Shape (sets, readings)."""
        return np.hstack([_missed(one, self.unknowns, z) for one in self.batches])


def _missed(one: Measured, unknowns: Unknowns, z: Array) -> Array:
    at = unknowns.of_batch(one.trial, z)
    walk = one.trial.walked(at)
    start = PRIORS["start"].at(at[START])
    out = [(walk.at(one.readings.time, start) - one.readings.wort) / one.sigma]
    if one.flow is not None:
        flow = walk.flow(one.flow_until)
        out.append((np.log(flow / one.flow) / PRIORS["open_flow"].sd)[:, None])
    return np.hstack(out)


def _measured(basis: DesignBasis, number: int, coil: int, batch: MeasuredBatch) -> Measured:
    stops = batch.hold is not None and not batch.hold.counted
    own = basis_of_log(basis, batch.log, stops=stops)
    scenario = own.scenario
    held = any(stage.source is None for stage in scenario.stages)
    coldest = min(source.coldest for source in scenario.sources)
    tap = TapStage.of(own.brewhouse, scenario)
    held = held and not stops
    stands = any(stage.source is None for stage in scenario.stages)
    readings = readings_of(batch.log, coldest, held=held, tap=None if stands else tap, paused=batch.paused)
    trial = Trial.of(
        number,
        (coil, batch.coil),
        own,
        mixing_of(batch.log, scenario.mixing),
        horizon=readings.last,
        place=batch.log.place,
        inlet=_inlet(batch.log, own.brewhouse, tap) is not None,
        volume=volume_prior(basis.brewhouse, batch.log),
        stops=stops,
    )
    _refuse_dry(basis, batch, trial)
    heat = energy(batch.log, trial, readings, tap)
    flow, until = _flow(batch.log, scenario, tap, readings)
    believed = heat is None or heat.agrees
    ones = np.ones(readings.time.size)
    return Measured(batch, trial, readings, ones, flow if believed else None, heat, until, tap)


def _flow(
    log: CooldownLog, scenario: Scenario, tap: TapStage | None, readings: Readings
) -> tuple[float | None, float]:
    """The flow that was read [m3/s], None where it says nothing, and until when [s]: the tap's, as far as it
    ran; without one that of a plan whose water all goes down the drain."""
    if log.flow is None or (tap is None and any(source.returns for source in scenario.sources)):
        return None, readings.last
    if tap is None or tap.is_all:
        return middle(log.flow, running(log)), readings.last
    where = tap.during(log) & running(log) & np.isfinite(log.flow)
    until = float(log.time[where][-1]) - readings.late if where.any() else 0.0
    return (middle(log.flow, where), until) if until > 0.0 else (None, readings.last)


def _refuse_dry(basis: DesignBasis, batch: MeasuredBatch, trial: Trial) -> None:
    """Raise NothingToFit where no turn is in the wort: it would be cooled by nothing."""
    if float(trial.coils.summed("wetted_length")[0]) > LEAST_IN_WORT * float(trial.coils.tube_length.sum()):
        return
    volume = show(trial.basis.hot_volume, "exact_volume", basis.brewhouse.units)
    raise NothingToFit(
        f"{shown(batch.log.name)}: of {volume} no turn of {shown(batch.coil_name)} is in the wort, as it "
        "stands: nothing would cool it (allowed: the volume of that batch, hot, in --volume or the brewhouse "
        "file, that comes over a turn or more; the coil's own height over the floor in its file)"
    )


def basis_of_log(basis: DesignBasis, log: CooldownLog, *, stops: bool = False) -> DesignBasis:
    """The brewhouse as it was that day, and nothing learnt yet. stops : the clock stood during hop stands, so
    that a first reading comes after one that the plan begins with."""
    brewhouse = basis.brewhouse
    between = batches_between(brewhouse, log)
    if log.volume is not None:
        brewhouse = with_volume(brewhouse, log.volume)
    elif between is not None:
        brewhouse = with_volume(brewhouse, math.sqrt(between[0] * between[1]))
    first = _first(log)
    if stops and first is not None:
        later = tuple(dropwhile(lambda stage: stage.is_hold, brewhouse.cooling))
        brewhouse = brewhouse.model_copy(update={"cooling": later})
    if first is not None and abs(first - brewhouse.wort.start_temperature) > OTHER_START:
        started = brewhouse.wort.model_copy(update={"start_temperature": min(first, HOTTEST)})
        brewhouse = brewhouse.model_copy(update={"wort": started})
    inlet = _inlet(log, brewhouse, TapStage.of(brewhouse, basis_of(brewhouse, basis.stock).scenario))
    if inlet is not None and brewhouse.tap is not None:
        measured = brewhouse.tap.model_copy(update={"temperature": inlet})
        brewhouse = brewhouse.model_copy(update={"tap": measured})
    return basis_of(brewhouse, basis.stock)


def batches_between(brewhouse: Brewhouse, log: CooldownLog) -> tuple[float, float] | None:
    """Smallest and largest batch [m3] of a brewhouse that states two, where the log does not say which
    it was."""
    small, large = brewhouse.wort.smallest_volume, brewhouse.wort.volume
    return (small, large) if log.volume is None and small < large else None


def volume_prior(brewhouse: Brewhouse, log: CooldownLog) -> Prior:
    """What is known of a batch's volume: as it was measured; anything between the smallest and the largest
    batch besides, where nobody said which it was."""
    known, between = PRIORS[MEASURED_BY[log.volume_by]], batches_between(brewhouse, log)
    if between is None:
        return known
    # A standard deviation of what lies evenly between two ends is their distance over the root of twelve.
    sd = math.hypot(known.sd, math.log(between[1] / between[0]) / math.sqrt(12.0))
    low, high = (math.exp(by * Z_90 * sd) for by in (-1.0, 1.0))
    return Prior(BETWEEN, "wort's volume", 1.0, low, high, "", "", "OWN")


def mixing_of(log: CooldownLog, usual: Mixing) -> Mixing:
    """How the wort moved, the share of time as it was logged where it was."""
    if log.stirred is None or not np.isfinite(log.stirred).any():
        return usual
    good = np.isfinite(log.stirred)
    time, stirred = log.time[good], log.stirred[good]
    lasts = np.gradient(time) if time.size > 1 else np.ones(1)
    share = float(np.clip((lasts * stirred).sum() / max(float(lasts.sum()), 1e-9), 0.0, 1.0))
    if share == 0.0:
        return Mixing.of("left alone", usual.swirl)
    base = Mixing.of("steady", usual.swirl) if usual.speed * usual.share == 0.0 else usual
    return replace(base, share=share, share_prior="stated share")


def _first(log: CooldownLog) -> float | None:
    """How hot the wort was at first [K], where that was read."""
    good = np.flatnonzero(np.isfinite(log.time) & np.isfinite(log.wort))
    if not good.size or log.time[good[0]] > max(AT_ONCE, log.clock):
        return None
    return float(log.wort[good[0]])


def _inlet(log: CooldownLog, brewhouse: Brewhouse, tap: TapStage | None) -> float | None:
    """The tap as it was measured with the batch [K], None where it was not, or where the plan does not begin
    with it."""
    if tap is None or brewhouse.tap is None or log.inlet is None:
        return None
    return middle(log.inlet, tap.during(log) & running(log))
