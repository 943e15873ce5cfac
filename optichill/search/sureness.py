"""How much longer than by the medians a chill may take, for a limit on time that is to be kept with a chance.

The ratio is nearly one number for all coils of a kettle (within 2 % at a chance of 0.7); a plane through the
logarithms of time, surface, bore and valve leaves 1.5 % at worst, small against what chances are known to.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array
from optichill.rating.chilled_coil import OUT_OF_REACH
from optichill.thermal.coil_performance import Coils
from optichill.thermal.cooldown import Chill

FEWEST = 12
"""With fewer coils that reach the target one ratio serves all."""

LEAST = 0.97
"""Share of the smallest ratio seen that surely no coil falls below."""


@dataclass(frozen=True)
class Sureness:
    """Ratio of the time that is kept with a chance to that by the medians; plane : of its logarithm, in
    `traits`; least : no coil falls below it; lowest : share of what the plane says that one of those it goes
    through keeps."""

    plane: Array
    least: float
    lowest: float = 1.0

    @classmethod
    def fitted(cls, coils: Coils, by_medians: Chill, kept: Array) -> Sureness:
        """Through coils whose time kept with the chance is known, inf where it is out of reach."""
        ratio = np.minimum(kept, OUT_OF_REACH) / by_medians.time
        known = ratio > 0.0  # what is out of reach by the medians has none
        table = traits(coils, by_medians)
        if known.sum() < FEWEST:
            worst = float(np.max(ratio[known], initial=1.0))
            level = np.zeros(table.shape[0])
            level[0] = np.log(worst)
            lowest = float(np.min(ratio[known], initial=worst)) / worst
            return cls(level, LEAST * min(worst, 1.0), lowest)
        wanted = np.log(ratio[known])
        plane = np.asarray(np.linalg.lstsq(table[:, known].T, wanted, rcond=None)[0], np.float64)
        # Lifted to the worst of them: what is said to be kept is.
        off = wanted - plane @ table[:, known]
        plane[0] += off.max()
        return cls(plane, LEAST * float(ratio[known].min()), float(np.exp(off.min() - off.max())))

    def lifted(self, by: float) -> Sureness:
        """Higher by a share."""
        up = np.zeros_like(self.plane)
        up[0] = np.log1p(by)
        lowest = self.lowest / (1.0 + by)
        return replace(self, plane=self.plane + up, least=(1.0 + by) * self.least, lowest=lowest)

    def ratio(self, coils: Coils, by_medians: Chill) -> Array:
        """Of any coils; shape (designs,)."""
        return np.maximum(np.exp(self.plane @ traits(coils, by_medians)), self.least)


TRAITS = ("one", "time", "surface", "bore", "valve")


def traits(coils: Coils, by_medians: Chill) -> Array:
    """What the ratio hangs on, shape (traits, designs)."""
    time = np.where(np.isfinite(by_medians.time), by_medians.time, 1.0)
    surface = coils.wetted_length * coils.d_o
    surface = surface.sum(axis=0) if coils.parallel else surface
    columns = (time, np.maximum(surface, 1e-6), coils.of_design("d_i"), coils.of_design("valve_share"))
    return np.stack([np.ones_like(time), *np.log(columns)])
