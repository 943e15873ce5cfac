"""A length, time, mass or volume written in units that fall: "5 ft 6 in", "1 h 30 min", "6 lb 4 oz".

Only what a tape, a clock, a scale or jugs say so: whole numbers before the last unit, each unit once, and
never as much of a smaller one as makes the larger ("1 ft 14 in" is a slip, of 1 ft 4 in or of 14 in).
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
    "volume": ({"gal": 4, "qt": 1}, {"L": 1000, "mL": 1}),
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


_JOINED = re.compile(r" ?[,&+] ?| (?:and|plus) ")
_CLOCK = re.compile(r"([0-9]+):([0-9]+) ?(\S+)")
_LAST_BARE = re.compile(r"([0-9]+) ?([^0-9., /+-]+) ?([0-9]+)")


def how_to_sum(text: str, kind: str) -> str:
    """How a text is written that is meant as a sum and is none; "" where nothing looks so.

    Parameters
    ----------
    text, kind : str
        As in `summands`.

    Returns
    -------
    str

    Examples
    --------
    >>> how_to_sum("1 ft, 1 in", "length"), how_to_sum("1:30 h", "time"), how_to_sum("1 h 30", "time")
    ('as a sum write 1 ft 1 in', 'as a sum write 1 h 30 min', 'as a sum write 1 h 30 min')
    >>> how_to_sum("1 ft 14 in", "length")
    'a sum has whole numbers of units that fall, each less than one of the unit before, such as 1 ft 2 in'
    """
    clock, bare = _CLOCK.fullmatch(text), _LAST_BARE.fullmatch(text)
    whole, unit, rest = clock.group(1, 3, 2) if clock else bare.groups() if bare else ("", "", "")
    meant = [f"{whole} {unit} {rest} {_next(meaning(unit), kind)}"] if unit else []
    for plain in (*meant, _JOINED.sub(" ", text)):
        parts = summands(plain, kind)
        if parts:
            return f"as a sum write {' '.join(parts)}"
    found = list(_ONE.finditer(text))
    units = [meaning(one["unit"]) for one in found]
    if len(found) < 2 or "".join(one[0] for one in found) != text:
        return ""
    for scale in _SCALES.get(kind, ()):
        if all(unit in scale for unit in units):
            above, below, *_ = scale
            return (
                "a sum has whole numbers of units that fall, each less than one of the unit before, "
                f"such as 1 {above} 2 {below}"
            )
    return ""


def _next(unit: str, kind: str) -> str:
    """The unit below one."""
    falling = [list(scale) for scale in _SCALES.get(kind, ())]
    return next((below for units in falling for above, below in pairwise(units) if above == unit), "")


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
