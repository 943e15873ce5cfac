"""How two pages are laid together: dashed lines, crosses and names, alike on both."""

from __future__ import annotations

import math
from collections.abc import Iterator

from optichill.report.sheet.paper.board import Board
from optichill.report.sheet.paper.sizes import CROSS, OVERLAP, Point


def joints(board: Board) -> None:
    """Dashed lines in the middle of what two tiles share, with crosses and names, alike on both."""
    tile = board.tile
    plan, row, column = tile.layout, tile.row, tile.column
    for left in (column - 1, column):
        if 0 <= left < len(plan.columns) - 1:
            x = (plan.columns[left][1] + plan.columns[left + 1][0]) / 2.0
            _joint(board, (x, plan.rows[row][0]), (x, plan.rows[row][1]))
            _name_upright(board, x, plan.name(row, left), plan.name(row, left + 1))
    for low in (row - 1, row):
        if 0 <= low < len(plan.rows) - 1:
            y = (plan.rows[low][1] + plan.rows[low + 1][0]) / 2.0
            _joint(board, (plan.columns[column][0], y), (plan.columns[column][1], y))
            text = f"{plan.name(low + 1, column)} above {plan.name(low, column)}"
            board.put(text, _level_spots(board, text, y))


def _joint(board: Board, start: Point, stop: Point) -> None:
    board.line("joint", start, stop, (4.0, 3.0))
    span = math.dist(start, stop)
    inset = min(board.tile.subject.cross_inset, 0.2 * span)
    arm = min(CROSS, inset - 1.0)
    for share in (inset / span, 1.0 - inset / span):
        x, y = (a + share * (b - a) for a, b in zip(start, stop, strict=True))
        board.line("cross", (x - arm, y), (x + arm, y))
        board.line("cross", (x, y - arm), (x, y + arm))
        board.circle("cross", (x, y), 0.6 * arm)
        board.taken.append((x - arm, y - arm, x + arm, y + arm))


def _name_upright(board: Board, x: float, left: str, right: str) -> None:
    low, high = board.window[1], board.window[3]
    for text in (f"{left} | {right}", f"{left}|{right}"):
        start = x - board.extent(text)[0] / 2.0
        span = (start, 2.0 * x - start)
        parts = [(low + a * (high - low), low + (a + 0.1) * (high - low)) for a in (0.45, 0.3, 0.6)]
        if board.put(
            text, ((start, y) for part in parts for y in board.tile.subject.free_heights(span, part))
        ):
            return
    board.above(text, start)


def _level_spots(board: Board, text: str, y: float) -> Iterator[Point]:
    (x0, _, x1, _), wide = board.window, board.extent(text)[0]
    for share in (0.3, 0.4, 0.55, 0.65):
        x = x0 + share * (x1 - x0 - wide)
        span = (y - OVERLAP / 2.0, y + OVERLAP / 2.0)
        for height in board.tile.subject.free_heights((x, x + wide), span):
            if span[0] < height and height + board.extent(text)[1] < span[1]:
                yield x, height
