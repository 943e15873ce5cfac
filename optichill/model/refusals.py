"""Faults of a value in our own words: what was found, and what is allowed."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection
from difflib import get_close_matches
from typing import Any

from pydantic_core import PydanticCustomError

from optichill.errors import shown


def refusal(reason: str, allowed: str = "", key: str = "") -> PydanticCustomError:
    """A fault in our own words; key names the field when the whole table is being looked at."""
    return PydanticCustomError("refused", "{reason}", {"reason": reason, "allowed": allowed, "key": key})


def near(word: str, known: Collection[str]) -> str:
    """ " did you mean ...?" for a misspelt name, or nothing."""
    close = get_close_matches(str(word), known, n=1, cutoff=0.6)
    return f": did you mean {close[0]}?" if close else ""


_NOT_ONE_VALUE: tuple[tuple[type | tuple[type, ...], str], ...] = (
    (bool, "true or false"),
    ((list, tuple), "a list"),
    (dict, "a table"),
    ((datetime.date, datetime.time), "a date or a time of day"),
)


def refuse_kind(value: Any, takes: Callable[[], str]) -> None:
    """Refuse by its name what is neither text nor a number."""
    for kind, said in _NOT_ONE_VALUE:
        if isinstance(value, kind):
            one = value[0] if isinstance(value, list) and len(value) == 1 else None
            instead = f": write '{shown(one)}' without brackets" if isinstance(one, str) else ""
            raise refusal(f"{said} is not taken here{instead}", takes())
