"""The draws behind every likely range: scrambled Sobol points, the same for all coils and every run.

They lie in a file as whole numbers of 16 bits, made once by scipy.stats.qmc (Owen's scrambling, directions of
Joe & Kuo), `Sobol(15, scramble=True, rng=20261128)`: loading that library takes as long as a search.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from statistics import NormalDist

import numpy as np

from optichill.arrays import Array

FILE = Path(__file__).with_name("sobol.npy")
DRAWS = 512

COLUMNS = (
    "still", "phi", "moving", "inner", "friction", "fouling", "exchange", "loss", "speed", "share", "ice",
    "pressure", "open_flow", "mass", "tap",
)  # fmt: skip
"""What each dimension stands for."""


@lru_cache(maxsize=1)
def deviates() -> Array:
    """Standard normal deviates of all draws.

    Returns
    -------
    Array [-], shape (512, 15)
        Not to be written to.

    Examples
    --------
    Each column is as even as draws can be:

    >>> z = deviates()
    >>> bool(np.abs(z.mean(axis=0)).max() < 0.01), bool(np.abs(z.std(axis=0) - 1.0).max() < 0.01)
    (True, True)
    """
    inverse = NormalDist().inv_cdf
    shares = (np.load(FILE) + 0.5) / 65536.0
    z = np.array([inverse(share) for share in shares.ravel()]).reshape(shares.shape)
    z.setflags(write=False)
    return z
