"""The coil and the batch that physics tests start from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.coil_performance import Coils
from optichill.thermal.supply import Supply

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
    """20 L from 98 to 25 degC, water of 12 degC at 8 L/min, unless changed; T_in and supply make one tap."""
    usual: dict[str, object] = {
        "volume": 20e-3,
        "plato": 12.0,
        "T_start": 98.0 + ZERO,
        "T_target": 25.0 + ZERO,
        "T_ambient": 20.0 + ZERO,
        "kettle_diameter": 0.36,
        "mixing": Mixing.of("steady"),
    }
    T_in, supply = changes.pop("T_in", 12.0 + ZERO), changes.pop("supply", None) or fixed_flow(8.0)
    usual["stages"] = one_tap(T_in, supply)  # type: ignore[arg-type]
    return Scenario(**(usual | changes))  # type: ignore[arg-type]


def on_tap(s: Scenario, T_in: float | None = None, supply: Supply | None = None) -> Scenario:
    """The same batch on a single tap, its temperature or its supply changed."""
    return replace(s, stages=one_tap(s.T_in if T_in is None else T_in, supply or s.supply))
