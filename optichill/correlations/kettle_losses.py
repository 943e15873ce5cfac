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
    """Loss of an open surface [W/m2]: evaporation 0.13 max(p_sat - 1.2 kPa, 0) kW/m2, and 14 (T - T_a)."""
    evaporation = 130.0 * np.maximum(water.saturation_pressure(T) / 1000.0 - 1.2, 0.0)
    return evaporation + 14.0 * (as_float(T) - as_float(T_ambient))


def surface_loss_lid(T: ArrayLike, T_ambient: ArrayLike) -> Array:
    """Loss through a lid [W/m2]: 8 W/m2K."""
    return 8.0 * (as_float(T) - as_float(T_ambient))


def wall_loss(T: ArrayLike, T_ambient: ArrayLike, height: ArrayLike) -> Array:
    """Loss of the bare wall up to the wort level [W/m2]: 1.42 (dT/H)^0.25 dT and radiation."""
    T, T_a = as_float(T), as_float(T_ambient)
    dT = T - T_a
    convection = 1.42 * (np.abs(dT) / as_float(height)) ** 0.25 * dT
    return convection + WALL_EMISSIVITY * STEFAN_BOLTZMANN * (T**4 - T_a**4)


def kettle_heat_capacity(diameter: float, height: float, metal_mass: float | None = None) -> float:
    """Heat capacity of the kettle's metal [J/K]: given mass, else 1 mm over bottom and wetted wall."""
    if metal_mass is None:
        area = np.pi / 4.0 * diameter**2 + np.pi * diameter * height
        metal_mass = float(area * KETTLE_WALL * KETTLE_DENSITY)
    return metal_mass * KETTLE_HEAT_CAPACITY
