"""Temperature of the mains by the date, for a brewer without a thermometer in the tap."""

from __future__ import annotations

import math


def mains_temperature(mean: float, swing: float, day: int, *, southern: bool = False) -> float:
    """Temperature of the water mains by the date.

    Burch & Christensen 2007, Towards development of an algorithm for mains water temperature (V), there in
    degF: T = (T_avg + 6) + ratio (dT/2) sin[0.986 (day - 15 - lag) - 90], ratio = 0.4 + 0.01 (T_avg - 44),
    lag = 35 - (T_avg - 44); not below freezing. Southern hemisphere: half a year later.

    Parameters
    ----------
    mean : float [K]
        Yearly mean of the air.
    swing : float [K]
        Warmest less coldest monthly mean of the air.
    day : int
        Day of the year, 1-366.
    southern : bool
        True south of the equator.

    Returns
    -------
    float [K]

    Examples
    --------
    A mean of 52 degF with a swing of 50: 47.27 degF on 15 January, worked by hand:

    >>> T = mains_temperature((52 + 459.67) / 1.8, 50 / 1.8, 15)
    >>> round(T * 1.8 - 459.67, 2)
    47.27
    """
    T_avg = mean * 1.8 - 459.67
    ratio = 0.4 + 0.01 * (T_avg - 44.0)
    lag = 35.0 - (T_avg - 44.0)
    phase = 0.986 * (day - 15.0 - lag) + (90.0 if southern else -90.0)
    T = T_avg + 6.0 + ratio * (1.8 * swing / 2.0) * math.sin(math.radians(phase))
    return (max(T, 32.0) + 459.67) / 1.8
