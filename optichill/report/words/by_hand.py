"""Figures as a hand comes by them: tape, thermometer, bucket and clock, and what is bought whole."""

from __future__ import annotations

import math

from optichill.display import INCH, POUND, US_GALLON, inch_fraction, show, trim
from optichill.rating.remedies import vessel_of


def degrees(T: float, units: str) -> str:
    """A water temperature [K] to whole degrees."""
    return f"{T * 1.8 - 459.67:.0f} °F" if units == "us" else f"{T - 273.15:.0f} °C"


def written_degrees(T: float, units: str) -> str:
    """A temperature [K] as it is written into a file, down to the tenth below."""
    value, name = (T * 1.8 - 459.67, "degF") if units == "us" else (T - 273.15, "degC")
    return f"{trim(0.1 * math.floor(10.0 * value + 1e-6))} {name}"


def bucket_time(flow: float, units: str) -> str:
    """A flow as a bucket and a clock tell it: "a 10 L bucket fills in 71 s"."""
    size, name = (5.0 * US_GALLON, "5 gal") if units == "us" else (10e-3, "10 L")
    return f"a {name} bucket fills in {size / flow:.0f} s"


def amount(quantity: float, unit: str, units: str) -> str:
    """How many of an item of the bill, or how much of what is sold by the metre: never less than it takes."""
    if unit != "m":
        return trim(quantity)
    if units != "us":
        return show(0.1 * math.ceil(10.0 * quantity - 1e-6), "long_length", units)
    feet, inches = divmod(math.ceil(quantity / INCH - 1e-6), 12)
    return " ".join([*([f"{feet} ft"] if feet else []), *([f"{inches} in"] if inches else [])])


def rough(metres: float, units: str) -> str:
    """A length as a tape reads it: whole centimetres, below 10 cm half ones; metres to 0.1; inches to 1/16,
    as a build sheet has them."""
    if units == "us":
        return inch_fraction(metres) if abs(metres) < 3.0 else show(metres, "long_length", units)
    if abs(metres) >= 1.0:
        return show(metres, "long_length", units)
    step = 0.5 if abs(metres) < 0.1 else 1.0
    return f"{trim(step * round(100.0 * metres / step))} cm"


def left_over(metres: float, units: str) -> str:
    """What is left of a roll: as a roll is told, below a yard or a metre as a tape reads it.

    Examples
    --------
    >>> left_over(2.64, "us"), left_over(0.5, "us"), left_over(0.98, "metric")
    ('8.7 ft', '19 11/16 in', '98 cm')
    """
    return show(metres, "long_length", units) if units == "us" and metres >= YARD else rough(metres, units)


YARD = 0.9144
"""[m]"""


BAG = {"metric": 2.0, "us": 10.0 * POUND}
"""A bag of ice as shops sell it [kg] (common practice, no source)."""


def bags(ice: float, units: str) -> str:
    """Ice in whole bags: "3 bags of 2 kg"."""
    number = math.ceil(ice / BAG[units] - 1e-6)
    size = "10 lb" if units == "us" else "2 kg"
    return f"{number} {'bag' if number == 1 else 'bags'} of {size}"


def vessel(holds: float, units: str) -> str:
    """A vessel that holds so much [m3], in a size not below it."""
    return show(vessel_of(holds, units), "exact_volume", units)
