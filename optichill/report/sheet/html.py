"""The sheet as one HTML page that needs nothing else."""

from __future__ import annotations

import re
from functools import cache
from importlib import resources
from typing import Any

from optichill.report.sheet import document as doc

SCREEN_FONT = "Helvetica"
"""Drawings on the page are set in a typeface whose widths every browser has a twin of."""


def html(sheet: doc.Sheet, pdf_name: str) -> str:
    """The page. pdf_name : the PDF beside it, with what must be printed at true size."""
    page: str = _template().render(sheet=sheet, pdf_name=pdf_name, kind=_kind, svg=inline)
    return page


def _kind(block: doc.Block) -> str:
    return type(block).__name__.lower()


def inline(figure: doc.Figure) -> Any:
    """A drawing as it stands in a page: no prologue, text that scales with it."""
    from markupsafe import Markup
    from reportlab.graphics import renderSVG

    text = renderSVG.drawToString(figure.draw(SCREEN_FONT))
    text = text[text.index("<svg") :]
    opening, rest = text.split(">", 1)
    # Without a size of its own it fills the page's width, and keeps its shape by the view box. What it shows
    # is said beside it; a clipping path whose name both drawings share would not be the page's own.
    rest = re.sub(r"<title>.*?</title>|<desc>.*?</desc>|<clipPath.*?</clipPath>", "", rest, flags=re.DOTALL)
    rest = re.sub(r' id="\w+"| style="clip-path: url\(#\w+\)"', "", rest)
    return Markup(re.sub(r' (?:width|height)="[^"]*"', "", opening) + ">" + rest)


@cache
def _template() -> Any:
    from jinja2 import Environment

    source = (resources.files("optichill.report.sheet") / "sheet.html.jinja").read_text(encoding="utf-8")
    return Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(source)
