"""Whether batches were cooled alike: what each has for itself, held against the others.

What lasts is common to all batches; what is left between them is a batch's own: how it was stirred, how much
wort there was, when the clock was started, another coil. Where that is more than was to be expected, chills
differ from day to day by more than was thought, and all that they teach is known less well (Birge's ratio,
R. T. Birge, Phys. Rev. 40, 207, 1932, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array
from optichill.model.calibration import TANK
from optichill.owned.calibrate.posterior import Posterior
from optichill.owned.calibrate.question import Question
from optichill.owned.calibrate.told import zip_readings
from optichill.owned.calibrate.unknowns import OF_A_BATCH, OWN
from optichill.thermal.priors import PRIORS

AS_GOOD_AS = 2.0
"""As many differences between batches as what was thought of days before is worth (OWN)."""

LEAST_MOVED = 0.1
"""Standard deviations that readings move by with the kettle, at least: less, and nothing is known of it."""

ONE_IN = 80.0
"""Batches that are as they should be are doubted once in so many."""


@dataclass(frozen=True)
class Alike:
    """apart : logarithm of how many times as long each batch took as all of them together would, by its
    readings alone, shape (batches,); chance : that batches which were cooled alike are as far apart;
    ratio : Birge's, squared, 1 where they agree; another_day : variance of the logarithm of a chill's time
    beyond what was thought of days before."""

    apart: Array
    chance: float
    ratio: float
    another_day: float

    @property
    def doubted(self) -> bool:
        """Whether they hardly were."""
        return self.chance < 1.0 / ONE_IN


def alike(question: Question, found: Posterior) -> Alike:
    """Of all batches of a fit.

    A deviate that was standard normal and is known to be m, with covariance C, was to be expected with
    covariance 1 - C; so was what batches differ by along it.
    """
    n = len(question.batches)
    if n < 2:
        return Alike(np.zeros(n), 1.0, 1.0, 0.0)
    from scipy.special import chdtrc

    own = np.stack([_own(question, found, i) for i in range(n)])
    between = own - own.mean(axis=0)
    unsure = between @ (np.eye(found.mean.size) - found.cov) @ between.T
    looks = np.linalg.pinv(unsure, rcond=1e-6, hermitian=True)
    differ = between @ found.mean
    apart = between @ between.T @ looks @ differ
    misfit, free = float(differ @ looks @ differ), n - 1
    ratio = max((AS_GOOD_AS + misfit) / (AS_GOOD_AS + free), 1.0)
    lived = float(apart @ apart) / free
    more = lived * (ratio - 1.0) / (misfit / free) if ratio > 1.0 else 0.0
    return Alike(apart, float(chdtrc(free, misfit)), ratio, more)


def _own(question: Question, found: Posterior, number: int) -> Array:
    """By how much the logarithm of a batch's time moves with each unknown that is not all batches'; shape
    (unknowns,). All times are as many times as long with the kettle: by that the others are measured."""
    one, where = zip_readings(question)[number]
    moves = found.slopes[where].sum(axis=0)
    unknowns = question.unknowns
    kettle = next(i for i, u in enumerate(unknowns.all) if u.name == TANK)
    its_own = [u.name in (*OF_A_BATCH, OWN) and unknowns.belongs(u, one.trial) for u in unknowns.all]
    return np.asarray(np.where(its_own, moves, 0.0) * PRIORS[TANK].sd / max(moves[kettle], LEAST_MOVED))


def counted_less(mean: Array, cov: Array, ratio: float) -> tuple[Array, Array]:
    """A law of deviates once standard normal, in which all that was read counts `ratio` times less.

    Examples
    --------
    One deviate that was read as 2 give or take 1, and then as 2 give or take 2: by hand 2 x 0.25/1.25:

    >>> mean, cov = counted_less(np.array([1.0]), np.array([[0.5]]), 4.0)
    >>> float(mean[0].round(3)), float(cov[0, 0].round(3))
    (0.4, 0.8)
    """
    if ratio == 1.0:
        return mean, cov
    exact = np.linalg.inv(cov)
    less = np.linalg.inv(np.eye(mean.size) + (exact - np.eye(mean.size)) / ratio)
    return less @ exact @ mean / ratio, 0.5 * (less + less.T)
