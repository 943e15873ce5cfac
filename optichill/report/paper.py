"""How text stands on a screen: labelled paragraphs, folded to the width of the terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

WIDTH = 100
"""Columns that lines are folded to where nothing else is said."""

LEAST = 40
"""Columns below which nothing can be read: narrower terminals fold by themselves."""

TIED = "\ue000"
"""A blank at which no line is folded; private, so that no text has it of its own."""

LABEL = 13
"""Columns of the label of a paragraph."""


def entry(label: str, *lines: str) -> list[str]:
    """A labelled paragraph, a line for each text, not yet folded.

    Examples
    --------
    >>> entry("TIME", "20 min", "stirred")
    ['TIME         20 min', '             stirred']
    """
    return [(f"{label} " if n == 0 else "").ljust(LABEL) + text for n, text in enumerate(lines)]


def whole(text: str) -> str:
    """A text that `folded` keeps on one line, such as a command to be copied.

    Examples
    --------
    >>> folded([f"NEXT         {whole('optichill recommend my-kettle --full')}   all"], 40)
    ['NEXT         optichill recommend my-kettle --full', '             all']
    """
    return text.replace(" ", TIED)


def folded(lines: Iterable[str], width: int = WIDTH) -> list[str]:
    """Lines no longer than a width [columns]: what follows a label stays beside it.

    Examples
    --------
    >>> folded(["TIME         15 to 26 min, most likely 20"], 40)
    ['TIME         15 to 26 min, most likely', '             20']

    A number stays with its unit, and a path whole:

    >>> folded(["WATER        110 to 190 L, most likely 145 L"], 43)
    ['WATER        110 to 190 L, most likely', '             145 L']
    """
    out: list[str] = []
    width = max(width, LEAST)
    for line in lines:
        if len(line) <= width:
            out.append(line.replace(TIED, " "))
            continue
        lead = _lead(line)
        head, text = line[:lead], line[lead:]
        tied = re.sub(r"(?<=\d) (?=\S)", TIED, text)
        pieces = textwrap.wrap(tied, width - lead, break_long_words=False, break_on_hyphens=False)
        out += [(" " * lead if n else head) + piece.replace(TIED, " ") for n, piece in enumerate(pieces)]
    return out


def _lead(line: str) -> int:
    """Columns before the text of a line: of its label or of its indent."""
    if re.fullmatch(r"[A-Z]+(?: [A-Z0-9]+)* +", line[:LABEL]):
        return LABEL
    found = re.match(r"[A-Z]+ {2,}| *", line)
    return found.end() if found else 0
