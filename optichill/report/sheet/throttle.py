"""A valve that holds the water back: how it stands, how it is set by bucket and clock, and what the coil does
with the valve fully open."""

from __future__ import annotations

from optichill.display import show
from optichill.fabrication.work_plan import WorkPlan
from optichill.report import ranges
from optichill.report.words import build_words, by_hand

NEAR = 0.02
"""A setting is told in words where it is one to this share of the full flow (OWN)."""


def setting(plan: WorkPlan) -> str:
    """How the valve stands: "half open"."""
    assert plan.fully_open is not None
    share = plan.rating.prediction.flow / plan.fully_open.prediction.flow
    near = (named for named in build_words.VALVES if abs(named - share) < NEAR)
    return build_words.valve(next(near, share))


def fills(plan: WorkPlan) -> str:
    """The flow by bucket and clock, as it is set."""
    return by_hand.bucket_time(plan.rating.prediction.flow, plan.basis.brewhouse.units)


def beside(plan: WorkPlan) -> str:
    """Time and water with the valve fully open."""
    assert plan.fully_open is not None
    p = plan.fully_open.prediction
    water = f" and {ranges.water(p, plan.basis.brewhouse.units)} of water" if p.water is not None else ""
    return f"{ranges.time(p)}{water}"


def lead(plan: WorkPlan) -> str:
    """All of it in a sentence; "" for a coil that takes all the water there is."""
    if plan.fully_open is None:
        return ""
    return f" Valve {setting(plan)}: {fills(plan)}. Fully open it takes {beside(plan)}."


def idle(plan: WorkPlan) -> list[str]:
    """That the flow a coil's file tells holds no water back."""
    flow, u = plan.coil.flow, plan.basis.brewhouse.units
    if flow is None or plan.rating.throttled:
        return []
    sources, full = plan.basis.scenario.sources, plan.rating.prediction.flow
    if all(source.returns for source in sources):
        return ["coil: flow acts on nothing: a valve is set where water runs away, and here it goes round."]
    if sources[0].returns or flow <= (1.0 + NEAR) * full:
        return []
    told, most = show(flow, "flow", u), show(full, "flow", u)
    return [
        f"coil: flow is {told}, but {most} run through it with the valve open: taken as open. A valve only "
        "holds water back: leave flow out, or measure it at the outlet hose by bucket and clock."
    ]


def before_brewing(plan: WorkPlan) -> list[str]:
    """How the valve is set while everything is cold."""
    if plan.fully_open is None:
        return []
    if plan.basis.brewhouse.begins_with_pump:
        return [
            "Still cold, coil over a sink or outdoors, the pump in cold water: open the inlet valve fully, "
            f"plug the pump in, then close the valve until {fills(plan)} at the OUT hose ({setting(plan)}). "
            "Leave it there, mark the handle, unplug the pump, let the coil drain."
        ]
    return [
        "Still cold, coil over a sink or outdoors: open the water fully, then close the inlet valve until "
        f"{fills(plan)} at the OUT hose ({setting(plan)}). Mark the handle, shut it, let the coil drain."
    ]
