"""SI numbers as a person reads them, metric or US, rounded as a tape, a jug or a clock shows them."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

INCH = 0.0254  # m, exact (NIST SP 811)


FOOT = 12 * INCH


US_GALLON = 231 * INCH**3  # exact


POUND = 0.45359237  # kg, exact


PSI = POUND * 9.80665 / INCH**2


def inch_fraction(metres: float, denominator: int = 16) -> str:
    """Length as workshop inches: whole inches and a reduced fraction, to the nearest 1/denominator.

    Parameters
    ----------
    metres : float [m]
    denominator : int

    Returns
    -------
    str

    Examples
    --------
    >>> inch_fraction(0.27305)
    '10 3/4 in'
    """
    parts = round(abs(metres) / INCH * denominator)
    sign = "-" if metres < 0 and parts else ""
    whole, rest = divmod(parts, denominator)
    if not rest:
        return f"{sign}{whole} in"
    fraction = Fraction(rest, denominator)
    lead = f"{whole} " if whole else ""
    return f"{sign}{lead}{fraction.numerator}/{fraction.denominator} in"


def trim(value: float, decimals: int = 1) -> str:
    """A number to so many decimals, without trailing zeros and without a negative zero.

    Parameters
    ----------
    value : float
    decimals : int

    Returns
    -------
    str

    Examples
    --------
    >>> trim(2.50, 2), trim(-0.01)
    ('2.5', '0')
    """
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def show(value: float | None, kind: str, units: str = "metric") -> str:
    """An SI value as a screen says it; "unknown" for None or a value that is not finite.

    Parameters
    ----------
    value : float or None
        SI, temperature in K, gravity in degP.
    kind : str
        One of the keys of the two tables below: length (cm or mm; inches to 1/16), long_length (m; ft),
        gap (whole mm; inches to 1/16), tube (outside diameters: 0.1 mm; fraction or thousandths), wall,
        volume (above 20 L to 5 L; gal), exact_volume, temperature, temperature_difference, time, minutes,
        flow, mass, pressure, speed, gravity, head.
    units : "metric" or "us"

    Returns
    -------
    str

    Examples
    --------
    >>> show(0.009525, "tube"), show(0.009525, "tube", "us"), show(285.15, "temperature")
    ('9.5 mm', '3/8 in', '12 °C')
    """
    if value is None or not math.isfinite(value):
        return "unknown"
    table = _US if units == "us" else _METRIC
    return table.get(kind, _METRIC[kind])(value)


def _length_metric(metres: float) -> str:
    """Length [m] in mm, cm or m, by size."""
    if abs(metres) < 0.1:
        return f"{trim(metres * 1e3)} mm"
    return f"{trim(metres * 1e2)} cm" if abs(metres) < 3.0 else f"{trim(metres)} m"


def _length_us(metres: float) -> str:
    """Length [m] in inches, above 10 ft in feet."""
    return inch_fraction(metres) if abs(metres) < 10 * FOOT else f"{trim(metres / FOOT)} ft"


def _tube_us(metres: float) -> str:
    """A true fraction when the diameter is one to 0.1 mm, else thousandths."""
    parts = round(metres / INCH * 16)
    if abs(parts * INCH / 16 - metres) <= 1e-4:
        return inch_fraction(metres)
    return f"{metres / INCH:.3f} in"


def _volume_metric(volume: float) -> str:
    """Volume [m3] in whole litres, above 20 L to 5 L."""
    litres = volume * 1e3
    return f"{5 * round(litres / 5):d} L" if abs(litres) > 20 else f"{round(litres):d} L"


def _volume_us(volume: float) -> str:
    """Volume [m3] in US gallons, to the half up to 5."""
    gallons = volume / US_GALLON
    return f"{round(gallons):d} gal" if abs(gallons) > 5 else f"{trim(round(2 * gallons) / 2)} gal"


def _time(seconds: float) -> str:
    """Time [s] in s, min or h, by size."""
    if abs(seconds) < 120:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if abs(seconds) < 3 * 3600 else f"{trim(seconds / 3600)} h"


def _flow(amount: float) -> str:
    """A flow to a tenth; one that is small to a thousandth, for it is not nothing."""
    return trim(amount, 1 if abs(amount) >= 0.5 else 3)


def _specific_gravity(P: float) -> float:
    """Of wort of P degrees Plato, 1 + P/(258.6 - 0.8796 P) (M): within 0.0005 of what `units.plato` reads."""
    return 1.0 + P / (258.6 - 0.8796 * P)


_METRIC: dict[str, Callable[[float], str]] = {
    "length": _length_metric,
    "long_length": lambda x: f"{trim(x)} m",
    "gap": lambda x: f"{x * 1e3:.0f} mm",
    "tube": lambda x: f"{trim(x * 1e3)} mm",
    "wall": lambda x: f"{trim(x * 1e3, 2)} mm",
    "volume": _volume_metric,
    "exact_volume": lambda x: f"{trim(x * 1e3)} L",
    "temperature": lambda x: f"{trim(x - 273.15)} °C",
    "temperature_difference": lambda x: f"{trim(x)} K",
    "time": _time,
    "minutes": lambda x: f"{x / 60:.0f} min",
    "flow": lambda x: f"{_flow(x * 6e4)} L/min",
    "mass": lambda x: f"{trim(x)} kg" if abs(x) >= 1 else f"{x * 1e3:.0f} g",
    "pressure": lambda x: f"{trim(x / 1e5)} bar",
    "speed": lambda x: f"{trim(x, 2)} m/s",
    "gravity": lambda x: f"{trim(x)} °P",
    "head": lambda x: f"{trim(x)} m",
}


_US: dict[str, Callable[[float], str]] = {
    "length": _length_us,
    "long_length": lambda x: f"{trim(x / FOOT)} ft",
    "gap": inch_fraction,
    "tube": _tube_us,
    "wall": lambda x: f"{x / INCH:.3f} in",
    "volume": _volume_us,
    "exact_volume": lambda x: f"{trim(x / US_GALLON, 2)} gal",
    "temperature": lambda x: f"{trim(x * 1.8 - 459.67, 0)} °F",
    "temperature_difference": lambda x: f"{trim(x * 1.8)} °F",
    "flow": lambda x: f"{_flow(x * 60 / US_GALLON)} gal/min",
    "mass": lambda x: f"{trim(x / POUND)} lb",
    "pressure": lambda x: f"{x / PSI:.0f} psi",
    "speed": lambda x: f"{trim(x / FOOT, 2)} ft/s",
    "gravity": lambda x: f"{_specific_gravity(x):.3f} SG",
    "head": lambda x: f"{trim(x / FOOT)} ft",
}


_FINER = {
    "length": (1e-3, "mm", INCH, "in"),
    "long_length": (1.0, "m", FOOT, "ft"),
    "exact_volume": (1e-3, "L", US_GALLON, "gal"),
    "mass": (1.0, "kg", POUND, "lb"),
    "minutes": (60.0, "min", 60.0, "min"),
}


def finer_unit(kind: str, units: str = "metric") -> tuple[float, str]:
    """Size [SI] and name of the unit in which a quantity is told to any number of decimals.

    Parameters
    ----------
    kind : str
        length, long_length, exact_volume, mass or minutes.
    units : "metric" or "us"

    Returns
    -------
    tuple of float [SI] and str

    Examples
    --------
    >>> finer_unit("length"), finer_unit("length", "us")
    ((0.001, 'mm'), (0.0254, 'in'))
    """
    size, name, us_size, us_name = _FINER[kind]
    return (us_size, us_name) if units == "us" else (size, name)


def turns(count: float) -> str:
    """Turns to the half.

    Parameters
    ----------
    count : float [-]

    Returns
    -------
    str

    Examples
    --------
    >>> turns(10.4), turns(0.5), turns(9.0)
    ('10 1/2', '1/2', '9')
    """
    halves = round(2 * count)
    whole, half = divmod(halves, 2)
    return f"{whole} 1/2" if half and whole else ("1/2" if half else f"{whole}")


def plural(count: str, word: str = "turn") -> str:
    """A number as it is told, with what it counts.

    Parameters
    ----------
    count, word : str

    Returns
    -------
    str

    Examples
    --------
    >>> plural(turns(1.0)), plural(turns(0.5)), plural(turns(10.5))
    ('1 turn', '1/2 turn', '10 1/2 turns')
    """
    return f"{count} {word}" if count in ("1", "1/2") else f"{count} {word}s"
