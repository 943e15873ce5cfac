"""What should be known before the work begins: from the prediction, from the kettle and from the bench."""

from __future__ import annotations

import math

from optichill.display import show, trim
from optichill.fabrication import clocking
from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import WorkPlan
from optichill.geometry import risers
from optichill.model.remarks import about_coil
from optichill.report import warnings
from optichill.report.calibrated import sentence
from optichill.report.sheet import measure, through
from optichill.report.sheet.phrases import turns_words
from optichill.report.sheet.sizes import Sizes
from optichill.report.standing import asked
from optichill.report.words import roll_words

ASIDE = 0.1
"""Part of a turn by which a riser may come out beside the side it is wished on (OWN)."""


def notes(plan: WorkPlan, stopped: bool = False) -> list[str]:
    """What should be known, from the prediction and from the bench; of a coil that cannot be built only what
    the lists have of it."""
    basis = plan.basis
    said = [text for text in [sentence(basis.brewhouse, basis.calibration)] if text and not stopped]
    said += [text for text in warnings.of_given(plan.rating, basis) if "stand dry" not in text]
    said += warnings.beyond(plan)
    u = plan.basis.brewhouse.units
    said += [f"{text}." for text in about_coil(plan.coil, plan.basis.stock, plan.basis.brewhouse)]
    said += asked(plan)
    said += [f"{note}." for note in plan.notes]
    if stopped:
        return [f"{text[0].upper()}{text[1:]}" for text in said]
    said += _wrong_side(plan) + _risers_meet(plan) + _no_spare(plan)
    said += (
        through.notes(plan, Sizes(u, plan.step))
        + _springs_far(plan)
        + _near_parts(plan)
        + _shallow(plan)
        + _keep_the_file(plan)
    )
    for layer in plan.layers:
        if layer.wants_form:
            size = show(layer.D_form, "length", u)
            said.append(f"no form in your list gives this coil: it needs one of {size} outside diameter.")
    if not plan.listed:
        said.append(
            f"the tube is not in your list: no price, and it is taken to be {roll_words.temper(plan.tube)}."
        )
    if not plan.tool_known:
        said.append(
            "no bender in your list, nor a bend by hand, makes the radius that the coil file asks for."
        )
    elif not plan.tool.owned:
        said.append("no tool you own makes the risers' bends: one has to be bought.")
    return [f"{text[0].upper()}{text[1:]}" for text in said]


def _keep_the_file(plan: WorkPlan) -> list[str]:
    """Where the lists will not give the coil back, though the form that is made for it is written there."""
    made = any(layer.form is not None and layer.form.made for layer in plan.layers)
    alike = len({(round(x.turns, 3), round(x.pitch, 5)) for x in plan.coil.layers}) == 1
    if len(plan.layers) == 1 or (alike and not made):
        return []
    return [
        "keep this coil in a file (recommend --save-coil): two layers are found again by the lists only with "
        "one gap and one number of turns, and each on a form that stands in them. With a form that you have "
        "made in forms.csv, its form_id takes the place of form_to_make in the file; a study of explore "
        "belongs to the lists as they were."
    ]


def _springs_far(plan: WorkPlan) -> list[str]:
    """Where the soft end of the springback range takes more than the wished room to the wall leaves."""
    sizes, outer = Sizes(plan.basis.brewhouse.units, plan.step), plan.layers[0]
    more = outer.relaxed(outer.k_low) - outer.diameter - 2.0 * measure.room(plan, "wall")
    if more < 5e-4 or measure.room(plan, "wall") == measure.MOST_OFF:
        return []
    line = next(line for line in plan.rating.limits if line.name == "wall")
    left = line.value - (outer.relaxed(outer.k_low) - outer.diameter) / 2.0
    told, wanted = sizes.length(left), sizes.length(line.limit)
    if told == wanted:
        return []
    return [
        f"tube that springs most opens so far that {told} are left to the wall, not {wanted}: fit it in the "
        "kettle before the risers are bent."
    ]


def _near_parts(plan: WorkPlan) -> list[str]:
    """Wall parts that a riser could run into, which stands nearer to the wall than the turns."""
    sizes = Sizes(plan.basis.brewhouse.units, plan.step)
    gap = measure.riser_gap(plan)
    return [
        f"the {part.what} reaches {sizes.length(part.size)} in, the risers leave {sizes.length(gap)} to the "
        "wall: turn the coil so that no riser comes before it."
        for part in plan.basis.parts
        if part.where == "wall" and part.size + risers.AIR_AROUND_RISER > gap
    ]


def _shallow(plan: WorkPlan) -> list[str]:
    """Turns that stand out of the cold wort."""
    sizes = Sizes(plan.basis.brewhouse.units, plan.step)
    line = next((line for line in plan.rating.limits if line.name == "submergence" and not line.holds), None)
    if line is None or line.value >= 0.0:  # what is less than wished the warnings tell
        return []
    return [f"the top of the turns stands {sizes.length(-line.value)} out of the cold wort."]


def _wrong_side(plan: WorkPlan) -> list[str]:
    """Risers that do not come out on the side that the workshop asks for, and the turns that would do it."""
    sides = plan.basis.brewhouse.workshop.riser_sides
    if sides == "any" or plan.layout.crossing:
        return []
    said = []
    for piece in plan.pieces:
        layer, R_b = piece.layers[0], plan.tool.radius
        R_c = layer.diameter / 2.0
        # Side by side risers stand a bend apart on either side of the place where the turns begin and end.
        angle = 2.0 * clocking.swing(R_c, R_b) + (math.pi if sides == "opposite" else 0.0)
        wanted = clocking.turns_for(angle, layer.turns, R_c, R_b)
        if abs(wanted - layer.turns) > ASIDE:
            which = f" of the {piece.name} coil" if piece.name else ""
            said.append(
                f"the risers{which} do not come out on the {sides} side{'s' if sides == 'opposite' else ''}, "
                f"as asked: {turns_words(wanted)} turns would bring them there."
            )
    return said


def _risers_meet(plan: WorkPlan) -> list[str]:
    """Risers that would stand in one place, and how many turns would part them."""
    sizes, drawn, d_o = (
        Sizes(plan.basis.brewhouse.units, plan.step),
        scene_of(plan).risers,
        plan.tube.outer_diameter,
    )
    said = []
    for n, one in enumerate(drawn):
        for other in drawn[:n]:
            where = [(x.radius * math.cos(x.angle), x.radius * math.sin(x.angle)) for x in (one, other)]
            apart = math.dist(*where)
            if apart < d_o + risers.AIR_AROUND_RISER:
                turn = 2.0 * d_o / (math.pi * plan.layers[0].diameter)
                said.append(
                    f"the risers {other.name} and {one.name} would stand only {sizes.length(apart)} from "
                    f"middle to middle: wind {trim(max(turn, 0.05), 2)} of a turn more or less."
                )
    return said


def _no_spare(plan: WorkPlan) -> list[str]:
    """A roll that holds the coil, but not the half turn more."""
    if plan.has_spare or plan.coil.bought_length is not None:
        return []
    holds = "each roll holds its tube" if plan.two_lengths else "the roll holds the coil"
    return [f"{holds}, but not the half turn to spare: wind to the last mark and no further."]
