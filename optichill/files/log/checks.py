"""From times and temperatures to a log of one chill: what no wort can be is refused, what is no chill is left
out and told, points and tables alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array
from optichill.display import show, trim
from optichill.errors import InputFault
from optichill.files.log.ends import begins, ends, gaps, told
from optichill.model.cooldown_log import CooldownLog

DAY = 86400.0
BOILS, FREEZES = 378.15, 271.15
"""What wort in an open kettle can have [K]: 102 degC of strong wort at the sea, and a thermometer's error."""

LONGEST_CHILL = 10800.0
"""Seconds of a chill, so many times too long, that are taken for seconds read as minutes (OWN)."""

FEWEST = 3
"""Readings without which nothing is learnt: as owned.calibrate.readings has it."""

LEAST_FALL = 5.0
"""Below which a log tells nothing [K]."""

HARDLY_HOT = 0.3
"""Part of the way from target to start that a log must begin above, at least: else it is of no such chill."""

SLIPS = 0.02
"""Share of a long log's readings that a loose wire may have spoilt."""

MANY = 20
"""Readings from which a log is long."""


@dataclass(frozen=True)
class Expected:
    """What the brewhouse says of every batch: units of its display; wort as it starts and is to become,
    coldest water [K]; holds : whether the plan lets it stand."""

    units: str = "metric"
    hot: float = 371.15
    target: float = 293.15
    coldest: float = 273.15
    holds: bool = False

    @property
    def degrees(self) -> str:
        """The unit of a temperature that says none."""
        return "degF" if self.units == "us" else "degC"


def kelvin(number: float, unit: str) -> float:
    """A number of degC or degF [K]."""
    return (number + 459.67) / 1.8 if unit == "degF" else number + 273.15


def possible(T: float) -> bool:
    """Whether wort can have this temperature [K]."""
    return FREEZES <= T <= BOILS


def why_impossible(number: float, unit: str) -> str:
    """Why no wort can have it, and whether the other unit would make sense of it."""
    colder = kelvin(number, unit) < FREEZES
    reason = "colder than ice water" if colder else "hotter than wort can boil"
    other = "degC" if unit == "degF" else "degF"
    if possible(kelvin(number, other)) and not colder:
        there = f"{trim(kelvin(number, other) - 273.15)} °C"
        return f"{reason}, but {trim(number, 2)} {other} is {there}: is it {other}?"
    return reason


def too_cold(top: float, unit: str, expected: Expected) -> str:
    """Why a log cannot be of this chill whose hottest reading is so cold [K]; "" where it can."""
    if top >= expected.target + HARDLY_HOT * (expected.hot - expected.target):
        return ""
    begins_at = show(expected.hot, "temperature", expected.units)
    reason = f"the hottest reading, the chill begins at {begins_at}"
    if unit == "degF" and possible((top * 1.8 - 459.67) + 273.15):
        as_read = trim(top * 1.8 - 459.67, 1)
        return f"{reason}: {as_read} degF is {trim(top - 273.15)} °C; is it {as_read} degC?"
    return reason


def finished(
    log: CooldownLog,
    file: str,
    columns: Sequence[str],
    unit: str,
    expected: Expected,
    faults: list[InputFault],
) -> CooldownLog | None:
    """The part of a log in which water ran, from when it began; None, and a fault, where there is none.

    file, columns : its name and those of time and wort, for messages; unit : of the wort as written.
    """
    time_key, wort_key = columns
    why = _none_at_all(log, time_key, wort_key, unit, expected)
    if why is None:
        log = _cut(log, expected)
        if log.time.size < 2 or float(np.ptp(log.wort)) < LEAST_FALL:
            fall, least = (
                show(K, "temperature_difference", expected.units)
                for K in (float(np.ptp(log.wort)), LEAST_FALL)
            )
            why = (wort_key, fall, "the wort hardly falls: nothing to learn", f"a fall of {least} or more")
        elif log.wort[-1] >= log.wort[0]:
            first, last = (show(float(T), "temperature", expected.units) for T in log.wort[[0, -1]])
            reason = "the wort gets warmer: no chill"
            why = (wort_key, f"{first}, at last {last}", reason, "readings from hot to cold")
    if why is not None:
        faults.append(InputFault(file, 0, *why))
        return None
    return log


def _none_at_all(
    log: CooldownLog, time_key: str, wort_key: str, unit: str, expected: Expected
) -> tuple[str, str, str, str] | None:
    """Key, what was given, why it is no log of a chill, and what would be; None where it is one."""
    if log.time.size < FEWEST:
        some = ("no reading", "a single reading tells of no cooling", "two readings make a line of no shape")
        allowed = f"{FEWEST} readings or more, the first when the water is turned on"
        return wort_key, "", some[log.time.size], allowed
    span = float(log.time[-1] - log.time[0])
    if span > DAY:
        reason = "more than a day from the first reading to the last"
        if span < 60.0 * LONGEST_CHILL:
            as_seconds = show(span / 60.0, "time")
            reason += (
                f"; as seconds these times are {as_seconds}: time_s in a header, or points such as 300s:60?"
            )
        return time_key, show(span, "time"), reason, "one batch a log: cut out the others"
    cold = too_cold(float(log.wort.max()), unit, expected)
    if cold:
        hottest = show(float(log.wort.max()), "temperature", "us" if unit == "degF" else "metric")
        return wort_key, hottest, cold, f"readings from near the start on, in {unit}"
    return None


def _cut(log: CooldownLog, expected: Expected) -> CooldownLog:
    """Without what was read before the water ran and after it was shut; its time from the beginning."""
    time, wort, flow = log.time, log.wort, log.flow
    if time[0] < 0.0 <= time[-1]:  # a log that counts down to the water
        first = int(np.flatnonzero(time <= 0.0)[-1])
    else:
        first = 0 if expected.holds else begins(time, wort, flow)
    last = time.size - 1
    if not expected.holds:
        cut = None if flow is None else flow[first:]
        last = first + ends(time[first:], wort[first:], cut, expected.coldest)
    said = told(time, wort, first, last, expected.units, by_flow=flow is not None)
    zero = float(time[first]) if first else _counted_from(log, expected, said)
    some = slice(first, last + 1)
    return replace(
        log,
        time=time[some] - zero,
        wort=wort[some],
        outlet=_some(log.outlet, some),
        inlet=_some(log.inlet, some),
        flow=_some(log.flow, some),
        stirred=_some(log.stirred, some),
        remarks=(*log.remarks, *said, *gaps(time[some] - zero, expected.units)),
    )


SAME_HOT = 2.0
"""Wort that is still within so much of where it starts has not been cooled [K] (OWN)."""

NOT_THE_WATER = 3600.0
"""A log whose first reading comes later than this [s] counts from something else."""


def _counted_from(log: CooldownLog, expected: Expected, said: list[str]) -> float:
    """The time that stands for the water's beginning [s], and why it is not 0."""
    at, T = float(log.time[0]), float(log.wort[0])
    if abs(at) < 30.0:
        return 0.0
    hot = T > expected.hot - SAME_HOT
    if 0.0 < at < NOT_THE_WATER and not hot:
        return 0.0
    why = f"it reads {show(T, 'temperature', expected.units)}" if hot else "it comes so late"
    said.append(f"the water is taken to run from the first reading on, {show(at, 'time')}: {why}")
    return at


def _some(values: Array | None, some: slice) -> Array | None:
    """A part of a column; none where nothing in it was read."""
    if values is None or not np.isfinite(values[some]).any():
        return None
    return values[some]
