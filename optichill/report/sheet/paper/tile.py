"""One page at true size, and the pages that make a whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from optichill.report.sheet.paper.board import Board
from optichill.report.sheet.paper.furniture import furniture
from optichill.report.sheet.paper.joints import joints
from optichill.report.sheet.paper.sizes import Box, Point, Span

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from optichill.report.sheet.paper.comb import Comb
    from optichill.report.sheet.paper.wrap import Wrap


@dataclass(frozen=True)
class Layout:
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
    layout: Layout = field(repr=False)
    subject: Wrap | Comb = field(repr=False)

    def draw(self, canvas: Canvas) -> None:
        """The whole page, in page coordinates; does not end the page."""
        canvas.saveState()
        furniture(canvas, self)
        board = Board(canvas, self)
        self.subject.draw(board)
        joints(board)
        self.subject.letter(board)
        canvas.restoreState()
