"""Details of many coils, small: what stands in several of them stands once.

Most of a coil's tables, words and drawing is that of its neighbours. `packed` gives a list of shared parts,
each made of text, numbers and earlier parts, and for every coil what is left: a part is named by its number
in braces, {"": n}. `unpacked` undoes it, as the page's script does.
"""

from __future__ import annotations

import json
from typing import Any

WORTH = 12
"""Letters below which a reference saves nothing."""


def packed(tree: Any) -> tuple[list[Any], Any]:
    """Shared parts, and the tree with references to them.

    Parameters
    ----------
    tree : dicts (keys are texts, none empty), lists, texts, finite numbers, None, bool.
    """
    counts: dict[str, int] = {}
    texts: dict[int, str] = {}
    _count(tree, counts, texts)
    numbers: dict[str, int] = {}
    shared: list[Any] = []

    def put(part: Any) -> Any:
        text = texts.get(id(part)) or _text(part)
        if counts.get(text, 0) < 2:
            return inside(part)
        if text not in numbers:
            made = inside(part)  # its own parts come first: earlier numbers
            numbers[text] = len(shared)
            shared.append(made)
        return {"": numbers[text]}

    def inside(part: Any) -> Any:
        if isinstance(part, dict):
            return {key: put(value) for key, value in part.items()}
        if isinstance(part, list):
            return [put(value) for value in part]
        return part

    left = put(tree)
    return shared, left


_text = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False).encode


def _count(part: Any, counts: dict[str, int], texts: dict[int, str]) -> str:
    """How often each part occurs that is worth a reference. Gives the part as text."""
    if isinstance(part, dict):
        text = "{" + ",".join(f"{_text(k)}:{_count(v, counts, texts)}" for k, v in part.items()) + "}"
    elif isinstance(part, list):
        text = "[" + ",".join(_count(v, counts, texts) for v in part) + "]"
    else:
        text = _text(part)
    if len(text) > WORTH:
        counts[text] = counts.get(text, 0) + 1
        if isinstance(part, dict | list):
            texts[id(part)] = text
    return text


def unpacked(shared: list[Any], part: Any) -> Any:
    """The tree that was packed."""
    if isinstance(part, list):
        return [unpacked(shared, value) for value in part]
    if isinstance(part, dict):
        if "" in part:
            return unpacked(shared, shared[part[""]])
        return {key: unpacked(shared, value) for key, value in part.items()}
    return part
