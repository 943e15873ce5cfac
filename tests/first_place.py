"""Who comes first in a brewhouse, and what its front costs, without all else that an answer tells.

Where a test asks for no more, it is spared a quarter of the work, and all advice where nothing fits.
"""

from __future__ import annotations

from optichill.problem.basis import DesignBasis
from optichill.search.designs import Design, designs
from optichill.search.evaluate import rows
from optichill.search.ids import ids_of
from optichill.search.ranking import shortlist
from optichill.search.recommend import SearchResult, search_space


def first_place(basis: DesignBasis) -> Design | None:
    """The first design of `recommend`; None where nothing fits."""
    return first_of(search_space(basis))


def first_of(searched: SearchResult) -> Design | None:
    """The same of what a search left."""
    front, ranking = searched.front, searched.ranking
    if front is None or ranking is None:
        return None
    cover = shortlist(front, ranking, len(front))
    (first,) = designs(
        searched.enumeration.space, front.number[cover.entry[:1]], ranking.levels, cover.near_variants[:1]
    )
    return first


def totals(searched: SearchResult) -> dict[str, float]:
    """What each design of the front costs over its life, by id; empty where nothing fits."""
    front, ranking, space = searched.front, searched.ranking, searched.enumeration.space
    if front is None or ranking is None:
        return {}
    ids = ids_of(space, rows(space, front.number))
    return dict(zip(ids, ranking.life.total.tolist(), strict=True))
