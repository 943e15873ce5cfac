"""How text stands on a screen: labelled paragraphs, wrapped."""

from __future__ import annotations

import textwrap

WIDTH = 100
LABEL = 13


def entry(label: str, *lines: str) -> list[str]:
    """A labelled paragraph, wrapped to the width."""
    out: list[str] = []
    for text in lines:
        head = (label + " ").ljust(LABEL) if not out else " " * LABEL
        out += textwrap.wrap(text, WIDTH, initial_indent=head, subsequent_indent=" " * LABEL)
    return out
