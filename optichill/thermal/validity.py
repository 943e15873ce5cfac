"""Where a formula is used outside the data it was fitted to: nothing is clipped, everything is said."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array
from optichill.correlations import inside_film, records
from optichill.correlations.records import Record
from optichill.properties import water, wort
from optichill.thermal.coil_performance import CoilPerformance
from optichill.unit_table import GRAVITY


@dataclass(frozen=True)
class Use:
    """One formula in one chill: the smallest and largest value of its argument, and the range of its data."""

    formula: str
    argument: str
    least: float
    most: float
    valid_from: float
    valid_to: float

    @property
    def inside(self) -> bool:
        """Whether the use stays within the data."""
        return self.valid_from <= self.least and self.most <= self.valid_to


def uses(kernel: CoilPerformance, T: Array) -> list[Use]:
    """How the formulas are used by one coil (shape (1,)) at wort temperatures T [K] of shape (nodes, 1).

    Ranges and their sources are those of correlations.records.
    """
    c, s = kernel.coils, kernel.scenario
    e = kernel.at(T)
    T_m = 0.5 * (e.T_out + e.T_in)
    d_i, D_c, d_o = c.of_design("d_i"), c.of_design("D_c"), c.of_design("d_o")
    # Two tubes on tees share the flow; nearly evenly is near enough for a range.
    m_dot = 0.5 * e.m_dot if c.parallel else e.m_dot
    Re = 4.0 * m_dot / (np.pi * d_i * water.viscosity(T_m))
    r = d_i / D_c
    laminar = Re < inside_film.Re_crit_helical_Schmidt(d_i, D_c)
    # The wall is somewhere between water and wort; the whole difference bounds Ra from above.
    T_film = 0.5 * (T + T_m)
    nu = wort.viscosity(T_film, s.plato) / wort.density(T_film, s.plato)
    alpha = wort.conductivity(T_film, s.plato) / (
        wort.density(T_film, s.plato) * wort.heat_capacity(T_film, s.plato)
    )
    Ra = GRAVITY * wort.expansion(T_film, s.plato) * np.abs(T - T_m) * d_o**3 / (nu * alpha)
    found = [
        _use(records.INSIDE, r),
        _use(records.INSIDE_ANY, Re),
        _use(records.STILL, Ra),
        _use(records.WORT, np.concatenate([T, T_m]) - 273.15),
    ]
    if laminar.any():
        De = (Re * np.sqrt(r))[laminar]
        found.append(_use(records.LAMINAR, De))
    if not laminar.all():
        found.append(_use(records.TURBULENT, (Re * r * r)[~laminar]))
    fastest = s.mixing.speed if s.mixing.swirl is None else s.mixing.swirl
    if fastest > 0.0:
        Re_w, Pr = fastest * d_o / nu, nu / alpha
        found.append(_use(records.MOVING, Re_w * Pr))
    return found


def _use(of: Record, values: Array) -> Use:
    """A use by the smallest and largest of its values."""
    least, most = float(np.min(values)), float(np.max(values))
    return Use(of.used_as, of.argument, least, most, of.valid_from, of.valid_to)
