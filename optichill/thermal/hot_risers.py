"""What coils take from each of two zones of wort, where their risers stand in the hot one.

The water runs down a riser through stranded wort, through the turns, and up through stranded wort again: it
comes to the turns warmed, and what both risers take cools the top. Exactly, the kernel walks piece by piece
(`exchanger.HotRisers`). A search, and a vessel filled many times, know each coil only as a whole: its number
of transfer units in wort of one temperature, of which each piece has its share. That leaves the chill time
within 1 % (half of all coils within 0.1 %, one in a hundred 2 % off: long tube under half of the wort).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from optichill.arrays import Array
from optichill.thermal.coil_performance import CoilPerformance
from optichill.thermal.performance_curve import Heat, looked_up

WATER = 4180.0
"""Heat capacity of the water [J/kgK]; it goes out again where both zones are equally warm."""


class Drawn(NamedTuple):
    """What coils do in two zones; arrays of shape (designs,).

    Q, Q_top heat from the wort round the turns and from that round the risers [W]; V [m3/s], m_dot [kg/s];
    T_in [K]; from_turns: how much more all heat is for a kelvin more round the turns [W/K], U the same.
    """

    Q: Array
    Q_top: Array
    V: Array
    m_dot: Array
    T_in: Array
    from_turns: Array


Draw = Callable[[Array, Array, Array], Drawn]
"""What coils do by the wort's temperature round the turns and above them [K], and heat in the bath [J]."""


def drawing(kernel: CoilPerformance, heat: Heat, *, often: bool = False) -> Draw:
    """What the kernel's coils do in two zones, where `heat` tells it of one; often : as in `looked_up`."""
    if not kernel.in_hot_layer:
        return lambda T, T_top, E: _of_one(T, *heat(T, E))
    if kernel.numerics.exact and not looked_up(kernel.source, often):
        return lambda T, T_top, E: _asked(kernel, T, T_top, E)
    pieces = pieces_of(kernel)
    return lambda T, T_top, E: _shared_out(heat, pieces, of_zones(T, T_top), E)


def pieces_of(kernel: CoilPerformance) -> Array:
    """Shares of the tube in the turns, and in one riser, where it stands in wort of its own [-], shape
    (2, designs)."""
    if not kernel.in_hot_layer:
        return of_zones(np.ones(len(kernel.coils)), np.zeros(len(kernel.coils)))
    share = np.where(kernel.coils.of_design("stranded") > 0.0, kernel.coils.of_design("riser_share"), 0.0)
    return of_zones(1.0 - share, 0.5 * share)


def _of_one(T: Array, Q: Array, V: Array, m_dot: Array, T_in: Array) -> Drawn:
    return Drawn(Q, np.zeros(1), V, m_dot, T_in, Q / np.where(T > T_in, T - T_in, np.inf))


def _asked(kernel: CoilPerformance, T: Array, T_top: Array, E: Array) -> Drawn:
    """By the kernel, piece by piece."""
    e = kernel.at(T[None, :], E[None, :], T_top[None, :])
    T_in = e.T_in[0] if e.T_in.ndim > 1 else e.T_in
    T_first, T_last, T_out = (np.broadcast_to(t, e.Q.shape)[0] for t in (e.T_first, e.T_last, e.T_out))
    kept = _quotient(T_top - T_out, T_top - T_last) * (1.0 - _quotient(T - T_last, T - T_first))
    return Drawn(e.Q[0] - e.Q_top[0], e.Q_top[0], e.V[0], e.m_dot[0], T_in, WATER * e.m_dot[0] * kept)


def _quotient(left: Array, drive: Array) -> Array:
    """Share of a difference that is left after a piece of tube, 1 where there was none [-]."""
    apart = np.abs(drive) > 1e-6
    return np.clip(np.where(apart, left / np.where(apart, drive, 1.0), 1.0), 0.0, 1.0)


def of_zones(below: Array, top: Array) -> Array:
    """What is of each zone of the wort, on a first axis, below's shape behind it: formulas go through both in
    one go."""
    both = np.empty((2, *below.shape))
    both[0], both[1] = below, top
    return both


def _shared_out(heat: Heat, pieces: Array, zones: Array, E: Array) -> Drawn:
    """By transfer units of the whole tube in each zone's wort [K], of which each of its pieces, the turns and
    one riser, has its share."""
    Q, *others = heat(zones, E)
    # Water and flow are those round the turns.
    V, m_dot, T_in = (v[0] if v.ndim > 1 else v for v in others)
    C, (T, T_top) = WATER * m_dot, zones
    turns, riser = _left(Q, C * (zones - T_in), pieces)
    T_first = T_top - (T_top - T_in) * riser
    T_last = T - (T - T_first) * turns
    T_out = T_top - (T_top - T_last) * riser
    Q_top = C * (T_first - T_in + T_out - T_last)
    return Drawn(C * (T_last - T_first), Q_top, V, m_dot, T_in, C * riser * (1.0 - turns))


def _left(Q: Array, most: Array, share: Array) -> Array:
    """What a share of the tube leaves of a difference to the water, where all of it takes Q of `most` [W]."""
    reached = np.minimum(np.maximum(Q / np.where(np.abs(most) > 1e-3, most, 1e-3), 0.0), 1.0 - 1e-6)
    return np.asarray(np.exp(share * np.log1p(-reached)))
