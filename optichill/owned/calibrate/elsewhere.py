"""Where the thermometer hung: in wort that is left alone one above the turns reads another curve, and a log
that fits badly by what was said of it may fit well by where it was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from optichill.model.cooldown_log import PLACES
from optichill.owned.calibrate.fit import Doubt, MeasuredBatch
from optichill.owned.calibrate.posterior import disagreement, roughly
from optichill.owned.calibrate.question import Question
from optichill.owned.calibrate.told import rms, zip_readings
from optichill.problem.basis import DesignBasis

SURE = 6.0
"""By so much less another place must disagree with what was known to be told: odds of twenty to one, as holds
have it."""


@dataclass(frozen=True)
class Elsewhere:
    """place : of PLACES, by which readings fit better than by the one that was told. misses, elsewhere : root
    mean square of what a fit misses by the one and by the other [K]."""

    place: str
    misses: float
    elsewhere: float


def fits_elsewhere(basis: DesignBasis, question: Question) -> Mapping[str, Elsewhere]:
    """Of each log, by its name, that fits better with its thermometer elsewhere; only where wort stands still
    above the coil do places differ."""
    found = {}
    for one in question.batches:
        if one.trial.stranded > 0.0:
            better = _better(basis, one.batch)
            if better is not None:
                found[one.batch.log.name] = better
    return found


def _better(basis: DesignBasis, batch: MeasuredBatch) -> Elsewhere | None:
    """The place by which a log fits best by far, each tried by itself; None where that is the one told."""
    others = [place for place in PLACES if place != batch.log.place]
    here = _tried(basis, batch, batch.log.place)
    if here[0] < SURE:
        return None
    tried = [(_tried(basis, batch, place), place) for place in others]
    (least, missed), place = min(tried)
    return Elsewhere(place, here[1], missed) if here[0] - least > SURE else None


def _tried(basis: DesignBasis, batch: MeasuredBatch, place: str) -> tuple[float, float]:
    """How badly readings at a place agree with what was known, and what a fit misses of them [K]."""
    asked = Question.of(basis, [replace(batch, log=replace(batch.log, place=place))])
    z = roughly(asked.misses, len(asked.unknowns))
    (one, where), *_ = zip_readings(asked)
    return disagreement(asked.misses, z), rms(asked.misses(z[None])[0][where] * one.sigma)


SAID: Mapping[str, str] = {
    "coil": "beside the turns (--thermometer coil)",
    "top": "near the surface (--thermometer top)",
    "stirred": "in wort that was stirred before each reading (--thermometer stirred)",
}
"""Each place in words, with how it is said."""


def asks(found: Mapping[str, Elsewhere], log: str) -> str:
    """What a refusal of a log asks that makes sense elsewhere; "" of another."""
    if log not in found:
        return ""
    return f"; with the thermometer {SAID[found[log].place]} they make sense: did it hang there?"


def doubted(found: Mapping[str, Elsewhere]) -> tuple[Doubt, ...]:
    """The same as doubts about logs that are not refused."""
    return tuple(
        Doubt(
            log,
            "place",
            {"misses": one.misses, "elsewhere": one.elsewhere, "hung": float(PLACES.index(one.place))},
        )
        for log, one in found.items()
    )
