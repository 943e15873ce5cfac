"""Forms that no list holds: round, of any diameter, made for one coil.

How: discs of board sawn to size with slats screwed round them, or a tube of sheet; that takes wood and an
evening whatever the diameter, so that they cost alike (OWN).
"""

from __future__ import annotations

from statistics import median

from optichill.model.stock import Form, MadeForm, Stock, name_of_made
from optichill.problem.worth import metre_of_copper

TALLEST = 0.60
"""Height of a form that one can still hold and turn [m] (OWN)."""

UNPRICED = 3.0
"""Metres of copper that a form may cost where no form of the list has a price (OWN)."""


def price_of_made(stock: Stock) -> float:
    """What a form to be made costs [money]: as much as the middle one of the list, owned or not.

    Examples
    --------
    >>> price_of_made(Stock())  # without a price a metre of copper counts 1
    3.0
    """
    listed = [form.price for form in stock.forms if form.price]
    return float(median(listed)) if listed else UNPRICED * metre_of_copper(stock)


def made_form(diameter: float, stock: Stock) -> Form:
    """A form of this outside diameter [m], as tall as is needed up to TALLEST.

    Examples
    --------
    >>> made_form(0.224, Stock()).form_id
    'form-224'
    """
    return MadeForm(
        form_id=name_of_made(diameter),
        description="form to be made",
        outer_diameter=diameter,
        height=TALLEST,
        open_end=True,
        price=price_of_made(stock),
    )
