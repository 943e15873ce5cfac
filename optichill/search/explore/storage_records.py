"""What a line of a study may say: that it is begun, whose it is, or one coil that was tried.

Optuna's storage believes whatever stands in a journal, and a line that it cannot follow ends the program; so
each line is looked at before it hears of it.
"""

from __future__ import annotations

import json
import math
import re
from datetime import datetime
from typing import Any

from optichill.search.front import GOALS

BEGUN, WHOSE, COIL = 0, 2, 4
"""Optuna's numbers of what happened: a study made, an attribute of it set, a trial made."""

DIRECTIONS = [1] * len(GOALS)
"""All goals are to be small, as optuna writes it."""

HEAD = 4
"""Lines at the beginning that say whose a study is."""

LIMIT = "constraints:"
"""Before the name of a limit, as optuna keeps it."""

NOTHING: dict[str, Any] = {"study_id": 0, "state": 1, "value": None}
NOTHING |= {"distributions": {}, "params": {}, "intermediate_values": {}}
"""Of a coil's record what is always the same."""


def record_of(line: bytes | str, name: str) -> tuple[dict[str, Any], str]:
    """A line as a record, and what is wrong with it, "" where nothing is. name : of its study.

    Examples
    --------
    >>> record_of(b'{"op_code":99}', "optichill")[1]
    'not a line of a study'
    """
    try:
        found = json.loads(line)
        wrong = _wrong(found, name)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError):
        return {}, "not a line of a study"
    return (found, wrong) if isinstance(found, dict) else ({}, wrong)


def _wrong(found: Any, name: str) -> str:
    if not isinstance(found, dict) or not isinstance(found["worker_id"], str):
        return "not a line of a study"
    kind = found["op_code"] if type(found["op_code"]) is int else None
    if kind == BEGUN:
        begun = found["study_name"] == name and found["directions"] == DIRECTIONS
        return "" if begun else "begins a study that is not optichill's"
    if kind == WHOSE:
        says = isinstance(found["user_attr"], dict) and len(found["user_attr"]) == 1
        return "" if says and found["study_id"] == 0 else "not a line of a study"
    if kind == COIL:
        return _wrong_coil(found)
    return "not a line of a study"


def _wrong_coil(found: dict[str, Any]) -> str:
    if any(found[key] != value for key, value in NOTHING.items()):
        return "not a coil that was tried"
    for key in ("datetime_start", "datetime_complete"):
        datetime.fromisoformat(found[key])
    coil = found["user_attrs"].get("coil")
    if not isinstance(coil, dict) or not all(isinstance(x, str) or _is_number(x) for x in coil.values()):
        return "no coil stands in it"
    if len(found["values"]) != len(GOALS) or not all(map(_is_number, found["values"])):
        return f"its goals are not {len(GOALS)} numbers"
    if not all(name.startswith(LIMIT) and _is_number(x) for name, x in found["system_attrs"].items()):
        return "its limits are not numbers"
    return ""


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


_BEFORE, _BEHIND = b'{"op_code":0,"worker_id":"', b'","study_name":"%b","directions":[1,1,1,1]}'


def may_begin(first: bytes, name: str) -> bool:
    """Whether a file's first line is that of a study, or, without its end, what a kill left of one."""
    if first.endswith(b"\n"):
        found, wrong = record_of(first, name)
        return not wrong and found["op_code"] == BEGUN
    if not first.startswith(_BEFORE):
        return _BEFORE.startswith(first)
    rest = re.sub(rb"^[0-9a-f-]*", b"", first[len(_BEFORE) :])
    return (_BEHIND % name.encode()).startswith(rest)
