"""The joint law of what is uncertain once batches were measured: where prior and readings agree best, and how
far they let it move (Laplace's approximation, Gauss and Newton's normal matrix).

A reading misses the model by the thermometer, by the clock, and because no model is nature: these go together
as one normal error. One in twenty is a slip, `SLIP` times as far off, and then hardly counts: the weight of a
reading is the chance that it is none. What was known before is never a slip.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array

SLIPS, SLIP = 0.05, 8.0
"""Share of readings that are slips, and how many times further off they are (OWN)."""

STEP, WIDE = 0.1, 0.4
"""Of deviates, for differences: while it looks, and for how far it may move. A prior's bell has two halves,
which the wider step sees both."""

SOFT = 2.0
"""Misses in standard deviations from which a first look pulls less hard."""

MOST_LOOKS = 12

Misses = Callable[[Array], Array]
"""Readings missed, in standard deviations, by sets of deviates (sets, unknowns); shape (sets, readings)."""


@dataclass(frozen=True)
class Posterior:
    """mean, cov : of the deviates; misses : of each reading at the mean, in standard deviations; kept : the
    chance that a reading is no slip; slopes : of the misses by the deviates, shape (readings, unknowns)."""

    mean: Array
    cov: Array
    misses: Array
    kept: Array
    slopes: Array


def roughly(misses: Misses, unknowns: int) -> Array:
    """Where prior and readings agree best, slips or not: a place to look from."""
    return _nearest(misses, np.zeros(unknowns), _soft)


def posterior(misses: Misses, start: Array) -> Posterior:
    """From what was known (every deviate standard normal) and what was read, looked for from a start."""
    z = _nearest(misses, start, _slips)
    r, slopes = differences(misses, z, WIDE)
    weight = _slips(r**2)[1]
    cov = np.linalg.inv(slopes.T @ (weight[:, None] * slopes) + np.eye(z.size))
    return Posterior(z, cov, r, no_slip(r**2), slopes)


def disagreement(misses: Misses, z: Array) -> float:
    """How badly prior and readings agree there: twice the logarithm that is lost of a density in which
    readings may be slips, and the squares of deviates; less than there are readings where all is as it
    should be [-]."""
    return float(_slips(misses(z[None])[0] ** 2)[0].sum() + z @ z)


def differences(misses: Misses, z: Array, step: float) -> tuple[Array, Array]:
    """Misses at z, and their slopes by central differences."""
    steps = step * np.eye(z.size)
    r = misses(np.concatenate([z[None], z + steps, z - steps]))
    return r[0], (r[1 : z.size + 1] - r[z.size + 1 :]).T / (2.0 * step)


def _nearest(misses: Misses, start: Array, loss: Callable[[Array], Array]) -> Array:
    """Where prior and readings agree best, seen from a start."""
    from scipy.optimize import least_squares

    seen: dict[bytes, tuple[Array, Array]] = {}

    def look(z: Array) -> tuple[Array, Array]:
        if z.tobytes() not in seen:
            seen.clear()
            seen[z.tobytes()] = differences(misses, z, STEP)
        return seen[z.tobytes()]

    def residuals(z: Array) -> Array:
        return np.concatenate([look(z)[0], z])

    def jacobian(z: Array) -> Array:
        return np.concatenate([look(z)[1], np.eye(z.size)])

    def of_readings(squares: Array) -> Array:
        """What was known before is taken as it is."""
        n = squares.size - start.size
        known = squares[n:]
        return np.hstack([loss(squares[:n]), [known, np.ones_like(known), np.zeros_like(known)]])

    found = least_squares(
        residuals, start, jac=jacobian, loss=of_readings, max_nfev=MOST_LOOKS, xtol=2e-3, ftol=1e-4, gtol=1e-3
    )
    return np.asarray(found.x)


def _soft(squares: Array) -> Array:
    """Far misses pull as hard as SOFT ones do; with first and second derivative."""
    root = np.sqrt(1.0 + squares / SOFT**2)
    return np.array([2.0 * SOFT**2 * (root - 1.0), 1.0 / root, -0.5 / SOFT**2 / root**3])


def no_slip(squares: Array) -> Array:
    """The chance that a reading is none, by how far it is missed.

    Examples
    --------
    Two standard deviations are no slip, five are. By hand, of two: 0.05/0.95/8 e^1.97 = 0.047 to one:

    >>> no_slip(np.array([4.0, 25.0])).round(2).tolist()
    [0.96, 0.0]
    """
    return np.asarray(np.exp(-_log_one_more(squares)))


def _log_one_more(squares: Array) -> Array:
    """log(1 + odds of a slip)."""
    odds = np.log(SLIPS / (1.0 - SLIPS) / SLIP) + 0.5 * squares * (1.0 - SLIP**-2)
    return np.asarray(np.logaddexp(0.0, odds))


def _slips(squares: Array) -> Array:
    """-2 log of the density of a reading that may be a slip; with first and second derivative."""
    kept, far = no_slip(squares), SLIP**-2
    value = squares - 2.0 * (_log_one_more(squares) - _log_one_more(np.zeros(1)))
    second = -0.5 * kept * (1.0 - kept) * (1.0 - far) ** 2
    return np.array([value, kept + (1.0 - kept) * far, second])
