"""The one array type, and the two helpers that every formula begins with."""

from __future__ import annotations

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
