"""Drawings and the coil's middle line as DXF (R2010, millimetres), the same bytes from the same input."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from optichill.fabrication.centre_line import CentreLine
from optichill.report.machines.drawings import LETTERS, LINE, MM, Drawing

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

COLOURS = {"CUT": 1, "SAW": 3, "MARK": 5, "TEXT": 7, "TITLE": 8, "TURNS": 1, "RISERS": 5}
"""Layers and their colours: red, green, blue, black on white, grey."""


def flat(drawing: Drawing) -> bytes:
    """A flat drawing."""

    def draw(document: Document) -> None:
        space = document.modelspace()
        for layer, points, closed in drawing.lines:
            space.add_lwpolyline(points, close=closed, dxfattribs={"layer": layer})
        for layer, centre, radius in drawing.circles:
            space.add_circle(centre, radius, dxfattribs={"layer": layer})
        for layer, corner, text in drawing.read:
            space.add_text(text, height=LETTERS, dxfattribs={"layer": layer, "insert": corner})

    return _written(("CUT", "SAW", "MARK", "TEXT", "TITLE"), draw)


def middle(lines: Iterable[CentreLine], stamp: str) -> bytes:
    """The middle line of every tube in space: turns with their crossing, and risers; before it the stamp."""

    def draw(document: Document) -> None:
        space = document.modelspace()
        lowest = 0.0
        for line in lines:
            for what, points in line.parts:
                layer = "RISERS" if what == "riser" else "TURNS"
                space.add_polyline3d((points * MM).tolist(), dxfattribs={"layer": layer})
                lowest = min(lowest, float(points[:, 1].min()) * MM)
        at = (0.0, lowest - 2.0 * LINE * LETTERS)
        space.add_text(stamp, height=LETTERS, dxfattribs={"layer": "TITLE", "insert": at})

    return _written(("TURNS", "RISERS", "TITLE"), draw)


def _written(layers: Iterable[str], draw: Callable[[Document], None]) -> bytes:
    import ezdxf

    # Dates and identities of the library's own would make every file another one.
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2010", units=ezdxf.units.MM)
        for layer in layers:
            document.layers.add(layer, color=COLOURS[layer])
        draw(document)
        out = io.StringIO()
        document.write(out)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
    return out.getvalue().encode(document.output_encoding)
