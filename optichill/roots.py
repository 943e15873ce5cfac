"""Where a function of one number goes through zero; scipy's takes longer to load than most commands."""

from __future__ import annotations

from collections.abc import Callable

HALVINGS = 60
"""Of what lies between two bounds: far more than digits tell apart."""


def root(of: Callable[[float], float], low: float, high: float) -> float:
    """Root of a continuous function between two bounds, by halving.

    Parameters
    ----------
    of : callable
        Of different signs at the bounds, or zero at one.
    low, high : float

    Returns
    -------
    float

    Raises
    ------
    ValueError
        Where the signs at both bounds are the same.

    Examples
    --------
    >>> round(root(lambda x: x * x - 2.0, 0.0, 2.0), 12)
    1.414213562373
    """
    at_low, at_high = of(low), of(high)
    if at_low == 0.0 or at_high == 0.0:
        return low if at_low == 0.0 else high
    if not (at_low < 0.0) != (at_high < 0.0):
        raise ValueError("no change of sign between the bounds")
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if (of(middle) < 0.0) == (at_low < 0.0):
            low = middle
        else:
            high = middle
        if not low < 0.5 * (low + high) < high:
            break
    return 0.5 * (low + high)
