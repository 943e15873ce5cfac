"""The order of work, each step with its reason.

Foot bends are made on the bench, by the marks: a riser that is still straight lies along a tangent and does
not go into the kettle. The coil then stands in the kettle for its rim bends. Where hardly any straight is
left between the two bends, the sheet says to make the rim bend first.
"""

from __future__ import annotations

import math

from optichill.display import FOOT, trim
from optichill.fabrication.clocking import clock
from optichill.fabrication.scene import Scene
from optichill.fabrication.work_plan import Piece, WorkPlan
from optichill.geometry import kinking, risers
from optichill.report.sheet import joining
from optichill.report.sheet.phrases import bend_words
from optichill.report.sheet.sizes import Sizes
from optichill.report.sheet.winding import wound_piece

Step = tuple[str, str]

SCRAP = 0.3
"""Length of the piece that is bent first to see what the tube does [m] (common practice, no source)."""


def steps(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Step]:
    """All of it, from the roll to the finished coil."""
    work = [_scrap(plan, sizes), _unroll(plan)]
    work += _fill(plan)
    for piece in plan.pieces:
        work += wound_piece(plan, piece, sizes)
    work += joining.standing(plan, sizes)
    work += _risers(plan, scene, sizes)
    work += _together(plan, scene)
    work += _ends(plan, sizes)
    work += joining.joints(plan, scene, sizes)
    return work


def _scrap(plan: WorkPlan, sizes: Sizes) -> Step:
    rho = min(layer.rho for layer in plan.layers)
    scrap = SCRAP if sizes.units == "metric" else FOOT
    spare = plan.rolls * plan.tube.length - plan.cut_length - sum(piece.spare for piece in plan.pieces)
    where = "off the inner end of the roll" if plan.listed and spare > scrap else "of the same tube"
    tightest = min(plan.layers, key=lambda layer: layer.on_form)
    margin = str(kinking.winding_class(rho))
    verdict = {
        "free": "it should go round without a mark",
        "scrap test first": "it is not far from its kink limit: if it ripples or goes flat, stop",
        "filled or grooved roller": "it is close to its kink limit: try it filled, as you will wind it",
    }.get(margin, "it is tighter than this tube takes")
    return (
        f"Bend a scrap: {sizes.length(scrap)} {where}, by hand, round the {sizes.length(tightest.D_form)} "
        f"form; {verdict}.",
        f"No published figures exist for tube wound by hand; the radius is {trim(rho)} times the reckoned "
        "limit, the scrap has the last word.",
    )


def _unroll(plan: WorkPlan) -> Step:
    return (
        "Unroll the tube flat along the floor, a foot on its free end, the roll standing up. Do not cut it "
        "to length yet.",
        "Pulled off sideways it twists and work-hardens; what is cut too early is too short.",
    )


def _fill(plan: WorkPlan) -> list[Step]:
    if min(layer.rho for layer in plan.layers) >= 1.0:
        return []
    return [
        (
            "Fill the tube with dry salt or fine dry sand, tapped down until it takes no more, both ends "
            "plugged; or wind it over a grooved roller.",
            "The filling keeps the tube round. Never heat it while it is filled or closed: it bursts.",
        )
    ]


def _risers(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Step]:
    """Foot bends on the bench, for straight risers would not go into the kettle; rim bends as it asks."""
    work: list[Step] = []
    for number, piece in enumerate(plan.pieces):
        second = " 2" if number else ""
        work += [_first_riser(plan, piece, sizes, second), _last_riser(piece, scene, sizes, second)]
    return [*work, *_rim_bends(plan, sizes)]


def _rim_bends(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    rim = sizes.length(plan.basis.brewhouse.kettle.inside_height + risers.ABOVE_RIM)
    near = [p.what for p in plan.basis.parts if p.where == "wall"]
    turn = f" Turn it so that no riser comes before the {' or the '.join(near)}." if near else ""
    coils = "each coil" if len(plan.pieces) > 1 else "the coil"
    return [
        (
            f"Stand {coils} EMPTY and dry in the cold kettle, where it will stand in the wort, evenly off "
            f"the "
            f"wall.{turn} Mark the rim bends on the upright risers: the level parts lie {rim} above the "
            f"floor inside, "
            f"{sizes.length(risers.ABOVE_RIM)} over the rim, so each bend starts one radius, "
            f"{sizes.length(plan.tool.radius)}, below that.",
            "The kettle is the best ruler. Your first turn is where it came out, not where the table put it; "
            "the "
            "table is the check, and more than a finger's width between them means: measure again.",
        ),
        (
            f"Lift it out and make the rim bends, square, outwards, {bend_words(plan, sizes)}: IN first, "
            "then OUT.",
            "Over the rim they carry the joints outside; made last, they take up what the rest left over.",
        ),
    ]


def _first_riser(plan: WorkPlan, piece: Piece, sizes: Sizes, second: str) -> Step:
    if not plan.from_below(piece.riser_in):
        return (
            f"IN{second} riser: its foot bend is made. See that it stands upright, inside the outer layer.",
            "It was bent while a tool still reached it.",
        )
    return (
        f"IN{second} riser, on the bench: {_past_the_turns(plan, piece, sizes)}the foot bend, square up "
        f"along the turns, "
        f"{bend_words(plan, sizes)}.",
        "This riser fixes how the coil stands; the other is still free to follow. A straight riser would not "
        "go into "
        "the kettle.",
    )


def _past_the_turns(plan: WorkPlan, piece: Piece, sizes: Sizes) -> str:
    """How a riser from the lowest turn gets past the turns above it."""
    layer, riser = piece.layers[0], piece.riser_in
    if not plan.from_below(riser):
        return ""
    if plan.basis.brewhouse.workshop.riser == "inside":
        return "lead the end of the lowest turn in by a tube's width and a finger, for it goes up inside; "
    pulled = float(risers.pulled_out(layer.diameter / 2.0, riser.bend_radius, layer.d_o, layer.pitch))
    if pulled < 5e-4:
        return ""
    return (
        f"pull the end of the lowest turn outwards by {sizes.length(pulled)}, so that the riser passes "
        "outside the turns; "
    )


def _last_riser(piece: Piece, scene: Scene, sizes: Sizes, second: str) -> Step:
    by_name = {riser.name: riser for riser in scene.risers}
    turned = (by_name[f"OUT{second}"].angle - by_name[f"IN{second}"].angle) % (2.0 * math.pi)
    at = clock(turned)
    across = math.dist(
        *(
            _place(by_name[f"{name}{second}"].angle, by_name[f"{name}{second}"].radius)
            for name in ("IN", "OUT")
        )
    )
    return (
        f"OUT{second} riser: open the spare half turn until the riser comes out where you want it; as "
        f"planned, seen from above with IN{second} at 6 o'clock, that is {at} if the tube climbs against the "
        f"clock (else its mirror image), {sizes.length(across)} from riser to riser. There the foot bend, "
        "square up.",
        "The upper end is the free one: it takes up what the springback left over.",
    )


def _place(angle: float, radius: float) -> tuple[float, float]:
    return radius * math.cos(angle), radius * math.sin(angle)


def _together(plan: WorkPlan, scene: Scene) -> list[Step]:
    if not plan.layout.tees:
        return []
    by_name = {riser.name: riser for riser in scene.risers}
    turned = (by_name["IN 2"].angle - by_name["IN"].angle) % (2.0 * math.pi)
    return [
        (
            "Lower the inner coil into the outer one, both on their feet, and turn it until IN 2 stands at "
            f"{clock(turned)} when IN is at 6 o'clock. Lace the two together at the top, the layers evenly "
            "apart.",
            "So no two risers come out in one place, and the inner one's riser climbs between the layers.",
        ),
    ]


def _ends(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    emptied = " Tap out and rinse out all of the filling." if _fill(plan) else ""
    return [
        (
            f"Cut {sizes.length(risers.TRIM)} of trim off each end with a tube cutter, ream the cut, and "
            f"flush the tube with hot water.{emptied}",
            "The ends were held, plugged or flattened; shavings block a valve.",
        ),
        (
            f"{joining.ends(plan)} Tag them IN and OUT.",
            "Water in at IN; a coil run the other way round still chills, but not as reckoned."
            if plan.layout.crossing
            else "Water in at the bottom drives the air out.",
        ),
    ]
