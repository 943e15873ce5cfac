"""What carries a helix and keeps its turns: feet of unequal height, hooks, lacing, and the wire they take.

A helix climbs a pitch a turn, so that feet under its lowest turn are as unequal as the turn is high where
each stands: equal ones tilt the coil. All closed forms of pitch, turns and tube.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats

FEET = 3
"""Feet, hooks, and columns of lacing or combs: three stand on any floor."""

FOOT_WIRE, LACING_WIRE = 0.003, 0.0015
"""Diameter of the wire that carries the coil, and of that which laces the turns [m] (common practice, no
source): a thinner foot bends under the coil, a thicker lacing is not twisted by hand."""

TOE = 0.05
"""What of a foot lies on the kettle's floor, between its two legs [m] (OWN)."""

HOOK = 0.10
"""What of a hook goes over the rim and down outside [m] (OWN)."""

ROUND_THE_TUBE = 1.5
"""Times that each end of a foot or a hook goes round the tube (OWN)."""

KNOT = 0.05
"""Each of a lacing's two ends, to twist [m] (OWN)."""


TOUCHING = 1e-4
"""A gap below which turns touch [m]."""


def foot_heights(underside: ArrayLike, pitch: ArrayLike) -> Array:
    """Heights of three feet under the lowest turn: at its start, a third and two thirds of a turn on.

    Parameters
    ----------
    underside : array_like [m]
        Of the tube over the floor where the turns begin.
    pitch : array_like [m]
        Rise of a turn.

    Returns
    -------
    Array [m], shape (3, ...)

    Examples
    --------
    A pitch of 15 mm, 25 mm off the floor:

    >>> (1e3 * foot_heights(0.025, 0.015)).round(1).tolist()
    [25.0, 30.0, 35.0]
    """
    underside, pitch = floats(underside, pitch)
    return np.stack([underside + n / FEET * pitch for n in range(FEET)])


def foot_wire(height: ArrayLike, d_o: ArrayLike) -> Array:
    """Wire of one foot: from the tube down, along the floor, up again, each end round the tube.

    Parameters
    ----------
    height : array_like [m]
        Of the tube's underside over the floor.
    d_o : array_like [m]
        Outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    Two legs of 30 mm, a toe of 50 mm, and three times round a circle of 13 mm:

    >>> round(float(foot_wire(0.030, 0.010)), 4)
    0.2325
    """
    height, d_o = floats(height, d_o)
    return 2.0 * height + TOE + 2.0 * _round_the_tube(d_o)


def hook_wire(drop: ArrayLike, d_o: ArrayLike) -> Array:
    """Wire of one hook: over the rim, down to the lowest turn's underside, round the tube.

    Parameters
    ----------
    drop : array_like [m]
        From the rim to that underside.
    d_o : array_like [m]
        Outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    100 mm over the rim, 300 mm down, one and a half times round a circle of 13 mm:

    >>> round(float(hook_wire(0.300, 0.010)), 4)
    0.4613
    """
    drop, d_o = floats(drop, d_o)
    return HOOK + drop + _round_the_tube(d_o)


def _round_the_tube(d_o: Array) -> Array:
    """Wire of one end that is laid round the tube [m]."""
    return ROUND_THE_TUBE * np.pi * (d_o + FOOT_WIRE)


def support_wire(
    coil_rests: str, underside: ArrayLike, pitch: ArrayLike, d_o: ArrayLike, rim: ArrayLike
) -> Array:
    """Wire of all feet, or hooks, of one layer; none for a coil that lies on the floor.

    Parameters
    ----------
    coil_rests : str
        "feet", "hangs" or "floor".
    underside, pitch, d_o : array_like [m]
        Of the lowest turn, over the floor; of the turns; of the tube.
    rim : array_like [m]
        Inside height of the kettle.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> [round(float(support_wire(how, 0.025, 0.015, 0.010, 0.33)), 4) for how in ("feet", "hangs", "floor")]
    [0.6976, 1.3838, 0.0]
    """
    underside, pitch, d_o, rim = floats(underside, pitch, d_o, rim)
    heights = foot_heights(underside, pitch)
    if coil_rests == "feet":
        return np.asarray(foot_wire(heights, d_o).sum(axis=0))
    if coil_rests == "hangs":
        return np.asarray(hook_wire(rim - heights, d_o).sum(axis=0))
    return np.zeros(np.broadcast_shapes(underside.shape, pitch.shape, d_o.shape))


def lacing_wire(turns: ArrayLike, pitch: ArrayLike, d_o: ArrayLike) -> Array:
    """Wire that laces a layer in three columns, knots too.

    A column is one wire doubled: its strands pass each turn outside and inside, half round the tube each,
    and cross in the gap. Touching turns leave no gap to cross in: a loop goes round all of them.

    Parameters
    ----------
    turns : array_like [-]
    pitch, d_o : array_like [m]

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    Ten turns and a half pass (a column meets so many on average), each pi 11.5 + 2 x 5 mm; 100 mm of knots:

    >>> round(float(lacing_wire(10.0, 0.015, 0.010)), 3)
    1.753

    Touching, up and down past nine and a half and half round the first and the last:

    >>> round(float(lacing_wire(10.0, 0.010, 0.010)), 3)
    0.978
    """
    turns, pitch, d_o = floats(turns, pitch, d_o)
    met, ends = turns + 0.5, np.pi * (d_o + LACING_WIRE)
    crossed = met * (ends + 2.0 * (pitch - d_o))
    loop = 2.0 * (met - 1.0) * pitch + ends
    return FEET * (np.where(pitch - d_o < TOUCHING, loop, crossed) + 2.0 * KNOT)
