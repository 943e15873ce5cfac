"""Wort in one zone or two: how fast it cools when the coil takes a given heat.

Cold plumes sink. While nothing stirs, wort from the kettle floor to the top wetted turn takes part (zone 1,
round the coil) and wort above it waits (zone 2, "top"): it loses heat at the surface, exchanges a little with
the wort below, and mixes in once it is no warmer. Any stirring makes one zone of both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array
from optichill.properties.water import T_MIN
from optichill.thermal.batch import Scenario

FILM_EXPONENT = 1.2
"""Heat goes about with this power of the difference between still wort and water: only for Newton's steps."""


@dataclass(frozen=True)
class StratifiedWort:
    """The wort of one scenario. stranded: share of zone 2; coil_capacity [J/K], in zone 1; shape (designs,).
    exact: by the formulas themselves, not from a table. apart: whether any wort is stranded at all.

    Kettle metal and wall loss go by the share of each zone, the surface's loss is zone 2's.
    """

    scenario: Scenario
    stranded: Array
    coil_capacity: Array
    exact: bool = True
    apart: bool = True

    def _wort(self, T: Array) -> tuple[Array, Array, Array]:
        """Heat capacity [J/K], surface and wall loss [W] of all wort at T [K]."""
        return self.scenario.at(T, exact=self.exact)

    def below(self, T: Array, T_top: Array) -> Array:
        """Temperature of zone 1 [K] from the mass mean and zone 2; one below freezing is out of reach, and is
        told as 0 degC."""
        return np.maximum((T - self.stranded * T_top) / (1.0 - self.stranded), T_MIN)

    def rates(self, T_1: Array, T_top: Array, Q: Array) -> tuple[Array, Array]:
        """How fast each zone cools [K/s] when the coil takes Q [W]; the same rate where they are one."""
        if not self.apart:
            rate = self.mean_rate(T_1, T_top, Q)
            return rate, rate
        below, top, _ = self._balance(T_1, T_top, Q)
        return below, top

    def loss(self, T_1: Array, T_top: Array) -> Array:
        """Heat lost by the kettle [W]."""
        _, surface, wall_2 = self._wort(T_top)
        wall_1 = self._wort(T_1)[2] if self.apart else wall_2
        return np.asarray(surface + (1.0 - self.stranded) * wall_1 + self.stranded * wall_2)

    def _balance(self, T_1: Array, T_top: Array, Q: Array) -> tuple[Array, Array, Array]:
        """Both rates, and the heat capacity of zone 1 [J/K]."""
        s, share = self.scenario, self.stranded
        exchange = s.factors.exchange * s.kettle_area * (T_top - T_1)
        capacity_1, _, wall_1 = self._wort(T_1)
        capacity_2, surface, wall_2 = self._wort(T_top)
        low = Q + (1.0 - share) * wall_1 - exchange
        high = surface + share * wall_2 + exchange
        C_1 = (1.0 - share) * capacity_1 + self.coil_capacity
        C_2 = share * capacity_2
        apart_1, apart_2 = low / C_1, high / np.maximum(C_2, 1e-9)
        one = (share == 0.0) | ((T_top <= T_1) & (apart_2 >= apart_1))
        together = (low + high) / (C_1 + C_2)
        return np.where(one, together, apart_1), np.where(one, together, apart_2), C_1

    def pace(self, T: Array, T_top: Array, Q: Array, G: Array) -> tuple[Array, Array]:
        """How fast the mass mean falls [K/s] when the coil takes Q [W], and how much faster for every second
        more [K/s2] that zone 2 had to cool on the way to the same mean; G [W/K] of the coil.

        The longer it took, the colder zone 2, so the warmer zone 1 at the same mean, and the more the coil
        takes: with much wort stranded this is what settles the time.
        """
        if not self.apart:
            return self.mean_rate(T, T_top, Q), np.zeros_like(Q)
        T_1, share = self.below(T, T_top), self.stranded
        below, top, C_1 = self._balance(T_1, T_top, Q)
        growth = share * FILM_EXPONENT * G / C_1 * np.maximum(top, 0.0)
        return (1.0 - share) * below + share * top, np.where(T_top > T, growth, 0.0)

    def mean_rate(self, T: Array, T_top: Array, Q: Array) -> Array:
        """How fast the mass mean falls [K/s] when the coil takes Q [W]."""
        if not self.apart:
            capacity, surface, wall = self._wort(T)
            return (Q + surface + wall) / (capacity + self.coil_capacity)
        below, top = self.rates(self.below(T, T_top), T_top, Q)
        return (1.0 - self.stranded) * below + self.stranded * top

    def top_after(self, T: Array, T_top: Array, T_next: Array, dt: Array, near: Array) -> Array:
        """Zone 2's temperature after dt [s] while the mass mean goes from T to T_next [K].

        Zone 1's temperature is taken as a straight line in time; the exchange then has a closed solution,
        which holds for a thin layer (that follows at once) as for a thick one. What the surface loses is
        taken half way to `near`, where zone 2 is expected.
        """
        if not self.apart:
            return np.broadcast_to(T_next, self.stranded.shape)
        s, share = self.scenario, self.stranded
        X = s.factors.exchange * s.kettle_area
        capacity, surface, wall = self._wort(0.5 * (T_top + near))
        pull = (surface + share * wall) / X
        passed = np.maximum(X * dt / np.maximum(share * capacity, 1e-9), 1e-12)
        left = np.exp(-np.minimum(passed, 500.0))
        lag = -np.expm1(-np.minimum(passed, 500.0)) / passed
        start = self.below(T, T_top) - pull
        end = (1.0 - lag) * (T_next / (1.0 - share) - pull) + lag * start + (T_top - start) * left
        end = end / (1.0 + share * (1.0 - lag) / (1.0 - share))
        # No warmer than the wort below, it has mixed in.
        return np.where(share > 0.0, np.maximum(end, T_next), T_next)
