"""What a coil takes from the wort, as a smooth curve: a few looks at the kernel serve any number of steps.

A search runs many small steps for many coils (`stepping`); asking the kernel at each would cost ten times the
chill itself. The conductance G = Q/(T - T_in) hardly changes: its logarithm and the flow are polynomials in
ln(T - T_ref) through a few looks along the path that stage would take if the kettle lost nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array
from optichill.properties import water
from optichill.thermal.coil_performance import CoilPerformance

LOOKS = 3


class PerformanceCurve:
    """Heat and flow of one stage's coils at any wort temperature between T_hot and T_cold [K].

    path: heat in the bath [J] at wort temperatures, as arrays of rising temperature and of heat.
    """

    def __init__(
        self, kernel: CoilPerformance, T_hot: float, T_cold: float, path: tuple[Array, Array]
    ) -> None:
        self.source = kernel.source
        self.T_ref = kernel.source.coldest
        v_hot, v_cold = np.log(T_hot - self.T_ref), np.log(T_cold - self.T_ref)
        nodes = np.cos(np.pi * (np.arange(LOOKS) + 0.5) / LOOKS)
        self.middle, self.half = 0.5 * (v_hot + v_cold), 0.5 * max(v_hot - v_cold, 1e-6)
        T = self.T_ref + np.exp(self.middle + self.half * nodes)
        e = kernel.at(T[:, None], np.interp(T, *path)[:, None])
        to_coefficients = np.linalg.inv(np.vander(nodes, increasing=True))
        G = np.maximum(e.Q / (T[:, None] - e.T_in), 1e-6)
        self.log_G = to_coefficients @ np.log(G)
        self.flow = to_coefficients @ e.V
        self.rho = float(water.density(self.source.T_water))

    def at(self, T: Array, E: ArrayLike) -> tuple[Array, Array, Array, Array]:
        """(Q, V, m_dot, T_in) with wort at T [K] round the coil and E [J] in the bath; shape (designs,)."""
        y = (np.log(np.maximum(T - self.T_ref, 1e-3)) - self.middle) * (1.0 / self.half)
        log_G, V = self.log_G[-1], self.flow[-1]
        for a, b in zip(self.log_G[-2::-1], self.flow[-2::-1], strict=True):
            log_G, V = a + y * log_G, b + y * V
        T_in = self.source.inlet(E, V)
        return np.exp(log_G) * (T - T_in), V, V * self.rho, T_in
