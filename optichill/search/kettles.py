"""Several kettles that one coil is to serve: each with its own wort, tap, plan and limits, all on one stock.

A coil is wound once, on the lists of the first brewhouse and as its workshop says; where it stands, how open
its valve is and how it chills each kettle decides for itself. A row of the first kettle's space has its
number in that of every other: the same set-up, gap and turns. Its risers are long enough for the tallest and
the widest rim.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optichill.arrays import Array, Index
from optichill.errors import Freezes
from optichill.problem.basis import DesignBasis, basis_of
from optichill.problem.worth import worth_of
from optichill.search import change_over_of_rows
from optichill.search.enumeration import rows_that_fit
from optichill.search.evaluate import chill_of, rows
from optichill.search.pilots import with_sureness
from optichill.search.sampled import samples_of
from optichill.search.space import Space, space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import LONGEST, Chill
from optichill.workshop.lifetime import Worth

BUILT_ONCE = ("riser", "riser_sides", "smallest_gap", "marking_increment", "layouts", "forms_owned_only")
"""Keys of [workshop] that say how the coil is made: those of the brewhouse whose lists it is made from."""

PILOTS, SHARES = 12, 16
"""Coils that tell how far draws spread about the medians, and in how many equal shares that is kept."""


@dataclass(frozen=True)
class Kettle:
    """One of several. space : the rows of all, in this kettle; scenario : its plan as the search chills it;
    spread : times of a chill over its time by the medians, equal shares of all draws."""

    basis: DesignBasis
    space: Space
    scenario: Scenario
    spread: Array

    @cached_property
    def worth(self) -> Worth:
        """What its batches count."""
        return worth_of(self.basis)

    def numbers(self, base: Index, flow: int = 0) -> Index:
        """Row numbers of coils in this kettle, at one valve setting."""
        return np.asarray(base * len(self.space.valve_shares) + flow)

    def running(self, time: Array, water: Array, ice: Array) -> Array:
        """What its batches cost coils over their lives, reckoned quickly in two ways: by a chill at the
        medians, and spread as its pilots are; shape (2, coils), inf out of reach."""
        reached = np.isfinite(time)
        time = np.where(reached, time, LONGEST)
        spread = np.maximum(np.minimum(time * self.spread[:, None], LONGEST) - self.worth.good_time, 0.0)
        beyond = np.stack([np.maximum(time - self.worth.good_time, 0.0), spread.mean(axis=0)])
        water, ice = np.where(reached, water, 0.0), np.where(reached, ice, 0.0)
        life = self.worth.lifetime(build=0.0, beyond=beyond, water=water, ice=ice, difficulty=0.0, roll=0.0)
        return np.where(reached, life.running, np.inf)


def same_stock(first: DesignBasis, other: DesignBasis, *, bought: bool = False) -> DesignBasis:
    """Another kettle as it is served by coils of the first one's lists: tube, forms, tools, fittings and
    their prices are the first's, and so is how the coil is made; kettle, wort, tap, plan with its pumps,
    limits and wishes its own, and what was measured there. bought : the coil is there already: no budget or
    difficulty is in its way, and turns that stay above the wort are no reason to buy another, they only cool
    nothing."""
    house, lists = other.brewhouse, first.stock
    made = {name: getattr(first.brewhouse.workshop, name) for name in BUILT_ONCE}
    limits = house.limits
    if bought:
        limits = limits.model_copy(update={"budget": None, "difficulty": None})
    kettle = house.kettle
    if bought and kettle.coil_rests != "hangs":
        kettle = kettle.model_copy(update={"top_clearance": -kettle.inside_height})
    changed = {
        "kettle": kettle,
        "workshop": house.workshop.model_copy(update=made),
        "limits": limits,
        "stock": first.brewhouse.stock,
        "units": first.brewhouse.units,
    }
    stock = lists.model_copy(update={"pumps": other.stock.pumps})
    return basis_of(house.model_copy(update=changed), stock, other.calibration)


def kettles_of(
    first: DesignBasis, others: Sequence[DesignBasis], *, tube: str | None = None, form: str | None = None
) -> tuple[Kettle, ...]:
    """All of them, the first one first, over the rows of its space; others : on the same stock."""
    rows_of = space(first, tube=tube, form=form, beside=others)
    every = (first, *others)
    return tuple(
        _kettle(replace(rows_of, basis=own, beside=every[:n] + every[n + 1 :], valve_shares=own.valve_shares))
        for n, own in enumerate(every)
    )


def _kettle(own: Space) -> Kettle:
    basis, scenario = own.basis, own.basis.scenario
    try:
        if basis.switch is not None:
            scenario = basis.with_change_over(change_over_of_rows.for_the_search(own))
        return Kettle(basis, with_sureness(own, scenario), scenario, _spread(own, scenario))
    except Freezes as error:
        raise Freezes(error.stage, basis.brewhouse) from None


def _spread(own: Space, scenario: Scenario) -> Array:
    """Times in all draws over the time by the medians, the mean of coils from all over the space."""
    numbers = rows_that_fit(own, PILOTS)
    if not numbers.size:
        return np.ones(1)
    r = rows(own, numbers)
    known: Chill = chill_of(own, r, np.arange(len(r)), SEARCH, scenario)
    some = np.flatnonzero(np.isfinite(known.time))
    if not some.size:
        return np.ones(1)
    drawn = np.minimum(samples_of(own, r, some, scenario.take(some)).time, LONGEST)
    ratio = np.sort(drawn / known.time[some], axis=0).mean(axis=1)
    return np.array([share.mean() for share in np.array_split(ratio, SHARES)])
