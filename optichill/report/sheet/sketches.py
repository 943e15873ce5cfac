"""The sketches of a coil's work: which there are, and what each shows in words."""

from __future__ import annotations

from optichill.fabrication import bends
from optichill.fabrication.markout import CROSSING
from optichill.fabrication.scene import Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry.risers import TRIM
from optichill.geometry.strips import how_many, strip_width, strips
from optichill.geometry.supports import foot_heights
from optichill.problem.windings import PACKING
from optichill.report.sheet.document import Figure, Figures, Section
from optichill.report.sheet.drawing import sketch
from optichill.report.sheet.drawing.tube import led_out
from optichill.report.sheet.marks import letter
from optichill.report.sheet.sizes import Sizes


def sketch_section(plan: WorkPlan, scene: Scene, sizes: Sizes) -> Section:
    """All that this coil asks for, in the order of work."""
    wound = [*_winding(plan, sizes), *_risers(plan, scene, sizes), *_between(plan, sizes)]
    found = [*wound, *_standing(plan, sizes), *_joints(plan)]
    return Section("The work in sketches", (Figures(tuple(found)),), new_page=True)


def _winding(plan: WorkPlan, sizes: Sizes) -> list[Figure]:
    piece = plan.pieces[0]
    layer, mark = piece.layers[0], letter(piece, "first")
    straight = piece.riser_in.length + TRIM
    return [
        Figure(
            lambda font: sketch.start_on_the_form(layer.D_form, layer.d_o, mark, sizes.length, font),
            f"The form of {sizes.length(layer.D_form)} from its end: the tube strapped on just behind mark "
            f"{mark}, the riser straight off it.",
            f"Starting: strap the tube down just behind mark {mark}; the riser stays straight.",
        ),
        Figure(
            lambda font: sketch.turning(layer.D_form, layer.d_o, straight, sizes.length, font),
            f"The form turning with the riser of {sizes.length(straight)} straight on it.",
            "Turning the form: the straight riser sweeps round with it.",
        ),
    ]


def _risers(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Figure]:
    layer, R_b, former = plan.pieces[0].layers[0], plan.tool.radius, bends.former(plan)
    led = max((led_out(scene, helix) for helix in scene.helices), default=0.0)
    pulled = f", led out by {sizes.length(led)} first" if led > 5e-4 else ""
    top = plan.layout.crossing
    turn, others = ("top turn of either layer", "under") if top else ("turn", "behind")
    return [
        Figure(
            lambda font: sketch.foot_bend(R_b, layer.d_o, layer.pitch, led, former, top, sizes.length, font),
            f"A riser's foot from outside: bent round {sizes.length(former)}{pulled}, the turns {others} it.",
            f"Foot bend: the end of the {turn}{pulled}, then square up.",
        )
    ]


def _between(plan: WorkPlan, sizes: Sizes) -> list[Figure]:
    """Strips and crossing of two layers of one tube."""
    if not plan.layout.crossing:
        return []
    (piece,) = plan.pieces
    inner, outer = piece.layers
    thick, carded = strips(inner.D_form, outer.D_form, inner.d_o, PACKING)
    strip, card = (float(thick), float(strip_width(inner.D_form, inner.d_o))), PACKING if carded else 0.0
    many = int(how_many(inner.D_form, outer.D_form, inner.d_o))
    over = " and card" if carded else ""
    marks = letter(piece, "inner last"), letter(piece, "outer first")
    run = next(x.length for x in piece.marks.segments if x.what == CROSSING)
    D, D_over, d_o, across = inner.D_form, outer.D_form, inner.d_o, sizes.length(outer.D_form)
    return [
        Figure(
            lambda font: sketch.between_layers(
                D, D_over, d_o, strip, card, plan.tool.radius, many, sizes.length, font
            ),
            f"The inner layer on its form from the end, {many} strips{over} round it, {across} across; the "
            "riser stands between two strips.",
            f"Strips{over} round the inner layer: they are the outer layer's form.",
        ),
        Figure(
            lambda font: sketch.crossing(D, D_over, d_o, marks, run, sizes.length, font),
            f"The form from the end where the inner layer ends: from mark {marks[0]} the tube leads outwards "
            f"in a quarter of a turn to mark {marks[1]} and goes on over the strips, the same way round.",
            "Crossing: outwards over the strips' ends, and back the same way round.",
        ),
    ]


def _standing(plan: WorkPlan, sizes: Sizes) -> list[Figure]:
    layer = plan.layers[0]
    d_o, pitch = layer.d_o, layer.pitch
    underside = float(plan.placement.lowest[0]) - d_o / 2.0
    told, short = (
        (
            "a doubled wire passes each on both sides and crosses between them",
            "cross the strands in every gap",
        )
        if layer.open
        else ("a loop of wire round all of them, between none", "one loop round all turns")
    )
    found = [
        Figure(
            lambda font: sketch.lacing(d_o, pitch, sizes.length, font),
            f"Three turns cut through: {told}.",
            f"Lacing: {short}, twist the ends.",
        )
    ]
    if plan.basis.brewhouse.kettle.coil_rests == "feet":
        tall = ", ".join(sizes.length(h) for h in foot_heights(underside, pitch).tolist())
        found.append(
            Figure(
                lambda font: sketch.feet(layer.diameter, d_o, pitch, underside, sizes.length, font),
                f"The lowest turn from the side on three feet a third of a turn apart: {tall} tall.",
                "Feet: a third of a turn apart, each taller, for the turn climbs.",
            )
        )
    if layer.combed:
        found.append(
            Figure(
                lambda font: sketch.combs(pitch, d_o, layer.beside, sizes.length, font),
                f"Three combs, 120 degrees apart, each {sizes.length(pitch / 3.0)} higher than the last.",
                "Combs: sawn in two along the holes, 120 degrees apart, each a third of a pitch higher.",
            )
        )
    return found


def _joints(plan: WorkPlan) -> list[Figure]:
    d_o = plan.tube.outer_diameter
    return [
        Figure(
            lambda font: sketch.hose_joint(d_o, False, font),
            "A hose pushed over a tube's end or a barb, a clamp round it.",
            "Hose joint: well over the end, clamp back from the hose's edge.",
        ),
        Figure(
            lambda font: sketch.hose_joint(d_o, True, font),
            "A length of hose on the OUT end, a bolt in its other end, a clamp round each.",
            "Test plug: a clamp on the tube, a clamp on the bolt.",
        ),
    ]
