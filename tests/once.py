"""What a test run asked for before, told again to the last digit instead of worked out: a chill, a march, a
whole search.

All are functions of what they are given alone, and all of it is the key. What is told cannot be written to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from functools import wraps
from typing import Any, TypeVar

import numpy as np
from pydantic import BaseModel

from optichill.layouts import LAYOUTS
from optichill.materials import MATERIALS
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.search.answer import Answer
from optichill.search.recommend import SearchResult

T = TypeVar("T")
MOST_COILS, MOST_KEPT = 4096, 4096
"""Coils of one chill, and chills, that are kept."""
MOST_SEARCHES = 24
"""Searches that are kept: one takes some megabytes."""


def once(work_out: Callable[..., T]) -> Callable[..., T]:
    """The same function, that works nothing out twice."""
    kept: dict[Any, T] = {}

    @wraps(work_out)
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


class Searches:
    """Searches and their answers that work nothing out twice.

    search : search_space; answer : recommendation_of. A toy metal, layout or limit is a question of its own;
    what a test patches otherwise is not seen: then `afresh` is to be set.
    """

    def __init__(self, search: Callable[..., SearchResult], answer: Callable[..., Answer]) -> None:
        self._search, self._answer = search, answer
        self._kept: dict[Any, SearchResult] = {}
        self._answers: dict[tuple[int, int], tuple[SearchResult, Answer]] = {}
        self.afresh = False

    def search(self, basis: DesignBasis, **named: Any) -> SearchResult:
        """search_space; who listens hears nothing of a search that was made before."""
        only = (named.get("tube"), named.get("form"))
        registries = tuple(tuple(records.values()) for records in (MATERIALS, LAYOUTS, LIMITS))
        asked = key((basis, only, registries))
        found = None if self.afresh else self._kept.pop(asked, None)
        found = found or self._search(basis, **named)
        if not self.afresh:
            self._kept[asked] = found
            if len(self._kept) > MOST_SEARCHES:  # the one that was asked for longest ago
                oldest = self._kept.pop(next(iter(self._kept)))
                self._answers = {a: kept for a, kept in self._answers.items() if kept[0] is not oldest}
        return found

    def answer(self, searched: SearchResult, *, top: int = 5) -> Answer:
        """recommendation_of."""
        asked = id(searched), top
        if self.afresh or not any(searched is kept for kept in self._kept.values()):
            return self._answer(searched, top=top)
        if asked not in self._answers:
            self._answers[asked] = searched, self._answer(searched, top=top)
        return self._answers[asked][1]


def key(value: Any) -> Any:
    """All that a value says of itself, to be looked up by."""
    if isinstance(value, np.ndarray):
        return value.shape, value.dtype.str, value.tobytes()
    if isinstance(value, tuple | list):
        return tuple(map(key, value))
    if isinstance(value, dict):
        return dict, tuple((name, key(held)) for name, held in value.items())
    if is_dataclass(value):
        return type(value), tuple(key(getattr(value, field.name)) for field in fields(value))
    if isinstance(value, BaseModel):
        stated = frozenset(value.model_fields_set)
        return type(value), stated, tuple(key(getattr(value, name)) for name in type(value).model_fields)
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
