"""One page at true size as plain numbers, and the pages that make a whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Protocol

from optichill.report.sheet.paper.sizes import Box, Point, Span


class Subject(Protocol):
    """What lies on the pages, as far as their joints and their text must know it."""

    @property
    def cross_inset(self) -> float:
        """How far from a page's edge the crosses stand [pt]."""

    @property
    def units(self) -> str:
        """metric or us: whose ruler is laid on the check bar."""

    def struck(self, box: Box, hair: bool = False) -> bool:
        """Whether a line of the subject runs through the box; hair: or passes within a hair of it."""

    def free_heights(self, x: Span, y: Span) -> Iterator[float]:
        """Heights in y at which text over x covers no line, the best first."""


@dataclass(frozen=True)
class PageGrid:
    """Pages of one size. frame : what the margins, the head and the foot leave (x0, y0, x1, y1)."""

    page_size: tuple[float, float]
    columns: tuple[Span, ...]
    rows: tuple[Span, ...]
    title_lines: tuple[str, ...]
    notes: tuple[str, ...]
    frame: Box

    @property
    def of(self) -> int:
        return len(self.columns) * len(self.rows)

    def name(self, row: int, column: int) -> str:
        """Columns are letters from the left; rows, where there are several, digits from below."""
        return chr(ord("A") + column) + (str(row + 1) if len(self.rows) > 1 else "")


@dataclass(frozen=True)
class Tile:
    """One page at 1:1.

    sheet : from 1, lowest row first, of `of`; row from below and column from the left, both from 0; window :
    the part of the template shown (x0, y0, x1, y1) [pt]; offset : from template to page [pt].
    """

    page_size: tuple[float, float]
    sheet: int
    of: int
    row: int
    column: int
    name: str
    title: str
    window: Box
    offset: Point
    font: str
    layout: PageGrid = field(repr=False)
    subject: Subject = field(repr=False)
