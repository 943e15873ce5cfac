"""Copper and stainless: the few numbers that both the physics and the build need.

All values from memory (M) unless marked; k as used in the trade's data sheets at 20-100 degC.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Material:
    """A tube metal.

    conductivity [W/mK], density [kg/m3], heat_capacity [J/kgK], youngs_modulus [Pa], poisson [-];
    yield_effective [Pa] is the flow stress that governs springback in a hand-wound coil, with its
    band (low, high); yield_rewound is that of tube wound a second time (work hardened).
    """

    name: str
    conductivity: float
    density: float
    heat_capacity: float
    youngs_modulus: float
    poisson: float
    yield_effective: float
    yield_band: tuple[float, float]
    yield_rewound: float
    rewound_band: tuple[float, float]


COPPER = Material("copper", 339.0, 8940.0, 385.0, 117e9, 0.34, 100e6, (69e6, 140e6), 200e6, (150e6, 250e6))
# Second winding of stainless is not in the design data: hardening as for copper, x1.5 (OWN).
STAINLESS_304 = Material(
    "stainless 304", 15.0, 7930.0, 500.0, 195e9, 0.29, 350e6, (310e6, 400e6), 525e6, (450e6, 600e6)
)
STAINLESS_316 = Material(
    "stainless 316", 14.0, 7980.0, 500.0, 195e9, 0.29, 350e6, (310e6, 400e6), 525e6, (450e6, 600e6)
)

MATERIALS: dict[str, Material] = {m.name: m for m in (COPPER, STAINLESS_304, STAINLESS_316)}
