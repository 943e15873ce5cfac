"""The time of a batch in closed form, where nothing changes on the way: what a cool-down is held against."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array


def batch_time_Kern(
    C_batch: ArrayLike,
    UA: ArrayLike,
    C_coolant: ArrayLike,
    T_start: ArrayLike,
    T_target: ArrayLike,
    T_in: ArrayLike,
) -> Array:
    """Time to cool a batch of constant properties with a coil of constant UA. Kern 1950 ch. 18 (V).

    ln[(T0 - T_in)/(T - T_in)] = (C_coolant/C_batch) (1 - exp(-UA/C_coolant)) t, also in Bowman, Mueller &
    Nagle 1940.

    Parameters
    ----------
    C_batch : array_like [J/K]
        M c of the batch.
    UA, C_coolant : array_like [W/K]
        Of the coil; m_dot c of the coolant.
    T_start, T_target, T_in : array_like
        In one unit, T_target above T_in.

    Returns
    -------
    Array [s], broadcast shape

    Examples
    --------
    19.88 kg of 3925 J/kgK from 98 to 25 by water of 12: ln(86/13) x 78 043 / (697.635 x 0.3495)

    >>> round(float(batch_time_Kern(19.8835 * 3925.0, 300.0, 697.635, 98.0, 25.0, 12.0)), 1)
    604.7
    """
    C_c = np.asarray(C_coolant, dtype=np.float64)
    T_in = np.asarray(T_in, dtype=np.float64)
    ratio = (np.asarray(T_start, dtype=np.float64) - T_in) / (np.asarray(T_target, dtype=np.float64) - T_in)
    t: Array = np.log(ratio) * np.asarray(C_batch, np.float64) / (C_c * -np.expm1(-np.asarray(UA) / C_c))
    return t
