"""Three feet under the lowest turn, a third of a turn apart: it climbs, so each is of another height."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import INCH
from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry.supports import foot_heights

BESIDE, LACING_HOLE = 0.010, 0.0025
"""Sheet beside the notch; hole for the lacing wire, across [m] (OWN)."""


@dataclass(frozen=True)
class Foot:
    """A plate that stands on the kettle floor, the tube in a notch that is open above. height : floor to the
    tube's underside; d_o : of the tube; notch : its width [m].

    Examples
    --------
    >>> foot = Foot(height=0.025, d_o=0.010, notch=0.0105)
    >>> round(foot.width, 4), round(foot.tall, 4), [round(x, 5) for x in foot.holes[0]]
    (0.0305, 0.03, [0.005, 0.02])
    """

    height: float
    d_o: float
    notch: float

    @property
    def width(self) -> float:
        """Of the plate [m]."""
        return self.notch + 2.0 * BESIDE

    @property
    def tall(self) -> float:
        """Of the plate: the notch holds the tube up to its middle [m]."""
        return self.height + self.d_o / 2.0

    @property
    def holes(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Centres of the two holes for the lacing, from the plate's lower left corner [m]."""
        y = max(self.height - self.d_o / 2.0, self.height / 2.0)
        return (BESIDE / 2.0, y), (self.width - BESIDE / 2.0, y)


def feet(plan: WorkPlan, layer: WoundLayer) -> tuple[Foot, ...]:
    """The feet of a layer, the lowest first: under the start of its lowest turn, a third of a turn on, and
    two thirds; none where it hangs or lies on the floor."""
    if plan.basis.brewhouse.kettle.coil_rests != "feet":
        return ()
    d_o = plan.tube.outer_diameter
    low = float(plan.placement.lowest[0]) - d_o / 2.0
    notch = hole(d_o, plan.basis.brewhouse.units)
    return tuple(Foot(h, d_o, notch) for h in foot_heights(low, layer.pitch).tolist() if low > 0.0)


def hole(d_o: float, units: str) -> float:
    """A hole or notch that a tube slips into [m]: 0.5 mm, or 1/64 in, wider (OWN).

    Examples
    --------
    >>> round(hole(0.010, "metric"), 4), round(hole(0.375 * 0.0254, "us") / 0.0254, 4)
    (0.0105, 0.3906)
    """
    return d_o + (INCH / 64.0 if units == "us" else 0.0005)
