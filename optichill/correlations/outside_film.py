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
    """The Prandtl function [1 + (0.559/Pr)^(9/16)]^(-16/9) that multiplies Ra in Churchill & Chu 1975 (V).

    Parameters
    ----------
    Pr : array_like [-]

    Returns
    -------
    Array [-], Pr's shape

    Examples
    --------
    At Pr = 0.559 it is 2^(-16/9); with Pr it rises to 1:

    >>> round(float(prandtl_share_Churchill_Chu(0.559)), 4), round(2 ** (-16 / 9), 4)
    (0.2916, 0.2916)
    """
    return (1.0 + (0.559 / as_float(Pr)) ** (9.0 / 16.0)) ** (-16.0 / 9.0)


def Nu_from_sixth_root(root: Array) -> Array:
    """Churchill & Chu's Nu = (0.6 + 0.387 root)^2 with the root at hand.

    Parameters
    ----------
    root : Array [-]
        (Ra x Prandtl share)^(1/6).

    Returns
    -------
    Array [-], root's shape

    Examples
    --------
    Without buoyancy 0.36 is left:

    >>> round(float(Nu_from_sixth_root(np.array(0.0))), 2)
    0.36
    """
    y = 0.6 + 0.387 * root
    return y * y


def Nu_horizontal_cylinder_Churchill_Chu(Ra: ArrayLike, Pr: ArrayLike) -> Array:
    """Nu of free convection from a long horizontal cylinder: {0.6 + 0.387 [Ra x Prandtl share]^(1/6)}^2.

    Churchill & Chu 1975 (V); on d_o, properties at the film temperature. Ra 1e-5 to 1e12.

    Parameters
    ----------
    Ra, Pr : array_like [-]
        Rayleigh number on d_o; Prandtl number.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    Bergman et al., example 9.2 (Gr 2.63e9, Pr 0.69):

    >>> round(float(Nu_horizontal_cylinder_Churchill_Chu(2.63e9 * 0.69, 0.69)), 1)
    139.1
    """
    return Nu_from_sixth_root((as_float(Ra) * prandtl_share_Churchill_Chu(Pr)) ** (1.0 / 6.0))


# --- moving wort --------------------------------------------------------------------------------------


def prandtl_share_Churchill_Bernstein(Pr: ArrayLike) -> Array:
    """The Prandtl function Pr^(1/3) / [1 + (0.4/Pr)^(2/3)]^(1/4) of Churchill & Bernstein 1977 (V).

    Parameters
    ----------
    Pr : array_like [-]

    Returns
    -------
    Array [-], Pr's shape

    Examples
    --------
    At Pr = 0.4 it is 0.4^(1/3) / 2^(1/4):

    >>> round(float(prandtl_share_Churchill_Bernstein(0.4)), 4), round(0.4 ** (1 / 3) / 2**0.25, 4)
    (0.6196, 0.6196)
    """
    Pr = as_float(Pr)
    return np.cbrt(Pr) / (1.0 + (0.4 / Pr) ** (2.0 / 3.0)) ** 0.25


def Nu_from_reynolds(Re: Array, share: Array) -> Array:
    """Churchill & Bernstein's Nu = 0.3 + 0.62 Re^(1/2) share [1 + (Re/282 000)^(5/8)]^(4/5).

    Parameters
    ----------
    Re : Array [-]
        Reynolds number on d_o.
    share : Array [-]
        `prandtl_share_Churchill_Bernstein` at the film temperature.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    At rest 0.3 is left:

    >>> float(Nu_from_reynolds(np.array(0.0), np.array(1.0)))
    0.3
    """
    # exp and log are cheaper than a general power or several roots; at rest log has something to say.
    x = np.exp(0.625 * np.log(Re * (1.0 / 282_000.0) + 1e-300))
    return 0.3 + 0.62 * np.sqrt(Re) * share * np.exp(0.8 * np.log(1.0 + x))


def Nu_crossflow_Churchill_Bernstein(Re: ArrayLike, Pr: ArrayLike) -> Array:
    """Nu of a cylinder in cross flow: 0.3 + 0.62 Re^(1/2) share [1 + (Re/282 000)^(5/8)]^(4/5).

    Churchill & Bernstein 1977 (V); on d_o, properties at the film temperature. Re Pr > 0.2; at Re = 0 the
    constant 0.3 remains.

    Parameters
    ----------
    Re, Pr : array_like [-]
        Reynolds number on d_o; Prandtl number.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    Bergman et al., example 7.3 (Re 6071, Pr 0.70):

    >>> round(float(Nu_crossflow_Churchill_Bernstein(6071.0, 0.70)), 1)
    40.6
    """
    return Nu_from_reynolds(as_float(Re), prandtl_share_Churchill_Bernstein(Pr))


def Nu_mixed_Churchill(Nu_natural: ArrayLike, Nu_forced: ArrayLike) -> Array:
    """Nu of natural and forced convection together: Nu^3 = Nu_natural^3 + Nu_forced^3. Churchill 1977 (M).

    Parameters
    ----------
    Nu_natural, Nu_forced : array_like [-]

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    27 + 64 + 125 = 216, so:

    >>> round(float(Nu_mixed_Churchill(Nu_mixed_Churchill(3.0, 4.0), 5.0)), 9)
    6.0
    """
    a, b = as_float(Nu_natural), as_float(Nu_forced)
    return np.exp(np.log(a * a * a + b * b * b) * (1.0 / 3.0))  # half the cost of np.cbrt


def spacing_factor(s: ArrayLike, phi_1: ArrayLike) -> Array:
    """Share of a lone tube's film that is left to turns: 1 - (1 - phi_1) (2 - s)^1.5, 1 beyond s = 2.

    OWN, anchored on Joye & Smith 2000 and Bejan, Fowler & Stanescu 1995 (abstracts, V). s >= 1; below it the
    value of touching turns is kept.

    Parameters
    ----------
    s : array_like [-]
        Pitch over d_o.
    phi_1 : array_like [-]
        The factor of touching turns, s = 1.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    Touching, a quarter of the way (1 - 0.5 x 0.75^1.5), and apart:

    >>> spacing_factor([1.0, 1.25, 2.0], 0.5).round(3).tolist()
    [0.5, 0.675, 1.0]
    """
    return 1.0 - (1.0 - as_float(phi_1)) * np.clip(2.0 - as_float(s), 0.0, 1.0) ** 1.5


def yaw_factor_ESDU(angle: ArrayLike) -> Array:
    """Share of a cross-flow film that is left to an oblique flow: sin(angle)^0.6. ESDU 73031 (V).

    Parameters
    ----------
    angle : array_like [rad]
        Between flow and tube; pi/2 is straight across.

    Returns
    -------
    Array [-], angle's shape

    Examples
    --------
    sin 30 degrees is a half, and 0.5^0.6:

    >>> round(float(yaw_factor_ESDU(np.radians(30.0))), 3)
    0.66
    """
    return np.sin(as_float(angle)) ** 0.6
