"""What the two films need of wort and water, worked out once on a grid of temperatures and looked up."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from optichill.correlations import outside_film
from optichill.properties import water, wort
from optichill.properties.grid import Grid
from optichill.unit_table import GRAVITY


@lru_cache(maxsize=8)
def wort_films(plato: float, smooth: bool) -> Grid:
    """What the outside film needs of the wort, by film temperature, on the water table's grid.

    Parameters
    ----------
    plato : float [degP]
        0-30.
    smooth : bool
        As in `Grid`.

    Returns
    -------
    Grid
        k [W/mK]; root = [g beta/(nu alpha) x Prandtl share]^(1/6) of Churchill & Chu, so that
        Ra^(1/6) = root x (dT d_o^3)^(1/6); inverse_nu = 1/nu [s/m2] and share of Churchill & Bernstein.

    Examples
    --------
    The table and the property are the same:

    >>> films = wort_films(12.0, True)
    >>> k = films.read("k", films.locate(np.array(320.0)))
    >>> bool(abs(k / wort.conductivity(320.0, 12.0) - 1.0) < 1e-6)
    True
    """
    T = water.table().T
    rho, k = wort.density(T, plato), wort.conductivity(T, plato)
    nu = wort.viscosity(T, plato) / rho
    alpha = k / (rho * wort.heat_capacity(T, plato))
    Pr = nu / alpha
    buoyancy = GRAVITY * wort.expansion(T, plato) / (nu * alpha)
    return Grid(
        T,
        {
            "k": k,
            "root": (buoyancy * outside_film.prandtl_share_Churchill_Chu(Pr)) ** (1.0 / 6.0),
            "inverse_nu": 1.0 / nu,
            "share": outside_film.prandtl_share_Churchill_Bernstein(Pr),
        },
        smooth=smooth,
    )


@lru_cache(maxsize=2)
def coolant_films(smooth: bool) -> Grid:
    """What the inside film needs of the water, by temperature, on the water table's grid.

    Parameters
    ----------
    smooth : bool
        As in `Grid`.

    Returns
    -------
    Grid
        inverse_mu = 1/mu [1/(Pa s)], k [W/mK], Pr_cbrt = Pr^(1/3), Pr_14 = Pr^0.14, enthalpy [J/kg],
        density [kg/m3], heat_capacity [J/kgK].

    Examples
    --------
    >>> films = coolant_films(True)
    >>> Pr_cbrt = films.read("Pr_cbrt", films.locate(np.array(298.15)))
    >>> bool(abs(Pr_cbrt**3 / water.prandtl(298.15) - 1.0) < 1e-6)
    True
    """
    T = water.table().T
    Pr = water.prandtl(T)
    return Grid(
        T,
        {
            "inverse_mu": 1.0 / water.viscosity(T),
            "k": water.conductivity(T),
            "Pr_cbrt": np.cbrt(Pr),
            "Pr_14": Pr**0.14,
            "enthalpy": water.enthalpy(T),
            "density": water.density(T),
            "heat_capacity": water.heat_capacity(T),
        },
        smooth=smooth,
    )
