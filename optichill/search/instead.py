"""Where a limit cannot be moved: what else a person can change to open a coil, found by doing it.

Less wort where the rim would overflow, a smaller form where the mouth is too narrow. Each is tried on the
nearest misses of that limit alone, and said only when a coil then holds everything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Index
from optichill.display import INCH, US_GALLON
from optichill.model.stock import Form
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.windings import windings
from optichill.search.designs import Design, designs
from optichill.search.enumeration import Enumeration, enumerate_space
from optichill.search.evaluate import chilled, rows
from optichill.search.near_misses import KEPT_SLOW
from optichill.search.space import Space, space

STEPS = {
    "headspace": {"metric": 1e-4, "us": 0.05 * US_GALLON},
    "mouth": {"metric": 1e-3, "us": INCH / 8.0},
}
"""Steps in which wort [m3] and forms [m] are told."""

OF_THE_FORM = frozenset(name for name, limit in LIMITS.items() if limit.sides)
"""Limits that a smaller form mends."""

TRIES = 12
"""Sizes tried of each, from the nearest on."""


@dataclass(frozen=True)
class Instead:
    """Hot wort in the kettle [m3] or the diameter of a form [m] from now to what opens a design, on the
    basis that has it. limit : that it mends; form : None for wort."""

    limit: str
    now: float
    to: float
    basis: DesignBasis
    design: Design
    form: Form | None = None


def instead(enumeration: Enumeration, limits: set[str]) -> tuple[Instead, ...]:
    """What opens a design, for each of these limits where something does."""
    found = [
        way(enumeration, missed[:KEPT_SLOW])
        for mended, way in _WAYS.items()
        if limits & mended and (missed := enumeration.dry.within(mended)).size
    ]
    return tuple(one for one in found if one is not None)


def _less_wort(enumeration: Enumeration, numbers: Index) -> Instead | None:
    """The largest batch that leaves a coil its free rim."""
    everything, basis = enumeration.space, enumeration.space.basis
    check = rows(everything, numbers).checks.rows["headspace"]
    wort, step = basis.brewhouse.wort, STEPS["headspace"][basis.brewhouse.units]
    # What is taken out lowers the level by as much as the bare kettle is wide, at least.
    fit = wort.volume + check.margin * basis.brewhouse.kettle.area
    for volume in _some(step * np.floor(fit / step - 1e-6)):
        smaller = {"volume": volume, "smallest_volume": min(wort.smallest_volume, volume)}
        brewhouse = basis.brewhouse.model_copy(update={"wort": wort.model_copy(update=smaller)})
        changed = replace(everything, basis=basis.restated(brewhouse))
        design = _quickest(changed, numbers[fit >= volume])
        if design is not None:
            return Instead("headspace", wort.volume, volume, changed.basis, design)
    return None


def _some(sizes: np.ndarray) -> list[float]:
    """A few of the sizes, the largest first."""
    each = np.unique(sizes[sizes > 0.0])[::-1]
    some = np.unique(np.linspace(0, each.size - 1, min(TRIES, each.size)).astype(np.intp))
    return [float(size) for size in each[some]]


def _quickest(everything: Space, numbers: Index) -> Design | None:
    """Of these rows that hold everything."""
    r = rows(everything, numbers)
    fits = np.flatnonzero(~r.checks.broken().any(axis=0))
    if not fits.size:
        return None
    result, checks = chilled(everything, r, fits)
    time = np.where(checks.broken().any(axis=0), np.inf, result.time)
    best = fits[[int(np.argmin(time))]]
    if not np.isfinite(time.min()):
        return None
    return designs(everything, numbers[best], None, np.zeros(1, np.intp))[0]


def _smaller_form(enumeration: Enumeration, numbers: Index) -> Instead | None:
    """The form of the nearest coil, so much smaller that the coil goes in."""
    everything, basis = enumeration.space, enumeration.space.basis
    r = rows(everything, numbers[:1])
    winding, _, _ = everything.wound(int(r.setup[0]))
    form, step = winding.form, STEPS["mouth"][basis.brewhouse.units]
    # The coil springs open: a form that is smaller by as much makes it smaller by a little more.
    margins = [2.0 / LIMITS[n].sides * float(r.checks.rows[n].margin[0]) for n in OF_THE_FORM]
    fit = form.outer_diameter + min(margins)
    for n in range(TRIES):
        size = step * (math.floor(fit / step - 1e-6) - n)
        if size <= 2.0 * winding.tube.outer_diameter:
            return None
        other = form.model_copy(update={"outer_diameter": size})
        forms = tuple(other if f.form_id == form.form_id else f for f in basis.stock.forms)
        changed = basis.restated(stock=basis.stock.model_copy(update={"forms": forms}))
        design = _first_that_fits(everything, changed, winding.tube.stock_id, form.form_id)
        if design is not None:
            return Instead("mouth", form.outer_diameter, size, changed, design, form)
    return None


def _first_that_fits(everything: Space, basis: DesignBasis, tube: str, form: str) -> Design | None:
    """The quickest coil of one tube on one form; a second one may come out of the rolls that it may in
    everything."""
    wound = replace(windings(basis, tube=tube, form=form), mates=everything.windings.mates)
    found = enumerate_space(space(basis, tube=tube, form=form, found=wound))
    if not found.feasible:
        return None
    best = found.front.number[[int(np.argmin(found.front.goals[:, 0]))]]
    return designs(found.space, best, None, np.zeros(1, np.intp))[0]


_WAYS = {frozenset({"headspace"}): _less_wort, OF_THE_FORM: _smaller_form}
