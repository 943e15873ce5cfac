"""A length, time or mass written in units that fall: "5 ft 6 in", "1 h 30 min", "6 lb 4 oz".

Only what a tape, a clock or a scale says so: whole numbers before the last unit, each unit once, and never as
much of a smaller one as makes the larger ("1 ft 14 in" is a slip, of 1 ft 4 in or of 14 in).
"""

from __future__ import annotations

import re
from itertools import pairwise

from optichill.spellings import meaning

# kind: its scales, each unit by how many of the smallest it holds.
_LENGTHS = ({"ft": 12, "in": 1}, {"m": 1000, "cm": 10, "mm": 1})
_SCALES: dict[str, tuple[dict[str, int], ...]] = {
    "length": _LENGTHS,
    "head": _LENGTHS,
    "time": ({"h": 3600, "min": 60, "s": 1},),
    "mass": ({"lb": 16, "oz": 1}, {"kg": 1000, "g": 1}),
}
_ONE = re.compile(r"(?P<number>[0-9]+(?:\.[0-9]+|(?: [0-9]+)?/0*[1-9][0-9]*)?) ?(?P<unit>[^0-9., /+-]+)\.? ?")


def summands(text: str, kind: str) -> tuple[str, ...]:
    """The quantities that a text is the sum of, units as they are listed; () where it is no such sum.

    Parameters
    ----------
    text : str
        With single blanks.
    kind : str
        One of `unit_table.KINDS`.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> summands("5' 6 1/2\\"", "length"), summands("1 hr 30 min", "time"), summands("1 ft 14 in", "length")
    (('5 ft', '6 1/2 in'), ('1 h', '30 min'), ())
    """
    parts = list(_ONE.finditer(text))
    if len(parts) < 2 or "".join(part[0] for part in parts) != text:
        return ()
    said = [(part["number"], meaning(part["unit"])) for part in parts]
    return tuple(map(" ".join, said)) if any(_falls(said, scale) for scale in _SCALES.get(kind, ())) else ()


def _falls(said: list[tuple[str, str]], scale: dict[str, int]) -> bool:
    """Whether numbers with their units go down a scale, each less than one of the unit before."""
    if any(unit not in scale for _, unit in said):
        return False
    whole = all(number.isdigit() for number, _ in said[:-1])
    less = all(_size(number) * scale[unit] < scale[before] for (_, before), (number, unit) in pairwise(said))
    falling = all(scale[unit] < scale[before] for (_, before), (_, unit) in pairwise(said))
    return whole and falling and less


def _size(number: str) -> float:
    """A number such as 6, 6.5, 1/2 or 6 1/2."""
    whole, _, over = number.rpartition(" ")
    top, _, bottom = over.partition("/")
    return float(whole or 0) + float(top) / float(bottom or 1)
