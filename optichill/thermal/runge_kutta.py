"""Differential equations by Dormand & Prince's pair of orders 5 and 4 (J. Comp. Appl. Math. 6, 1980, 19-26).

Step for step as scipy's RK45, against which it is tested and which takes a second and 50 MB to load. The
curve between the steps is Shampine's (Math. Comp. 46, 1986), first step and control those of Hairer, Norsett
& Wanner (Solving Ordinary Differential Equations I, II.4); all M.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from optichill.arrays import Array

C = (0.0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0)
A = (
    (),
    (1 / 5,),
    (3 / 40, 9 / 40),
    (44 / 45, -56 / 15, 32 / 9),
    (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
    (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
)
B = np.array([35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84, 0.0])
E = np.array([-71 / 57600, 0.0, 71 / 16695, -71 / 1920, 17253 / 339200, -22 / 525, 1 / 40])
P = np.array(
    [
        [1.0, -8048581381 / 2820520608, 8663915743 / 2820520608, -12715105075 / 11282082432],
        [0.0, 0.0, 0.0, 0.0],
        [0.0, 131558114200 / 32700410799, -68118460800 / 10900136933, 87487479700 / 32700410799],
        [0.0, -1754552775 / 470086768, 14199869525 / 1410260304, -10690763975 / 1880347072],
        [0.0, 127303824393 / 49829197408, -318862633887 / 49829197408, 701980252875 / 199316789632],
        [0.0, -282668133 / 205662961, 2019193451 / 616988883, -1453857185 / 822651844],
        [0.0, 40617522 / 29380423, -110615467 / 29380423, 69997945 / 29380423],
    ]
)
"""Nodes, coefficients, weights of order 5, those less order 4, and of the powers of the curve."""

SAFETY, SHRINK, GROW, POWER = 0.9, 0.2, 10.0, -0.2
HALVINGS = 52
"""Of a step until a crossing is known to the last digit."""

Rate = Callable[[Array], Array]
Gap = Callable[[Array], Array]
"""What is left to go, of states; shape (aims,)."""


@dataclass(frozen=True)
class Run:
    """t : ends of the steps from 0 on; y : states there, shape (steps + 1, states); powers : of each step's
    curve, shape (steps, states, 4). crossed : when what is left of each aim first went through zero, inf
    where it did not; at_crossing : all states then, shape (aims, states)."""

    t: Array
    y: Array
    powers: Array
    crossed: Array
    at_crossing: Array

    def at(self, times: Array) -> Array:
        """States at some times; shape (states, times)."""
        i = np.clip(np.searchsorted(self.t, times) - 1, 0, len(self.powers) - 1)
        h = np.diff(self.t)[i]
        return _along(self.y[i], self.powers[i], h, (times - self.t[i]) / h).T


class Integrate(Protocol):
    """What marches: `run`, or another's with the same arguments."""

    def __call__(
        self,
        rate: Rate,
        start: Array,
        longest: float,
        *,
        rtol: float,
        atol: Array,
        first: float | None,
        gap: Gap,
    ) -> Run: ...


def run(
    rate: Rate, start: Array, longest: float, *, rtol: float, atol: Array, first: float | None, gap: Gap
) -> Run:
    """From `start` on, until nothing is left of any aim, at most `longest`. first : a step to begin with."""
    t, y, f = 0.0, start, rate(start)
    h = _first_step(rate, y, f, longest, rtol, atol) if first is None else min(first, longest)
    ts, ys, powers = [t], [y], []
    left = gap(y)
    crossed, at_crossing = np.full(left.size, np.inf), np.tile(y, (left.size, 1))
    while t < longest:
        h, t_new, y_new, K = _step(rate, t, y, f, h, longest, rtol, atol)
        step, Q, now = t_new - t, K.T @ P, gap(y_new)
        for i in np.flatnonzero((left > 0.0) & (now <= 0.0) & np.isinf(crossed)):  # a handful, each once
            x, at_crossing[i] = _crossing(gap, int(i), y, Q, step)
            crossed[i] = t + x * step
        t, y, f, left = t_new, y_new, K[-1], now
        ts.append(t)
        ys.append(y)
        powers.append(Q)
        if left.size and left.max() <= 0.0:
            break
    return Run(np.array(ts), np.array(ys), np.array(powers), crossed, at_crossing)


def _along(y: Array, powers: Array, h: Array, x: Array) -> Array:
    """States at a share x of each step, shape (steps, states)."""
    to_powers = x[:, None, None] ** np.arange(1, 5)[:, None]
    return np.asarray(y + h[:, None] * (powers @ to_powers)[..., 0])


def _crossing(gap: Gap, i: int, y: Array, powers: Array, step: float) -> tuple[float, Array]:
    """Share of a step at which nothing is left of aim number i, and the states then."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        through = gap(_at_share(y, powers, step, middle))[i] <= 0.0
        low, high = (low, middle) if through else (middle, high)
    return high, _at_share(y, powers, step, high)


def _at_share(y: Array, powers: Array, step: float, x: float) -> Array:
    """States at a share of one step."""
    return np.asarray(_along(y, powers, np.array([step]), np.array([x]))[0])


def _norm(error: Array) -> float:
    return float(np.linalg.norm(error) / error.size**0.5)


def _first_step(rate: Rate, y: Array, f: Array, longest: float, rtol: float, atol: Array) -> float:
    scale = atol + np.abs(y) * rtol
    d_0, d_1 = _norm(y / scale), _norm(f / scale)
    h = min(1e-6 if d_0 < 1e-5 or d_1 < 1e-5 else 0.01 * d_0 / d_1, longest)
    d_2 = _norm((rate(y + h * f) - f) / scale) / h
    most = max(d_1, d_2)
    return min(100.0 * h, max(1e-6, 1e-3 * h) if most <= 1e-15 else (0.01 / most) ** -POWER, longest)


def _step(
    rate: Rate, t: float, y: Array, f: Array, h: float, longest: float, rtol: float, atol: Array
) -> tuple[float, float, Array, Array]:
    """The next step, as long as its error allows: how long the one after it may be, when and where it ends,
    and the rates on its way."""
    grows = GROW
    while True:
        h = max(h, 10.0 * float(np.spacing(t)))
        t_new = min(t + h, longest)
        h = t_new - t
        K = np.empty((len(B), y.size))
        K[0] = f
        for s in range(1, len(A)):
            K[s] = rate(y + (K[:s].T @ A[s]) * h)
        y_new = y + h * (K[:-1].T @ B[:-1])
        K[-1] = rate(y_new)
        error = _norm(K.T @ E * h / (atol + np.maximum(np.abs(y), np.abs(y_new)) * rtol))
        if error < 1.0:
            return h * min(grows, SAFETY * error**POWER if error > 0.0 else GROW), t_new, y_new, K
        h, grows = h * max(SHRINK, SAFETY * error**POWER), 1.0
