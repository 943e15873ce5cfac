"""Rolls of one size: which another beats, and what comes out of a cheaper one.

Rolls of one metal, temper, outside diameter and wall make the same coils: what a coil does in the kettle does
not hang on the roll that it was cut from. So a roll that is no longer than another, and no cheaper, makes
nothing that the other does not make as well; and a coil that comes out of a cheaper roll is never worth
winding from a dearer one, whose end is only left over. A merchant's list of thousands of rolls is searched in
the time of a few dozen. Of two tubes on tees this is said of the roll that gives the longer one; the shorter
one may come out of any roll of the size (`problem.mates`), also of one that another beats.

What hangs on the list as a whole, such as the median price of copper, is asked of all its rolls.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from optichill.layouts import LAYOUTS
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.mates import Size, mates_of, size_of


@dataclass(frozen=True)
class Rolls:
    """kept : rolls that none of their size beats, by stock_id; left_out : how many others there are; spared :
    length [m], by stock_id, up to which the tube of a coil also comes out of a roll that costs no more, and
    is looked at there; 0 where no roll of the size costs less; mates : what the shorter of two tubes may be
    cut from besides, by stock_id, of all rolls that may be taken."""

    kept: tuple[Tube, ...]
    left_out: int = 0
    spared: Mapping[str, float] = field(default_factory=dict)
    mates: Mapping[str, tuple[Tube, ...]] = field(default_factory=dict)


@dataclass
class _Longest:
    """The longest rolls [m] of a size among those that cost no more, those at hand apart."""

    owned: float = 0.0
    bought: float = 0.0


def rolls_of(basis: DesignBasis, tube: str | None = None, *, beaten: bool = False) -> Rolls:
    """Rolls to wind; tube : stock_id to keep to one, beaten or not; beaten : take every roll."""
    soft = [t for t in basis.stock.tubing if t.windable and tube in (None, t.stock_id)]
    layouts = basis.brewhouse.workshop.layouts
    on_tees = any(x.tees for x in LAYOUTS.values() if x.name in layouts)
    mates = mates_of(soft) if on_tees else {}
    if beaten:
        return Rolls(tuple(sorted(soft, key=lambda t: t.stock_id)), mates=mates)
    return replace(unbeaten(soft, on_tees=on_tees), mates=mates)


def unbeaten(tubes: Iterable[Tube], *, on_tees: bool) -> Rolls:
    """What is left of some rolls when those are left out that another of their size beats: no shorter, no
    dearer to buy, and no dearer to spoil. on_tees : whether two tubes may be cut, from one roll or from two.

    Of the roll at hand there is no second: it beats one that can be bought twice where both tubes come out of
    it. Of equal rolls the one whose id comes first stays. Where the shorter tube comes out of another roll, a
    mate, nothing changes: beside the roll that beats its own it is a mate too, or a second of that kind costs
    no more; and where it is that roll itself the two change places, for the longer tube comes out of either.

    Examples
    --------
    >>> size = dict(material="copper", temper="annealed", outer_diameter=0.01, wall=0.001)
    >>> rolls = [Tube(stock_id=name, length=length, price=price, **size)
    ...          for name, length, price in (("a", 10.0, 41.0), ("b", 9.0, 44.0), ("c", 15.0, 59.0))]
    >>> found = unbeaten(rolls, on_tees=True)
    >>> [tube.stock_id for tube in found.kept], found.left_out, found.spared
    (['a', 'c'], 1, {'a': 0.0, 'c': 10.0})
    """
    # Cheapest first: whatever beats a roll stands before it. What is owned costs nothing but to spoil.
    every = sorted(tubes, key=lambda t: (t.price or 0.0, not t.owned, -t.length, t.stock_id))
    so_far: dict[Size, _Longest] = {}
    kept: list[Tube] = []
    spared: dict[str, float] = {}
    for tube in every:
        longest = so_far.setdefault(size_of(tube), _Longest())
        if _beaten(tube, longest, on_tees=on_tees):
            continue
        spared[tube.stock_id] = longest.owned if tube.owned else max(longest.owned, longest.bought)
        if tube.owned:
            longest.owned = max(longest.owned, tube.length)
        else:
            longest.bought = max(longest.bought, tube.length)
        kept.append(tube)
    kept.sort(key=lambda t: t.stock_id)
    return Rolls(tuple(kept), len(every) - len(kept), spared)


def _beaten(tube: Tube, longest: _Longest, *, on_tees: bool) -> bool:
    """Whether one of the cheaper rolls makes all that this one does."""
    if tube.owned:  # for what is at hand nothing is paid: only another such roll costs no more
        return longest.owned >= tube.length
    twice = 2.0 if on_tees else 1.0
    return longest.bought >= tube.length or longest.owned >= twice * tube.length
