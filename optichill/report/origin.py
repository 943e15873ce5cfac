"""Where a coil comes from: the lists, or beyond them, and what it needs then that no list has."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from optichill.display import show
from optichill.layouts import LAYOUTS
from optichill.money import money
from optichill.problem.basis import DesignBasis
from optichill.problem.made_forms import UNPRICED, price_of_made
from optichill.search.designs import EXPLORED, Design

MARK = "*"
"""Behind the number of an explored coil in a table."""


def needs(d: Design, units: str) -> str:
    """What an explored coil needs beyond the lists, or has of its own, in a few words."""
    sizes = [show(x, "length", units) for x in d.to_make]
    if sizes:
        return f"needs {'a form' if len(sizes) == 1 else 'forms'} of {' and '.join(dict.fromkeys(sizes))}"
    if LAYOUTS[d.layout].crossing and d.winding.form.made:
        return "strips between its layers, no form to make"
    if len(set(d.layers)) > 1:
        return "each layer with its own turns or gap, no form to make"
    if len(d.layers) == 1:
        return "a wider gap than the lists are searched for, no form to make"
    return "forms of the list packed out for each layer, no form to make"


def origin(d: Design, units: str) -> str:
    """An explored coil's origin: "explored: needs a form of 22.4 cm"; "" for one of the lists."""
    return f"{d.origin}: {needs(d, units)}" if d.origin == EXPLORED else ""


def origin_told(d: Design, basis: DesignBasis) -> list[str]:
    """The same for the first screen, with what is counted for what has to be made."""
    if d.origin != EXPLORED:
        return []
    units, currency = basis.brewhouse.units, basis.brewhouse.stock.currency
    if not d.to_make:
        return [f"not of your lists: {needs(d, units)}."]
    many = len(set(d.to_make))
    each = price_of_made(basis.stock)
    return [
        f"not of your lists: {needs(d, units)}, to be made; the build sheet says how. "
        f"{money(each, currency)} {'each are' if many > 1 else 'are'} counted for it, {_why(basis)}."
    ]


def _why(basis: DesignBasis) -> str:
    """Where the price of a form to be made comes from."""
    if any(form.price for form in basis.stock.forms):
        return "the middle price of the forms in your list"
    metres = show(UNPRICED, "long_length", basis.brewhouse.units)
    return f"the price of {metres} of tube, for your list of forms has no prices"


def legend(shown: Iterable[Design], units: str) -> list[str]:
    """Below a table: of each explored coil in it what it needs."""
    return [
        f"{d.rank}{MARK} {said}" if d.rank else f"{d.id} {said}" for d in shown if (said := origin(d, units))
    ]


def number(d: Design) -> str:
    """Its rank, marked where it is explored."""
    return f"{d.rank}{MARK}" if d.origin == EXPLORED else str(d.rank)


def on_what_is_made(diameters: Sequence[float], units: str) -> str:
    """Forms that have to be made, behind a build in a few words; nothing where none has."""
    sizes = " and ".join(dict.fromkeys(show(x, "length", units) for x in diameters))
    return f", on {'a form' if len(diameters) == 1 else 'forms'} of {sizes} to be made" if sizes else ""
