"""From the id of a coil to the coil: nothing is remembered, the same search finds it again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from optichill.display import plural
from optichill.errors import OptichillError, shown
from optichill.problem.coil_id import DIGITS, LEAST, LENGTH, LETTERS, SIGNS
from optichill.search.answer import Answer
from optichill.search.designs import Design, designs
from optichill.search.evaluate import rows
from optichill.search.ids import ids_of
from optichill.search.recommend import SearchResult, recommendation_of

MOST_TOLD = 8
"""So many ids are told where a beginning is that of several."""


class NoSuchCoil(OptichillError):
    """An id that no coil has, or the beginning of several."""


def well_formed(name: str) -> str:
    """An id or its beginning, as it is looked for; refused at once where no coil could have it."""
    plain = name.strip().lower()
    wrong = _wrong_with(plain)
    if not wrong:
        return plain
    raise NoSuchCoil(
        f"{shown(name) or 'coil'}: neither a file that is there nor the id of a coil: {wrong} (allowed: "
        f"{LEAST} to {LENGTH} signs of an id: first a letter of {LETTERS}, then these and {DIGITS})"
    )


def _wrong_with(plain: str) -> str:
    """Why no id is so, or begins so; empty where one may."""
    if not plain:
        return "empty"
    foreign = shown(" ".join(dict.fromkeys(sign for sign in plain if sign not in SIGNS)))
    if foreign:
        return f"no id has {foreign}"
    if plain[0] not in LETTERS:
        return "an id begins with a letter"
    if not LEAST <= len(plain) <= LENGTH:
        return f"it has {plural(str(len(plain)), 'sign')}"
    return ""


def found_again(searched: SearchResult, name: str) -> Design:
    """The coil of an id, or of the beginning of one, of those that a search left.

    Raises
    ------
    NoSuchCoil
    """
    plain, known = well_formed(name), _known(searched)
    named = [other for other in known if other.startswith(plain)]
    if len(named) > 1:
        some = ", ".join(sorted(named)[:MOST_TOLD])
        some += " ..." if len(named) > MOST_TOLD else ""
        raise NoSuchCoil(f"{shown(name)}: {len(named)} coils have an id that begins so: {some}")
    if named:
        return known[named[0]]()
    raise NoSuchCoil(
        f"{shown(name)}: no coil that holds your limits, and that no other beats, has this id: a change of "
        "limits, of prices, or of the lists and the kettle leaves others, and so does --tube or --form; "
        "a coil that explore found is found with its --study "
        "(optichill pareto lists all ids; what recommend showed with --tube or --form it keeps with the "
        "same, --save-coil FILE and --coil ID)"
    )


def _known(searched: SearchResult) -> dict[str, Callable[[], Design]]:
    """How each coil that a search left is worked out, by id: all that nothing beats; where nothing fits, what
    the ways out open."""
    front, ranking, space = searched.front, searched.ranking, searched.enumeration.space
    if front is None or ranking is None:
        return _opened(recommendation_of(searched))
    by = ranking.levels

    def worked_out(place: int) -> Design:
        one = np.array([place])
        return designs(space, front.number[one], by, front.stands_for[one] - 1)[0]

    ids = ids_of(space, rows(space, front.number))
    return {name: partial(worked_out, place) for place, name in enumerate(ids)}


def _opened(answer: Answer) -> dict[str, Callable[[], Design]]:
    """The coils that are told of where nothing fits, by id."""
    ways = [way.design for way in answer.opened]
    ways += [way.further.design for way in answer.opened if way.further is not None]
    told = [*ways, *(d for d in (answer.stirred, answer.quickest) if d is not None)]
    return {d.id: partial(replace, d) for d in told}
