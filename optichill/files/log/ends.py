"""Where in a log the water began to run and where it was shut: what lies before and after is no chill."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array
from optichill.display import show

LEAST_READINGS = 4
"""Below which nothing is left out."""

GRID, LOOK = 30.0, 60.0
"""Seconds in which a log is walked, and over which it is asked how fast the wort falls."""

QUIET, OPEN_KETTLE = 0.3, 1.2 / 60.0
"""Share of the fastest fall below which water does not run yet; and what an open kettle loses by itself, at
most [K/s]: a tenth of its wort an hour in steam is 0.9 K a minute (OWN)."""

LEVEL, LONG, FAR = 0.7, 180.0, 5.0
"""Wort that stays within so much [K] for so long [s], so far above the coldest water [K], is not cooled."""

BY_ITSELF, WHILE, TRIED = 0.003, 1200.0, 200
"""What a kettle of warm wort loses by itself, at most [K/s], and for how long that is let pass [s]; so many
readings are tried as the last one."""

RISES = 1.0
"""By so much wort rises at the end of a log whose water was shut [K]: stirring alone may do less."""


def begins(time: Array, wort: Array, flow: Array | None) -> int:
    """Number of the reading at which the water was turned on: 0 where all are of the chill."""
    if flow is not None and _runs(flow).any():
        return max(int(np.flatnonzero(_runs(flow))[0]) - 1, 0)
    if time.size < LEAST_READINGS:
        return 0
    grid = np.arange(time[0], time[-1] - LOOK, GRID)
    if grid.size < 2:
        return 0
    fall = (np.interp(grid, time, wort) - np.interp(grid + LOOK, time, wort)) / LOOK
    hot = np.interp(grid, time, wort) > wort.max() - 0.2 * np.ptp(wort)
    quiet = (fall < min(QUIET * float(fall.max()), OPEN_KETTLE)) & hot
    # What heats up is quiet too, and steam wanders by a degree: all before the last such stretch at the top.
    still = np.flatnonzero(quiet)
    if not still.size or grid[still[-1]] - grid[0] < LOOK:
        return 0
    until = grid[still[-1]] + LOOK
    return int(np.flatnonzero(time <= until + 1e-9)[-1])


def ends(time: Array, wort: Array, flow: Array | None, coldest: float) -> int:
    """Number of the last reading with water running; coldest : of all water of the plan [K]."""
    last = time.size - 1
    if flow is not None and _runs(flow).any():
        last = min(int(np.flatnonzero(_runs(flow))[-1]) + 1, last)
    if last + 1 < LEAST_READINGS:
        return last
    lowest = int(np.flatnonzero(wort[: last + 1] <= wort[: last + 1].min() + 0.05)[-1])
    after = wort[lowest + 1 : last + 1]
    if after.size and wort[last] - wort[lowest] > RISES and np.median(after) - wort[lowest] > 0.5 * RISES:
        last = lowest
    return _level_from(time[: last + 1], wort[: last + 1], coldest)


def _level_from(time: Array, wort: Array, coldest: float) -> int:
    """The reading from which wort hardly falls any more though water would cool it; else the last."""
    last, clearest = time.size - 1, (0.0, time.size - 1)
    yet_to_fall = wort - np.minimum.accumulate(wort[::-1])[::-1]
    long = time[-1] - time
    slow = (
        (yet_to_fall <= LEVEL + BY_ITSELF * np.minimum(long, WHILE)) & (long >= LONG) & (wort - coldest > FAR)
    )
    found = np.flatnonzero(slow[: max(last - 1, 0)])
    for first in found[:: max(found.size // TRIED, 1)].tolist():
        before = np.flatnonzero(wort[:first] >= wort[first] + 3.0)
        if not before.size:
            continue
        above, i = wort[first] - coldest, int(before[-1])
        pace = np.log((wort[i] - coldest) / above) / (time[first] - time[i])
        # Half the pace it had would have shown.
        due = above * (1.0 - np.exp(-0.5 * pace * long[first]))
        soon = min(int(np.searchsorted(time, time[first] + LOOK)), last)
        if wort[first] - wort[soon] > LEVEL + QUIET * pace * above * (time[soon] - time[first]):
            continue  # it still falls there
        if due > 3.0 * yet_to_fall[first] + 1.0:
            clearest = max(clearest, (float(due / (yet_to_fall[first] + 1.0)), first))
    return clearest[1]


def _runs(flow: Array) -> Array:
    """Where water runs."""
    some = flow[np.isfinite(flow) & (flow > 0.0)]
    if not some.size:
        return np.zeros(flow.size, bool)
    return np.asarray(flow > 0.1 * np.median(some))


def told(time: Array, wort: Array, first: int, last: int, units: str, *, by_flow: bool = False) -> list[str]:
    """What was left out, in words. by_flow : whether the log's own flow says when water ran."""
    said = []
    if first:
        away = show(float(time[first] - time[0]), "time", units)
        why = (
            "no water ran yet" if by_flow else "the wort stays hot, so the water is taken to run from then on"
        )
        said.append(f"the first {away} left out: {why} ({show(float(wort[first]), 'temperature', units)})")
    if last < time.size - 1:
        rest = show(float(time[-1] - time[last]), "time", units)
        from_there = show(float(time[last] - time[first]), "time", units)
        at = show(float(wort[last]), "temperature", units)
        stays = f"the wort hardly falls below {at}, or warms: the water is taken to have been shut"
        why = "no water ran any more" if by_flow else stays
        said.append(f"the last {rest} left out: from {from_there} on {why}")
    return said


def gaps(time: Array, units: str) -> list[str]:
    """The longest stretch without a reading, where it is a gap among readings that are close."""
    if time.size < 2 * LEAST_READINGS:
        return []
    steps = np.diff(time)
    at = int(np.argmax(steps))
    if steps[at] <= max(120.0, 5.0 * float(np.median(steps))):
        return []
    between = " to ".join(f"{t / 60.0:.0f}" for t in (time[at], time[at + 1]))
    return [f"nothing was read from minute {between}"]
