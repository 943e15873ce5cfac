"""Whether a form of another diameter would be worth looking for: few forms stand in a list, and of all that
is chosen for a coil their diameter is the coarse part.

Forms of every 5 mm are tried for the tube, tool and layout that were chosen, bare, at every gap, with as many
turns as hold the limits; all in one chill.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.layouts import LAYOUTS
from optichill.problem.windings import windings
from optichill.problem.worth import worth_of
from optichill.search.designs import Design
from optichill.search.enumeration import Enumeration
from optichill.search.evaluate import chilled, rows
from optichill.search.least import lifetime_by_medians
from optichill.search.space import Space, space

STEP = {"metric": 0.005, "us": 0.00635}
"""Steps of the diameter [m]: 5 mm, 1/4 in."""

SMALLEST = 0.08
"""Smallest form tried [m] (OWN)."""

TURNS = 4
"""Numbers of turns tried of each form and gap, the most first."""

QUICKER = 0.10
"""Share of the time that it must save to be worth a word."""

BETTER = 2.0
"""Ties that it must save over the coil's life."""


@dataclass(frozen=True)
class FormAdvice:
    """A form of this outer diameter [m] in the place of `form_id` would save so much time a batch [s], and so
    much money over the coil's life, with this gap [m] and number of turns."""

    diameter: float
    form_id: str
    time: float
    money: float
    gap: float
    turns: float


def form_advice(enumeration: Enumeration, best: Design, number: int) -> FormAdvice | None:
    """For the coil that comes first, row `number` of the space; None where no form saves enough, where the
    coil has two layers, for those hang on two diameters, and where its form is to be made anyway."""
    if LAYOUTS[best.layout].layers > 1 or best.to_make:
        return None
    basis = enumeration.space.basis
    free = _any_form(enumeration.space, best)
    numbers = _most_turns(free, best)
    if not numbers.size:
        return None
    life, time, holds = _worked_out(enumeration, free, numbers)
    own_life, own_time, _ = _worked_out(enumeration, enumeration.space, np.array([number]))
    if not holds.any():
        return None
    first = int(np.argmin(np.where(holds, life, np.inf)))
    saved, money = float(own_time[0] - time[first]), float(own_life[0] - life[first])
    if not (saved >= QUICKER * own_time[0] and money >= BETTER * worth_of(basis).minute):
        return None
    setup, gap, turns, _ = free.decode(numbers[[first]])
    form = free.wound(int(setup[0]))[0].form
    return FormAdvice(
        form.outer_diameter, best.winding.form.form_id, saved, money, float(gap[0]), float(turns[0])
    )


def _any_form(everything: Space, best: Design) -> Space:
    """The space of one tube and layout on forms of every diameter, as tall as the kettle and as dear as the
    one they stand in for."""
    basis, form = everything.basis, best.winding.form
    brewhouse, step = basis.brewhouse, STEP[basis.brewhouse.units]
    tall = max(form.height, brewhouse.kettle.inside_height)
    sizes = step * np.arange(np.ceil(SMALLEST / step), np.floor(brewhouse.kettle.inside_diameter / step))
    forms = tuple(
        form.model_copy(update={"form_id": f"round {n:04d}", "outer_diameter": float(size), "height": tall})
        for n, size in enumerate(sizes)
    )
    shop = brewhouse.workshop.model_copy(update={"layouts": (best.layout,)})
    changed = replace(
        basis,
        brewhouse=brewhouse.model_copy(update={"workshop": shop}),
        stock=basis.stock.model_copy(update={"forms": forms}),
    )
    tube = best.winding.tube.stock_id
    found = replace(windings(changed, tube=tube), mates=everything.windings.mates)
    free = space(changed, tube=tube, found=found)
    return replace(free, sureness=everything.sureness)


def _most_turns(free: Space, best: Design) -> Index:
    """Rows with the most turns of each bare form and gap, the valve open."""
    outer = free.setups.outer[free.setup]
    ways = np.array([tool == best.winding.tool for _, tool in free.windings.ways])
    helix = np.flatnonzero(ways[free.windings.way[outer]] & (free.windings.wraps[outer] == 0))
    fewer = np.arange(1, TURNS + 1)
    place = free.sure[helix, None] - fewer
    base = (free.first_row[helix, None] + place)[place >= 0]
    return np.asarray(base * len(free.valve_shares))


def _worked_out(enumeration: Enumeration, some: Space, numbers: Index) -> tuple[Array, Array, Mask]:
    """Lifetime cost and time of rows by the medians, and whether they hold every limit."""
    r = rows(some, numbers)
    result, checks = chilled(some, r, np.arange(len(r)), scenario=enumeration.scenario)
    r.checks.merge(checks)
    return lifetime_by_medians(some, r, result), result.time, np.logical_not(r.checks.broken().any(axis=0))
