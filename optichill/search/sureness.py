"""How much longer than by the medians a chill may take, for a limit on time that is to be kept with a chance.

The ratio is nearly one number for all coils of a kettle (within 2 % at a chance of 0.7); a plane through the
logarithms of time, surface, bore and valve leaves 1.5 % at worst, small against what chances are known to.
Where ice gives out it is not: slow coils, which draw more water through it, then come to the target by the
medians and in too few draws. These teach nothing of the others; the least water of one of them is a bound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array, Mask
from optichill.rating.chilled_coil import OUT_OF_REACH
from optichill.thermal.coil_performance import Coils
from optichill.thermal.cooldown import Chill

FEWEST = 12
"""With fewer coils that reach the target one ratio serves all."""

LEAST = 0.97
"""Share of the smallest ratio seen that surely no coil falls below."""

MATTERS = 1.5
"""Times the limit, up to which by the medians coils speak where some do not come to the target: the ratio
rises the more the nearer they are to that."""

SURE_ENOUGH = 0.93
"""Share of what a plane says that a coil keeps at least, above which one plane serves all."""

SPENT = 0.99
"""Share of the ice that is as good as all of it."""


@dataclass(frozen=True)
class Sureness:
    """Ratio of the time that is kept with a chance to that by the medians; plane : of its logarithm, in
    `traits`; least : no coil falls below it; lowest : share of what the plane says that one of those it goes
    through keeps; runs_out : water of a chill by the medians [m3] from which on no coil keeps any time with
    the chance, inf where each may; out_of_ice : least ratio of coils that melt all ice by the medians."""

    plane: Array
    least: float
    lowest: float = 1.0
    runs_out: float = np.inf
    out_of_ice: float = 1.0

    @classmethod
    def fitted(cls, coils: Coils, by_medians: Chill, kept: Array, within: float = np.inf) -> Sureness:
        """Through coils whose time kept with the chance is known, inf where it is out of reach. within : the
        limit on time [s]."""
        ratio = np.minimum(kept, OUT_OF_REACH) / by_medians.time
        known = ratio > 0.0  # what is out of reach by the medians has none
        never = known & ~(kept < OUT_OF_REACH)
        table, came = traits(coils, by_medians), known & ~never
        if not came.any():
            return cls._through(table, ratio, known)
        whole = cls._through(table, ratio, came)
        if not never.any() and whole.lowest >= SURE_ENOUGH:
            return whole
        known = came
        runs_out = np.inf
        if never.any():
            runs_out = float(max(by_medians.water[never].min(), by_medians.water[known].max()))
        spent, near = known & spends_all(by_medians), known & (by_medians.time <= MATTERS * within)
        lasts = known & ~spent
        many = [some for some in (lasts & near, lasts) if some.sum() >= FEWEST]
        alike = next((some for some in (*many, lasts & near, lasts) if some.any()), known)
        plane = cls._through(table, ratio, alike)
        worst = ratio[spent & near] if (spent & near).any() else ratio[spent]
        found = replace(plane, runs_out=runs_out, out_of_ice=float(worst.max(initial=1.0)))
        share = (ratio / found.ratio(coils, by_medians))[known & near]
        return replace(found, lowest=min(found.lowest, float(share.min(initial=1.0))))

    @classmethod
    def _through(cls, table: Array, ratio: Array, known: Mask) -> Sureness:
        """Through the known ratios of some coils; table : their traits."""
        if known.sum() < FEWEST:
            worst = float(np.max(ratio[known], initial=1.0))
            level = np.zeros(table.shape[0])
            level[0] = np.log(worst)
            lowest = min(float(np.min(ratio[known], initial=worst)), 1.0) / worst  # they say little of others
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
        """Of any coils; shape (designs,), inf where the ice surely gives out."""
        by_plane = np.maximum(np.exp(self.plane @ traits(coils, by_medians)), self.least)
        by_plane = np.where(spends_all(by_medians), np.maximum(by_plane, self.out_of_ice), by_plane)
        return np.where(by_medians.water >= self.runs_out, np.inf, by_plane)


def spends_all(by_medians: Chill) -> Mask:
    """Which chills melt all the ice that they have."""
    return np.asarray((by_medians.iced > 0.0) & (by_medians.ice >= SPENT * by_medians.iced))


TRAITS = ("one", "time", "surface", "bore", "valve")


def traits(coils: Coils, by_medians: Chill) -> Array:
    """What the ratio hangs on, shape (traits, designs)."""
    time = np.where(np.isfinite(by_medians.time), by_medians.time, 1.0)
    surface = coils.wetted_length * coils.d_o
    surface = surface.sum(axis=0) if coils.parallel else surface
    columns = (time, np.maximum(surface, 1e-6), coils.of_design("d_i"), coils.of_design("valve_share"))
    return np.stack([np.ones_like(time), *np.log(columns)])
