"""Small sketches of the work, from the coil's own sizes: what carries a figure is drawn true.

Lengths in metres; every sketch is a figure of its own on `SIZE` points, one that is long and low on `LOW`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from optichill.fabrication.scene import Helix
from optichill.report.sheet.drawing import pen as pens
from optichill.report.sheet.drawing import tube
from optichill.report.sheet.drawing.measures import Length
from optichill.report.sheet.drawing.pen import BLACK, BLUE, DARK, PALE, Pen, Place, Point

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing

SIZE = (245.0, 112.0)
LOW = (245.0, 74.0)
SIDE = 74.0
"""Left free for text on either side [pt]."""
WIRE = 0.0015
HOSE = 0.003
"""Thickness of lacing wire and wall of a hose, as drawn [m]."""


def _fitted(
    pen: Pen, x: tuple[float, float], z: tuple[float, float], side: float = SIDE
) -> tuple[float, Place]:
    """Scale and place for a figure from x[0] to x[1] and z[0] to z[1], text to its sides."""
    wide, high = pen.drawing.width - 2.0 * side, pen.drawing.height - 24.0
    scale = min(wide / (x[1] - x[0]), high / (z[1] - z[0]))
    left = (pen.drawing.width - (x[1] - x[0]) * scale) / 2.0
    low = (pen.drawing.height - (z[1] - z[0]) * scale) / 2.0
    return scale, lambda a, b: (left + (a - x[0]) * scale, low + (b - z[0]) * scale)


def _round(at: Place, centre: Point, radius: float, first: float, last: float) -> list[Point]:
    """Points of an arc from one angle to another [deg]."""
    steps = max(8, round(abs(last - first) / 6.0))
    angles = (math.radians(first + (last - first) * k / steps) for k in range(steps + 1))
    return [at(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def start_on_the_form(D_form: float, d_o: float, mark: str, length: Length, font: str) -> Drawing:
    """The form from its end: the riser straight off it, the tube strapped down just behind the first mark."""
    pen = Pen(*SIZE, font)
    R = D_form / 2.0
    r = R + d_o / 2.0
    scale, at = _fitted(pen, (-1.5 * r, R + 2.0 * d_o), (-R, r + 2.0 * d_o), 40.0)
    pen.ring(at(0.0, 0.0), R * scale, 0.9, DARK, tag="form")
    for ends in (((-R, 0.0), (R, 0.0)), ((0.0, -R), (0.0, R))):
        pen.axis(at(*ends[0]), at(*ends[1]))
    path = [at(-1.5 * r, r), *_round(at, (0.0, 0.0), r, 90.0, -20.0)]
    pen.tube(path, d_o * scale, tag="tube")
    a = math.radians(62.0)
    strap = [at(q * math.cos(a), q * math.sin(a)) for q in (R - 0.25 * R, R + 1.6 * d_o)]
    pen.line(strap, 3.0, DARK, tag="strap")
    pen.dot(at(0.0, r), 1.6, BLACK)
    pen.beside(f"mark {mark}", at(0.0, r), (0.0, 1.0), d_o * scale / 2.0 + 3.0, pens.NAME_SIZE)
    pen.beside("strap or clamp", strap[1], (1.0, 0.4), 3.0, pens.NAME_SIZE)
    pen.beside("riser, straight off the form", at(-r, r), (-0.2, -1.0), d_o * scale, pens.NAME_SIZE)
    pen.beside(f"{pens.DIAMETER}{length(D_form)}", at(0.45 * R, -0.5 * R), (1.0, -0.3), 1.0)
    return pen.drawing


def turning(D_form: float, d_o: float, straight: float, length: Length, font: str) -> Drawing:
    """The form turning with the straight riser on it: what its end sweeps must be free."""
    pen = Pen(*SIZE, font)
    r = D_form / 2.0 + d_o / 2.0
    sweep = math.hypot(r, straight)
    scale, at = _fitted(pen, (-sweep, sweep), (-sweep, sweep), 20.0)
    centre = at(0.0, 0.0)
    pen.ring(centre, sweep * scale, 0.6, BLACK, dash=(4.0, 2.0), tag="sweep")
    pen.ring(centre, D_form / 2.0 * scale, 0.9, DARK, tag="form")
    pen.tube([at(-straight, r), *_round(at, (0.0, 0.0), r, 90.0, -180.0)], max(d_o * scale, 1.2), tag="tube")
    pen.line([centre, at(-straight, r)], 0.4, BLUE, tag="radius")
    pen.arrow(at(-straight, r), ((-straight) / sweep, r / sweep))
    turn = _round(at, (0.0, 0.0), 0.55 * D_form / 2.0, 30.0, 150.0)
    pen.line(turn, 0.6, BLACK, tag="turning")
    pen.arrow(turn[-1], (math.cos(math.radians(240.0)), math.sin(math.radians(240.0))), BLACK)
    top = pen.drawing.height - pens.MARGIN - pens.VALUE_SIZE
    pen.text(pens.MARGIN, top, "keep clear all round", pens.NAME_SIZE)
    pen.text(pens.MARGIN, top - 11.0, length(sweep), pens.VALUE_SIZE)
    pen.beside("riser, still straight", at(-straight, r), (-1.0, 0.3), 4.0, pens.NAME_SIZE)
    return pen.drawing


def foot_bend(
    R_b: float, d_o: float, pitch: float, led: float, former: float, top: bool, length: Length, font: str
) -> Drawing:
    """The foot from outside, along the turn: former, bend, and the turns behind that it passes; top : it
    leaves the highest turn, and the others lie under it."""
    pen = Pen(*SIZE, font)
    wide, high = 2.0 * R_b + 0.03, R_b + 0.03 if top else max(R_b + 0.03, 3.0 * pitch + d_o)
    low = -2.0 * pitch - d_o if top else -d_o
    scale, at = _fitted(pen, (-0.02 - d_o, wide), (low, high))
    for n in (-1, -2) if top else range(1, 1 + int((high - d_o / 2.0) / pitch)):
        pen.tube(
            [at(-0.02 - d_o, n * pitch), at(wide, n * pitch)], d_o * scale, behind=True, tag="turns behind"
        )
    pen.ring(at(R_b, R_b), former / 2.0 * scale, 0.7, DARK, dash=(3.0, 1.5), tag="former")
    path = [at(wide, 0.0), *_round(at, (R_b, R_b), R_b, 270.0, 180.0), at(0.0, high)]
    pen.tube(path, d_o * scale, tag="foot")
    end = at(R_b + former / 2.0 * math.cos(0.6), R_b + former / 2.0 * math.sin(0.6))
    pen.beside(f"former {pens.DIAMETER}{length(former)}", end, (1.0, 0.3), 8.0, pens.NAME_SIZE)
    turn, toward = ("top turn", (1.0, 0.3)) if top else ("lowest turn", (1.0, -0.3))
    pen.beside(turn, at(wide, 0.0), toward, 4.0, pens.NAME_SIZE)
    pen.beside("riser", at(0.0, high), (-1.0, 0.0), 6.0, pens.NAME_SIZE)
    if led > 5e-4:
        # Towards the reader: what is led out stands before the turns, and is not seen as a length here.
        pen.beside("led out before it is bent", at(0.0, R_b), (-1.0, -0.4), 6.0, pens.NAME_SIZE)
    return pen.drawing


def between_layers(
    D_inner: float,
    D_outer: float,
    d_o: float,
    strip: tuple[float, float],
    card: float,
    R_b: float,
    count: int,
    length: Length,
    font: str,
) -> Drawing:
    """The inner layer on its form from the end, the strips round it and what lies over them; the riser stands
    between two strips. strip : their thickness and width; card : of the wrap over them, 0 without one."""
    pen = Pen(*SIZE, font)
    r, out = D_inner / 2.0 + d_o, D_outer / 2.0
    scale, at = _fitted(pen, (-out, out), (-out, out))
    centre, (thick, wide) = at(0.0, 0.0), strip
    pen.ring(centre, D_inner / 2.0 * scale, 0.9, DARK, tag="form")
    pen.hoop(centre, (r - d_o / 2.0) * scale, d_o * scale, "inner layer")
    for n in range(count):
        a = math.radians(90.0) + (n + 0.5) * 2.0 * math.pi / count
        u, v = math.cos(a), math.sin(a)
        corners = ((r, -0.5), (r + thick, -0.5), (r + thick, 0.5), (r, 0.5))
        pen.area([at(q * u - s * wide * v, q * v + s * wide * u) for q, s in corners], PALE, 0.5, tag="strip")
    if card > 0.0:
        pen.ring(centre, (out - card / 2.0) * scale, max(card * scale, 0.8), DARK, tag="card")
    stands = math.hypot(r - d_o / 2.0, R_b)
    pen.ring(at(0.0, stands), d_o / 2.0 * scale, 1.0, BLACK, tag="riser")
    pen.beside("riser", at(0.0, stands), (-1.0, 0.6), 24.0, pens.NAME_SIZE)
    first = math.radians(90.0 - 180.0 / count * 5.0)
    middle = r + thick / 2.0
    strip_at = at(middle * math.cos(first), middle * math.sin(first))
    pen.beside(f"{count} strips, {length(thick)}", strip_at, (1.0, 0.2), 14.0, pens.NAME_SIZE)
    if card > 0.0:
        card_at = at(out * math.cos(-0.5), out * math.sin(-0.5))
        pen.beside("card, its seam at the riser", card_at, (1.0, -0.5), 6.0, pens.NAME_SIZE)
    pen.beside("form", at(-D_inner / 4.0, 0.0), (0.0, -1.0), 2.0, pens.NAME_SIZE)
    edge = at(out * math.cos(2.7), out * math.sin(2.7))
    pen.beside(f"{pens.DIAMETER}{length(D_outer)}", edge, (-1.0, 0.3), 6.0)
    return pen.drawing


def crossing(
    D_inner: float, D_outer: float, d_o: float, marks: tuple[str, str], run: float, length: Length, font: str
) -> Drawing:
    """The end of the form where the inner layer ends: the tube leads outwards in a quarter of a turn, over
    the strips' ends, and goes on the same way round. run : tube that it takes."""
    pen = Pen(*SIZE, font)
    low, high = (D_inner + d_o) / 2.0, (D_outer + d_o) / 2.0
    far = high + d_o / 2.0
    scale, at = _fitted(pen, (-far, far), (-far, far))
    pen.ring(at(0.0, 0.0), D_inner / 2.0 * scale, 0.9, DARK, tag="form")
    pen.ring(at(0.0, 0.0), D_outer / 2.0 * scale, 0.5, DARK, dash=(3.0, 1.5), tag="over the strips")
    steps = [math.radians(90.0 - 5.0 * n) for n in range(19)]
    radii = [low + (high - low) * n / 18.0 for n in range(19)]
    led = [at(R * math.cos(a), R * math.sin(a)) for R, a in zip(radii, steps, strict=True)]
    for tag, path in (
        ("inner layer", _round(at, (0.0, 0.0), low, 200.0, 90.0)),
        ("outer layer", _round(at, (0.0, 0.0), high, 0.0, -110.0)),
        ("crossing", led),
    ):
        pen.tube(path, d_o * scale, tag=tag)
    for mark, point, toward in ((marks[0], led[0], (-0.3, 1.0)), (marks[1], led[-1], (1.0, -0.3))):
        pen.dot(point, 1.6, BLACK)
        pen.beside(f"mark {mark}", point, toward, d_o * scale / 2.0 + 3.0, pens.NAME_SIZE)
    pen.beside(f"crossing, {length(run)}", led[9], (-1.0, -1.0), d_o * scale / 2.0 + 3.0, pens.NAME_SIZE)
    # Where the paper is wide: under the turns is no room, and a label's line would run through the rest.
    inner, outer = at(-low, 0.0), at(high * math.cos(-0.7), high * math.sin(-0.7))
    pen.beside("inner layer", inner, (-1.0, 0.0), d_o * scale / 2.0 + 8.0, pens.NAME_SIZE)
    pen.beside("outer layer", outer, (1.0, -0.6), d_o * scale / 2.0 + 3.0, pens.NAME_SIZE)
    return pen.drawing


def feet(D: float, d_o: float, pitch: float, underside: float, length: Length, font: str) -> Drawing:
    """The lowest turn from the side on its three feet, a third of a turn apart."""
    pen = Pen(*SIZE, font)
    start = math.radians(200.0)
    helix = Helix(D, pitch, 1.25, underside + d_o / 2.0, start)
    half = (D + d_o) / 2.0
    scale, at = _fitted(pen, (-half, half), (-0.02, underside + 1.25 * pitch + d_o), 12.0)
    for front, points in sorted(tube.halves(helix, 0.0), key=lambda item: item[0]):
        pen.tube([at(*p) for p in points], d_o * scale, behind=not front, cap=1, tag="turn")
    pen.line([at(-half, 0.0), at(half, 0.0)], 1.0, DARK, tag="floor")
    for n in range(3):
        x = D / 2.0 * math.cos(start + 2.0 * math.pi * n / 3.0)
        tall = underside + n * pitch / 3.0
        pen.line([at(x, 0.0), at(x, tall)], 1.4, BLACK, tag=f"foot {n + 1}")
        pen.beside(f"{n + 1}: {length(tall)}", at(x, 0.0), (0.0, -1.0), 4.0)
    return pen.drawing


def lacing(d_o: float, pitch: float, length: Length, font: str) -> Drawing:
    """Three turns cut through, and a doubled wire whose strands pass each on both sides and cross between; of
    touching turns a loop round all."""
    pen, crossed = Pen(*SIZE, font), pitch > d_o * 1.02
    r, half = d_o / 2.0, d_o / 2.0 + WIRE / 2.0
    scale, at = _fitted(pen, (-2.0 * d_o, 2.0 * d_o), (-d_o, 2.0 * pitch + d_o))
    for n in range(3):
        pen.ring(at(0.0, n * pitch), r * scale, 1.0, BLACK, tag="turn")
    for side in (1.0, -1.0):
        points = [at(0.0, -half - 0.5 * r)]
        for n in range(3):
            way = side * (-1.0) ** (n if crossed else 0)
            points += [at(way * half * math.cos(a), n * pitch + half * math.sin(a)) for a in _ANGLES]
        pen.line([*points, at(0.0, 2.0 * pitch + half + 0.5 * r)], max(WIRE * scale, 0.8), DARK, tag="wire")
    if crossed:
        start, end = at(1.7 * d_o, r), at(1.7 * d_o, pitch - r)
        for point, x in ((start, r), (end, r)):
            pen.line([(at(x, 0.0)[0], point[1]), (point[0] + 2.0, point[1])], 0.3, BLUE, tag="extension")
        pen.span(start, end, (0.0, 1.0))
        pen.beside(length(pitch - d_o), start, (1.0, 0.5), 8.0)
    pen.beside("twisted", at(0.0, 2.0 * pitch + half + 0.5 * r), (-1.0, 0.0), 6.0, pens.NAME_SIZE)
    pen.beside("wire, doubled", at(-half, pitch), (-1.0, 0.0), 8.0, pens.NAME_SIZE)
    return pen.drawing


_ANGLES = [math.radians(a) for a in (-60, -40, -20, 0, 20, 40, 60)]


def hose_joint(d_o: float, plugged: bool, font: str) -> Drawing:
    """A hose on a tube's end or a barb with its clamp, cut open; plugged : with a bolt in its other end."""
    pen = Pen(*LOW, font)
    over, long = 3.0 * d_o, (8.0 if plugged else 7.0) * d_o
    out = d_o / 2.0 + HOSE
    scale, at = _fitted(pen, (-4.0 * d_o, long), (-3.0 * out, 3.0 * out), 14.0)
    pen.tube([at(-4.0 * d_o, 0.0), at(over, 0.0)], d_o * scale, tag="tube")
    for side in (1.0, -1.0):
        wall = [
            at(0.0, side * d_o / 2.0),
            at(long, side * d_o / 2.0),
            at(long, side * out),
            at(0.0, side * out),
        ]
        pen.area(wall, PALE, 0.6, tag="hose")
    places = [0.6 * over, *([0.8 * long] if plugged else [])]
    for x in places:
        for side in (1.0, -1.0):
            low, high = side * out, side * (out + 0.0015)
            band = [at(x - 0.005, low), at(x + 0.005, low), at(x + 0.005, high), at(x - 0.005, high)]
            pen.area(band, DARK, 0.4, tag="clamp")
    if plugged:
        bolt = [at(long - 2.2 * d_o, d_o / 2.0), at(long + 0.3 * d_o, d_o / 2.0)]
        bolt += [at(long + 0.3 * d_o, -d_o / 2.0), at(long - 2.2 * d_o, -d_o / 2.0)]
        pen.area(bolt, PALE, 0.8, tag="bolt")
        pen.beside("bolt", at(long + 0.3 * d_o, 0.0), (0.3, 1.0), 10.0, pens.NAME_SIZE)
    for x in places:
        pen.beside("clamp", at(x, out + 0.0015), (0.0, 1.0), 4.0, pens.NAME_SIZE)
    end = "OUT end of the coil" if plugged else "tube's end, or a barb"
    pen.beside(end, at(-3.0 * d_o, -d_o / 2.0), (0.3, -1.0), 4.0, pens.NAME_SIZE)
    pen.beside("hose", at(0.55 * long, -out), (0.2, -1.0), 4.0, pens.NAME_SIZE)
    return pen.drawing


def combs(pitch: float, d_o: float, beside: float, length: Length, font: str) -> Drawing:
    """The lower ends of the three combs, as they stand round the coil: each a third of a pitch higher."""
    pen = Pen(*SIZE, font)
    wide = d_o + 2.0 * beside
    apart, first = 1.6 * wide, d_o / 2.0 + 0.010
    tops = first + 2.0 * pitch + 2.0 / 3.0 * pitch + d_o
    # An eighth more on top: room for the angles over bars that are taller than wide.
    scale, at = _fitted(pen, (0.0, 2.0 * apart + wide), (0.0, 1.125 * tops), 50.0)
    for n in range(3):
        x, low = n * apart, n * pitch / 3.0
        pen.area([at(x, tops), at(x, low), at(x + wide, low), at(x + wide, tops)], None, 0.8, tag="comb")
        pen.line([at(x + wide / 2.0, low), at(x + wide / 2.0, tops)], 0.5, dash=(3.0, 2.0), tag="saw")
        for hole in range(3):
            centre = at(x + wide / 2.0, low + first + hole * pitch)
            if low + first + hole * pitch + d_o / 2.0 < tops:
                pen.ring(centre, d_o / 2.0 * scale, 0.8, tag="hole")
        pen.beside(f"{120 * n}°", at(x + wide / 2.0, tops), (0.0, 1.0), 2.0, pens.NAME_SIZE)
    right = 2.0 * apart + wide + 0.004
    for n in range(3):
        start = at(n * apart + wide, n * pitch / 3.0)
        pen.line([start, (at(right, 0.0)[0] + 2.0, start[1])], 0.3, BLUE, tag="extension")
    start, end = at(right, pitch / 3.0), at(right, 2.0 * pitch / 3.0)
    pen.span(start, end, (0.0, 1.0))
    pen.beside(length(pitch / 3.0), end, (1.0, 0.5), 9.0)
    return pen.drawing
