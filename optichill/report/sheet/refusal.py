"""Why a coil cannot be built, and what would help."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from optichill.fabrication.obstacles import Obstacle, obstacles, tips
from optichill.fabrication.work_plan import WorkPlan
from optichill.owned.improve.seen import TWICE
from optichill.problem.limits import LIMITS, TUBE_LENGTH
from optichill.report.sheet import throttle
from optichill.report.sheet.sizes import Sizes
from optichill.report.standing import asked

Said = Callable[[Obstacle, WorkPlan, Sizes], str]


def reasons(plan: WorkPlan, sizes: Sizes) -> tuple[str, ...]:
    """Why a coil cannot be built by its sheet, a sentence for each reason, with what would help; empty for
    one that can."""
    return tuple(_reason(obstacle, plan, sizes) for obstacle in _to_build(plan))


def _to_build(plan: WorkPlan) -> tuple[Obstacle, ...]:
    return *obstacles(plan), *tips(plan)


def stops(plan: WorkPlan, to_build: bool = False) -> list[dict[str, Any]]:
    """The same for other programs: each obstacle with its sizes [SI] and its sentence; to_build : with what
    is against building it by its sheet, and nothing against one that exists."""
    sizes = Sizes(plan.basis.brewhouse.units, plan.step)
    found = _to_build(plan) if to_build else obstacles(plan)
    return [{**vars(s), "text": _reason(s, plan, sizes)} for s in found]


def warned(plan: WorkPlan) -> list[str]:
    """The same where a coil is only looked at: it is not to be built, or measured wrong; how it stands, where
    that has to be asked; and a flow that no valve makes."""
    stopped = [f"not buildable as stated: {stop['text']}" for stop in stops(plan)]
    return [*stopped, *asked(plan), *throttle.idle(plan)]


def _reason(s: Obstacle, plan: WorkPlan, sizes: Sizes) -> str:
    """Its own sentence, or that of the limit it breaks."""
    if s.name in SENTENCES:
        return SENTENCES[s.name](s, plan, sizes)
    limit = LIMITS[s.name]
    said = _filled(limit.stops, s, sizes.long if limit.shown is TUBE_LENGTH else sizes.length)
    lower = _set_lower(plan, s.needed - s.value, sizes) if s.name == "riser_height" else ""
    return f"{said} {lower or limit.helps}"


def _set_lower(plan: WorkPlan, by: float, sizes: Sizes) -> str:
    """That the coil only stands too high: with the kettle's own room under it, it is lower by enough [m]; ""
    where that does not do."""
    d_o, told = plan.coil.outer_diameter, plan.coil.standing
    least = plan.basis.brewhouse.kettle.floor_clearance
    spare = plan.coil.lowest_turn_height - d_o / 2.0 - least
    if spare < by:
        return ""
    low = sizes.length(least)
    if told.feet is not None:
        return f"Shorter feet would do, of {low} instead of {sizes.length(told.feet)}."
    return f"It would do to set the coil lower, {low} above the floor."


def _winding(s: Obstacle, plan: WorkPlan, sizes: Sizes) -> str:
    where = f" of the {s.of} layer" if s.of else ""
    form = 2.0 * s.needed - plan.tube.outer_diameter
    fits = form < plan.basis.brewhouse.kettle.inside_diameter - 4.0 * plan.tube.outer_diameter
    larger = f"A form of {sizes.length(form)} or more, or t" if fits else "T"
    return (
        f"The tube kinks: the turns{where} have a radius of {sizes.length(s.value)}, this tube takes no "
        f"less than {sizes.length(s.needed)} even filled. {larger}ube with a thicker wall would do."
    )


def _riser_below(s: Obstacle, plan: WorkPlan, sizes: Sizes) -> str:
    return (
        f"The {s.of} riser is too short: it ends {sizes.length(s.needed - s.value)} below the rim, and its "
        f"joint would hang in the kettle. It needs {sizes.length(s.needed - s.value)} more of tube to reach "
        "the rim, and then what goes over it."
    )


def _riser_inside(s: Obstacle, plan: WorkPlan, sizes: Sizes) -> str:
    there = plan.coil.riser_length_in if s.of.startswith("IN") else plan.coil.riser_length_out
    more = s.needed - s.value
    return (
        f"The {s.of} riser ends before it is past the kettle wall: its joint would drip into the wort. "
        f"It has {sizes.length(there)} of tube and needs {sizes.length(there + more)}, "
        f"{sizes.length(more)} more."
    )


def _rim(s: Obstacle, plan: WorkPlan, sizes: Sizes) -> str:
    """Turns over the rim: what is measured wrong, the feet, or one turn too many."""
    tall = plan.coil.height
    said = f"The turns reach {sizes.length(s.value)} up, the rim is at {sizes.length(s.needed)}."
    if tall > TWICE * s.needed:
        return f"{said} Are {sizes.length(tall)} over the turns measured right? Measure them again."
    helps = _set_lower(plan, s.value - s.needed, sizes) or "Fewer turns would do."
    return f"{said} {helps}"


def _filled(text: str, s: Obstacle, said: Callable[[float], str]) -> str:
    short, value, needed = (said(size) for size in (abs(s.needed - s.value), s.value, s.needed))
    return text.format(short=short, value=value, needed=needed, of=s.of)


def _plain(text: str) -> Said:
    return lambda s, b, sizes: _filled(text, s, sizes.length)


SENTENCES: dict[str, Said] = {
    "strips": _plain(
        "The layers lie too far apart: strips between them would be {value} thick, and on this inner layer "
        "they tip over when they are thicker than {needed}. A smaller outer layer or a larger inner form "
        "would do, or two coils on tees, each on a form of its own."
    ),
    "hard": lambda s, b, sizes: (
        "The tube is hard-drawn: it breaks or kinks on a form. Soft (annealed) tube of this size would do."
    ),
    "winding_radius": _winding,
    "leg_below_rim": _riser_below,
    "leg_inside": _riser_inside,
    "form_closed": _plain(
        "The form {of} is closed or has a rim at both ends: the coil cannot be slid off it."
    ),
    "riser_bend": lambda s, b, sizes: (
        f"No tool makes the risers' bends of {sizes.length(s.value)} radius in this tube: "
        + (
            "it is never bent freehand; a lever bender or a bending spring would do."
            if math.isinf(s.needed)
            else f"the tightest is {sizes.length(s.needed)} with what is at hand."
        )
    ),
    "layer_leg": _plain(
        "The {of} riser would run into the outer layer: it needs {short} more between the layers. A smaller "
        "inner or a larger outer form would do."
    ),
    "part": _plain("The turns would hit the {of}: it reaches {needed} in, and {value} is free."),
    "rim": _rim,
}
