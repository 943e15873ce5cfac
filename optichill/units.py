"""The only door from text into SI: one strict grammar.

A quantity is a sign, a number (decimal, `n/d` or `w n/d`) and ONE unit from the list of its kind: "9.5 mm",
"1 1/2 in", "12 degC"; or a sum of such in falling units (`sums`). A unit written otherwise is read where it
can mean one thing only (`spellings`), else the units are listed: a hint is never a guess. Nothing else is
read: no bare numbers, decimal commas, exponents, nan or infinities. A quantity of somebody's pint registry is
converted by that registry; no other is loaded.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

from optichill.errors import OptichillError
from optichill.spellings import either_pint, meaning, why_signs
from optichill.sums import how_to_sum, summands
from optichill.unit_table import KINDS, UNITS, allowed, in_si, units_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Number = TypeVar("Number", float, "NDArray[np.float64]")

_LONGEST = 60  # characters: no real quantity is longer, and the work on a hostile one stays small
_NUMBER = (
    r"(?P<whole>[0-9]+) (?P<num>[0-9]+)/(?P<den>[0-9]+)"
    r"|(?P<n>[0-9]+)/(?P<d>[0-9]+)"
    r"|(?P<dec>[0-9]+\.[0-9]+|\.[0-9]+|[0-9]+)"
)
_QUANTITY = re.compile(rf"(?P<sign>[+-]?)(?:{_NUMBER}) ?(?P<unit>[^0-9.,/ +-][^,]*)?")


class QuantityError(OptichillError, ValueError):
    """Text that is not a quantity of the wanted kind.

    Attributes
    ----------
    reason : why, in a sentence.
    allowed : what would be read, as text.
    """

    def __init__(self, reason: str, allowed: str) -> None:
        self.reason = reason
        self.allowed = allowed
        super().__init__(f"{reason} (allowed: {allowed})" if allowed else reason)


def parse(text: str, kind: str) -> float:
    """Read a quantity.

    Parameters
    ----------
    text : str
        For example "1 1/2 in"; for a flow also "10 L in 45 s".
    kind : str
        One of KINDS.

    Returns
    -------
    float
        SI: m, m3, K, Pa, s, m3/s, kg, m/s; gravity in degrees Plato; head in m of water.

    Raises
    ------
    QuantityError
        With a reason and what would be read.

    Examples
    --------
    >>> round(parse("1 1/2 in", "length"), 6), round(parse("55 degF", "temperature"), 2)
    (0.0381, 285.93)
    >>> try:
    ...     parse("9,5 mm", "length")
    ... except QuantityError as error:
    ...     print(error.reason)
    a decimal comma is not read: write 9.5 mm with a point
    """
    return read(text, kind)[0]


def read(text: str, kind: str) -> tuple[float, str]:
    """The same, and how it was understood where a unit is not written as the list has it.

    Parameters
    ----------
    text, kind : str
        As in `parse`.

    Returns
    -------
    float, str
        SI; the text as it would be written here, "" where it is.

    Raises
    ------
    QuantityError
        As in `parse`.

    Examples
    --------
    >>> read('15"', "length")[1], read("15 in", "length")[1]
    ('15 in', '')
    """
    if not isinstance(text, str):
        raise QuantityError(_why_bare(kind), allowed(kind))
    return _understood(text, kind)


@lru_cache(maxsize=4096)  # a long list says the same sizes again and again
def _understood(text: str, kind: str) -> tuple[float, str]:
    """Value and reading of a text."""
    si, units = UNITS[kind]
    if len(text) > _LONGEST:
        raise QuantityError(f"longer than {_LONGEST} characters", allowed(kind))
    plain = " ".join(text.replace("\u00a0", " ").replace("\u202f", " ").split(" ")).strip()
    plain = re.sub(" +", " ", plain)
    if kind == "flow" and plain.count(" in ") == 1:
        return _volume_in_time(plain)
    parts = summands(plain, kind)
    if parts:
        return sum(parse(part, kind) for part in parts), "" if " ".join(parts) == plain else " ".join(parts)
    number, written = _split(plain, kind)
    unit = written if written in units else meaning(written)
    if unit not in units:
        both = either_pint(number, written) if kind in ("volume", "flow") else ""
        raise QuantityError(both or how_to_sum(plain, kind) or _why_unit(written, kind), allowed(kind))
    value = _convert(number, units[unit], si)
    if not math.isfinite(value):
        raise QuantityError("too large a number", allowed(kind))
    if kind == "temperature" and value < 0.0:
        raise QuantityError("below absolute zero", allowed(kind))
    return value, "" if unit == written else f"{plain.removesuffix(written).strip()} {unit}"


def is_pint(value: object) -> bool:
    """Whether it is a quantity of a pint registry, ours or any other.

    Parameters
    ----------
    value : object

    Returns
    -------
    bool

    Examples
    --------
    >>> is_pint("33 cm"), is_pint(0.33)
    (False, False)
    """
    return hasattr(value, "magnitude") and hasattr(value, "units") and hasattr(value, "to")


def converted(quantity: Any, kind: str) -> float:
    """SI value of a pint quantity of any registry; of temperatures the offset is minded.

    Parameters
    ----------
    quantity : pint quantity
    kind : str
        One of KINDS.

    Returns
    -------
    float [SI]

    Raises
    ------
    QuantityError
        For another dimension, or more than one number.

    Examples
    --------
    >>> import pint
    >>> converted(pint.UnitRegistry().Quantity(33.0, "cm"), "length")
    0.33
    """
    try:
        return float(quantity.to(UNITS[kind][0]).magnitude)
    except Exception:  # every registry has its own errors, of a unit that it does not know too
        reason = f"'{quantity.units}' is not a unit of {kind.replace('_', ' ')}, or not one number"
        raise QuantityError(reason, allowed(kind)) from None


def _volume_in_time(text: str) -> tuple[float, str]:
    """A flow [m3/s] written as "10 L in 45 s", and how it was understood."""
    parts = text.split(" in ")
    (volume, of_volume), (time, of_time) = read(parts[0], "volume"), read(parts[1], "time")
    if time <= 0.0:
        raise QuantityError("the time must be larger than 0", allowed("flow"))
    if not math.isfinite(volume / time):
        raise QuantityError("too large a number", allowed("flow"))
    heard = f"{of_volume or parts[0]} in {of_time or parts[1]}" if of_volume or of_time else ""
    return volume / time, heard


def _split(text: str, kind: str) -> tuple[float, str]:
    """Number and unit of a text; what stands there instead is told."""
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise QuantityError(_why_not(text, kind), allowed(kind))
    if match["unit"] is None:
        raise QuantityError(_why_bare(kind), allowed(kind))
    return _number(match, kind), match["unit"]


def _number(match: re.Match[str], kind: str) -> float:
    """The number of a match, exact as a fraction until the end."""
    over = match["den"] or match["d"]
    if over is not None and int(over) == 0:
        raise QuantityError("a fraction over 0", allowed(kind))
    if match["whole"] is not None:
        exact = int(match["whole"]) + Fraction(int(match["num"]), int(match["den"]))
    elif match["n"] is not None:
        exact = Fraction(int(match["n"]), int(match["d"]))
    else:
        exact = Fraction(match["dec"])
    return float(-exact if match["sign"] == "-" else exact)


def _convert(number: float, unit: str, si: str) -> float:
    """A number in a unit as SI; a specific gravity as degrees Plato."""
    if unit == "SG":
        # 1.000 and 1.130 are the ends of the scale, as near as the fit and three decimals can tell.
        return min(max(plato(number), 0.0), 30.0) if 1.0 <= number <= 1.13 else plato(number)
    return number if unit == si else in_si(number, unit)


def plato(specific_gravity: Number) -> Number:
    """Degrees Plato from specific gravity 20/20: -616.868 + 1111.14 S - 630.272 S2 + 135.997 S3.

    Fit to the ASBC table (V).

    Parameters
    ----------
    specific_gravity : float or array [-]
        1.000-1.130.

    Returns
    -------
    float or array [degP]

    Examples
    --------
    >>> round(plato(1.050), 2)
    12.39
    """
    S = specific_gravity
    return -616.868 + S * (1111.14 + S * (-630.272 + S * 135.997))


def _why_bare(kind: str) -> str:
    """Why a number alone is not read."""
    return f"add a unit: {', '.join(units_of(kind)[:5])}"


def _why_unit(unit: str, kind: str) -> str:
    """Why a unit is not read."""
    if re.match("[eE][+-]?[0-9]", unit):
        return "an exponent is not read: write the number out"
    for other in KINDS:
        if unit in UNITS[other][1] or meaning(unit) in UNITS[other][1]:
            return f"'{unit}' is a unit of {other.replace('_', ' ')}, not of {kind.replace('_', ' ')}"
    return f"unknown unit '{unit}'"


def _why_not(text: str, kind: str) -> str:
    """Why a text is no quantity at all."""
    if not text:
        return "empty"
    if re.match(r"[+-]?(nan|inf)", text, re.IGNORECASE):
        return "not a finite number"
    signed = why_signs(text)
    if signed:
        return signed
    if "\N{MINUS SIGN}" in text:
        return "not a plain minus: write -"
    if re.match(r"[+-]?[0-9]+-[0-9]+/[0-9]+", text):
        return f"write {text.replace('-', ' ', 1)} with a blank before the fraction"
    if re.match(r"[+-]?[0-9.]+[eE]", text):
        return "an exponent is not read: write the number out"
    return how_to_sum(text, kind) or "not a number and a unit"


def number(text: object) -> float:
    """Read a bare number: money, difficulty, weight, turns, chance.

    Parameters
    ----------
    text : object
        A number, or text of a plain decimal number.

    Returns
    -------
    float

    Raises
    ------
    QuantityError
        For anything but a finite decimal number.

    Examples
    --------
    >>> number("42.5")
    42.5
    """
    if isinstance(text, bool):
        raise QuantityError("not a number", "a number such as 42.5")
    if isinstance(text, int | float):
        if not (isinstance(text, int) or math.isfinite(text)):
            raise QuantityError("not a finite number", "a number such as 42.5")
        if abs(text) > 1e15:
            raise QuantityError("out of range", "a number such as 42.5")
        return float(text)
    plain = str(text).strip()
    if len(plain) <= _LONGEST and re.fullmatch(r"[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)", plain):
        return number(float(plain))
    signed = why_signs(plain) if len(plain) <= _LONGEST else ""
    if signed:
        raise QuantityError(signed, "a number such as 42.5")
    if re.match(r"[+-]?(nan|inf)", plain, re.IGNORECASE):
        raise QuantityError("not a finite number", "a number such as 42.5")
    raise QuantityError("not a bare number", "a number such as 42.5, without a unit")
