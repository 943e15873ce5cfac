"""The units that are read, by kind of quantity, and what they are in SI.

They are named as pint names them, whose list they are tested against.
"""

from __future__ import annotations

GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s2], exact (CGPM 1901): also newtons in the weight of a kilogram."""

# kind: (SI unit as pint names it, {unit as written: as pint names it}); of two names a hint says the first.
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


# Exact by NIST SP 811 (foot, pound, gallon, psi by way of standard gravity). pint knows them all and is what
# they are tested against; loading it takes a tenth of a search.
_INCH, _LITER, _POUND = 0.0254, 1e-3, 0.45359237
_GALLON = 231 * _INCH**3
IN_SI: dict[str, float] = {
    "millimeter": 1e-3, "centimeter": 1e-2, "meter": 1.0, "inch": _INCH, "foot": 12 * _INCH,
    "liter": _LITER, "milliliter": 1e-3 * _LITER, "centiliter": 1e-2 * _LITER, "gallon": _GALLON,
    "quart": _GALLON / 4, "imperial_gallon": 4.54609 * _LITER, "meter**3": 1.0,
    "kelvin": 1.0, "degC": 1.0, "degF": 5 / 9, "delta_degC": 1.0, "delta_degF": 5 / 9,
    "pascal": 1.0, "kilopascal": 1e3, "megapascal": 1e6, "bar": 1e5, "millibar": 100.0,
    "psi": _POUND * GRAVITY / _INCH**2,
    "second": 1.0, "minute": 60.0, "hour": 3600.0,
    "kilogram": 1.0, "gram": 1e-3, "pound": _POUND, "ounce": _POUND / 16,
}  # fmt: skip
"""What each unit is in SI; of two, as "liter/minute", the quotient."""

ZERO_IN_SI = {"degC": 273.15, "degF": 233.15 + 200 / 9}
"""Where a temperature that is told from another zero has its own [K]."""


def in_si(number: float, unit: str) -> float:
    """A number in a unit of `UNITS` as SI.

    Parameters
    ----------
    number : float
    unit : str
        As UNITS has it for pint.

    Returns
    -------
    float [SI]

    Raises
    ------
    KeyError
        For another unit.

    Examples
    --------
    >>> round(in_si(50.0, "degF"), 9), round(in_si(10.0, "liter/minute") * 60.0, 9)
    (283.15, 0.01)
    """
    over, _, per = unit.partition("/")
    return number * (IN_SI[over] / (IN_SI[per] if per else 1.0)) + ZERO_IN_SI.get(unit, 0.0)
