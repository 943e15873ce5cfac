"""Chill time, water and outlet of a whole cool-down, for all coils at once.

The wort temperature falls monotonically, so time is a quadrature over temperature, not a march in time:

    t = integral of (M c_w(T) + C_metal) / (Q_coil(T) + Q_loss(T)) dT

In u = ln(T - T_in) the integrand is smooth and a few Gauss-Legendre nodes serve. Nodes stand on axis 0,
designs last. `march` integrates the same physics in time, as the check.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from optichill.physics import losses, nusselt, water, wort
from optichill.physics.exchanger import (
    SWIRL_ANGLE,
    Exchange,
    FilmFactors,
    Wall,
    coolant_films,
    exchange,
    wort_films,
)
from optichill.physics.supply import Circuit, Supply
from optichill.physics.water import Array

LONGEST = 6.0 * 3600.0
"""A chill that takes longer [s] counts as out of reach."""


@dataclass(frozen=True)
class Coils:
    """Coils as the physics sees them: arrays of one shape (designs,), SI.

    d_o, d_i tube diameters; k wall conductivity; D_c coil diameter centre to centre; pitch centre to
    centre; wetted_length of tube under the cold level; tube_length of the whole tube (pressure drop);
    metal_capacity [J/K] of the whole tube.
    """

    d_o: Array
    d_i: Array
    k: Array
    D_c: Array
    pitch: Array
    wetted_length: Array
    tube_length: Array
    metal_capacity: Array

    @classmethod
    def of(cls, **columns: ArrayLike) -> Coils:
        """From array_likes, broadcast against each other."""
        arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, np.float64)) for v in columns.values()))
        return cls(**dict(zip(columns, arrays, strict=True)))

    def __len__(self) -> int:
        return int(self.d_o.size)

    def take(self, rows: ArrayLike) -> Coils:
        """The chosen rows."""
        index = np.asarray(rows)
        return Coils(**{name: getattr(self, name)[index] for name in self.__dataclass_fields__})


@dataclass(frozen=True)
class Mixing:
    """How the wort moves: cross-flow speeds [m/s] with the share of time each lasts.

    swirl [m/s], where given, runs nearly along the turns and counts by ESDU's yaw factor; the stronger
    of the two motions acts.
    """

    states: tuple[tuple[float, float], ...]
    swirl: float | None = None

    @classmethod
    def of(cls, mixing: str | float, swirl: float | None = None) -> Mixing:
        """From one of the mixing words or a cross-flow speed [m/s]."""
        states = MIXING_WORDS[mixing] if isinstance(mixing, str) else ((float(mixing), 1.0),)
        return cls(states, swirl)


# Effective cross-flow speeds behind the words (OWN, known to a factor of 2).
MIXING_WORDS: dict[str, tuple[tuple[float, float], ...]] = {
    "left alone": ((0.0, 1.0),),
    "now and then": ((0.0, 0.75), (0.05, 0.25)),
    "steady": ((0.05, 1.0),),
    "whirlpool pump": ((0.06, 1.0),),
    "vigorous": ((0.15, 1.0),),
}


@dataclass(frozen=True)
class Scenario:
    """One batch in one kettle behind one supply; SI, kelvin.

    volume [m3] is read hot (at T_start), in the kettle, without the coil; kettle_metal_mass None means
    1 mm stainless over bottom and wetted wall.
    """

    volume: float
    plato: float
    T_start: float
    T_target: float
    T_in: float
    T_ambient: float
    kettle_diameter: float
    supply: Supply
    mixing: Mixing
    lid: bool = False
    kettle_metal_mass: float | None = None
    factors: FilmFactors = field(default_factory=FilmFactors)

    def __post_init__(self) -> None:
        numbers = {n: v for n, v in vars(self).items() if isinstance(v, int | float)}
        wrong = [n for n, v in numbers.items() if not np.isfinite(v)]
        if wrong or not self.supply.pressure > 0.0:
            raise ValueError(f"not a finite number, or no pressure: {', '.join(wrong) or 'supply'}")

    @cached_property
    def mass(self) -> float:
        """Mass of wort [kg]."""
        return self.volume * float(wort.density(self.T_start, self.plato))

    @cached_property
    def kettle_area(self) -> float:
        """Floor of the kettle [m2]."""
        return float(np.pi / 4.0 * self.kettle_diameter**2)

    @cached_property
    def kettle_capacity(self) -> float:
        """Heat capacity of the kettle's metal [J/K]."""
        depth = self.volume / self.kettle_area
        return losses.kettle_heat_capacity(self.kettle_diameter, depth, self.kettle_metal_mass)

    def loss(self, T: Array) -> Array:
        """Heat lost by the kettle [W] with wort at T [K]."""
        height = self.mass / wort.density(T, self.plato) / self.kettle_area
        return losses.kettle_loss(T, self.T_ambient, self.kettle_diameter, height, self.lid)


@dataclass(frozen=True)
class Numerics:
    """How finely to compute: quadrature nodes, segments along the tube, sweeps of the wall temperature.

    exact solves the flow at every node instead of at three temperatures, and reads properties by splines.
    """

    nodes: int | None = 8
    segments: int = 3
    sweeps: int = 2
    exact: bool = False

    def nodes_for(self, T_hot: float, T_cold: float, T_in: float) -> int:
        """Quadrature nodes between two wort temperatures [K]; None takes as many as leave about 0.03 %.

        The integrand is so smooth in ln(T - T_in) that three nodes do for most chills. It bends where the
        wort comes within a few percent of the water's temperature and still convection dies away, and where
        films get so cold that water hardly expands.
        """
        if self.nodes is not None:
            return self.nodes
        span = np.log((T_hot - T_in) / (T_cold - T_in))
        if span > 3.6:
            return 12
        return 6 if span > 3.0 or T_in < COLD_WATER else 3


COLD_WATER = 281.0
"""Inlet below which films come near water's densest point, so that three nodes are too few [K]."""

SEARCH = Numerics(nodes=None, segments=2, sweeps=1)
CONVERGED = Numerics(nodes=24, segments=40, sweeps=5, exact=True)


@dataclass(frozen=True)
class Chill:
    """What a cool-down takes; arrays of shape (designs,).

    time [s], water [m3]: inf where the target is out of reach, NaN where an input is. limit_time,
    limit_water: what the same flow would need if the water left at wort temperature.
    """

    time: Array
    water: Array
    limit_time: Array
    limit_water: Array


@dataclass(frozen=True)
class Ends:
    """The coil at the start and the end of the chill; arrays of shape (designs,).

    outlet_start [K], flow_start [m3/s], pressure_drop [Pa] of the coil with its risers, U_start, all at
    T_start; U_end at T_target [W/m2K on the wetted outside].
    """

    outlet_start: Array
    flow_start: Array
    pressure_drop: Array
    U_start: Array
    U_end: Array


class Kernel:
    """The coils in one scenario, prepared: what they do at any wort temperature."""

    def __init__(self, coils: Coils, scenario: Scenario, numerics: Numerics = SEARCH) -> None:
        self.coils, self.scenario, self.numerics = coils, scenario, numerics
        water.checked([scenario.T_in, scenario.T_start, scenario.T_target])
        self.circuit = Circuit.of(
            scenario.supply, coils.d_i, coils.D_c, coils.tube_length, scenario.factors.friction
        )
        self.wall = Wall.of(
            d_o=coils.d_o,
            d_i=coils.d_i,
            k=coils.k,
            D_c=coils.D_c,
            pitch=coils.pitch,
            wetted_length=coils.wetted_length,
            factors=scenario.factors,
        )
        self.films = wort_films(scenario.plato, numerics.exact)
        self.coolant = coolant_films(numerics.exact)
        self.metal_capacity = coils.metal_capacity + scenario.kettle_capacity
        self.flow = self._flow_solver()

    def _flow_solver(self) -> Callable[[Array], Array]:
        """Flow by mean water temperature: solved anew each time, or a parabola through three solutions."""
        if self.numerics.exact:
            return lambda T: self.circuit.flow(T, rounds=5)
        # The water's mean is at most half way between inlet and hottest wort.
        T_0 = self.scenario.T_in
        half = max(0.25 * (self.scenario.T_start - T_0), 1e-3)
        V = self.circuit.flow(np.array([[T_0], [T_0 + half], [T_0 + 2.0 * half]]))
        slope, bend = 0.5 * (V[2] - V[0]), 0.5 * (V[0] + V[2]) - V[1]

        def parabola(T: Array) -> Array:
            x = (T - (T_0 + half)) * (1.0 / half)
            return V[1] + x * (slope + x * bend)

        return parabola

    def at(self, T: Array) -> Exchange:
        """Heat, flow and outlet at wort temperatures T [K] of shape (nodes, 1) or (nodes, designs)."""
        parts = [(self._state(T, speed), weight) for speed, weight in self.scenario.mixing.states]
        if len(parts) == 1:
            return parts[0][0]
        # Each mixing state lasts long against the water's way through the coil: heat rates average.
        return Exchange(*(sum(w * getattr(e, n) for e, w in parts) for n in Exchange.__dataclass_fields__))

    def _state(self, T: Array, speed: float) -> Exchange:
        motions = [(speed, 1.0)]
        if self.scenario.mixing.swirl is not None:
            motions.append((self.scenario.mixing.swirl, float(nusselt.yaw_factor_ESDU(SWIRL_ANGLE))))
        return exchange(
            self.wall,
            T,
            np.array([self.scenario.T_in]),
            films=self.films,
            coolant=self.coolant,
            flow=self.flow,
            motions=tuple(m for m in motions if m[0] > 0.0),
            segments=self.numerics.segments,
            sweeps=self.numerics.sweeps,
        )

    def capacity(self, T: Array) -> Array:
        """Heat given up per kelvin [J/K] by wort, kettle and coil at T [K]."""
        s = self.scenario
        return s.mass * wort.heat_capacity(T, s.plato) + self.metal_capacity

    def limit(self, T: Array, V: Array) -> Array:
        """The most heat [W] the flow V [m3/s] could carry off: water leaving at wort temperature."""
        T_in = self.scenario.T_in
        return V * water.density(T_in) * (water.enthalpy(T) - water.enthalpy(T_in))


@lru_cache(maxsize=16)
def _gauss(nodes: int) -> tuple[Array, Array]:
    return np.polynomial.legendre.leggauss(nodes)


def quadrature(scenario: Scenario, numerics: Numerics) -> tuple[Array, Array]:
    """Wort temperatures T [K] and weights [K] over the cool-down: Gauss-Legendre in ln(T - T_in)."""
    u_hot = np.log(scenario.T_start - scenario.T_in)
    u_cold = np.log(scenario.T_target - scenario.T_in)
    x, w = _gauss(numerics.nodes_for(scenario.T_start, scenario.T_target, scenario.T_in))
    half = 0.5 * (u_hot - u_cold)
    drive = np.exp(u_cold + half * (x + 1.0))
    return (scenario.T_in + drive)[:, None], (w * half * drive)[:, None]


def chill(coils: Coils, scenario: Scenario, numerics: Numerics = SEARCH) -> Chill:
    """Time and water of the whole cool-down, all coils at once.

    A target at or below the water's temperature, or one where the coil brings nothing any more, is out of
    reach: time and water are inf; one that the wort has already reached takes no time. Coils with NaN
    anywhere come out NaN.
    """
    sound, safe = _without_nan(coils)
    if scenario.T_target >= scenario.T_start:
        totals = [np.zeros(len(safe))] * 4
    elif scenario.T_target > scenario.T_in:
        totals = _integrate(Kernel(safe, scenario, numerics))
    else:
        totals = [np.full(len(safe), np.inf)] * 4
    return Chill(*(np.where(sound, column, np.nan) for column in totals))


def ends(coils: Coils, scenario: Scenario, numerics: Numerics = CONVERGED) -> Ends:
    """How the coils run at the start and at the end of the chill; NaN where an input is."""
    sound, safe = _without_nan(coils)
    kernel = Kernel(safe, scenario, numerics)
    e = kernel.at(np.array([[scenario.T_start], [max(scenario.T_target, scenario.T_in + 0.01)]]))
    drop = kernel.circuit.pressure_drop(e.V[0], 0.5 * (e.T_out[0] + scenario.T_in))
    columns = [e.T_out[0], e.V[0], drop, e.U[0], e.U[1]]
    return Ends(*(np.where(sound, column, np.nan) for column in columns))


def _without_nan(coils: Coils) -> tuple[Array, Coils]:
    """Which designs are sound, and the coils with a harmless stand-in where they are not."""
    columns = {name: getattr(coils, name) for name in Coils.__dataclass_fields__}
    sound = np.all([np.isfinite(v) for v in columns.values()], axis=0)
    if sound.all():
        return sound, coils
    stand_in = {"d_o": 0.01, "d_i": 0.008, "k": 339.0, "D_c": 0.25, "pitch": 0.02}
    return sound, Coils(**{n: np.where(sound, v, stand_in.get(n, 10.0)) for n, v in columns.items()})


def _integrate(kernel: Kernel) -> list[Array]:
    """Time, water, least time, least water; inf where heat does not flow or the chill never ends."""
    T, weight = quadrature(kernel.scenario, kernel.numerics)
    e = kernel.at(T)
    loss = kernel.scenario.loss(T)
    heat = kernel.capacity(T) * weight
    Q, Q_most = e.Q + loss, kernel.limit(T, e.V) + loss
    flows = (Q > 0.0).all(axis=0)
    dt = heat / np.where(Q > 0.0, Q, 1.0)
    dt_least = heat / np.where(Q_most > 0.0, Q_most, 1.0)
    sums = [dt.sum(0), (dt * e.V).sum(0), dt_least.sum(0), (dt_least * e.V).sum(0)]
    within = flows & (sums[0] <= LONGEST)
    return [np.where(within, s, np.inf) for s in sums]


def batch_time_Kern(
    C_batch: ArrayLike,
    UA: ArrayLike,
    C_coolant: ArrayLike,
    T_start: ArrayLike,
    T_target: ArrayLike,
    T_in: ArrayLike,
) -> Array:
    """Time [s] to cool a batch of constant properties with a coil of constant UA. Kern 1950 ch. 18 (V).

    C_batch = M c [J/K], UA and C_coolant = m_dot c [W/K], temperatures in one unit.
    ln[(T0 - T_in)/(T - T_in)] = (C_coolant/C_batch) (1 - exp(-UA/C_coolant)) t, also in Bowman, Mueller &
    Nagle 1940.
    """
    C_c = np.asarray(C_coolant, dtype=np.float64)
    T_in = np.asarray(T_in, dtype=np.float64)
    ratio = (np.asarray(T_start, dtype=np.float64) - T_in) / (np.asarray(T_target, dtype=np.float64) - T_in)
    return np.log(ratio) * np.asarray(C_batch, dtype=np.float64) / (C_c * -np.expm1(-np.asarray(UA) / C_c))
