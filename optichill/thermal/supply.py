"""What drives the water: a tap as a bucket test tells it, a pump by its curve.

A pump's curve is straight in V^2 between its points, so that two points make the usual parabola; a tap behind
a pre-cooling coil is tabulated as such a curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array
from optichill.correlations import friction
from optichill.properties import water
from optichill.thermal.priors import Factors
from optichill.unit_table import GRAVITY

# Loss coefficients on the velocity in the hose; minor-loss tables citing Crane TP-410 (V).
K_EXIT = 1.0  # into open air, on the outlet hose
K_HOSE_TAP = 8.0  # compression-disc tap, 6-10; used only where no bucket test was made
OUTLET_HOSE_LENGTH = 3.0  # m
PUMP_HOSES = 2 * 1.5  # m, from the bucket and back (CP)
PUMP_HOSE_BORE = 0.0125  # m, where no tap tells the brewer's own


@dataclass(frozen=True)
class Supply:
    """What drives the water: available pressure [Pa] = pressure - resistance V^2, V in m3/s.

    For a tap the resistance comes from the bucket test, which already holds tap and supply hose.
    hose_bore [m] is the bore of the hoses on both sides of the coil, hose_length [m] of those that the
    supply does not hold already. pieces, of a curve with bends: (flow from which it holds, pressure,
    resistance) of each, the first from 0. pumped : it is a pump. stronger, steeper : multipliers on pressure
    and resistance.

    Examples
    --------
    A tap of 3 bar that fills a 10 L bucket in 50 s has 3 bar at no flow, and nothing left at 12 L/min:

    >>> tap = Supply.tap(static_pressure=3e5, open_flow=0.010 / 50, hose_bore=0.0127)
    >>> [round(tap.pressure - tap.resistance * V**2) for V in (0.0, 0.010 / 50)]
    [300000, 0]
    """

    pressure: float
    resistance: float
    hose_bore: float
    hose_length: float = OUTLET_HOSE_LENGTH
    pieces: tuple[tuple[float, float, float], ...] = ()
    pumped: bool = False
    stronger: float | Array = 1.0
    steeper: float | Array = 1.0

    def as_it_is(self, factors: Factors) -> Supply:
        """The same with the pressure and flow that it really has; each a number, or one for every coil."""
        if self.pumped:
            return replace(self, stronger=factors.pump)
        return replace(self, stronger=factors.pressure, steeper=factors.pressure / factors.open_flow**2)

    @classmethod
    def tap(cls, *, static_pressure: float, open_flow: float, hose_bore: float) -> Supply:
        """From a bucket test.

        Parameters
        ----------
        static_pressure : float [Pa]
            At no flow.
        open_flow : float [m3/s]
            Out of the open hose.
        hose_bore : float [m]

        Returns
        -------
        Supply
        """
        return cls(static_pressure, static_pressure / open_flow**2, hose_bore)

    @classmethod
    def curve(
        cls, points: Sequence[tuple[float, float]], hose_bore: float, hose_length: float = PUMP_HOSES
    ) -> Supply:
        """Through points of a curve.

        Between two points the pressure is a straight line in V^2: two points (0, p_max), (V_max, 0) make
        the usual parabola of a small pump, p_max (1 - (V/V_max)^2).

        Parameters
        ----------
        points : sequence of (float [m3/s], float [Pa])
            Flow and pressure; flows rising from 0, pressures falling.
        hose_bore, hose_length : float [m]

        Returns
        -------
        Supply

        Raises
        ------
        ValueError
            Points that do not begin at no flow with a pressure, or do not rise and fall.

        Examples
        --------
        Half the flow of a parabola leaves three quarters of the pressure:

        >>> pump = Supply.curve([(0.0, 2e4), (3e-4, 0.0)], hose_bore=0.0127)
        >>> round(pump.pressure - pump.resistance * 1.5e-4**2)
        15000
        """
        if len(points) < 2 or points[0][0] != 0.0 or not points[0][1] > 0.0:
            raise ValueError("a supply's curve starts at no flow with a pressure, and has a second point")
        pieces = []
        for (V_a, p_a), (V_b, p_b) in zip(points[:-1], points[1:], strict=True):
            if V_b <= V_a or p_b > p_a:
                raise ValueError("a supply's curve has rising flows and falling pressures")
            k = (p_a - p_b) / (V_b**2 - V_a**2)
            pieces.append((V_a, p_a + k * V_a**2, k))
        return cls(pieces[0][1], pieces[0][2], hose_bore, hose_length, tuple(pieces))

    @classmethod
    def pump(
        cls, points: Sequence[tuple[float, float]], *, hose_bore: float, lift: float, T: float
    ) -> Supply:
        """From a pump's points and the static lift.

        Parameters
        ----------
        points : sequence of (float [m3/s], float [m])
            Flow and head.
        hose_bore, lift : float [m]
            Bore of the hoses; height that the water is lifted for good.
        T : float [K]
            Of the water.

        Returns
        -------
        Supply

        Raises
        ------
        ValueError
            Where it cannot lift the water at all.

        Examples
        --------
        2 m of head, half of it spent on the lift, is 9.8 kPa:

        >>> pump = Supply.pump([(0.0, 2.0), (3e-4, 0.0)], hose_bore=0.0127, lift=1.0, T=288.15)
        >>> f"{pump.pressure / 1e3:.1f}"
        '9.8'
        """
        per_metre = float(water.density(T)) * GRAVITY
        curve = cls.curve([(V, per_metre * (head - lift)) for V, head in points], hose_bore)
        return replace(curve, pumped=True)

    def behind(self, loss: Array, flows: Array) -> Supply:
        """The same supply after something that takes `loss` [Pa] at `flows` [m3/s], both rising from 0."""
        p, k = self.at(flows)
        left = p - k * flows**2 - loss
        points = list(zip(flows.tolist(), left.tolist(), strict=True))
        return Supply.curve(points, self.hose_bore, self.hose_length)

    def at(self, V: Array) -> tuple[Array | float, Array | float]:
        """(pressure, resistance) of the piece that holds at V [m3/s]."""
        if len(self.pieces) < 2:
            return self.pressure * self.stronger, self.resistance * self.steeper
        starts, pressures, resistances = (np.array(column) for column in zip(*self.pieces, strict=True))
        # Stretched along both axes the curve bends at other flows, and stays in one piece.
        piece = np.searchsorted(starts, V * np.sqrt(self.steeper / self.stronger), side="right") - 1
        return pressures[piece] * self.stronger, resistances[piece] * self.steeper


def open_flow_of_hose(
    *, static_pressure: float, hose_bore: float, hose_length: float, T: float, K_tap: float = K_HOSE_TAP
) -> float:
    """Flow out of an open hose behind an ordinary tap, where no bucket test was made.

    Darcy in a smooth hose plus the tap and the exit; the caller says that it is assumed. With K_tap 0, a tap
    and a mouth that take nothing, it is the most that could ever come.

    Parameters
    ----------
    static_pressure : float [Pa]
    hose_bore, hose_length : float [m]
    T : float [K]
        Of the water, 273.15-393.15.
    K_tap : float [-]
        Loss of the tap in velocity heads of the hose.

    Returns
    -------
    float [m3/s]

    Raises
    ------
    PropertyRange
        T outside the water table.

    Examples
    --------
    15 m of 12.7 mm hose at 3 bar: with f 0.0214 the losses are 34.3 heads, so 4.19 m/s or 31.8 L/min:

    >>> V = open_flow_of_hose(static_pressure=3e5, hose_bore=0.0127, hose_length=15.0, T=288.15)
    >>> f"{6e4 * V:.0f}"
    '32'
    """
    flow = 10.0 / 60_000.0
    area = np.pi / 4.0 * hose_bore**2
    rho, mu = float(water.density(T)), float(water.viscosity(T))
    for _ in range(60):  # the friction factor changes slowly with flow: this settles within ten rounds
        f = float(friction.f_straight_smooth(rho * flow / area * hose_bore / mu))
        K = K_tap + K_EXIT + f * hose_length / hose_bore
        flow = float(area * np.sqrt(2.0 * static_pressure / (rho * K)))
    return flow
