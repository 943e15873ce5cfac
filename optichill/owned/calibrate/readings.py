"""The readings of one batch as a fit takes them: what says something about its coil, and how sure each is.

A clock that was started long before the water, and wort read on after it was shut, say nothing of the coil;
both are seen in the readings alone. A logger's thousand readings miss the model in the same places: they are
as good as a score of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Mask
from optichill.errors import OptichillError, shown
from optichill.model.cooldown_log import CooldownLog

BLOCKS = 22
"""Into so many a dense log is cut, each told by its medians."""

THERMOMETER, MODEL = 0.5, 0.7
"""How true a kitchen's thermometer is, and how true the model is of a batch of which everything is known [K]
(OWN)."""

APART = 6
"""Into so many stretches of a log the model misses each for itself: within one it misses in one piece, and
more readings of it are no more looks."""

FEWEST = 3
"""Readings without which nothing is fitted: two make a line, and a line has no shape."""

LEAST_BEFORE = 20.0
"""By so much the wort must have cooled before a pause, for what was read before it to count alone [K]
(OWN)."""

LONGER, EVEN = 1.5, 1.8
"""Times as long as those beside it a gap between two readings is, and times as fast as all the others the
paces beside it may be: a slip makes one of them fast."""

LEAST_FALL = 3.0
"""By so much the wort must have cooled [K]."""

FLAT = 1.0
"""Kelvin that readings may differ by and still stay where they are."""

TELLS = 5.0
"""Kelvin that wort would have cooled by meanwhile at the pace of the whole log: then it stood still."""

SHUT = 0.25
"""Share of what was to be expected: less has another cause."""


class NothingToFit(OptichillError):
    """A log says too little."""


@dataclass(frozen=True)
class Readings:
    """time [s] since the water was turned on, as far as that is seen; wort [K]; blocks of a dense log. late :
    by how much the clock was started before the water [s]; shut : when it was turned off again [s], inf
    where it ran to the end; first : what was read first [K]; count : of readings that were taken;
    pause : between which times [s] of the log's clock it stood still on the way: nobody knows how long water
    ran from there on, and no reading after its beginning is taken."""

    time: Array
    wort: Array
    late: float
    shut: float
    first: float
    count: int
    pause: tuple[float, float] | None = None

    @property
    def last(self) -> float:
        """When the last of them was read [s]."""
        return float(self.time[-1])


def readings_of(log: CooldownLog, T_water: float, *, held: bool, one_water: bool = False) -> Readings:
    """T_water [K] : of the coldest water of the plan; held : the plan has a pause, so that standing still is
    part of it; one_water : it has no other water, so that a single gap in which wort stands is a pause."""
    good = np.isfinite(log.time) & np.isfinite(log.wort)
    time, wort = log.time[good], log.wort[good]
    if time.size < FEWEST:
        raise NothingToFit(f"{shown(log.name)}: {time.size} readings (allowed: {FEWEST} or more)")
    first = float(wort[0])
    seen = _blocks(time, wort) if time.size > BLOCKS else (time, wort)
    late, shut = (0.0, np.inf) if held else (_late(*seen, T_water), _shut(*seen, T_water))
    pause = None if held else _pause(*seen, T_water, late, shut)
    if pause is None and one_water and not held:
        pause = _gap(*seen, T_water, late, shut)
    some = (time >= late) & (time <= (shut if pause is None else pause[0]))
    time, wort = time[some] - late, wort[some]
    if pause is not None and (time.size < FEWEST or np.ptp(wort) < LEAST_BEFORE):
        between = " to ".join(f"{t / 60.0:.4g}" for t in pause)
        raise NothingToFit(
            f"{shown(log.name)}: from minute {between} it hardly cools: the water seems to have been shut, "
            "and what was read before says too little (allowed: the minutes of the pause taken off those "
            "that follow, and what was read in it left out)"
        )
    if time.size < FEWEST or wort.max() - wort.min() < LEAST_FALL:
        raise NothingToFit(
            f"{shown(log.name)}: the wort hardly cools (allowed: {FEWEST} readings or more over at least "
            f"{LEAST_FALL:g} degC)"
        )
    count = time.size
    if time[0] <= 0.0 and count > FEWEST:  # how hot the wort was before any water ran says nothing of a coil
        time, wort = time[1:], wort[1:]
    if count > BLOCKS:
        time, wort = _blocks(time, wort)
    return Readings(time, wort, late, shut, first, count, pause)


def sigma(readings: Readings, log: CooldownLog, slope: Array) -> Array:
    """Standard deviation of each reading about the model [K]; slope : how fast the wort cools then [K/s]."""
    read = np.hypot(THERMOMETER, log.thermometer / np.sqrt(12.0))
    clock = np.abs(slope) * log.clock / np.sqrt(12.0)
    model = MODEL * np.sqrt(max(readings.time.size / APART, 1.0))
    return np.asarray(np.sqrt(read**2 + model**2 + clock**2))


def _blocks(time: Array, wort: Array) -> tuple[Array, Array]:
    """Medians of stretches of equal length: of a curve that only falls they lie on it. A thousand readings a
    second apart are no thousand looks at it."""
    edges = np.linspace(time[0], time[-1], BLOCKS + 1)
    block = np.clip(np.searchsorted(edges, time, side="right") - 1, 0, BLOCKS - 1)
    at = [block == i for i in range(BLOCKS)]
    there = [some for some in at if some.any()]
    return np.array([np.median(time[some]) for some in there]), np.array(
        [np.median(wort[some]) for some in there]
    )


def _pace(time: Array, wort: Array, T_water: float) -> float:
    """Share of its difference to the water that wort loses in a second, over all of it [1/s]."""
    hot, cold = max(wort[0] - T_water, FLAT), max(wort[-1] - T_water, FLAT)
    return max(float(np.log(hot / cold)) / max(float(time[-1] - time[0]), 1.0), 0.0)


def _stood_still(time: Array, wort: Array, where: Mask, T_water: float) -> bool:
    """Whether wort was to cool in a stretch and did not."""
    return _stood_still_at(time, wort, where, T_water, _pace(time, wort, T_water))


def _stood_still_at(time: Array, wort: Array, where: Mask, T_water: float, pace: float) -> bool:
    """The same at a pace [1/s] that is known."""
    t, T = time[where], wort[where]
    expected = (T[0] - T_water) * -np.expm1(-pace * (t[-1] - t[0]))
    return bool(expected > TELLS and T[0] - T[-1] < SHUT * expected)


def _late(time: Array, wort: Array, T_water: float) -> float:
    """The last time [s] at which the wort was still as hot as at first, 0 where it cooled at once."""
    last = _unbroken(np.abs(wort - wort[0]) <= FLAT) - 1
    flat = np.arange(time.size) <= last
    return float(time[last]) if last > 0 and _stood_still(time, wort, flat, T_water) else 0.0


def _shut(time: Array, wort: Array, T_water: float) -> float:
    """The first time [s] at which it was as cold as at last, inf where it cooled to the end."""
    count = _unbroken((np.abs(wort - wort[-1]) <= FLAT)[::-1])
    flat = np.arange(time.size) >= time.size - count
    still = count >= FEWEST and _stood_still(time, wort, flat, T_water)
    return float(time[-count]) if still else np.inf


def _pause(time: Array, wort: Array, T_water: float, late: float, shut: float) -> tuple[float, float] | None:
    """From when to when [s] it stood still between falling and falling; the longest such stretch."""
    longest: tuple[float, float] | None = None
    for i in np.flatnonzero((time > late) & (time < shut)):
        count = _unbroken(np.abs(wort[i:] - wort[i]) <= FLAT)
        where = np.arange(time.size)
        flat = (where >= i) & (where < i + count)
        ends = i + count
        if count < FEWEST or ends >= time.size or time[ends - 1] >= shut:
            continue
        lasts = float(time[ends - 1] - time[i])
        if _stood_still(time, wort, flat, T_water) and (longest is None or lasts > longest[1] - longest[0]):
            longest = float(time[i]), float(time[ends - 1])
    return longest


def _gap(time: Array, wort: Array, T_water: float, late: float, shut: float) -> tuple[float, float] | None:
    """From when to when [s] it stood still between two readings that are farther apart than those beside
    them. Before and after it falls no faster than elsewhere: beside a reading that is a slip it does."""
    run = (time >= late) & (time <= shut)
    time, wort = time[run], wort[run]
    if time.size < FEWEST + 2:
        return None
    steps = np.diff(time)
    pace = -np.diff(np.log(np.maximum(wort - T_water, FLAT))) / steps
    i = 1 + int(steps[1:-1].argmax())
    others = float(np.median(np.delete(pace, i)))
    long = steps[i] > LONGER * max(steps[i - 1], steps[i + 1])
    even = bool((pace[[i - 1, i + 1]] < EVEN * others).all())
    pair = np.abs(np.arange(time.size) - i - 0.5) < 1.0
    if long and even and _stood_still_at(time, wort, pair, T_water, others):
        return float(time[i]), float(time[i + 1])
    return None


def _unbroken(true: Mask) -> int:
    """For how many places it is true from the first on."""
    return int(true.size if true.all() else np.argmin(true))
