"""The water's film inside the helix: Nusselt numbers on the bore, h_i = Nu k/d_i.

A published formula stands once, as `Nu_<situation>_<Author>` of plain numbers. What a chill evaluates
millions of times is the same code with the geometry's share worked out beforehand, `HelicalFilm`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float

RE_TURBULENT = 22_000.0
"""Re above which helical flow is fully turbulent (Gnielinski 1986 / VDI G3, V)."""


def Re_crit_helical_Schmidt(d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Critical Reynolds number of a helix: 2300 (1 + 8.6 r^0.45), r = d_i/D_c. Schmidt 1967 (V).

    Parameters
    ----------
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    A reference library's own example, r = 1/7:

    >>> round(float(Re_crit_helical_Schmidt(1.0, 7.0)), 1)
    10540.1
    """
    return 2300.0 * (1.0 + 8.6 * (as_float(d_i) / as_float(D_c)) ** 0.45)


@dataclass(frozen=True)
class HelicalFilm:
    """Inside film of a helix with the geometry's share worked out once.

    Laminar: Schmidt 1967 / VDI Heat Atlas G3 (V). Turbulent: Gnielinski 1986 / VDI G3 (V). Between the
    critical Re and 22 000: linear in Re between the two ends at the state's Pr, Gnielinski 1986 (M; ends V).
    The methods take Pr^(1/3), which the kernel reads from a table, and leave Nu without wall factor.

    Examples
    --------
    The same as the formula of plain numbers:

    >>> film = HelicalFilm.of(0.0079, 0.25)
    >>> bool(film.Nu(np.array(12e3), np.cbrt(8.0)) == Nu_helical_Gnielinski(12e3, 8.0, 0.0079, 0.25))
    True
    """

    Re_crit: Array
    exponent: Array  # m of the laminar formula
    laminar_factor: Array  # 0.08 (1 + 0.8 r^0.9)
    curvature_friction: Array  # 0.03 sqrt(r)
    f8_turbulent: Array  # f/8 and its root where the flow has just become turbulent, Re = 22 000
    root_turbulent: Array

    @classmethod
    def of(cls, d_i: ArrayLike, D_c: ArrayLike) -> HelicalFilm:
        """From bore and coil diameter [m], any broadcastable shapes."""
        r = as_float(d_i) / as_float(D_c)
        friction = 0.03 * np.sqrt(r)
        f8 = _f8(np.array(RE_TURBULENT), friction)
        return cls(
            Re_crit_helical_Schmidt(d_i, D_c),
            0.5 + 0.2903 * r**0.194,
            0.08 * (1.0 + 0.8 * r**0.9),
            friction,
            f8,
            np.sqrt(f8),
        )

    def laminar(self, Re: Array, Pr_cbrt: Array) -> Array:
        """Nu [-] = 3.66 + 0.08 (1 + 0.8 r^0.9) Re^m Pr^(1/3), m = 0.5 + 0.2903 r^0.194."""
        return 3.66 + self.laminar_factor * np.exp(self.exponent * np.log(Re)) * Pr_cbrt

    def turbulent(self, Re: Array, Pr_cbrt: Array) -> Array:
        """Nu [-] = (f/8) Re Pr / [1 + 12.7 sqrt(f/8) (Pr^(2/3) - 1)], f = 0.3164 Re^-0.25 + 0.03 sqrt(r)."""
        f8 = _f8(Re, self.curvature_friction)
        return _Nu_by_friction(f8, np.sqrt(f8), Re, Pr_cbrt)

    def Nu(self, Re: Array, Pr_cbrt: Array) -> Array:
        """Nu [-] at any Re; continuous at both ends of the transition."""
        weight = np.clip((Re - self.Re_crit) / (RE_TURBULENT - self.Re_crit), 0.0, 1.0)
        lower = self.laminar(np.minimum(Re, self.Re_crit), Pr_cbrt)
        upper = _Nu_by_friction(self.f8_turbulent, self.root_turbulent, RE_TURBULENT, Pr_cbrt)
        # Household water seldom runs faster: that is worked out for the few alone.
        faster = Re > RE_TURBULENT
        if faster.any():
            shape = np.broadcast_shapes(np.shape(Re), np.shape(upper))
            upper, faster = np.array(np.broadcast_to(upper, shape)), np.broadcast_to(faster, shape)
            Re_, friction, Pr_ = (
                np.broadcast_to(a, shape)[faster] for a in (Re, self.curvature_friction, Pr_cbrt)
            )
            f8 = _f8(Re_, friction)
            upper[faster] = _Nu_by_friction(f8, np.sqrt(f8), Re_, Pr_)
        return lower + weight * (upper - lower)


def _f8(Re: Array, curvature_friction: Array) -> Array:
    """An eighth of f = 0.3164 Re^-0.25 + 0.03 sqrt(r)."""
    return (0.3164 / np.sqrt(np.sqrt(Re)) + curvature_friction) * 0.125


def _Nu_by_friction(f8: Array, root: Array, Re: Array | float, Pr_cbrt: Array) -> Array:
    """Gnielinski's Nu from f/8, its root, Re and Pr^(1/3)."""
    Pr_23 = Pr_cbrt * Pr_cbrt
    return f8 * Re * (Pr_23 * Pr_cbrt) / (1.0 + 12.7 * root * (Pr_23 - 1.0))


def Nu_laminar_helical_Schmidt(Re: ArrayLike, Pr: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Laminar Nu in a helix: 3.66 + 0.08 (1 + 0.8 r^0.9) Re^m Pr^(1/3), m = 0.5 + 0.2903 r^0.194.

    Schmidt 1967 / VDI Heat Atlas G3 (V); on the bore, bulk properties. Re below the critical, d_i/D_c
    0.012-0.2.

    Parameters
    ----------
    Re, Pr : array_like [-]
        Reynolds number on the bore; Prandtl number.
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    VDI's formula worked apart (Re 1000, Pr 9, r 0.0316):

    >>> round(float(Nu_laminar_helical_Schmidt(1000.0, 9.0, 0.0316, 1.0)), 2)
    18.86
    """
    return HelicalFilm.of(d_i, D_c).laminar(as_float(Re), np.cbrt(as_float(Pr)))


def Nu_turbulent_helical_Gnielinski(Re: ArrayLike, Pr: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Turbulent Nu in a helix: (f/8) Re Pr / [1 + 12.7 sqrt(f/8) (Pr^(2/3) - 1)].

    f = 0.3164 Re^-0.25 + 0.03 sqrt(d_i/D_c). Gnielinski 1986 / VDI Heat Atlas G3 (V); on the bore, bulk
    properties. Re > 22 000.

    Parameters
    ----------
    Re, Pr : array_like [-]
        Reynolds number on the bore; Prandtl number.
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    VDI's formula worked apart (Re 30 000, Pr 7, r 0.0316):

    >>> round(float(Nu_turbulent_helical_Gnielinski(30e3, 7.0, 0.0316, 1.0)), 1)
    253.1
    """
    return HelicalFilm.of(d_i, D_c).turbulent(as_float(Re), np.cbrt(as_float(Pr)))


def Nu_helical_Gnielinski(Re: ArrayLike, Pr: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Nu in a helix at any Re: laminar, turbulent, and linear in Re between the critical Re and 22 000.

    Gnielinski 1986, IHTC8 6:2847 (the straight line M, both ends V); on the bore, bulk properties.

    Parameters
    ----------
    Re, Pr : array_like [-]
        Reynolds number on the bore, 100-150 000 (M); Prandtl number.
    d_i, D_c : array_like [m]
        Bore; coil diameter, centre to centre.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    In the transition (Re 12 000, Pr 8, r 0.0316), worked apart:

    >>> round(float(Nu_helical_Gnielinski(12e3, 8.0, 0.0316, 1.0)), 1)
    106.4
    """
    return HelicalFilm.of(d_i, D_c).Nu(as_float(Re), np.cbrt(as_float(Pr)))


def wall_factor_VDI(Pr: ArrayLike, Pr_wall: ArrayLike) -> Array:
    """Correction of the inside film for the wall's temperature: (Pr/Pr_wall)^0.14. VDI (M).

    Parameters
    ----------
    Pr, Pr_wall : array_like [-]
        Prandtl number of the bulk, and at the wall's temperature.

    Returns
    -------
    Array [-], broadcast shape
        Above 1 where the wall is warmer than the water.

    Examples
    --------
    2^0.14:

    >>> round(float(wall_factor_VDI(8.0, 4.0)), 3)
    1.102
    """
    return (as_float(Pr) / as_float(Pr_wall)) ** 0.14
