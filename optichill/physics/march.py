"""The same chill marched in time by solve_ivp: the check on the quadrature, and the cool-down curve.

Water used, heat into the water and heat lost are carried as states of their own, so that the energy
balance is closed against wort and metal by quantities that were computed another way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from optichill.physics import wort
from optichill.physics.cooldown import LONGEST, Coils, Kernel, Numerics, Scenario
from optichill.physics.water import Array

CHECK = Numerics(segments=10, sweeps=2, exact=True)


@dataclass(frozen=True)
class March:
    """Result of a march; arrays of shape (designs,).

    time [s] and water [m3] to the target, inf where it is not reached in 6 h; T_end [K] where the march
    ended, coolant, ambient [J] heat that went into the water and into the room up to there; T_at gives the
    wort temperatures [K] of shape (designs, times) at times [s] up to `until` [s].
    """

    time: Array
    water: Array
    T_end: Array
    coolant: Array
    ambient: Array
    until: float
    T_at: Callable[[Array], Array]


def march(coils: Coils, scenario: Scenario, numerics: Numerics = CHECK, *, rtol: float = 1e-7) -> March:
    """March all given coils together until the slowest has reached the target, at most 6 h."""
    from scipy.integrate import solve_ivp

    n = len(coils)
    kernel = Kernel(coils, scenario, numerics)

    def rate(_: float, y: Array) -> Array:
        T = y[:n]
        e, loss = kernel.at(T[None, :]), scenario.loss(T)
        return np.concatenate([-(e.Q[0] + loss) / kernel.capacity(T), e.V[0], e.Q[0], loss])

    def crossing(i: int) -> Callable[[float, Array], float]:
        return lambda _, y: float(y[i] - scenario.T_target)

    def slowest(_: float, y: Array) -> float:
        return float(y[:n].max() - scenario.T_target)

    slowest.terminal = True  # type: ignore[attr-defined]
    start = np.concatenate([np.full(n, scenario.T_start), np.zeros(3 * n)])
    # Absolute tolerances on the scale of each state: kelvin, cubic metres, joules.
    atol = rtol * np.repeat([1.0, 0.01, 1e6, 1e6], n)
    events = [slowest, *(crossing(i) for i in range(n))]
    # The high-order method pays only where the balance is to be closed to many digits.
    method = "RK45" if rtol > 1e-7 else "DOP853"
    run = solve_ivp(
        rate, (0.0, LONGEST), start, method=method, rtol=rtol, atol=atol, events=events, dense_output=True
    )
    time, water, T_end, coolant, ambient = _at_target(run, n)
    until = float(run.t[-1])
    solution = run.sol
    return March(time, water, T_end, coolant, ambient, until, lambda t: solution(t)[:n])


def _at_target(run, n: int) -> tuple[Array, Array, Array, Array, Array]:  # type: ignore[no-untyped-def]
    """Time, water, T, coolant and ambient heat where each coil met the target, or at the end."""
    time, state = np.full(n, np.inf), np.tile(run.y[:, -1], (n, 1))
    for i in range(n):  # a handful of coils, and each has its own event
        crossed = run.t_events[i + 1]
        if crossed.size:
            time[i], state[i] = crossed[0], run.y_events[i + 1][0]
        elif run.t_events[0].size:  # the slowest coil's own crossing ends the march
            time[i] = run.t_events[0][0]
    rows = np.arange(n)
    T, water, coolant, ambient = (state[rows, k * n + rows] for k in range(4))
    return time, np.where(np.isfinite(time), water, np.inf), T, coolant, ambient


def heat_given_up(coils: Coils, scenario: Scenario, T_end: Array) -> tuple[Array, Array]:
    """Heat given up by wort and by metal [J] from T_start down to T_end, by its own quadrature."""
    x, w = np.polynomial.legendre.leggauss(12)
    span = scenario.T_start - T_end
    T = T_end + 0.5 * span * (x[:, None] + 1.0)
    wort_heat = scenario.mass * 0.5 * span * (w[:, None] * wort.heat_capacity(T, scenario.plato)).sum(0)
    return wort_heat, (coils.metal_capacity + scenario.kettle_capacity) * span
