"""A question to the program: all that its answer follows from, as one key."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optichill.files.kept.program import stamp
from optichill.files.places import is_id, sources
from optichill.files.texts import LARGEST, bytes_of

LAYOUT = 1
"""Raised when what is kept changes its form."""


@dataclass(frozen=True)
class Question:
    """key : the same for the same question alone; files : the texts that the answer may rest on."""

    key: str
    files: frozenset[str]

    def covers(self, read: set[Path]) -> bool:
        """Whether nothing was read for the answer but what the key was made of."""
        return {_place(path) for path in read} <= self.files


def question(
    command: str,
    options: dict[str, Any],
    houses: Sequence[str | None],
    coil: str | None,
) -> Question | None:
    """What is asked.

    Parameters
    ----------
    command, options : as they were typed, with the width that the answer is folded to.
    houses : brewhouses as they were named; their lists and calibrations come with them.
    coil : a coil file or an id, or None.

    Returns
    -------
    Question | None
        None where it cannot be told for sure: something is not there, is no ordinary file, or too large.
    """
    named = isinstance(coil, str) and not is_id(coil)
    try:
        files = [file for house in houses for file in sources(house)]
        files += [Path(str(coil))] if named else []
        texts = [(str(file), _digest(file)) for file in files]
        facts = [LAYOUT, command, options, os.getcwd(), _told_us(), named, texts, stamp()]
    except (OSError, ValueError):
        return None
    key = hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()
    return Question(key, frozenset(map(_place, files)))


def _told_us() -> list[tuple[str, str]]:
    """What the environment tells the program by name."""
    return sorted((name, value) for name, value in os.environ.items() if name.startswith("OPTICHILL_"))


def _place(path: Path) -> str:
    return os.path.abspath(path)


def _digest(file: Path) -> str:
    """Of every byte.

    Raises
    ------
    OSError, ValueError
    """
    data = bytes_of(file, LARGEST)
    if data is None:
        raise ValueError(f"{file}: too large")
    return hashlib.sha256(data).hexdigest()
