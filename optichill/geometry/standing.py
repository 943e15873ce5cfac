"""How high a coil stands or hangs in the kettle, and what stands in its way there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.geometry.levels import (
    SunkTube,
    level_covering,
)


@dataclass(frozen=True)
class FixedPart:
    """Something built into the kettle.

    where: "wall" | "floor" | "centre"; height [m]: of its upper edge above the floor; size [m]: how far it
    stands out from the wall, or its diameter when it stands in the centre.
    """

    what: str
    where: str
    height: float
    size: float


def tallest_floor_part(parts: Sequence[FixedPart]) -> float:
    """Height of the tallest part that lies on the floor; 0 without one.

    Parameters
    ----------
    parts : sequence of FixedPart

    Returns
    -------
    float [m]

    Examples
    --------
    >>> tallest_floor_part([FixedPart("false bottom", "floor", 0.03, 0.30)])
    0.03
    """
    return max((part.height for part in parts if part.where == "floor"), default=0.0)


def widest_centre_part(parts: Sequence[FixedPart]) -> float:
    """Diameter of the widest part in the centre; 0 without one.

    Parameters
    ----------
    parts : sequence of FixedPart

    Returns
    -------
    float [m]

    Examples
    --------
    >>> widest_centre_part([FixedPart("hop basket", "centre", 0.35, 0.12)])
    0.12
    """
    return max((part.size for part in parts if part.where == "centre"), default=0.0)


def standing_height(
    coil_rests: str, floor_clearance: ArrayLike, floor_part: ArrayLike, d_o: ArrayLike
) -> Array:
    """Lowest turn's height of a coil on wire feet or on the kettle floor.

    On feet its underside is at the floor clearance, or above the tallest floor part if that is higher;
    on the floor it lies on the floor or on that part.

    Parameters
    ----------
    coil_rests : str
        "feet" or "floor".
    floor_clearance, floor_part, d_o : array_like [m]
        Wanted under the coil; height of the tallest floor part; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape
        Of the tube's centre.

    Raises
    ------
    ValueError
        For another word.

    Examples
    --------
    >>> [round(float(standing_height(how, 0.025, 0.0, 0.010)), 4) for how in ("feet", "floor")]
    [0.03, 0.005]
    """
    floor_clearance, floor_part, d_o = floats(floor_clearance, floor_part, d_o)
    if coil_rests == "feet":
        return np.maximum(floor_clearance, floor_part) + d_o / 2.0
    if coil_rests == "floor":
        return floor_part + d_o / 2.0
    raise ValueError(f"a standing coil rests on feet or on the floor, not {coil_rests!r}")


def hanging_height(
    cold_volume: ArrayLike,
    D_kettle: ArrayLike,
    tube: SunkTube,
    top_clearance: ArrayLike,
    floor_part: ArrayLike = 0.0,
) -> Array:
    """Lowest turn's height of a coil that hangs from the rim, top turn just under the cold surface.

    Never lower than lying on the floor or its tallest part. A coil too tall for the wort therefore comes
    nearer to the floor than the floor clearance (that limit then fails) and in the end sticks out.

    Parameters
    ----------
    cold_volume : array_like [m3]
    D_kettle : array_like [m]
        Inside diameter.
    tube : SunkTube
        Its lowest_turn_height is not used.
    top_clearance, floor_part : array_like [m]
        Wanted over the top turn; height of the tallest floor part.

    Returns
    -------
    Array [m], shape () or (N,)
        Of the tube's centre.

    Examples
    --------
    The level of `level_covering`, 0.2015, less 15 + 5 + 120 mm:

    >>> tube = SunkTube(0.0, 0.015, 8.0, 0.25, 0.010)
    >>> round(float(hanging_height(0.020, 0.36, tube, 0.015)), 3)
    0.061
    """
    p, N, d_o, top_clearance = floats(tube.pitch, tube.turns, tube.d_o, top_clearance)
    climb = N * p
    tallest = climb.max(axis=0) if climb.ndim == 2 else climb
    level = level_covering(cold_volume, D_kettle, tube, top_clearance)
    hung = level - top_clearance - d_o / 2.0 - tallest
    return np.maximum(hung, standing_height("floor", 0.0, floor_part, d_o))
