"""Explored coils among those that nothing beats: how many came there, and the one that ranks best."""

from __future__ import annotations

import numpy as np

from optichill.search.designs import Design, designs
from optichill.search.evaluate import rows
from optichill.search.ids import coil_of, ids_of
from optichill.search.recommend import SearchResult


def count(searched: SearchResult) -> int:
    """How many coils that nothing beats are explored ones, each counted once however its valve is set."""
    if searched.front is None:
        return 0
    space, numbers = searched.enumeration.space, searched.front.number
    numbers = numbers[space.explored(numbers)]
    return int(coil_of(rows(space, numbers)).max(initial=-1)) + 1


def best(searched: SearchResult, told: tuple[Design, ...]) -> Design | None:
    """The explored coil of a front that ranks best, worked out in full; told : designs that are already."""
    space, front, ranking = searched.enumeration.space, searched.front, searched.ranking
    if front is None or ranking is None:
        return None
    places = np.flatnonzero(space.explored(front.number))
    if not places.size:
        return None
    free = places[ranking.free[places]] if ranking.free[places].any() else places
    first = free[[int(np.argmax(ranking.points[free]))]]
    name = ids_of(space, rows(space, front.number[first]))[0]
    known = [d for d in told if d.id == name]
    return (known or designs(space, front.number[first], ranking.levels, front.stands_for[first] - 1))[0]
