"""The sheet as a PDF: pages of text and drawings, then the paper at true size."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape

from optichill.fabrication.template import WrapTemplate
from optichill.report.sheet import document as doc
from optichill.report.sheet.fonts import BOLD, REGULAR, cut, printable, registered
from optichill.report.sheet.paper.page import Page
from optichill.report.sheet.paper.sizes import MARGIN as EDGE
from optichill.report.sheet.paper.sizes import PAPERS
from optichill.report.sheet.paper.tiles import comb_tiles, wrap_tiles
from optichill.report.sheet.title import HEIGHT, draw_block

MARGIN, HEADER = 40.0, 26.0
FOOTER = EDGE + HEIGHT + 20.0 - MARGIN
"""Above it the title block and a line of warning [pt]."""
INK, GREY = "#111111", "#555555"
BOX = "☐"


def pdf(sheet: doc.Sheet, length: Callable[[float], str]) -> bytes:
    """All pages. The same sheet gives the same bytes."""
    registered()
    pages = tiles(sheet, length)
    best, most = b"", -1.0
    for spacing in SPACINGS:
        made, filled = _built(sheet, pages, spacing)
        if min(filled) > most:
            best, most = made, min(filled)
        if most >= LEAST_FILLED:
            break
    return best


Spacing = tuple[float, float]
"""From line to line, in sizes of the type; room in a table's rows, in what is usual."""

SPACINGS: tuple[Spacing, ...] = (
    (1.28, 1.0), (1.22, 1.0), (1.19, 0.6), (1.16, 0.4), (1.13, 0.3), (1.28, 1.5), (1.31, 2.0),
)  # fmt: skip
"""The usual one first; closer, then wider ones where a page would be left with a few lines."""

LEAST_FILLED = 0.27
"""Of a page of text."""

KEPT_WHOLE = 12
"""Rows of a table that is not broken over two pages."""


def _built(sheet: doc.Sheet, pages: list[Page], spacing: Spacing) -> tuple[bytes, list[float]]:
    """The file, and what is filled of each page of text."""
    from reportlab.platypus import BaseDocTemplate, Frame, NextPageTemplate, PageBreak, PageTemplate

    filled: list[float] = []

    class Document(BaseDocTemplate):
        def afterPage(self) -> None:
            frame: Any = self.frame
            if self.pageTemplate.id == "text":
                filled.append(1.0 - (frame._y - frame._y1p) / frame._height)

    width, height = PAPERS[sheet.paper]
    file = io.BytesIO()
    document = Document(
        file,
        pagesize=(width, height),
        invariant=1,
        title=sheet.title,
        author="",
        subject=sheet.lead,
        creator="optichill",
    )
    frame = Frame(
        MARGIN,
        MARGIN + FOOTER,
        width - 2.0 * MARGIN,
        height - 2.0 * MARGIN - HEADER - FOOTER,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    templates = [PageTemplate("text", [frame], onPage=lambda c, d: _frame_of_page(c, d, sheet))]
    story = _story(sheet, width - 2.0 * MARGIN, _styles(spacing))
    for number, tile in enumerate(pages):
        name, size = f"tile {number}", tile.page_size
        bare = Frame(0, 0, *size, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
        templates.append(PageTemplate(name, [bare], pagesize=size))
        story += [NextPageTemplate(name), PageBreak(), _page_of(tile)]
    document.addPageTemplates(templates)
    document.build(story, canvasmaker=_numbered(sheet.block))
    return file.getvalue(), filled


def _numbered(block: doc.TitleBlock) -> Any:
    """A canvas that puts the title block on every page once it is known how many there are."""
    from reportlab.pdfgen import canvas

    plain: Any = canvas.Canvas  # whose own pages and their start are not typed

    class Numbered(plain):  # type: ignore[misc]
        shows = TEXT_PAGE

        def __init__(self, *args: Any, **more: Any) -> None:
            super().__init__(*args, **more)
            self._held: list[dict[str, Any]] = []

        def showPage(self) -> None:
            self._held.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, state in enumerate(self._held, 1):
                self.__dict__.update(state)
                corner = (self._pagesize[0] - EDGE, EDGE)
                draw_block(self, block, self.shows, (number, len(self._held)), corner)
                super().showPage()
            super().save()

    return Numbered


TEXT_PAGE = ("build sheet", "at each view")
"""What a page of text shows, and its scale."""


def tiles(sheet: doc.Sheet, length: Callable[[float], str]) -> list[Page]:
    """Pages at true size."""
    found: list[Page] = []
    for paper in sheet.papers:
        if isinstance(paper.what, WrapTemplate):
            found += wrap_tiles(paper.what, sheet.paper, paper.title, length, REGULAR, sheet.units)
        else:
            found += comb_tiles(paper.what, sheet.paper, paper.title, length, REGULAR, sheet.units)
    return found


def _page_of(tile: Page) -> Any:
    """A tile as something that fills its page."""
    from reportlab.platypus import Flowable

    class WholePage(Flowable):
        def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
            return available_width, available_height

        def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:
            canvas.shows = (tile.title, "1:1")
            tile.draw(canvas)

    return WholePage()


def _frame_of_page(canvas: Any, document: Any, sheet: doc.Sheet) -> None:
    """Header and footer: which sheet, the example's warning, and that it cannot be built."""
    width, height = canvas._pagesize
    canvas.saveState()
    canvas.setFont(BOLD, 9)
    room = width - 2.0 * MARGIN - 150.0
    canvas.drawString(
        MARGIN,
        height - MARGIN,
        "NOT BUILDABLE" if sheet.stops else cut(printable(sheet.title), room, BOLD, 9),
    )
    if sheet.banner:
        canvas.setFont(BOLD, 9)
        canvas.drawRightString(width - MARGIN, height - MARGIN, "EXAMPLE, NOT YOUR KETTLE")
    canvas.setLineWidth(0.5)
    canvas.line(MARGIN, height - MARGIN - 6.0, width - MARGIN, height - MARGIN - 6.0)
    canvas.setFont(REGULAR, 8)
    canvas.setFillColor(GREY)
    canvas.shows = TEXT_PAGE
    warning = "Local codes and licensed trades come first. Check every size on your own kettle."
    canvas.drawString(MARGIN, EDGE + HEIGHT + 6.0, warning)
    canvas.restoreState()


# --- blocks -----------------------------------------------------------------------------------------


def _styles(spacing: Spacing) -> dict[str, Any]:
    """Of paragraphs by name, and what is left over and under a table's row [pt]."""
    from reportlab.lib.styles import ParagraphStyle

    leading, rows = spacing

    def _style(name: str, size: float, **more: Any) -> Any:
        usual = {"fontName": REGULAR, "bulletFontName": REGULAR, "leading": leading * size, "textColor": INK}
        return ParagraphStyle(name, fontSize=size, **{**usual, **more})

    return {
        "row": (1.5 * rows, 2.5 * rows),
        "title": _style("title", 18, fontName=BOLD, spaceAfter=4),
        "lead": _style("lead", 10.5, spaceAfter=6),
        "stop": _style("stop", 10.5, leftIndent=12, bulletIndent=2, spaceAfter=3),
        "alarm": _style("alarm", 16, fontName=BOLD, spaceAfter=4),
        "h2": _style("h2", 12.5, fontName=BOLD, spaceBefore=8, spaceAfter=4, keepWithNext=1),
        "body": _style("body", 9.5, spaceAfter=4),
        "why": _style("why", 8.5, textColor=GREY, leftIndent=22, spaceAfter=4),
        "step": _style("step", 9.5, leftIndent=22, bulletIndent=2, spaceAfter=1, keepWithNext=1),
        "plain step": _style("plain step", 9.5, leftIndent=22, bulletIndent=2, spaceAfter=3),
        "point": _style("point", 9.5, leftIndent=12, bulletIndent=2, spaceAfter=2),
        "cell": _style("cell", 9),
        "right": _style("right", 9, alignment=2),
        "head": _style("head", 8.5, fontName=BOLD),
        "head right": _style("head right", 8.5, fontName=BOLD, alignment=2),
        "table title": _style("table title", 9.5, fontName=BOLD, spaceBefore=3, keepWithNext=1),
        "caption": _style("caption", 8.5, textColor=GREY, spaceAfter=5),
        "card": _style("card", 14, fontName=BOLD, spaceAfter=4),
    }


def _paragraph(text: str, style: Any, bullet: str | None = None) -> Any:
    from reportlab.platypus import Paragraph

    return Paragraph(escape(printable(text)), style, bulletText=bullet)


def _story(sheet: doc.Sheet, width: float, styles: dict[str, Any]) -> list[Any]:
    from reportlab.platypus import CondPageBreak, KeepTogether, PageBreak

    story: list[Any] = []
    if sheet.stops:
        story.append(_paragraph("NOT BUILDABLE", styles["alarm"]))
        story += [_paragraph(reason, styles["stop"], "–") for reason in sheet.stops]
    story.append(_paragraph(sheet.title, styles["title"]))
    if sheet.banner:
        story.append(_paragraph(sheet.banner, styles["head"]))
    story.append(_paragraph(sheet.lead, styles["lead"]))
    for section in sheet.sections:
        story.append(PageBreak() if section.new_page else CondPageBreak(90.0))
        group = [_paragraph(section.title, styles["h2"])]
        for block, after in zip(section.blocks, (*section.blocks[1:], None), strict=True):
            group += _block(block, styles, width)
            if isinstance(block, doc.Text) and isinstance(after, doc.Table):
                continue  # what is said of a table stays with it
            short = isinstance(block, doc.Table) and len(block.rows) <= KEPT_WHOLE
            story += [KeepTogether(group)] if short or isinstance(block, doc.Card) else group
            group = []
    return story


def _block(block: doc.Block, styles: dict[str, Any], width: float) -> list[Any]:
    if isinstance(block, doc.Text):
        return [_paragraph(block.text, styles["body"])]
    if isinstance(block, doc.Points):
        return [_paragraph(item, styles["point"], "•") for item in block.items]
    if isinstance(block, doc.Steps):
        return _steps(block, styles)
    if isinstance(block, doc.Table):
        return _table(block, styles, width)
    if isinstance(block, doc.Figure):
        return _figure(block, styles, width)
    if isinstance(block, doc.Figures):
        return _figures(block, styles, width)
    return _card(block, styles, width)


def _steps(block: doc.Steps, styles: dict[str, Any]) -> list[Any]:
    story: list[Any] = []
    for number, (what, why) in enumerate(block.items, block.first):
        story.append(_paragraph(what, styles["step" if why else "plain step"], f"{number}."))
        if why:
            story.append(_paragraph(why, styles["why"]))
    return story


def _table(block: doc.Table, styles: dict[str, Any], width: float) -> list[Any]:
    from reportlab.platypus import Spacer
    from reportlab.platypus import Table as Grid

    def row(cells: tuple[str, ...], plain: str, right: str, box: str) -> list[Any]:
        made = [
            _paragraph(text, styles[right if column in block.numbers else plain])
            for column, text in enumerate(cells)
        ]
        return [_paragraph(box, styles["cell"]), *made] if block.ticks else made

    ticked = [BOX if cells[1] else "" for cells in block.rows] if block.ticks else [""] * len(block.rows)
    rows = [row(block.head, "head", "head right", "")]
    rows += [row(cells, "cell", "right", box) for cells, box in zip(block.rows, ticked, strict=True)]
    shares = ((0.35,) if block.ticks else ()) + block.widths
    columns = [width * share / sum(shares) for share in shares]
    grid = Grid(rows, colWidths=columns, repeatRows=1, hAlign="LEFT")
    grid.setStyle(
        [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, GREY),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("TOPPADDING", (0, 0), (-1, -1), styles["row"][0]),
            ("BOTTOMPADDING", (0, 0), (-1, -1), styles["row"][1]),
            ("LEFTPADDING", (0, 0), (-1, -1), 3),
            ("RIGHTPADDING", (0, 0), (-1, -1), 5),
        ]
    )
    title = [_paragraph(block.caption, styles["table title"])] if block.titled else []
    return [*title, grid, Spacer(0, 6)]


def _figure(block: doc.Figure, styles: dict[str, Any], width: float) -> list[Any]:
    from reportlab.platypus import KeepTogether

    drawing = block.draw(REGULAR)
    drawing.hAlign = "CENTER"
    return [KeepTogether([drawing, _paragraph(block.caption, styles["caption"])])]


def _figures(block: doc.Figures, styles: dict[str, Any], width: float) -> list[Any]:
    """Figures with their captions, two in a row."""
    from reportlab.platypus import Table as Grid

    cells = [[item.draw(REGULAR), _paragraph(item.caption, styles["caption"])] for item in block.items]
    cells += [[]] * (len(cells) % 2)
    grid = Grid([cells[n : n + 2] for n in range(0, len(cells), 2)], colWidths=[width / 2.0] * 2)
    grid.setStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 4)])
    return [grid]


def _card(block: doc.Card, styles: dict[str, Any], width: float) -> list[Any]:
    """A box with a cutting line round it."""
    from reportlab.platypus import Table as Grid

    inner: list[Any] = [_paragraph(block.title, styles["card"])]
    for part in block.blocks:
        inner += _block(part, styles, width - 24.0)
    box = Grid([[inner]], colWidths=[width])
    box.setStyle(
        [
            ("BOX", (0, 0), (-1, -1), 0.8, INK, None, (4, 3)),
            ("LEFTPADDING", (0, 0), (-1, -1), 12),
            ("RIGHTPADDING", (0, 0), (-1, -1), 12),
            ("TOPPADDING", (0, 0), (-1, -1), 10),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 10),
        ]
    )
    return [box]
