"""What the kettle loses by itself, and the heat its metal holds.

OWN fit, +/-40 %: 1-2 % of a chill's time, but what decides a hop stand. The sign of T - T_ambient is kept.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float
from optichill.properties import water

STEFAN_BOLTZMANN = 5.670374e-8  # W/m2K4
WALL_EMISSIVITY = 0.25  # bare kettle wall
KETTLE_WALL, KETTLE_DENSITY, KETTLE_HEAT_CAPACITY = 1.0e-3, 7930.0, 500.0  # m, kg/m3, J/kgK: stainless


def surface_loss_open(T: ArrayLike, T_ambient: ArrayLike) -> Array:
    """Loss of an open surface: vapour 130 max(p_sat - 1.2 kPa, 0) and 14 (T - T_ambient), W/m2. OWN.

    Parameters
    ----------
    T, T_ambient : array_like [K]
        Wort, 273.15-393.15; room.

    Returns
    -------
    Array [W/m2], broadcast shape
        Below 0 where the wort takes up heat.

    Raises
    ------
    PropertyRange
        T outside the water table.

    Examples
    --------
    At 60 degC p_sat is 19.95 kPa: 130 x 18.75 + 14 x 40:

    >>> f"{surface_loss_open(333.15, 293.15):.0f}"
    '2997'
    """
    evaporation = 130.0 * np.maximum(water.saturation_pressure(T) / 1000.0 - 1.2, 0.0)
    return evaporation + 14.0 * (as_float(T) - as_float(T_ambient))


def surface_loss_lid(T: ArrayLike, T_ambient: ArrayLike) -> Array:
    """Loss through a lid, 8 W/m2K. OWN.

    Parameters
    ----------
    T, T_ambient : array_like [K]
        Wort; room.

    Returns
    -------
    Array [W/m2], broadcast shape

    Examples
    --------
    >>> float(surface_loss_lid(333.15, 293.15))
    320.0
    """
    return 8.0 * (as_float(T) - as_float(T_ambient))


def wall_loss(T: ArrayLike, T_ambient: ArrayLike, height: ArrayLike) -> Array:
    """Loss of the bare wall up to the wort level: 1.42 (dT/H)^0.25 dT, and radiation of emissivity 0.25. OWN.

    Parameters
    ----------
    T, T_ambient : array_like [K]
        Wort; room.
    height : array_like [m]
        Of the wort at the wall.

    Returns
    -------
    Array [W/m2], broadcast shape

    Examples
    --------
    40 K over 0.19 m: 1.42 x 3.809 x 40 = 216, and 5.67e-8/4 x (333.15^4 - 293.15^4) = 70:

    >>> f"{wall_loss(333.15, 293.15, 0.19):.0f}"
    '286'
    """
    T, T_a = as_float(T), as_float(T_ambient)
    dT = T - T_a
    convection = 1.42 * (np.abs(dT) / as_float(height)) ** 0.25 * dT
    return convection + WALL_EMISSIVITY * STEFAN_BOLTZMANN * (T**4 - T_a**4)


def kettle_heat_capacity(diameter: float, height: float, metal_mass: float | None = None) -> float:
    """Heat capacity of the kettle's metal: of the given mass, else 1 mm over bottom and wetted wall.

    Parameters
    ----------
    diameter, height : float [m]
        Inside width of the kettle; wort level.
    metal_mass : float [kg], optional

    Returns
    -------
    float [J/K]

    Examples
    --------
    500 J/kgK:

    >>> kettle_heat_capacity(0.36, 0.19, metal_mass=4.0)
    2000.0
    """
    if metal_mass is None:
        area = np.pi / 4.0 * diameter**2 + np.pi * diameter * height
        metal_mass = float(area * KETTLE_WALL * KETTLE_DENSITY)
    return metal_mass * KETTLE_HEAT_CAPACITY
