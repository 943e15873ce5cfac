"""One typeface that has the letters of most stock lists, boxes to tick and fractions; embedded, so that every
printer has it.

Source Sans Pro, from the package `font-source-sans-pro`: a PDF's own Helvetica has neither the letters of
many lists nor boxes to tick.
"""

from __future__ import annotations

from functools import cache
from importlib import resources
from itertools import groupby

REGULAR, BOLD = "SourceSansPro", "SourceSansPro-Bold"
FILES = {REGULAR: "SourceSansPro-Regular.ttf", BOLD: "SourceSansPro-Bold.ttf"}


INSTEAD = "(name: see the page)"
"""What stands for letters that the typeface has not, where nothing better is known."""


def lacking(text: str) -> bool:
    """Whether the typeface has not all the letters of a text."""
    return any(ord(letter) not in _letters() for letter in text)


def printable(text: str) -> str:
    """The text, with a word for each run of letters that the typeface has not."""
    runs = groupby(text, lacking)
    return "".join(INSTEAD if lacks else "".join(run) for lacks, run in runs)


@cache
def _letters() -> frozenset[int]:
    """Those of both faces."""
    from reportlab.pdfbase import pdfmetrics

    registered()
    regular, bold = (
        set(pdfmetrics.getFont(name).face.charToGlyph)  # type: ignore[attr-defined]  # one of TrueType
        for name in FILES
    )
    return frozenset(regular & bold | {ord(c) for c in "\n\u00a0"})


def registered() -> None:
    """Make the typeface known to reportlab."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = pdfmetrics.getRegisteredFontNames()
    for name, file in FILES.items():
        if name not in known:
            path = resources.files("font_source_sans_pro") / "files" / file
            pdfmetrics.registerFont(TTFont(name, str(path)))
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)


def cut(text: str, room: float, font: str, size: float) -> str:
    """As much of a text as there is room for [pt]."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if stringWidth(text, font, size) <= room:
        return text
    while text and stringWidth(text + "…", font, size) > room:
        text = text[:-1]
    return text.rstrip() + "…"
