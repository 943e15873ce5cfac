"""What a laser, a plotter or a cutter makes of a coil: comb, feet and wrap template, flat and at true size.

Sizes here are millimetres, y upwards. Layers: CUT is cut through, SAW is sawn last, MARK is scored or
drawn, TEXT and TITLE are read; TITLE says to which coil the piece belongs.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from optichill.fabrication.feet import LACING_HOLE, Foot, hole
from optichill.fabrication.template import SpacerComb, WrapTemplate
from optichill.geometry.supports import FEET
from optichill.report.sheet.paper.comb import Comb
from optichill.report.sheet.paper.sizes import POINTS
from optichill.report.sheet.sizes import Sizes

MM = 1e3
LETTERS, LINE = 4.0, 1.8
"""Height of the text [mm]; from line to line, in heights."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Drawing:
    """A flat piece. lines : (layer, points, closed); circles : (layer, centre, radius); texts : (lower left
    corner, text), those for the reader under the piece [mm]; stamp : which coil it is of."""

    name: str
    title: str
    width: float
    height: float
    lines: tuple[tuple[str, tuple[Point, ...], bool], ...] = ()
    circles: tuple[tuple[str, Point, float], ...] = ()
    texts: tuple[tuple[Point, str], ...] = field(default=())
    stamp: str = ""

    @property
    def read(self) -> tuple[tuple[str, Point, str], ...]:
        """All that is read, by layer: the texts, and under them the stamp."""
        lowest = min((y for (_, y), _ in self.texts), default=0.0)
        stamp = ("TITLE", (0.0, lowest - LINE * LETTERS), self.stamp)
        return (*(("TEXT", at, text) for at, text in self.texts), *([stamp] if self.stamp else []))


def stamped(coil_id: str, what: str) -> str:
    """What every file says of itself."""
    return f"coil {coil_id}: {what.split(':')[0]}; scale 1:1, millimetres"


def _outline(width: float, height: float) -> tuple[str, tuple[Point, ...], bool]:
    return "CUT", ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), True


def _under(*lines: str) -> tuple[tuple[Point, str], ...]:
    return tuple(((0.0, -LINE * LETTERS * (n + 1)), line) for n, line in enumerate(lines))


def comb(name: str, comb: SpacerComb, which: str, sizes: Sizes) -> Drawing:
    """A bar as wide as on the sheet's paper, a hole for every turn as wide as the tube slips into, and along
    the holes the line by which it is sawn into the halves that go round the turns."""
    width, height = comb.length * MM, Comb(comb, sizes.length, sizes.units).height / POINTS * MM
    wide = hole(comb.d_o, sizes.units)
    title = f"Spacer comb{which}: make {FEET}"
    said = (
        f"{len(comb.centres)} holes of {_fine(wide, sizes)}, pitch {_fine(comb.pitch, sizes)}; saw in two "
        "along the line (layer SAW)"
    )
    return Drawing(
        name,
        title,
        width,
        height,
        (_outline(width, height), ("SAW", ((0.0, height / 2.0), (width, height / 2.0)), False)),
        tuple(("CUT", (x * MM, height / 2.0), wide / 2.0 * MM) for x in comb.centres),
        _under(title, said, BARE),
    )


def foot(name: str, foot: Foot, number: int, which: str, sizes: Sizes) -> Drawing:
    """A plate with a notch for the tube and two holes for the lacing."""
    width, tall, low = foot.width * MM, foot.tall * MM, foot.height * MM
    left, right = (width - foot.notch * MM) / 2.0, (width + foot.notch * MM) / 2.0
    corners = (
        (0.0, 0.0), (width, 0.0), (width, tall), (right, tall),
        (right, low), (left, low), (left, tall), (0.0, tall),
    )  # fmt: skip
    title = f"Foot {number}{which}: make 1, in place of a foot of wire"
    said = f"{_fine(foot.height, sizes)} under the tube; foot 1 at the start of the lowest turn, then thirds"
    return Drawing(
        name,
        title,
        width,
        tall,
        (("CUT", corners, True),),
        tuple(("CUT", (x * MM, y * MM), LACING_HOLE / 2.0 * MM) for x, y in foot.holes),
        _under(title, said, BARE),
    )


def template(name: str, wrap: WrapTemplate, which: str, sizes: Sizes) -> Drawing:
    """The unrolled form: the tube's middle turn by turn; the two short sides meet round the form."""
    width, height = wrap.width * MM, wrap.height * MM
    lines = tuple(
        ("MARK", ((x0 * MM, y0 * MM), (x1 * MM, y1 * MM)), False) for (x0, y0), (x1, y1) in wrap.lines()
    )
    numbers = tuple(
        ((LETTERS / 2.0, points[0][1] + LETTERS / 4.0), f"{n + 1}") for n, (_, points, _) in enumerate(lines)
    )
    title = f"Wrap template{which}: cut out, tape round the form, the short sides meet; this side down"
    said = f"{_fine(wrap.width, sizes)} round, rise {_fine(wrap.rise, sizes)} a turn, {wrap.turns:.4g} turns"
    return Drawing(
        name, title, width, height, (_outline(width, height), *lines), (), (*numbers, *_under(title, said))
    )


BARE = "stainless or copper sheet, bare: no plastic, wood or coating in the wort; deburr all edges"


def _fine(metres: float, sizes: Sizes) -> str:
    """As the bench says it, to a tenth of a millimetre or a thousandth of an inch: machines hold it."""
    return f"{metres / 0.0254:.3f} in" if sizes.units == "us" else f"{metres * MM:.1f} mm"
