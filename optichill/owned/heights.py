"""How high a coil that exists may stand or hang in a kettle: off the floor, and its top turn under the wort.

One rule for a coil that is made better and for one that meets a new kettle: nothing is done to a coil that
brings its top turn nearer to the cold surface of the smallest batch than the kettle's `top_clearance`, unless
it lacks as much already.
"""

from __future__ import annotations

import numpy as np

from optichill.geometry import fit, standing
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks
from optichill.problem.placement import Shape

HAIR = 1e-6
"""A micrometre, which nobody measures [m]."""

TOP = ("submergence",)
"""The limit of room that the top turn keeps to the surface."""


def least(basis: DesignBasis, d_o: float) -> float:
    """The lowest that the lowest turn may be [m]: as far off the floor as the kettle asks for."""
    kettle = basis.brewhouse.kettle
    needed = fit.floor_gap_needed(kettle.coil_rests, kettle.floor_clearance, basis.floor_part)
    return float(needed) + d_o / 2.0


def most(basis: DesignBasis, shape: Shape) -> float:
    """The highest that the lowest turn may be [m]: the top turn just deep enough under the smallest batch
    when cold; below `least` where the wort is too shallow for the coil."""
    kettle = basis.brewhouse.kettle
    hung = standing.hanging_height(
        basis.cold_volume, kettle.inside_diameter, shape.sunk(0.0), kettle.top_clearance, basis.floor_part
    )
    return float(np.ravel(hung)[0])


def no_worse(then: Checks, was: Checks, names: tuple[str, ...] | None = None) -> bool:
    """Whether a coil that is stood otherwise breaks no limit of room that it held before, and none by more;
    names : of the limits that count, all of them without."""
    before = {name: float(check.margin[0]) for name, check in was.rows.items()}
    return all(
        not check.broken[0] or float(check.margin[0]) >= min(before.get(name, 0.0), 0.0) - HAIR
        for name, check in then.rows.items()
        if names is None or name in names
    )
