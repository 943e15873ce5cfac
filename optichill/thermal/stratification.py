"""Wort in one zone or two: how fast it cools when the coil takes a given heat.

Cold plumes sink. While nothing stirs, wort from the kettle floor to the top wetted turn takes part (zone 1,
round the coil) and wort above it waits (zone 2, "top"): it loses heat at the surface and to the risers that
stand in it, exchanges a little with the wort below, and mixes in once it is no warmer. Any stirring makes one
zone of both.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optichill.arrays import Array, Mask
from optichill.properties.water import T_MIN
from optichill.thermal.batch import Scenario
from optichill.thermal.hot_risers import Drawn, of_zones

Risers = tuple[Array | float, Array | float]
"""Conductance from stranded wort into the water [W/K], counted from the inlet's temperature, and that [K]."""

NO_RISERS: Risers = (0.0, 0.0)

FILM_EXPONENT = 1.2
"""Heat goes about with this power of the difference between still wort and water: only for Newton's steps."""

HAIR = 1e-9
"""Kelvin by which wort that has mixed in may seem warmer: zone 1 is worked out from the mean."""


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

    def _zones(self, T_1: Array, T_top: Array) -> tuple[Array, Array, Array]:
        """The same for both zones, on a first axis."""
        return self._wort(of_zones(T_1, T_top))

    def below(self, T: Array, T_top: Array) -> Array:
        """Temperature of zone 1 [K] from the mass mean and zone 2; one below freezing is out of reach, and is
        told as 0 degC."""
        return np.maximum((T - self.stranded * T_top) / self._below, T_MIN)

    def rates(self, T_1: Array, T_top: Array, Q: Array, Q_top: Array) -> tuple[Array, Array]:
        """How fast each zone cools [K/s] when the turns take Q and the risers in zone 2 Q_top [W]; the same
        rate where they are one."""
        if not self.apart:
            rate = self.mean_rate(T_1, T_top, Q)
            return rate, rate
        below, top, _ = self._balance(T_1, T_top, Q, Q_top)
        return below, top

    def loss(self, T_1: Array, T_top: Array) -> Array:
        """Heat lost by the kettle [W]."""
        if not self.apart:
            _, surface, wall = self._wort(T_top)
            return surface + wall
        _, (_, surface), (wall_1, wall_2) = self._zones(T_1, T_top)
        return np.asarray(surface + self._below * wall_1 + self.stranded * wall_2)

    def _balance(self, T_1: Array, T_top: Array, Q: Array, Q_top: Array) -> tuple[Array, Array, Array]:
        """Both rates, and the heat capacity of zone 1 [J/K]."""
        share = self.stranded
        exchange = self._exchange * (T_top - T_1)
        (capacity_1, capacity_2), (_, surface), (wall_1, wall_2) = self._zones(T_1, T_top)
        low = Q + self._below * wall_1 - exchange
        high = surface + share * wall_2 + exchange + Q_top
        C_1 = self._below * capacity_1 + self.coil_capacity
        C_2 = share * capacity_2
        apart_1, apart_2 = low / C_1, high / np.maximum(C_2, 1e-9)
        one = ~self._some | ((T_top <= T_1 + HAIR) & (apart_2 >= apart_1))
        if not one.any():
            return apart_1, apart_2, C_1
        together = (low + high) / (C_1 + C_2)
        return np.where(one, together, apart_1), np.where(one, together, apart_2), C_1

    def pace(self, T: Array, T_top: Array, drawn: Drawn) -> tuple[Array, Array]:
        """How fast the mass mean falls [K/s] with what the coil takes, and how much faster for every second
        more [K/s2] that zone 2 had to cool on the way to the same mean.

        The longer it took, the colder zone 2, so the warmer zone 1 at the same mean: the turns take more and
        the risers less. With much wort stranded this is what settles the time.
        """
        Q, Q_top = drawn.Q, drawn.Q_top
        if not self.apart:
            return self.mean_rate(T, T_top, Q), np.zeros_like(Q)
        T_1, share = self.below(T, T_top), self.stranded
        below, top, C_1 = self._balance(T_1, T_top, Q, Q_top)
        # At one U all heat is a sum over both zones' differences to the water: the rest is zone 2's.
        from_top = (Q + Q_top - drawn.from_turns * (T_1 - drawn.T_in)) / np.maximum(T_top - drawn.T_in, 1e-6)
        per_kelvin = share * drawn.from_turns - self._below * from_top
        growth = FILM_EXPONENT * per_kelvin / C_1 * np.maximum(top, 0.0)
        return self._below * below + share * top, np.where(T_top > T, growth, 0.0)

    def mean_rate(self, T: Array, T_top: Array, Q: Array, Q_top: Array | float = 0.0) -> Array:
        """How fast the mass mean falls [K/s] when turns and risers in zone 2 take Q and Q_top [W]."""
        if not self.apart:
            capacity, surface, wall = self._wort(T)
            return (Q + surface + wall) / (capacity + self.coil_capacity)
        below, top = self.rates(self.below(T, T_top), T_top, Q, np.asarray(Q_top))
        return self._below * below + self.stranded * top

    def top_after(
        self,
        T_1: Array,
        T_top: Array,
        T_next: Array,
        dt: Array,
        near: Array,
        risers: Risers = NO_RISERS,
    ) -> Array:
        """Zone 2's temperature after dt [s] while the mass mean goes to T_next [K]; T_1 : zone 1 before it.

        Zone 1's temperature is taken as a straight line in time; exchange and risers then have a closed
        solution, which holds for a thin layer (that follows at once) as for a thick one. What the surface
        loses is taken half way to `near`, where zone 2 is expected.
        """
        if not self.apart:
            return np.broadcast_to(T_next, self.stranded.shape)
        share, (G, T_in) = self.stranded, risers
        both = self._exchange + G
        capacity, surface, wall = self._wort(0.5 * (T_top + near))
        # Zone 2 tends to follow * T_1 + offset.
        follow = self._exchange / both
        offset = (G * T_in - surface - share * wall) / both
        passed = np.maximum(both * dt / np.maximum(share * capacity, 1e-9), 1e-12)
        left = np.exp(-passed)
        lag = -np.expm1(-passed) / passed
        ahead = 1.0 - lag
        start = follow * T_1 + offset
        drawn = ahead * follow * self._per_below
        end = drawn * T_next + ahead * offset + lag * start + (T_top - start) * left
        end = end / (1.0 + share * drawn)
        # No warmer than the wort below, it has mixed in.
        return np.where(self._some, np.maximum(end, T_next), T_next)

    @cached_property
    def _below(self) -> Array:
        """Share of zone 1."""
        return 1.0 - self.stranded

    @cached_property
    def _per_below(self) -> Array:
        """All wort by that of zone 1 [-]."""
        return 1.0 / self._below

    @cached_property
    def _exchange(self) -> Array | float:
        """Between the two zones [W/K]."""
        return self.scenario.factors.exchange * self.scenario.kettle_area

    @cached_property
    def _some(self) -> Mask:
        """Above which coils any wort is stranded."""
        return self.stranded > 0.0
