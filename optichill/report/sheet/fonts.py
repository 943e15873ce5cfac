"""One typeface that has the letters of most stock lists, boxes to tick and fractions; embedded, so that every
printer has it.

Source Sans Pro, from the package `font-source-sans-pro`: a PDF's own Helvetica has neither the letters of
many lists nor boxes to tick.
"""

from __future__ import annotations

from importlib import resources

REGULAR, BOLD = "SourceSansPro", "SourceSansPro-Bold"
FILES = {REGULAR: "SourceSansPro-Regular.ttf", BOLD: "SourceSansPro-Bold.ttf"}


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
