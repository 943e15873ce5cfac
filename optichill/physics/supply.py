"""Flow: never assumed, always the root of supply = losses, for every coil at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from optichill.physics import friction, water
from optichill.physics.water import Array

# Loss coefficients on the velocity in the tube bore; minor-loss tables citing Crane TP-410 (V).
K_RISER_BEND, RISER_BENDS = 0.25, 4  # smooth 90 degree bends
K_UNION, UNIONS = 0.08, 2  # compression or flare union, same bore (CP)
K_EXIT = 1.0  # into open air, on the outlet hose
K_HOSE_TAP = 8.0  # compression-disc tap, 6-10; used only where no bucket test was made
OUTLET_HOSE_LENGTH = 3.0  # m


def _f(x: ArrayLike) -> Array:
    return np.asarray(x, dtype=np.float64)


@dataclass(frozen=True)
class Supply:
    """What drives the water: available pressure [Pa] = pressure - resistance V^2, V in m3/s.

    For a tap the resistance comes from the bucket test, which already holds tap and supply hose.
    hose_bore [m] is the bore of the hoses on both sides of the coil.
    """

    pressure: float
    resistance: float
    hose_bore: float
    outlet_hose_length: float = OUTLET_HOSE_LENGTH

    @classmethod
    def tap(cls, *, static_pressure: float, open_flow: float, hose_bore: float) -> Supply:
        """From pressure at no flow [Pa] and flow out of the open hose [m3/s]."""
        return cls(static_pressure, static_pressure / open_flow**2, hose_bore)


def open_flow_of_hose(*, static_pressure: float, hose_bore: float, hose_length: float, T: float) -> float:
    """Flow [m3/s] out of an open hose behind an ordinary tap, where no bucket test was made.

    Darcy in a smooth hose plus the tap (K_HOSE_TAP) and the exit; the caller says that it is assumed.
    """
    flow = 10.0 / 60_000.0
    area = np.pi / 4.0 * hose_bore**2
    rho, mu = float(water.density(T)), float(water.viscosity(T))
    for _ in range(60):  # the friction factor changes slowly with flow: this settles within ten rounds
        f = float(friction.f_straight_smooth(rho * flow / area * hose_bore / mu))
        K = K_HOSE_TAP + K_EXIT + f * hose_length / hose_bore
        flow = float(area * np.sqrt(2.0 * static_pressure / (rho * K)))
    return flow


def pressure_drop_tube(
    V: ArrayLike, T: ArrayLike, d_i: ArrayLike, D_c: ArrayLike, length: ArrayLike
) -> Array:
    """Friction [Pa] of a coiled tube alone at flow V [m3/s] and water temperature T [K]."""
    v = 4.0 * _f(V) / (np.pi * _f(d_i) ** 2)
    rho = water.density(T)
    f = friction.f_helical(rho * v * _f(d_i) / water.viscosity(T), d_i, D_c)
    return f * _f(length) / _f(d_i) * 0.5 * rho * v * v


def K_fittings(d_i: ArrayLike, hose_bore: float) -> Array:
    """Loss coefficient [-] of riser bends, unions, entry and outlet, on the velocity in the tube.

    Entry 0.5 (1 - b^2), outlet (1 - b^2)^2, b = smaller/larger bore, each on the velocity in the smaller;
    where the tube is the wider one the two change places and their sum stays.
    """
    d_i = _f(d_i)
    small = np.minimum(d_i, hose_bore)
    b2 = (small / np.maximum(d_i, hose_bore)) ** 2
    change = 0.5 * (1.0 - b2) + (1.0 - b2) ** 2
    return K_RISER_BEND * RISER_BENDS + K_UNION * UNIONS + change * (d_i / small) ** 4


@dataclass(frozen=True)
class Circuit:
    """The hydraulic side of a set of coils, with everything that depends on geometry worked out once."""

    supply: Supply
    d_i: Array
    K: Array  # fittings, hose exit included, on the tube's velocity
    hose_factor: Array  # outlet hose L/d on the tube's velocity
    length_ratio: Array  # tube length / d_i, times the friction factor's multiplier
    curvature: Array  # d_i/D_c

    @classmethod
    def of(
        cls, supply: Supply, d_i: Array, D_c: Array, length: Array, friction_factor: float = 1.0
    ) -> Circuit:
        """Coils by bore, coil diameter and whole tube length [m]; friction_factor scales the coil's f."""
        widening = (d_i / supply.hose_bore) ** 4
        return cls(
            supply,
            d_i,
            K_fittings(d_i, supply.hose_bore) + K_EXIT * widening,
            supply.outlet_hose_length / supply.hose_bore * widening,
            friction_factor * length / d_i,
            d_i / D_c,
        )

    def flow(self, T: Array, *, rounds: int = 3) -> Array:
        """Flow [m3/s] at mean water temperature T [K], broadcast against the coils.

        The loss is a(V) V^2 with a nearly constant, so V = sqrt(p/(k + a)) is iterated in ln V by Newton's
        rule with a's exponent as in Blasius' law or White's; three rounds leave 1e-6 in household tube,
        4e-4 at worst in a 2 mm bore.
        """
        at = water.table().locate(T)
        rho, nu = _density_and_nu(at)
        per_velocity = 8.0 * rho / (np.pi**2 * self.d_i**4)  # rho v^2/2 = this V^2
        to_Re = 4.0 / (np.pi * self.d_i * nu)
        hose_Re = self.d_i / self.supply.hose_bore
        first = self.K + 0.04 * (self.length_ratio + self.hose_factor)
        V = np.sqrt(self.supply.pressure / (self.supply.resistance + per_velocity * first))
        for _ in range(rounds):
            Re = to_Re * V
            f_lam = friction.f_laminar_helical_White(Re, self.curvature, 1.0)
            f_turb = friction.f_turbulent_helical_Ito(Re, self.curvature, 1.0)
            pipe = np.maximum(f_lam, f_turb) * self.length_ratio
            pipe += friction.f_straight_smooth(Re * hose_Re) * self.hose_factor
            total = self.supply.resistance + per_velocity * (self.K + pipe)
            # White's f falls as 1/Re at De = 11.6 and as Re^-0.55 far above; his bend factor tells where.
            straight = 64.0 / (Re * f_lam)
            laminar = 0.55 + 0.45 * straight * straight * straight
            exponent = np.where(f_lam > f_turb, laminar, 0.22) * per_velocity * pipe / total
            V = V * np.sqrt(self.supply.pressure / (total * V * V)) ** (1.0 / (1.0 - 0.5 * exponent))
        return V

    def pressure_drop(self, V: Array, T: Array) -> Array:
        """Friction [Pa] of the coil with its risers at flow V and mean water temperature T."""
        return pressure_drop_tube(V, T, self.d_i, self.d_i / self.curvature, self.length_ratio * self.d_i)


def _density_and_nu(at: tuple[NDArray[np.intp], Array]) -> tuple[Array, Array]:
    table = water.table()
    rho = table.read("density", at)
    return rho, table.read("viscosity", at) / rho
