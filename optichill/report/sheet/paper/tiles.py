"""The pages of a template or a comb: the fewest that hold it."""

from __future__ import annotations

import math

from optichill.errors import OptichillError
from optichill.fabrication.template import SpacerComb, WrapTemplate
from optichill.report.sheet.paper.comb import Comb
from optichill.report.sheet.paper.page import Page
from optichill.report.sheet.paper.sizes import (
    BLOCK,
    FOOT,
    GUTTER,
    MARGIN,
    MOST_COLUMNS,
    MOST_ROWS,
    MOST_TURNS,
    NOTE,
    PAPERS,
    POINTS,
    TITLE,
    Length,
    even,
    measure,
    wrapped,
)
from optichill.report.sheet.paper.tile import PageGrid
from optichill.report.sheet.paper.wrap import Wrap


def wrap_tiles(
    template: WrapTemplate,
    paper: str,
    title: str,
    length: Length,
    font: str = "Helvetica",
    units: str = "metric",
) -> tuple[Page, ...]:
    """The wrap template's sheets. length : metres to text with unit; font : one that the canvas knows;
    units : of the check bar."""
    sizes = {"width": template.width, "rise": template.rise, "turns": template.turns, "d_o": template.d_o}
    _refuse("template", sizes)
    return tiles_of(Wrap(template, length, units), paper, title, font)


def comb_tiles(
    comb: SpacerComb, paper: str, title: str, length: Length, font: str = "Helvetica", units: str = "metric"
) -> tuple[Page, ...]:
    """The spacer comb's sheets, as `wrap_tiles`; a joint always lies midway between two holes."""
    _refuse("comb", {"pitch": comb.pitch, "turns": comb.turns, "d_o": comb.d_o})
    return tiles_of(Comb(comb, length, units), paper, title, font)


def _refuse(what: str, sizes: dict[str, float]) -> None:
    for name, value in sizes.items():
        if not (math.isfinite(value) and value > 0.0):
            raise OptichillError(f"{what}: {name}: {value!r} cannot be drawn (allowed: above 0)")
    if sizes["turns"] > MOST_TURNS:
        raise OptichillError(f"{what}: turns: {sizes['turns']:g} (allowed: at most {MOST_TURNS})")


def tiles_of(subject: Wrap | Comb, paper: str, title: str, font: str) -> tuple[Page, ...]:
    if paper not in PAPERS:
        raise OptichillError(f"paper: {paper!r} is not known (allowed: {', '.join(sorted(PAPERS))})")
    sizes = PAPERS[paper], PAPERS[paper][::-1]
    found = [plan for size in sizes if (plan := plan_of(subject, size, title, font)) is not None]
    if not found:
        raise OptichillError(
            f"paper: {subject.width / POINTS:.2f} m by {subject.height / POINTS:.2f} m is too large for "
            f"{paper} (allowed: {MOST_COLUMNS} sheets side by side, {MOST_ROWS} one above the other)"
        )
    flat = subject.width > subject.height
    best = min(found, key=lambda plan: (plan.of, (plan.page_size[0] > plan.page_size[1]) != flat))
    return tuple(tile_of(best, subject, title, font, n) for n in range(best.of))


def tile_of(plan: PageGrid, subject: Wrap | Comb, title: str, font: str, index: int) -> Page:
    row, column = divmod(index, len(plan.columns))
    (x0, x1), (y0, y1) = plan.columns[column], plan.rows[row]
    middle = (plan.frame[0] + plan.frame[2]) / 2.0
    offset = (middle - (x0 + x1) / 2.0, plan.frame[3] - y1)
    place = (index + 1, plan.of, row, column, plan.name(row, column))
    return Page(plan.page_size, *place, title, (x0, y0, x1, y1), offset, font, plan, subject)


def plan_of(subject: Wrap | Comb, size: tuple[float, float], title: str, font: str) -> PageGrid | None:
    """The fewest pages of this size; None where they would be too many to be named, or nothing fits."""
    room = size[0] - 2.0 * MARGIN
    titles = wrapped(title, font, TITLE, room - measure("Sheet 234 of 234", font, TITLE) - 12.0)[:3]
    plan = None
    for joined in (False, True):
        notes = tuple(line for note in subject.notes(joined) for line in wrapped(note, font, NOTE, room))
        head = len(titles) * 12.5 + len(notes) * 9.3
        frame = (MARGIN, MARGIN + BLOCK + FOOT + 8.0, MARGIN + room, size[1] - MARGIN - head - GUTTER)
        columns, rows = subject.spans(room), even(subject.height, frame[3] - frame[1])
        if not columns or len(columns) > MOST_COLUMNS or len(rows) > MOST_ROWS:
            return None
        plan = PageGrid(size, columns, rows, titles, notes, frame)
        if plan.of == 1:
            break
    return plan
