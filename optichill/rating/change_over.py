"""When to change to the next stage, where the plan leaves it open: where the coil costs least over its life.

The sooner ice takes over the less water of the tap runs, and the chill may take longer for it: cost over
the life says which of the two a brewer would rather spare. Ice that is put in is paid for, whatever melts
of it, so the change-over neither saves nor costs any. Only what keeps the limit on time is weighed; where
nothing does, the quickest is taken, and so it is where levels rank that the brewer states, or where neither
waiting nor water costs anything: nothing says then how many minutes a litre is worth.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.thermal.cooldown import Chill
from optichill.workshop.lifetime import Worth

CANDIDATES = 25

SAME_TIME, SAME_SHARE = 20.0, 0.02
"""Chills that differ by no more than this many seconds, or what differs by this share, are the same to a
brewer; and so is what differs by less than a tie over the coil's life."""

SPREAD, SHARES = 0.2, 8
"""Spread of the logarithm of a chill's time over all draws, as most plans have it (OWN), and the equal shares
that stand for it: one run by the medians tells so what the waiting beyond a good time is on average."""

SURELY_KEPT = 1.05
"""What a time must have to spare to be thought to keep its limit by one run (OWN)."""


@dataclass(frozen=True)
class ChangeOvers:
    """Best switch of each design and the range in which it costs, or takes, the same [K]; shape (designs,).
    NaN where no switch meets the target."""

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
    chills = chill_at(which, np.tile(T, designs))
    time = np.where(np.isfinite(chills.time), chills.time, np.inf).reshape(designs, T.size)
    valley = _valley(time, SAME_TIME)
    if _by_cost(basis):
        worth, longest = worth_of(basis), _longest(basis)
        cost = _running_cost(worth, chills).reshape(time.shape)
        in_time = time.min(axis=1) <= longest
        # What is paid wherever the change is tells nothing of how much the same two are.
        paid = worth.batches * worth.ice * chills.iced.reshape(time.shape).min(axis=1, keepdims=True)
        valley = np.where(in_time, _valley(cost - paid, worth.minute, time, longest), valley)
    any_ = np.isfinite(time).any(axis=1)
    told = (np.interp(place, np.arange(T.size), T) for place in valley)
    return ChangeOvers(*(np.where(any_, v, np.nan) for v in told))


def _by_cost(basis: DesignBasis) -> bool:
    """Whether there is a price at which minutes and litres are weighed."""
    worth = worth_of(basis)
    return not basis.brewhouse.wishes.states_levels and max(worth.waiting, worth.water) > 0.0


def _longest(basis: DesignBasis) -> float:
    """The longest time of a run by the medians that surely keeps its limit with its chance [s]."""
    limits = basis.brewhouse.limits
    if limits.chill_time is None:
        return np.inf
    return limits.chill_time / (SURELY_KEPT * float(np.exp(SPREAD * NormalDist().inv_cdf(limits.sure))))


def _running_cost(worth: Worth, chills: Chill) -> Array:
    """What the batches of chills cost over a coil's life [money]; inf where they do not reach the target."""
    bell = NormalDist()
    z = np.array([bell.inv_cdf((i + 0.5) / SHARES) for i in range(SHARES)])
    reached = np.isfinite(chills.time)
    waited = np.exp(SPREAD * z / z.std())[:, None] * np.where(reached, chills.time, 0.0)
    life = worth.lifetime(
        build=0.0,
        beyond=np.maximum(waited - worth.good_time, 0.0).mean(axis=0),
        water=np.where(reached, chills.water, 0.0),
        ice=chills.iced,
        difficulty=0.0,
        roll=0.0,
    )
    return np.where(reached, life.running, np.inf)


def _valley(value: Array, tie: float, time: Array | None = None, longest: float = np.inf) -> Array:
    """Where values are least, and the first and last place where they are the same, in places of the
    candidates: of those that take no longer than the longest time, if there is one. Shape (3, designs)."""
    time, end = value if time is None else time, value.shape[1] - 1.0
    from_, to = _reaches(time, longest), end - _reaches(time[:, ::-1], longest)
    best = np.clip(_lowest_point(value), from_, to)
    least = _between(value, best)
    with np.errstate(invalid="ignore"):
        as_good = least + np.maximum(tie, SAME_SHARE * least)
    first, last = _reaches(value, as_good), end - _reaches(value[:, ::-1], as_good)
    return np.stack([best, np.clip(first, from_, best), np.clip(last, best, to)])


def _lowest_point(value: Array) -> Array:
    """Where the parabola through the least value and its neighbours is lowest, in places of the candidates.
    Values are so flat there that the least one may change with the last digit; this place does not."""
    best = value.argmin(axis=1)
    if value.shape[1] < 3:
        return np.asarray(best, np.float64)
    middle = np.clip(best, 1, value.shape[1] - 2)
    row = np.arange(len(value))
    before, at, after = (value[row, middle + k] for k in (-1, 0, 1))
    with np.errstate(invalid="ignore"):
        bend = before - 2.0 * at + after
        bent = np.isfinite(bend) & (bend > 0.0)
        off = 0.5 * (before - after) / np.where(bent, bend, 1.0)
    return np.asarray(np.where(bent, np.clip(middle + off, 0.0, value.shape[1] - 1.0), best))


def _between(value: Array, place: Array) -> Array:
    """Values at places between the candidates, by straight lines."""
    row, low = np.arange(len(value)), place.astype(np.intp)
    part = place - low
    with np.errstate(invalid="ignore"):
        sloped = (1.0 - part) * value[row, low] + part * value[row, np.minimum(low + 1, value.shape[1] - 1)]
    return np.asarray(np.where(part > 0.0, sloped, value[row, low]))


def _reaches(value: Array, level: Array | float) -> Array:
    """Where the values first come down to a level, in places of the candidates, by straight lines."""
    row, level = np.arange(len(value)), np.broadcast_to(level, len(value))
    place = (value <= level[:, None]).argmax(axis=1)
    before, at = value[row, np.maximum(place - 1, 0)], value[row, place]
    with np.errstate(invalid="ignore"):
        back = (level - at) / np.where(before > at, before - at, np.inf)
    return np.asarray(place - np.where(np.isfinite(back), back, 0.0))


def settled(basis: DesignBasis, found: ChangeOvers) -> Array:
    """Each design's switch [K]; where none meets the target, the latest, which asks for the least ice."""
    return np.where(np.isfinite(found.best), found.best, candidates(basis)[0])
