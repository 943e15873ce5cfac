"""Where hoses end: what joins them to tubes, tap and valve, counted against what the bill has of it."""

from __future__ import annotations

from optichill.fabrication.work_plan import WorkPlan
from optichill.problem.plumbing import hoses
from optichill.workshop.fittings import ARMS, ENDS, PUSHED, TEES

VALVE_ENDS = 2
"""Hose ends on a valve in the inlet hose."""


def joint_kinds(plan: WorkPlan) -> list[str]:
    """How the tube's ends are joined, but for hoses that go over it; where no joint of the list fits, by
    compression."""
    found = [i.joint for i in plan.bill.items if i.part == "joint" and i.joint != PUSHED]
    return list(dict.fromkeys([*found, *(["compression"] if joints_wanting(plan) else [])]))


def joints_wanting(plan: WorkPlan) -> int:
    """Ends of tubes for which no joint of the list fits."""
    return len(plan.pieces) * sum(place in plan.bill.missing for place in ENDS)


def clamps_wanting(plan: WorkPlan) -> int:
    """Worm clamps that the steps ask for and no line of the bill holds."""
    bill, hose = plan.bill, hoses(plan.basis)
    valve = VALVE_ENDS if plan.rating.throttled else 0
    if "clamp" in bill.missing:
        own = sum(i.quantity for i in bill.items if i.part == "joint" and i.joint == PUSHED)
        return round(1 + 2 * len(plan.pieces) + plan.layout.tees * TEES * ARMS + valve - own)
    union = hose.tap and all(i.part != "tap union" for i in bill.items)
    bought = any(i.part == "clamp" for i in bill.items)
    tees = TEES * ARMS if "tee" in bill.missing and not bought else 0
    return joints_wanting(plan) + union + tees + valve
