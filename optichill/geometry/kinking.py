"""How tightly a tube can be wound before it kinks.

No published data exist for hand-wound annealed copper helices: the limits are uncalibrated and a bend in a
scrap piece has the last word.

Symbols: d_o outside diameter, t wall [m]; nu Poisson's ratio [-]; R centre line radius [m]; R_free the
tightest that is wound by hand without help.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from optichill.arrays import Array, floats

REWOUND_RADIUS_FACTOR = 1.5
"""Free winding radius of half hard tube, or of copper wound a second time, over that of soft tube (OWN)."""


LIGHT_WALL_RATIO = 15.0
"""Above this d_o/t a tube of any metal looks like the ordinary one and kinks (common practice)."""


CLASSES = ("free", "scrap test first", "filled or grooved roller", "refused")


def radius_kink_strain(d_o: ArrayLike, t: ArrayLike) -> Array:
    """Radius at which the bending strain d_o/(2R) reaches 15 (t/d_o)^2: d_o^3 / (30 t^2).

    Buckling strain rule of BS 8010-3 / PD 8010-2 (M), for d_o/t of about 10 to 60.

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
    3/8 x 0.032 in, in inches: 0.052734/0.03072:

    >>> round(float(radius_kink_strain(0.375, 0.032)), 3)
    1.717
    """
    d_o, t = floats(d_o, t)
    return d_o**3 / (30.0 * t**2)


def radius_Brazier(d_o: ArrayLike, t: ArrayLike, poisson: ArrayLike) -> Array:
    """Radius at which an elastic tube flattens and collapses: r_m^2 sqrt(1 - nu^2) / (0.4714 t).

    Brazier 1927, Proc. R. Soc. A 116:104 (M); 0.4714 is sqrt(2)/3; r_m = (d_o - t)/2 mean wall
    radius, thin walls.

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.
    poisson : array_like [-]
        nu of the metal.

    Returns
    -------
    Array [m], broadcast shape
        Centre line radius.

    Examples
    --------
    3/8 x 0.032 in copper, in inches: 0.1715^2 x 0.9404 / (0.4714 x 0.032):

    >>> round(float(radius_Brazier(0.375, 0.032, 0.34)), 2)
    1.83
    """
    d_o, t, poisson = floats(d_o, t, poisson)
    r_m = (d_o - t) / 2.0
    R: Array = r_m**2 * np.sqrt(1.0 - poisson**2) * 3.0 / (np.sqrt(2.0) * t)
    return R


def radius_three_diameters(d_o: ArrayLike) -> Array:
    """Bend radius of three outside diameters: classification societies' rule for copper (V).

    Parameters
    ----------
    d_o : array_like [m]

    Returns
    -------
    Array [m], d_o's shape

    Examples
    --------
    >>> round(float(radius_three_diameters(0.010)), 4)
    0.03
    """
    return 3.0 * np.asarray(d_o, dtype=np.float64)


def free_winding_radius(
    d_o: ArrayLike, t: ArrayLike, poisson: ArrayLike, rewound: ArrayLike = False
) -> Array:
    """Smallest centre line radius that is wound by hand without filling or a roller.

    The largest of the three rules above; 1.5 times that where `rewound` is true (half hard tube, or
    copper wound a second time). Uncalibrated for hand-wound coils.

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.
    poisson : array_like [-]
        nu of the metal.
    rewound : array_like of bool

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    3/8 x 0.032 in copper: Brazier's 1.83 in governs:

    >>> R = free_winding_radius(0.009525, 0.000813, 0.34, rewound=[False, True])
    >>> R.round(3).tolist()
    [0.047, 0.07]
    """
    R = np.maximum(radius_kink_strain(d_o, t), radius_Brazier(d_o, t, poisson))
    R = np.maximum(R, radius_three_diameters(d_o))
    return R * np.where(np.asarray(rewound, dtype=bool), REWOUND_RADIUS_FACTOR, 1.0)


def winding_margin(R_coil: ArrayLike, R_free: ArrayLike) -> Array:
    """rho = R_coil / R_free, R_coil = (D_f + d_o)/2 on the form.

    Parameters
    ----------
    R_coil, R_free : array_like [m]
        Centre line radius on the form; `free_winding_radius`.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    >>> round(float(winding_margin(0.12, 0.08)), 3)
    1.5
    """
    R_coil, R_free = floats(R_coil, R_free)
    return R_coil / R_free


def winding_class(rho: ArrayLike) -> NDArray[np.str_]:
    """The margin in words. Limits OWN, uncalibrated.

    Parameters
    ----------
    rho : array_like [-]
        `winding_margin`.

    Returns
    -------
    array of str, rho's shape
        One of CLASSES; "unknown" where rho is NaN.

    Examples
    --------
    >>> winding_class([1.5, 1.2, 0.8, 0.5]).tolist()
    ['free', 'scrap test first', 'filled or grooved roller', 'refused']
    """
    (rho,) = floats(rho)
    return np.select([rho >= 1.5, rho >= 1.0, rho >= 0.7, rho < 0.7], CLASSES, default="unknown")
