"""Whether the first coil needs all the ice of its plan: bought ice may be the dearest part of a batch, and
the last of it saves minutes that are worth less. Found by doing it, each amount with its own change-over."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.display import POUND
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.evaluate import rows
from optichill.search.lifetime import lifetime_of
from optichill.search.sampled import samples_of
from optichill.search.space import Space
from optichill.thermal.cooldown import LONGEST

STEP = {"metric": 0.5, "us": POUND}
"""Ice as it is weighed out [kg]."""

AMOUNTS = 6
"""Amounts tried, of those below what the plan has."""

WORTH_IT = 2.0
"""Ties that it saves at least, to be told."""


@dataclass(frozen=True)
class LessIce:
    """So much ice [kg] instead of what a stage had; time : most likely of the chill [s]; saves : over the
    coil's life [money]."""

    stage: int
    ice: float
    had: float
    time: float
    saves: float


def less_ice(space: Space, number: int) -> LessIce | None:
    """For the coil of a row; None where ice costs nothing, or less would not save enough."""
    basis, worth = space.basis, worth_of(space.basis)
    iced = [n for n, stage in enumerate(basis.brewhouse.cooling) if stage.ice]
    if not iced or not worth.ice or basis.brewhouse.wishes.states_levels:
        return None
    stage = iced[-1]
    had = float(basis.brewhouse.cooling[stage].ice or 0.0)
    step, now = STEP[basis.brewhouse.units], _batches(space, basis, number)
    steps = np.arange(1, int(np.ceil(had / step - 1e-6))) * step
    some = steps[np.unique(np.linspace(0, steps.size - 1, min(AMOUNTS, steps.size)).astype(np.intp))]
    best: LessIce | None = None
    for ice in some.tolist():  # a handful
        time, cost = _batches(space, _with_ice(basis, stage, ice), number)
        saves = now[1] - cost
        if np.isfinite(time) and saves > (best.saves if best else WORTH_IT * worth.minute):
            best = LessIce(stage + 1, ice, had, time, saves)
    return best


def _with_ice(basis: DesignBasis, stage: int, ice: float) -> DesignBasis:
    """The same basis with so much ice in a stage."""
    cooling = list(basis.brewhouse.cooling)
    cooling[stage] = cooling[stage].model_copy(update={"ice": ice})
    return basis.restated(basis.brewhouse.model_copy(update={"cooling": tuple(cooling)}))


def _batches(space: Space, basis: DesignBasis, number: int) -> tuple[float, float]:
    """Over all draws: the most likely time [s] where the limit on it is kept, else inf; and cost over the
    life."""
    there, one = replace(space, basis=basis), np.array([number])
    r = rows(there, one)
    drawn = samples_of(there, r, np.arange(1), plan_of_rows(there, one))
    built, limits = drawn.as_built(), basis.brewhouse.limits
    kept = built.quantile("time", limits.sure)[0] <= (limits.chill_time or LONGEST)
    time = float(built.quantile("time", 0.5)[0]) if kept else np.inf
    return time, float(lifetime_of(there, r, drawn).total[0])
