"""Why a coil cannot be built, and what would help."""

from __future__ import annotations

import math
from collections.abc import Callable

from optichill.fabrication.obstacles import Obstacle, obstacles
from optichill.fabrication.work_plan import WorkPlan
from optichill.report.sheet.sizes import Sizes

Said = Callable[[Obstacle, WorkPlan, Sizes], str]


def reasons(plan: WorkPlan, sizes: Sizes) -> tuple[str, ...]:
    """A sentence for each reason, with what would help; empty for a coil that can be built."""
    return tuple(SENTENCES[obstacle.name](obstacle, plan, sizes) for obstacle in obstacles(plan))


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


def _room(text: str) -> Said:
    return lambda s, b, sizes: text.format(
        short=sizes.length(abs(s.needed - s.value)),
        value=sizes.length(s.value),
        needed=sizes.length(s.needed),
        of=s.of,
    )


SENTENCES: dict[str, Said] = {
    "hard": lambda s, b, sizes: (
        "The tube is hard-drawn: it breaks or kinks on a form. Soft (annealed) tube of this size would do."
    ),
    "winding_radius": _winding,
    "leg_below_rim": _riser_below,
    "leg_inside": _riser_inside,
    "form_closed": _room(
        "The form {of} is closed or has a rim at both ends: the coil cannot be slid off it."
    ),
    "form_height": _room(
        "The form {of} is {value} tall, the turns take {needed} of it, wound touching with half a turn to "
        "spare. A longer form of the same diameter, or fewer turns, would do."
    ),
    "stock_length": lambda s, b, sizes: (
        f"The roll holds {sizes.long(s.value)}, the coil takes {sizes.long(s.needed)}. A longer roll or "
        "fewer turns would do; no joint under the wort."
    ),
    "riser_bend": lambda s, b, sizes: (
        f"No tool makes the risers' bends of {sizes.length(s.value)} radius in this tube: "
        + (
            "it is never bent freehand; a lever bender or a bending spring would do."
            if math.isinf(s.needed)
            else f"the tightest is {sizes.length(s.needed)} with what is at hand."
        )
    ),
    "wall": _room("The turns are {short} a side wider than the kettle. A smaller form would do."),
    "mouth": _room(
        "With its risers the coil is {value} across, the kettle's opening {needed}: it does not go in. A "
        "smaller form would do; if the risers stand opposite each other, bringing them to one side helps too."
    ),
    "riser_gap": _room(
        "The riser hits the kettle wall: {short} too far out. A smaller form, or a tighter bend, would do."
    ),
    "riser_height": _room(
        "There is no height for the {of} riser's two bends one above the other: {short} too little. Fewer "
        "turns, or a tighter bend, would do."
    ),
    "centre": _room("The turns would run into what stands in the kettle's centre, by {short}."),
    "layer_leg": _room(
        "The {of} riser would run into the outer layer: it needs {short} more between the layers. A smaller "
        "inner or a larger outer form would do."
    ),
    "layer_gap": _room("The two layers overlap by {short}. A smaller inner or a larger outer form would do."),
    "part": _room("The turns would hit the {of}: it reaches {needed} in, and {value} is free."),
    "floor": _room("The lowest turn would stand {short} too low: in the floor or in what lies there."),
    "rim": _room("The turns reach {value} up, the rim is at {needed}. Fewer turns would do."),
    "headspace": _room("With the coil in, the hot wort would stand {short} over the rim. Boil less."),
}
