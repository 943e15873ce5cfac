"""How a given coil stands in its kettle, as a question where its file does not say."""

from __future__ import annotations

from optichill.display import show
from optichill.fabrication.work_plan import WorkPlan
from optichill.rating.stood import Otherwise, otherwise
from optichill.report.otherwise import about

APART, SHARE = 60.0, 0.05
"""Times that differ by less, or by a smaller share, are not told as different [s]."""

_HOW = {"feet": "on feet", "floor": "with its lowest turn on the floor", "hangs": "hung from the rim"}


def asked(plan: WorkPlan) -> list[str]:
    """The question, with what was taken, what it would be otherwise, and the line to write; of feet that
    nobody measured how high they were taken."""
    told, u = plan.coil.standing, plan.basis.brewhouse.units
    underside = show(plan.coil.lowest_turn_height - plan.coil.outer_diameter / 2.0, "length", u)
    if told.stands == "feet" and told.feet is None and told.lowest is None:
        return [
            f"how high are the feet? {underside} taken, the kettle's floor_clearance: measure from the table "
            f'to the underside of the lowest turn, and write feet_height = "{underside}" under [coil].'
        ]
    if not told.asked:
        return []
    switch = plan.rating.prediction.switch
    found = otherwise(plan.basis, plan.coil, None if switch is None else switch.at)
    taken = _HOW[found.rests] + ("" if found.rests == "floor" else f", {underside} above the floor")
    first, *rest = _lines(plan, found.rests, underside)
    return [
        f"how does the coil stand? Its file does not say: taken {taken}, as coil_rests of the kettle has it. "
        f"{_times(found)} Write under [coil] {first}; or else {', or '.join(rest)}."
    ]


def _lines(plan: WorkPlan, rests: str, underside: str) -> list[str]:
    """What to write for each way to stand, the one that was taken first and with its figure."""
    c = plan.coil
    top = c.lowest_turn_height + c.height - c.outer_diameter / 2.0
    below = plan.basis.brewhouse.kettle.inside_height - top
    rim = show(below, "length", plan.basis.brewhouse.units)
    lines = {
        "feet": f'stands = "feet" and feet_height = "{underside if rests == "feet" else "..."}"',
        "floor": 'stands = "floor"',
        "hangs": f'stands = "hangs" and hangs_below_rim = "{rim if rests == "hangs" else "..."}"',
    }
    return [lines.pop(rests), *lines.values()]


def _times(found: Otherwise) -> str:
    """What the chill would be, where that matters."""
    moved = [
        f"{_HOW[how]} {_longer(time, found.time)}"
        for how, time in found.others.items()
        if _apart(time, found.time)
    ]
    if not moved:
        return "To the time it makes no difference."
    said = ", and ".join(moved)
    return f"{said[0].upper()}{said[1:]}."


def _longer(time: float | None, now: float | None) -> str:
    if time is None or now is None:
        return "it would never get there" if time is None else f"it would get there, in {about(time)}"
    return f"it would take about {about(abs(time - now))} {'longer' if time > now else 'less'}"


def _apart(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is not other
    return abs(one - other) >= max(APART, SHARE * other)
