"""What the shorter of two tubes on tees may be cut from beside a second roll of a kind: a cheaper roll of the
same size, or one that is at hand.

The longer tube is cut from the roll that a coil is named by. Both come out of that where it is long enough;
else the shorter one comes out of its mate: the cheapest roll of that size that holds it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index
from optichill.model.stock import Tube
from optichill.workshop.fittings import to_pay

Size = tuple[str, str, float, float]

NONE = -1
"""Place of a mate where there is none."""


def size_of(tube: Tube) -> Size:
    """What makes two rolls alike: sizes to a nanometre, for 3/8 in may be written in millimetres."""
    return tube.material, tube.temper, round(tube.outer_diameter, 9), round(tube.wall, 9)


def mates_of(tubes: Iterable[Tube]) -> dict[str, tuple[Tube, ...]]:
    """The mates of each roll by its stock_id: each longer than the one before, and none cheaper. Of a roll
    that is bought those that cost less, for else a second of its kind does; of one at hand, of which there is
    no second, all others.

    Examples
    --------
    >>> size = dict(material="copper", temper="annealed", outer_diameter=0.01, wall=0.001)
    >>> rolls = [Tube(stock_id=name, length=length, price=price, owned=name == "d", **size)
    ...          for name, length, price in
    ...          (("a", 15.0, 60.0), ("b", 7.5, 35.0), ("c", 7.0, 38.0), ("d", 5.0, 20.0))]
    >>> {name: [mate.stock_id for mate in mates] for name, mates in mates_of(rolls).items()}
    {'a': ['d', 'b'], 'b': ['d'], 'c': ['d', 'b'], 'd': ['b', 'a']}
    """
    alike: dict[Size, list[Tube]] = defaultdict(list)
    for tube in tubes:
        alike[size_of(tube)].append(tube)
    found = {}
    for same in alike.values():
        all_steps = _steps(same)
        for tube in same:
            if tube.owned:
                steps = _steps([other for other in same if other is not tube])
            else:
                steps = [step for step in all_steps if _price(step) < _price(tube)]
            found[tube.stock_id] = tuple(steps)
    return found


def _steps(same: Sequence[Tube]) -> list[Tube]:
    """Rolls that are the cheapest for some length. Of those at hand the shortest that serves, so that the
    longer ones stay whole; of those that are bought the most tube for the money."""

    def order(tube: Tube) -> tuple[float, bool, float, str]:
        return _price(tube), not tube.owned, tube.length if tube.owned else -tube.length, tube.stock_id

    steps: list[Tube] = []
    for tube in sorted(same, key=order):
        if not steps or tube.length > steps[-1].length:
            steps.append(tube)
    return steps


def _price(tube: Tube) -> float:
    return to_pay(tube.price or 0.0, tube.owned)


@dataclass(frozen=True)
class Mates:
    """Mates of each tube and tool, by number; length [m] and price of each in arrays of shape (ways, most),
    filled up with rolls of no length."""

    tubes: tuple[tuple[Tube, ...], ...]
    length: Array
    price: Array

    @classmethod
    def of(cls, named: Mapping[str, tuple[Tube, ...]], tubes: Iterable[Tube]) -> Mates:
        """Of these tubes, one after another."""
        mates = tuple(named.get(tube.stock_id, ()) for tube in tubes)
        shape = len(mates), max([1, *map(len, mates)])
        length, price = np.full(shape, -np.inf), np.full(shape, np.inf)
        for row, some in enumerate(mates):
            length[row, : len(some)] = [mate.length for mate in some]
            price[row, : len(some)] = [_price(mate) for mate in some]
        return cls(mates, length, price)

    def holding(self, way: Index, length: Array) -> tuple[Index, Array]:
        """Place and price of the first mate that holds a tube [m]; NONE, and nothing, where none does."""
        holds = self.length[way] >= length[:, None]
        place, any_ = holds.argmax(axis=1), holds.any(axis=1)
        return np.where(any_, place, NONE), np.where(any_, self.price[way, place], 0.0)
