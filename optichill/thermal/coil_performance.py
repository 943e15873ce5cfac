"""What coils do at a given temperature of the wort: the one place where films, flow and source meet.

The first look takes the tube as one piece; its answer is the guess for the segments. One sweep over two
segments and three nodes then leaves 0.3 % at worst against 40 segments, 24 nodes and five sweeps; two sweeps
from a fixed guess cost a third more and left 1 %.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array
from optichill.correlations import outside_film
from optichill.properties import water
from optichill.thermal.batch import Scenario
from optichill.thermal.exchanger import (
    SWIRL_ANGLE,
    Exchange,
    HotRisers,
    Motions,
    Wall,
    exchange,
)
from optichill.thermal.film_tables import coolant_films, wort_films
from optichill.thermal.hydraulics import Circuit
from optichill.thermal.sources import Source


@dataclass(frozen=True)
class Coils:
    """Coils as the physics sees them: arrays of one shape (designs,), SI.

    d_o, d_i tube diameters; k wall conductivity; D_c coil diameter centre to centre; pitch centre to
    centre; wetted_length of tube under the cold level; tube_length of the whole tube (pressure drop);
    metal_capacity [J/K] of the whole tube. Of two layers in one tube D_c is the mean over the length.
    film_share, speed_share: what is left of the outside film, and of the wort's speed, beside a second
    layer. stranded: share of the wort above the top wetted turn; riser_share: of the wetted length, what is
    risers in that wort. over: height of the level above the top turn's upper edge, as a share of it,
    below 0 where that stands out; per_height: tube that a rising level wets there among the turns [m/m].
    valve: share of the full flow that a part-closed valve lets through.

    Coils of two tubes in parallel have shape (2, designs): each tube with its own numbers, stranded and
    valve the same in both.
    """

    d_o: Array
    d_i: Array
    k: Array
    D_c: Array
    pitch: Array
    wetted_length: Array
    tube_length: Array
    metal_capacity: Array
    film_share: Array
    speed_share: Array
    stranded: Array
    riser_share: Array
    valve_share: Array
    over: Array
    per_height: Array

    @classmethod
    def of(cls, **columns: ArrayLike) -> Coils:
        """From array_likes, broadcast against each other; a lone single tube unless told otherwise."""
        alone = {"film_share": 1.0, "speed_share": 1.0, "stranded": 0.0, "riser_share": 0.0}
        alone |= {"valve_share": 1.0, "per_height": 0.0}
        columns = alone | {"over": columns.get("stranded", 0.0)} | columns
        arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, np.float64)) for v in columns.values()))
        return cls(**dict(zip(columns, arrays, strict=True)))

    def __len__(self) -> int:
        return int(self.d_o.shape[-1])

    @property
    def parallel(self) -> bool:
        """Whether each coil is two tubes side by side."""
        return self.d_o.ndim > 1

    def take(self, rows: ArrayLike) -> Coils:
        """The chosen rows."""
        index = np.asarray(rows)
        return Coils(**{name: getattr(self, name)[..., index] for name in self.__dataclass_fields__})

    def of_design(self, name: str) -> Array:
        """A column that belongs to the design, not to each of its tubes; shape (designs,)."""
        column: Array = getattr(self, name)
        return column[0] if self.parallel else column

    def summed(self, name: str) -> Array:
        """A column summed over a design's tubes; shape (designs,)."""
        column: Array = getattr(self, name)
        return column.sum(axis=0) if self.parallel else column


@dataclass(frozen=True)
class Numerics:
    """How finely to compute: quadrature nodes, segments along the tube, sweeps of the wall temperature.

    nodes are for stages whose water keeps one temperature in mixed wort, and None takes as many as are
    needed; steps, per factor of e in temperature difference, for all others. exact reads properties by
    splines, asks the coil at every step instead of drawing a curve, and, with solve_flow, finds the flow at
    every node instead of at three temperatures.
    """

    nodes: int | None = 8
    segments: int = 3
    sweeps: int = 2
    exact: bool = False
    steps: float = 8.0
    solve_flow: bool = True

    def nodes_for(self, span: float, T_in: float) -> int:
        """Quadrature nodes over a span of ln(T - T_in); None takes as many as leave about 0.03 %.

        The integrand is so smooth in ln(T - T_in) that three nodes do for most chills. It bends where the
        wort comes within a few percent of the water's temperature and still convection dies away, and where
        films get so cold that water hardly expands.
        """
        if self.nodes is not None:
            return self.nodes
        if span > 3.6:
            return 12
        return 6 if span > 3.0 or T_in < COLD_WATER else 3

    def steps_for(self, span: float) -> int:
        """Steps over a span of ln(T - T_in); an even number, for Simpson's rule. A bath that comes so near to
        the wort that it takes forever gets no more than are wanted for LONGEST_SPAN."""
        return 2 * max(1, int(np.ceil(0.5 * self.steps * min(span, LONGEST_SPAN))))


LONGEST_SPAN = 10.0
COLD_WATER = 281.0
"""Inlet below which films come near water's densest point, so that three nodes are too few [K]."""

FIRST_IDEA = 0.12
"""Where between coldest water and hottest wort the water's mean temperature is taken for a first idea."""

ROUGH = Numerics(nodes=2, segments=1, sweeps=0, steps=3.0)
"""A first idea of a chill, within a tenth: enough to tell what is not worth more."""

SEARCH = Numerics(nodes=None, segments=2, sweeps=1, steps=3.0)
CONVERGED = Numerics(nodes=24, segments=40, sweeps=5, exact=True, steps=60.0)


class CoilPerformance:
    """The coils behind one source in one scenario, prepared: what they do at any wort temperature.

    Temperatures have shape (nodes, 1) or (nodes, designs). The scenario's first source where none is given;
    T_hot [K] is the hottest wort it will meet.
    """

    def __init__(
        self,
        coils: Coils,
        scenario: Scenario,
        numerics: Numerics = SEARCH,
        source: Source | None = None,
        T_hot: float | None = None,
    ) -> None:
        self.coils, self.scenario, self.numerics = coils, scenario, numerics
        self.source = (source or scenario.sources[0]).scaled(scenario.factors.ice)
        self.T_hot = scenario.T_start if T_hot is None else T_hot
        water.checked([self.source.T_water, scenario.T_start, scenario.T_target])
        self.circuit = self._circuit()
        self.wall = Wall.of(
            d_o=coils.d_o,
            d_i=coils.d_i,
            k=coils.k,
            D_c=coils.D_c,
            pitch=coils.pitch,
            wetted_length=coils.wetted_length,
            factors=scenario.factors,
            film_share=coils.film_share,
            speed_share=coils.speed_share,
        )
        self.films = wort_films(scenario.plato, numerics.exact)
        self.coolant = coolant_films(numerics.exact)
        self.coil_capacity = coils.summed("metal_capacity")
        self._last_flow: Array | None = None
        self.flow = self._flow_solver()
        self.in_hot_layer = scenario.mixing.still and bool((coils.stranded * coils.riser_share > 0.0).any())

    def behind(self, source: Source, numerics: Numerics) -> CoilPerformance:
        """The same coils with the same flow behind another source, where it is known what they do."""
        other = copy(self)
        other.source, other.numerics = source, numerics
        return other

    def _circuit(self) -> Circuit:
        """Flow's side, with the valve set where the water goes down the drain and costs something."""
        c, s, source = self.coils, self.scenario, self.source
        supply = source.supply.as_it_is(s.factors)
        circuit = Circuit.of(supply, c.d_i, c.D_c, c.tube_length, s.factors.friction)
        if source.returns:
            return circuit
        T = np.array(0.75 * source.T_water + 0.25 * s.T_start)
        return circuit.throttled(c.of_design("valve_share"), T, rounds=12 if self.numerics.exact else 3)

    def _flow_solver(self) -> Callable[[Array], Array]:
        """Flow by mean water temperature: solved anew each time, or a parabola through three solutions."""
        if self.numerics.exact and self.numerics.solve_flow:
            return self._from_the_last
        # The water's mean is at most half way between inlet and hottest wort.
        T_0 = self.source.coldest
        if self.numerics.sweeps == 0:
            T = T_0 + FIRST_IDEA * (self.T_hot - T_0)
            V = self.circuit.flow(np.full((1, 1, 1) if self.coils.parallel else (1, 1), T), rounds=2)[0]
            return lambda T: V
        half = max(0.25 * (self.T_hot - T_0), 1e-3)
        at = np.array([T_0 + half, T_0, T_0 + 2.0 * half])
        at = at[:, None, None] if self.coils.parallel else at[:, None]
        # The flow half way is a good beginning for the two on its sides.
        middle = self.circuit.flow(at[:1], rounds=3 if self.circuit.near is None else 2)
        low, high = replace(self.circuit, near=middle).flow(
            at[1:], rounds=2 if self.circuit.near is None else 1
        )
        V = np.stack([low, middle[0], high])
        slope, bend = 0.5 * (V[2] - V[0]), 0.5 * (V[0] + V[2]) - V[1]

        def parabola(T: Array) -> Array:
            x = (T - (T_0 + half)) * (1.0 / half)
            flow: Array = V[1] + x * (slope + x * bend)
            return flow

        if not self.circuit.supply.pieces:
            return parabola
        # A weak pump runs where laminar meets turbulent flow, and no parabola follows that bend.
        return lambda T: self.circuit.refined(parabola(T), T)

    def _from_the_last(self, T: Array) -> Array:
        """Flow solved to its last digits; it begins with the one before, which is mostly near."""
        known = self._last_flow is not None and self._last_flow.shape == np.broadcast_shapes(
            T.shape, self.coils.d_i.shape
        )
        circuit = replace(self.circuit, near=self._last_flow) if known else self.circuit
        self._last_flow = circuit.flow(T, rounds=5)
        return self._last_flow

    def at(self, T: Array, E: ArrayLike = 0.0, T_top: Array | None = None) -> Exchange:
        """Heat, flow and outlet with wort at T [K] round the coil, at T_top where it is stranded above, and E
        [J] taken up by the bath."""
        if not self.source.implicit:
            return self._mixed(T, self._inlet(T, E), self.numerics, T_top)
        # The bath hangs on the heat, and that on the bath, nearly in proportion to the difference: a cheap
        # look places the bath within a tenth of a kelvin, and what is left is taken in proportion.
        T_in = self._bath(T, E, FIRST_CONDUCTANCE)
        if self.numerics.sweeps > 0:
            T_in = self._bath(T, E, _conductance(self._mixed(T, T_in, ROUGH, T_top), T))
        e = self._mixed(T, T_in, self.numerics, T_top)
        T_in = self._bath(T, E, _conductance(e, T))
        by = (T - T_in) / _apart(T, e.T_in)
        warmed = {n: T_in + by * (getattr(e, n) - e.T_in) for n in ("T_out", "T_first", "T_last")}
        return replace(e, Q=by * e.Q, Q_top=by * e.Q_top, T_in=T_in, **warmed)

    def _bath(self, T: Array, E: ArrayLike, G: ArrayLike) -> Array:
        """Water out of a bath of melting ice [K]; never as warm as the wort, for a quotient's sake."""
        return np.atleast_2d(np.minimum(self.source.inlet(E, 0.0, G, T), T - TINY_DRIVE))

    def with_inlet(self, T: Array, T_in: Array) -> Exchange:
        """Heat, flow and outlet with wort at T [K] and water from T_in [K], whatever its vessel says."""
        return self._mixed(T, T_in, self.numerics)

    def _mixed(self, T: Array, T_in: Array, numerics: Numerics, T_top: Array | None = None) -> Exchange:
        """What the coil does with water from T_in [K]."""
        speeds, shares = zip(*self.scenario.motions, strict=True)
        states = self._states(T, T_in, speeds, numerics, T_top)
        if len(states) == 1:
            return states[0]
        # Each mixing state lasts long against the water's way through the coil: heat rates average.
        return Exchange(
            *(
                sum(w * getattr(e, n) for e, w in zip(states, shares, strict=True))
                for n in Exchange.__dataclass_fields__
            )
        )

    def _states(
        self,
        T: Array,
        T_in: Array,
        speeds: tuple[float | Array, ...],
        numerics: Numerics,
        T_top: Array | None,
    ) -> list[Exchange]:
        """Heat, flow and outlet with wort at each of some speeds [m/s], or at its swirl where that is the
        stronger."""
        swirl: Motions = ()
        if self.scenario.mixing.swirl:
            swirl = ((self.scenario.mixing.swirl, float(outside_film.yaw_factor_ESDU(SWIRL_ANGLE))),)
        risers = None
        if T_top is not None and self.in_hot_layer:
            share = np.where(self.coils.stranded > 0.0, self.coils.riser_share, 0.0)
            risers = HotRisers(T_top[:, None, :] if self.coils.parallel else T_top, share)
        if self.coils.parallel:
            T, T_in = T[:, None, :], T_in[:, None, :] if T_in.ndim > 1 else T_in
        found = exchange(
            self.wall,
            T,
            T_in,
            films=self.films,
            coolant=self.coolant,
            flow=self.flow,
            ways=tuple((((v, 1.0),) if np.any(v > 0.0) else ()) + swirl for v in speeds),
            segments=numerics.segments,
            sweeps=numerics.sweeps,
            risers=risers,
        )
        return [_joined(e, self.wall.area) for e in found] if self.coils.parallel else found

    def _inlet(self, T: Array, E: ArrayLike) -> Array:
        """Temperature of the water that enters the coil [K]; shape (1,) where it is always the same."""
        if self.source.bath is None:
            return np.array([self.source.T_water])
        V: ArrayLike = 0.0
        if not self.source.returns:
            # The flow through bath or both coils, with the water a sixth of the way to the wort.
            T_mean = self.source.T_water + 0.17 * (T - self.source.T_water)
            V = self.flow(T_mean[:, None, :] if self.coils.parallel else T_mean)
            V = V.sum(axis=-2) if self.coils.parallel else V
        return np.atleast_2d(self.source.inlet(E, V, 0.0, T))

    def capacity(self, T: Array) -> Array:
        """Heat given up per kelvin [J/K] by wort, kettle and coil at T [K]."""
        return self.scenario.capacity(T) + self.coil_capacity

    def limit(self, T: Array, V: Array, T_in: ArrayLike | None = None) -> Array:
        """The most heat [W] the flow V [m3/s] could carry off: water leaving at wort temperature."""
        T_in = self.source.T_water if T_in is None else T_in
        return V * water.density(T_in) * (water.enthalpy(T) - water.enthalpy(T_in))


FIRST_CONDUCTANCE = 400.0
"""Of a household coil [W/K], for a first idea of what ice in a bath stands at (OWN)."""

TINY_DRIVE = 1e-4
"""Nearest that water comes to the wort [K] in a quotient."""

TINY = 1e-12
"""Stands for no surface in a quotient [m2]."""


def _apart(T: Array, T_in: Array) -> Array:
    """Difference of wort and water [K], for a quotient."""
    return np.maximum(T - T_in, TINY_DRIVE)


def _conductance(e: Exchange, T: Array) -> Array:
    """Heat per kelvin between wort and the water as it comes [W/K]."""
    return np.maximum(e.Q, 0.0) / _apart(T, e.T_in)


def _joined(e: Exchange, area: Array) -> Exchange:
    """Two tubes as one coil: heat and flow add, the outlets mix, U is the mean over any surface."""
    m_dot = e.m_dot.sum(axis=-2)

    def mixed(T: Array) -> Array:
        return np.asarray((e.m_dot * T).sum(axis=-2) / m_dot)

    return replace(
        e,
        Q=e.Q.sum(axis=-2),
        V=e.V.sum(axis=-2),
        m_dot=m_dot,
        T_in=e.T_in[..., 0, :] if e.T_in.ndim > 1 else e.T_in,
        T_out=mixed(e.T_out),
        U=(e.U * area).sum(axis=-2) / np.maximum(area.sum(axis=-2), TINY),
        Q_top=e.Q_top.sum(axis=-2),
        T_first=mixed(e.T_first),
        T_last=mixed(e.T_last),
    )


def without_nan(coils: Coils) -> tuple[Array, Coils]:
    """Which designs are sound, and the coils with a harmless stand-in where they are not."""
    columns = {name: getattr(coils, name) for name in Coils.__dataclass_fields__}
    sound = np.all([np.isfinite(v) for v in columns.values()], axis=0)
    if sound.all():
        return np.ones(len(coils), dtype=bool), coils
    sound = sound.all(axis=0) if coils.parallel else sound
    stand_in = {"d_o": 0.01, "d_i": 0.008, "k": 339.0, "D_c": 0.25, "pitch": 0.02, "stranded": 0.0}
    stand_in |= {"riser_share": 0.0, "film_share": 1.0, "speed_share": 1.0, "valve_share": 1.0, "over": 0.0}
    return sound, Coils(**{n: np.where(sound, v, stand_in.get(n, 10.0)) for n, v in columns.items()})
