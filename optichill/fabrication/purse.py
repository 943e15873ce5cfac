"""What a build asks of its maker, purse and patience, against the limits stated for them."""

from __future__ import annotations

import numpy as np

from optichill.fabrication.work_plan import WorkPlan
from optichill.layouts import LAYOUTS
from optichill.problem.made_forms import made_form
from optichill.problem.windings import Setups, Windings, winding_table
from optichill.rating.prediction import LimitLine, of_a_build
from optichill.workshop import difficulty


def stated(plan: WorkPlan) -> tuple[LimitLine, ...]:
    """Budget and difficulty of a coil that is looked at, where the brewer limits them; what the lists do not
    have costs more than is told, and a coil whose forms they do not have is not told how hard it is."""
    return of_a_build(plan.basis.brewhouse.limits, plan.bill.total, how_hard(plan))


TOUCHING = 1e-6  # m between turns that touch, as a file has them


def how_hard(plan: WorkPlan) -> float | None:
    """How hard the build is [0-10], as a search has it; None where a form is in no list."""
    if any(layer.wants_form for layer in plan.layers):
        return None
    # Over strips there is no form, but turns of a diameter all the same.
    forms = tuple(
        made_form(layer.D_form, plan.basis.stock) if layer.on_strips or layer.form is None else layer.form
        for layer in plan.layers
    )
    places = np.arange(len(forms))
    wraps = np.array([layer.wraps for layer in plan.layers])
    ways = ((plan.tube, plan.tool),)
    wound = Windings(ways, forms, np.zeros_like(places), places, wraps, len(forms))
    layout = np.array([list(LAYOUTS).index(plan.coil.layout)], dtype=np.int8)
    setup = Setups(winding_table(wound, plan.basis), places[:1], places[-1:], layout)
    widest = max(layer.pitch for layer in plan.coil.layers)
    gap, inside = widest - plan.coil.outer_diameter, plan.basis.brewhouse.workshop.riser == "inside"
    gap = 0.0 if gap < TOUCHING else gap
    terms = difficulty.difficulty_terms(setup.job(slice(None), plan.placement.tube_length, gap, inside))
    return float(difficulty.score(terms)[0])
