"""What it takes to pull touching turns open, and what they keep of it when they are let go.

A close coil that is pulled along its axis is a helical spring: its tube is twisted. Force and stress are
those of Wahl, Mechanical Springs (Penton, Cleveland, 1944), chapter 1 (M), with the polar moment of a tube in
place of a wire's; his factor for curvature (1.05 at a coil 25 tubes wide) is left out. Beyond the elastic
range the metal is taken as ideally plastic, by von Mises; what winding left of stress in the wall is not
counted, so that a pull that is to stay is a figure to begin with, not to rely on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from optichill.fabrication.work_plan import WorkPlan
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry.springback import second_moment_of_area
from optichill.roots import root

KEEPS = 0.9
"""Share of a pull that must stay for the turns to stand open by themselves (OWN)."""


@dataclass(frozen=True)
class Tube:
    """A tube of a coil. d_o, d_i, D : outside, bore, mean coil diameter [m]; G : shear modulus, Y : flow
    stress [Pa].

    Examples
    --------
    A coil of solid wire must give Wahl's spring, pull = 8 F D^3/(G d^4): 10 N on 2 mm steel wire wound 20 mm
    wide, 8 x 10 x 8000/(79300 x 16) mm:

    >>> spring = Tube(0.002, 0.0, 0.020, 79.3e9, 1e12)
    >>> round(spring.force(0.5044e-3), 2), abs(spring.kept(0.5044e-3)) < 1e-12
    (10.0, True)
    """

    d_o: float
    d_i: float
    D: float
    G: float
    Y: float

    @property
    def J(self) -> float:
        """Polar second moment of area [m4]: pi (d_o^4 - d_i^4)/32."""
        return 2.0 * float(second_moment_of_area(self.d_o, self.d_i))

    @property
    def yield_shear(self) -> float:
        """Shear at which it yields [Pa], Y/sqrt(3)."""
        return self.Y / math.sqrt(3.0)

    def twist(self, pull: float) -> float:
        """Twist along the tube [rad/m] when each turn is pulled open by `pull` [m]: 2 pull/(pi D^2)."""
        return 2.0 * pull / (math.pi * self.D**2)

    def torque(self, pull: float) -> float:
        """Torque [N m] at that pull, elastic inside the radius that yields."""
        R, r, twist = self.d_o / 2.0, self.d_i / 2.0, self.twist(pull)
        yields = min(max(self.yield_shear / (self.G * twist), r), R) if twist > 0.0 else R
        elastic = self.G * twist * (yields**4 - r**4) / 4.0
        return 2.0 * math.pi * (elastic + self.yield_shear * (R**3 - yields**3) / 3.0)

    def force(self, pull: float) -> float:
        """Pull along the axis [N]: torque/(D/2)."""
        return self.torque(pull) / (self.D / 2.0)

    def kept(self, pull: float) -> float:
        """What stays of the pull when it is let go [m]: unloading is elastic."""
        return pull - self.torque(pull) / (self.G * self.J) * math.pi * self.D**2 / 2.0

    def pull_for(self, gap: float) -> float:
        """The pull a turn [m] that leaves `gap`."""
        most = gap + self.yield_shear * math.pi * self.D**2 / (self.G * self.d_i) * 2.0
        return root(lambda pull: self.kept(pull) - gap, gap, most)


@dataclass(frozen=True)
class Opening:
    """How touching turns are opened to their gap. closed : height that they spring back to when they are only
    pulled open [m]; force : that holds them open [N]; over : height to pull to so that they stay, with its
    least and most by the band of the metal [m]."""

    closed: float
    force: float
    over: tuple[float, float, float]
    stays: bool


def opening(plan: WorkPlan, layer: WoundLayer) -> Opening:
    """Of one layer that has a gap."""
    metal, tube = plan.tube.metal, plan.tube
    G = metal.youngs_modulus / (2.0 * (1.0 + metal.poisson))
    usual, high, low = (
        Tube(tube.outer_diameter, tube.outer_diameter - 2.0 * tube.wall, layer.diameter, G, Y)
        for Y in plan.stresses
    )

    def height(pull: float) -> float:
        return layer.turns * (layer.d_o + pull) + layer.d_o

    over = tuple(height(t.pull_for(layer.gap)) for t in (usual, low, high))
    kept = usual.kept(layer.gap)
    return Opening(
        height(kept), usual.force(layer.gap), (over[0], over[1], over[2]), kept > KEEPS * layer.gap
    )
