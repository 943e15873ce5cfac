"""How a coil goes through the mouth of its kettle, and where it stands under it."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.fabrication.work_plan import WorkPlan
from optichill.problem.placement import fit_checks, off_the_middle


@dataclass(frozen=True)
class Mouth:
    """wide : how wide it is, across : the turns as they are planned, most : as wide as they may come out so
    that coil and riser still go through [m, outside]; spare : what is left where the tube springs most, below
    0 where it does not go in then; off : how far from the kettle's middle the coil stands, away from its
    outermost riser [m]."""

    wide: float
    across: float
    most: float
    spare: float
    off: float


def goes_as_planned(plan: WorkPlan) -> bool:
    """Whether it goes in if its tube springs as is reckoned with."""
    rows = fit_checks(plan.basis, plan.shape.as_it_is, plan.placement).rows
    return not bool(rows["mouth"].broken[0])


def mouth_of(plan: WorkPlan) -> Mouth | None:
    """None where the kettle is as wide at its rim as inside."""
    kettle = plan.basis.brewhouse.kettle
    if kettle.mouth >= kettle.inside_diameter:
        return None
    shapes = (plan.shape, plan.shape.as_it_is)
    widest, planned = (fit_checks(plan.basis, s, plan.placement).rows["mouth"] for s in shapes)
    across = plan.layers[0].diameter + plan.tube.outer_diameter
    return Mouth(
        wide=kettle.mouth,
        across=across,
        most=across + float(planned.margin[0]),
        spare=float(widest.margin[0]),
        off=float(off_the_middle(plan.basis, plan.shape)[0]),
    )
