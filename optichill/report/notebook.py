"""What a notebook shows of an answer: one small table, every word escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from optichill.display import show
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import Rating
from optichill.report import ranges
from optichill.report.no_fit import nothing_fits
from optichill.report.otherwise import about
from optichill.report.table import COLUMNS, NUMBERS, rows
from optichill.search.answer import Answer


def table(title: str, head: Sequence[str], cells: Iterable[Sequence[str]], right: Sequence[str] = ()) -> str:
    """A table of text; columns named in `right` stand to the right."""
    side = ["right" if name in right else "left" for name in head]

    def row(tag: str, texts: Sequence[str]) -> str:
        made = (
            f'<{tag} style="text-align:{s}">{escape(t)}</{tag}>' for s, t in zip(side, texts, strict=True)
        )
        return f"<tr>{''.join(made)}</tr>"

    body = "".join(row("td", texts) for texts in cells)
    return f"<table><caption>{escape(title)}</caption>{row('th', head)}{body}</table>"


def text(lines: Iterable[str]) -> str:
    """Lines as they stand on a screen."""
    return f"<pre>{escape(chr(10).join(lines))}</pre>"


def shortlist(answer: Answer, title: str) -> str:
    """The builds, or what stands in the way."""
    if not answer.designs:
        return text([title, *nothing_fits(answer)])
    return table(title, COLUMNS, rows(answer), NUMBERS)


def rating(rated: Rating, basis: DesignBasis, title: str, warnings: Sequence[str]) -> str:
    """What one coil does."""
    p, u = rated.prediction, basis.brewhouse.units
    said = [
        ("time", ranges.time(p)),
        ("kept stirring", about(p.told_steady)),
        ("left alone", about(p.told_alone)),
        ("water", ranges.water(p, u)),
        ("flow at the start", show(p.flow, "flow", u)),
        ("taken by the coil", show(p.pressure_drop, "pressure", u)),
        ("tube", show(rated.tube_length, "long_length", u)),
        *(("warning", warning) for warning in warnings),
    ]
    return table(title, ("", "value"), said)
