"""The one array type, and the helpers that formulas begin with."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
"""Numbers, float64: nodes on axis 0, designs last; never written to."""

Mask = NDArray[np.bool_]
"""True and false, design by design."""

Index = NDArray[np.intp]
"""Places in other arrays."""


def floats(*values: ArrayLike) -> tuple[Array, ...]:
    """The values as float64 arrays; never a copy that the caller could see change."""
    return tuple(np.asarray(value, dtype=np.float64) for value in values)


def as_float(value: ArrayLike) -> Array:
    """One value as a float64 array."""
    return np.asarray(value, dtype=np.float64)


ROUNDING = 1e-12
"""What sums of a few sizes below a hundred metres may be off by [m]."""


def room_left(room: Array) -> Array:
    """A room as a difference of sizes [m], with what is only their rounding taken as none: 42 cm less 42 is
    no -1e-16.

    Examples
    --------
    >>> room = np.array([0.3 - 0.1 - 0.2, 0.002, -0.001])
    >>> bool(room[0] < 0.0), room_left(room).tolist()
    (True, [0.0, 0.002, -0.001])
    """
    return np.where(np.abs(room) < ROUNDING, 0.0, room)


def of_runs(of: Callable[..., Array], *columns: Array) -> Array:
    """What a function of each row says, worked out once for neighbours that are alike in all columns.

    Parameters
    ----------
    of : callable
        Of the columns, row by row.
    *columns : Array
        Of one shape, or any that broadcast, where nothing is saved.

    Returns
    -------
    Array

    Examples
    --------
    >>> of_runs(lambda x, y: x * y, np.array([1.0, 1.0, 2.0]), np.array([3.0, 3.0, 3.0])).tolist()
    [3.0, 3.0, 6.0]
    """
    n = columns[0].size
    if n < 2 or any(column.shape != (n,) for column in columns):
        return of(*columns)
    begins = np.flatnonzero(np.append(True, np.any([c[1:] != c[:-1] for c in columns], axis=0)))
    if 2 * begins.size > n:
        return of(*columns)
    return np.repeat(of(*(column[begins] for column in columns)), np.diff(begins, append=n))
