"""Two layers of turns in one kettle: what each leaves the other of wort and motion."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array

CROWDED = 0.85
"""Outside film of both layers where they stand close (OWN, sd 0.07)."""

CLOSE, FAR = 1.5, 3.0
"""Centre distances, in outside diameters, at which layers crowd each other fully, and no more (OWN)."""

INNER_SPEED = 0.7
"""Share of the wort's motion that reaches the inner layer (OWN)."""


def film_share(D_inner: ArrayLike, D_outer: ArrayLike, d_o: ArrayLike) -> Array:
    """What is left of both layers' outside film beside each other, 0.85 to 1. OWN.

    CROWDED up to CLOSE diameters between the layers' centres, rising in a straight line to 1 at FAR.

    Parameters
    ----------
    D_inner, D_outer : array_like [m]
        Coil diameters, centre to centre.
    d_o : array_like [m]
        Outside diameter of the tube.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    10 mm tube, layers 15, 22.5 and 30 mm apart:

    >>> film_share(0.20, [0.23, 0.245, 0.26], 0.010).round(3).tolist()
    [0.85, 0.925, 1.0]
    """
    D_inner, D_outer, d_o = (np.asarray(v, dtype=np.float64) for v in (D_inner, D_outer, d_o))
    apart = 0.5 * (D_outer - D_inner) / d_o
    share: Array = CROWDED + (1.0 - CROWDED) * np.clip((apart - CLOSE) / (FAR - CLOSE), 0.0, 1.0)
    return share


def mean_speed_share(inner_length: ArrayLike, outer_length: ArrayLike) -> Array:
    """One speed for a tube that runs through both layers, as a share of the wort's own. OWN.

    Moving films go nearly with the root of the speed, so the roots are averaged.

    Parameters
    ----------
    inner_length, outer_length : array_like [m]
        Wetted length in each layer.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    All of it inside, half, none:

    >>> mean_speed_share([1.0, 1.0, 0.0], [0.0, 1.0, 1.0]).round(3).tolist()
    [0.7, 0.843, 1.0]
    """
    inner, outer = np.asarray(inner_length, np.float64), np.asarray(outer_length, np.float64)
    root: Array = (inner * np.sqrt(INNER_SPEED) + outer) / (inner + outer)
    return root**2
