"""Whether the first coil needs all the ice of its plan: bought ice may be the dearest part of a batch, and
the last of it saves minutes that are worth less. Found by doing it, each amount with its own change-over, by
one rule for a coil that is looked for and for one that somebody has.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from optichill.display import POUND
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.likely import wears_out
from optichill.rating.prediction import Likely
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.evaluate import rows
from optichill.search.lifetime import lifetime_of
from optichill.search.sampled import samples_of
from optichill.search.space import Space
from optichill.thermal.cooldown import LONGEST

STEP = {"metric": 0.5, "us": POUND}
"""Ice as it is weighed out [kg]."""

AMOUNTS = 6
"""Large steps, from all that the plan has down to hardly any."""

WORTH_IT = 2.0
"""Ties that it saves at least, to be told."""


@dataclass(frozen=True)
class LessIce:
    """So much ice [kg] instead of what a stage had; time : most likely of the chill [s]; saves : over the
    coil's life [money]; lasts, lasts_now : chance that it lasts to the end."""

    stage: int
    ice: float
    had: float
    time: float
    saves: float
    lasts: float = 1.0
    lasts_now: float = 1.0


def amount_that_does(had: float, units: str, saves: Callable[[float], float]) -> float | None:
    """Of the amounts below what a plan has [kg], as they are weighed out, the one that saves most.

    saves : what an amount saves [money], minus infinity where it must not be, as all below it then; it has
    one summit. Asked of few: down in large steps while that saves more, then halving towards the next below
    the best, and towards the next above where nothing is better below. None where none saves anything.

    Examples
    --------
    >>> amount_that_does(9.0, "metric", lambda ice: -np.inf if ice < 7.0 else 9.0 - ice)
    7.0
    """
    step, asked = STEP[units], cache(saves)
    most = int(np.ceil(had / step - 1e-6)) - 1
    if most < 1:
        return None
    some = [int(n) for n in np.unique(np.linspace(1, most, min(AMOUNTS, most)).astype(np.intp))]
    place = len(some) - 1
    while place > 0 and asked(some[place - 1] * step) > asked(some[place] * step):
        place -= 1
    best = some[place]
    for end in (some[place - 1] if place else best, some[place + 1] if place + 1 < len(some) else best):
        found = _towards(best, end, lambda n: asked(n * step))
        if found != best:
            best = found
            break
    return best * step if asked(best * step) > 0.0 else None


def _towards(best: int, end: int, saves: Callable[[int], float]) -> int:
    """The best on the way from one that is good to one that is not, by halving what lies between."""
    while abs(end - best) > 1:
        middle = (best + end) // 2
        if saves(middle) > saves(best):
            best = middle
        else:
            end = middle
    return best


def less_ice(space: Space, number: int) -> LessIce | None:
    """For the coil of a row; None where ice costs nothing, or less would not save enough, or would not do
    (`rating.likely.wears_out`)."""
    basis, worth = space.basis, worth_of(space.basis)
    iced = [n for n, stage in enumerate(basis.brewhouse.cooling) if stage.ice]
    if not iced or not worth.ice or basis.brewhouse.wishes.states_levels:
        return None
    stage = iced[-1]
    had = float(basis.brewhouse.cooling[stage].ice or 0.0)
    now, sure = _batches(space, basis, number), basis.brewhouse.limits.sure

    @cache
    def with_(ice: float) -> _Batches:
        return _batches(space, _with_ice(basis, stage, ice), number)

    def saves(ice: float) -> float:
        then = with_(ice)
        bad = not np.isfinite(then.time) or wears_out(now.likely, then.likely, sure)
        return -np.inf if bad else now.cost - then.cost

    ice = amount_that_does(had, basis.brewhouse.units, saves)
    if ice is None or saves(ice) <= WORTH_IT * worth.minute:
        return None
    then = with_(ice)
    often = (float(x.likely.held.get("ice", 1.0)) for x in (then, now))
    return LessIce(stage + 1, ice, had, then.time, saves(ice), *often)


def _with_ice(basis: DesignBasis, stage: int, ice: float) -> DesignBasis:
    """The same basis with so much ice in a stage."""
    cooling = list(basis.brewhouse.cooling)
    cooling[stage] = cooling[stage].model_copy(update={"ice": ice})
    return basis.restated(basis.brewhouse.model_copy(update={"cooling": tuple(cooling)}))


@dataclass(frozen=True)
class _Batches:
    """Over all draws: the most likely time [s] where the limits on it and on water are kept, else inf; cost
    over the life [money]; likely : with the chances of what has to last."""

    time: float
    cost: float
    likely: Likely


def _batches(space: Space, basis: DesignBasis, number: int) -> _Batches:
    there, one = replace(space, basis=basis), np.array([number])
    r = rows(there, one)
    drawn = samples_of(there, r, np.arange(1), plan_of_rows(there, one))
    built, limits = drawn.as_built(), basis.brewhouse.limits
    kept = built.quantile("time", limits.sure)[0] <= (limits.chill_time or LONGEST)
    kept &= limits.water is None or built.quantile("water", 0.5)[0] <= limits.water
    time = float(built.quantile("time", 0.5)[0]) if kept else np.inf
    likely = drawn.likely(limits.chill_time, limits.water)[0]
    return _Batches(time, float(lifetime_of(there, r, drawn).total[0]), likely)
