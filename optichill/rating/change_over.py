"""When to change to the next stage, where the plan leaves it open: the switch that chills soonest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.basis import DesignBasis
from optichill.thermal.cooldown import Chill

CANDIDATES = 25

SAME_TIME, SAME_SHARE = 20.0, 0.02
"""Chills that differ by no more than this many seconds, or this share, are the same to a brewer."""


@dataclass(frozen=True)
class ChangeOvers:
    """Best switch of each design and the range in which the chill takes as long [K]; shape (designs,). NaN
    where no switch meets the target."""

    best: Array
    low: Array
    high: Array


def candidates(basis: DesignBasis) -> Array:
    """Wort temperatures [K] at which the stage could end, even in ln of the difference to its water."""
    assert basis.switch is not None
    stages = basis.scenario.stages
    source = stages[basis.switch].source
    assert source is not None
    before = [s.until for s in stages[: basis.switch] if isinstance(s.until, float)]
    hot = min([basis.scenario.T_start, *before]) - 0.25
    after = [s.until for s in stages[basis.switch + 1 :] if isinstance(s.until, float)]
    cold = max([source.coldest, basis.scenario.T_target, *after]) + 0.5
    if cold >= hot:
        return np.array([hot])
    return source.coldest + np.geomspace(cold - source.coldest, hot - source.coldest, CANDIDATES)


def best_change_overs(
    basis: DesignBasis, designs: int, chill_at: Callable[[Index, Array], Chill]
) -> ChangeOvers:
    """For `designs` coils. chill_at : chills the coils of the given numbers, each with its own switch [K]."""
    if not designs:
        return ChangeOvers(*np.empty((3, 0)))
    T = candidates(basis)
    which = np.repeat(np.arange(designs), T.size)
    time = chill_at(which, np.tile(T, designs)).time.reshape(designs, T.size)
    reached = np.isfinite(time)
    time = np.where(reached, time, np.inf)
    least = time.min(axis=1)
    with np.errstate(invalid="ignore"):
        as_good = least + np.maximum(SAME_TIME, SAME_SHARE * least)
    first, last = _reaches(time, as_good), T.size - 1.0 - _reaches(time[:, ::-1], as_good)
    best = np.clip(_lowest_point(time), first, last)
    any_ = reached.any(axis=1)
    told = (np.interp(place, np.arange(T.size), T) for place in (best, first, last))
    return ChangeOvers(*(np.where(any_, v, np.nan) for v in told))


def _lowest_point(time: Array) -> Array:
    """Where the parabola through the shortest time and its neighbours is lowest, in places of the candidates.
    Times are so flat there that the shortest one may change with the last digit; this place does not."""
    best = time.argmin(axis=1)
    if time.shape[1] < 3:
        return np.asarray(best, np.float64)
    middle = np.clip(best, 1, time.shape[1] - 2)
    row = np.arange(len(time))
    before, at, after = (time[row, middle + k] for k in (-1, 0, 1))
    with np.errstate(invalid="ignore"):
        bend = before - 2.0 * at + after
        bent = np.isfinite(bend) & (bend > 0.0)
        off = 0.5 * (before - after) / np.where(bent, bend, 1.0)
    return np.asarray(np.where(bent, np.clip(middle + off, 0.0, time.shape[1] - 1.0), best))


def _reaches(time: Array, level: Array) -> Array:
    """Where the times first come down to a level, in places of the candidates, by straight lines."""
    row = np.arange(len(time))
    place = (time <= level[:, None]).argmax(axis=1)
    before, at = time[row, np.maximum(place - 1, 0)], time[row, place]
    with np.errstate(invalid="ignore"):
        back = (level - at) / np.where(before > at, before - at, np.inf)
    return np.asarray(place - np.where(np.isfinite(back), back, 0.0))


def settled(basis: DesignBasis, found: ChangeOvers) -> Array:
    """Each design's switch [K]; where none meets the target, the latest, which asks for the least ice."""
    return np.where(np.isfinite(found.best), found.best, candidates(basis)[0])
