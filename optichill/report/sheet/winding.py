"""From the straight tube to the relaxed coil: marking, winding, letting go, opening; one layer, or two of
one tube.

A nested coil is wound inner layer first, its foot bend made while a tool still reaches it; the outer layer
goes back over wooden strips tied round the inner one, as thick as its form asks for. No pot slides over the
riser that stands inside, and no finished layer folds into another (its far edge needs more than the bore).
Touching turns need no template of the wrap: it is for winding at the gap from the start, or to check.
"""

from __future__ import annotations

from optichill.display import trim
from optichill.fabrication.template import strips
from optichill.fabrication.work_plan import Piece, WorkPlan, WoundLayer
from optichill.problem.windings import PACKING
from optichill.report.sheet.marks import letter
from optichill.report.sheet.phrases import bend_words, form_words, open_end, turns_words, unwinds
from optichill.report.sheet.sizes import Sizes

Step = tuple[str, str]

STRIPS = 12
"""Strips between two layers while they are wound (OWN)."""


def wound_piece(plan: WorkPlan, piece: Piece, sizes: Sizes) -> list[Step]:
    """One tube, from its marks to the coil that is laced."""
    if len(piece.layers) == 2:
        return [_mark(piece), *_two_layers(plan, piece, sizes)]
    layer = piece.layers[0]
    which = f" the {piece.name} coil" if piece.name else ""
    first, last = letter(piece, "first"), letter(piece, "last")
    wind = (
        f"Wind{which} on the {form_words(layer, sizes)}: mark {first} where the tube first touches, the "
        f"riser straight off the form. Turn the form, not the tube; {trim(layer.turns_on_form)} turns, each "
        f"touching the last, to mark {last}, and half a turn on.",
        "Touching turns are even by themselves. The half turn more lets you bring the risers to their side."
        + _by_template(layer),
    )
    return [_mark(piece), wind, _cut_off(piece, sizes), *_let_go(layer, sizes), _open(piece, sizes)]


def _by_template(layer: WoundLayer, name: str = "wrap template") -> str:
    """The other way to wind, where the form is tall enough for it."""
    tall = layer.form is None or layer.form.height >= layer.template.height + layer.pitch
    if layer.gap < 1e-4 or not tall:
        return ""
    turned = ", its upper edge where the IN riser is," if layer.hand < 0 else ""
    both = " (then both layers so)" if "layer" in name else ""
    return (
        f" Or tape the {name} (appendix) round the form{turned} and wind along its lines{both}: then the gap "
        "is there from the start."
    )


def _mark(piece: Piece) -> Step:
    which = f" of the {piece.name} tube" if piece.name else ""
    last = letter(piece, "last")
    return (
        f"Set marks A to {last}{which} with a felt pen while the tube is straight, all measured from the "
        "free end, with a turn of tape where turns begin and end.",
        "Distances run from one end, so that no error adds up; along wound tube nothing can be measured.",
    )


def _cut_off(piece: Piece, sizes: Sizes) -> Step:
    behind = piece.marks.cut_length - piece.marks.ends[_last_turn(piece)]
    return (
        f"Cut the tube off the roll {sizes.length(behind)} behind where the winding ends; if the roll is "
        "shorter, leave what there is.",
        "That is the OUT riser with its trim; the half turn is to spare.",
    )


def _last_turn(piece: Piece) -> int:
    return max(n for n, s in enumerate(piece.marks.segments) if s.what == "turn")


def _let_go(layer: WoundLayer, sizes: Sizes) -> list[Step]:
    return [
        (
            f"Hold the tube, let it go slowly, and slide it off{open_end(layer)}. It springs open to about "
            f"{_range(layer, sizes)} and turns back by {unwinds(layer)}.",
            "Only the relaxed coil is the true one: everything after this is measured on it.",
        )
    ]


def _range(layer: WoundLayer, sizes: Sizes) -> str:
    low, high = (layer.relaxed(k) + layer.d_o for k in (layer.k_high, layer.k_low))
    across = sizes.length(layer.diameter + layer.d_o)
    return f"{across} across (from {sizes.length(low)} to {sizes.length(high)})"


def _open(piece: Piece, sizes: Sizes) -> Step:
    layer = piece.layers[-1]
    both = "both layers together " if len(piece.layers) == 2 else ""
    over = sizes.length(layer.turns * layer.pitch + layer.d_o)
    if layer.gap < 1e-4:
        return (
            f"Leave the turns touching: {over} tall. Lace them in three places with bare wire.",
            "Loose turns open by themselves when they are carried.",
        )
    return (
        f"Pull {both or 'it '}open to {over} over all {turns_words(layer.turns)} turns; each gap is then "
        f"about {sizes.length(layer.gap)} (try it with a stick of that thickness). Lace it in three places "
        "with bare copper or stainless wire, or slip it through three combs (appendix).",
        "The height decides; equal gaps let the wort through. Plastic ties soften, coated wire peels.",
    )


def _two_layers(plan: WorkPlan, piece: Piece, sizes: Sizes) -> list[Step]:
    """Down on the inner form, and back up over strips: the outer layer needs no form of its own to slide over
    the riser that stands inside it."""
    inner, outer = piece.layers
    first, a = letter(piece, "first"), letter(piece, "inner last")
    z, last = letter(piece, "outer first"), letter(piece, "last")
    strip, carded = strips(inner.D_form, outer.D_form, inner.d_o, PACKING)
    card = f", and a turn of card {sizes.length(PACKING)} thick over them" if carded else ""
    return [
        (
            f"Wind the inner layer on the {form_words(inner, sizes)}: mark {first} where the tube first "
            "touches, the riser straight off the form. Turn the form, not the tube; "
            f"{trim(inner.turns_on_form)} turns, each touching the last, to mark {a}. Leave it on the form, "
            "held fast.",
            "Touching turns are even by themselves." + _by_template(inner, "wrap template inner layer"),
        ),
        (
            f"Bend the IN riser's foot bend now: square, {bend_words(plan, sizes)}, so that the riser points "
            f"along the form, away from mark {a}.",
            "Under the outer layer no tool reaches it any more.",
        ),
        (
            f"Tie {STRIPS} straight wooden strips {sizes.length(strip)} thick evenly round the inner layer, "
            f"two of them beside the riser{card}. Across two opposite strips it must now measure "
            f"{sizes.length(outer.D_form)}, as the {form_words(outer, sizes)} does.",
            "The strips are the outer layer's form: no pipe has to slide over the riser.",
        ),
        (
            f"Lead the tube from mark {a} outwards over the strips' ends in a quarter of a turn to mark "
            f"{z}, and wind back over the strips, the same way round: {trim(outer.turns_on_form)} turns, "
            f"each touching the last, to mark {last}, and half a turn on.",
            "One tube, no joint under the wort: it goes down inside and up outside, so the layers climb "
            "opposite ways. The half turn more lets you bring the OUT riser to its side."
            + _by_template(outer, "wrap template outer layer"),
        ),
        _cut_off(piece, sizes),
        (
            f"Hold the tube, let it go slowly, slide the whole off the form{open_end(inner)}, and draw the "
            f"strips out. The outer layer springs open to about {_range(outer, sizes)}, the inner one to "
            f"{_range(inner, sizes)}.",
            "Only the relaxed coil is the true one: everything after this is measured on it.",
        ),
        _open(piece, sizes),
    ]
