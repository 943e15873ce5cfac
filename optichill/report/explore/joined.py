"""What came of a study in an answer that has its coils beside those of the lists."""

from __future__ import annotations

from typing import Any

from optichill.report.explore import document
from optichill.report.explore.screen import joined_lines, nearest_lines
from optichill.search.answer import Answer
from optichill.search.explore import on_the_front
from optichill.search.explore.nearest import nearest_of
from optichill.search.explore.study_team import Explored
from optichill.search.explore.wider import wider
from optichill.search.recommend import SearchResult


def lines(explored: Explored | None, searched: SearchResult, answer: Answer | None = None) -> list[str]:
    """For the screen, nothing where no study was asked for.

    answer : where nothing fits, the nearest coil stands beside its ways out."""
    if explored is None:
        return []
    came = joined_lines(explored, on_the_front.count(searched), searched.enumeration.space.basis)
    if answer is None or answer.designs:
        return came
    return came + nearest_lines(nearest_of(wider(searched), explored.near), answer)


def part(explored: Explored | None, searched: SearchResult) -> dict[str, Any]:
    """Of the answer's document, nothing where no study was asked for."""
    if explored is None:
        return {}
    return {"explored": document.explored(explored, on_the_front.count(searched))}
