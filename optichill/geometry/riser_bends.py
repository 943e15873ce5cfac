"""The bends of a riser: a matter of the tool, and of what the metal stands."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.geometry.kinking import free_winding_radius
from optichill.materials import Material

BY_HAND = 1.1
"""Times the free winding radius that a bend made by hand has (OWN)."""

BY_SPRING = 4.0
"""Outside diameters of tube that a bend in a spring has (V)."""

NEVER = 10.0
"""Stands for a smallest bend radius that is infinite where a share or a step of it must be told [m]."""


def riser_bend_radius(
    d_o: ArrayLike,
    t: ArrayLike,
    poisson: ArrayLike,
    kind: ArrayLike,
    tool_radius: ArrayLike = np.nan,
    rewound: ArrayLike = False,
) -> Array:
    """Centre line radius of the bends up to the rim.

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.
    poisson : array_like [-]
        nu of the metal.
    kind : array_like of str
        "lever": the bender's own radius, `tool_radius`; "spring": 4 d_o (V); "hand": 1.1 times the free
        winding radius (OWN).
    tool_radius : array_like [m]
        Of the lever bender.
    rewound : array_like of bool

    Returns
    -------
    Array [m], broadcast shape
        NaN for any other word.

    Examples
    --------
    >>> riser_bend_radius(0.010, 0.001, 0.34, ["lever", "spring"], tool_radius=0.030).round(4).tolist()
    [0.03, 0.04]
    """
    d_o, tool_radius = floats(d_o, tool_radius)
    return _of_kind(kind, tool_radius, d_o, BY_HAND * free_winding_radius(d_o, t, poisson, rewound))


def riser_bend_minimum(
    d_o: ArrayLike, t: ArrayLike, metal: Material, kind: ArrayLike, rewound: ArrayLike = False
) -> Array:
    """Smallest allowed riser bend: `riser_bend_radius` must be at least this.

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.
    metal : Material
        Its rules of bending.
    kind : array_like of str
        "lever", "spring" or "hand".
    rewound : array_like of bool

    Returns
    -------
    Array [m], broadcast shape
        Infinite by hand in a metal that is never bent freehand; NaN for any other word.

    Examples
    --------
    >>> from optichill.materials import COPPER, STAINLESS_304
    >>> riser_bend_minimum(0.010, 0.001, COPPER, ["lever", "spring"]).round(4).tolist()
    [0.03, 0.04]
    >>> float(riser_bend_minimum(0.010, 0.001, STAINLESS_304, "hand"))
    inf
    """
    (d_o,) = floats(d_o)
    free = free_winding_radius(d_o, t, metal.poisson, rewound) if metal.bent_freehand else np.inf
    return _of_kind(kind, metal.lever_minimum(d_o, t), d_o, BY_HAND * free)


def _of_kind(kind: ArrayLike, by_lever: ArrayLike, d_o: Array, by_hand: ArrayLike) -> Array:
    """Of each the radius that its tool gives [m], NaN for a word that is no tool."""
    kind = np.asarray(kind)
    freehand_or_unknown = np.where(kind == "hand", by_hand, np.nan)
    return np.where(
        kind == "lever", by_lever, np.where(kind == "spring", BY_SPRING * d_o, freehand_or_unknown)
    )
