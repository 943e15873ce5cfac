"""How the draws of one case are spread: as the priors have it, or as measured batches have taught.

Everything uncertain is a standard normal deviate of its prior (`deviates.COLUMNS`). Batches that were
measured move these deviates together: a joint normal law, of which each draw is one point,
z' = mean + root z. What kettle and coil have of their own multiplies all times; it leans on the deviates
where they were learnt together, and what is left of it is spread about that.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from optichill.arrays import Array
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS

EQUAL_SHARES = 8
"""Into which the spread of a factor that only multiplies is cut: each draw stands for all of them, and a
percentile is known better than by twice as many draws."""


@dataclass(frozen=True)
class Beliefs:
    """mean, root : of the deviates, in the order of COLUMNS, shapes (columns,) and (columns, columns).
    offset, lean, spread : the logarithm of what kettle and coil multiply all times with is
    offset + lean (z' - mean), give or take `spread` (one standard deviation)."""

    mean: Array
    root: Array
    offset: float
    lean: Array
    spread: float

    @classmethod
    def prior(cls) -> Beliefs:
        """Nothing was measured.

        Examples
        --------
        8 % of the kettle's own and 6 % of the coil's together are 10 %:

        >>> Beliefs.prior().spread
        0.1
        """
        n, sd = len(COLUMNS), float(np.hypot(PRIORS["tank"].sd, PRIORS["own"].sd))
        return cls(np.zeros(n), np.eye(n), 0.0, np.zeros(n), round(sd, 15))

    @classmethod
    def of(cls, mean: Array, cov: Array) -> Beliefs:
        """From a joint normal law of the columns' deviates and, last, of the logarithm of what kettle and
        coil multiply all times with."""
        n = len(COLUMNS)
        values, vectors = np.linalg.eigh(cov[:n, :n])
        # The symmetric root is the one nearest to leaving every deviate what it was.
        root = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
        lean = np.linalg.pinv(cov[:n, :n]) @ cov[:n, n]
        left = max(float(cov[n, n] - lean @ cov[:n, n]), 0.0)
        return cls(np.asarray(mean[:n]), root, float(mean[n]), lean, float(np.sqrt(left)))

    def deviates(self, z: Array) -> Array:
        """Deviates of the priors at draws z [-]; shape (draws, columns)."""
        return np.asarray(self.mean + z @ self.root.T)

    def own(self, deviates: Array) -> Array:
        """What kettle and coil multiply all times with in such draws, as far as it leans on them; shape
        (draws,)."""
        return np.asarray(np.exp(self.offset + (deviates - self.mean) @ self.lean))

    def shares(self) -> Array:
        """The rest of it, as multipliers that are as likely as each other; shape (EQUAL_SHARES,).

        Examples
        --------
        >>> float(np.log(Beliefs.prior().shares()).std().round(3))
        0.1
        """
        bell = NormalDist()
        z = np.array([bell.inv_cdf((i + 0.5) / EQUAL_SHARES) for i in range(EQUAL_SHARES)])
        return np.asarray(np.exp(self.spread * z / z.std()))
