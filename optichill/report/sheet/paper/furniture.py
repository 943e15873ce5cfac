"""What every page carries: title, notes, check bar, key plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from optichill.report.sheet.paper.sizes import (
    BLOCK,
    CHECK_BARS,
    FOOT,
    MARGIN,
    NOTE,
    PENS,
    SMALL,
    TITLE,
    CheckBar,
    measure,
)
from optichill.report.sheet.paper.tile import Tile

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


def furniture(canvas: Canvas, tile: Tile) -> None:
    """Title, sheet number, notes; check bar and key plan."""
    plan, (wide, high) = tile.layout, tile.page_size
    canvas.setFillGray(0.0)
    canvas.setStrokeGray(0.0)
    y = high - MARGIN - 9.0
    canvas.setFont(tile.font, TITLE)
    canvas.drawRightString(wide - MARGIN, y, f"Sheet {tile.sheet} of {tile.of}")
    for line in plan.title_lines:
        canvas.drawString(MARGIN, y, line)
        y -= 12.5
    canvas.setFont(tile.font, NOTE)
    for line in plan.notes:
        canvas.drawString(MARGIN, y + 2.0, line)
        y -= 9.3
    _check_bar(canvas, tile.font, CHECK_BARS[tile.subject.units])
    if tile.of > 1:
        _key_plan(canvas, tile)


def _check_bar(canvas: Canvas, font: str, bar: CheckBar) -> None:
    x, y = MARGIN + 1.0, MARGIN + BLOCK + 5.0
    canvas.setLineWidth(PENS["bar"])
    canvas.line(x, y, x + bar.length, y)
    for end in (x, x + bar.length):
        canvas.line(end, y - 4.0, end, y + 4.0)
    canvas.setLineWidth(PENS["tenth"])
    for part in range(1, bar.parts):
        tick = x + part * bar.length / bar.parts
        canvas.line(tick, y, tick, y + 2.5)
    canvas.setFont(font, NOTE)
    canvas.drawString(MARGIN, y + 7.0, f"Print at 100 % - not 'fit to page': this bar measures {bar.text}")


def _key_plan(canvas: Canvas, tile: Tile) -> None:
    """All tiles as cells, this one black."""
    plan, right, low = tile.layout, tile.page_size[0] - MARGIN - 1.0, MARGIN + BLOCK + 1.0
    columns, rows = len(plan.columns), len(plan.rows)
    words = f"This sheet: {tile.name}"
    bar = CHECK_BARS[tile.subject.units].length
    room = right - (MARGIN + bar + 16.0) - measure(words, tile.font, NOTE) - 8.0
    wide, high = min(room / columns, 22.0), min((FOOT - 2.0) / rows, 15.0)
    widest = max(measure(plan.name(r, c), tile.font, SMALL) for r in range(rows) for c in range(columns))
    canvas.setLineWidth(PENS["key"])
    left = right - columns * wide
    for row in range(rows):
        for column in range(columns):
            here = (row, column) == (tile.row, tile.column)
            x, y = left + column * wide, low + row * high
            canvas.setFillGray(0.0 if here else 1.0)
            canvas.rect(x, y, wide, high, stroke=1, fill=1)
            if widest + 2.0 <= wide and high >= 9.0:
                canvas.setFillGray(1.0 if here else 0.0)
                canvas.setFont(tile.font, SMALL)
                canvas.drawCentredString(x + wide / 2.0, y + high / 2.0 - 2.5, plan.name(row, column))
    canvas.setFillGray(0.0)
    canvas.setFont(tile.font, NOTE)
    canvas.drawRightString(left - 6.0, low + rows * high / 2.0 - 2.5, words)
