"""Wort as a sugar solution: strength and the properties that follow from it, 0-30 degP.

Plato P is percent of extract by mass; x = P/100.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float
from optichill.errors import PropertyRange
from optichill.properties import water
from optichill.units import plato

P_MIN, P_MAX = 0.0, 30.0
SUGAR_VOLUME = 6.19e-4  # m3/kg that dissolved sugar takes up at 20 degC
SUGAR_GROWS = (0.0753, -0.0536, 0.0300)  # by powers of the hundreds of kelvin above 20 degC
EXPANSION_FLOOR = 5e-5  # 1/K, OWN: water's expansion changes sign at 4 degC, the plume does not stop


def _strength(P: ArrayLike) -> Array:
    """P [degP] as float64, refused outside 0-30."""
    P = np.asarray(P, dtype=np.float64)
    if ((P < P_MIN) | (P > P_MAX)).any():
        raise PropertyRange(f"wort properties are known from {P_MIN:g} to {P_MAX:g} degP")
    return P


def plato_from_SG(S: ArrayLike) -> Array:
    """Degrees Plato from specific gravity 20/20: P = -616.868 + 1111.14 S - 630.272 S2 + 135.997 S3.

    Fit to the ASBC table (V).

    Parameters
    ----------
    S : array_like [-]
        Specific gravity, 1.000-1.130.

    Returns
    -------
    Array [degP], S's shape

    Examples
    --------
    12.39 degP at SG 1.050 (public codes with this cubic, V):

    >>> round(float(plato_from_SG(1.050)), 2)
    12.39
    """
    return np.asarray(plato(as_float(S)))


def sugar_volume(T: ArrayLike) -> Array:
    """Volume that dissolved sugar takes up in water: v = 6.19e-4 (1 + 0.0753 t - 0.0536 t2 + 0.0300 t3).

    t = (T_C - 20)/100. Sugar grows with temperature, to 96 degC by 3.9 %: so wort contracts about as much
    as water does. At 20 degC it is what the CRC sucrose table asks for (V). Its growth is an OWN fit to
    ICUMSA's polynomial (Specification and Standard SPS-4; coefficients M), 0-100 degC, 4-26 % by mass; the
    densities made of both stay within 1e-4 of its ratios to 20 degC up to 20 %, 3e-4 up to 30 %. Its tables
    end at 80 degC (M); Plato's hydrometer table, up to 60 degC, agrees with it to 0.1 % by mass (M).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15; above 373.15 extrapolated.

    Returns
    -------
    Array [m3/kg], T's shape

    Examples
    --------
    342.3 g/mol x 6.19e-4 m3/kg is 212 cm3/mol; dissolved sucrose has 211 at 25 degC (M):

    >>> [f"{342.3e3 * v:.0f}" for v in sugar_volume([293.15, 298.15, 369.15])]
    ['212', '213', '220']
    """
    t = (np.asarray(T, dtype=np.float64) - 293.15) / 100.0
    a, b, c = SUGAR_GROWS
    return SUGAR_VOLUME * (1.0 + t * (a + t * (b + t * c)))


def density(T: ArrayLike, P: ArrayLike) -> Array:
    """Density of wort: 1/rho = (1 - x)/rho_w + x v, v from `sugar_volume`.

    Within 0.3 kg/m3 of the CRC sucrose table at 20 degC (V).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15.
    P : array_like [degP]
        0-30; broadcast against T.

    Returns
    -------
    Array [kg/m3], broadcast shape

    Raises
    ------
    PropertyRange
        T or P outside its range.

    Examples
    --------
    CRC sucrose, 20 degC: 1046.5 at 12 % by mass (the formula gives 1046.2):

    >>> f"{density(293.15, 12.0):.0f}"
    '1046'

    From boiling to 20 degC wort loses 4 % of its volume, as brewers reckon (common practice):

    >>> f"{100.0 * (1.0 - density(373.15, 12.0) / density(293.15, 12.0)):.1f}"
    '4.0'
    """
    x = _strength(P) / 100.0
    return 1.0 / ((1.0 - x) / water.density(T) + x * sugar_volume(T))


def heat_capacity(T: ArrayLike, P: ArrayLike) -> Array:
    """Heat capacity of wort: (1 - x) c_w + 1870 x (M; Bubnik 1995 agrees to 1 %).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15.
    P : array_like [degP]
        0-30; broadcast against T.

    Returns
    -------
    Array [J/kgK], broadcast shape

    Raises
    ------
    PropertyRange
        T or P outside its range.

    Examples
    --------
    0.88 x 4184 + 0.12 x 1870 at 20 degC; Bubnik gives 3904 (M):

    >>> f"{heat_capacity(293.15, 12.0):.0f}"
    '3906'
    """
    x = _strength(P) / 100.0
    return (1.0 - x) * water.heat_capacity(T) + 1870.0 * x


def conductivity(T: ArrayLike, P: ArrayLike) -> Array:
    """Thermal conductivity of wort: k_w (1 - 0.0056 P) (M; Riedel 1949 within 2 %).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15.
    P : array_like [degP]
        0-30; broadcast against T.

    Returns
    -------
    Array [W/mK], broadcast shape

    Raises
    ------
    PropertyRange
        T or P outside its range.

    Examples
    --------
    0.598 x 0.9328 at 20 degC; Riedel gives 0.548 (M):

    >>> f"{conductivity(293.15, 12.0):.3f}"
    '0.558'
    """
    return water.conductivity(T) * (1.0 - 0.0056 * _strength(P))


def viscosity(T: ArrayLike, P: ArrayLike) -> Array:
    """Viscosity of wort: mu_w exp{[P/(39.4 - 0.4625 P)]/[1 + 0.0054 (T_C - 20)]}, T_C in degC.

    Own fit to CRC sucrose data (V), within 1 % at 5-85 degC. Real wort is 10-30 % more viscous at 20 degC
    (M).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15.
    P : array_like [degP]
        0-30; broadcast against T.

    Returns
    -------
    Array [Pa s], broadcast shape

    Raises
    ------
    PropertyRange
        T or P outside its range.

    Examples
    --------
    CRC sucrose, 12 % at 20 degC: 1.429 mPa s:

    >>> f"{1e3 * viscosity(293.15, 12.0):.2f}"
    '1.43'
    """
    P = _strength(P)
    T = np.asarray(T, dtype=np.float64)
    return water.viscosity(T) * np.exp(P / (39.4 - 0.4625 * P) / (1.0 + 0.0054 * (T - 293.15)))


def expansion(T: ArrayLike, P: ArrayLike) -> Array:
    """Expansion coefficient of wort: water's, at least 5e-5 (OWN floor, see EXPANSION_FLOOR).

    Parameters
    ----------
    T : array_like [K]
        273.15-393.15.
    P : array_like [degP]
        0-30, without influence; only checked.

    Returns
    -------
    Array [1/K], T's shape

    Raises
    ------
    PropertyRange
        T or P outside its range.

    Examples
    --------
    Water's is 207e-6 at 20 degC and negative at 2:

    >>> [f"{1e6 * beta:.0f}" for beta in expansion([275.15, 293.15], 12.0)]
    ['50', '207']
    """
    _strength(P)
    return np.maximum(water.expansion(T), EXPANSION_FLOOR)
