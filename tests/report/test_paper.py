"""True-size paper, measured in the finished PDF: its own vectors, texts and page boxes."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import numpy as np
import pdfplumber
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas
from tiers import count

from optichill.errors import OptichillError
from optichill.fabrication.template import SpacerComb, WrapTemplate
from optichill.report.sheet.paper.sizes import PAPERS, PENS
from optichill.report.sheet.paper.tile import Tile
from optichill.report.sheet.paper.tiles import comb_tiles, wrap_tiles

MM = 72.0 / 25.4  # 1 pt = 1/72 in (ISO 32000-1, 8.3.2.3), 1 in = 25.4 mm
NPS_8 = 8.625 * 0.0254  # outside diameter, ASME B36.10
TUBE, PITCH = 0.375 * 0.0254, 0.01905
TITLE = "Demo wrap: coil 1"

Ends = tuple[tuple[float, float], tuple[float, float]]


def metric(metres: float) -> str:
    return f"{metres * 1000:.1f} mm"


def published(k: float = 1.0, turns: float = 10.3) -> WrapTemplate:
    """3/8 in tube at a pitch of 19.05 mm on an NPS 8 pipe."""
    return WrapTemplate(width=math.pi * NPS_8, rise=k * PITCH, turns=turns, d_o=TUBE)


@dataclass
class Sheet:
    """One page as measured [pt]: lines and round things by pen, letters, page box."""

    tile: Tile
    size: tuple[float, float]
    lines: dict[str, list[Ends]]
    rounds: dict[str, list[tuple[float, float, float]]]
    boxes: list[tuple[float, float, float, float]]
    page: Any

    @cached_property
    def text(self) -> str:
        return self.page.extract_text()

    def at(self, words: str) -> list[tuple[float, float]]:
        """Middles of a text on the page."""
        found = self.page.search(words, regex=False)
        high = self.size[1]
        return [((f["x0"] + f["x1"]) / 2, high - (f["top"] + f["bottom"]) / 2) for f in found]


def pdf(tiles: tuple[Tile, ...]) -> bytes:
    file = io.BytesIO()
    canvas = Canvas(file, invariant=1)
    for tile in tiles:
        canvas.setPageSize(tile.page_size)
        tile.draw(canvas)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def pen_of(thing: dict[str, Any]) -> str:
    return next(pen for pen, width in PENS.items() if abs(width - thing["linewidth"]) < 1e-3)


def measured(tiles: tuple[Tile, ...]) -> list[Sheet]:
    return [_sheet(tile, page) for tile, page in zip(tiles, _open(pdf(tiles)).pages, strict=True)]


def _open(content: bytes) -> Any:
    return pdfplumber.open(io.BytesIO(content))


def _sheet(tile: Tile, page: Any) -> Sheet:
    high = float(page.height)
    lines: dict[str, list[Ends]] = {pen: [] for pen in PENS}
    rounds: dict[str, list[tuple[float, float, float]]] = {pen: [] for pen in PENS}
    for line in page.lines:
        (x0, top0), (x1, top1) = line["pts"]
        lines[pen_of(line)].append(((x0, high - top0), (x1, high - top1)))
    for curve in page.curves:
        if curve["stroke"]:
            middle = (curve["x0"] + curve["x1"]) / 2, (curve["y0"] + curve["y1"]) / 2
            rounds[pen_of(curve)].append((*middle, curve["x1"] - curve["x0"]))
    things = [*page.chars, *page.lines, *page.curves, *page.rects]
    boxes = [(t["x0"], t["y0"], t["x1"], t["y1"]) for t in things]
    size = (float(page.width), high)
    return Sheet(tile, size, lines, rounds, boxes, page)


@cache
def pipe(k: float = 1.0, paper: str = "a4") -> list[Sheet]:
    return measured(wrap_tiles(published(k), paper, TITLE, metric))


@cache
def tall() -> list[Sheet]:
    """Rows and columns: a demo form of 0.4 m, 0.6 m high."""
    return measured(wrap_tiles(WrapTemplate(math.pi * 0.4, 0.03, 19.5, 0.016), "letter", TITLE, metric))


@cache
def bar() -> list[Sheet]:
    return measured(comb_tiles(SpacerComb(pitch=0.0241, turns=27.4, d_o=0.022), "a4", "Demo comb", metric))


CASES = {"pipe": pipe, "tall": tall, "comb": bar}


@pytest.fixture(params=CASES)
def sheets(request: pytest.FixtureRequest) -> list[Sheet]:
    return CASES[request.param]()


# What is joined by its marks alone -------------------------------------------------------------------


def crosses(sheet: Sheet) -> list[tuple[float, float]]:
    return [(x, y) for x, y, _ in sheet.rounds["cross"]]


def marks(sheet: Sheet, upright: bool, last: bool) -> list[tuple[float, float]]:
    """A joint's crosses: those on an upright or level dashed line, at the far or the near side."""
    across = 0 if upright else 1
    dashed = [ends for ends in sheet.lines["joint"] if abs(ends[0][across] - ends[1][across]) < 1e-6]
    place = (max if last else min)(ends[0][across] for ends in dashed)
    return sorted(c for c in crosses(sheet) if abs(c[across] - place) < 0.01)


def joined(sheets: list[Sheet]) -> dict[int, np.ndarray]:
    """Where each sheet's origin comes to lie, the first sheet's at 0, laying mark on mark [pt]."""
    by_place = {(s.tile.row, s.tile.column): s for s in sheets}
    found = {1: np.zeros(2)}
    for (row, column), sheet in sorted(by_place.items()):
        for upright, back in ((True, (row, column - 1)), (False, (row - 1, column))):
            if back not in by_place:
                continue
            there, here = marks(by_place[back], upright, True), marks(sheet, upright, False)
            assert len(there) == len(here) == 2
            steps = np.asarray(there) - np.asarray(here)
            assert np.ptp(steps, axis=0) == pytest.approx(0.0, abs=1e-3)  # both crosses meet
            place = found[by_place[back].tile.sheet] + steps[0]
            assert found.setdefault(sheet.tile.sheet, place) == pytest.approx(place, abs=2e-3)
    return found


def assembled(sheets: list[Sheet], pen: str) -> list[Ends]:
    """All lines of a pen, with the sheets joined by their marks, in the first sheet's coordinates."""
    places = joined(sheets)
    return [
        tuple(tuple(np.asarray(end) + places[sheet.tile.sheet]) for end in ends)
        for sheet in sheets
        for ends in sheet.lines[pen]
    ]


def outline(sheets: list[Sheet]) -> tuple[float, float, float, float]:
    points = np.asarray(assembled(sheets, "cut")).reshape(-1, 2)
    return (*points.min(axis=0), *points.max(axis=0))


def turns_of(sheets: list[Sheet], template: WrapTemplate) -> list[list[Ends]]:
    """Pieces of centre line, sorted by turn and from left to right."""
    x0, y0, _, _ = outline(sheets)
    found: dict[int, list[Ends]] = {}
    for start, stop in assembled(sheets, "centre"):
        slope = template.rise / template.width  # of a piece too short to tell by itself
        if stop[0] - start[0] > 1.0:
            slope = (stop[1] - start[1]) / (stop[0] - start[0])
        height = start[1] - y0 - (start[0] - x0) * slope
        turn = (height / MM / 1000 - template.d_o / 2) / template.rise
        assert turn == pytest.approx(round(turn), abs=0.02)
        found.setdefault(round(turn), []).append((start, stop))
    return [sorted(found[turn]) for turn in range(len(found))]


def check_lines(sheets: list[Sheet], template: WrapTemplate) -> None:
    """Every turn is one straight line over all sheets, begins and ends where it should."""
    x0, y0, x1, y1 = outline(sheets)
    assert (x1 - x0) / MM == pytest.approx(template.width * 1000, abs=0.1)
    assert (y1 - y0) / MM == pytest.approx(template.height * 1000, abs=0.1)
    for pieces, (start, stop) in zip(turns_of(sheets, template), template.lines(), strict=True):
        expected = np.asarray([start, stop]) * 1000 * MM + (x0, y0)
        assert np.asarray(pieces[0][0]) == pytest.approx(expected[0], abs=0.05 * MM)
        assert max(p[1][0] for p in pieces) == pytest.approx(expected[1][0], abs=0.05 * MM)
        slope = (expected[1][1] - expected[0][1]) / (expected[1][0] - expected[0][0])
        for x, y in np.asarray(pieces).reshape(-1, 2):
            assert y == pytest.approx(expected[0][1] + (x - expected[0][0]) * slope, abs=0.05 * MM)
        reach = pieces[0][1][0]
        for left, right in pieces[1:]:
            assert left[0] < reach + 0.05 * MM  # no hole in it
            reach = max(reach, right[0])


# Pages -----------------------------------------------------------------------------------------------


def test_papers_are_the_standard_sizes() -> None:
    # ISO 216: A4 is 210 x 297 mm; letter is 8 1/2 x 11 in (ANSI/ASME Y14.1, size A).
    assert PAPERS["a4"] == pytest.approx((210 * MM, 297 * MM), abs=1e-9)
    assert PAPERS["letter"] == (8.5 * 72, 11 * 72)
    assert (PAPERS["a4"], PAPERS["letter"]) == (A4, LETTER)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("width, height, lying", [(0.2, 0.1, True), (0.17, 0.4, False)])
def test_page_box_and_the_side_that_needs_fewest_sheets(
    paper: str, width: float, height: float, lying: bool
) -> None:
    # The first fits one lying page but not one upright; the second two upright, but three lying.
    template = WrapTemplate(width, 0.02, (height - 0.01) / 0.02, 0.01)
    sheets = measured(wrap_tiles(template, paper, TITLE, metric))
    assert len(sheets) == (1 if lying else 2)
    size = PAPERS[paper][::-1] if lying else PAPERS[paper]
    for sheet in sheets:
        assert sheet.size == pytest.approx(size, abs=1e-3)
        assert sheet.tile.page_size == size


def test_check_bar_is_100_mm(sheets: list[Sheet]) -> None:
    for sheet in sheets:
        level, *ticks = sheet.lines["bar"]
        assert len(ticks) == 2
        assert abs(ticks[1][0][0] - ticks[0][0][0]) / MM == pytest.approx(100.0, abs=0.01)
        assert abs(level[1][0] - level[0][0]) / MM == pytest.approx(100.0, abs=0.01)
        assert level[0][1] == pytest.approx(level[1][1], abs=1e-6)
        tenths = sorted(ends[0][0] for ends in sheet.lines["tenth"])
        assert np.diff(tenths) / MM == pytest.approx(10.0, abs=0.01)


def test_check_bar_of_an_inch_ruler_is_4_in() -> None:
    (sheet, *_) = measured(wrap_tiles(published(), "letter", TITLE, metric, units="us"))
    (level, *_), ticks = sheet.lines["bar"], sorted(ends[0][0] for ends in sheet.lines["tenth"])
    assert abs(level[1][0] - level[0][0]) / 72.0 == pytest.approx(4.0, abs=1e-3)  # a point is 1/72 in
    assert np.diff(ticks) / 72.0 == pytest.approx(0.5, abs=1e-3)
    assert "this bar measures 4 in" in sheet.text


def test_words_on_every_page(sheets: list[Sheet]) -> None:
    for n, sheet in enumerate(sheets, 1):
        for words in ("this bar measures 100 mm", "Print at 100 % - not 'fit to page'", sheet.tile.title):
            assert words in sheet.text
        assert f"Sheet {n} of {len(sheets)}" in sheet.text
        assert (sheet.tile.sheet, sheet.tile.of) == (n, len(sheets))
        assert f"This sheet: {sheet.tile.name}" in sheet.text


def check_page(sheet: Sheet) -> None:
    """Margins, no letter on another, none on a centre line or a hole; pens, letters and inks that print."""
    wide, high = sheet.size
    boxes = np.asarray(sheet.boxes)
    assert boxes[:, :2].min() >= 10 * MM
    assert boxes[:, 2].max() <= wide - 10 * MM and boxes[:, 3].max() <= high - 10 * MM
    chars = np.asarray([(c["x0"], c["y0"], c["x1"], c["y1"]) for c in sheet.page.chars])
    assert min(c["size"] for c in sheet.page.chars) >= 7.0 - 1e-6
    low = np.maximum(chars[:, None, :2], chars[None, :, :2])
    over = (np.minimum(chars[:, None, 2:], chars[None, :, 2:]) - low > 0.02).all(axis=2)
    assert not (over & ~np.eye(len(chars), dtype=bool)).any()
    for (xa, ya), (xb, yb) in sheet.lines["centre"]:
        at = np.clip((chars[:, [0, 2]] - xa) / max(xb - xa, 1e-9), 0, 1) * (yb - ya) + ya
        beside = (chars[:, 2] < xa) | (chars[:, 0] > xb)
        assert (beside | (at.min(axis=1) >= chars[:, 3]) | (at.max(axis=1) <= chars[:, 1])).all()
    for x, y, across in sheet.rounds["hole"]:
        gap = np.maximum(np.maximum(chars[:, :2] - (x, y), (x, y) - chars[:, 2:]), 0.0)
        assert np.hypot(*gap.T).min() > across / 2
    assert min(PENS.values()) >= 0.25 and len(set(PENS.values())) == len(PENS)
    inks = {np.ravel(t["stroking_color"])[0] for t in (*sheet.page.lines, *sheet.page.curves)}
    assert inks <= {0}


def test_margins_and_texts(sheets: list[Sheet]) -> None:
    for sheet in sheets:
        check_page(sheet)


def test_key_plan_blackens_this_sheet(sheets: list[Sheet]) -> None:
    tile = sheets[0].tile
    for sheet in sheets:
        cells = [r for r in sheet.page.rects if r["stroke"] and pen_of(r) == "key"]
        assert len(cells) == tile.of
        black = [n for n, cell in enumerate(cells) if np.ravel(cell["non_stroking_color"])[0] == 0]
        assert black == [sheet.tile.sheet - 1]
        cell = cells[black[0]]
        columns = {round(c["x0"], 2) for c in cells if c["x0"] < cell["x0"] - 1}
        rows = {round(c["y0"], 2) for c in cells if c["y0"] < cell["y0"] - 1}
        assert (len(rows), len(columns)) == (sheet.tile.row, sheet.tile.column)


# The wrap template -----------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("k, degrees", [(1.0, 1.59), (0.972, 1.54)])
def test_published_lead_angle_on_nps_8_pipe(paper: str, k: float, degrees: float) -> None:
    # Pipe: ASME B36.10, NPS 8, 8.625 in. Angle by hand: atan(k 19.05 / (pi 219.075)) = 1.586 and 1.541 deg.
    sheets, template = pipe(k, paper), published(k)
    pieces = turns_of(sheets, template)[0]
    (xa, ya), (xb, yb) = pieces[0][0], max((p[1] for p in pieces), key=lambda end: end[0])
    assert math.degrees(math.atan2(yb - ya, xb - xa)) == pytest.approx(degrees, abs=0.006)
    assert (yb - ya) / MM == pytest.approx(k * 19.05, abs=0.1)
    for sheet in sheets:
        middle = sum(sheet.tile.window[::2]) / 2 + sheet.tile.offset[0]
        at = [a[1] + (b[1] - a[1]) / (b[0] - a[0]) * (middle - a[0]) for a, b in sheet.lines["centre"]]
        full = sorted(at)[:10]  # the eleventh is not wound all round
        assert np.diff(full) / MM == pytest.approx(k * 19.05, abs=0.1)


@pytest.mark.parametrize("k", [1.0, 0.972])
def test_width_is_the_pipe_and_lines_go_on_from_sheet_to_sheet(k: float) -> None:
    # pi 8.625 in = 688.24 mm by hand.
    x0, _, x1, _ = outline(pipe(k))
    assert (x1 - x0) / MM == pytest.approx(688.24, abs=0.1)
    assert len(pipe(k)) > 1
    check_lines(pipe(k), published(k))


def test_rows_and_columns_join() -> None:
    assert {s.tile.row for s in tall()} > {0} and {s.tile.column for s in tall()} > {0}
    check_lines(tall(), WrapTemplate(math.pi * 0.4, 0.03, 19.5, 0.016))


def test_ends_meet_over_the_seam() -> None:
    """The end of each turn at the right edge is as high as the start of the next at the left."""
    turns = turns_of(pipe(), published())
    for turn, after in zip(turns, turns[1:], strict=False):
        assert turn[-1][1][1] == pytest.approx(after[0][0][1], abs=0.05 * MM)


def test_tube_edges_lie_half_a_tube_off() -> None:
    for sheet in pipe():
        cos = math.cos(published().lead_angle)
        slope = math.tan(published().lead_angle)
        centres = np.asarray([a[1] - slope * a[0] for a, _ in sheet.lines["centre"]])
        for start, _ in sheet.lines["edge"]:
            away = np.abs(centres - (start[1] - slope * start[0])).min() * cos / MM
            assert away == pytest.approx(TUBE * 500, abs=0.05)


def test_offset_says_where_the_marks_are(sheets: list[Sheet]) -> None:
    first = np.asarray(sheets[0].tile.offset)
    for sheet in sheets:
        place = joined(sheets)[sheet.tile.sheet]
        assert first - np.asarray(sheet.tile.offset) == pytest.approx(place, abs=1e-2)


def test_joints_are_named_alike_on_both_sheets_and_share_10_mm(sheets: list[Sheet]) -> None:
    places, by_place = joined(sheets), {(s.tile.row, s.tile.column): s for s in sheets}
    for (row, column), sheet in by_place.items():
        for beside, upright in (((row, column + 1), True), ((row + 1, column), False)):
            if beside not in by_place:
                continue
            other = by_place[beside]
            a, b = sheet.tile.name, other.tile.name
            words = f"{a} | {b}" if upright else f"{b} above {a}"
            (here,), (there,) = sheet.at(words), other.at(words)
            step = places[other.tile.sheet] - places[sheet.tile.sheet]
            assert here == pytest.approx(tuple(there + step), abs=0.02)
            near = sheet.tile.window[2 if upright else 3] - other.tile.window[0 if upright else 1]
            assert near / MM == pytest.approx(10.0, abs=1e-6)


def test_ends_are_numbered_and_marked() -> None:
    first, *_, last = pipe()
    for turn in (2, 5, 10):
        assert first.at(f"{turn}") and last.at(f"{turn - 1} to {turn}")
    assert "1 start of the first turn" in first.text and "turn 11 ends here" in pipe()[1].text
    assert "seam edge: meets the right edge" in first.text
    assert "seam edge: meets the left edge" in last.text
    for sheet in pipe():
        assert "direction of winding" in sheet.text and "this edge up" in sheet.text
        heads = [c for c in sheet.page.curves if c["fill"] and not c["stroke"]]
        assert len(heads) >= 2
    # Each label stands beside its line: within 12 pt over its left end.
    _, y = min(first.at("5"))  # the leftmost
    line = turns_of(pipe(), published())[4][0][0][1]
    assert 0 < y - line < 12
    ends = sorted(max(ends)[1] for ends in last.lines["centre"])
    for turn in range(1, 11):
        _, y = max(last.at(f"{turn} to {turn + 1}"))  # the rightmost: the notes say it too
        assert 0 < ends[turn - 1] - y < 12


def test_seam_edge_words_only_at_the_seam() -> None:
    for sheet in tall():
        assert ("meets the right edge" in sheet.text) == (sheet.tile.column == 0)
        assert ("this edge up" in sheet.text) == (sheet.tile.row == max(s.tile.row for s in tall()))


def test_the_inner_of_two_layers_is_printed_as_the_mirror_image() -> None:
    """Drawn, joined and lettered like the other: every line falls to the right, from the upper edge."""
    t = published()
    template = WrapTemplate(t.width, t.rise, t.turns, t.d_o, hand=-1)
    sheets = measured(wrap_tiles(template, "a4", TITLE, metric))
    x0, _, _, y1 = outline(sheets)
    pieces = [ends for sheet in sheets for ends in sheet.lines["centre"]]
    assert all(stop[1] < start[1] for start, stop in pieces)
    first = min(assembled(sheets, "centre"), key=lambda ends: (round(ends[0][0]), -ends[0][1]))[0]
    assert np.asarray(first) == pytest.approx((x0, y1 - TUBE * 500 * MM), abs=0.05 * MM)
    assert "goes down as it is wound" in sheets[0].text
    for sheet in sheets:
        check_page(sheet)


# The comb --------------------------------------------------------------------------------------------


def test_holes_stand_at_the_pitch_through_all_sheets() -> None:
    places = joined(bar())
    holes = sorted(
        (x + places[s.tile.sheet][0], y + places[s.tile.sheet][1], across)
        for s in bar()
        for x, y, across in s.rounds["hole"]
    )
    xs, ys, across = np.asarray(holes).T / MM
    assert len(bar()) > 1 and len(holes) == 28  # 27.4 turns: a bar meets 27 or 28
    assert np.diff(xs) == pytest.approx(24.1, abs=0.05)
    assert xs - xs[0] == pytest.approx(24.1 * np.arange(28), abs=0.05)
    assert ys == pytest.approx(ys[0], abs=0.05)
    assert across == pytest.approx(22.0, abs=0.05)
    x0, y0, x1, y1 = outline(bar())
    assert (x1 - x0) / MM == pytest.approx(27 * 24.1 + 22 + 20, abs=0.1)
    assert (ys[0] - y0 / MM, y1 / MM - ys[0]) == pytest.approx((21.0, 21.0), abs=0.05)


def test_every_hole_has_its_cross_and_number() -> None:
    number = 0
    for sheet in bar():
        for x, y, _ in sorted(sheet.rounds["hole"]):
            number += 1
            middles = [np.mean(ends, axis=0) for ends in sheet.lines["pip"]]
            assert sum(np.hypot(*(m - (x, y))) < 0.01 for m in middles) == 2
            assert any(abs(at[0] - x) < 0.1 and at[1] < y for at in sheet.at(f"{number}"))


def test_comb_says_what_to_make() -> None:
    for sheet in bar():
        for words in ("Make 3", "pitch 24.1 mm", "hole 22.0 mm", "Drill 0.5 mm larger than the tube"):
            assert words in sheet.text


# All sizes -------------------------------------------------------------------------------------------

# Not shrunk: a sheaf of pages is slow to measure, and a failing one is told by its sizes.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
SHEAF = settings(
    max_examples=count(3, 60), deadline=None, phases=PHASES, suppress_health_check=[HealthCheck.too_slow]
)
STRIP = settings(SHEAF, max_examples=count(10, 200))


@SHEAF
@given(
    width=st.floats(0.15, 1.0),
    rise=st.floats(0.004, 0.1),
    height=st.floats(0.02, 0.6),
    share=st.floats(0.3, 1.0),
    paper=st.sampled_from(sorted(PAPERS)),
)
def test_any_template(width: float, rise: float, height: float, share: float, paper: str) -> None:
    d_o = max(0.003, min(0.028, share * rise))
    template = WrapTemplate(width, rise, max(0.5, (height - d_o) / rise), d_o)
    sheets = measured(wrap_tiles(template, paper, TITLE, metric))
    for sheet in sheets:
        tile, text = sheet.tile, sheet.text.replace(" ", "")
        assert f"Sheet{tile.sheet}of{len(sheets)}" in text
        assert ("thisedgeup" in text) == (tile.row == sheets[-1].tile.row)
        names = [
            s.tile.name for s in sheets if s.tile.row == tile.row and abs(s.tile.column - tile.column) < 2
        ]
        for left, right in zip(names, names[1:], strict=False):
            assert f"{left}|{right}" in text
        check_page(sheet)
    check_lines(sheets, template)


@STRIP
@given(
    d_o=st.floats(0.004, 0.028),
    gap=st.floats(0.0, 0.03),
    turns=st.floats(0.5, 40.0),
    paper=st.sampled_from(sorted(PAPERS)),
)
def test_any_comb(d_o: float, gap: float, turns: float, paper: str) -> None:
    comb = SpacerComb(d_o + gap, turns, d_o)
    sheets = measured(comb_tiles(comb, paper, TITLE, metric))
    places = joined(sheets)
    for sheet in sheets:
        check_page(sheet)
    xs = sorted(x + places[s.tile.sheet][0] for s in sheets for x, _, _ in s.rounds["hole"])
    assert np.asarray(xs) / MM - xs[0] / MM == pytest.approx(
        (np.asarray(comb.centres) - comb.centres[0]) * 1000, abs=0.05
    )


def test_the_widest_and_highest() -> None:
    tiles = wrap_tiles(WrapTemplate(3.2, 0.1, 9.8, 0.022), "letter", TITLE, metric)
    assert tiles[-1].row > 0 and tiles[-1].column > 9
    for sheet in measured((tiles[0], tiles[len(tiles) // 2], tiles[-1])):
        check_page(sheet)


def test_twice_the_same_bytes() -> None:
    for paper in PAPERS:
        first, second = (pdf(wrap_tiles(published(), paper, TITLE, metric)) for _ in range(2))
        assert first == second


def test_a_long_title_is_wrapped_not_cut() -> None:
    title = " ".join(f"word{n}" for n in range(22))
    sheet = measured(wrap_tiles(published(), "a4", title, metric))[0]
    assert " ".join(sheet.text.split()).replace("Sheet 1 of 4 ", "").startswith(title)
    check_page(sheet)


@pytest.mark.parametrize("name", ["width", "rise", "turns", "d_o"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_size_that_is_none_is_refused_by_name(name: str, value: float) -> None:
    sizes = {"width": 0.6, "rise": 0.02, "turns": 5.0, "d_o": 0.01} | {name: value}
    with pytest.raises(OptichillError, match=f"template: {name}: .*allowed: above 0"):
        wrap_tiles(WrapTemplate(**sizes), "a4", TITLE, metric)


def test_what_no_paper_can_show_is_refused() -> None:
    with pytest.raises(OptichillError, match="paper: 'a5' is not known .allowed: a4, letter."):
        wrap_tiles(published(), "a5", TITLE, metric)
    with pytest.raises(OptichillError, match="9.00 m by .* too large for a4 .allowed: 26 sheets"):
        wrap_tiles(WrapTemplate(9.0, 0.02, 5.0, 0.01), "a4", TITLE, metric)
    with pytest.raises(OptichillError, match="comb: turns: 2e.06 .allowed: at most 1000."):
        comb_tiles(SpacerComb(0.02, 2e6, 0.01), "a4", TITLE, metric)
    with pytest.raises(OptichillError, match="too large"):
        comb_tiles(SpacerComb(0.5, 3.0, 0.4), "a4", TITLE, metric)
