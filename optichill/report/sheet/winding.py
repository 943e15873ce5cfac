"""From the straight tube to the relaxed coil: marking, winding, letting go, opening; one layer, or two of
one tube.

A nested coil is wound inner layer first, its foot bend made while a tool still reaches it; the outer layer
goes back over wooden strips tied round the inner one, as thick as its form asks for. No pot slides over the
riser that stands inside, and no finished layer folds into another (its far edge needs more than the bore).
Touching turns need no template of the wrap: it is for winding at the gap from the start, or to check.
"""

from __future__ import annotations

import math

from optichill.display import INCH, POUND, trim
from optichill.fabrication.markout import CROSSING
from optichill.fabrication.opening import Opening, opening
from optichill.fabrication.pieces import Piece
from optichill.fabrication.scene import Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry.strips import how_many, strip_width, strips
from optichill.problem.windings import PACKING
from optichill.report.sheet.bending import bent, former_step
from optichill.report.sheet.holding import held
from optichill.report.sheet.marks import after, letter
from optichill.report.sheet.measure import BLANK
from optichill.report.sheet.phrases import (
    called,
    counted,
    form_words,
    open_end,
    turns_words,
    unwinds,
)
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import winding_words
from optichill.unit_table import GRAVITY

Step = tuple[str, str]

HAND = 0.3
"""Straight tube beyond the first turn's mark, to hold it by [m] (OWN)."""


def wound_piece(plan: WorkPlan, piece: Piece, scene: Scene, sizes: Sizes) -> list[Step]:
    """One tube, from its marks to the coil that is open."""
    if len(piece.layers) == 2:
        return [*_mark(plan, piece, sizes), *_two_layers(plan, piece, scene, sizes)]
    layer = piece.layers[0]
    which = f" the {piece.name} coil" if piece.name else ""
    first, last = letter(piece, "first"), letter(piece, "last")
    half, why = _half_turn_more(plan)
    wind = (
        f"Wind{which} on the {form_words(layer, sizes)}: mark {first} where the tube first touches, "
        "strapped or clamped down just behind it, a line along the form there, the riser straight off the "
        "form. Turn the form, not the tube; "
        f"{counted(layer.turns_on_form)}, each touching the last, to mark {last} (set it there now if you "
        f"wind off the roll){half}.",
        f"Touching turns are even by themselves.{why}{_by_template(plan, layer)}",
    )
    return [
        *_mark(plan, piece, sizes),
        *_packed(layer, sizes),
        wind,
        _cut_off(plan, piece, sizes),
        *_let_go(layer, sizes),
        *_open(plan, piece, scene, sizes),
    ]


def _half_turn_more(plan: WorkPlan) -> tuple[str, str]:
    """The half turn to spare, where the roll gives it."""
    if not plan.has_spare:
        return ", and no further", ""
    return ", and half a turn on", " The half turn more lets you bring the OUT riser to its side."


def _by_template(plan: WorkPlan, layer: WoundLayer) -> str:
    """The other way to wind, where the forms are tall enough for it."""
    if not plan.by_template(layer):
        # Of two layers of one tube it is said once, where the form is.
        short = layer.open and not layer.on_strips
        return " No template is printed: its form is too short for turns at their gap." if short else ""
    name = f"wrap template {called(plan, layer)}".rstrip()
    turned = ", its upper edge where the IN riser is," if layer.hand < 0 else ""
    under = "strips" if layer.on_strips else "form"
    both = " (then both layers so)" if plan.layout.crossing else ""
    return (
        f" Better, if you print it: tape the {name} (last pages) round the {under}{turned} and wind along "
        f"its lines{both}; then the gap is in the turns from the start, and nothing has to be pulled."
    )


def _packed(layer: WoundLayer, sizes: Sizes) -> list[Step]:
    """Card round the form, measured by itself."""
    if not layer.wraps:
        return []
    times = {1: "one wrap", 2: "two wraps"}[layer.wraps]
    return [
        (
            f"Pack out the form: {times} of {winding_words.card(sizes.units)}, taped, butted not lapped, "
            f"until it measures {sizes.length(math.pi * layer.D_form)} round, "
            f"{sizes.length(layer.D_form)} across. Measured round: {BLANK}.",
            "The coil is as wide as its form; a sheet of card more or less is quickly done now, not later.",
        )
    ]


def _mark(plan: WorkPlan, piece: Piece, sizes: Sizes) -> list[Step]:
    which = f" of the {piece.name} tube" if piece.name else ""
    called = f"{piece.name} tube{_off(plan, piece, sizes)}" if piece.name else "tube"
    first, last = letter(piece, "first"), letter(piece, "last")
    ends = piece.marks.rounded(plan.step).ends
    start = sizes.long(ends[4] + HAND)
    floor = sizes.long(piece.marks.cut_length + (piece.spare if plan.has_spare else 0.0))
    around = math.pi * sum(layer.turns_on_form for layer in piece.layers)
    millimetre = sizes.length(around * (1e-3 if sizes.units == "metric" else INCH / 16.0))
    by = "millimetre" if sizes.units == "metric" else "sixteenth of an inch"
    return [
        (
            f"Unroll the {called} flat along the floor, a foot on its "
            f"free end, the roll standing up. Two ways, choose one. OFF THE ROLL: only the first {start}; "
            f"the rest stays on the roll, and turns are counted. ON THE FLOOR: all of {floor} in a straight "
            "run, where you have it. Do not cut it yet.",
            "Pulled off sideways it twists and work-hardens; what is cut too early is too short.",
        ),
        (
            f"Set marks A to {first}{which} (on the floor A to {last}) with a felt pen while the tube is "
            "straight, all measured from the free end, with a turn of tape where turns begin and end. "
            "Write down what you set.",
            "Distances run from one end, so that no error adds up. Counting is as good as the form is "
            f"true: a {by} more across takes {millimetre} more tube.",
        ),
    ]


def _off(plan: WorkPlan, piece: Piece, sizes: Sizes) -> str:
    """Of which roll a tube is, where they are of two lengths."""
    if not plan.two_lengths:
        return ""
    tube = plan.cut_from[plan.pieces.index(piece)]
    return f", of the {sizes.long(tube.length)} roll,"


def _cut_off(plan: WorkPlan, piece: Piece, sizes: Sizes) -> Step:
    last = letter(piece, "last")
    behind = piece.marks.cut_length - piece.marks.ends[_last_turn(piece)]
    if not plan.has_spare:
        return (
            f"All tube behind mark {last} is the OUT riser: {sizes.length(behind)} with its trim. Cut off "
            "what is over.",
            "The roll has no half turn to spare.",
        )
    return (
        f"Cut the tube off the roll {sizes.length(behind)} behind where the winding ends.",
        f"That is the OUT riser with its trim, beyond the half turn to spare; marks {after(last)} and on "
        "are set when the riser is made.",
    )


def _last_turn(piece: Piece) -> int:
    return max(n for n, s in enumerate(piece.marks.segments) if s.what == "turn")


def _let_go(layer: WoundLayer, sizes: Sizes) -> list[Step]:
    return [
        (
            f"Hold the tube, undo the strap, let it go slowly, and slide it off{open_end(layer)}. It springs "
            f"open to about {_range(layer, sizes)} and turns back by {unwinds(layer)}. Measure across, and "
            "write it down (What springback does).",
            "Only the relaxed coil is the true one: everything after this is measured on it.",
        )
    ]


def _range(layer: WoundLayer, sizes: Sizes) -> str:
    low, high = (layer.relaxed(k) + layer.d_o for k in (layer.k_high, layer.k_low))
    across = sizes.length(layer.diameter + layer.d_o)
    return f"{across} across (from {sizes.length(low)} to {sizes.length(high)})"


def _open(plan: WorkPlan, piece: Piece, scene: Scene, sizes: Sizes) -> list[Step]:
    """Opened to its height, and held there."""
    layer = piece.layers[-1]
    both = "both layers together " if len(piece.layers) == 2 else ""
    alike = len({(round(each.turns, 3), round(each.pitch, 5)) for each in piece.layers}) == 1
    over = " and ".join(
        f"{sizes.length(each.turns * each.pitch + each.d_o)} over all {turns_words(each.turns)} turns"
        + ("" if alike else f" of the {'outer' if each is plan.layers[0] else 'inner'} layer")
        for each in (piece.layers[-1:] if alike else piece.layers)
    )
    hold = held(plan, piece, scene, sizes)
    if not layer.open:
        stays = "Loose turns open by themselves when they are carried. The end half turns are bent first."
        return [(f"Leave the turns touching: {over}. {hold}", stays)]
    found = [opening(plan, each) for each in piece.layers]
    outer = found[-1]
    pull = "Wound along the template it stands nearly so; else pull" if plan.by_template(layer) else "Pull"
    return [
        (
            f"{pull} {both or 'it '}open to {over}; each gap is then "
            f"about {_gaps(plan, piece, sizes)} (try it with a stick of that thickness). "
            f"{_held(found, sizes)}",
            f"The height decides; equal gaps let the wort through.{_springs_shut(outer, sizes)}",
        ),
        (hold, "Plastic ties soften, coated wire peels. The end half turns are bent first."),
    ]


def _gaps(plan: WorkPlan, piece: Piece, sizes: Sizes) -> str:
    """The gap of a tube's turns, of each of its layers where they differ."""
    told = {called(plan, layer): sizes.length(layer.gap) for layer in reversed(piece.layers)}
    if len(set(told.values())) == 1:
        return next(iter(told.values()))
    return " and ".join(f"{gap} in the {name}" for name, gap in told.items())


def _held(found: list[Opening], sizes: Sizes) -> str:
    """How turns that were wound touching come to stay open."""
    if found[-1].stays:
        return "It stays there by itself."
    kilograms = sum(each.force for each in found) / GRAVITY
    weight = f"{trim(kilograms / POUND)} lb" if sizes.units == "us" else f"{trim(kilograms)} kg"
    return f"Wound touching it is springy: hold it there, by some {weight}, until it is laced."


def _springs_shut(outer: Opening, sizes: Sizes) -> str:
    """What it does unlaced, and how far it would have to be pulled to stay."""
    if outer.stays:
        return ""
    usual, least, most = (sizes.length(height) for height in outer.over)
    return (
        f" Let go unlaced it would close to {sizes.length(outer.closed)} again; to stay by itself it would "
        f"have to be pulled to about {usual} ({least} to {most}), which comes out uneven."
    )


def _two_layers(plan: WorkPlan, piece: Piece, scene: Scene, sizes: Sizes) -> list[Step]:
    """Down on the inner form, and back up over strips: the outer layer needs no form of its own to slide over
    the riser that stands inside it."""
    inner, outer = piece.layers
    first, a = letter(piece, "first"), letter(piece, "inner last")
    z, last = letter(piece, "outer first"), letter(piece, "last")
    half, why = _half_turn_more(plan)
    crossing = next(x.length for x in piece.marks.segments if x.what == CROSSING)
    thick, carded = strips(inner.D_form, outer.D_form, inner.d_o, PACKING)
    strip, many = float(thick), int(how_many(inner.D_form, outer.D_form, inner.d_o))
    card = winding_words.card(sizes.units)
    over = f", and one wrap of {card} over them, its seam at the riser" if carded else ""
    with_card = ", card and all," if carded else ""
    then_card = ", and the card after them" if carded else ""
    return [
        *_packed(inner, sizes),
        (
            f"Wind the inner layer on the {form_words(inner, sizes)}; begin at the end over which the form "
            f"will come off. Mark {first} lies where the tube first "
            "touches, strapped or clamped down just behind it, the riser straight off the form. Turn "
            f"the form, not the tube; {counted(inner.turns_on_form)}, each touching the last, to mark {a} "
            "(set it there now if you wind off the roll). Leave it on the form, held fast by a second strap.",
            "Touching turns are even by themselves." + _by_template(plan, inner),
        ),
        former_step(plan, sizes),
        (
            "Now the IN riser: move the strap to the second turn, and lift the start of the first turn a "
            "hand's width off the form. "
            f"{bent(plan, piece, piece.riser_in, 'along the form, away from mark ' + a)} Lay the turn back "
            "on.",
            "Under the outer layer no tool reaches it any more. It points the way the coil comes off, "
            "clear of what is at the other end of the form.",
        ),
        (
            "Wind strong tape tightly three times round the two turns at either end: it holds them. Then "
            f"take both straps off, and tie {many} straight wooden strips {sizes.length(strip)} thick and "
            f"no wider than {sizes.off(float(strip_width(inner.D_form, inner.d_o)))} evenly round the inner "
            f"layer, two of them beside the riser, with thin string round both their ends{over}. Across two "
            f"opposite strips{with_card} it must now measure {sizes.length(outer.D_form)}.",
            "The strips are the outer layer's form: no pipe has to slide over the riser. Wider ones stand "
            "proud at their edges, and a strap under them would too.",
        ),
        (
            f"Lead the tube from mark {a} outwards over the strips' ends in a quarter of a turn to mark "
            f"{z}, {sizes.length(crossing)} on along the tube, and wind back over the strips, the same way "
            f"round: {counted(outer.turns_on_form)}, each touching the last, to mark {last}{half}.",
            "One tube, no joint under the wort: it goes down inside and up outside, so the layers climb "
            f"opposite ways.{why}" + _by_template(plan, outer),
        ),
        _cut_off(plan, piece, sizes),
        (
            "Hold the tube, let it go slowly. Cut string and tape at both ends, with a knife between two "
            f"strips, so that the inner layer opens too; slide the whole off the form{open_end(inner)}, then "
            f"draw the strips out at the IN riser's end{then_card}, and pull off all tape. The outer layer "
            f"springs open to about {_range(outer, sizes)}, the inner one to {_range(inner, sizes)}. Measure "
            "both, and write them down (What springback does).",
            "Only the relaxed coil is the true one: everything after this is measured on it. At the other "
            "end the crossing lies over the strips.",
        ),
        *_open(plan, piece, scene, sizes),
    ]
