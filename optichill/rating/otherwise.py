"""The same chill with one thing changed, which tells what it does: stirring, dirt, the last degrees."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from optichill.model.wort import DIRT
from optichill.problem.basis import DesignBasis
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.cooldown import Chill
from optichill.thermal.priors import PRIORS

LAST = {"metric": 3.0, "us": 5.0 / 1.8}
"""The last degrees [K]: 3 degC, or 5 degF."""

MUCH = 0.25
"""Share of the whole time from which on they are told."""


@dataclass(frozen=True)
class Earlier:
    """The chill stopped before its last degrees: at [K], after [s]; likely : the median of all draws [s]."""

    at: float
    time: float
    likely: float | None = None


def scenarios(basis: DesignBasis, scenario: Scenario) -> dict[str, Scenario]:
    """By name: left alone, stirred all along (unless the scenario is that), with cleaner wort, and stopped
    before the last degrees; those that make sense."""
    wort = basis.brewhouse.wort
    found = {
        name: replace(scenario, mixing=mixing)
        for name, mixing in (("alone", Mixing.of("left alone")), ("steady", wort.all_along))
        if mixing != scenario.mixing
    }
    if wort.cleaner is not None:
        by = PRIORS[DIRT[wort.cleaner]].median / PRIORS[wort.dirt_prior].median
        factors = replace(scenario.factors, fouling=scenario.factors.fouling * by)
        found["cleaner"] = replace(scenario, factors=factors)
    at = scenario.T_target + LAST[basis.brewhouse.units]
    if _may_stop(basis, scenario, at):
        found["earlier"] = replace(scenario, T_target=at)
    return found


def chills(
    basis: DesignBasis, scenario: Scenario, as_it_is: Chill, work_out: Callable[[Scenario], Chill]
) -> Mapping[str, Chill]:
    """All of them worked out; what is as the scenario already is, is `as_it_is`."""
    same = {"alone": as_it_is, "steady": as_it_is}
    return same | {name: work_out(other) for name, other in scenarios(basis, scenario).items()}


def _may_stop(basis: DesignBasis, scenario: Scenario, at: float) -> bool:
    """Whether the plan could stop at a temperature [K] in its last stage: those before it end above, no
    hold follows, no change-over would move with it, and no water is added that the target counts on."""
    before = [stage.until for stage in scenario.stages[:-1] if stage.until is not None]
    return (
        scenario.stages[-1].source is not None
        and basis.switch is None
        and basis.brewhouse.wort.top_up is None
        and all(np.all(np.asarray(until) > at) for until in [scenario.T_start, *before])
    )


def earlier_of(basis: DesignBasis, others: Mapping[str, Chill], whole: float, i: int) -> Earlier | None:
    """Where coil number i could stop, if its last degrees take much of the whole time [s]; None else."""
    if "earlier" not in others or not np.isfinite(whole):
        return None
    time = float(others["earlier"].time[i])
    at = basis.scenario.T_target + LAST[basis.brewhouse.units]
    return Earlier(at, time) if whole - time > MUCH * whole else None
