"""What a build costs: what is bought, in which quantity, for how much.

Whole rolls are bought and the off-cut is only reported. What the brewer owns costs nothing and is listed as
already yours. Prices are in the stock list's currency; which fittings are bought says `fittings`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.workshop.fittings import EndSet, Item, to_pay


@dataclass(frozen=True)
class Purchase:
    """A whole thing that is bought once: the roll, the form, a bender, a pump."""

    what: str
    price: float
    owned: bool = False
    unit: str = "piece"
    part: str = ""


@dataclass(frozen=True)
class Bill:
    """Everything that one design needs, and its total; missing : as in `EndSet`; d_o : of the tube [m]."""

    items: tuple[Item, ...]
    missing: tuple[str, ...] = ()
    d_o: float = 0.0

    @property
    def total(self) -> float:
        """Sum of the prices."""
        return sum(item.price for item in self.items)


def total_cost(
    things: ArrayLike,
    ends: ArrayLike,
    lacing_pieces: ArrayLike = 0.0,
    lacing_per_metre: ArrayLike = 0.0,
    lacing: ArrayLike = 0.0,
    feet_per_metre: ArrayLike = 0.0,
    feet: ArrayLike = 0.0,
) -> Array:
    """Total of many candidates at once, from prices to pay (0 for what is owned); as `itemised_bill` adds it.

    Parameters
    ----------
    things, ends, lacing_pieces : array_like [money]
        Rolls, forms, tool and whatever else is whole; `EndSet.price`; `EndSet.lacing_pieces_price`.
    lacing_per_metre, feet_per_metre : array_like [money/m]
        Of `EndSet`.
    lacing, feet : array_like [m]
        Wire that laces the turns; of feet or hooks.

    Returns
    -------
    Array [money], broadcast shape

    Examples
    --------
    45 + 12, 8 for the ends, 2 m of lacing at 0.8 and 0.7 m for the feet at 2:

    >>> round(float(total_cost(57.0, 8.0, 0.0, 0.8, 2.0, 2.0, 0.7)), 2)
    68.0
    """
    things, ends, lacing_pieces = floats(things, ends, lacing_pieces)
    lacing_per_metre, lacing = floats(lacing_per_metre, lacing)
    feet_per_metre, feet = floats(feet_per_metre, feet)
    return things + ends + lacing_pieces + lacing_per_metre * lacing + feet_per_metre * feet


def rolls_needed(lengths: ArrayLike, roll: ArrayLike, owned: ArrayLike = False) -> Array:
    """Rolls that two tubes side by side take: 1 where both come out of one, else 2.

    Parameters
    ----------
    lengths : array_like [m]
        Of the two tubes, what is spared for trying included, shape (2, N).
    roll : array_like [m]
        Length of a roll.
    owned : array_like of bool
        The roll is the one at hand, and there is no second.

    Returns
    -------
    Array [-], shape (N,)

    Examples
    --------
    >>> rolls_needed([[7.0, 8.0], [7.5, 8.0]], 15.0).tolist()
    [1.0, 2.0]
    """
    lengths, roll = floats(lengths, roll)
    one = np.asarray(owned, dtype=bool) | (lengths.sum(axis=0) <= roll)
    return np.where(one, 1.0, 2.0)


def itemised_bill(
    purchases: Sequence[Purchase], ends: EndSet, lacing: float = 0.0, feet: float = 0.0
) -> Bill:
    """The bill of one design, each line with how many of it: roll, form, bender and whatever else, then the
    fittings, then the wire.

    Parameters
    ----------
    purchases : sequence of Purchase
    ends : EndSet
    lacing, feet : float [m]
        Wire that laces the turns; of feet or hooks.

    Returns
    -------
    Bill

    Examples
    --------
    >>> from optichill.workshop.fittings import FittingOffer, Hoses, cheapest_end_set
    >>> offer = FittingOffer("a", "union", 4.0, joint="compression")
    >>> ends = cheapest_end_set([offer], 0.010, Hoses(0.0125))
    >>> bill = itemised_bill([Purchase("roll", 45.0), Purchase("keg", 30.0, owned=True)], ends)
    >>> bill.total, [item.note for item in bill.items]
    (53.0, ['', 'already yours', ''])
    """
    items = [
        Item(p.what, float(many), p.unit, many * to_pay(p.price, p.owned), p.owned, part=p.part)
        for p, many in Counter(purchases).items()
    ]
    return Bill((*items, *ends.items, *ends.wire_items(lacing, feet)), ends.missing, ends.d_o)
