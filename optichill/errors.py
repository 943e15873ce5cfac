"""What can go wrong, in one place. Every error that a user may meet derives from OptichillError."""

from __future__ import annotations

import json
import re
import unicodedata
from collections import Counter
from dataclasses import dataclass
from typing import Any

SHOWN_FAULTS = 50
"""So many faults are told in full; of the rest the kinds are counted."""
_SHOWN_KINDS = 20


def printable(text: str) -> str:
    """Text that a terminal only shows: what would steer it, or turn its letters round, is written as JSON
    writes it. Everything that a command says goes through here, line by line.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> printable("24 °C \\x1b]8;;http://example.invalid\\x07keg")
    '24 °C \\\\u001b]8;;http://example.invalid\\\\u0007keg'
    """
    if text.isprintable():
        return text
    return "".join(c if _harmless(c) else json.dumps(c)[1:-1] for c in text)


def _harmless(c: str) -> bool:
    """Letters and spaces, and what joins letters and signs into one."""
    return c.isprintable() or c in "\u200c\u200d" or unicodedata.category(c) == "Zs"


def shown(text: str, longest: int = 60) -> str:
    """Somebody's text as a message echoes it: one line, short, and nothing that a terminal would obey.

    Parameters
    ----------
    text : str
    longest : int
        Characters; what is longer ends in "...".

    Returns
    -------
    str

    Examples
    --------
    >>> shown("red \\x1b[31m row"), shown("a" * 9, 6)
    ('red \\\\u001b[31m row', 'aaa...')
    """
    line = " ".join(text[: 4 * longest].split())
    plain = printable(line)
    return plain if len(plain) <= longest else plain[: longest - 3] + "..."


class OptichillError(Exception):
    """Base of all errors that end a command with a plain message; `exit_code` is the command's status."""

    exit_code = 4

    def lines(self) -> list[str]:
        """The message, a line for each thing that is wrong."""
        return str(self).split("\n")


@dataclass(frozen=True, order=True)
class InputFault:
    """One fault in one place of what the user wrote.

    Parameters
    ----------
    file, line : the place; line 0 means the file as a whole.
    key : TOML key path ("kettle.inside_diameter") or CSV column.
    given : what was found, as text ("" when it is missing).
    reason : why it is refused.
    allowed : what would be accepted.
    """

    file: str
    line: int
    key: str
    given: str
    reason: str
    allowed: str = ""

    def __str__(self) -> str:
        file, key, reason, allowed = (
            shown(text, 1000) for text in (self.file, self.key, self.reason, self.allowed)
        )
        place = f"{file}:{self.line}" if self.line else file
        given = f": {shown(self.given)}" if self.given else ""
        return f"{place}: {key}{given}: {reason}" + (f" (allowed: {allowed})" if allowed else "")

    @property
    def kind(self) -> str:
        """What it has in common with others: file, key and reason, without what was found there."""
        key, reason = re.sub(r"\[[0-9]+\]", "", self.key), re.sub("'.*?'|[0-9][0-9.]*", "...", self.reason)
        return f"{shown(self.file, 1000)}: {shown(key)}: {shown(reason, 100)}"


class InputFaults(OptichillError):
    """All faults of all files at once, in the order of file and line."""

    def __init__(self, faults: list[InputFault]) -> None:
        self.faults = sorted(set(faults))
        super().__init__("\n".join(self._lines()))

    def heading(self, brewhouse: str) -> str:
        """The brewhouse that was read, how many faults there are, and in which files where it has none."""
        count = f"{len(self.faults)} fault{'s' if len(self.faults) > 1 else ''}"
        files = list(dict.fromkeys(fault.file for fault in self.faults))
        at = "" if brewhouse in files else f" in {', '.join(shown(file, 1000) for file in files)}"
        return f"Brewhouse: {brewhouse}: {count}{at}"

    def _lines(self) -> list[str]:
        lines = [str(fault) for fault in self.faults[:SHOWN_FAULTS]]
        rest = Counter(fault.kind for fault in self.faults[SHOWN_FAULTS:]).most_common()
        lines += [f"and {count} more: {kind}" for kind, count in rest[:_SHOWN_KINDS]]
        left = sum(count for _, count in rest[_SHOWN_KINDS:])
        return [*lines, f"and {left} more of other kinds"] if left else lines

    def lines(self) -> list[str]:
        """A line for each fault."""
        return [str(fault) for fault in self.faults]

    def __reduce__(self) -> tuple[type[InputFaults], tuple[list[InputFault]]]:
        return type(self), (self.faults,)


class PropertyRange(OptichillError):
    """A temperature or strength outside the range in which the property tables are known."""


class Freezes(PropertyRange):
    """The wort gets too cold while it stands; `stage` is the place of the hold in the plan, from 0; of : the
    brewhouse whose plan it is, where there are several."""

    def __init__(self, stage: int, of: Any = None) -> None:
        self.stage, self.of = stage, of
        super().__init__(f"cooling[{stage + 1}].hold: {self.reason} (allowed: {self.allowed})")

    reason = "the wort freezes while it stands"
    allowed = "a shorter hold, or warmer air round the kettle"

    def __reduce__(self) -> tuple[type[Freezes], tuple[int, Any]]:
        return type(self), (self.stage, self.of)


class CannotWrite(OptichillError):
    """A file could not be written; nothing was left half done."""

    exit_code = 5
