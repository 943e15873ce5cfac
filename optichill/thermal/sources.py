"""Where the cold comes from: tap, bucket, ice bath, tap through a coil in ice; and the stages of a plan.

A vessel of water with ice in it ("bath") is told by one number, the heat E [J] that it has taken up since the
stage began; everything else about it follows from E. Heat from the room into the bath is left out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float
from optichill.correlations.inside_film import HelicalFilm
from optichill.properties import water
from optichill.thermal.exchanger import (
    effectiveness_isothermal_outside,
    wall_resistance,
)
from optichill.thermal.film_tables import coolant_films
from optichill.thermal.hydraulics import pressure_drop_tube
from optichill.thermal.supply import Supply

ICE_MELTING_HEAT = 333.55e3
"""Heat that melts ice at 0 degC [J/kg] (CRC Handbook, M)."""

ZERO_CELSIUS = 273.15
RUNNING_ICE, STILL_ICE = 1800.0, 100.0
"""Film on ice in water that runs past it, or stands [W/m2K]: a block of a third of a kilogram took 55 W/K and
3 W/K (one laboratory report, M) on the 0.031 m2 of a cube of that mass. Known to a factor of 2.5."""

ICE_DENSITY = 917.0
"""Of ice at 0 degC [kg/m3] (CRC Handbook, M)."""

SMALL_CUBE = ICE_DENSITY * 0.025**3
"""An ice cube of 25 mm [kg] (OWN)."""

ICE_LUMPS = {"small cubes": SMALL_CUBE, "blocks": 1.0, "bags": 2.0}
"""Mass of one lump of ice [kg]: cubes of 25 mm; blocks of 1 kg; bags of 2 kg, unopened or frozen together, as
good as one block (OWN)."""

GIVEN_OUT = 0.99
"""Share of the ice melted from which it counts as gone: the last lumps are crumbs."""

COLD_BATH = ZERO_CELSIUS + 4.0
"""What a bath with ice and water running through it stands at (OWN, 1.5-9 degC): ice that is missing is told
for this."""

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
    return np.asarray(water.enthalpy(T) - _heat_at_zero(), dtype=np.float64)


@lru_cache(maxsize=1)
def _heat_at_zero() -> float:
    """Enthalpy of water at 0 degC [J/kg], which is asked for at every step."""
    return float(water.enthalpy(ZERO_CELSIUS))


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
    return table.columns["enthalpy"] - _heat_at_zero(), table.T


@dataclass(frozen=True)
class Bath:
    """A vessel with `water_mass` [kg] at T_water [K] and `ice` [kg] of 0 degC in lumps of `lump` [kg]; the
    melt stays in it. h_ice : film on the ice [W/m2K], a number or an array of shape (designs,).

    Ice lets in what its surface passes at the bath's temperature, h_ice A (T_bath - 0 degC), with A falling
    as (ice left)^(2/3): the bath stands where that is the heat that comes. What its water holds besides is
    settled within a minute by cubes, within two or three by blocks, and is taken as settled.

    Examples
    --------
    20 kg of 10 degC and 10 kg of ice that take up 2000 kJ hold 2840 kJ over water and ice of 0 degC. At
    4 degC (2840 - 20 x 16.8)/(333.55 + 16.8) = 7.1 kg have melted:

    >>> bath = Bath(20.0, ZERO_CELSIUS + 10.0, ice=10.0)
    >>> f"{bath.melted(2e6, ZERO_CELSIUS + 4.0):.1f} kg"
    '7.1 kg'

    2.9 kg of cubes that were 10 kg have 2.62 x 0.29^(2/3) = 1.15 m2: 2060 W/K, which 300 W/K from wort of
    31.5 degC keep at 31.5 x 300/2360 = 4 degC:

    >>> f"{bath.temperature(2e6, 300.0, ZERO_CELSIUS + 31.5) - ZERO_CELSIUS:.1f}"
    '4.0'
    """

    water_mass: float
    T_water: float
    ice: float = 0.0
    h_ice: float | Array = RUNNING_ICE
    lump: float = SMALL_CUBE

    def _heat(self, E: ArrayLike) -> Array:
        """Heat [J] over all its water as liquid and its ice as ice, at 0 degC."""
        return self._filled_heat + as_float(E)

    @cached_property
    def _filled_heat(self) -> float:
        """Heat of the water as filled in [J] over water at 0 degC."""
        return self.water_mass * float(liquid_heat(self.T_water))

    @cached_property
    def ice_UA(self) -> float | Array:
        """What all of its ice lets in [W/K]."""
        area = self.ice / self.lump * 6.0 * (self.lump / ICE_DENSITY) ** (2.0 / 3.0)
        UA: float | Array = self.h_ice * area
        return UA

    def ice_needed(self, E: ArrayLike) -> Array:
        """Ice that keeps the bath at COLD_BATH until it has taken up E [kg]; 0 where the water is colder."""
        return self._melted(E, COLD_BATH)

    def melted(self, E: ArrayLike, T: ArrayLike) -> Array:
        """Ice melted when it has taken up E [J] and is at T [K]; kg."""
        return np.minimum(self._melted(E, T), self.ice)

    def _melted(self, E: ArrayLike, T: ArrayLike) -> Array:
        """However much there is."""
        h = liquid_heat(T)
        return np.maximum((self._heat(E) - self.water_mass * h) / (ICE_MELTING_HEAT + h), 0.0)

    def mixed(self, E: ArrayLike) -> Array:
        """Temperature [K] that follows from energy alone, when all that can melt has melted: the bath is
        never colder."""
        return liquid_temperature(self._mixed_heat(E))

    def _mixed_heat(self, E: ArrayLike) -> Array:
        """Of a kilogram [J/kg] when all ice has melted; below zero some is left."""
        return (self._heat(E) - self.ice * ICE_MELTING_HEAT) / (self.water_mass + self.ice)

    def temperature(self, E: ArrayLike, G: ArrayLike, T: ArrayLike) -> Array:
        """Temperature [K] when it has taken up E [J] and G (T - T_bath) comes in.

        Parameters
        ----------
        E : array_like [J]
        G : array_like [W/K]
            Conductance between the bath and what warms it.
        T : array_like [K]
            What warms it: wort, or water that passes.

        Returns
        -------
        Array [K], broadcast shape

        Notes
        -----
        b [J/kg] is the bath's heat, b_T that at T, s(b) the share of ice left by the heat balance, which
        rises with b; the ice lets in s^(2/3) UA b, and that is G (b_T - b). As shares of ice, s(b) less
        ((b_T - b) G/(UA b))^1.5 rises and is concave: Newton's steps from below never overshoot.
        """
        least = self._mixed_heat(E)
        if self.ice == 0.0:
            return liquid_temperature(least)
        b_T = np.maximum(liquid_heat(T), np.maximum(least, 0.0) + TINY_HEAT)
        u = self.ice_UA / np.maximum(G, TINY_CONDUCTANCE)
        b = np.maximum(least, b_T / (1.0 + u))
        whole = (self.water_mass + self.ice) / self.ice
        for _ in range(MOST_ROUNDS):
            share = whole * (b - least) / (ICE_MELTING_HEAT + b)
            rises = (whole - share) / (ICE_MELTING_HEAT + b)
            lets_in = np.maximum(b_T / b - 1.0, 0.0) / u
            root = np.sqrt(lets_in)
            # Backwards it would go only where more ice would be left than there was: see the end.
            step = np.maximum((lets_in * root - share) / (rises + 1.5 * root * b_T / (b * b * u)), 0.0)
            b = b + step
            if np.max(step, initial=0.0) < SETTLED_HEAT:
                break
        # Water that is colder than the ice would keep it melts none: it warms first.
        return liquid_temperature(np.minimum(b, self._heat(E) / max(self.water_mass, TINY_MASS)))

    @cached_property
    def coldest(self) -> float:
        """It never gets colder [K]."""
        return float(self.mixed(0.0))


TINY_HEAT, TINY_CONDUCTANCE, TINY_MASS = 1.0, 1e-6, 1e-9
SETTLED_HEAT, MOST_ROUNDS = 10.0, 30
"""A step [J/kg] after which the next would be a ten-thousandth of a kelvin, and the most that are made."""


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

    @property
    def iced(self) -> float:
        """Ice that is put into the vessel [kg]."""
        return 0.0 if self.bath is None else self.bath.ice

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

    @property
    def implicit(self) -> bool:
        """Whether the water's temperature hangs on the heat that the chiller takes at that moment."""
        return self.returns and self.bath is not None and self.bath.ice > 0.0

    def scaled(self, ice: float | Array) -> Source:
        """With so many times the heat that its ice lets in at one temperature."""
        if self.bath is None or self.bath.ice == 0.0:
            return self
        return replace(self, bath=replace(self.bath, h_ice=self.bath.h_ice * ice))

    @property
    def typical(self) -> Source:
        """With ice that lets in the same for all coils."""
        if self.bath is None:
            return self
        return replace(self, bath=replace(self.bath, h_ice=float(np.median(self.bath.h_ice))))

    def bath_temperature(self, E: ArrayLike, V: ArrayLike, G: ArrayLike, T: ArrayLike) -> Array:
        """Temperature of the vessel [K] with E [J] in it; `inlet` says the rest. NaN without a vessel."""
        if self.bath is None:
            return np.asarray(np.nan)
        if self.returns:
            return self.bath.temperature(E, G, T)
        # Water that passes can warm the bath to its own temperature and no further.
        if self.bath.ice == 0.0:
            return np.minimum(self.bath.mixed(E), self.T_water)
        C = as_float(V) * float(water.density(self.T_water) * water.heat_capacity(self.T_water))
        passed = C if self.precooler is None else C * self._precooled(V)
        return np.minimum(self.bath.temperature(E, passed, self.T_water), self.T_water)

    def _precooled(self, V: ArrayLike) -> Array:
        """How far water comes towards the bath's temperature on its way through the small coil [-]."""
        assert self.precooler is not None and self.bath is not None
        return self.precooler.effectiveness(V, 0.5 * (self.T_water + self.bath.coldest))

    def inlet(self, E: ArrayLike, V: ArrayLike, G: ArrayLike, T: ArrayLike) -> Array:
        """Temperature of the water that enters the chiller [K], with E [J] in the bath, at flow V [m3/s] and
        with G [W/K] between it and wort of T [K]."""
        if self.bath is None:
            return as_float(self.T_water)
        T_bath = self.bath_temperature(E, V, G, T)
        if self.precooler is None:
            return T_bath
        return self.T_water - self._precooled(V) * (self.T_water - T_bath)

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
