"""Film coefficients: inside the helix, and outside in still and moving wort.

Each published formula stands once, under a function `Nu_<situation>_<Author>` that takes plain numbers.
What the chill kernel evaluates millions of times is the same code split in two: the parts that depend
on geometry or on properties alone are prepared once, the rest is cheap.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float

RE_TURBULENT = 22_000.0
"""Re above which helical flow is fully turbulent (Gnielinski 1986 / VDI G3, V)."""


# --- inside the helix --------------------------------------------------------------------------------


def Re_crit_helical_Schmidt(d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Critical Reynolds number [-] of a helix: 2300 (1 + 8.6 r^0.45), r = d_i/D_c. Schmidt 1967 (V)."""
    return 2300.0 * (1.0 + 8.6 * (as_float(d_i) / as_float(D_c)) ** 0.45)


@dataclass(frozen=True)
class HelicalFilm:
    """Inside film of a helix with the geometry's share worked out once.

    Laminar: Schmidt 1967 / VDI Heat Atlas G3 (V). Turbulent: Gnielinski 1986 / VDI G3 (V). Between the
    critical Re and 22 000: linear in Re between the two ends at the state's Pr, Gnielinski 1986 (M; ends V).
    """

    Re_crit: Array
    exponent: Array  # m of the laminar formula
    laminar_factor: Array  # 0.08 (1 + 0.8 r^0.9)
    curvature_friction: Array  # 0.03 sqrt(r)

    @classmethod
    def of(cls, d_i: ArrayLike, D_c: ArrayLike) -> HelicalFilm:
        """From bore and coil diameter [m], any broadcastable shapes."""
        r = as_float(d_i) / as_float(D_c)
        return cls(
            Re_crit_helical_Schmidt(d_i, D_c),
            0.5 + 0.2903 * r**0.194,
            0.08 * (1.0 + 0.8 * r**0.9),
            0.03 * np.sqrt(r),
        )

    def laminar(self, Re: Array, Pr_cbrt: Array) -> Array:
        """Nu = 3.66 + 0.08 (1 + 0.8 r^0.9) Re^m Pr^(1/3)."""
        return 3.66 + self.laminar_factor * np.exp(self.exponent * np.log(Re)) * Pr_cbrt

    def turbulent(self, Re: Array, Pr_cbrt: Array) -> Array:
        """Nu = (f/8) Re Pr / [1 + 12.7 sqrt(f/8) (Pr^(2/3) - 1)], f = 0.3164 Re^-0.25 + 0.03 sqrt(r)."""
        f8 = (0.3164 / np.sqrt(np.sqrt(Re)) + self.curvature_friction) * 0.125
        Pr_23 = Pr_cbrt * Pr_cbrt
        return f8 * Re * (Pr_23 * Pr_cbrt) / (1.0 + 12.7 * np.sqrt(f8) * (Pr_23 - 1.0))

    def Nu(self, Re: Array, Pr_cbrt: Array) -> Array:
        """Nusselt number at any Re; continuous at both ends of the transition."""
        weight = np.clip((Re - self.Re_crit) / (RE_TURBULENT - self.Re_crit), 0.0, 1.0)
        lower = self.laminar(np.minimum(Re, self.Re_crit), Pr_cbrt)
        upper = self.turbulent(np.maximum(Re, RE_TURBULENT), Pr_cbrt)
        return lower + weight * (upper - lower)


def Nu_laminar_helical_Schmidt(Re: ArrayLike, Pr: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Laminar Nu [-] on the bore. Schmidt 1967 / VDI G3 (V); Re below the critical, d_i/D_c < 0.2."""
    return HelicalFilm.of(d_i, D_c).laminar(as_float(Re), np.cbrt(as_float(Pr)))


def Nu_turbulent_helical_Gnielinski(Re: ArrayLike, Pr: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Turbulent Nu [-] on the bore. Gnielinski 1986 / VDI G3 (V); Re > 22 000, bulk properties."""
    return HelicalFilm.of(d_i, D_c).turbulent(as_float(Re), np.cbrt(as_float(Pr)))


def Nu_helical_Gnielinski(Re: ArrayLike, Pr: ArrayLike, d_i: ArrayLike, D_c: ArrayLike) -> Array:
    """Nu [-] on the bore over laminar, transition and turbulent flow; see HelicalFilm."""
    return HelicalFilm.of(d_i, D_c).Nu(as_float(Re), np.cbrt(as_float(Pr)))


def wall_factor_VDI(Pr: ArrayLike, Pr_wall: ArrayLike) -> Array:
    """(Pr/Pr_wall)^0.14, the inside film's correction for wall temperature. VDI (M)."""
    return (as_float(Pr) / as_float(Pr_wall)) ** 0.14


# --- outside, still wort -----------------------------------------------------------------------------


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


# --- outside, moving wort ----------------------------------------------------------------------------


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
