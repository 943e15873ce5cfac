"""The wrap template, drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator

from optichill.fabrication.template import WrapTemplate
from optichill.report.sheet.paper.board import Board
from optichill.report.sheet.paper.sizes import (
    JOIN,
    MM,
    OVERLAP,
    POINTS,
    SMALL,
    Box,
    Length,
    Point,
    Span,
    even,
)

DOWN = (
    "This layer goes down as it is wound: turn 1 begins at the upper edge, where the IN riser is, and the "
    "other layer climbs back up, the form turning the same way all along."
)


class Wrap:
    """The wrap template in points."""

    cross_inset = 14.0 * MM

    def __init__(self, template: WrapTemplate, length: Length, units: str) -> None:
        self.units = units
        self.t = WrapTemplate(
            template.width * POINTS,
            template.rise * POINTS,
            template.turns,
            template.d_o * POINTS,
            template.hand,
        )
        self.sizes = tuple(length(size) for size in (template.width, template.rise, template.d_o))
        self.width, self.height, self.lines = self.t.width, self.t.height, self.t.lines()
        self.climb, self.last = template.hand * self.t.rise, len(self.lines) - 1
        self.slope, self.lead = self.climb / self.t.width, template.hand * self.t.lead_angle
        sin, cos = math.sin(self.t.lead_angle), math.cos(self.t.lead_angle)
        self.off = self.t.d_o / 2.0 / cos
        self.end, self.tick = (
            self.lines[-1][1],
            (self.t.d_o / 2.0 * sin * template.hand, self.t.d_o / 2.0 * cos),
        )

    def spans(self, room: float) -> tuple[Span, ...]:
        return even(self.width, room)

    def notes(self, joined: bool) -> tuple[str, ...]:
        round_form, rise, tube = self.sizes
        if self.units == "us":  # what a spring takes from a rise of sixteenths is less than one
            rise = f"{self.t.rise / 72.0:.3f} in"
        return (
            f"Wrap template, true size: {round_form} round the form, rise {rise} a turn, {self.t.turns:.4g} "
            f"turns, tube {tube}. Thick lines: the tube's centre; hair lines: its edges.",
            *((JOIN,) if joined else ()),
            "Cut out along the outer line and tape it round the form: the two seam edges just meet. The end "
            "of each line at the right edge meets the start of the next at the left: 1 to 2 and so on.",
            *((DOWN,) if self.climb < 0.0 else ()),
        )

    def at(self, turn: int, x: float) -> float:
        return self.t.at(turn, x)

    def struck(self, box: Box, hair: bool = False) -> bool:
        """Whether a box comes upon a centre line, or a hair line too."""
        if hair and any(self.struck((box[0], box[1] + s, box[2], box[3] + s)) for s in (-self.off, self.off)):
            return True
        corners = [(x, y) for x in box[::2] for y in (box[1] - 0.5, box[3] + 0.5)]
        passed = [(y - self.at(0, x)) / self.climb for x, y in corners]
        turns = range(max(0, math.ceil(min(passed))), min(self.last, math.floor(max(passed))) + 1)
        return any(turn < self.last or box[0] < self.end[0] + 1.0 for turn in turns)

    def free_heights(self, x: Span, y: Span) -> Iterator[float]:
        """Lower edges for small text: about the middle of `y`, then midway between the lines next to it."""
        middle, base = (y[0] + y[1]) / 2.0, self.at(0, (x[0] + x[1]) / 2.0)
        yield from (middle + off - 0.52 * SMALL for off in (0.0, 9.0, -9.0))
        near = round((middle - base) / self.t.rise - 0.5)
        for step in (0, 1, -1, 2, -2, 3, -3):
            yield base + (near + step + 0.5) * self.t.rise - 0.52 * SMALL

    def draw(self, board: Board) -> None:
        for pen, shift in (("edge", -self.off), ("edge", self.off), ("centre", 0.0)):
            for (x0, y0), (x1, y1) in self.lines:
                board.line(pen, (x0, y0 + shift), (x1, y1 + shift))
        board.outline(self.width, self.height)
        (x, y), (dx, dy) = self.end, self.tick
        board.line("arrow", (x + dx, y - dy), (x - dx, y + dy))
        board.taken.append((x - abs(dx), y - dy, x + abs(dx), y + dy))

    def letter(self, board: Board) -> None:
        tile = board.tile
        if tile.column == 0:
            board.head((10.0, self.at(0, 10.0)), self.lead, 9.0)
            board.put("1  start of the first turn", self._over("1  start of the first turn", board, 0, 12.0))
        text = f"turn {self.last + 1} ends here"
        board.put(text, self._end_spots(text, board))
        if tile.row == len(tile.layout.rows) - 1:
            self._this_edge_up(board)
        self._numbers(board)
        self._winding(board)
        middle = (board.window[1] + board.window[3]) / 2.0
        for column, other in ((0, "right"), (len(tile.layout.columns) - 1, "left")):
            text = f"seam edge: meets the {other} edge"
            wide = board.extent(text)[0]
            x = 46.0 if other == "right" else self.width - 46.0 - wide
            if column == tile.column:
                heights = self.free_heights((x, x + wide), (middle, middle))
                board.put(text, ((x, y) for y in heights))

    def _over(self, text: str, board: Board, turn: int, x: float) -> tuple[Point]:
        ends = (x, x + board.extent(text)[0])
        return ((x, max(self.at(turn, end) for end in ends) + 1.2),)

    def _under(self, text: str, board: Board, turn: int, right: float, size: float = SMALL) -> tuple[Point]:
        wide, high = board.extent(text, size)
        return ((right - wide, min(self.at(turn, end) for end in (right - wide, right)) - 1.2 - high),)

    def _end_spots(self, text: str, board: Board) -> Iterator[Point]:
        (x, y), away = self.end, abs(self.tick[0]) + 3.0
        yield from self._under(text, board, self.last, x - away)
        beside = (x + away, x + away + board.extent(text)[0])
        heights = self.free_heights(beside, (y, y))
        yield from ((beside[0], height) for height in heights if abs(height - y) < 3.0 * SMALL)

    def _numbers(self, board: Board) -> None:
        """Left ends are numbered over their lines, right ends under them: both have room at the outline."""
        column, columns = board.tile.column, len(board.tile.layout.columns)
        every = 1 if self.t.rise >= 3.9 * MM else 5
        for turn in range(self.last + 1):
            fifth = (turn + 1) % 5 == 0
            size = 9.0 if fifth and self.t.rise > 6.0 * MM else SMALL
            if column == 0 and (fifth or every == 1) and turn > 0:
                board.put(f"{turn + 1}", self._over(f"{turn + 1}", board, turn, 2.0), size)
            elif column > 0 and fifth:
                x = board.window[0] + OVERLAP + 3.0
                board.put(f"{turn + 1}", self._over(f"{turn + 1}", board, turn, x), size)
            if column == columns - 1 and turn < self.last and (fifth or every == 1):
                text = f"{turn + 1} to {turn + 2}"
                board.put(text, self._under(text, board, turn, self.width - 2.0, size), size)

    def _this_edge_up(self, board: Board) -> None:
        text, (x0, _, x1, _) = "this edge up      ", board.window
        wide, high = board.extent(text)
        places = [x0 + share * (x1 - x0 - wide) for share in (0.15, 0.3, 0.5, 0.7, 0.85)]
        box = board.put(text, ((x, self.height - high - 2.0) for x in places))
        if box is None:
            board.above(text.strip(), places[0])
            return
        x, top = box[2] - 5.0, box[3] - 0.5
        board.line("arrow", (x, box[1] + 0.5), (x, top))
        for side in (-2.0, 2.0):
            board.line("arrow", (x + side, top - 3.0), (x, top))

    def _winding(self, board: Board) -> None:
        """An arrow head on every fifth line in the window, words at the first that has room."""
        (x0, y0, x1, y1), text = board.window, "direction of winding"
        x = (x0 + x1) / 2.0
        ends = [self.width] * self.last + [self.end[0]]
        seen = [n for n, end in enumerate(ends) if x < end and y0 < self.at(n, x) < y1]
        for turn in seen[::5]:
            board.head((x, self.at(turn, x)), self.lead)
        board.put(text, (spot for turn in seen[::5] for spot in self._over(text, board, turn, x + 3.0)))
