"""Heat from wort at one temperature into water running through the coil, segment by segment.

Wort is isothermal outside; the water warms along the tube, so its properties and both wall temperatures
are taken segment by segment. Wall temperatures are found by sweeping: each sweep uses the last one's.

Where a Nusselt number becomes a film coefficient, h = Nu k/d: outside, on d_o and with the wort's k at the
film temperature, in `Wall.outside`; inside, on d_i and with the water's k at its mean, in `_Running.segment`.
The Nusselt numbers themselves are in `correlations.outside_film` and `correlations.inside_film`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Index
from optichill.correlations import outside_film
from optichill.correlations.inside_film import HelicalFilm
from optichill.properties.grid import Grid
from optichill.thermal.priors import Factors

SWIRL_ANGLE = np.radians(20.0)  # swirl runs nearly along the turns: the angle it meets them at (OWN)


def wall_resistance(d_o: ArrayLike, d_i: ArrayLike, k: ArrayLike) -> Array:
    """Resistance of the tube wall on its outside area: d_o/(2 k) ln(d_o/d_i), textbook.

    Parameters
    ----------
    d_o, d_i : array_like [m]
        Outside diameter; bore.
    k : array_like [W/mK]
        Of the metal.

    Returns
    -------
    Array [m2K/W], broadcast shape

    Examples
    --------
    9.525 x 0.813 mm in copper of 339 and stainless of 15 W/mK:

    >>> [f"{R:.3e}" for R in wall_resistance(9.525e-3, 7.899e-3, [339.0, 15.0])]
    ['2.630e-06', '5.943e-05']
    """
    d_o = np.asarray(d_o, dtype=np.float64)
    return d_o / (2.0 * np.asarray(k, dtype=np.float64)) * np.log(d_o / np.asarray(d_i, dtype=np.float64))


def effectiveness_isothermal_outside(NTU: ArrayLike) -> Array:
    """How far the water comes towards the wort's temperature: 1 - e^-NTU (definition).

    Parameters
    ----------
    NTU : array_like [-]
        UA / (m_dot c).

    Returns
    -------
    Array [-], NTU's shape

    Examples
    --------
    >>> effectiveness_isothermal_outside([0.0, 0.5, 1.0]).round(4).tolist()
    [0.0, 0.3935, 0.6321]
    """
    return 1.0 - np.exp(-np.asarray(NTU, dtype=np.float64))


@dataclass(frozen=True)
class Wall:
    """The heat-transfer side of a set of coils, geometry worked out once; arrays of shape (designs,)."""

    film: HelicalFilm
    to_Re: Array  # 4/(pi d_i): Re = to_Re m_dot/mu
    to_h_i: Array  # 1/d_i, times the inside film's multiplier
    area_ratio: Array  # d_o/d_i
    fixed: Array  # wall and fouling resistance on the outside area
    area: Array  # wetted outside area
    inverse_d_o: Array
    root_d_o: Array
    d_o_speed: Array  # d_o times the share of the wort's speed that reaches this coil
    phi_still: Array  # spacing factor times the still film's multiplier
    phi_moving: Array

    @classmethod
    def of(
        cls,
        *,
        d_o: Array,
        d_i: Array,
        k: Array,
        D_c: Array,
        pitch: Array,
        wetted_length: Array,
        factors: Factors,
        film_share: Array | float = 1.0,
        speed_share: Array | float = 1.0,
    ) -> Wall:
        """From outside and inside diameter, wall conductivity, coil diameter, pitch, wetted length; shares of
        film and wort speed that a second layer leaves."""
        s = pitch / d_o
        return cls(
            HelicalFilm.of(d_i, D_c),
            4.0 / (np.pi * d_i),
            factors.inner / d_i,
            d_o / d_i,
            wall_resistance(d_o, d_i, k) + factors.fouling,
            np.pi * d_o * wetted_length,
            1.0 / d_o,
            np.sqrt(d_o),
            d_o * speed_share,
            factors.still * outside_film.spacing_factor(s, factors.phi_still) * film_share,
            factors.moving * outside_film.spacing_factor(s, factors.phi_moving) * film_share,
        )

    def outside(self, T_b: Array, T_wall: Array, films: Grid, ways: tuple[Motions, ...]) -> list[Array]:
        """Outside film coefficient h_o = Nu k/d_o [W/m2K] with wort at T_b and the surface at T_wall [K], for
        each of the ways in which the wort moves.

        Still and moving film, each with its spacing factor and multiplier, joined by Churchill's cube rule; k
        and the rest at the film temperature, the mean of the two.
        """
        dT = T_b - T_wall
        at = films.locate(0.5 * (T_b + T_wall))
        root = films.read("root", at)
        root *= np.exp(np.log(np.maximum(np.abs(dT), 1e-9)) * (1.0 / 6.0))
        root *= self.root_d_o
        still, k = outside_film.Nu_from_sixth_root(root) * self.phi_still, films.read("k", at)
        return [self._Nu(still, films, at, motions) * k * self.inverse_d_o for motions in ways]

    def _Nu(self, still: Array, films: Grid, at: tuple[Index, Array], motions: Motions) -> Array:
        """Nusselt number of the still film together with that of the strongest motion."""
        if not motions:
            return still
        inverse_nu, share = films.read("inverse_nu", at), films.read("share", at)
        moving = [
            outside_film.Nu_from_reynolds(inverse_nu * (speed * self.d_o_speed), share)
            * (self.phi_moving * yaw)
            for speed, yaw in motions
        ]
        return outside_film.Nu_mixed_Churchill(still, moving[0] if len(moving) == 1 else np.maximum(*moving))


Motions = tuple[tuple[float | Array, float], ...]
"""Of the wort, each as (cross-flow speed [m/s], factor by which an oblique flow is weakened). The strongest
acts; without one the wort is still."""


@dataclass(frozen=True)
class Exchange:
    """What the coil does at given wort temperatures; arrays of shape (nodes, designs).

    Q heat into the water [W], V flow [m3/s], T_in inlet, T_out outlet [K], U mean over the wetted tube
    [W/m2K] on the outside area, m_dot [kg/s]. Q_top: of Q, what came from wort stranded above the turns [W];
    T_first, T_last: water where the turns begin and end [K].
    """

    Q: Array
    V: Array
    m_dot: Array
    T_in: Array
    T_out: Array
    U: Array
    Q_top: Array
    T_first: Array
    T_last: Array


@dataclass(frozen=True)
class HotRisers:
    """Risers in wort stranded above the turns: its temperature T [K], and their share of the wetted tube.

    Half of them leads the cold water down, half the warm water up. Their film is taken as that of the turns,
    though they stand upright (OWN).
    """

    T: Array
    share: Array


def exchange(
    wall: Wall,
    T_b: Array,
    T_in: Array,
    *,
    films: Grid,
    coolant: Grid,
    flow: Callable[[Array], Array],
    ways: tuple[Motions, ...],
    segments: int = 3,
    sweeps: int = 1,
    risers: HotRisers | None = None,
) -> list[Exchange]:
    """Heat into the water at given wort temperatures, for all coils at once.

    Parameters
    ----------
    wall : Wall
        The coils.
    T_b, T_in : Array [K]
        Wort and inlet temperature, broadcast to (nodes, designs).
    films, coolant : Grid
        Of `film_tables`: `wort_films`, `coolant_films`.
    flow : callable
        Flow [m3/s] by mean water temperature [K].
    ways : tuple of Motions
        In which the wort moves, one after the other.
    segments : int
        Equal lengths in series.
    sweeps : int
        Rounds over them; each takes the wall temperatures from the last, the first from a look at the tube as
        a whole (one round leaves 0.1 % of the chill time; none, a rough idea).
    risers : HotRisers, optional
        Where some of the tube stands in other wort, before and after the segments.

    Returns
    -------
    list of Exchange
        For each of the ways; arrays of shape (nodes, designs).

    Examples
    --------
    A very long tube: the water leaves as warm as the wort, and 0.1 kg/s take 0.1 x 4.18 x (60 - 12) kW:

    >>> from optichill.thermal.film_tables import coolant_films, wort_films
    >>> wall = Wall.of(
    ...     d_o=np.array([0.010]), d_i=np.array([0.008]), k=np.array([339.0]), D_c=np.array([0.25]),
    ...     pitch=np.array([0.015]), wetted_length=np.array([1000.0]), factors=Factors())
    >>> (e,) = exchange(
    ...     wall, np.array([[333.15]]), np.array([285.15]), films=wort_films(12.0, True),
    ...     coolant=coolant_films(True), flow=lambda T: np.array([[1.0005e-4]]), ways=((),))
    >>> f"{e.T_out[0, 0] - 273.15:.1f} degC, {e.Q[0, 0] / 1e3:.1f} kW"
    '60.0 degC, 20.1 kW'
    """
    water_side = _WaterSide(wall, T_in, coolant, flow)
    T_b = np.broadcast_to(T_b, np.broadcast_shapes(T_b.shape, T_in.shape, wall.area.shape))
    # The tube as a whole: water takes up a third of the difference, the wall stands nearer to the water. So
    # far however the wort moves, only the outside film is not the same.
    drive = T_b - T_in
    state = water_side.at(T_in + 0.17 * drive)
    looks = state.segment(films, ways, T_b, T_in + 0.17 * drive, T_b - 0.6 * drive, T_b - 0.7 * drive)
    pieces = _pieces(T_b, segments, risers)
    return [
        _walked(water_side, state, whole, films, motions, pieces, sweeps, risers is not None)
        for whole, motions in zip(looks, ways, strict=True)
    ]


def _walked(
    water_side: _WaterSide,
    state: _Running,
    whole: _Segment,
    films: Grid,
    motions: Motions,
    pieces: list[tuple[Array, Array | float]],
    sweeps: int,
    apart: bool,
) -> Exchange:
    """Piece by piece along the tube, which as a whole is like one segment, in rounds; apart : first and last
    piece are risers in wort of their own."""
    T_in, area, shape = water_side.T_in, water_side.wall.area, whole.U.shape
    rise, T_outer, T_inner = whole.guess(T_in, pieces, state)
    T_c, U = T_in + sum(rise), whole.U
    for _ in range(sweeps):
        state = water_side.at(T_in + 0.5 * sum(rise))
        T_c = np.broadcast_to(T_in, shape)
        U = np.zeros(shape)
        for i, (T, share) in enumerate(pieces):
            (part,) = state.segment(films, (motions,), T, T_c + 0.5 * rise[i], T_outer[i], T_inner[i])
            T_outer[i], T_inner[i] = part.T_outer, part.T_inner
            NTU = part.U * (area * share) * state.inverse_C
            rise[i] = (T - T_c) * effectiveness_isothermal_outside(NTU)
            T_c = T_c + rise[i]
            U += part.U * share
    V, m_dot = np.broadcast_to(state.V, shape), np.broadcast_to(state.m_dot, shape)
    Q = state.heat(T_c)
    if not apart:
        return Exchange(Q, V, m_dot, T_in, T_c, U, np.zeros(shape), T_in, T_c)
    T_first, T_last = T_in + rise[0], T_c - rise[-1]
    Q_top = Q - (state.heat(T_last) - state.heat(T_first))
    return Exchange(Q, V, m_dot, T_in, T_c, U, Q_top, T_first, T_last)


def _pieces(T_b: Array, segments: int, risers: HotRisers | None) -> list[tuple[Array, Array | float]]:
    """The tube in the water's order: the wort round each piece [K] and its share of the wetted length."""
    if risers is None:
        return [(T_b, 1.0 / segments)] * segments
    turns, riser = (1.0 - risers.share) / segments, 0.5 * risers.share
    return [(risers.T, riser), *[(T_b, turns)] * segments, (risers.T, riser)]


@dataclass(frozen=True)
class _WaterSide:
    """The water's way through the coils at given wort temperatures."""

    wall: Wall
    T_in: Array
    table: Grid
    flow: Callable[[Array], Array]

    def at(self, T_mean: Array) -> _Running:
        """Flow and its consequences with the water at T_mean over the whole tube."""
        place = self.table.locate(T_mean)
        V = self.flow(T_mean)
        # Flow is counted where a bucket or meter counts it: cold, on its way in.
        m_dot = V * self.table.read("density", self.table.locate(self.T_in))
        return _Running(self, V, m_dot, 1.0 / (m_dot * self.table.read("heat_capacity", place)))


@dataclass(frozen=True)
class _Running:
    """Water running at a known rate. inverse_C = 1/(m_dot c) [K/W]."""

    side: _WaterSide
    V: Array
    m_dot: Array
    inverse_C: Array

    def segment(
        self, films: Grid, ways: tuple[Motions, ...], T_b: Array, T_m: Array, T_outer: Array, T_inner: Array
    ) -> list[_Segment]:
        """One segment's films (h_i = Nu k/d_i) and walls, wort at T_b, water at T_m, walls near T_outer and
        T_inner [K], for each of the ways in which the wort moves."""
        wall, table = self.side.wall, self.side.table
        at = table.locate(T_m)
        Re = table.read("inverse_mu", at) * self.m_dot
        Re *= wall.to_Re
        Nu = wall.film.Nu(Re, table.read("Pr_cbrt", at))
        Nu *= table.read("Pr_14", at) / table.read("Pr_14", table.locate(T_inner))
        r_i = wall.area_ratio / (Nu * table.read("k", at) * wall.to_h_i)
        found = []
        for h_o in wall.outside(T_b, T_outer, films, ways):
            r_o = 1.0 / h_o
            U = 1.0 / (r_o + wall.fixed + r_i)
            flux = U * (T_b - T_m)
            found.append(_Segment(U, r_o, r_i, T_b - flux * r_o, T_m + flux * r_i))
        return found

    def heat(self, T_out: Array) -> Array:
        """Heat the water carries off [W], by its enthalpy."""
        table, T_in = self.side.table, self.side.T_in
        h_in = table.read("enthalpy", table.locate(T_in))
        return self.m_dot * (table.read("enthalpy", table.locate(T_out)) - h_in)


@dataclass(frozen=True)
class _Segment:
    """One segment: U and film resistances on the outside area, temperatures of the outer and inner wall."""

    U: Array
    r_o: Array
    r_i: Array
    T_outer: Array
    T_inner: Array

    def guess(
        self, T_c: Array, pieces: list[tuple[Array, Array | float]], state: _Running
    ) -> tuple[list[Array], list[Array], list[Array]]:
        """Rise of the water from T_c [K], and wall temperatures of each piece, if the whole tube were like
        this segment."""
        NTU = self.U * state.side.wall.area * state.inverse_C
        outer, inner = self.U * self.r_o, 1.0 - self.U * self.r_i
        rise, T_outer, T_inner = [], [], []
        arrives, before = NTU, None
        for T, share in pieces:
            if share is not before:  # most pieces are alike
                arrives, before = effectiveness_isothermal_outside(NTU * share), share
            drive = T - T_c
            step = drive * arrives
            middle = drive - 0.5 * step
            rise.append(step)
            T_outer.append(T - middle * outer)
            T_inner.append(T - middle * inner)
            T_c = T_c + step
        return rise, T_outer, T_inner
