"""Rows of the space in all draws of what is not known: some hundred of them, the rest like the nearest.

What the draws do to a chill hangs on how long it takes, on surface, bore and valve (`sureness.traits`), and
hardly on anything else: a row that is not looked at has the draws of the nearest one that is, in proportion.
"""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.draws import Draws
from optichill.rating.likely import Samples, samples
from optichill.search.evaluate import Rows, coils
from optichill.search.space import Space
from optichill.search.sureness import TRAITS, traits
from optichill.thermal.batch import Scenario
from optichill.thermal.cooldown import Chill

FULL = 300
"""Most rows that are looked at in every draw."""


def samples_of(space: Space, r: Rows, keep: Index, scenario: Scenario) -> Samples:
    """The kept rows in all draws, those of two tubes worked out apart from the rest."""
    tees = r.shape.on_tees[keep]
    places = [some for some in (np.flatnonzero(~tees), np.flatnonzero(tees)) if some.size]
    parts = [samples(Draws.of(space.basis, scenario.take(p)), coils(space, r, keep[p])) for p in places]
    return Samples.woven(parts, places)


def samples_one_by_one(space: Space, r: Rows, scenario: Scenario) -> Samples:
    """Each row in all draws by itself, as a given coil is worked out: coils that are walked in steps take
    those of whoever is beside them, and are off by some thousandths then."""
    every = [np.array([i]) for i in range(len(r))]
    return Samples.woven([samples_of(space, r, one, scenario.take(one)) for one in every], every)


def samples_of_many(space: Space, r: Rows, result: Chill, scenario: Scenario, full: int = FULL) -> Samples:
    """All rows in all draws; result : their chill by the medians."""
    n = len(r)
    if n <= full:
        return samples_of(space, r, np.arange(n), scenario)
    looked_at = in_every_draw(result.time, full)
    found = samples_of(space, r, looked_at, scenario.take(looked_at))
    near = _nearest(_traits(space, r, result), looked_at)
    own = result.time, result.water - result.filled, result.ice
    return found.like(near, *(ratio(goal, goal[looked_at[near]]) for goal in own))


def in_every_draw(time: Array, full: int = FULL) -> Index:
    """Of rows with these chill times, those that are looked at in every draw: evenly from quick to slow."""
    if time.size <= full:
        return np.arange(time.size)
    places = np.unique(np.linspace(0, time.size - 1, full).astype(np.intp))
    return np.argsort(time, kind="stable")[places]


def _traits(space: Space, r: Rows, result: Chill) -> Array:
    """Traits of all rows, shape (traits, rows)."""
    out = np.empty((len(TRAITS), len(r)))
    for some in (np.flatnonzero(~r.shape.on_tees), np.flatnonzero(r.shape.on_tees)):
        if some.size:
            out[:, some] = traits(coils(space, r, some), result.take(some))
    return out


def _nearest(all_traits: Array, looked_at: Index) -> Index:
    """For each row the place, among those looked at, of the nearest in traits of one weight."""
    scaled = all_traits / np.maximum(np.ptp(all_traits, axis=1), 1e-9)[:, None]
    apart = scaled[:, :, None] - scaled[:, None, looked_at]
    return np.asarray((apart * apart).sum(axis=0).argmin(axis=1))


def ratio(own: Array, other: Array) -> Array:
    """How many times as much; 1 where either is nothing or out of reach."""
    known = np.isfinite(own) & np.isfinite(other) & (other > 0.0)
    return np.where(known, own / np.where(known, other, 1.0), 1.0)
