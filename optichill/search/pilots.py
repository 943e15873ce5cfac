"""Rows from all over the space that are looked at in all draws before a search, for what they share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optichill.arrays import Index
from optichill.search.enumeration import rows_that_fit
from optichill.search.evaluate import Rows, chill_of, coils, rows
from optichill.search.sampled import samples_of
from optichill.search.space import Space
from optichill.search.space import space as space_of
from optichill.search.sureness import FEWEST, Sureness
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import Chill

PILOTS = 48
"""Rows looked at."""

MANY = 512
"""Rows chilled by the medians where hardly any of the first come to the target."""


def sureness(space: Space, scenario: Scenario) -> Sureness | None:
    """What keeping the limit on time with its chance costs; None without such a limit. Two tubes on tees are
    taken to be like the others, where there are others. Coils past the brewer's other limits teach it too:
    where a budget leaves only slow ones, they say little of the quick ones that more money would open."""
    limits = space.basis.brewhouse.limits
    space = space_of(space.basis, tube=space.tube, form=space.form, open_to=space.limited)
    numbers = rows_that_fit(space, PILOTS) if limits.chill_time is not None else np.empty(0, np.intp)
    if not numbers.size:
        return None
    r, some, by_medians = _chilled(space, numbers, scenario)
    if np.isfinite(by_medians.time).sum() < FEWEST:
        # Few come to the target at all: of many more those that do.
        r, some, by_medians = _chilled(space, rows_that_fit(space, MANY, MANY * 32), scenario)
        there = np.flatnonzero(np.isfinite(by_medians.time))
        if there.size:
            there = there[np.unique(np.linspace(0, there.size - 1, PILOTS).astype(np.intp))]
            some, by_medians = some[there], by_medians.take(there)
    kept = samples_of(space, r, some, scenario).as_built().quantile("time", limits.sure)
    return Sureness.fitted(coils(space, r, some), by_medians, kept, limits.chill_time or np.inf)


def _chilled(space: Space, numbers: Index, scenario: Scenario) -> tuple[Rows, Index, Chill]:
    """Rows at all valve settings in turn; those that are looked at, and their chill by the medians."""
    shares = np.arange(numbers.size) % len(space.valve_shares)
    r = rows(space, numbers + shares)
    tees = r.shape.on_tees
    some = np.flatnonzero(tees if tees.all() else ~tees)
    return r, some, chill_of(space, r, some, SEARCH, scenario)


def with_sureness(space: Space, scenario: Scenario) -> Space:
    """The space with what its limit on time costs."""
    return replace(space, sureness=sureness(space, scenario))
