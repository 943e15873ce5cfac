"""Dates as people and spreadsheets write them, where only one day can be meant."""

from __future__ import annotations

import datetime
import re
from contextlib import suppress

ISO = "year-month-day, such as 2026-11-01"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = rf"(?P<name>{'|'.join(_MONTHS)})[a-z]*\.?"
_YEAR_FIRST = re.compile(r"(?P<y>[0-9]{4})(?P<sign>[-/.])(?P<m>[0-9]{1,2})(?P=sign)(?P<d>[0-9]{1,2})")
_DOTTED = re.compile(
    r"(?P<d>[0-9]{1,2})\. ?(?P<m>[0-9]{1,2})\. ?(?P<y>[0-9]{4})"
)  # day first wherever it is used
_EITHER = re.compile(r"(?P<a>[0-9]{1,2})(?P<sign>[-/])(?P<b>[0-9]{1,2})(?P=sign)(?P<y>[0-9]{4})")
_NAMED = (
    re.compile(rf"(?P<d>[0-9]{{1,2}})\.?[- ]{_MONTH}[- ](?P<y>[0-9]{{4}})", re.IGNORECASE),
    re.compile(rf"{_MONTH} (?P<d>[0-9]{{1,2}}),? (?P<y>[0-9]{{4}})", re.IGNORECASE),
)
_MIDNIGHT = re.compile(r"[ T]00:00(:00(\.0+)?)?$")  # what a spreadsheet hangs on


def readings(text: str) -> dict[str, datetime.date]:
    """Every day that a text can mean, by the order it is read in: "", "day first", "month first".

    Parameters
    ----------
    text : str

    Returns
    -------
    dict of str to date
        Empty where it is no date; one entry where it can be one day only.

    Examples
    --------
    >>> [str(day) for day in readings("01/11/2026").values()]
    ['2026-11-01', '2026-01-11']
    >>> len(readings("13/11/2026")), len(readings("1 Nov 2026")), len(readings("1/11/26"))
    (1, 1, 0)
    """
    plain = _MIDNIGHT.sub("", " ".join(text.split()))
    either = _EITHER.fullmatch(plain)
    if either:
        a, b, year = int(either["a"]), int(either["b"]), int(either["y"])
        found = {"day first": _day(year, b, a), "month first": _day(year, a, b)}
        days = {order: day for order, day in found.items() if day is not None}
        return days if len(set(days.values())) > 1 else dict([*days.items()][:1])
    for pattern in (_YEAR_FIRST, _DOTTED, *_NAMED):
        match = pattern.fullmatch(plain)
        if match:
            parts = match.groupdict()
            month = int(parts["m"]) if "m" in parts else 1 + _MONTHS.index(parts["name"].lower())
            day = _day(int(parts["y"]), month, int(parts["d"]))
            return {"": day} if day is not None else {}
    return {}


def _day(year: int, month: int, day: int) -> datetime.date | None:
    with suppress(ValueError):  # the right shape, but no such day
        return datetime.date(year, month, day)
    return None
