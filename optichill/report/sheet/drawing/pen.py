"""The pen of the drawings: true scale, tubes, dimension lines, and labels that keep out of each other's way.

Lengths on paper in points, y upwards. What carries a meaning carries it by shape, dash and text; the only
colours are greys and one dark blue for dimensions. Every line and every text marks its place as taken, and a
label set `beside` something looks for a place that is not. At the end the tube itself: its lines in space.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing

Point = tuple[float, float]
Place = Callable[[float, float], Point]
"""From a figure's own coordinates to the paper."""

NAME_SIZE = 7.2
VALUE_SIZE = 8.4
LEADING = 1.17
MARGIN = 4.0
"""Free rim of a drawing [pt]."""
ARROW = 5.0
TAIL = 8.0
"""Of a dimension too short for arrows inside [pt]."""
ELBOW = 11.0
"""Room between the figure and a column of labels, for the slanted pieces of the leaders [pt]."""
ASIDE = 2.5
"""Room that is kept free on either side of a text [pt]."""
NAME_LENGTH = 24
DIAMETER = "Ø "
"""Before a diameter (ISO 129-1)."""

CHAIN = (9.0, 2.0, 1.5, 2.0)
"""Long dash and dot: a centre line (ISO 128-2, type 04.1)."""

Ink = tuple[float, float, float]
BLACK: Ink = (0.0, 0.0, 0.0)
DARK: Ink = (0.25, 0.25, 0.25)
BEHIND: Ink = (0.62, 0.62, 0.62)
TUBE: Ink = (0.82, 0.82, 0.82)
PALE: Ink = (0.93, 0.93, 0.93)
WHITE: Ink = (1.0, 1.0, 1.0)
BLUE: Ink = (0.05, 0.16, 0.42)


def _shapes() -> Any:
    from reportlab.graphics import shapes

    return shapes


def _colour(ink: Ink | None) -> Any:
    from reportlab.lib.colors import Color

    return None if ink is None else Color(*ink)


@dataclass(frozen=True)
class Box:
    """An upright rectangle on the paper."""

    left: float
    low: float
    right: float
    high: float

    def meets(self, other: Box, air: float = 0.0) -> bool:
        return (
            self.left < other.right + air
            and other.left < self.right + air
            and self.low < other.high + air
            and other.low < self.high + air
        )

    def inside(self, other: Box) -> bool:
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.low >= other.low
            and self.high <= other.high
        )


@dataclass(frozen=True)
class Label:
    """Lines of text, (text, size) from the top, and the point they speak of."""

    lines: tuple[tuple[str, float], ...]
    target: Point

    @property
    def height(self) -> float:
        return sum(size * LEADING for _, size in self.lines)


def named(name: str, values: Sequence[str], target: Point) -> Label:
    """A small name over its values."""
    return Label(((name, NAME_SIZE), *((value, VALUE_SIZE) for value in values)), target)


def text_width(text: str, size: float, font: str) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(text, font, size))


def one_line(text: str) -> str:
    """A user's word on one line, what cannot be printed left out."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split()) or "part"


def short(text: str, most: float, font: str, size: float = NAME_SIZE) -> str:
    """A user's word for a part, on one line, cut with an ellipsis."""
    clean = one_line(text)
    cut = clean if len(clean) <= NAME_LENGTH else clean[: NAME_LENGTH - 1].rstrip() + "…"
    while len(cut) > 2 and text_width(cut, size, font) > most:
        cut = cut.rstrip("…")[:-1].rstrip() + "…"
    return cut


def true_scale(room: float, low: Iterable[tuple[float, float]], high: Iterable[tuple[float, float]]) -> float:
    """Largest scale [pt/m] at which everything fits into `room` [pt].

    low, high: what reaches to either side of the origin, as (metres, points that do not scale).
    """
    pairs = [(a[0] + b[0], room - a[1] - b[1]) for a in low for b in high]
    return min(points / metres for metres, points in pairs if metres > 0.0)


POINTS = 72.0 / 0.0254
"""In a metre: a point is 1/72 in."""

SCALES = (2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""Reductions that a drawing may have (ISO 5455)."""


def standard(scale: float) -> float:
    """The largest of the standard scales that is no larger [pt/m]."""
    return POINTS / next((n for n in SCALES if POINTS / n <= scale * (1.0 + 1e-9)), SCALES[-1])


def ratio(scale: float) -> str:
    """A scale [pt/m] as it is written: 1:5."""
    return f"1:{round(POINTS / scale)}"


def reach(ends: Iterable[tuple[float, float]], scale: float) -> float:
    """How far things reach at a scale [pt]; ends as in `true_scale`."""
    return max(metres * scale + points for metres, points in ends)


def apart(
    centres: Sequence[float], sizes: Sequence[float], low: float, high: float, air: float
) -> list[float]:
    """Centres moved as little as may be so that nothing overlaps and all lies between low and high.

    centres ascend. Least squares of the shifts (pooled neighbours); where the room is too small the air goes
    first, and what then still does not fit sticks out at `high`.
    """
    if not centres:
        return []
    spare = high - low - sum(sizes)
    air = max(0.0, min(air, spare / max(1, len(sizes) - 1)))
    offsets = [sum(sizes[:i]) + i * air + sizes[i] / 2.0 for i in range(len(sizes))]
    pools: list[tuple[float, int]] = []
    for centre, offset in zip(centres, offsets, strict=True):
        pools.append((centre - offset, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (b, m), (a, n) = pools.pop(), pools.pop()
            pools.append(((a * n + b * m) / (n + m), n + m))
    starts = [start for start, count in pools for _ in range(count)]
    last = max(low, high - sum(sizes) - air * (len(sizes) - 1))
    return [min(max(start, low), last) + offset for start, offset in zip(starts, offsets, strict=True)]


class Pen:
    """Draws on one Drawing of width x height points and knows which places are taken."""

    def __init__(self, width: float, height: float, font: str) -> None:
        self.drawing: Drawing = _shapes().Drawing(width, height)
        self.font = font
        self.paper = Box(MARGIN, MARGIN, width - MARGIN, height - MARGIN)
        self.taken: list[Box] = []
        self.texts: list[Box] = []

    def _add(self, shape: Any, tag: str) -> None:
        shape._tag = tag
        self.drawing.add(shape)

    def mark(self, points: Sequence[Point], half: float = 0.3) -> None:
        """The places along a line of half width `half` are taken."""
        self.taken += _along(points, half)

    def line(
        self,
        points: Sequence[Point],
        width: float = 0.4,
        ink: Ink = BLACK,
        *,
        dash: tuple[float, ...] | None = None,
        cap: int = 0,
        tag: str = "",
        mark: bool = True,
    ) -> None:
        flat = [value for point in points for value in point]
        self._add(
            _shapes().PolyLine(
                flat,
                strokeWidth=width,
                strokeColor=_colour(ink),
                strokeDashArray=dash,
                strokeLineCap=cap,
                strokeLineJoin=1,
            ),
            tag,
        )
        if mark:
            self.mark(points, width / 2.0)

    def tube(
        self,
        points: Sequence[Point],
        d: float,
        *,
        behind: bool = False,
        cap: int = 0,
        tag: str = "",
        mark: bool = True,
    ) -> None:
        """A tube of true width: two dark edges with grey between, lighter with white between when behind."""
        edge = min(0.65, 0.22 * d)
        self.line(points, d, BEHIND if behind else BLACK, cap=cap, tag=tag, mark=mark)
        self.line(points, d - 2.0 * edge, WHITE if behind else TUBE, cap=cap, tag=f"{tag} bore", mark=False)

    def area(
        self,
        points: Sequence[Point],
        fill: Ink | None,
        edge: float = 0.6,
        *,
        dash: tuple[float, ...] | None = None,
        tag: str = "",
    ) -> None:
        """A closed shape with a dark edge (no edge at width 0); its edge is taken."""
        flat = [value for point in points for value in point]
        self._add(
            _shapes().Polygon(
                flat,
                fillColor=_colour(fill),
                strokeColor=_colour(BLACK) if edge else None,
                strokeWidth=edge,
                strokeDashArray=dash,
            ),
            tag,
        )
        self.mark([*points, points[0]], edge / 2.0)

    def ring(
        self,
        centre: Point,
        radius: float,
        width: float,
        ink: Ink = BLACK,
        *,
        dash: tuple[float, ...] | None = None,
        tag: str = "",
    ) -> None:
        circle = _shapes().Circle(
            *centre, radius, fillColor=None, strokeColor=_colour(ink), strokeWidth=width, strokeDashArray=dash
        )
        self._add(circle, tag)
        self.mark(around(centre, radius), width / 2.0)

    def hoop(self, centre: Point, radius: float, d: float, tag: str) -> None:
        """A full turn of tube from above."""
        self.ring(centre, radius, d, BLACK, tag=tag)
        self.ring(centre, radius, d - 2.0 * min(0.65, 0.22 * d), TUBE, tag=f"{tag} bore")

    def axis(self, start: Point, end: Point) -> None:
        """A centre line."""
        self.line([start, end], 0.35, BLACK, dash=CHAIN, tag="axis")

    def dot(self, at: Point, radius: float = 0.9, ink: Ink = BLUE) -> None:
        self._add(
            _shapes().Circle(*at, radius, fillColor=_colour(ink), strokeColor=None, strokeWidth=0), "dot"
        )

    def arrow(
        self, tip: Point, along: Point, ink: Ink = BLUE, size: float = ARROW, tag: str = "arrow"
    ) -> None:
        """A filled arrow head at `tip`, pointing along the unit vector."""
        (x, y), (u, v) = tip, along
        back, side = (x - size * u, y - size * v), (-0.26 * size * v, 0.26 * size * u)
        flat = [x, y, back[0] + side[0], back[1] + side[1], back[0] - side[0], back[1] - side[1]]
        self._add(_shapes().Polygon(flat, fillColor=_colour(ink), strokeColor=None, strokeWidth=0), tag)
        self.mark([tip, back], 0.26 * size)

    def text(self, left: float, base: float, text: str, size: float) -> Box:
        """Text from `left` on its baseline; the box that it takes."""
        self._add(
            _shapes().String(left, base, text, fontName=self.font, fontSize=size, fillColor=_colour(BLACK)),
            "text",
        )
        box = self.text_box(left, base, text, size)
        self.taken.append(Box(box.left - ASIDE, box.low, box.right + ASIDE, box.high))
        self.texts.append(box)
        return box

    def text_box(self, left: float, base: float, text: str, size: float) -> Box:
        from reportlab.pdfbase.pdfmetrics import getAscentDescent

        up, down = getAscentDescent(self.font, size)
        return Box(left, base + down, left + text_width(text, size, self.font), base + up)

    def span(self, start: Point, end: Point, along: Point) -> bool:
        """A dimension line with arrows, `along` its unit vector from start to end; where it is too short the
        arrows point at it from outside. Returns whether they do."""
        (u, v), length = along, math.dist(start, end)
        if length >= 2.0 * ARROW + 3.0:
            self.line([start, end], 0.4, BLUE)
            self.arrow(start, (-u, -v))
            self.arrow(end, (u, v))
            return False
        tail, head = _moved(start, along, -TAIL), _moved(end, along, TAIL)
        self.line([tail, head], 0.4, BLUE)
        self.arrow(start, (u, v))
        self.arrow(end, (-u, -v))
        return True

    def column(self, labels: Sequence[Label], edge: float, low: float, high: float, side: int) -> None:
        """Labels in a column on the left (side -1) or right (+1) of the figure, their inner edge at `edge`,
        pushed apart in the order of their targets, each with a thin leader to its target."""
        order = sorted(labels, key=lambda label: label.target[1])
        heights = [label.height for label in order]
        wanted = [label.target[1] for label in order]
        places = apart(wanted, heights, low, high, 4.0)
        bends = apart(wanted, [0.0] * len(order), low, high, 1.6)
        for label, middle, bend in zip(order, places, bends, strict=True):
            self._block(label, edge, middle, side)
            elbow = (edge - side * (ELBOW - 2.0), bend)
            self.line([label.target, elbow, (edge - side * 2.0, middle)], 0.3, BLUE, tag="leader")
            self.dot(label.target)

    def _block(self, label: Label, edge: float, middle: float, side: int) -> None:
        y = middle + label.height / 2.0
        for text, size in label.lines:
            y -= size * LEADING
            left = edge if side > 0 else edge - text_width(text, size, self.font)
            self.text(left, y + 0.26 * size, text, size)

    def beside(
        self, text: str, at: Point, toward: Point, first: float = 6.0, size: float = VALUE_SIZE
    ) -> bool:
        """Text at the nearest free place round `at`, looked for first along the unit vector `toward`; with a
        leader when it ends up far off. False when there is no place."""
        start = math.atan2(toward[1], toward[0])
        for away in range(0, 160, 3):
            for step in (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6, 7, -7, 8):
                angle = start + step * math.pi / 8.0
                box = self._around(at, angle, first + away, text, size)
                leader = [at, _nearest(box, at)] if away > 9 else []
                if self._is_free(box, leader):
                    down = self.text_box(0.0, 0.0, text, size).low
                    self.text(box.left, box.low - down, text, size)
                    if leader:
                        self.line(leader, 0.3, BLUE, tag="leader")
                    return True
        return False

    def _is_free(self, box: Box, leader: Sequence[Point]) -> bool:
        """Whether a text has room there, and its leader runs through no other text."""
        if not box.inside(self.paper) or any(box.meets(other, 0.8) for other in self.taken):
            return False
        return not any(piece.meets(other) for piece in _along(leader, 0.15) for other in self.texts)

    def _around(self, at: Point, angle: float, away: float, text: str, size: float) -> Box:
        """The text's box with its edge `away` from a point, in the direction of the angle."""
        box = self.text_box(0.0, 0.0, text, size)
        half_w, half_h = (box.right - box.left) / 2.0, (box.high - box.low) / 2.0
        u, v = math.cos(angle), math.sin(angle)
        more = min(half_w / max(abs(u), 1e-9), half_h / max(abs(v), 1e-9))
        x, y = at[0] + u * (away + more), at[1] + v * (away + more)
        return Box(x - half_w, y - half_h, x + half_w, y + half_h)

    def widest(self, labels: Sequence[Label]) -> float:
        """Width of the widest line of the labels [pt]."""
        return max((text_width(t, s, self.font) for label in labels for t, s in label.lines), default=0.0)


def _along(points: Sequence[Point], half: float) -> list[Box]:
    """Boxes that cover a line of half width `half`, a slanted one piece by piece."""
    found = []
    for (x0, y0), (x1, y1) in zip(points, points[1:], strict=False):
        level = min(abs(x1 - x0), abs(y1 - y0)) < 0.5
        steps = 1 if level else math.ceil(math.hypot(x1 - x0, y1 - y0) / 3.0)
        for i in range(steps):
            xs = [x0 + (x1 - x0) * (i + k) / steps for k in (0, 1)]
            ys = [y0 + (y1 - y0) * (i + k) / steps for k in (0, 1)]
            found.append(Box(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half))
    return found


def _moved(point: Point, along: Point, by: float) -> Point:
    return point[0] + by * along[0], point[1] + by * along[1]


def _nearest(box: Box, point: Point) -> Point:
    x = min(max(point[0], box.left - 1.0), box.right + 1.0)
    return x, min(max(point[1], box.low - 1.0), box.high + 1.0)


def around(centre: Point, radius: float, steps: int = 72) -> list[Point]:
    """Points of a circle, the first again at the end."""
    angles = [2.0 * math.pi * k / steps for k in range(steps + 1)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
