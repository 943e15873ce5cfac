"""The cells of a cool-down log: numbers with points or commas, the clock, yes and no."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass, field

from optichill.spellings import both_readings

MISSING = {"", "-", "--", "---", "n/a", "na", "nan", "null", "none", "#n/a", "?"}
"""What loggers and people write where nothing was read; in any case."""

_YES, _NO = {"yes", "y", "1", "true", "ja", "on"}, {"no", "n", "0", "false", "nein", "off"}
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]+)?|[+-]?[.,][0-9]+")
_CLOCK = re.compile(
    r"(?:(\d{4})-(\d\d)-(\d\d)[T ])?(\d{1,2}):(\d\d)(?::(\d\d)(?:[.,](\d+))?)?"
    r" ?([AaPp][Mm])? ?(Z|[+-]\d\d:?\d\d)?"
)
CLOCK = "HH:MM, HH:MM:SS or 2026-11-29T18:05:00"
DAY = 86400.0


class BadCell(Exception):
    """A cell that is not what its column holds."""

    def __init__(self, reason: str, allowed: str) -> None:
        super().__init__(reason)
        self.reason, self.allowed = reason, allowed


@dataclass
class Decimals:
    """The sign before decimals, of a whole file: two in one file could be anything. first : the line and cell
    in which each was seen."""

    separator: str
    first: dict[str, tuple[int, str]] = field(default_factory=dict)

    def number(self, cell: str, line: int, *, sure: bool) -> float:
        """A cell as a number, NaN where nothing was read; sure : a temperature, which has no thousands."""
        try:
            value = float(cell)
            if math.isfinite(value) and "_" not in cell:
                if "." in cell and "." not in self.first:
                    self._seen(".", line, cell)
                return value
        except ValueError:
            pass
        return self._otherwise(cell.strip(), line, sure=sure)

    def _otherwise(self, cell: str, line: int, *, sure: bool) -> float:
        if cell.lower() in MISSING:
            return math.nan
        if not _NUMBER.fullmatch(cell):
            raise BadCell("not a number", "a number without its unit, or nothing")
        if both_readings(cell) and not sure and self.separator == ",":
            raise BadCell(f"can be {' or '.join(both_readings(cell) or ())}", "a point before decimals")
        if "," in cell and "," not in self.first:
            self._seen(",", line, cell)
        value = float(cell.replace(",", "."))
        if not math.isfinite(value):
            raise BadCell("not a finite number", "a number")
        return value

    def _seen(self, sign: str, line: int, cell: str) -> None:
        self.first[sign] = (line, cell)
        other = self.first.get("," if sign == "." else ".")
        if other is not None:
            names = {",": "comma", ".": "point"}
            raise BadCell(
                f"a {names[sign]}, but line {other[0]} has {other[1]}: either can stand before decimals or "
                "thousands",
                "one sign before decimals in the whole file",
            )


@dataclass
class Clock:
    """Times of day as seconds that go on over midnight. finest : the finest that was written [s]; date :
    the first that stood there."""

    before: float = -math.inf
    days: float = 0.0
    finest: float = 60.0
    date: str | None = None

    def seconds(self, cell: str) -> float:
        """From the midnight before the first reading, or of the calendar where the date stands there [s]."""
        found = _CLOCK.fullmatch(cell.strip())
        if found is None:
            raise BadCell("not a time of day", CLOCK)
        year, month, day, hour, minute, second, part, noon, zone = found.groups()
        hours = int(hour)
        if hours > (12 if noon else 23) or int(minute) > 59 or int(second or 0) > 60 or (noon and not hours):
            raise BadCell("no such time of day", CLOCK)
        if noon:
            hours = hours % 12 + (12 if noon.lower() == "pm" else 0)
        self.finest = min(self.finest, 0.1 if part else 1.0 if second else 60.0)
        at = 3600.0 * hours + 60.0 * int(minute) + float(f"{second or 0}.{part or 0}")
        if year:
            self.date = self.date or f"{year}-{month}-{day}"
            try:
                return datetime.date(int(year), int(month), int(day)).toordinal() * DAY + at - _offset(zone)
            except ValueError:
                raise BadCell("no such day", CLOCK) from None
        if at + self.days < self.before - 0.5 * DAY:
            self.days += DAY
        self.before = at + self.days
        return self.before


def _offset(zone: str | None) -> float:
    """By how much a time zone is ahead [s]."""
    if not zone or zone == "Z":
        return 0.0
    digits = zone[1:].replace(":", "")
    return (-1.0 if zone[0] == "-" else 1.0) * (3600.0 * int(digits[:2]) + 60.0 * int(digits[2:]))


def yes_or_no(cell: str) -> float:
    """1 or 0; NaN where nothing stands."""
    plain = cell.strip().lower()
    if plain in _YES or plain in _NO:
        return float(plain in _YES)
    if plain in MISSING:
        return math.nan
    raise BadCell("neither yes nor no", "yes, no, or nothing")
