"""Sizes of pages, pens and type, and text broken into lines.

A tile is one page. Lengths in here are points (1/72 in): of the page, origin lower left, or of the template,
origin at its lower left corner; a point of the template lies on the page at that point plus `Tile.offset`.
Every kind of line has a width of its own in `PENS`, so that a drawing can be measured from the finished file:

    centre  tube's centre line, one piece a turn and tile     edge   the tube's two edges, hair lines
    cut     outline of template or comb                       joint  dashed line at which two tiles meet
    cross   registration marks on a joint, cross and circle   bar    check bar, then its two end ticks
    tenth   the check bar's ticks                     key    key plan
    hole    outline of a comb's hole                          pip    cross in a hole's centre
    arrow   arrow shafts (heads are filled, without stroke), and the tick where the turns end
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

MM = 72.0 / 25.4
POINTS = 1000.0 * MM
"""Points in a millimetre and in a metre: a point is 1/72 in."""

PAPERS = {"a4": (210.0 * MM, 297.0 * MM), "letter": (612.0, 792.0)}
"""Upright pages [pt]: ISO 216 A4, ANSI/ASME Y14.1 A (letter)."""


@dataclass(frozen=True)
class CheckBar:
    """A bar to lay a ruler on. length [pt]; parts : between its ticks; text : the length in words."""

    length: float
    parts: int
    text: str


CHECK_BARS = {"metric": CheckBar(100.0 * MM, 10, "100 mm"), "us": CheckBar(4.0 * 72.0, 8, "4 in")}

MARGIN, OVERLAP = 12.0 * MM, 10.0 * MM
"""White edge that home printers leave, with 2 mm to spare, and what two tiles share (OWN)."""

PENS = {
    **{"centre": 1.2, "edge": 0.25, "cut": 0.7, "joint": 0.35, "cross": 0.45, "bar": 1.0, "tenth": 0.4},
    **{"key": 0.3, "hole": 0.8, "pip": 0.5, "arrow": 0.55},
}
"""Line widths [pt], one a kind of line."""

MOST_COLUMNS, MOST_ROWS = 26, 9
"""Tiles that have a name of one letter and one digit."""

MOST_TURNS = 1000
"""More are an error of whoever asks (OWN)."""

SMALL, NOTE, TITLE = 7.0, 7.5, 10.0
FOOT, GUTTER = 24.0, 13.0
BLOCK = 44.0
"""Left at the foot of a page for its title block [pt]."""
CROSS = 2.5 * MM

Length = Callable[[float], str]
Point = tuple[float, float]
Box = tuple[float, float, float, float]
Span = tuple[float, float]


JOIN = (
    "Join the sheets first: cut each along the dashed lines at its left and at its foot, lay it on its "
    "neighbours so that lines and crosses meet, and tape."
)


def measure(text: str, font: str, size: float) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(text, font, size))


def wrapped(text: str, font: str, size: float, room: float) -> tuple[str, ...]:
    """Lines no wider than `room`; a word that is wider itself is broken."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        if measure(joined, font, size) <= room:
            lines[-1] = joined
            continue
        lines.append("")
        for letter in word:
            if measure(lines[-1] + letter, font, size) > room:
                lines.append("")
            lines[-1] += letter
    return tuple(line for line in lines if line) or ("",)


def even(total: float, room: float) -> tuple[Span, ...]:
    """Equal stretches that share `OVERLAP`, so that the last sheet is no sliver."""
    count = max(1, math.ceil((total - OVERLAP) / (room - OVERLAP) - 1e-9))
    count = min(count, MOST_COLUMNS + 1)  # more are refused anyway
    each = (total + (count - 1) * OVERLAP) / count
    return tuple((n * (each - OVERLAP), n * (each - OVERLAP) + each) for n in range(count))
