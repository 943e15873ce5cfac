"""What rows of the space cost over a coil's life, as the mean over all draws of what is not known.

What a coil has of its own is left out: nobody can know it before buying, so it decides nothing.
"""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array
from optichill.problem.worth import worth_of
from optichill.rating.likely import Samples
from optichill.search.evaluate import Rows
from optichill.search.space import Space
from optichill.thermal.cooldown import LONGEST
from optichill.workshop.lifetime import Lifetime, Worth


def lifetime_of(space: Space, r: Rows, drawn: Samples) -> Lifetime:
    """Of all rows, drawn : the same rows in all draws."""
    return _lifetime(space, r, *(used.mean(axis=0) for used in _batches(drawn, worth_of(space.basis))))


def in_every_draw(space: Space, r: Rows, drawn: Samples) -> Lifetime:
    """The same draw by draw: what hangs on the batch in arrays of shape (draws, designs), whose means are
    those of `lifetime_of`."""
    return _lifetime(space, r, *_batches(drawn, worth_of(space.basis)))


def _lifetime(space: Space, r: Rows, beyond: Array, water: Array, ice: Array) -> Lifetime:
    return worth_of(space.basis).lifetime(
        build=r.cost,
        beyond=beyond,
        water=water,
        ice=ice,
        difficulty=r.difficulty,
        roll=np.array([space.wound(s)[0].tube.price or 0.0 for s in r.setup.tolist()]),
    )


def _batches(drawn: Samples, worth: Worth) -> tuple[Array, Array, Array]:
    """Waiting beyond a good time [s], water [m3] and ice [kg] of a batch in every draw."""
    beyond = np.maximum(np.minimum(drawn.time, LONGEST) - worth.good_time, 0.0)
    return beyond, _filled(drawn.water), _filled(drawn.ice)


def _filled(used: Array) -> Array:
    """A draw that does not come to the target uses what the others do on average; nothing where none does."""
    known = ~np.isnan(used)
    mean = np.where(known, used, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    return np.where(known, used, mean)
