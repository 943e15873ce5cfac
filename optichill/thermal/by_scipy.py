"""The march by scipy's own solver: what `predict` checks its time by, for a check is another's hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from optichill.arrays import Array
from optichill.thermal.runge_kutta import Gap, Rate, Run


def run(
    rate: Rate, start: Array, longest: float, *, rtol: float, atol: Array, first: float | None, gap: Gap
) -> Run:
    """As `runge_kutta.run`, by `scipy.integrate.solve_ivp` (RK45), which takes a second to load."""
    from scipy.integrate import solve_ivp

    left = gap(start)
    aims = left.size if np.isfinite(left).all() else 0  # a hold has none

    def slowest(_: float, y: Array) -> float:
        return float(gap(y).max())

    slowest.terminal = True  # type: ignore[attr-defined]  # so solve_ivp is told which event ends the march

    def through(i: int) -> Callable[[float, Array], float]:
        return lambda _, y: float(gap(y)[i])

    solved = solve_ivp(
        lambda _, y: rate(y),
        (0.0, longest),
        start,
        rtol=rtol,
        atol=atol,
        first_step=None if first is None else min(first, longest),
        events=[slowest, *(through(i) for i in range(aims))] if aims else None,
        dense_output=True,
    )
    crossed, at_crossing = np.full(left.size, np.inf), np.tile(start, (left.size, 1))
    for i in range(aims):
        for event in (i + 1, 0):  # its own; else the slowest one's, which is its own and ended the march
            if left[i] > 0.0 and np.isinf(crossed[i]) and solved.t_events[event].size:
                crossed[i], at_crossing[i] = solved.t_events[event][0], solved.y_events[event][0]
    steps = solved.sol.interpolants  # the last one goes on past the end of the march, to the end of its step
    t = np.array([0.0, *(step.t for step in steps)])
    y = np.array([*(step.y_old for step in steps), solved.y[:, -1]])
    return Run(t, y, np.array([step.Q for step in steps]), crossed, at_crossing)
