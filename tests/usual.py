"""The coil and the batch that physics tests start from."""

from __future__ import annotations

import numpy as np

from optichill.physics.cooldown import Coils, Mixing, Scenario
from optichill.physics.supply import Supply

ZERO, LPM = 273.15, 1e-3 / 60.0


def fixed_flow(litres_per_minute: float) -> Supply:
    """A supply that gives the same flow through any coil: its own resistance dwarfs the coil's."""
    return Supply(1e9, 1e9 / (litres_per_minute * LPM) ** 2, 12.7e-3)


def coil(**changes: float | np.ndarray) -> Coils:
    """15 m of 9.525 x 0.81 mm copper, all of it wetted, unless changed."""
    columns: dict[str, float | np.ndarray] = {
        "d_o": 9.525e-3,
        "d_i": 7.905e-3,
        "k": 339.0,
        "D_c": 0.25,
        "pitch": 14e-3,
        "wetted_length": 15.0,
        "tube_length": 15.0,
        "metal_capacity": 1140.0,
    }
    return Coils.of(**(columns | changes))


def batch(**changes: object) -> Scenario:
    """20 L from 98 to 25 degC with water of 12 degC at 8 L/min, unless changed."""
    usual: dict[str, object] = {
        "volume": 20e-3,
        "plato": 12.0,
        "T_start": 98.0 + ZERO,
        "T_target": 25.0 + ZERO,
        "T_in": 12.0 + ZERO,
        "T_ambient": 20.0 + ZERO,
        "kettle_diameter": 0.36,
        "supply": fixed_flow(8.0),
        "mixing": Mixing.of("steady"),
    }
    return Scenario(**(usual | changes))  # type: ignore[arg-type]
