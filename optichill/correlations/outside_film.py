"""The wort's film outside the tube, still and moving: Nusselt numbers on d_o, h_o = Nu k/d_o.

A published formula stands once, as `Nu_<situation>_<Author>` of plain numbers. What a chill evaluates
millions of times is the same code split in two: the share that hangs on properties alone is prepared once
(`prandtl_share_...`), the rest (`Nu_from_...`) is cheap.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float

# --- still wort ---------------------------------------------------------------------------------------


def prandtl_share_Churchill_Chu(Pr: ArrayLike) -> Array:
    """The Prandtl function [1 + (0.559/Pr)^(9/16)]^(-16/9) that multiplies Ra in Churchill & Chu 1975."""
    return (1.0 + (0.559 / as_float(Pr)) ** (9.0 / 16.0)) ** (-16.0 / 9.0)


def Nu_from_sixth_root(root: Array) -> Array:
    """Churchill & Chu's form with root = (Ra x Prandtl share)^(1/6) at hand."""
    y = 0.6 + 0.387 * root
    return y * y


def Nu_horizontal_cylinder_Churchill_Chu(Ra: ArrayLike, Pr: ArrayLike) -> Array:
    """Nu [-] of free convection from a long horizontal cylinder, on d_o, film properties.

    Churchill & Chu 1975 (V), Ra <= 1e12.
    """
    return Nu_from_sixth_root((as_float(Ra) * prandtl_share_Churchill_Chu(Pr)) ** (1.0 / 6.0))


# --- moving wort --------------------------------------------------------------------------------------


def prandtl_share_Churchill_Bernstein(Pr: ArrayLike) -> Array:
    """Pr^(1/3) / [1 + (0.4/Pr)^(2/3)]^(1/4), the Prandtl function of Churchill & Bernstein 1977."""
    Pr = as_float(Pr)
    return np.cbrt(Pr) / (1.0 + (0.4 / Pr) ** (2.0 / 3.0)) ** 0.25


def Nu_from_reynolds(Re: Array, share: Array) -> Array:
    """Churchill & Bernstein's form with the Prandtl share at hand."""
    # x^(5/8) = sqrt(x) x^(1/8): roots are cheaper than a general power
    x = np.sqrt(Re * (1.0 / 282_000.0))
    x = x * np.sqrt(np.sqrt(x))
    return 0.3 + 0.62 * np.sqrt(Re) * share * np.exp(0.8 * np.log(1.0 + x))


def Nu_crossflow_Churchill_Bernstein(Re: ArrayLike, Pr: ArrayLike) -> Array:
    """Nu [-] of a cylinder in cross flow, on d_o, film properties.

    Churchill & Bernstein 1977 (V), Re Pr > 0.2; at Re = 0 the constant 0.3 remains.
    """
    return Nu_from_reynolds(as_float(Re), prandtl_share_Churchill_Bernstein(Pr))


def Nu_mixed_Churchill(Nu_natural: ArrayLike, Nu_forced: ArrayLike) -> Array:
    """Nu^3 = Nu_natural^3 + Nu_forced^3. Churchill 1977 (M)."""
    a, b = as_float(Nu_natural), as_float(Nu_forced)
    return np.exp(np.log(a * a * a + b * b * b) * (1.0 / 3.0))  # half the cost of np.cbrt


def spacing_factor(s: ArrayLike, phi_1: ArrayLike) -> Array:
    """How much of a lone tube's film is left at turn spacing s = pitch/d_o [-].

    phi = 1 - (1 - phi_1) (2 - s)^1.5 for 1 <= s <= 2, 1 beyond; phi_1 is its value for touching turns.
    OWN, anchored on Joye & Smith 2000 and Bejan, Fowler & Stanescu 1995 (abstracts, V).
    """
    return 1.0 - (1.0 - as_float(phi_1)) * np.clip(2.0 - as_float(s), 0.0, 1.0) ** 1.5


def yaw_factor_ESDU(angle: ArrayLike) -> Array:
    """sin(angle)^0.6, the loss of cross flow when it meets the tube at an angle [rad]. ESDU 73031 (V)."""
    return np.sin(as_float(angle)) ** 0.6
