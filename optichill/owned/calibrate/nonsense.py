"""Logs that no chill by this plan can have: a fit to them is one to nothing, and is refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from optichill.arrays import Array
from optichill.display import show
from optichill.errors import shown
from optichill.owned.calibrate.elsewhere import Elsewhere, asks
from optichill.owned.calibrate.fit import Doubt
from optichill.owned.calibrate.posterior import Posterior
from optichill.owned.calibrate.question import Measured, Question
from optichill.owned.calibrate.readings import NothingToFit
from optichill.owned.calibrate.told import rms, zip_readings
from optichill.problem.basis import DesignBasis

COLDER = 2.0
"""Kelvin that wort may be read colder than the coldest water: a tap is known to one, a thermometer too
(OWN)."""

OTHER_UNIT = 8.0
"""Kelvin within which the other unit of temperature makes sense of a first reading (as doubts have it)."""

MOST = 0.5
"""Share of slips from which the readings are of no chill by this plan."""

SIXTY = 60.0
"""Seconds that were taken for minutes make a chill so many times as long."""

NO_WATER = ("late water", "water shut", "pause", "shut by flow")
"""Doubts that say why readings are of no chill: then water did not run."""

EXPLAINED = 0.25
"""Part of what was missed that may be left where another unit of time is the cause."""


NO_SUCH_COIL = 3.5
"""Times as long, or as fast, as the coil should be: no brewer's errors in stating it go so far (OWN)."""

NO_SUCH_LOSS = 5.0
"""Times as much, or as little, as was thought that no kettle loses by itself: six standard deviations
(OWN)."""

WARM = 10.0
"""Kelvin above the water from which a reading tells of a time."""


def refuse_colder_than_water(basis: DesignBasis, question: Question) -> None:
    """Raise NothingToFit where wort was read colder than all water of the plan."""
    for one in question.batches:
        water = min(source.coldest for source in one.trial.scenario.sources)
        coldest = float(one.readings.wort.min())
        if coldest < water - COLDER:
            u, at = basis.brewhouse.units, float(one.readings.time[one.readings.wort.argmin()]) + one.shift
            read, cold = (show(T, "temperature", u) for T in (coldest, water))
            raise NothingToFit(
                f"{shown(one.batch.log.name)}: {read} at minute {at / 60.0:.4g}, colder than the "
                f"coldest water of the plan, {cold}: no wort gets there{_other_unit(basis, one)} "
                "(allowed: readings above it; correct the water in the brewhouse file, or the reading)"
            )


def _other_unit(basis: DesignBasis, one: Measured) -> str:
    """That degC were read as degF, where that makes sense of the first reading."""
    told, first = basis.brewhouse.wort.start_temperature, one.readings.first
    meant = (first - 273.15) * 1.8 + 32.0 + 273.15
    if abs(meant - told) > OTHER_UNIT or abs(first - told) < OTHER_UNIT:
        return ""
    begins = show(meant, "temperature", basis.brewhouse.units)
    return f"; degC that were read as degF? Then it begins at {begins}"


def refuse_no_chill(
    basis: DesignBasis,
    question: Question,
    found: Posterior,
    doubts: Sequence[Doubt],
    hung: Mapping[str, Elsewhere] = MappingProxyType({}),
) -> None:
    """Raise NothingToFit where most readings of a log are slips, or wort came down faster than water can;
    hung : where else the thermometers may have been."""
    for one, where in zip_readings(question):
        log = one.batch.log.name
        told = any(d.log == log and d.kind in NO_WATER for d in doubts)
        slips = "" if told else _mostly_slips(found.kept[where])
        reason = _faster(log, doubts) or slips or _far_off(log, doubts) or _loses(log, doubts)
        if reason:
            hint = _other_clock(basis, one) or asks(hung, log)
            raise NothingToFit(
                f"{shown(log)}: {reason}{hint} (allowed: minutes since the water was turned on; the coil of "
                "that batch, its volume and its water as the files state them)"
            )


def _figures(kind: str, log: str, doubts: Sequence[Doubt]) -> Mapping[str, float]:
    """Of a doubt about a log; empty where there is none."""
    return next((d.figures for d in doubts if (d.kind, d.log) == (kind, log)), {})


def _faster(log: str, doubts: Sequence[Doubt]) -> str:
    """That no coil at all is so fast."""
    quick = _figures("too fast", log, doubts)
    if not quick:
        return ""
    took, least = (show(quick[name], "time") for name in ("took", "least"))
    return f"from the first reading to the last it took {took}, and no coil at all needs less than {least}"


def _mostly_slips(kept: Array) -> str:
    slips = int((kept <= 0.5).sum())
    if slips < MOST * kept.size:
        return ""
    some = f"all {slips}" if slips == kept.size else f"{slips} of the {kept.size}"
    return f"{some} readings looked at are of no chill by this plan, with whatever coil"


def _far_off(log: str, doubts: Sequence[Doubt]) -> str:
    """That times are so far from those of the coil that it was none like it."""
    slower = _figures("coil", log, doubts).get("slower", 1.0)
    if 1.0 / NO_SUCH_COIL < slower < NO_SUCH_COIL:
        return ""
    times, said = (slower, "as long") if slower > 1.0 else (1.0 / slower, "as fast")
    often = f"{times:.0f}" if times < 100.0 else "more than a hundred"
    return f"{often} times {said} as this coil in this kettle should be: another coil, or other water"


def _loses(log: str, doubts: Sequence[Doubt]) -> str:
    """That a kettle loses by itself what none does."""
    times = _figures("loss", log, doubts).get("times", 1.0)
    if 1.0 / NO_SUCH_LOSS < times < NO_SUCH_LOSS:
        return ""
    much = f"{times:.0f} times" if times > 1.0 else f"a {1.0 / times:.0f}th of"
    return (
        f"they ask for a kettle that loses {much} what one loses by itself: water that was shut meanwhile, "
        "minutes that were left out, or another plan"
    )


def _other_clock(basis: DesignBasis, one: Measured) -> str:
    """That seconds and minutes are exchanged, where that explains the readings."""
    water = min(source.coldest for source in one.trial.scenario.sources)
    missed = _missed(basis, one, 1.0)
    if (one.readings.wort > water + WARM).sum() < 2:  # cold wort stays cold at any clock
        return ""
    if _missed(basis, one, SIXTY) < EXPLAINED * missed:
        return (
            "; 60 times as long they make sense: is the column time_min, not time_s, or are points in hours?"
        )
    if _missed(basis, one, 1.0 / SIXTY) < EXPLAINED * missed:
        return '; as seconds these times make sense: time_s in a header, or points such as "300s:60"?'
    return ""


def _missed(basis: DesignBasis, one: Measured, by: float) -> float:
    """What readings miss what was thought before [K], their times so many times as long."""
    log = one.batch.log
    asked = Question.of(basis, [replace(one.batch, log=replace(log, time=by * log.time))])
    (again, where), *_ = zip_readings(asked)
    return rms(asked.misses(np.zeros((1, len(asked.unknowns))))[0][where] * again.sigma)
