"""The spacer comb, drawn."""

from __future__ import annotations

from collections.abc import Iterator

from optichill.display import INCH
from optichill.fabrication.template import SpacerComb
from optichill.geometry.supports import FEET
from optichill.report.sheet.paper.board import Board, meet
from optichill.report.sheet.paper.sizes import JOIN, MM, OVERLAP, POINTS, SMALL, Box, Length, Span


class Comb:
    """The spacer comb in points, lying, its lower end left."""

    cross_inset = 4.0 * MM

    def __init__(self, comb: SpacerComb, length: Length, units: str) -> None:
        self.units = units
        self.pitch, self.d_o, self.width = comb.pitch * POINTS, comb.d_o * POINTS, comb.length * POINTS
        self.centres = tuple(centre * POINTS for centre in comb.centres)
        self.edge = comb.beside * POINTS
        self.height = self.d_o + 2.0 * self.edge
        # A sixteenth is too coarse to drill by, and over twenty turns adds up.
        sizes = (comb.pitch, comb.d_o)
        self.sizes = [f"{x / INCH:.3f} in" if units == "us" else length(x) for x in sizes]
        self.bar = (length(comb.length), length(comb.d_o + 2.0 * comb.beside))

    def spans(self, room: float) -> tuple[Span, ...]:
        """As many holes to a sheet as there are sheets for; none where not even one hole has room."""
        holes = len(self.centres)
        for count in range(1, holes + 1):
            firsts = [round(n * holes / count) for n in range(1, count)]
            joints = [self.centres[first] - self.pitch / 2.0 for first in firsts]
            starts = [0.0, *(joint - OVERLAP / 2.0 for joint in joints)]
            stops = [*(joint + OVERLAP / 2.0 for joint in joints), self.width]
            if all(stop - start <= room for start, stop in zip(starts, stops, strict=True)):
                return tuple(zip(starts, stops, strict=True))
        return ()

    def notes(self, joined: bool) -> tuple[str, ...]:
        pitch, hole = self.sizes
        return (
            f"Spacer comb, true size: {len(self.centres)} holes, pitch {pitch}, hole {hole}. Make "
            f"{FEET} of bar {self.bar[1]} wide and {self.bar[0]} long. Drill "
            f"{'1/64 in' if self.units == 'us' else '0.5 mm'} larger than the tube.",
            *((JOIN,) if joined else ()),
            "Glue or tape it to the bar, punch the crosses, drill, cut along the outer line, then saw it in "
            "two along the dashed line: the halves go round the turns. Hole 1 holds the lowest turn.",
        )

    def struck(self, box: Box, hair: bool = False) -> bool:
        r, y = self.d_o / 2.0 + 1.0, self.height / 2.0
        return any(meet(box, (x - r, y - r, x + r, y + r), 0.0) for x in self.centres)

    def free_heights(self, x: Span, y: Span) -> Iterator[float]:
        yield self.height - self.edge + 1.2

    def _own(self, board: Board) -> Iterator[tuple[int, float]]:
        """Holes on this side of the joints."""
        plan, column = board.tile.layout, board.tile.column
        low = board.window[0] + (OVERLAP / 2.0 if column > 0 else 0.0)
        high = board.window[2] - (OVERLAP / 2.0 if column < len(plan.columns) - 1 else 0.0)
        return ((n + 1, x) for n, x in enumerate(self.centres) if low <= x < high)

    def draw(self, board: Board) -> None:
        y, arm = self.height / 2.0, 0.3 * self.d_o
        for _, x in self._own(board):
            board.circle("hole", (x, y), self.d_o / 2.0)
            board.line("pip", (x - arm, y), (x + arm, y))
            board.line("pip", (x, y - arm), (x, y + arm))
        board.line("pip", (0.0, y), (self.width, y), dash=(6.0, 3.0))
        board.outline(self.width, self.height)

    def letter(self, board: Board) -> None:
        every = 1 if self.pitch > board.extent(f"{len(self.centres)}")[0] + 1.5 else 5
        for number, x in self._own(board):
            if number % every == 0 or number == 1:
                wide, high = board.extent(f"{number}")
                board.put(f"{number}", ((x - wide / 2.0, self.edge - high - 2.0),))
        pitch, hole = self.sizes
        for text in (f"make {FEET}: pitch {pitch}, hole {hole}", f"make {FEET}"):
            y = self.height - SMALL - 4.0
            if board.put(text, ((board.window[0] + x, y) for x in (6.0, OVERLAP + 6.0))):
                break
