"""The order of work, each step with its reason.

Foot bends are made on the bench, by the marks: a riser that is still straight lies along a tangent and does
not go into the kettle. Between the turns no tool has room, so the half turn at the bend is swung well out
first. The coil then stands in the kettle for its rim bends, but those that came before their foot bend
(`bends.rim_first`). The OUT riser is marked anew where its turn really ends, and both ends are cut last.
"""

from __future__ import annotations

import math

from optichill.fabrication import bends
from optichill.fabrication.clocking import clock
from optichill.fabrication.markout import LEVEL, Riser
from optichill.fabrication.pieces import Piece
from optichill.fabrication.scene import Scene
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry import risers
from optichill.report.sheet import joining, through
from optichill.report.sheet.bending import bent, former_step
from optichill.report.sheet.holding import end_turns
from optichill.report.sheet.made_form import made
from optichill.report.sheet.marks import letter, riser_marks
from optichill.report.sheet.phrases import in_the_tool
from optichill.report.sheet.scrap import scrap
from optichill.report.sheet.sizes import Sizes
from optichill.report.sheet.winding import wound_piece

Step = tuple[str, str]


def steps(plan: WorkPlan, scene: Scene, sizes: Sizes) -> list[Step]:
    """All of it, from the roll to the finished coil."""
    work = [step for layer in reversed(plan.layers) for step in made(plan, layer, sizes)]
    work += [scrap(plan, sizes), *_fill(plan)]
    for piece in plan.pieces:
        work += wound_piece(plan, piece, scene, sizes)
    work += through.tried(plan, sizes)
    if not plan.layout.crossing:  # with two layers of one tube it comes before the first bend, on the form
        work.append(former_step(plan, sizes))
    for number, piece in enumerate(plan.pieces):
        second = " 2" if number else ""
        work += [_first_riser(plan, piece, sizes, second), _last_riser(plan, piece, scene, sizes, second)]
    work += end_turns(plan)
    work += joining.standing(plan, sizes)
    work += _rim_bends(plan, sizes)
    work += _together(plan, scene)
    work += _ends(plan, sizes)
    work += joining.joints(plan, scene, sizes)
    return work


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


def _rim_bends(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    """In the kettle, which is the best ruler, for all risers whose rim bend was not made before."""
    kettle = plan.basis.brewhouse.kettle
    rim, over = sizes.length(kettle.inside_height + risers.ABOVE_RIM), sizes.length(risers.ABOVE_RIM)
    near = [p.what for p in plan.basis.parts if p.where == "wall"]
    turn = f" Turn it so that no riser comes before the {' or the '.join(near)}." if near else ""
    coils = "each coil" if len(plan.pieces) > 1 else "the coil"
    stand = (
        f"Stand {coils} EMPTY and dry in the cold kettle, where it will stand in the wort, "
        f"{through.stands(plan, sizes)}."
    )
    to_bend = [
        (f"{riser.name}{' 2' if piece.name == 'inner' else ''}", riser_marks(piece, riser.name))
        for piece in plan.pieces
        for riser in (piece.riser_in, piece.riser_out)
        if not bends.rim_first(plan, piece, riser)
    ]
    if not to_bend:
        return [
            (
                f"{stand}{turn} The level parts must lie {over} over the rim, {rim} above the floor inside.",
                "More than a finger's width off means: measure again before anything is cut.",
            )
        ]
    anew = " and ".join(f"{m.rim_up} of {name}" for name, m in to_bend)
    ends = " and ".join(m.rim_out for _, m in to_bend)
    bend = sizes.mark(round(plan.pieces[0].riser_in.arc / plan.step) * plan.step)
    made = "; then ".join(
        f"{name} {in_the_tool(plan, m.rim_out, m.rim_up, 'free end')}" for name, m in to_bend
    )
    done = (
        " The bend that is made shows whether it stands right." if len(to_bend) < 2 * len(plan.pieces) else ""
    )
    return [
        (
            f"{stand}{turn} Mark the rim bends on the upright risers: the level parts lie {rim} above the "
            f"floor inside, {over} over the rim, so each bend starts one radius, "
            f"{sizes.length(plan.tool.radius)}, below that. Set there anew mark {anew}, and {ends} where the "
            f"bend ends, {bend} on along the tube.{done}",
            "The kettle is the best ruler. The table is the check, and more than a finger's width between "
            "them means: measure again.",
        ),
        (
            f"Lift {'each' if len(plan.pieces) > 1 else 'it'} out and make the rim bends, square, outwards: "
            f"{made}.{_off_the_turns(plan)}",
            "Over the rim they carry the joints outside; made last, they take up what the rest left over.",
        ),
    ]


def _off_the_turns(plan: WorkPlan) -> str:
    """Pulled outwards over a former, a riser beside the turns leans in on them; a lever bender holds it."""
    if plan.tool.kind == "lever" or plan.basis.brewhouse.workshop.riser == "inside" or plan.layout.crossing:
        return ""
    return " A strip of wood between IN and the turns keeps it from leaning in."


def _first_riser(plan: WorkPlan, piece: Piece, sizes: Sizes, second: str) -> Step:
    riser = piece.riser_in
    if not plan.from_below(riser):
        return (
            f"IN{second} riser: its foot bend is made. See that it stands upright, inside the outer layer.",
            "It was bent while a tool still reached it.",
        )
    R_c, mark = piece.layers[0].diameter / 2.0, letter(piece, "first")
    apart = sizes.length(abs(plan.axis(piece, riser) - R_c) - plan.tube.outer_diameter)
    if plan.basis.brewhouse.workshop.riser == "inside":
        m = riser_marks(piece, "IN")
        return (
            f"IN{second} riser, inside the turns: swing the lowest half turn down and away from the others, "
            "and lead the riser up through the turns from below, by hand, in one wide sweep. Straighten "
            f"it, and close the foot bend by hand, square, from {m.foot_up} to {m.foot_in}: it stands "
            f"{apart} free of the turns.",
            'No tool reaches it there; should the sweep come out too tight, say riser = "outside" in the '
            "brewhouse file and ask again.",
        )
    return (
        f"IN{second} riser, on the bench: swing the lowest half turn out, flat, until mark {mark} stands "
        f"two hands' widths from the other turns. {bent(plan, piece, riser, 'up along the turns')} Swing "
        f"the half turn back until the riser passes outside the turns, {apart} free of "
        f"them{_farther_out(piece.layers[0], riser, plan, sizes)}.",
        "Between the turns no tool has room. A straight riser would not go into the kettle. This riser "
        "fixes how the coil stands; the other is still free to follow.",
    )


def _farther_out(layer: WoundLayer, riser: Riser, plan: WorkPlan, sizes: Sizes) -> str:
    """Where the end of the lowest turn stands, so that its riser passes the turns above."""
    R_c, d_o = layer.diameter / 2.0, plan.tube.outer_diameter
    pulled = float(risers.pulled_out(R_c, riser.bend_radius, d_o, layer.pitch))
    return "" if pulled < 5e-4 else f", the end of the turn {sizes.length(pulled)} farther out than they"


def _last_riser(plan: WorkPlan, piece: Piece, scene: Scene, sizes: Sizes, second: str) -> Step:
    by_name = {riser.name: riser for riser in scene.risers}
    start, end = by_name[f"IN{second}"], by_name[f"OUT{second}"]
    at = clock((end.angle - start.angle) % (2.0 * math.pi))
    across = math.dist(_place(start.angle, start.radius), _place(end.angle, end.radius))
    m, spare = riser_marks(piece, "OUT"), plan.has_spare
    sooner = bends.too_near(start, end)
    aside = ""
    if sooner > 0.0:
        aside = (
            f" That is too near for a hand and its tool: end the turn {sizes.length(sooner)} sooner along "
            f"the tube, so that {sizes.length(bends.HAND)} lie from riser to riser."
        )
    where = "there anew" if spare else "there anew, if that is no farther along the tube than it was"
    straighten = f"Straighten the tube behind {m.foot_in} by hand, over the knee; swing" if spare else "Swing"
    stays = f" What was wound to spare stays on behind mark {m.cut} until the ends are cut." if spare else ""
    return (
        f"OUT{second} riser: seen from above with IN{second} at 6 o'clock it stands near {at} if the tube "
        f"climbs against the clock (else its mirror image), {sizes.length(across)} from riser to riser."
        f"{aside} Its turn ends one radius, {sizes.length(plan.tool.radius)}, before that: set mark "
        f"{m.foot_in} {where}, and on from it along the tube {_on_from(plan, piece, sizes)}. {straighten} "
        "the last half turn two hands' widths out. "
        f"{bent(plan, piece, piece.riser_out, 'up, away from the turns')} Swing it back.",
        f"The upper end is the free one: it takes up what the springback left over.{stays}",
    )


def _on_from(plan: WorkPlan, piece: Piece, sizes: Sizes) -> str:
    """The marks of the OUT riser, counted from where its turn ends."""
    grouped = piece.marks.grouped()
    ends = sizes.rounded(grouped).ends
    last = letter(piece, "last")
    first = ord(last) - ord("A")
    told = [
        f"{chr(ord('A') + n)} at {sizes.mark(ends[n] - ends[first])}" for n in range(first + 1, len(ends) - 1)
    ]
    return ", ".join(told)


def _place(angle: float, radius: float) -> tuple[float, float]:
    return radius * math.cos(angle), radius * math.sin(angle)


def _together(plan: WorkPlan, scene: Scene) -> list[Step]:
    if not plan.layout.tees:
        return []
    by_name = {riser.name: riser for riser in scene.risers}
    turned = (by_name["IN 2"].angle - by_name["IN"].angle) % (2.0 * math.pi)
    return [
        (
            "Hold the inner coil above the outer one, turn it there until IN 2 stands at "
            f"{clock(turned)} when IN is at 6 o'clock, and lower it straight down{_both_on(plan)}. Lace "
            "the two together at the top, the turns evenly apart all round.",
            "Once it is down its level parts strike the outer coil's risers when it is turned. So no two "
            "risers come out in one place, and the inner one's riser climbs between the two coils.",
        ),
    ]


def _both_on(plan: WorkPlan) -> str:
    """What both coils come to stand or hang on."""
    both = {"feet": "both on their feet", "hangs": "both on their hooks", "floor": "both flat on the bench"}
    return f", {both[plan.basis.brewhouse.kettle.coil_rests]}"


def _ends(plan: WorkPlan, sizes: Sizes) -> list[Step]:
    emptied = " Tap out and rinse out all of the filling." if _fill(plan) else ""
    spare = ", and at OUT the half turn to spare comes off" if plan.has_spare else ""
    return [
        (
            f"Cut the ends with a tube cutter: {_cuts(plan, sizes)}. Ream the cuts, gloves on, and flush "
            f"the tube with hot water.{emptied}",
            f"The ends were held, plugged or flattened{spare}; shavings block a valve.",
        ),
        (
            f"{joining.ends(plan)} Tag each {' or '.join(joining.tubes(plan))}.",
            "Water in at IN; a coil run the other way round still chills, but not as reckoned."
            if plan.layout.crossing
            else "Water in at the bottom drives the air out.",
        ),
    ]


def _cuts(plan: WorkPlan, sizes: Sizes) -> str:
    """Where each end is cut: at its mark, and how long the level part then is."""

    def cut(piece: Piece, riser: Riser) -> str:
        name = f"{riser.name}{' 2' if piece.name == 'inner' else ''}"
        mark = riser_marks(piece, riser.name).cut
        level = piece.between_marks(plan.step, riser.name)[LEVEL]
        return f"{name} at mark {mark}, {sizes.mark(level)} beyond its rim bend"

    return "; ".join(
        cut(piece, riser) for piece in plan.pieces for riser in (piece.riser_in, piece.riser_out)
    )
