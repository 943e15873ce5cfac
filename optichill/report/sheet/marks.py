"""The marks along the tube, in words: the few of the main page, and every turn."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import trim
from optichill.fabrication import markout
from optichill.fabrication.markout import Segment
from optichill.fabrication.pieces import Piece
from optichill.fabrication.work_plan import WorkPlan
from optichill.report.sheet.document import Table
from optichill.report.sheet.measure import BLANK
from optichill.report.sheet.sizes import Sizes

HEAD = ("mark", "from the IN end", "piece before it", "here", "measured")


def main_table(plan: WorkPlan, piece: Piece, sizes: Sizes) -> Table:
    """Trim, bends, first and last turn of one tube."""
    marks = sizes.rounded(piece.marks.grouped())
    rows = []
    for number, (segment, after, end) in enumerate(_with_next(marks.segments, marks.ends)):
        label = chr(ord("A") + number) if after is not None else "end"
        rows.append((label, sizes.mark(end), sizes.mark(segment.length), _here(plan, segment, after), BLANK))
    total = sizes.mark(marks.cut_length)
    which = f" of the {piece.name} tube" if piece.name else ""
    rows.append(("", total, total, "cut length: the pieces add up to it", ""))
    widths = (0.8, 1.9, 1.8, 5.2, 1.5)
    return Table(f"Marks{which}", HEAD, tuple(rows), widths, (1, 2), titled=bool(which))


def full_table(plan: WorkPlan, piece: Piece, sizes: Sizes) -> Table:
    """Every mark and every turn of one tube, wound on its form."""
    marks = sizes.rounded(piece.marks)
    rows = [
        (sizes.mark(end), sizes.mark(segment.length), _piece(plan, segment))
        for segment, end in zip(marks.segments, marks.ends, strict=True)
    ]
    rows.append((sizes.mark(marks.cut_length), sizes.mark(marks.cut_length), "sum: the cut length"))
    which = f" of the {piece.name} tube" if piece.name else ""
    head = ("ends at", "long", "this piece becomes")
    widths = (2.0, 2.0, 6.5)
    return Table(f"Every piece{which}", head, tuple(rows), widths, (0, 1), titled=bool(which))


@dataclass(frozen=True)
class RiserMarks:
    """Letters of one riser's marks: where it is cut, and both ends of each bend, `rim_up` and `foot_up`
    towards its upright, `foot_in` at the turns."""

    cut: str
    rim_out: str
    rim_up: str
    foot_up: str
    foot_in: str


def riser_marks(piece: Piece, name: str) -> RiserMarks:
    """Of the riser IN or OUT, by its place among the lettered marks."""
    count = len(piece.marks.grouped().segments)
    places = range(5) if name == "IN" else range(count - 2, count - 7, -1)
    return RiserMarks(*(chr(ord("A") + place) for place in places))


def after(mark: str) -> str:
    """The next letter."""
    return chr(ord(mark) + 1)


def letter(piece: Piece, place: str) -> str:
    """The letter of a mark of the main table: "first" and "last" of all turns, or "inner last" and "outer "
    "first"
    round the crossing of two layers."""
    found = [s.what for s in piece.marks.grouped().segments]
    turns = [n for n, what in enumerate(found) if what == markout.TURN]
    before = {
        "first": turns[0] - 1,
        "last": turns[-1],
        "inner last": turns[0],
        "outer first": turns[-1] - 1,
    }[place]
    return chr(ord("A") + before)


def _with_next(
    segments: tuple[Segment, ...], ends: tuple[float, ...]
) -> list[tuple[Segment, Segment | None, float]]:
    return list(zip(segments, (*segments[1:], None), ends, strict=True))


def _layer(plan: WorkPlan, name: str) -> str:
    return f" of the {name} layer" if name and len(plan.pieces) == 1 else ""


def _here(plan: WorkPlan, before: Segment, after: Segment | None) -> str:
    """What is done at a mark, between two pieces."""
    if after is None:
        return "end of the tube"
    if before.what == markout.TRIM_CUT:
        return f"{before.of}: trim, cut here at the end"
    if after.what == markout.TRIM_CUT:
        return f"{after.of}: trim, cut here at the end"
    if after.what in (markout.RIM_BEND, markout.FOOT_BEND) and before.what != markout.TURN:
        return f"{after.of}: {after.what} starts"
    if before.what in (markout.RIM_BEND, markout.FOOT_BEND) and after.what != markout.TURN:
        return f"{before.of}: {before.what} ends"
    if after.what == markout.TURN and before.what == markout.CROSSING:
        return "crossing ends, FIRST TURN of the outer layer starts"
    if after.what == markout.TURN:
        return f"{before.of}: foot bend ends, FIRST TURN{_layer(plan, after.of)} starts"
    if after.what == markout.CROSSING:
        return "LAST TURN of the inner layer ends, crossing starts"
    return f"LAST TURN{_layer(plan, before.of)} ends, {after.of}: foot bend starts"


PIECES = {
    markout.TRIM_CUT: "{of}: trim, cut off at the end",
    markout.LEVEL: "{of}: level part over the rim",
    markout.RIM_BEND: "{of}: rim bend",
    markout.UPRIGHT: "{of}: upright",
    markout.FOOT_BEND: "{of}: foot bend",
    markout.CROSSING: "crossing under the layers, not on a form",
}


def _piece(plan: WorkPlan, segment: Segment) -> str:
    if segment.what != markout.TURN:
        return PIECES[segment.what].format(of=segment.of)
    layer = f", {segment.of} layer" if segment.of and len(plan.pieces) == 1 else ""
    if segment.part < 0.995:
        return f"turn {segment.number}{layer}: {trim(segment.part, 2)} of a turn on the form"
    return f"turn {segment.number}{layer}, on the form"
