"""The tube as it is bought: how soft it is, its rolls, and of when their prices are."""

from __future__ import annotations

from collections.abc import Sequence

from optichill.display import show
from optichill.model.stock import Tube
from optichill.search.designs import Design


def temper(tube: Tube) -> str:
    """How soft the tube is, as a shop calls it in this metal: soft copper, annealed stainless."""
    return tube.metal.annealed if tube.temper == "annealed" else tube.temper


def roll(d: Design, units: str) -> str:
    """The tube as it is bought: "10 m roll of soft copper, 10 mm outside, 1 mm wall"."""
    tube = d.winding.tube
    each = [show(roll.length, "long_length", units) for roll in d.bought]
    return (
        f"{rolls(each)} of {temper(tube)} {tube.material}, "
        f"{show(tube.outer_diameter, 'tube', units)} outside, {show(tube.wall, 'wall', units)} wall"
    )


def rolls(lengths: Sequence[str]) -> str:
    """Rolls by their lengths: "10 m roll", "two 10 m rolls", "15 m roll and 7.5 m roll"."""
    if len(set(lengths)) > 1:
        return " and ".join(f"{length} roll" for length in lengths)
    return f"{lengths[0]} roll" if len(lengths) == 1 else f"two {lengths[0]} rolls"


def own_roll(d: Design, units: str) -> str:
    """The roll that gives the longer tube, by its length where the other comes out of another."""
    alone = len({tube.stock_id for tube in d.bought}) == 1
    return "roll" if alone else f"{show(d.winding.tube.length, 'long_length', units)} roll"


def price_date(bought: Sequence[Tube]) -> str:
    """Of when the prices of rolls are, as far as that is known of all of them."""
    dates = dict.fromkeys(tube.checked for tube in bought)
    if None in dates:
        return "price of unknown date"
    told = " and ".join(str(date) for date in dates)
    return f"tube price{'s' if len(dates) > 1 else ''} of {told}"


def lengths(bought: Sequence[Tube], units: str) -> str:
    """The same in a cell: "10 m", "2 x 10 m", "15 + 7.5 m"."""
    each = [show(tube.length, "long_length", units) for tube in bought]
    if len(set(each)) > 1:
        return " + ".join([*(length.split()[0] for length in each[:-1]), each[-1]])
    return each[0] if len(each) == 1 else f"{len(each)} x {each[0]}"
