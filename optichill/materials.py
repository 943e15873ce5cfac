"""Tube metals: all that is particular to one, in one record. A new metal is a new record, and no more.

Whoever needs to know a metal looks its record up by the name that the lists and coil files give it, and asks
the record; nobody compares names. All values from memory (M) unless marked; k as used in the trade's data
sheets at 20-100 degC.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats

# --- rules for the smallest lever bend: of (d_o, t) [m], centre line radius [m] ---------------------------

LeverRule = Callable[[ArrayLike, ArrayLike], Array]

HANDBOOK_LEVER_MINIMA = ((0.009525, 0.01905), (0.0127, 0.0381), (0.015875, 0.05715), (0.022225, 0.0762))
"""(d_o, smallest bend radius) [m], annealed copper, mechanical benders: Copper Tube Handbook (V)."""


def handbook_lever_minimum(d_o: ArrayLike, t: ArrayLike) -> Array:
    """Smallest radius a lever bender may have for annealed copper tube of any wall t [m].

    Copper Tube Handbook's row (V) where the outside diameter is within 0.1 mm of one: 0.75, 1.5, 2.25 and
    3 in for 3/8, 1/2, 5/8 and 7/8 in. Between the rows 3 d_o (classification rule, V), the usual former of
    metric benders; below 3/8 in 2 d_o, the handbook's own ratio at 3/8 in (OWN).

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.

    Returns
    -------
    Array [m], broadcast shape
        Centre line radius.

    Examples
    --------
    1/2 in by the handbook (1.5 in), 10 mm by the rule:

    >>> handbook_lever_minimum([0.0127, 0.010], 0.001).round(4).tolist()
    [0.0381, 0.03]
    """
    d_o, t = floats(d_o, t)
    R = np.where(d_o < HANDBOOK_LEVER_MINIMA[0][0], 2.0, 3.0) * d_o
    for row_d_o, row_R in HANDBOOK_LEVER_MINIMA:
        R = np.where(np.abs(d_o - row_d_o) <= 1e-4, row_R, R)
    return R


def three_or_four_diameters(d_o: ArrayLike, t: ArrayLike) -> Array:
    """Smallest lever bend in annealed stainless: 3 d_o, 4 d_o where d_o/t > 17 (common practice).

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.

    Returns
    -------
    Array [m], broadcast shape
        Centre line radius.

    Examples
    --------
    1/2 in with d_o/t of 14 and of 18:

    >>> three_or_four_diameters(0.0127, [0.0009, 0.0007]).round(4).tolist()
    [0.0381, 0.0508]
    """
    d_o, t = floats(d_o, t)
    return np.where(d_o / t > 17.0, 4.0, 3.0) * d_o


# --- the record -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Material:
    """A tube metal.

    conductivity [W/mK], density [kg/m3], heat_capacity [J/kgK], youngs_modulus [Pa], poisson [-];
    yield_effective [Pa] is the flow stress that governs springback in a hand-wound coil, with its
    band (low, high); yield_rewound is that of tube wound a second time (work hardened).
    plumbing : whether tube of it is sold by names that are not its outside diameter.
    lever_minimum : the rule for the smallest bend on a lever bender; bent_freehand : whether a riser may be
    bent without a tool; bend_hardness : K_r of `difficulty.bend_factor` [-].

    Words: annealed : what a shop calls annealed tube; barred : which cleaners never, with barred_because;
    acid : why a soak in vinegar is short; sour_wort : the caution for it, empty where there is none; wire :
    metals of the wire that may lace it; bar : metal of flat bar for combs, and its usual thickness, metric
    and US.
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
    lever_minimum: LeverRule
    bent_freehand: bool
    bend_hardness: float
    annealed: str
    barred: str
    barred_because: str
    acid: str
    sour_wort: str = ""
    plumbing: bool = False
    wire: tuple[str, ...] = ("stainless",)
    bar: tuple[str, str, str] = ("stainless", "1.5 mm", "1/16 in")


COPPER = Material(
    name="copper",
    plumbing=True,
    conductivity=339.0,
    density=8940.0,
    heat_capacity=385.0,
    youngs_modulus=117e9,
    poisson=0.34,
    yield_effective=100e6,
    yield_band=(69e6, 140e6),
    yield_rewound=200e6,
    rewound_band=(150e6, 250e6),
    lever_minimum=handbook_lever_minimum,
    bent_freehand=True,
    bend_hardness=2.0,
    annealed="soft",
    # The kettle that a copper coil stands in is stainless as a rule: both are named.
    barred="No chlorine on copper or stainless, no hydrogen peroxide on copper",
    barred_because="Chlorine pits both metals; peroxide eats copper.",
    acid="Acid takes the tarnish, then the copper.",
    sour_wort="No copper in sour wort: acid takes up copper.",
    wire=("copper", "stainless"),
    bar=("copper", "3 mm", "1/8 in"),
)

STAINLESS_304 = Material(
    name="stainless 304",
    conductivity=15.0,
    density=7930.0,
    heat_capacity=500.0,
    youngs_modulus=195e9,
    poisson=0.29,
    yield_effective=350e6,
    yield_band=(310e6, 400e6),
    # Second winding of stainless is not in the design data: hardening as for copper, x1.5 (OWN).
    yield_rewound=525e6,
    rewound_band=(450e6, 600e6),
    lever_minimum=three_or_four_diameters,
    bent_freehand=False,
    bend_hardness=3.0,
    annealed="annealed",
    barred="No chlorine on stainless",
    barred_because="Chlorine pits it.",
    acid="Vinegar does it no harm; stronger acids may, above all those that hold chloride.",
)

STAINLESS_316 = replace(STAINLESS_304, name="stainless 316", conductivity=14.0, density=7980.0)

MATERIALS: dict[str, Material] = {m.name: m for m in (COPPER, STAINLESS_304, STAINLESS_316)}
