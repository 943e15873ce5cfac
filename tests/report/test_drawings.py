"""The drawings of a coil in its kettle: true to scale, legible, and the same every time.

Everything is read back from the shapes themselves: where a text stands by reportlab's own font metrics, what
a line covers by its points and width.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from reportlab.graphics import renderPDF, renderSVG
from reportlab.graphics.shapes import Circle, Drawing, Polygon, PolyLine, String
from reportlab.pdfbase.pdfmetrics import getAscentDescent, stringWidth
from reportlab.pdfgen.canvas import Canvas
from tiers import count

from optichill import display
from optichill.fabrication.scene import DrawnRiser, Helix, Scene
from optichill.geometry.standing import FixedPart
from optichill.report.sheet.drawing import sketch
from optichill.report.sheet.drawing.in_words import side_words, top_words
from optichill.report.sheet.drawing.pen import apart, short, true_scale
from optichill.report.sheet.drawing.riser import RiserFacts, riser_view
from optichill.report.sheet.drawing.side import side_view
from optichill.report.sheet.drawing.top import top_view
from optichill.report.sheet.drawing.tube import led_out
from optichill.report.sheet.drawing.view import hour_of_view, view_from
from optichill.report.sheet.fonts import REGULAR, registered

Length = Callable[[float], str]
Rectangle = tuple[float, float, float, float]


def mm(metres: float) -> str:
    return f"{1e3 * metres:.2f} mm"


def inches(metres: float) -> str:
    return display.show(metres, "length", "us")


# --- scenes -----------------------------------------------------------------------------------------------


def riser(name: str, helix: Helix, top: bool, bend: float, rim: float, reach: float) -> DrawnRiser:
    """A riser at the tangent of its turns' end."""
    end = helix.start + (helix.hand * 2.0 * math.pi * helix.turns if top else 0.0)
    radius = helix.mean_diameter / 2.0
    on = helix.hand * (1 if top else -1) * math.atan2(bend, radius)
    foot = helix.lowest + (helix.turns * helix.pitch if top else 0.0)
    return DrawnRiser(name, foot, end, radius, end + on, math.hypot(radius, bend), bend, rim + 0.03, reach)


def scene(
    kettle: tuple[float, float] = (0.36, 0.40),
    coils: tuple[tuple[float, float, float, float], ...] = ((0.26, 0.015, 10.5, 0.0),),
    lowest: float = 0.030,
    d_o: float = 0.0096,
    levels: tuple[float, float] = (0.25, 0.24),
    **other: Any,
) -> Scene:
    """coils: (mean diameter, pitch, turns, start) of each layer."""
    width, height = kettle
    nested = other.get("crossing", False)
    helices = tuple(
        Helix(D, p, N, lowest, start, -1 if nested and k == 1 else 1)
        for k, (D, p, N, start) in enumerate(coils)
    )
    bend, out = min(0.03, 0.1 * width), width / 2.0 + 0.15
    if nested:
        risers = [
            riser("IN", helices[1], True, bend, height, out),
            riser("OUT", helices[0], True, bend, height, out),
        ]
    else:
        risers = []
        for k, helix in enumerate(helices):
            more = "" if k == 0 else f" {k + 1}"
            risers.append(riser(f"IN{more}", helix, False, bend, height, out))
            risers.append(riser(f"OUT{more}", helix, True, bend, height, out))
    made = Scene(width, height, width, (), d_o, helices, tuple(risers), *levels, "feet")
    return replace(made, **other)


WELL = FixedPart("thermometer well", "wall", 0.12, 0.06)
SIX = (
    WELL,
    FixedPart("false bottom", "floor", 0.02, 0.30),
    FixedPart("stirrer shaft", "centre", 0.30, 0.05),
    FixedPart("drain with its pick-up tube", "wall", 0.03, 0.05),
    FixedPart("sight <tube> & gauge", "wall", 0.12, 0.02),
    FixedPart("WWWWWWWWWWWWWWWWWWWWWWWWWWWWWW", "wall", 0.12, 0.02),
)
HALF = math.pi
SCENES = {
    "single on feet": scene(),
    "risers on one side": scene(coils=((0.26, 0.015, 12.0, 2.0),)),
    "nested": scene(
        (0.45, 0.45),
        ((0.34, 0.018, 9.0, HALF / 2), (0.26, 0.018, 9.0, 0.0)),
        levels=(0.28, 0.27),
        crossing=True,
    ),
    "parallel": scene(
        (0.5, 0.5), ((0.40, 0.02, 8.5, 0.0), (0.28, 0.02, 8.5, 0.2)), d_o=0.0127, rests="floor"
    ),
    "parallel, all risers on one side": scene((0.5, 0.5), ((0.40, 0.02, 8.0, 1.0), (0.28, 0.02, 8.0, 1.1))),
    "shallow, hanging": scene(
        (1.2, 0.15), ((0.9, 0.014, 3.0, 0.0),), lowest=0.06, levels=(0.13, 0.125), rests="hangs"
    ),
    "tall and narrow, 40 touching turns": scene((0.2, 1.0), ((0.14, 0.0096, 40.0, 0.0),), levels=(0.8, 0.78)),
    "parts, narrow mouth": scene(lowest=0.05, parts=SIX, mouth=0.30),
    "nine parts": scene(lowest=0.05, parts=SIX + SIX[:3]),
    "coil wider than the kettle": scene(coils=((0.42, 0.015, 10.5, 0.0),), rests="hangs"),
    "coil and wort above the rim": scene(coils=((0.26, 0.015, 30.0, 0.0),), levels=(0.45, 0.20)),
    "one turn in a large kettle": scene((1.2, 1.0), ((0.3, 0.015, 1.0, 0.0),), levels=(0.8, 0.78)),
    "no risers": scene(risers=()),
    "coil at the wall": scene(coils=((0.36 - 0.0096, 0.0096, 5.0, 0.0),)),
}
VIEWS = {"side": side_view, "top": top_view}


def drawings(what: Scene, length: Length = mm, **size: float) -> list[Drawing]:
    return [view(what, length, **size) for view in VIEWS.values()]


each_scene = pytest.mark.parametrize("what", SCENES.values(), ids=SCENES.keys())


# --- reading a drawing --------------------------------------------------------------------------------------


def strings(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.contents if isinstance(shape, String)]


def text_box(shape: String) -> Rectangle:
    up, down = getAscentDescent(shape.fontName, shape.fontSize)
    right = shape.x + stringWidth(shape.text, shape.fontName, shape.fontSize)
    return shape.x, shape.y + down, right, shape.y + up


def points_of(shape: Any) -> list[tuple[float, float]]:
    """The points of a line's or polygon's outline, or 180 of a circle's."""
    if isinstance(shape, Circle):
        turn = [math.radians(2.0 * k) for k in range(181)]
        return [(shape.cx + shape.r * math.cos(a), shape.cy + shape.r * math.sin(a)) for a in turn]
    points = list(zip(shape.points[::2], shape.points[1::2], strict=True))
    return [*points, points[0]] if isinstance(shape, Polygon) else points


def extent(shape: Any) -> Rectangle:
    """All that a shape covers; where a line ends is counted with half its width, like a round end."""
    if isinstance(shape, String):
        return text_box(shape)
    xs, ys = zip(*points_of(shape), strict=True)
    half = (shape.strokeWidth or 0.0) / 2.0 if shape.strokeColor is not None else 0.0
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def extents(shapes: list[Any]) -> Rectangle:
    boxes = [extent(shape) for shape in shapes]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def overlap(a: Rectangle, b: Rectangle) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def passes(start: tuple[float, float], end: tuple[float, float], box: Rectangle) -> bool:
    """Whether a straight line passes through a rectangle (clipped axis by axis)."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step, first = end[axis] - start[axis], start[axis]
        if abs(step) < 1e-12:
            if not box[axis] < first < box[axis + 2]:
                return False
            continue
        a, b = sorted(((box[axis] - first) / step, (box[axis + 2] - first) / step))
        low, high = max(low, a), min(high, b)
    return low < high


def struck(drawing: Drawing) -> list[tuple[str, str]]:
    """(text, tag of the shape) for every text that a line, thick or thin, runs through."""
    found = []
    texts = [(shape.text, text_box(shape)) for shape in drawing.contents if isinstance(shape, String)]
    for shape in drawing.contents:
        if isinstance(shape, String):
            continue
        line, half = points_of(shape), (shape.strokeWidth or 0.0) / 2.0
        whole = extent(shape)
        for text, box in texts:
            wide = (box[0] - half, box[1] - half, box[2] + half, box[3] + half)
            if overlap(whole, box) and any(passes(a, b, wide) for a, b in zip(line, line[1:], strict=False)):
                found.append((text, shape._tag))
    return found


def check_legible(drawing: Drawing) -> None:
    texts = [shape for shape in drawing.contents if isinstance(shape, String)]
    assert min(shape.fontSize for shape in texts) >= 7.0
    for a, b in combinations(texts, 2):
        assert not overlap(text_box(a), text_box(b)), (a.text, b.text)
    for shape in drawing.contents:
        left, low, right, high = extent(shape)
        inside = left >= 0.0 and low >= 0.0 and right <= drawing.width and high <= drawing.height
        assert inside, (getattr(shape, "text", shape._tag), extent(shape))
    assert struck(drawing) == []


def tagged(drawing: Drawing, tag: str) -> list[Any]:
    """The shapes of a drawing that show one thing: "kettle", "mouth", "turns 1", "IN", "hot", ..."""
    return [shape for shape in drawing.contents if getattr(shape, "_tag", "") == tag]


def kettle_inside(drawing: Drawing) -> tuple[float, float, float, float]:
    """Left wall, floor, right wall and rim of the section on paper."""
    (polygon,) = tagged(drawing, "kettle")
    xs = sorted({round(x, 6) for x in polygon.points[::2]})
    ys = sorted({round(y, 6) for y in polygon.points[1::2]})
    assert len(xs) == 4 and len(ys) == 3
    return xs[1], ys[1], xs[2], ys[2]


def turns_of(drawing: Drawing, what: Scene) -> list[Any]:
    return [s for k in range(len(what.helices)) for s in tagged(drawing, f"turns {k + 1}")]


def rendered(drawing: Drawing) -> tuple[bytes, str]:
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(drawing.width, drawing.height), invariant=1)
    renderPDF.draw(drawing, canvas, 0, 0)
    canvas.showPage()
    canvas.save()
    return file.getvalue(), renderSVG.drawToString(drawing)


def check_numbers(svg: ElementTree.Element) -> None:
    """No attribute says NaN or infinite (a part may be called so)."""
    for node in svg.iter():
        for value in node.attrib.values():
            assert not re.search(r"\b(nan|inf|infinity)\b", value, re.IGNORECASE), (node.tag, value)


# --- legible ----------------------------------------------------------------------------------------------


@each_scene
@pytest.mark.parametrize("length", [mm, inches], ids=["mm", "inches"])
def test_texts_keep_clear(what: Scene, length: Length) -> None:
    for drawing in drawings(what, length):
        check_legible(drawing)


@pytest.mark.parametrize(
    "size", [(300.0, 240.0), (515.0, 222.0), (360.0, 260.0), (700.0, 300.0), (400.0, 600.0)]
)
@pytest.mark.parametrize("name", ["parallel", "parts, narrow mouth", "shallow, hanging"])
def test_texts_keep_clear_on_other_papers(name: str, size: tuple[float, float]) -> None:
    for drawing in drawings(SCENES[name], inches, width=size[0], height=size[1]):
        assert (drawing.width, drawing.height) == size
        check_legible(drawing)


PARTS = st.lists(
    st.builds(
        FixedPart,
        st.text(max_size=40),
        st.sampled_from(["wall", "floor", "centre"]),
        st.floats(0.005, 0.5),
        st.floats(0.005, 0.2),
    ),
    max_size=6,
)


@st.composite
def any_scene(draw: st.DrawFn) -> Scene:
    """Kettles from flat to tall; coils that fit, touch, stick out or are wider than the kettle."""

    def number(low: float, high: float) -> float:
        return draw(st.floats(low, high))

    kettle = (number(0.2, 1.2), number(0.15, 1.0))
    d_o = number(0.006, 0.022)
    D = max(number(0.3, 1.15) * kettle[0], 4.0 * d_o)
    pitch = d_o * draw(st.sampled_from([1.0, 1.2, 2.0]))
    turns = draw(st.integers(2, 80)) / 2.0 * min(1.0, 1.3 * kettle[1] / (40.0 * pitch)) + 0.5
    start = number(0.0, 6.3)
    coils = [(D, pitch, max(1.0, turns), start)]
    if draw(st.booleans()):
        coils.append((max(2.0 * d_o, D - 5.0 * d_o), pitch, max(1.0, turns), number(0.0, 6.3)))
    hot = number(0.05, 1.2) * kettle[1]
    return scene(
        kettle,
        tuple(coils),
        lowest=d_o / 2.0 + number(0.0, 0.1),
        d_o=d_o,
        levels=(hot, hot * number(0.8, 1.0)),
        mouth=kettle[0] * draw(st.sampled_from([1.0, 0.8])),
        rests=draw(st.sampled_from(["feet", "floor", "hangs"])),
        crossing=len(coils) == 2 and draw(st.booleans()),
        parts=tuple(draw(PARTS)),
    )


@settings(max_examples=count(10, 200), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(any_scene())
@example(  # a text under the floor that is wider than the kettle
    scene((0.22, 1.0), ((0.22, 0.0156, 1.5, 0.0),), 0.0078, 0.0156, (0.125, 0.125), mouth=0.22)
)
@example(  # the leader of OUT beside IN
    scene(
        (1.0, 0.34),
        ((1.0, 0.01143, 10.163, 1.0),),
        0.0048,
        0.009525,
        (0.34, 0.34),
        mouth=1.0,
        parts=(FixedPart("", "centre", 0.5, 0.125),),
    )
)
def test_any_scene(what: Scene) -> None:
    side, top = drawings(what)
    for drawing in (side, top):
        check_legible(drawing)
        check_values(drawing, what)
        pdf, svg = rendered(drawing)
        assert pdf.startswith(b"%PDF")
        check_numbers(ElementTree.fromstring(svg))
    check_scale(what, side, top)
    assert side_words(what, mm) and top_words(what, mm)


# --- true to scale ------------------------------------------------------------------------------------------


def check_scale(what: Scene, side: Drawing, top: Drawing) -> None:
    left, floor, right, rim = kettle_inside(side)
    scale = (right - left) / what.kettle_diameter
    assert rim - floor == pytest.approx(what.kettle_height * scale, abs=1e-3)
    coil = extents(turns_of(side, what))
    D = max(helix.mean_diameter for helix in what.helices)
    assert coil[2] - coil[0] == pytest.approx((D + what.d_o) * scale, abs=0.5)
    assert (coil[0] + coil[2]) / 2.0 == pytest.approx((left + right) / 2.0, abs=0.25)
    low = min(helix.lowest for helix in what.helices) - what.d_o / 2.0
    high = max(helix.lowest + helix.pitch * helix.turns for helix in what.helices) + what.d_o / 2.0
    assert coil[1] - floor == pytest.approx(low * scale, abs=0.5)
    assert coil[3] - floor == pytest.approx(high * scale, abs=0.5)
    for tag, level in (("hot", what.hot), ("cold", what.cold)):
        (line,) = tagged(side, tag)
        assert line.points[1] - floor == pytest.approx(level * scale, abs=0.01)
    (kettle,) = tagged(top, "kettle")
    scale = (2.0 * kettle.r - kettle.strokeWidth) / what.kettle_diameter
    for k, helix in enumerate(what.helices):
        (ring,) = tagged(top, f"turns {k + 1}")
        assert (ring.cx, ring.cy) == (kettle.cx, kettle.cy)
        assert 2.0 * ring.r == pytest.approx(helix.mean_diameter * scale, abs=0.01)
        assert ring.strokeWidth == pytest.approx(what.d_o * scale, abs=0.01)


@each_scene
def test_scale_is_true(what: Scene) -> None:
    check_scale(what, *drawings(what))


@each_scene
def test_scale_is_true_on_a_small_paper(what: Scene) -> None:
    side = side_view(what, mm, 320.0, 250.0)
    left, floor, right, rim = kettle_inside(side)
    assert (right - left) / (rim - floor) == pytest.approx(
        what.kettle_diameter / what.kettle_height, rel=1e-6
    )


@each_scene
def test_risers_stand_where_they_stand(what: Scene) -> None:
    """From above at their angle and reach; from the side as they are seen from the hour in the caption."""
    side, top = drawings(what)
    hour = int(re.search(r"seen from (\d+) o'clock", " ".join(strings(side))).group(1))  # type: ignore[union-attr]
    view = math.radians(30.0 * (6 - hour))
    left, floor, right, _ = kettle_inside(side)
    scale, middle = (right - left) / what.kettle_diameter, (left + right) / 2.0
    (kettle,) = tagged(top, "kettle")
    from_above = (2.0 * kettle.r - kettle.strokeWidth) / what.kettle_diameter
    for one in what.risers:
        line = points_of(tagged(side, one.name)[0])
        across = math.cos(one.angle - view) * scale
        assert line[-1][0] - middle == pytest.approx(one.reach * across, abs=0.01)
        assert line[-1][1] - floor == pytest.approx(one.crossing * scale, abs=0.01)
        assert line[0][1] - floor == pytest.approx(one.foot * scale, abs=0.01)
        assert any(abs(x - middle - one.radius * across) < 0.01 for x, _ in line)
        end = points_of(tagged(top, one.name)[0])[-1]
        assert end[0] - kettle.cx == pytest.approx(one.reach * math.cos(one.angle) * from_above, abs=0.01)
        assert end[1] - kettle.cy == pytest.approx(one.reach * math.sin(one.angle) * from_above, abs=0.01)
    (eye,) = tagged(top, "eye")
    angle = math.atan2(eye.points[1] - kettle.cy, eye.points[0] - kettle.cx)
    assert math.cos(angle - (view - math.pi / 2.0)) == pytest.approx(1.0, abs=1e-6)


@each_scene
def test_the_scale_is_one_of_the_standard_ones_and_written(what: Scene) -> None:
    """Reductions of ISO 5455; a point is 1/72 in, so 1:5 is 2834.6/5 pt a metre."""
    side, top = drawings(what)
    left, _, right, _ = kettle_inside(side)
    (kettle,) = tagged(top, "kettle")
    for drawing, wide in ((side, right - left), (top, 2.0 * kettle.r - kettle.strokeWidth)):
        times = what.kettle_diameter * 72.0 / 0.0254 / wide
        told = re.search(r"scale 1:(\d+)", " ".join(strings(drawing)))
        assert told and int(told.group(1)) in (2, 5, 10, 20, 50, 100)
        assert times == pytest.approx(int(told.group(1)), rel=1e-6)


@pytest.mark.parametrize(("relative", "in_front"), [(-0.6, True), (-2.5, True), (0.6, False), (2.5, False)])
def test_risers_outside_the_turns_hide_them_where_they_are_nearer(relative: float, in_front: bool) -> None:
    """Seen from 6 o'clock, which is -pi/2; a riser that stands outside the turns by a tube and air."""
    what = SCENES["single on feet"]
    outside = what.helices[0].mean_diameter / 2.0 + what.d_o + 0.005
    one = replace(what.risers[0], angle=relative, radius=outside)
    view = hour_of_view(replace(what, risers=(one,)))
    one = replace(one, angle=relative + view_from(view))
    drawing = side_view(replace(what, risers=(one,)), mm)
    order = [shape._tag for shape in drawing.contents if shape._tag in ("turns 1", "IN")]
    assert order.index("IN") == (len(order) - 1 if in_front else 0)


def test_a_foot_that_is_led_out_is_joined_to_its_turn() -> None:
    """The riser begins 14 mm outside the turns; what is drawn of the turn comes out to it without a step."""
    what = SCENES["single on feet"]
    helix, away = what.helices[0], what.helices[0].mean_diameter / 2.0 + 0.014
    one = replace(what.risers[0], foot_radius=away)
    what = replace(what, risers=(one, what.risers[1]))
    for drawing, tag in zip(drawings(what), ("turns 1", "led out 1"), strict=True):
        foot = points_of(tagged(drawing, "IN" if tag == "turns 1" else "IN foot")[0])[0]
        ends = [p for shape in tagged(drawing, tag) for p in (points_of(shape)[0], points_of(shape)[-1])]
        assert min(math.dist(foot, end) for end in ends) < 0.01
    on_turn = tagged(drawings(what)[1], "led out 1")[0]
    (ring,) = tagged(drawings(what)[1], "turns 1")
    assert math.dist(points_of(on_turn)[-1], (ring.cx, ring.cy)) == pytest.approx(ring.r, abs=0.01)
    assert led_out(what, helix) == pytest.approx(0.014)


@pytest.mark.parametrize("start", [0.0, 0.4, 1.1, 2.0, 3.3, 5.0])
def test_opposite_risers_are_seen_left_and_right(start: float) -> None:
    what = scene(coils=((0.26, 0.015, 10.5, start),))
    side = side_view(what, mm)
    left, _, right, _ = kettle_inside(side)
    scale, middle = (right - left) / what.kettle_diameter, (left + right) / 2.0
    places = [points_of(tagged(side, one.name)[0])[11][0] - middle for one in what.risers]
    assert places[0] * places[1] < 0.0
    assert min(abs(x) for x in places) > 0.85 * what.risers[0].radius * scale


@pytest.mark.parametrize("hand", [1, -1])
def test_turns_are_drawn_in_front_and_behind(hand: int) -> None:
    """10.5 turns from 0 are 21 halves; those nearer to the eye, which is at 6 o'clock, are the darker ones
    and drawn later. A half climbs half a pitch; where the coil climbs counter-clockwise the first half, from
    3 to 9 o'clock by 12, lies behind."""
    what = SCENES["single on feet"]
    what = replace(what, helices=(replace(what.helices[0], hand=hand),))
    side = side_view(what, mm)
    assert any(text.startswith("seen from 6 o'clock") for text in strings(side))
    _, floor, _, rim = kettle_inside(side)
    half_pitch = what.helices[0].pitch / 2.0 * (rim - floor) / what.kettle_height
    halves = tagged(side, "turns 1")
    inks = [shape.strokeColor.red for shape in halves]
    assert len(halves) == 21 and inks == sorted(inks, reverse=True) and len(set(inks)) == 2
    bottom = floor + what.helices[0].lowest * (rim - floor) / what.kettle_height
    for shape in halves:
        ys = [y for _, y in points_of(shape)]
        assert max(ys) - min(ys) == pytest.approx(half_pitch, abs=0.01)
        odd = round((min(ys) - bottom) / half_pitch) % 2 == 1
        assert (shape.strokeColor.red == 0.0) == (odd if hand == 1 else not odd)


@pytest.mark.parametrize("rests", ["feet", "hangs", "floor"])
def test_what_carries_the_coil(rests: str) -> None:
    what = scene(rests=rests)
    side = side_view(what, mm)
    feet, hooks = tagged(side, "foot"), tagged(side, "hook")
    assert (bool(feet), bool(hooks)) == (rests == "feet", rests == "hangs")
    _, floor, right, rim = kettle_inside(side)
    if feet:
        assert min(extent(foot)[1] for foot in feet) == pytest.approx(floor, abs=0.6)
    for hook in hooks:
        assert extent(hook)[3] > rim and (extent(hook)[2] > right or extent(hook)[0] < right)


def test_parts_are_drawn_where_they_are() -> None:
    what = SCENES["parts, narrow mouth"]
    side = side_view(what, mm)
    left, floor, right, rim = kettle_inside(side)
    scale = (right - left) / what.kettle_diameter
    boxes = [extents([shape]) for shape in tagged(side, "part")]
    for part in what.parts:
        wide = {"wall": part.size, "floor": what.kettle_diameter, "centre": part.size}[part.where] * scale
        same = [
            box
            for box in boxes
            if abs(box[2] - box[0] - wide) < 1.0 and abs(box[3] - floor - part.height * scale) < 1.0
        ]
        assert same, part
        if part.where == "wall":
            assert all(abs(box[0] - left) < 1.0 or abs(box[2] - right) < 1.0 for box in same)
    lips = tagged(side, "mouth")
    inner = sorted(x for lip in lips for x in lip.points[::2])[len(lips) * 2 - 1 : len(lips) * 2 + 1]
    assert inner[1] - inner[0] == pytest.approx(what.mouth * scale, abs=0.01)


# --- what is written --------------------------------------------------------------------------------------


def measures(what: Scene) -> dict[str, float]:
    """The asked measures, worked out anew from the scene."""
    d_o, D = what.d_o, [helix.mean_diameter for helix in what.helices]
    low = min(helix.lowest for helix in what.helices) - d_o / 2.0
    high = max(helix.lowest + helix.pitch * helix.turns for helix in what.helices) + d_o / 2.0
    return {
        "across": max(D) + d_o,
        "free": min(D) - d_o,
        "turns": high - low,
        "floor": low,
        "cover": abs(what.cold - high),
        "wall": abs(what.kettle_diameter - max(D) - d_o) / 2.0,
        "rim": abs(what.kettle_height - what.hot),
        "hot": what.hot,
        "cold": what.cold,
    }


IN_THE_SIDE_VIEW = ("across", "turns", "floor", "cover", "wall", "rim", "hot", "cold")
IN_THE_TOP_VIEW = ("across", "free", "wall")


def check_values(drawing: Drawing, what: Scene) -> None:
    side = bool(tagged(drawing, "hot"))
    texts = strings(drawing)
    for key in IN_THE_SIDE_VIEW if side else IN_THE_TOP_VIEW:
        value = mm(measures(what)[key])
        assert any(text == value or text.endswith(f" {value}") for text in texts), (key, value, texts)
    for one in what.risers:
        assert one.name in texts


@each_scene
def test_values_are_those_of_the_scene(what: Scene) -> None:
    for drawing in drawings(what):
        check_values(drawing, what)
        if what.mouth < what.kettle_diameter:
            assert f"Ø {mm(what.mouth)}" in strings(drawing)


def test_each_label_says_what_it_is() -> None:
    side, top = (" | ".join(strings(drawing)) for drawing in drawings(SCENES["single on feet"]))
    for name, value in (
        ("height of the turns", "167.10"),
        ("floor to lowest turn", "25.20"),
        ("cold wort over turns", "47.70"),
        ("gap to the wall", "45.20"),
        ("rim above hot wort", "150.00"),
    ):
        assert f"{name} | {value} mm" in side
    assert "across the turns Ø 269.60 mm" in side
    assert "across the turns | Ø 269.60 mm" in top and "free inside | Ø 250.40 mm" in top
    assert "gap to the wall | 45.20 mm" in top


def test_a_negative_measure_has_its_own_name() -> None:
    side = strings(side_view(SCENES["coil and wort above the rim"], mm))
    assert "turns out of cold wort" in side and "hot wort over the rim" in side
    assert "too wide, each side" in strings(side_view(SCENES["coil wider than the kettle"], mm))
    assert "too wide, each side" in strings(top_view(SCENES["coil wider than the kettle"], mm))


def test_names_of_parts_are_cut() -> None:
    for drawing in drawings(SCENES["parts, narrow mouth"]):
        texts = strings(drawing)
        assert {"thermometer well", "false bottom", "stirrer shaft", "sight <tube> & gauge"} <= set(texts)
        assert any(text.startswith("drain with its pick-") and text.endswith("…") for text in texts)
        assert all(len(text) <= 24 for text in texts if text.startswith("W"))


def test_more_parts_than_labels_are_counted() -> None:
    for drawing in drawings(SCENES["nine parts"]):
        assert "3 parts more" in strings(drawing)
        assert len(tagged(drawing, "part")) == 9


@pytest.mark.parametrize(
    ("text", "shown"),
    [("a\nb\tc", "a b c"), ("", "part"), ("\x00", "part"), ("x" * 24, "x" * 24), ("x" * 25, "x" * 23 + "…")],
)
def test_short(text: str, shown: str) -> None:
    assert short(text, 1e3, "Helvetica") == shown


def test_words_tell_what_is_drawn() -> None:
    what = SCENES["parts, narrow mouth"]
    side, top = side_words(what, mm), top_words(what, mm)
    for key in IN_THE_SIDE_VIEW:
        assert mm(measures(what)[key]) in side, key
    for key in IN_THE_TOP_VIEW:
        assert mm(measures(what)[key]) in top, key
    for text in (side, top):
        assert "IN " in text and "OUT " in text and "10.5 turns" in text
        for part in what.parts:
            assert part.what.lower() in text.lower()
    assert "stands on wire feet" in side and "on the left" in side and "on the right" in side
    nested = side_words(SCENES["nested"], mm)
    assert "2 layers of 9 and 9 turns, joined underneath" in nested
    hour = re.search(r"seen from (\d+ o'clock)", side)
    assert hour and f"arrow at {hour.group(1)}" in top


def test_words_place_risers_by_the_clock() -> None:
    """Angle 0 is 3 o'clock, and it runs counter-clockwise."""
    for angle, hour in ((0.0, 3), (math.pi / 2.0, 12), (math.pi, 9), (-math.pi / 2.0, 6), (math.pi / 6.0, 2)):
        one = replace(SCENES["single on feet"].risers[0], angle=angle)
        assert f"IN goes over the rim near {hour} o'clock" in top_words(scene(risers=(one,)), mm)


# --- files and faults ---------------------------------------------------------------------------------------


@each_scene
def test_pdf_and_svg(what: Scene) -> None:
    for drawing, again in zip(drawings(what), drawings(what), strict=True):
        pdf, svg = rendered(drawing)
        assert pdf.startswith(b"%PDF")
        root = ElementTree.fromstring(svg)
        shown = [node.text for node in root.iter() if node.tag.endswith("text")]
        assert sorted(shown) == sorted(strings(drawing))
        check_numbers(root)
        assert rendered(again) == (pdf, svg)


def test_the_font_is_passed_through() -> None:
    for view in VIEWS.values():
        drawing = view(SCENES["single on feet"], mm, font="Times-Roman")
        assert {s.fontName for s in drawing.contents if isinstance(s, String)} == {"Times-Roman"}
        check_legible(drawing)


def test_only_greys_and_one_blue() -> None:
    for drawing in drawings(SCENES["parts, narrow mouth"]):
        colours = {
            (c.red, c.green, c.blue)
            for shape in drawing.contents
            for c in (getattr(shape, "strokeColor", None), getattr(shape, "fillColor", None))
            if c is not None
        }
        assert len({c for c in colours if len(set(c)) > 1}) == 1
        assert max(sum(c) for c in colours if len(set(c)) > 1) < 1.0


def test_behind_and_levels_differ_in_more_than_colour() -> None:
    side = side_view(SCENES["single on feet"], mm)
    assert tagged(side, "hot")[0].strokeDashArray and not tagged(side, "cold")[0].strokeDashArray


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"helices": ()}, "helices is empty"),
        ({"kettle_diameter": 0.0}, "kettle_diameter = 0.0: allowed a finite length above 0 m"),
        ({"hot": math.nan}, "Scene.hot = nan: allowed a finite number"),
        ({"parts": (FixedPart("x", "wall", math.inf, 0.1),)}, "FixedPart.height = inf"),
    ],
)
def test_what_cannot_be_drawn_is_refused(change: dict[str, Any], message: str) -> None:
    broken = replace(SCENES["single on feet"], **change)
    for view in (side_view, top_view, side_words, top_words):
        with pytest.raises(ValueError, match=re.escape(message)):
            view(broken, mm)


@pytest.mark.parametrize("size", [(299.0, 330.0), (480.0, 100.0), (math.nan, 330.0)])
def test_too_small_a_paper_is_refused(size: tuple[float, float]) -> None:
    for view in VIEWS.values():
        with pytest.raises(ValueError, match="allowed from 300 x 220 pt"):
            view(SCENES["single on feet"], mm, *size)


# --- laying out -------------------------------------------------------------------------------------------


@given(
    st.lists(st.tuples(st.floats(-50.0, 350.0), st.floats(1.0, 25.0)), min_size=1, max_size=12),
)
def test_apart(wanted: list[tuple[float, float]]) -> None:
    """Nothing overlaps, nothing leaves the room, the order stays; what is clear already does not move."""
    wanted.sort()
    centres, sizes = [c for c, _ in wanted], [s for _, s in wanted]
    places = apart(centres, sizes, 0.0, 300.0, 3.0)
    assert places[0] - sizes[0] / 2.0 >= -1e-9 and places[-1] + sizes[-1] / 2.0 <= 300.0 + 1e-9
    for k in range(1, len(places)):
        assert places[k] - sizes[k] / 2.0 >= places[k - 1] + sizes[k - 1] / 2.0 - 1e-9
    if len(wanted) == 1 and sizes[0] / 2.0 <= centres[0] <= 300.0 - sizes[0] / 2.0:
        assert places == pytest.approx(centres)


def test_apart_shares_the_shift() -> None:
    """Two of 10 that want one place move 5 each, by hand; a third far off stays."""
    assert apart([50.0, 50.0, 90.0], [10.0, 10.0, 10.0], 0.0, 100.0, 0.0) == pytest.approx([45.0, 55.0, 90.0])


def test_true_scale() -> None:
    """By hand: 1 m and 10 pt left, 2 m or else 50 pt right, in 100 pt: 3 s + 10 or s + 60 = 100."""
    assert true_scale(100.0, [(1.0, 10.0)], [(2.0, 0.0), (0.0, 50.0)]) == pytest.approx(30.0)


def test_lines_are_what_is_expected() -> None:
    """The checks above read these shapes only."""
    kinds = {type(shape) for drawing in drawings(SCENES["parts, narrow mouth"]) for shape in drawing.contents}
    assert kinds == {PolyLine, Polygon, Circle, String}


# --- one riser by itself ----------------------------------------------------------------------------------


def unrolled(outside: float = 0.014) -> tuple[Scene, DrawnRiser, RiserFacts, Drawing]:
    what = SCENES["single on feet"]
    one = what.risers[0]
    away = what.helices[0].mean_diameter / 2.0 + outside
    stands = math.hypot(away, one.bend_radius)
    one = replace(one, foot_radius=away, radius=stands, reach=stands + one.bend_radius + 0.12)
    what = replace(what, risers=(one, what.risers[1]))
    facts = RiserFacts(one.crossing - one.foot - 2.0 * one.bend_radius, 0.12, ("E", "D", "C", "B"))
    return what, one, facts, riser_view(what, one, facts, mm, 510.0, 286.0, "Helvetica")


def test_a_riser_is_unrolled_true_to_scale() -> None:
    """The drawn tube is as long as its pieces, by hand: level, two quarter circles, upright, and the stub of
    the turn; its foot and its top lie as high as the scene says."""
    _, one, facts, drawing = unrolled()
    check_legible(drawing)
    told = [int(x) for x in re.findall(r"scale 1:(\d+)", " ".join(strings(drawing)))]
    scale = 72.0 / 0.0254 / told[0]
    line = points_of(tagged(drawing, "IN")[0])
    long = sum(math.dist(a, b) for a, b in zip(line, line[1:], strict=False))
    wanted = facts.level + math.pi * one.bend_radius + facts.upright + 0.035
    assert long == pytest.approx(wanted * scale, rel=2e-3)
    (floor,) = tagged(drawing, "floor")
    heights = [y - floor.points[1] for _, y in line]
    assert min(heights) == pytest.approx(one.foot * scale, abs=0.01)
    assert max(heights) == pytest.approx(one.crossing * scale, abs=0.01)
    assert set(facts.letters) <= set(strings(drawing))


def test_a_riser_s_sizes_are_those_of_the_scene() -> None:
    what, one, facts, drawing = unrolled()
    texts = " | ".join(strings(drawing))
    turn, tube = what.helices[0].mean_diameter / 2.0, what.d_o
    for name, value in (
        ("foot over the floor", one.foot),
        ("straight between the bends", facts.upright),
        ("rim to the level part", 0.03),
        ("level, straight", 0.12),
        ("riser to the wall", what.kettle_diameter / 2.0 - one.radius - tube / 2.0),
        ("riser to its turns", one.radius - turn - tube),
        ("turn's end led out by", 0.014),
    ):
        assert f"{name} | {mm(value)}" in texts
    assert f"R {mm(one.bend_radius)}" in texts
    assert "led out" not in " | ".join(strings(unrolled(0.0)[3]))


# --- sketches of the work: true where they carry a figure -----------------------------------------------

D_O, PITCH, FORM = 0.0095, 0.0145, 0.231
HALF_INCH = 0.0127
DRAWN: dict[str, Callable[[float, float], Drawing]] = {
    "start": lambda d, p: sketch.start_on_the_form(FORM, d, "E", mm, "Helvetica"),
    "turning": lambda d, p: sketch.turning(FORM, d, 0.58, mm, "Helvetica"),
    "foot bend": lambda d, p: sketch.foot_bend(0.038, d, p, 0.009, 0.076 - d, False, mm, "Helvetica"),
    "foot bend on top": lambda d, p: sketch.foot_bend(0.038, d, p, 0.0, 0.076 - d, True, mm, "Helvetica"),
    "strips": lambda d, p: sketch.between_layers(
        FORM, FORM + 2.0 * d + 0.037, d, (0.0155, 0.015), 0.003, 0.038, 12, mm, "Helvetica"
    ),
    "crossing": lambda d, p: sketch.crossing(
        FORM, FORM + 2.0 * d + 0.037, d, ("F", "G"), 0.215, mm, "Helvetica"
    ),
    "feet": lambda d, p: sketch.feet(0.247, d, p, 0.025, mm, "Helvetica"),
    "lacing": lambda d, p: sketch.lacing(d, p, mm, "Helvetica"),
    "combs": lambda d, p: sketch.combs(p, d, 0.010, mm, "Helvetica"),
    "joint": lambda d, p: sketch.hose_joint(d, False, "Helvetica"),
    "plug": lambda d, p: sketch.hose_joint(d, True, "Helvetica"),
}


SAID = dict(zip(DRAWN, (4, 3, 4, 3, 5, 5, 3, 3, 4, 3, 5), strict=True))
"""Texts in each: of lacing one less where turns touch."""


def sketched(name: str, d_o: float = D_O, pitch: float = PITCH) -> Drawing:
    return DRAWN[name](d_o, pitch)


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize(("d_o", "pitch"), [(D_O, PITCH), (HALF_INCH, HALF_INCH), (0.006, 0.030)])
def test_sketches_are_legible(name: str, d_o: float, pitch: float) -> None:
    drawing = sketched(name, d_o, pitch)
    assert (drawing.width, drawing.height) == (sketch.LOW if name in ("joint", "plug") else sketch.SIZE)
    check_legible(drawing)
    assert len(strings(drawing)) == SAID[name] - (name == "lacing" and pitch == d_o)  # none found no place


def lengths(drawing: Drawing, tag: str) -> list[float]:
    """How long each line with a tag is on paper."""
    lines = [points_of(shape) for shape in tagged(drawing, tag)]
    return [sum(math.dist(a, b) for a, b in zip(line, line[1:], strict=False)) for line in lines]


def test_what_the_riser_sweeps_is_the_hypotenuse() -> None:
    """A riser of 580 mm along the tangent of 240.5 mm: its end runs on a circle of 592.3 mm, by hand."""
    drawing = sketched("turning")
    assert any(text.endswith("592.33 mm") for text in strings(drawing))
    (sweep,), (form,) = tagged(drawing, "sweep"), tagged(drawing, "form")
    assert sweep.r / form.r == pytest.approx(0.59233 / (FORM / 2.0), rel=1e-4)
    assert lengths(drawing, "radius") == pytest.approx([sweep.r], rel=1e-4)


def test_feet_stand_a_third_of_a_pitch_apart_in_height() -> None:
    """25 mm, and 14.5/3 mm more each: as drawn and as written, in one scale."""
    drawing = sketched("feet")
    tall = [lengths(drawing, f"foot {n}")[0] for n in (1, 2, 3)]
    wanted = [25.0, 25.0 + 14.5 / 3.0, 25.0 + 29.0 / 3.0]
    assert [x / tall[0] for x in tall] == pytest.approx([x / 25.0 for x in wanted])
    assert {f"{n}: {x:.2f} mm" for n, x in enumerate(wanted, 1)} <= set(strings(drawing))


def low_edges(shapes: list[Any]) -> list[float]:
    return [min(y for _, y in points_of(shape)) for shape in shapes]


def test_combs_stand_a_third_of_a_pitch_higher_each() -> None:
    drawing = sketched("combs")
    lows = low_edges(tagged(drawing, "comb"))
    holes = sorted((hole.cx, hole.cy) for hole in tagged(drawing, "hole"))
    step = lows[1] - lows[0]
    assert lows[2] - lows[1] == pytest.approx(step) and step > 0.0
    assert holes[1][1] - holes[0][1] == pytest.approx(3.0 * step)  # in one comb, a pitch
    assert mm(PITCH / 3.0) in strings(drawing)


@pytest.mark.parametrize(
    ("inner", "outer", "d_o"), [(0.202, 0.335, 0.012), (0.231, 0.287, 0.0095), (0.115, 0.165, 0.012)]
)
def test_no_label_of_the_crossing_draws_its_line_through_it(inner: float, outer: float, d_o: float) -> None:
    """The outer layer's was written over the turns, with a line down through the form to their other side."""
    registered()
    drawing = sketch.crossing(inner, outer, d_o, ("F", "G"), 0.238, mm, REGULAR)
    (form,) = tagged(drawing, "form")
    assert {"outer layer", "inner layer", "mark F", "mark G", f"crossing, {mm(0.238)}"} <= set(
        strings(drawing)
    )
    for line in tagged(drawing, "leader"):
        (a, b), middle = points_of(line), (form.cx, form.cy)
        along = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in (n / 49.0 for n in range(50))]
        assert min(math.dist(p, middle) for p in along) > form.r


def test_strips_fill_what_is_between_two_layers() -> None:
    """Inner layer, strips and card lie on one another, the riser, 38 mm along the tangent, under the card."""
    drawing = sketched("strips")
    (form,), (card,), (riser,) = (tagged(drawing, tag) for tag in ("form", "card", "riser"))
    mm_ = form.r / (FORM / 2.0) * 1e-3  # points in a millimetre
    out = [math.dist(p, (form.cx, form.cy)) / mm_ for s in tagged(drawing, "strip") for p in points_of(s)]
    assert len(tagged(drawing, "strip")) == 12
    assert min(out) == pytest.approx(125.0, abs=0.4) and max(out) == pytest.approx(140.5, abs=0.4)
    assert card.r / mm_ - 1.5 == pytest.approx(140.5, abs=0.01)
    away = (riser.cy - form.cy) / mm_
    assert away == pytest.approx(math.hypot(120.25, 38.0)) and away + 4.75 < 140.5


def test_the_crossing_leads_from_layer_to_layer_in_a_quarter_of_a_turn() -> None:
    drawing = sketched("crossing")
    (form,) = tagged(drawing, "form")
    path = [(x - form.cx, y - form.cy) for x, y in points_of(tagged(drawing, "crossing")[0])]
    first, last = path[0], path[-1]
    scale = form.r / (FORM / 2.0)
    assert math.hypot(*first) / scale == pytest.approx(0.1155 + 0.00475)
    assert math.hypot(*last) / scale == pytest.approx(0.1155 + 0.0095 + 0.0185 + 0.00475)
    assert math.degrees(math.atan2(*reversed(first)) - math.atan2(*reversed(last))) == pytest.approx(90.0)
    # On the same way round: where the inner layer comes from and the outer one goes to.
    for tag, end, turn in (("inner layer", -1, first), ("outer layer", 0, last)):
        points = points_of(tagged(drawing, tag)[0])
        assert math.dist((points[end][0] - form.cx, points[end][1] - form.cy), turn) < 1e-6


def test_the_foot_bend_lies_on_its_former() -> None:
    """Tube of 9.5 mm round a former of 66.5: its middle has 38 mm."""
    drawing = sketched("foot bend")
    (former,) = tagged(drawing, "former")
    (foot,) = tagged(drawing, "foot")
    radii = [math.dist(p, (former.cx, former.cy)) for p in points_of(foot)[1:-1]]
    assert radii == pytest.approx([former.r * 38.0 / 33.25] * len(radii), rel=1e-4)
    assert former.r + foot.strokeWidth / 2.0 == pytest.approx(radii[0], rel=1e-4)


def test_turns_lie_under_a_riser_that_leaves_the_top_one() -> None:
    """Two layers of one tube are joined underneath: both their risers rise from the highest turn."""
    for name, side, turn in (("foot bend", 1.0, "lowest turn"), ("foot bend on top", -1.0, "top turn")):
        drawing = sketched(name)
        level = points_of(tagged(drawing, "foot")[0])[0][1]
        assert all(side * (y - level) > 0.0 for t in tagged(drawing, "turns behind") for _, y in points_of(t))
        assert tagged(drawing, "turns behind") and turn in strings(drawing)
