"""The tables of a TOML text, with what no brewhouse is refused before the standard reader sees it."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from optichill.errors import InputFault
from optichill.model.quoted import FileNumber

LONGEST_LINE, DEEPEST = 2000, 16
"""Characters of a line, and tables and lists within each other, that are read: a brewhouse has a few. The
reader of TOML takes a long time over more, and its limits are those of the machine."""

TOO_DEEP = "tables or lists nested too deep"


def _unlike_a_brewhouse(text: str, name: str, faults: list[InputFault]) -> bool:
    """Add a fault for a line that is too long, or names too many tables in each other."""
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            reason = f"a line of {len(line)} characters"
            allowed = f"at most {LONGEST_LINE} characters a line"
        elif _dots(line) >= DEEPEST:
            reason, allowed = TOO_DEEP, f"at most {DEEPEST} levels"
        else:
            continue
        faults.append(InputFault(name, number, "file", line.strip()[:60], reason, allowed))
        return True
    return False


def _dots(line: str) -> int:
    """The most dots of any name in a line; those in texts and remarks are none."""
    if line.count(".") < DEEPEST:
        return 0
    bare = re.sub(r"#.*|[ \t]+", "", re.sub(r'"[^"]*"|\'[^\']*\'', "", line))
    return max((found.count(".") for found in re.findall(r"[\w.-]+", bare)), default=0)


def _deeper(raw: Any, most: int) -> bool:
    """Whether tables and lists stand more than so many within each other."""
    level = [raw]
    for _ in range(most):
        inner = [v.values() if isinstance(v, dict) else v for v in level if isinstance(v, dict | list)]
        level = [value for values in inner for value in values]
    return any(isinstance(value, dict | list) for value in level)


def parse_toml(text: str, name: str, faults: list[InputFault]) -> dict[str, Any] | None:
    """The tables of a TOML text, or None and a fault at its line."""
    if _unlike_a_brewhouse(text, name, faults):
        return None
    try:
        raw = tomllib.loads(text, parse_float=FileNumber)
        if _deeper(raw, DEEPEST):
            raise RecursionError
        return raw
    except RecursionError:
        faults.append(InputFault(name, 0, "file", "", TOO_DEEP, f"at most {DEEPEST} levels"))
        return None
    except ValueError as error:
        place = re.search(r"\(at line ([0-9]+), column [0-9]+\)|\(at end of document\)", str(error))
        line = int(place[1]) if place and place[1] else text.count("\n") + 1
        reason = str(error).split(" (at ")[0]
        written = text.splitlines()[line - 1].strip()[:60] if line <= len(text.splitlines()) else ""
        quotes = 'key = "value with unit"; text and quantities in quotes'
        faults.append(InputFault(name, line, "file", written, f"not TOML: {reason}", quotes))
        return None
