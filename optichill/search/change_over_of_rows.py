"""When to change to the next stage, for rows of the space: one switch to search with, and each row's own.

The best temperature moves little from coil to coil, so the search uses one for all (the median of some coils'
best) and each design on the front gets its own. The cost is so flat around it that a range of several kelvin
is the same to a minute a batch.
"""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array, Index
from optichill.rating.change_over import (
    ChangeOvers,
    best_change_overs,
    candidates,
    settled,
)
from optichill.search.enumeration import rows_that_fit
from optichill.search.evaluate import chill_of, rows
from optichill.search.space import Space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import Chill

PROBES = 48
"""Coils on which the search's own switch is found: the best one moves little from coil to coil."""


def of_rows(space: Space, numbers: Index) -> ChangeOvers:
    """Best switches of some rows of the space."""
    r = rows(space, numbers)

    def chill_at(which: Index, until: Array) -> Chill:
        return chill_of(space, r, which, SEARCH, space.basis.with_change_over(until))

    return best_change_overs(space.basis, len(r), chill_at)


def one_by_one(space: Space, numbers: Index) -> ChangeOvers:
    """The same of each row by itself, as a given coil is worked out."""
    if not numbers.size:
        return of_rows(space, numbers)
    each = [vars(of_rows(space, numbers[[i]])) for i in range(numbers.size)]
    return ChangeOvers(*(np.concatenate([one[name] for one in each]) for name in ("best", "low", "high")))


def plan_of_rows(space: Space, numbers: Index) -> Scenario:
    """The plan, its free switch set for each of these rows."""
    basis = space.basis
    if basis.switch is None:
        return basis.scenario
    return basis.with_change_over(settled(basis, of_rows(space, numbers)))


def for_the_search(space: Space) -> float:
    """One switch [K] to search with: the median of the best ones of coils from all over the space."""
    basis = space.basis
    found = of_rows(space, rows_that_fit(space, PROBES))
    return float(np.median(settled(basis, found))) if found.best.size else float(candidates(basis)[0])
