"""What rows of the space cost over a coil's life, as the mean over all draws of what is not known.

What a coil has of its own is left out: nobody can know it before buying, so it decides nothing. Ice is paid
for as it is put in, whether it melts or not.
"""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array
from optichill.problem.worth import worth_of
from optichill.rating.likely import Samples
from optichill.search.evaluate import Rows
from optichill.search.space import Space
from optichill.thermal.cooldown import LONGEST
from optichill.workshop.lifetime import Lifetime


def lifetime_of(space: Space, r: Rows, drawn: Samples) -> Lifetime:
    """Of all rows, drawn : the same rows in all draws."""
    worth = worth_of(space.basis)
    waited = np.minimum(drawn.time, LONGEST)
    return worth.lifetime(
        build=r.cost,
        beyond=np.maximum(waited - worth.good_time, 0.0).mean(axis=0),
        water=_mean(drawn.water),
        ice=drawn.iced.mean(axis=0),
        difficulty=r.difficulty,
        roll=np.array([space.wound(s)[0].tube.price or 0.0 for s in r.setup.tolist()]),
    )


def _mean(used: Array) -> Array:
    """Over the draws that come to the target; nothing where none does."""
    known = ~np.isnan(used)
    total: Array = np.where(known, used, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    return total
