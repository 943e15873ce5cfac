"""How many transfer units a whole tube has, as a smooth curve of the wort's temperature, and its slope."""

from __future__ import annotations

import numpy as np

from optichill.arrays import Array
from optichill.properties import water
from optichill.thermal.coil_performance import CoilPerformance
from optichill.thermal.hot_risers import WATER
from optichill.thermal.performance_curve import LOOKS, NEAREST, PAST, polynomial

LEAST_G, LEAST_DRIVE = 1e-6, 0.05  # W/K, K


class TransferUnits:
    """Transfer units and flow of coils behind water of one temperature: curves through a few looks at the
    kernel, the conductance G being a polynomial in ln(T - T_in) as in `performance_curve.PerformanceCurve`.

    T_hot, T_cold [K]: between which wort temperatures they are read; `nearest` to the water [K] that may be.
    """

    def __init__(self, kernel: CoilPerformance, T_hot: float, T_cold: float) -> None:
        self.T_in = kernel.source.T_water
        v_hot, v_cold = (np.log(max(T - self.T_in, NEAREST)) for T in (T_hot, T_cold))
        nodes = np.cos(np.pi * (np.arange(LOOKS) + 0.5) / LOOKS)
        self.middle, self.per_half = 0.5 * (v_hot + v_cold), 2.0 / max(v_hot - v_cold, 2e-6)
        apart = np.exp(self.middle + nodes / self.per_half)
        self.nearest = float(max(np.exp(self.middle - PAST / self.per_half), LEAST_DRIVE))
        e = kernel.at((self.T_in + apart)[:, None])
        to_coefficients = np.linalg.inv(np.vander(nodes, increasing=True))
        self.rho = float(water.density(self.T_in))
        self.log_G = to_coefficients @ np.log(np.maximum(e.Q / apart[:, None], LEAST_G))
        self.slope = self.log_G[1:] * (np.arange(1, LOOKS) * self.per_half)[:, None]
        self.flow = to_coefficients @ np.broadcast_to(e.V, e.Q.shape)

    def at(self, apart: Array) -> tuple[Array, Array, Array]:
        """Transfer units [-] and what they gain per kelvin [1/K] with wort so far over the water [K], shape
        (zones, designs); flow [m3/s], by the first zone."""
        y = (np.log(apart) - self.middle) * self.per_half
        V = polynomial(self.flow, y[0])
        G = np.exp(polynomial(self.log_G[:, None], y))
        reached = np.minimum(G / self.capacity_rate(V), 1.0 - 1e-6)
        left = 1.0 - reached
        return -np.log(left), polynomial(self.slope[:, None], y) * reached / (left * apart), V

    def capacity_rate(self, V: Array) -> Array:
        """Of a flow [m3/s], W/K."""
        return WATER * self.rho * V
