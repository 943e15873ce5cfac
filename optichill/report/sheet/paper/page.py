"""A tile drawn: what every page carries, the subject, the marks where pages meet, and the words."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from optichill.report.sheet.paper.board import Board
from optichill.report.sheet.paper.comb import Comb
from optichill.report.sheet.paper.furniture import furniture
from optichill.report.sheet.paper.joints import joints
from optichill.report.sheet.paper.tile import Tile
from optichill.report.sheet.paper.wrap import Wrap

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


@dataclass(frozen=True)
class Page(Tile):
    """A tile that can draw itself."""

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
