"""What the tubes of rows are cut from: one roll, two of a kind, or two lengths of one tube."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.mates import NONE
from optichill.problem.placement import Placement, Shape
from optichill.problem.windings import Setups
from optichill.workshop import cost


@dataclass(frozen=True)
class Cut:
    """Arrays of shape (designs,). rolls : of tube to take; mate : place of the second among its roll's mates,
    NONE where both are of a kind; mate_outer : whether the outer tube is cut from it; from_one : tube that
    must come out of one roll, spare half turns included [m]; more : price of the second."""

    rolls: Array
    mate: Index
    mate_outer: Mask
    from_one: Array
    more: Array


def cut(setups: Setups, setup: Index, shape: Shape, placement: Placement) -> Cut:
    """Of rows. The longer of two tubes is cut from the roll of the set-up. Where that holds the other one
    too it does, for there is nothing to pay; else the cheapest roll of the size that holds it is taken."""
    outer, inner = setups.spares(setup)
    none, no = np.full(setup.size, NONE), np.zeros(setup.size, dtype=bool)
    if shape.D_in is None:
        return Cut(np.ones(setup.size), none, no, placement.tube_length + outer, np.zeros(setup.size))
    pieces = np.stack(
        [placement.tube_length - placement.inner_length + outer, placement.inner_length + inner]
    )
    roll, owned = setups.get("roll", setup), setups.get("roll_owned", setup).astype(bool)
    tees = shape.on_tees
    rolls = np.where(tees, cost.rolls_needed(pieces, roll, owned), 1.0)
    both = placement.tube_length + outer + inner
    from_one = np.where(tees & ~owned, pieces.max(axis=0), both)
    more = (rolls - 1.0) * setups.get("roll_price", setup)
    some = np.flatnonzero(tees & (pieces.sum(axis=0) > roll))
    way = setups.of.tool_of[setups.outer[setup[some]]]
    place, price = setups.of.mates.holding(way, pieces[:, some].min(axis=0))
    has = place != NONE
    mixed = some[has]
    rolls[mixed], more[mixed], none[mixed] = 2.0, price[has], place[has]
    from_one[mixed] = pieces[:, mixed].max(axis=0)
    no[mixed] = pieces[0, mixed] < pieces[1, mixed]
    return Cut(rolls, none, no, from_one, more)
