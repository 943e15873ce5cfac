"""What rows of the space cost over a coil's life, as the mean over all draws of what is not known.

What a coil has of its own is left out: nobody can know it before buying, so it decides nothing. Ice is paid
for as it is put in, whether it melts or not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array
from optichill.problem.worth import worth_of
from optichill.rating.likely import Samples
from optichill.search.evaluate import Rows
from optichill.search.space import Space
from optichill.thermal.cooldown import LONGEST
from optichill.workshop.lifetime import Lifetime, Worth


@dataclass(frozen=True)
class Needs:
    """What rows need before it is priced, as `Worth.lifetime` takes it; arrays of shape (rows,)."""

    build: Array
    beyond: Array
    water: Array
    ice: Array
    difficulty: Array
    roll: Array

    def priced(self, worth: Worth) -> Lifetime:
        """What they cost over their lives."""
        return worth.lifetime(**vars(self))


def lifetime_of(space: Space, r: Rows, drawn: Samples) -> Lifetime:
    """Of all rows, drawn : the same rows in all draws."""
    worth = worth_of(space.basis)
    return needs_of(space, r, drawn, worth.good_time).priced(worth)


def in_every_draw(space: Space, r: Rows, drawn: Samples) -> Lifetime:
    """The same draw by draw: what hangs on the batch in arrays of shape (draws, designs), whose means are
    those of `lifetime_of`."""
    worth = worth_of(space.basis)
    return Needs(**_building(space, r), **of_batches(drawn, worth.good_time)).priced(worth)


def needs_of(space: Space, r: Rows, drawn: Samples, good_time: float) -> Needs:
    """Of all rows, drawn : the same rows in all draws; waiting up to good_time [s] is no loss."""
    return Needs(**_building(space, r), **used_by_a_batch(drawn, good_time))


def used_by_a_batch(drawn: Samples, good_time: float) -> dict[str, Array]:
    """What a batch takes as the mean over all draws, by name as `Worth.lifetime` takes it; arrays of shape
    (designs,)."""
    return {name: draws.mean(axis=0) for name, draws in of_batches(drawn, good_time).items()}


def _building(space: Space, r: Rows) -> dict[str, Array]:
    """What building takes."""
    return {"build": r.cost, "difficulty": r.difficulty, "roll": space.setups.get("tube_price", r.setup)}


def of_batches(drawn: Samples, good_time: float) -> dict[str, Array]:
    """What a batch takes in every draw: waiting beyond a good time [s], water [m3], ice put in [kg]."""
    beyond = np.maximum(np.minimum(drawn.time, LONGEST) - good_time, 0.0)
    return {"beyond": beyond, "water": _filled(drawn.water), "ice": drawn.iced}


def _filled(used: Array) -> Array:
    """A draw that does not come to the target uses what the others do on average; nothing where none does."""
    known = ~np.isnan(used)
    mean = np.where(known, used, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    return np.where(known, used, mean)
