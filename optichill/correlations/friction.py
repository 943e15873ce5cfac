"""Friction factors (Darcy) and the pressure drop of a length of tube."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float

DEAN_WHITE = 11.6
"""Dean number below which a bend costs no friction (White 1929, V)."""


def f_laminar_helical_White(Re: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Darcy f of laminar flow in a helix: (64/Re) / {1 - [1 - (11.6/De)^0.45]^(1/0.45)}. White 1929 (V).

    64/Re below De = 11.6; De = Re sqrt(d_i/D_c) up to 2000.

    Parameters
    ----------
    Re : array_like [-]
        Reynolds number on the bore.
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    A reference library's own example (Re 250, 20 mm bore, 0.1 m coil):

    >>> round(float(f_laminar_helical_White(250.0, 0.02, 0.1)), 4)
    0.4063
    """
    Re = as_float(Re)
    De = Re * np.sqrt(as_float(d_i) / as_float(D_c))
    # Powers by exp and log: a third of the time of a general power, and flow is solved a million times.
    ratio = np.exp(0.45 * np.log(DEAN_WHITE / np.maximum(De, DEAN_WHITE)))
    bend = np.exp(np.log(np.maximum(1.0 - ratio, 1e-300)) * (1.0 / 0.45))
    return 64.0 / Re / (1.0 - bend)


def f_turbulent_helical_Ito(Re: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Darcy f of turbulent flow in a smooth helix: 0.304 Re^-0.25 + 0.029 sqrt(d_i/D_c).

    Ito 1959, Trans. ASME J. Basic Eng. 81:123 (M; within 4 % of VDI's form). Re (d_i/D_c)^2 0.034-300 (M).

    Parameters
    ----------
    Re : array_like [-]
        Reynolds number on the bore.
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    0.304/11.892 + 0.029 x 0.17776 at Re 20 000, r 0.0316:

    >>> round(float(f_turbulent_helical_Ito(20e3, 0.0316, 1.0)), 4)
    0.0307
    """
    return 0.304 / np.sqrt(np.sqrt(as_float(Re))) + 0.029 * np.sqrt(as_float(d_i) / as_float(D_c))


def f_helical(Re: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Darcy f in a smooth helix at any Re: the larger of White's laminar and Ito's turbulent.

    Parameters
    ----------
    Re : array_like [-]
        Reynolds number on the bore.
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    White at Re 3000 and Ito at 20 000, as reference libraries and hand give them for r = 0.0316:

    >>> f_helical([3000.0, 20e3], 0.0079, 0.25).round(4).tolist()
    [0.0602, 0.0307]
    """
    return np.maximum(f_laminar_helical_White(Re, d_i, D_c), f_turbulent_helical_Ito(Re, d_i, D_c))


def f_straight_smooth(Re: ArrayLike) -> Array:
    """Darcy f of a straight smooth hose: the larger of 64/Re and Blasius' 0.3164 Re^-0.25 (V).

    Parameters
    ----------
    Re : array_like [-]
        Reynolds number on the bore.

    Returns
    -------
    Array [-], Re's shape

    Examples
    --------
    64/1000, and 0.3164/10:

    >>> f_straight_smooth([1000.0, 10e3]).round(5).tolist()
    [0.064, 0.03164]
    """
    Re = as_float(Re)
    return np.maximum(64.0 / Re, 0.3164 / np.sqrt(np.sqrt(Re)))
