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
    best = time.argmin(axis=1)
    least = time.min(axis=1)
    with np.errstate(invalid="ignore"):
        alike = time <= (least + np.maximum(SAME_TIME, SAME_SHARE * least))[:, None]
    any_ = reached.any(axis=1)
    low = np.where(alike, T, np.inf).min(axis=1)
    high = np.where(alike, T, -np.inf).max(axis=1)
    return ChangeOvers(*(np.where(any_, v, np.nan) for v in (T[best], low, high)))


def settled(basis: DesignBasis, found: ChangeOvers) -> Array:
    """Each design's switch [K]; where none meets the target, the latest, which asks for the least ice."""
    return np.where(np.isfinite(found.best), found.best, candidates(basis)[0])
