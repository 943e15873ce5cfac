"""SI numbers as a person reads them, metric or US, rounded as a tape, a jug or a clock shows them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from decimal import ROUND_HALF_UP, Decimal
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


def half_up(amount: float, decimals: int = 0) -> Decimal:
    """An amount of money rounded as shops do: a half goes up.

    Parameters
    ----------
    amount : float
    decimals : int

    Returns
    -------
    Decimal

    Examples
    --------
    >>> str(half_up(12.5)), str(half_up(83.245, 2))
    ('13', '83.25')
    """
    return Decimal(f"{amount:.9f}").quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def figure(amount: float, decimals: int = 0) -> str:
    """An amount of money as a number: from ten thousand on whole, in groups of three.

    Parameters
    ----------
    amount : float
    decimals : int

    Returns
    -------
    str

    Examples
    --------
    >>> figure(83.245, 2), figure(1516302.4, 2)
    ('83.25', '1,516,302')
    """
    return f"{half_up(amount):,}" if abs(amount) >= TEN_THOUSAND else str(half_up(amount, decimals))


TEN_THOUSAND = 10_000.0
"""Money from which cents are not told: of a currency of which a roll costs a million."""


def seen(amount: float) -> float:
    """Money that rests on a model, to the three digits that anybody could tell apart; below a thousand as it
    is.

    Parameters
    ----------
    amount : float

    Returns
    -------
    float

    Examples
    --------
    >>> seen(213.4), seen(3841538.0)
    (213.4, 3840000.0)
    """
    step = digit_seen(amount)
    return amount if step == 1 else float(step * round(amount / step))


def digit_seen(amount: float) -> int:
    """What the last of three digits counts, at least 1.

    Parameters
    ----------
    amount : float

    Returns
    -------
    int

    Examples
    --------
    >>> digit_seen(213.4), digit_seen(3841538.0)
    (1, 10000)
    """
    return 1 if abs(amount) < 1000.0 else int(10 ** (math.floor(math.log10(abs(amount))) - 2))


def that_add_up(amounts: Sequence[float]) -> int:
    """Decimals, at most two, to which amounts are rounded so that they add up to their rounded sum.

    Parameters
    ----------
    amounts : sequence of float

    Returns
    -------
    int

    Examples
    --------
    >>> that_add_up([71.0, 12.5]), that_add_up([12.4, 12.4]), that_add_up([0.45, 0.45])
    (0, 1, 2)
    """
    for decimals in (0, 1):
        if sum(half_up(a, decimals) for a in amounts) == half_up(sum(amounts), decimals):
            return decimals
    return 2


def adding_up(amounts: Sequence[float], decimals: int = 2, total: float | None = None) -> list[Decimal]:
    """Amounts rounded so that what is printed adds up to their rounded sum: what rounding leaves over goes to
    those that it moved farthest the other way.

    Parameters
    ----------
    amounts : sequence of float
    decimals : int
    total : float, optional
        The sum as it is printed, where it was added in another order: half a unit falls either way.

    Returns
    -------
    list of Decimal

    Examples
    --------
    Three times a third of ten are ten, not 9.99:

    >>> [str(a) for a in adding_up([10 / 3, 10 / 3, 10 / 3])]
    ['3.34', '3.33', '3.33']
    """
    rounded = [half_up(amount, decimals) for amount in amounts]
    left = half_up(sum(amounts) if total is None else total, decimals) - sum(rounded)
    step = Decimal(1).scaleb(-decimals).copy_sign(left)
    moved = [float(step) * (amount - float(told)) for amount, told in zip(amounts, rounded, strict=True)]
    for n in sorted(range(len(rounded)), key=lambda n: -moved[n])[: round(left / step)]:
        rounded[n] += step
    return rounded


def bill_figures(amounts: Sequence[float], total: float, decimals: int = 2) -> list[str]:
    """The lines of a bill and, last, its total, as they are printed: the lines add up to it, and where it has
    no cents they have none.

    Parameters
    ----------
    amounts : sequence of float
    total : float
    decimals : int

    Returns
    -------
    list of str

    Examples
    --------
    >>> bill_figures([47.0, 8.25], 55.25), bill_figures([8460000.5, 1485.4], 8461485.9)
    (['47.00', '8.25', '55.25'], ['8,460,001', '1485', '8,461,486'])
    """
    decimals = 0 if abs(total) >= TEN_THOUSAND else decimals
    lines = [float(amount) for amount in adding_up(amounts, decimals, total)]
    return [figure(amount, decimals) for amount in (*lines, total)]


def money(amount: float | None, currency: str, decimals: int = 0) -> str:
    """Money with its currency.

    Parameters
    ----------
    amount : float or None
        "unknown" for None or a value that is not finite.
    currency : str
    decimals : int

    Returns
    -------
    str

    Examples
    --------
    >>> money(70.6, "EUR"), money(70.5, "EUR"), money(70.5, "EUR", 2)
    ('71 EUR', '71 EUR', '70.50 EUR')
    """
    if amount is None or not math.isfinite(amount):
        return "unknown"
    return f"{figure(amount, decimals)} {currency}"


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
