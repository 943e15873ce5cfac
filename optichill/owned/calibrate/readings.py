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
from optichill.owned.calibrate.tap_stage import TapStage, running

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

BESIDE = 1.2
"""The same of a pair of readings that is no farther apart than others."""

AS_FAST = 0.75
"""Times as fast as before wort falls up to a reading that was surely taken before a pause (OWN)."""

HOSES = 90.0
"""Seconds without flow that are no pause yet: hoses are changed between two stages (OWN)."""

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
    ran from there on, and no reading after its beginning is taken; by_flow : whether the log's own flow says
    that."""

    time: Array
    wort: Array
    late: float
    shut: float
    first: float
    count: int
    pause: tuple[float, float] | None = None
    by_flow: bool = False

    @property
    def last(self) -> float:
        """When the last of them was read [s]."""
        return float(self.time[-1])


def readings_of(
    log: CooldownLog,
    T_water: float,
    *,
    held: bool,
    tap: TapStage | None = None,
    paused: tuple[float, float] | None = None,
) -> Readings:
    """T_water [K] : of the coldest water of the plan; held : the plan has a pause, so that standing still is
    part of it; tap : its first stage, in which a single gap where wort stands is a pause: no other water
    takes over; paused : a pause that is known already."""
    good = np.isfinite(log.time) & np.isfinite(log.wort)
    time, wort = log.time[good], log.wort[good]
    if time.size < FEWEST:
        raise NothingToFit(f"{shown(log.name)}: {time.size} readings (allowed: {FEWEST} or more)")
    first = float(wort[0])
    seen = _blocks(time, wort) if time.size > BLOCKS else (time, wort)
    late, shut = (0.0, np.inf) if held else (_late(*seen, T_water), _shut(*seen, T_water))
    by_flow = None if held else _without_flow(log)
    pause = paused or by_flow
    if pause is None and not held:
        pause = _pause(*seen, T_water, late, shut)
    if pause is None and not held and tap is not None:
        pause = _gap(*_above(*seen, tap.until), tap.water, late, shut)
    known = T_water if tap is None else tap.water
    last = shut if pause is None else _running_at(*seen, known, pause, known_off=by_flow is not None)
    some = (time >= late) & (time <= last)
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
    return Readings(time, wort, late, shut, first, count, pause, by_flow is not None)


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


def _without_flow(log: CooldownLog) -> tuple[float, float] | None:
    """The first and the last reading [s] without any flow between such with it: the first stretch that is
    longer than hoses take to be changed."""
    if log.flow is None:
        return None
    read = np.isfinite(log.flow)
    time, runs = log.time[read], running(log)[read]
    turns = np.flatnonzero(np.diff(runs.astype(int)) == -1) + 1
    for begins in turns:
        count = _unbroken(~runs[begins:])
        lasts = float(time[begins + count - 1] - time[begins])
        if begins + count < time.size and lasts >= HOSES:
            return float(time[begins]), float(time[begins + count - 1])
    return None


def stood_still(log: CooldownLog) -> list[tuple[float, float]]:
    """Stretches [s] of readings in which wort cools by no more than a kelvin and is cooled again after, the
    last first: a hop stand loses more, or the water was shut."""
    good = np.isfinite(log.time) & np.isfinite(log.wort)
    time, wort = log.time[good], log.wort[good]
    found = []
    i = 1
    while i < time.size - 1:
        count = _unbroken(np.abs(wort[i:] - wort[i]) <= FLAT)
        if count > 1 and i + count < time.size:
            found.append((float(time[i]), float(time[i + count - 1])))
        i += count
    return found[::-1]


def _running_at(
    time: Array, wort: Array, T_water: float, pause: tuple[float, float], *, known_off: bool
) -> float:
    """The last reading's time [s] that is sure to be before a pause. The first one that stands still was
    taken anywhere in it, unless the wort fell up to it as fast as before; known_off : water was off there."""
    i = int(np.searchsorted(time, pause[0]))
    if i == 0:
        return pause[0]
    if known_off or i < 2:
        return float(time[i - 1])
    pace = -np.diff(np.log(np.maximum(wort[: i + 1] - T_water, FLAT))) / np.diff(time[: i + 1])
    return float(pause[0] if pace[-1] >= AS_FAST * np.median(pace[:-1]) else time[i - 1])


def _above(time: Array, wort: Array, until: float) -> tuple[Array, Array]:
    """The readings before the first that is so cold [K]."""
    some = _unbroken(wort > until)
    return time[:some], wort[:some]


def _gap(time: Array, wort: Array, T_water: float, late: float, shut: float) -> tuple[float, float] | None:
    """From when to when [s] it stood still between two readings; the longest such pair. Before and after it
    falls no faster than elsewhere: beside a reading that is a slip it does. Where they are no farther apart
    than those beside them that must be sure."""
    run = (time >= late) & (time <= shut)
    time, wort = time[run], wort[run]
    if time.size < FEWEST + 2:
        return None
    steps = np.diff(time)
    pace = -np.diff(np.log(np.maximum(wort - T_water, FLAT))) / steps
    longest = 1 + int(steps[1:-1].argmax())
    for i in [longest, *np.flatnonzero(pace < SHUT * np.median(pace)).tolist()]:
        if not 0 < i < pace.size - 1:
            continue
        long = i == longest and steps[i] > LONGER * max(steps[i - 1], steps[i + 1])
        rest = np.delete(pace, i if long else [i - 1, i, i + 1])
        if not long and (rest.size < FEWEST or time.size >= BLOCKS):
            continue  # too little to be sure; a dense log's stretch that stands still has more readings
        others = float(np.median(rest))
        even = bool((pace[[i - 1, i + 1]] < (EVEN if long else BESIDE) * others).all())
        pair = np.abs(np.arange(time.size) - i - 0.5) < 1.0
        if even and _stood_still_at(time, wort, pair, T_water, others):
            return float(time[i]), float(time[i + 1])
    return None


def _unbroken(true: Mask) -> int:
    """For how many places it is true from the first on."""
    return int(true.size if true.all() else np.argmin(true))
