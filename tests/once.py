"""A chill or a march that a test run asked for before, told again to the last digit instead of worked out.

Both are functions of what they are given alone, and all of it is the key. What is told cannot be written to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any, TypeVar

import numpy as np

T = TypeVar("T")
MOST_COILS, MOST_KEPT = 4096, 4096
"""Coils of one chill, and chills, that are kept."""


def once(work_out: Callable[..., T]) -> Callable[..., T]:
    """The same function, that works nothing out twice."""
    kept: dict[Any, T] = {}

    def told(coils: Any, *more: Any, **named: Any) -> T:
        if len(coils) > MOST_COILS:
            return work_out(coils, *more, **named)
        asked = key((coils, *more, *named.items()))
        found = kept.get(asked)
        if found is None:
            found = work_out(coils, *more, **named)
            for array in arrays(found):
                array.flags.writeable = False
            if len(kept) >= MOST_KEPT:
                kept.clear()
            kept[asked] = found
        return found

    return told


def key(value: Any) -> Any:
    """All that a value says of itself, to be looked up by."""
    if isinstance(value, np.ndarray):
        return value.shape, value.dtype.str, value.tobytes()
    if isinstance(value, tuple):
        return tuple(map(key, value))
    if is_dataclass(value):
        return type(value), tuple(key(getattr(value, field.name)) for field in fields(value))
    return value


def arrays(value: Any) -> Iterator[np.ndarray]:
    """Every array in a result."""
    if isinstance(value, np.ndarray):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from arrays(part)
    elif is_dataclass(value):
        for field in fields(value):
            yield from arrays(getattr(value, field.name))
