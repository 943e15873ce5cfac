"""Where the cold comes from: tap, bucket, ice bath, tap through a coil in ice; and the stages of a plan.

A vessel of water with ice in it ("bath") is told by one number, the heat E [J] that it has taken up since the
stage began; everything else about it follows from E. Heat from the room into the bath is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float
from optichill.correlations.inside_film import HelicalFilm
from optichill.properties import water
from optichill.thermal.exchanger import (
    coolant_films,
    effectiveness_isothermal_outside,
    wall_resistance,
)
from optichill.thermal.hydraulics import Supply, pressure_drop_tube

ICE_MELTING_HEAT = 333.55e3
"""Heat that melts ice at 0 degC [J/kg] (CRC Handbook, M)."""

ZERO_CELSIUS = 273.15
MOVED_BATH, STILL_BATH = ZERO_CELSIUS + 1.0, ZERO_CELSIUS + 3.0
"""Ice water while ice is left [K]: kept moving by what runs through it, or standing (OWN)."""

FOULING_CLEAN = 2e-5
"""Dirt on a tube in clean water [m2K/W] (M)."""

H_PRECOOLER_STILL, H_PRECOOLER_MOVED = 500.0, 1200.0
"""Film round a coil in ice water [W/m2K] (OWN, known to 40 %): water's densest point spoils a plume formula.
"""


def liquid_heat(T: ArrayLike) -> Array:
    """Enthalpy of water over water at 0 degC.

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15.

    Returns
    -------
    Array [J/kg], T's shape

    Raises
    ------
    PropertyRange
        T outside the water table.

    Examples
    --------
    0 to 100 degC takes 419 kJ/kg (steam tables):

    >>> f"{liquid_heat(373.15) / 1e3:.0f}"
    '419'
    """
    return np.asarray(water.enthalpy(T) - water.enthalpy(ZERO_CELSIUS), dtype=np.float64)


def liquid_temperature(heat: ArrayLike) -> Array:
    """Temperature of water holding a heat over water at 0 degC; the inverse of `liquid_heat`.

    Between the table's points by a straight line, to 1e-4 K; beyond its ends it stays at 0 and 120 degC.

    Parameters
    ----------
    heat : array_like [J/kg]

    Returns
    -------
    Array [K], heat's shape

    Examples
    --------
    >>> round(float(liquid_temperature(liquid_heat(300.5))), 2)
    300.5
    """
    return np.interp(as_float(heat), *_heats())


@lru_cache(maxsize=1)
def _heats() -> tuple[Array, Array]:
    """Heats [J/kg] over water at 0 degC and temperatures [K] of the water table."""
    table = water.table()
    return table.columns["enthalpy"] - float(water.enthalpy(ZERO_CELSIUS)), table.T


@dataclass(frozen=True)
class Bath:
    """A vessel with `water_mass` [kg] at T_water [K] and `ice` [kg] of 0 degC, mixed; while ice is left it
    stands at T_ice [K]. The melt stays in it.

    Examples
    --------
    20 kg of 10 degC and 10 kg of ice take up 2000 kJ: (2000 + 840)/333.55 kg melt, the rest keeps 0 degC:

    >>> bath = Bath(20.0, ZERO_CELSIUS + 10.0, ice=10.0, T_ice=ZERO_CELSIUS)
    >>> f"{bath.melted(2e6):.1f} kg, {bath.temperature(2e6) - ZERO_CELSIUS:.1f} degC"
    '8.5 kg, 0.0 degC'
    """

    water_mass: float
    T_water: float
    ice: float = 0.0
    T_ice: float = MOVED_BATH

    def _heat(self, E: ArrayLike) -> Array:
        """Heat [J] over all its water as liquid and its ice as ice, at 0 degC."""
        return self._filled_heat + as_float(E)

    @cached_property
    def _filled_heat(self) -> float:
        """Heat of the water as filled in [J] over water at 0 degC."""
        return self.water_mass * float(liquid_heat(self.T_water))

    @cached_property
    def _per_ice(self) -> float:
        """Heat that a kilogram of ice takes until it is water at T_ice [J/kg]."""
        return ICE_MELTING_HEAT + float(liquid_heat(self.T_ice))

    def ice_needed(self, E: ArrayLike) -> Array:
        """Ice that keeps the bath at T_ice until it has taken up E [kg]; 0 where the water is colder."""
        surplus = self._heat(E) - self.water_mass * float(liquid_heat(self.T_ice))
        return np.maximum(surplus / self._per_ice, 0.0)

    def melted(self, E: ArrayLike) -> Array:
        """Ice melted when it has taken up E [kg]."""
        return np.minimum(self.ice_needed(E), self.ice)

    def temperature(self, E: ArrayLike) -> Array:
        """Temperature [K] when it has taken up E [J]."""
        if self.ice == 0.0:
            return liquid_temperature(self._heat(E) / self.water_mass)
        warm = (self._heat(E) - self.ice * ICE_MELTING_HEAT) / (self.water_mass + self.ice)
        # With ice left the warm branch would be below T_ice: the warmer of the two holds.
        return np.maximum(liquid_temperature(np.maximum(warm, 0.0)), self.T_ice)

    @cached_property
    def coldest(self) -> float:
        """Its temperature at the beginning [K]: it never gets colder."""
        return float(self.temperature(0.0))


@dataclass(frozen=True)
class Precooler:
    """A coil in the bath, through which tap water runs before the chiller; SI, scalars. moved: the ice water
    round it is kept moving.

    Examples
    --------
    7.6 m of 3/8 in at 8 L/min in a bath of 2 degC brings 12 degC down to 10.3 still and 8.5 moved (by hand:
    U 469 and 1035 W/m2K, so NTU 0.19 and 0.42, 10.3 and 8.6):

    >>> for moved in (False, True):
    ...     coil = Precooler(9.525e-3, 7.905e-3, 339.0, 0.15, 7.6, moved)
    ...     print(f"{12 - 10 * coil.effectiveness(8e-3 / 60, 284.0):.1f}")
    10.3
    8.5
    """

    d_o: float
    d_i: float
    k: float
    D_c: float
    length: float
    moved: bool = False

    def effectiveness(self, V: ArrayLike, T: float) -> Array:
        """How far the water comes towards the bath's temperature [-], at flow V [m3/s] and mean T [K]."""
        films = coolant_films(True)
        at = films.locate(as_float(T))
        m_dot = as_float(V) * films.read("density", at)
        Re = 4.0 * m_dot * films.read("inverse_mu", at) / (np.pi * self.d_i)
        film = HelicalFilm.of(np.array(self.d_i), np.array(self.D_c))
        h_i = film.Nu(Re, films.read("Pr_cbrt", at)) * films.read("k", at) / self.d_i
        h_o = H_PRECOOLER_MOVED if self.moved else H_PRECOOLER_STILL
        fixed = float(wall_resistance(self.d_o, self.d_i, self.k)) + FOULING_CLEAN + 1.0 / h_o
        UA = np.pi * self.d_o * self.length / (fixed + self.d_o / self.d_i / h_i)
        return effectiveness_isothermal_outside(UA / (m_dot * films.read("heat_capacity", at)))

    def pressure_drop(self, V: ArrayLike, T: float) -> Array:
        """Friction [Pa] at flow V [m3/s] of water at T [K]."""
        return pressure_drop_tube(V, T, self.d_i, self.D_c, self.length)


CURVE_POINTS = 41
"""Points of a tap's curve behind a pre-cooling coil."""


@dataclass(frozen=True)
class Source:
    """What a stage cools with.

    supply : what drives the water. T_water [K] : of the tap, or as filled into the vessel.
    bath : the vessel, where its temperature changes; None for a tap, or a bucket that only hands water on.
    returns : the water comes back into the bath; else it goes down the drain, and a bath without a precooler
        is topped up with T_water as it runs.
    fills : times a returning bath without ice is filled anew, at wort temperatures in equal ratio.
    precooler : the tap's water runs through it and takes nothing from the bath but cold.
    """

    supply: Supply
    T_water: float
    bath: Bath | None = None
    returns: bool = False
    fills: int = 1
    precooler: Precooler | None = None

    @classmethod
    def precooled(cls, tap: Supply, T_tap: float, bath: Bath, precooler: Precooler) -> Source:
        """Tap water through a coil in ice."""
        V = np.linspace(0.0, float(np.sqrt(tap.pressure / tap.resistance)), CURVE_POINTS)
        loss = np.concatenate([[0.0], precooler.pressure_drop(V[1:], T_tap)])
        return cls(tap.behind(loss, V), T_tap, bath, precooler=precooler)

    @property
    def steady(self) -> bool:
        """Whether its water keeps one temperature."""
        return self.bath is None

    @property
    def filled(self) -> float:
        """Water that the vessel takes, all fillings together [m3]; what only runs through is not counted."""
        if self.bath is None:
            return 0.0
        return self.fills * self.bath.water_mass / float(water.density(self.T_water))

    def changes(self, T_hot: ArrayLike, T_cold: ArrayLike) -> list[Array]:
        """Wort temperatures [K] at which each filling of the vessel has done its part, from T_hot down to
        T_cold: equal ratios of the difference to the water. That is what equal fillings are worth."""
        hot, cold = as_float(T_hot) - self.T_water, as_float(T_cold) - self.T_water
        shares = np.arange(1, self.fills + 1) / self.fills
        return [self.T_water + hot * (cold / hot) ** share for share in shares]

    @cached_property
    def coldest(self) -> float:
        """The coldest water that ever comes out of it [K]."""
        return self.T_water if self.bath is None else min(self.bath.coldest, self.T_water)

    def inlet(self, E: ArrayLike, V: ArrayLike) -> Array:
        """Temperature of the water that enters the chiller [K], with E [J] in the bath, at flow V [m3/s]."""
        if self.bath is None:
            return as_float(self.T_water)
        T_bath = self.bath.temperature(E)
        if not self.returns:
            # Tap water that passes can warm the bath to its own temperature and no further.
            T_bath = np.minimum(T_bath, self.T_water)
        if self.precooler is None:
            return T_bath
        middle = 0.5 * (self.T_water + self.bath.coldest)
        return self.T_water - self.precooler.effectiveness(V, middle) * (self.T_water - T_bath)

    def into_bath(self, Q: ArrayLike, m_dot: ArrayLike, T_in: ArrayLike) -> Array:
        """Heat flow into the bath [W], with Q [W] taken from the wort by m_dot [kg/s] of water from T_in."""
        if self.bath is None:
            return np.zeros_like(as_float(Q))
        if self.returns:
            return as_float(Q)
        return as_float(m_dot) * (water.enthalpy(self.T_water) - water.enthalpy(T_in))


@dataclass(frozen=True)
class Stage:
    """One stage of the plan: a source until the wort (mass mean) is at `until` [K], None: to the target; or a
    hop stand, `hold` seconds in which nothing flows and which do not count. `until` may be an array of
    shape (designs,): each coil's own switch."""

    source: Source | None
    until: float | Array | None = None
    hold: float = 0.0
