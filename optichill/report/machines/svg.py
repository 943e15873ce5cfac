"""A flat drawing as SVG at true size: one unit is one millimetre."""

from __future__ import annotations

from html import escape

from optichill.report.machines.drawings import LETTERS, Drawing, Point

BORDER = 10.0
"""White round the piece [mm]."""

STROKES = {"CUT": "#ff0000", "SAW": "#00a000", "MARK": "#0000ff"}
"""Colours that cutters tell apart: red is cut, green last, blue is scored, black is read (common practice, no
source)."""


def svg(drawing: Drawing) -> bytes:
    """A drawing at true size, in millimetres, as SVG."""
    below = max((-y for _, (_, y), _ in drawing.read), default=0.0)
    wide = max([drawing.width, *(0.62 * LETTERS * len(text) for _, _, text in drawing.read)])
    width, height = wide + 2.0 * BORDER, drawing.height + below + 2.0 * BORDER
    base = drawing.height + BORDER

    def at(point: Point) -> str:
        return f"{point[0] + BORDER:.4f},{base - point[1]:.4f}"

    body = []
    for layer, colour in STROKES.items():
        body.append(f'<g id="{layer}" fill="none" stroke="{colour}" stroke-width="0.1">')
        for on, points, closed in drawing.lines:
            if on == layer:
                path = " L ".join(at(point) for point in points)
                body.append(f'<path d="M {path}{" Z" if closed else ""}"/>')
        for on, (x, y), radius in drawing.circles:
            if on == layer:
                body.append(f'<circle cx="{x + BORDER:.4f}" cy="{base - y:.4f}" r="{radius:.4f}"/>')
        body.append("</g>")
    for layer in ("TEXT", "TITLE"):
        body.append(f'<g id="{layer}" font-family="sans-serif" font-size="{LETTERS:g}">')
        for on, (x, y), text in drawing.read:
            if on == layer:
                body.append(f'<text x="{x + BORDER:.4f}" y="{base - y:.4f}">{escape(text)}</text>')
        body.append("</g>")
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" '
        f'viewBox="0 0 {width:.4f} {height:.4f}">'
    )
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        head,
        f"<title>{escape(drawing.title)}; {escape(drawing.stamp)}</title>",
        *body,
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode()
