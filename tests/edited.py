"""Lines that a document tells to write, written into the text of a file as a person would with an editor."""

from __future__ import annotations

import re
from typing import Any


def edited(text: str, writes: list[dict[str, Any]], file: str) -> str:
    """The text with those of the writes that are for this file: "brewhouse" or "coil"."""
    for write in writes:
        if write["file"] == file:
            text = _whole(text, write) if not write["table"] else _in_table(text, write)
    return text


def _whole(text: str, write: dict[str, Any]) -> str:
    """All blocks of a name taken out, the new ones at the end."""
    return "\n".join([*_without_blocks(text.splitlines(), write["key"]), "", *write["lines"]]) + "\n"


def _without_blocks(lines: list[str], name: str) -> list[str]:
    kept, inside = [], False
    for line in lines:
        if line.startswith("["):
            inside = bool(re.match(rf"\[+{re.escape(name)}[\].]", line))
        kept += [] if inside else [line]
    return kept


def _in_table(text: str, write: dict[str, Any]) -> str:
    """A key's line taken out of its table, and the new one put below the table's name."""
    name, _, number = write["table"].partition("[")
    lines = text.splitlines()
    if write["lines"] and write["lines"][0].startswith(f"{write['key']} = ["):
        lines = _without_blocks(lines, f"{name}.{write['key']}")
    head = f"[[{name}]]" if number else f"[{name}]"
    places = [n for n, line in enumerate(lines) if line.split("#")[0].strip() == head]
    if not places:
        return "\n".join([*lines, "", head, *write["lines"]]) + "\n"
    at = places[int(number[:-1]) - 1 if number else 0]
    after = [n for n, line in enumerate(lines) if n > at and line.startswith("[")]
    end = after[0] if after else len(lines)
    body = [line for line in lines[at + 1 : end] if not re.match(rf"{write['key']} *=", line)]
    assert write["lines"] or len(body) == end - at - 2, f"no line of {write['key']} to take out"
    return "\n".join([*lines[: at + 1], *write["lines"], *body, *lines[end:]]) + "\n"
