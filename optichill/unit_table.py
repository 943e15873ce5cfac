"""The units that are read, by kind of quantity, and what they are in SI.

The registry has our own two dozen units: pint's own list takes longer to read than a search takes.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s2], exact (CGPM 1901): also newtons in the weight of a kilogram."""

# kind: (SI unit for pint, {unit as written: unit for pint}); of two names of one unit a hint says the first.
UNITS: dict[str, tuple[str, dict[str, str]]] = {
    "length": ("meter", {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot"}),
    "volume": (
        "meter**3",
        {"L": "liter", "mL": "milliliter", "gal": "gallon", "imp gal": "imperial_gallon", "qt": "quart",
         "m3": "meter**3", "cL": "centiliter", "l": "liter", "ml": "milliliter"},
    ),
    "temperature": (
        "kelvin",
        {"degC": "degC", "degF": "degF", "K": "kelvin", "°C": "degC", "°F": "degF"},
    ),
    "temperature_difference": (
        "kelvin",
        {"K": "kelvin", "degC": "delta_degC", "degF": "delta_degF", "°C": "delta_degC", "°F": "delta_degF"},
    ),
    "pressure": (
        "pascal",
        {"bar": "bar", "psi": "psi", "kPa": "kilopascal", "mbar": "millibar", "Pa": "pascal",
         "MPa": "megapascal"},
    ),
    "time": ("second", {"s": "second", "min": "minute", "h": "hour"}),
    "flow": (
        "meter**3/second",
        {"L/min": "liter/minute", "gpm": "gallon/minute", "L/h": "liter/hour", "L/s": "liter/second",
         "m3/h": "meter**3/hour", "mL/min": "milliliter/minute", "gal/min": "gallon/minute",
         "l/min": "liter/minute", "l/h": "liter/hour", "gal/h": "gallon/hour"},
    ),
    "mass": ("kilogram", {"kg": "kilogram", "g": "gram", "lb": "pound", "oz": "ounce"}),
    "speed": (
        "meter/second",
        {"m/s": "meter/second", "cm/s": "centimeter/second", "ft/s": "foot/second"},
    ),
    "gravity": ("degP", {"degP": "degP", "SG": "SG", "°P": "degP"}),
    "head": ("meter", {"m": "meter", "cm": "centimeter", "ft": "foot", "in": "inch"}),
}  # fmt: skip
KINDS = tuple(UNITS)

EXAMPLE = {
    "length": "9.5 mm or 3/8 in",
    "volume": "23 L or 6 gal",
    "temperature": "12 degC or 55 degF",
    "temperature_difference": "5 K",
    "pressure": "3 bar or 45 psi",
    "time": "25 min",
    "flow": "8 L/min, 2 gpm or 10 L in 45 s",
    "mass": "6 kg or 13 lb",
    "speed": "0.1 m/s",
    "gravity": "12 degP or 1.048 SG",
    "head": "3.5 m",
}


def units_of(kind: str) -> tuple[str, ...]:
    """Units that are read for a kind, each under its first name, in the order in which hints name them.

    Parameters
    ----------
    kind : str
        One of KINDS.

    Returns
    -------
    tuple of str

    Raises
    ------
    KeyError
        For another kind.

    Examples
    --------
    >>> units_of("mass")
    ('kg', 'g', 'lb', 'oz')
    """
    names = UNITS[kind][1]
    first = {of_pint: unit for unit, of_pint in reversed(names.items())}
    return tuple(unit for unit, of_pint in names.items() if first[of_pint] == unit)


def si_unit(kind: str) -> str:
    """The unit that a bare number of a kind has.

    Parameters
    ----------
    kind : str
        One of KINDS.

    Returns
    -------
    str

    Examples
    --------
    >>> si_unit("temperature"), si_unit("flow")
    ('K', 'm3/s')
    """
    si, units = UNITS[kind]
    return next((unit for unit, of_pint in units.items() if of_pint == si), "m3/s")


def allowed(kind: str) -> str:
    """What is read for a kind, for a message: an example and the units.

    Parameters
    ----------
    kind : str
        One of KINDS.

    Returns
    -------
    str

    Raises
    ------
    KeyError
        For another kind.

    Examples
    --------
    >>> allowed("time")
    '25 min; units s, min, h'
    """
    return f"{EXAMPLE[kind]}; units {', '.join(units_of(kind))}"


# Exact by NIST SP 811 (foot, pound, gallon, psi by way of standard gravity).
_DEFINITIONS = (
    "milli- = 1e-3", "centi- = 1e-2", "kilo- = 1e3", "mega- = 1e6",
    "meter = [length]", "gram = [mass]", "second = [time]", "kelvin = [temperature]; offset: 0",
    "minute = 60 * second", "hour = 60 * minute",
    "inch = 0.0254 * meter", "foot = 12 * inch",
    "liter = 1e-3 * meter ** 3", "gallon = 231 * inch ** 3", "quart = gallon / 4",
    "imperial_gallon = 4.54609 * liter",
    "degC = kelvin; offset: 273.15", "degF = 5 / 9 * kelvin; offset: 233.15 + 200 / 9",
    "pound = 453.59237 * gram", "ounce = pound / 16",
    "pascal = kilogram / meter / second ** 2", "bar = 1e5 * pascal",
    "psi = pound * 9.80665 * meter / second ** 2 / inch ** 2",
)  # fmt: skip


@lru_cache(maxsize=1)
def registry() -> Any:
    """The units above in pint, made at the first conversion."""
    import pint

    # pint's own list of a thousand units takes longer to read than a search takes; these are ours.
    registry: Any = pint.UnitRegistry(None)
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry
