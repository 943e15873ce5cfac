"""What a coil takes from the wort, as a smooth curve: a few looks at the kernel serve any number of steps.

A search runs many small steps for many coils (`stepping`); asking the kernel at each would cost ten times the
chill itself. The conductance G = Q/(T - T_in) hardly changes: its logarithm and the flow are polynomials in
ln(T - T_ref) through a few looks along the path that stage would take if the kettle lost nothing. Where the
water comes back into its vessel coils leave that path, the more the less is left between wort and vessel:
looks nearer to the wort tell the power of the difference with which G goes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Index
from optichill.properties import water
from optichill.properties.grid import Grid
from optichill.thermal.coil_performance import FIRST_CONDUCTANCE, TINY_DRIVE, CoilPerformance
from optichill.thermal.exchanger import Exchange
from optichill.thermal.sources import Source

LOOKS = 3

NEAREST = 1e-3
"""Nearest to the coldest water [K] that a curve is read."""

PAST = 3.0
"""Half widths from the middle of what was looked at, past which a curve stays as it is there."""

MOST_APART = 5.0
"""Conductance next to the bath is that on the path within so much in its logarithm: no film goes further."""

MANY_FILLS = 3
"""Fillings of a vessel from which on a table serves (`PerformanceTable`): every one takes a cool-down of its
own, and the coils would be asked tens of thousands of times."""

LEAST_SHARE, NEARER = 0.1, (1.0, 0.4)
"""Looks on the path stand no nearer to the wort than this share of its difference to the coldest water; the
others so much nearer."""

Heat = Callable[[Array, Array], tuple[Array, Array, Array, Array]]
"""(Q, V, m_dot, T_in) of the coils by wort temperature round them [K], shape (designs,) or (zones, designs),
and heat in the bath [J]."""


def looked_up(source: Source, often: bool) -> bool:
    """Whether a table serves: of a vessel filled many times, or of a bath so near to the wort that the coils
    are asked `often`."""
    return source.fills >= MANY_FILLS or (often and source.returns)


def asked(kernel: CoilPerformance, *, often: bool = False) -> Heat:
    """What the coils do, asked anew each time; out of a table where that is `looked_up`."""
    if looked_up(kernel.source, often):
        return PerformanceTable(kernel).at

    def ask(T: Array, E: Array) -> tuple[Array, Array, Array, Array]:
        e = kernel.at(np.atleast_2d(T), E[None, :])
        if T.ndim > 1:
            return e.Q, e.V, e.m_dot, e.T_in
        return e.Q[0], e.V[0], e.m_dot[0], e.T_in[0] if e.T_in.ndim > 1 else e.T_in

    return ask


class PerformanceCurve:
    """Heat and flow of one stage's coils at any wort temperature between T_hot and T_cold [K].

    path: temperature of the water that comes [K] at wort temperatures, as arrays of rising wort temperature
    and of water's; nearer: of what is then left between the two, the shares that are looked at, the first of
    them 1. Both are read only where water goes round.
    """

    def __init__(
        self,
        kernel: CoilPerformance,
        T_hot: float,
        T_cold: float,
        path: tuple[Array, Array],
        nearer: tuple[float, ...] = NEARER,
        looks: int = LOOKS,
    ) -> None:
        self.source = kernel.source
        self.T_ref = kernel.source.coldest
        # Stranded wort at its target can leave wort colder than the water below it: out of reach.
        v_hot, v_cold = (np.log(max(T - self.T_ref, NEAREST)) for T in (T_hot, T_cold))
        nodes = np.cos(np.pi * (np.arange(looks) + 0.5) / looks)
        self.middle, self.half = 0.5 * (v_hot + v_cold), 0.5 * max(v_hot - v_cold, 1e-6)
        T = self.T_ref + np.exp(self.middle + self.half * nodes)
        to_coefficients = np.linalg.inv(np.vander(nodes, increasing=True))
        self.rho = float(water.density(self.source.T_water))
        if not self.source.returns:
            e = kernel.at(T[:, None])
            self.curves = _as_one([to_coefficients @ _log_G(e, T), to_coefficients @ e.V])
            return
        apart = T - self.T_ref
        share = np.clip((T - np.interp(T, *path)) / apart, LEAST_SHARE, 1.0)
        # All looks in one go; those on the path come first.
        every = np.tile(T, len(nearer))
        e = kernel.with_inlet(every[:, None], every[:, None] - np.outer(nearer, share * apart).reshape(-1, 1))
        to_powers = np.linalg.inv(np.vander(np.log(nearer), increasing=True))
        by_share = np.tensordot(to_powers, _log_G(e, every).reshape(len(nearer), looks, -1), 1)
        flow, log_share = to_coefficients @ e.V[:looks], to_coefficients @ np.log(share)
        self.curves = _as_one([*(to_coefficients @ log_G for log_G in by_share), flow, log_share[:, None]])

    def at(self, T: Array, E: ArrayLike) -> tuple[Array, Array, Array, Array]:
        """(Q, V, m_dot, T_in) with wort at T [K] round the coil and E [J] in the bath; T's shape."""
        apart = np.maximum(T - self.T_ref, NEAREST)
        # A step that goes too far asks where no wort of the plan comes: there a power series runs away.
        y = within((np.log(apart) - self.middle) * (1.0 / self.half), -PAST, PAST)
        told = polynomial(self.curves if T.ndim == 1 else self.curves[:, :, None], y)
        if not self.source.returns:
            log_G, V = told
            T_in = self.source.inlet(E, V, G := np.exp(log_G), T)
            return G * (T - T_in), V, V * self.rho, T_in
        *by_share, V, log_share = told
        T_in = self.source.inlet(E, V, np.exp(by_share[0]), T)
        left = np.log(np.maximum(T - T_in, TINY_DRIVE) / apart) - log_share
        # Of a few litres of wort two looks may tell a power that runs away next to the bath.
        log_G = polynomial(by_share, left)
        G = np.exp(within(log_G, by_share[0] - MOST_APART, by_share[0] + MOST_APART))
        return G * (T - T_in), V, V * self.rho, T_in


def within(value: Array, low: ArrayLike, high: ArrayLike) -> Array:
    """As np.clip, which takes three times as long over a handful of coils."""
    return np.minimum(np.maximum(value, low), high)


def _as_one(coefficients: Sequence[Array]) -> Array:
    """Coefficients of several curves, lowest power first, of shape (looks, designs): read in one go they come
    on an axis between these two."""
    return np.stack(np.broadcast_arrays(*coefficients), axis=1)


class Ask(Protocol):
    """How coils are asked what they do: `asked`, or `drawn`."""

    def __call__(self, kernel: CoilPerformance, *, often: bool = False) -> Heat: ...


SMOOTH, TO_THE_LAST = 5, 1.5
"""Looks of a curve that reaches from the hottest wort to this near to the water [K]."""


def drawn(kernel: CoilPerformance, *, often: bool = False) -> Heat:
    """What the coils do, out of a curve where the water keeps one temperature, out of a table where it comes
    back: within 0.3 %, at a small part of the work."""
    source = kernel.source
    if source.returns:
        return (PerformanceTable if often else CoarseTable)(kernel).at
    if not source.steady:
        return asked(kernel, often=often)
    near = source.coldest + TO_THE_LAST
    nowhere = np.array([near, kernel.T_hot]), np.full(2, source.coldest)
    return PerformanceCurve(kernel, kernel.T_hot, near, nowhere, looks=SMOOTH).at


FINE_LOOKS, DEEPER = 65, 0.3
"""Looks of a fine curve, and down to which share of the target's difference to the water."""


def finely(kernel: CoilPerformance, *, often: bool = False) -> Heat:
    """What the coils do, within 1e-4 of what they are asked anew: of water that keeps one temperature out of
    many looks, all taken in one go, with cubics between them."""
    source, n = kernel.source, len(kernel.coils)
    if not source.steady or kernel.in_hot_layer:
        return asked(kernel, often=often)
    T_ref, rho = source.coldest, float(water.density(source.T_water))
    near = max(DEEPER * (kernel.scenario.T_target - T_ref), TO_THE_LAST)
    v = np.linspace(np.log(near), np.log(max(kernel.T_hot - T_ref, 2.0 * near)), FINE_LOOKS)
    T = T_ref + np.exp(v)
    e = kernel.at(T[:, None])
    columns = np.concatenate([_log_G(e, T), np.broadcast_to(e.V, e.Q.shape)], axis=1).T
    grid = Grid(v, dict(zip(map(str, range(2 * n)), columns, strict=True)), smooth=True)
    each = np.arange(n)

    def draw(T: Array, E: Array) -> tuple[Array, Array, Array, Array]:
        apart = np.maximum(T - T_ref, near)
        told = grid.read_all(grid.locate(np.log(apart)))
        G, V = np.exp(told[each, ..., each].T), told[n + each, ..., each].T
        return G * (T - T_ref), V, V * rho, np.full(1, T_ref)

    return draw


def _log_G(e: Exchange, T: Array) -> Array:
    """Logarithm of the conductance [W/K] at wort temperatures T [K], shape (looks, designs)."""
    return np.log(np.maximum(e.Q / (T[:, None] - e.T_in), 1e-6))


def polynomial(coefficients: Sequence[Array] | Array, y: Array) -> Array:
    """Lowest power first; by Horner's rule."""
    value = coefficients[-1]
    for a in coefficients[-2::-1]:
        value = value * y
        value += a
    return value


class PerformanceTable:
    """Conductance and flow of coils whose water comes from a vessel and goes back into it: looked up between
    points even in the logarithm of the difference of wort and coldest water, and in that of the share of it
    that is left between wort and vessel. Within 0.1 % of the coils themselves."""

    WORT, PER_TENTH = 97, 16
    NEAREST = 0.5
    TENTHS, OF_ICE = 2, 3
    """Powers of ten that the share falls through: a bath of ice comes nearer to the wort."""
    ROUNDS = 3
    """What ice lets in hangs on what the coil takes, and that on the bath: each round leaves a tenth."""

    def __init__(self, kernel: CoilPerformance) -> None:
        self.source = kernel.source
        self.T_ref = self.source.coldest
        self.rho = float(water.density(self.source.T_water))
        widest = max(kernel.T_hot - self.T_ref, 2.0 * self.NEAREST)
        self.wort = np.linspace(np.log(self.NEAREST), np.log(widest), self.WORT)
        tenths = self.OF_ICE if self.source.implicit else self.TENTHS
        self.shares = np.linspace(-tenths * np.log(10.0), 0.0, tenths * self.PER_TENTH + 1)
        above, share = (a.ravel() for a in np.meshgrid(self.wort, self.shares, indexing="ij"))
        T = self.T_ref + np.exp(above)
        e = kernel.with_inlet(T[:, None], (T - np.exp(above + share))[:, None])
        shape = (self.WORT, self.shares.size, -1)
        log_G, flow = _log_G(e, T), np.broadcast_to(e.V, e.Q.shape)
        self.log_G_and_flow = np.stack([log_G.reshape(shape), flow.reshape(shape)], axis=-1)
        self.coil = np.arange(flow.shape[-1])

    def at(self, T: Array, E: Array) -> tuple[Array, Array, Array, Array]:
        """(Q, V, m_dot, T_in) with wort at T [K] round the coil and E [J] in the bath; T's shape."""
        if not self.source.implicit:
            T_in = self.source.inlet(E, 0.0, 0.0, T)
            G, V = self._read(T, T_in)
            return G * (T - T_in), V, V * self.rho, T_in
        G = np.full(T.shape, FIRST_CONDUCTANCE)
        for _ in range(self.ROUNDS):
            T_in = np.minimum(self.source.inlet(E, 0.0, G, T), T - TINY_DRIVE)
            G, V = self._read(T, T_in)
        return G * (T - T_in), V, V * self.rho, T_in

    def _read(self, T: Array, T_in: Array) -> tuple[Array, Array]:
        """Conductance [W/K] and flow [m3/s] with wort at T and water from T_in [K]."""
        above, drive = np.maximum(T - self.T_ref, self.NEAREST), np.maximum(T - T_in, 1e-9)
        i, x = _between(self.wort, np.log(above))
        j, y = _between(self.shares, np.log(drive / above))
        corners = CORNERS.reshape(2, -1, *[1] * T.ndim)
        far = 1.0 - corners  # so far beyond the point below a corner weighs nothing
        i, j, x, y = i + corners[0], j + corners[1], np.abs(far[0] - x), np.abs(far[1] - y)
        both = (self.log_G_and_flow[i, j, self.coil] * (x * y)[..., None]).sum(axis=0)
        return np.exp(both[..., 0]), both[..., 1]


CORNERS = np.array([[0, 0, 1, 1], [0, 1, 0, 1]])
"""Of the square between four points of a table."""


def _between(points: Array, value: Array) -> tuple[Index, Array]:
    """Place of the point below and how far beyond it [-], within the even points."""
    at = within((value - points[0]) / (points[1] - points[0]), 0.0, points.size - 1.0)
    below = np.minimum(at.astype(np.intp), points.size - 2)
    return below, at - below


class CoarseTable(PerformanceTable):
    """The same of fewer points, for a single march."""

    WORT, PER_TENTH = 33, 8
