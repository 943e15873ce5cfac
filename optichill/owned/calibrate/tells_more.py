"""What would teach most about a coil that is yet to be built: one more reading, or another batch.

By straight lines about the fit: each look's slopes shrink the joint law as a measurement does, and what is
left of it spreads the logarithm of the next coil's time. The next coil has a thicker and longer tube.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array
from optichill.owned.calibrate.fit import Advice
from optichill.owned.calibrate.forward import Trial, Walk, stretched
from optichill.owned.calibrate.posterior import STEP, Posterior
from optichill.owned.calibrate.question import Measured, Question
from optichill.owned.calibrate.readings import MODEL, THERMOMETER
from optichill.owned.calibrate.unknowns import MASS, START, Unknowns
from optichill.problem.basis import DesignBasis
from optichill.problem.uncertain import flow_prior, tap_prior
from optichill.thermal.batch import Mixing
from optichill.thermal.priors import PRIORS, Prior

WORTH_IT = 0.10
"""Share by which the spread must shrink to be told."""

LATER = 1.3
"""Times as late as the last reading one more may come."""

LOOKS = 24
"""Times at which one more reading is tried."""

OF_ANOTHER_BATCH = 8
"""Readings of a batch that is yet to be brewed."""

LARGER, SMALLER = 1.4, 0.75
"""Tube and length of the next coil, and of another one to brew with, in those of the measured one (OWN)."""

HORIZON = 2.0
"""Times as long as the log lasted the next coil is followed."""

ABOVE = 0.5
"""Kelvin above the coldest that it comes to, where it does not come to the target."""


_Look = tuple[str, dict[str, float], Array]
"""A kind of advice, its figures, and the slopes of what would be read by all unknowns, in standard
deviations; shape (readings, unknowns)."""


@dataclass(frozen=True)
class _Known:
    """All that is unknown of batches brewed and to be brewed: where it is thought to be, and how sure; aim :
    slopes of the logarithm of the next coil's time."""

    unknowns: Unknowns
    mean: Array
    cov: Array
    aim: Array

    def spread(self, seen: Array | None = None) -> float:
        """Of the logarithm of the next coil's time, after some more looks [-]."""
        cov = self.cov
        if seen is not None:
            gain = cov @ seen.T @ np.linalg.inv(seen @ cov @ seen.T + np.eye(len(seen)))
            cov = cov - gain @ seen @ cov
        return math.sqrt(max(float(self.aim @ cov @ self.aim), 1e-12))


def tells_more(basis: DesignBasis, question: Question, found: Posterior) -> tuple[Advice, ...]:
    """Whatever shrinks the spread of a next coil's time by a tenth or more, most first; where nothing
    does, what shrinks it most."""
    last = question.batches[-1]
    next_coil = _next(basis, last.trial)
    others = _others(basis, last.trial)
    known = _widened(question, found, next_coil, [trial for _, trial in others], basis.scenario.T_target)
    looks = [*_reading(known, last), *_checks(basis, known, last)]
    looks += [(kind, {}, _of_a_batch(known, trial, last)) for kind, trial in others]
    before = known.spread()
    out = [Advice(kind, 1.0 - known.spread(seen) / before, figures) for kind, figures, seen in looks]
    best: dict[str, Advice] = {}
    for advice in sorted(out, key=lambda a: -a.shrinks):
        if advice.shrinks >= WORTH_IT or not best:
            best.setdefault(advice.kind, advice)
    return tuple(best.values())


def _next(basis: DesignBasis, trial: Trial) -> Trial:
    """The next coil on another day, stirred as the brewhouse says."""
    coil = stretched(trial.coils, LARGER)
    return replace(
        trial,
        number=-1,
        coil=-1,
        coils=coil,
        scenario=replace(trial.scenario, mixing=basis.scenario.mixing),
        horizon=HORIZON * trial.horizon,
        inlet=False,
        volume=PRIORS[MASS],
    )


def _others(basis: DesignBasis, trial: Trial) -> list[tuple[str, Trial]]:
    """Batches that could be brewed."""
    mixing, swirl = trial.scenario.mixing, trial.scenario.mixing.swirl
    another = stretched(trial.coils, SMALLER)
    ways = [("again", mixing, trial.coil, trial.coils), ("another coil", mixing, -2, another)]
    for word in ("steady", "left alone"):
        if Mixing.of(word, swirl) != mixing:
            ways.append((word, Mixing.of(word, swirl), trial.coil, trial.coils))
    out = [
        (
            kind,
            replace(
                trial, number=-2 - i, coil=coil, coils=coils, scenario=replace(trial.scenario, mixing=mixing)
            ),
        )
        for i, (kind, mixing, coil, coils) in enumerate(ways)
    ]
    if trial.stranded > 0.0 and trial.place == "coil":  # wort stands still above it, and is not seen
        out.append(("stirred", replace(trial, number=-2 - len(out), place="stirred")))
    return out


def _widened(
    question: Question, found: Posterior, next_coil: Trial, others: Sequence[Trial], T_target: float
) -> _Known:
    """The law with all that belongs to other batches and coils beside it."""
    unknowns = Unknowns.of([*(one.trial for one in question.batches), next_coil, *others])
    n = len(unknowns)
    places = [unknowns.places[key] for key in question.unknowns.places]
    mean, cov = np.zeros(n), np.eye(n)
    mean[places] = found.mean
    cov[np.ix_(places, places)] = found.cov

    def log_time(walk: Walk, at: dict[str, Array]) -> Array:
        # Where the wort does not come so far the coldest that all sets come to is as good an aim.
        aim = max(T_target, float(walk.mean[:, -1].max()) + ABOVE)
        return np.log(walk.time_to(aim))[:, None]

    return _Known(
        unknowns, mean, cov, _slopes(unknowns, mean, next_coil, log_time, question.batches[-1].trial)[0]
    )


def _slopes(
    unknowns: Unknowns,
    mean: Array,
    trial: Trial,
    told: Callable[[Walk, dict[str, Array]], Array],
    like: Trial,
) -> Array:
    """Of what is told of a batch, by all unknowns; like : a batch that was fitted; shape (values,
    unknowns)."""
    trial = trial.taking(like)
    acts = np.flatnonzero([unknowns.belongs(u, trial) for u in unknowns.all])
    steps = STEP * np.eye(len(unknowns))[acts]
    at = unknowns.of_batch(trial, np.concatenate([mean + steps, mean - steps]))
    values = told(trial.walked(at), at)
    out = np.zeros((values.shape[1], len(unknowns)))
    out[:, acts] = (values[: acts.size] - values[acts.size :]).T / (2.0 * STEP)
    return out


def _read_at(time: Array, noise: float) -> Callable[[Walk, dict[str, Array]], Array]:
    """Readings at some times [s], in standard deviations."""
    return lambda walk, at: walk.at(time, PRIORS[START].at(at[START])) / noise


NOISE = float(np.hypot(MODEL, THERMOMETER))


def _reading(known: _Known, last: Measured) -> Iterator[_Look]:
    """One more reading of the last batch, at any time."""
    time = np.linspace(0.0, LATER * last.readings.last, LOOKS + 1)[1:]
    trial = replace(last.trial, horizon=LATER * last.trial.horizon)
    seen = _slopes(known.unknowns, known.mean, trial, _read_at(time, NOISE), last.trial)
    return (
        ("reading", {"time": float(t + last.shift)}, row[None]) for t, row in zip(time, seen, strict=True)
    )


def _of_a_batch(known: _Known, trial: Trial, last: Measured) -> Array:
    """Readings of a batch that is yet to be brewed, read as long as the last one."""
    time = np.linspace(0.0, last.readings.last, OF_ANOTHER_BATCH + 1)[1:]
    return _slopes(known.unknowns, known.mean, trial, _read_at(time, NOISE), last.trial)


def _checks(basis: DesignBasis, known: _Known, last: Measured) -> Iterator[_Look]:
    """The stick, the bucket and the thermometer in the tap."""
    places = known.unknowns.places
    house = basis.brewhouse

    def of(key: tuple[str, str, int | None], prior: Prior, known_to: str) -> Array:
        row = np.zeros((1, len(known.unknowns)))
        row[0, places[key]] = prior.sd / PRIORS[known_to].sd
        return row

    if last.trial.volume.name != "weighed":
        volume = last.trial.volume
        yield "stick", {}, of((MASS, volume.name, last.trial.number), volume, "weighed")
    for name, prior, known_to in (
        ("open_flow", flow_prior(house).name, "open_flow"),
        ("tap", tap_prior(house).name, "tap"),
    ):
        if prior != known_to and (name, prior, None) in places:
            yield (
                "bucket" if name == "open_flow" else "tap",
                {},
                of((name, prior, None), PRIORS[prior], known_to),
            )
