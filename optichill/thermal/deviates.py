"""The draws behind every likely range: scrambled Sobol points, the same for all coils and every run.

They lie in a file, made once by scipy.stats.qmc (Owen's scrambling, directions of Joe & Kuo): loading that
library takes as long as a search.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from statistics import NormalDist

import numpy as np

from optichill.arrays import Array

FILE = Path(__file__).with_name("sobol.npy")
DRAWS, DIMENSIONS, SEED = 512, 15, 20261128


def sobol_points() -> Array:
    """Scrambled Sobol points from the library itself.

    Returns
    -------
    Array [-], shape (512, 15)
        In 0 to 1, to 16 bits.

    Examples
    --------
    >>> sobol_points().shape
    (512, 15)
    """
    from scipy.stats import qmc

    engine = qmc.Sobol(DIMENSIONS, scramble=True, rng=SEED)
    return np.asarray(engine.random_base2(int(np.log2(DRAWS))), dtype=np.float64)


def as_stored(points: Array) -> Array:
    """Points in 0 to 1 as whole numbers of 16 bits, as the file holds them.

    Parameters
    ----------
    points : Array [-]
        In 0 to 1.

    Returns
    -------
    Array, points' shape

    Examples
    --------
    >>> as_stored(np.array([0.5])).tolist()
    [32768]
    """
    return np.asarray(np.floor(points * 65536.0), dtype=np.uint16)


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
