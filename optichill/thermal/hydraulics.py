"""Flow: never assumed, always the root of supply = losses, for every coil at once.

The flow is what a bucket or a meter counts: cold, at the inlet. The mass flow is rho(T_in) V along the whole
tube (at the mean temperature up to 1 % of mass would be lost on the way); the friction takes that cold volume
for the velocity all along, which leaves out the water's swelling: up to 1 % of the starting flow, 0.15 % of a
chill's water at worst.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, as_float
from optichill.correlations import friction
from optichill.properties import water
from optichill.thermal.supply import K_EXIT, Supply

# Loss coefficients on the velocity in the tube bore; minor-loss tables citing Crane TP-410 (V).
K_RISER_BEND, RISER_BENDS = 0.25, 4  # smooth 90 degree bends
K_UNION, UNIONS = 0.08, 2  # compression or flare union, same bore (CP)
K_TEE_BRANCH, TEES = 2.0, 2  # into the branch of a tee and out of it again, on the branch's velocity (CP)
UNDAMPED = 3
AT_REST = 1e-10
"""Share by which a step moves a flow that is found."""

RESTLESS, MOST_HALF_STEPS = 0.02, 40
"""Share by which a step still moves a flow that jumps to and fro, and half steps that bring it to rest."""


def pressure_drop_tube(
    V: ArrayLike, T: ArrayLike, d_i: ArrayLike, D_c: ArrayLike, length: ArrayLike
) -> Array:
    """Friction of a coiled tube alone: f L/d_i rho v^2/2, f of `friction.f_helical`.

    Parameters
    ----------
    V : array_like [m3/s]
    T : array_like [K]
        Of the water, 273.15-393.15.
    d_i, D_c, length : array_like [m]
        Bore; coil diameter, centre to centre; length along the tube.

    Returns
    -------
    Array [Pa], broadcast shape

    Raises
    ------
    PropertyRange
        T outside the water table.

    Examples
    --------
    15 m of 9.525 x 0.81 mm at 8 L/min, worked apart with Ito's f: 218 kPa

    >>> f"{pressure_drop_tube(8e-3 / 60, 288.15, 0.007905, 0.25, 15.0) / 1e3:.0f}"
    '218'
    """
    v = 4.0 * as_float(V) / (np.pi * as_float(d_i) ** 2)
    rho = water.density(T)
    f = friction.f_helical(rho * v * as_float(d_i) / water.viscosity(T), d_i, D_c)
    return f * as_float(length) / as_float(d_i) * 0.5 * rho * v * v


def K_fittings(d_i: ArrayLike, hose_bore: float) -> Array:
    """Loss coefficient of riser bends, unions, entry and outlet, on the velocity in the tube.

    Entry 0.5 (1 - b^2), outlet (1 - b^2)^2, b = smaller/larger bore, each on the velocity in the smaller;
    where the tube is the wider one the two change places and their sum stays. Minor-loss tables citing Crane
    TP-410 (V), unions CP.

    Parameters
    ----------
    d_i : array_like [m]
        Bore of the tube.
    hose_bore : float [m]

    Returns
    -------
    Array [-], d_i's shape

    Examples
    --------
    Four bends of 0.25 and two unions of 0.08 where hose and tube are of one bore:

    >>> round(float(K_fittings(0.0127, 0.0127)), 6)
    1.16
    """
    d_i = as_float(d_i)
    small = np.minimum(d_i, hose_bore)
    b2 = (small / np.maximum(d_i, hose_bore)) ** 2
    change = 0.5 * (1.0 - b2) + (1.0 - b2) ** 2
    return K_RISER_BEND * RISER_BENDS + K_UNION * UNIONS + change * (d_i / small) ** 4


@dataclass(frozen=True)
class Circuit:
    """The hydraulic side of a set of coils, with everything that depends on geometry worked out once.

    Arrays of shape (designs,); of two tubes in parallel (2, designs), and then flows have that axis too:
    both tubes take the same pressure, supply, valve and hoses carry the sum.

    Examples
    --------
    The flow of 15 m of 3/8 in tube on a tap of 3 bar and 12 L/min, and the pressure the coil takes of it:

    >>> tap = Supply.tap(static_pressure=3e5, open_flow=12e-3 / 60, hose_bore=0.0127)
    >>> coil = Circuit.of(tap, np.array([0.007905]), np.array([0.25]), np.array([15.0]))
    >>> T = np.array([300.0])
    >>> V = coil.flow(T)
    >>> left = tap.pressure - tap.resistance * V**2
    >>> bool(0.9 * left < coil.pressure_drop(V, T) < left)  # the rest goes in bends, unions and hose
    True
    """

    supply: Supply
    d_i: Array
    K: Array  # fittings, tees included, on the tube's velocity
    length_ratio: Array  # tube length / d_i, times the friction factor's multiplier
    curvature: Array  # d_i/D_c
    valve_resistance: Array | float = 0.0  # resistance of a part-closed valve [Pa/(m3/s)^2]
    near: Array | None = None  # a flow to begin with, where one is known

    @classmethod
    def of(
        cls, supply: Supply, d_i: Array, D_c: Array, length: Array, friction_factor: float | Array = 1.0
    ) -> Circuit:
        """Coils by bore, coil diameter and whole tube length [m]; friction_factor scales the coil's f."""
        tees = K_TEE_BRANCH * TEES if d_i.ndim > 1 else 0.0
        K = K_fittings(d_i, supply.hose_bore) + tees
        return cls(supply, d_i, K, friction_factor * length / d_i, d_i / D_c)

    @property
    def parallel(self) -> bool:
        """Whether each coil is two tubes side by side."""
        return self.d_i.ndim > 1

    def throttled(self, share: Array, T: Array, *, rounds: int = 12) -> Circuit:
        """With the valve closed until `share` of the full flow is left at mean water temperature T [K]."""
        if (share == 1.0).all():
            return self
        V = share * self.flow(T, rounds=rounds)
        losses = self._losses(T)
        total = V
        if self.parallel:
            # A share of the whole splits nearly like the whole.
            total = V.sum(axis=-2)
            for _ in range(4):
                a, power = losses.coil(V)
                V = total * losses.shares(V, a, power)
        a = losses.coil(V)[0]
        a = (a * V**3).sum(axis=-2) / total**3 if self.parallel else a
        p, k = self.supply.at(total)
        valve_resistance = np.where(share < 1.0, p / total**2 - k - a - losses.hose(total), 0.0)
        return replace(self, valve_resistance=np.maximum(valve_resistance, 0.0), near=V)

    def flow(self, T: Array, *, rounds: int = 3) -> Array:
        """Flow [m3/s] at mean water temperature T [K], broadcast against the coils.

        The loss is a(V) V^2 with a nearly constant, so V = sqrt(p/(k + a)) is iterated in ln V by Newton's
        rule with a's exponent as in Blasius' law or White's; three rounds leave 1e-6 in household tube on a
        tap, 4e-4 at worst in a 2 mm bore. A curve with bends, and tubes in parallel, take twice as many.
        """
        losses = self._losses(T)
        V = losses.first_guess() if self.near is None else self.near
        for i in range(rounds * (2 if self.parallel or self.supply.pieces else 1)):
            # Where laminar meets turbulent flow two tubes can swap for ever: later steps go half the way.
            before, V = V, losses.nearer(V, 1.0 if i < UNDAMPED else 0.5)
            if np.max(np.abs(V - before), initial=0.0) <= AT_REST * np.min(V, initial=1.0):
                return V
        return self._at_rest(V, losses) if len(self.supply.pieces) > 1 else V

    @staticmethod
    def _at_rest(V: Array, losses: _Losses) -> Array:
        """The flow where a bend of the curve makes Newton's steps jump across it for ever: half steps come to
        rest there. Any other flow as it is."""
        restless = np.abs(losses.nearer(V) / V - 1.0) > RESTLESS
        for _ in range(MOST_HALF_STEPS if restless.any() else 0):
            V = np.where(restless, np.sqrt(V * losses.nearer(V)), V)
        return V

    def refined(self, V: Array, T: Array) -> Array:
        """A flow [m3/s] that is nearly right at mean water temperature T [K], made better by one step."""
        return self._losses(T).nearer(V)

    def pressure_drop(self, V: Array, T: Array) -> Array:
        """Friction [Pa] of the coil with its risers at flow V (of one tube) and mean temperature T."""
        return pressure_drop_tube(V, T, self.d_i, self.d_i / self.curvature, self.length_ratio * self.d_i)

    def _losses(self, T: Array) -> _Losses:
        """The losses with the water at mean temperature T [K]."""
        at = water.table().locate(T)
        rho = water.table().read("density", at)
        nu = water.table().read("viscosity", at) / rho
        return _Losses(self, 8.0 * rho / np.pi**2, 4.0 / (np.pi * nu))


@dataclass(frozen=True)
class _Losses:
    """The circuit's losses at one temperature of the water: each a [Pa/(m3/s)^2], so that a V^2 is a loss.

    per_velocity d^-4 V^2 = rho v^2/2; to_Re V/d = Re.
    """

    circuit: Circuit
    per_velocity: Array
    to_Re: Array

    def coil(self, V: Array) -> tuple[Array, Array]:
        """a of coil and fittings, and by which power of V it falls."""
        c = self.circuit
        scale = self.per_velocity / c.d_i**4
        Re = self.to_Re / c.d_i * V
        f_lam = friction.f_laminar_helical_White(Re, c.curvature, 1.0)
        f_turb = friction.f_turbulent_helical_Ito(Re, c.curvature, 1.0)
        pipe = np.maximum(f_lam, f_turb) * c.length_ratio
        a = scale * (c.K + pipe)
        # White's f falls as 1/Re at De = 11.6 and as Re^-0.55 far above; his bend factor tells where.
        straight = 64.0 / (Re * f_lam)
        laminar = 0.55 + 0.45 * straight * straight * straight
        return a, np.where(f_lam > f_turb, laminar, 0.22) * scale * pipe / np.maximum(a, 1e-300)

    def hose(self, V: Array) -> Array:
        """a of the hoses and the exit."""
        s = self.circuit.supply
        f = friction.f_straight_smooth(self.to_Re / s.hose_bore * V)
        return self.per_velocity / s.hose_bore**4 * (K_EXIT + f * (s.hose_length / s.hose_bore))

    def first_guess(self) -> Array:
        """Flow with a friction factor of 0.04 everywhere."""
        c, s = self.circuit, self.circuit.supply
        hose = (K_EXIT + 0.04 * s.hose_length / s.hose_bore) / s.hose_bore**4
        # Two tubes share the flow: each meets a quarter of what the supply's side takes from the whole.
        sharing = 4.0 if c.parallel else 1.0
        coil = (c.K + 0.04 * c.length_ratio) / c.d_i**4
        total = sharing * (s.resistance + c.valve_resistance) + self.per_velocity * (coil + sharing * hose)
        return np.sqrt(s.pressure / total)

    def shares(self, V: Array, a: Array, power: Array) -> Array:
        """How the flow splits between two tubes that take the same pressure; a, power of `coil` at V."""
        # Loss goes with V^(2 - n), n of each tube's own: towards the common loss that keeps the sum of flows.
        rise = 1.0 / (2.0 - power)
        loss, weight = np.log(a * V * V), V * rise
        common = (weight * loss).sum(axis=-2, keepdims=True) / weight.sum(axis=-2, keepdims=True)
        split = V * np.exp((common - loss) * rise)
        return np.asarray(split / split.sum(axis=-2, keepdims=True))

    def nearer(self, V: Array, step: float = 1.0) -> Array:
        """One step of Newton's rule in ln V; `step` of the way towards the new split of two tubes."""
        c = self.circuit
        a, power = self.coil(V)
        total = V
        if c.parallel:
            total = V.sum(axis=-2, keepdims=True)
            split = total * self.shares(V, a, power)
            split = V + step * (split - V)
            a = a * np.exp(power * np.log(V / split))
            V = split
            weight = a * V * V * V
            whole_weight = weight.sum(axis=-2, keepdims=True)
            power = (power * weight).sum(axis=-2, keepdims=True) / whole_weight
            a = whole_weight / (total * total * total)
        p, k = c.supply.at(total)
        whole = k + c.valve_resistance + self.hose(total) + a
        root = 1.0 / (1.0 - 0.5 * power * a / whole)
        return V * np.exp(0.5 * root * np.log(p / (whole * total * total)))
