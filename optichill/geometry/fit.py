"""Does the coil fit the kettle, and where does the wort stand around it?

The kettle is a round, straight pot of inside diameter D_kettle. Heights are above its floor, levels are
wort surfaces, "lowest turn height" is the tube's centre at the bottom end of the helix. Everything is a
room that is left [m]; the limits compare it with what is wanted. Both states of the wort matter: hot
(largest, for the brim) and cold (smallest, for the turns that stay wet).

Coils of several layers: give pitch, turns and diameter with the layers on axis 0, shape (layers, N).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Mask, floats, room_left
from optichill.geometry.risers import (
    AIR_AROUND_RISER,
    passing_riser_axis_radius,
    riser_axis_radius,
)
from optichill.geometry.standing import (
    FixedPart,
)

AIR_AROUND_PART = 0.005
"""Free gap between the coil and a part of the kettle [m] (OWN)."""


# --- the surface -------------------------------------------------------------------------------------------


# --- where the coil stands ----------------------------------------------------------------------------------


# --- rooms, each compared with its limit elsewhere --------------------------------------------------------


def wall_gap(D_kettle: ArrayLike, D_c: ArrayLike, d_o: ArrayLike) -> Array:
    """Gap between the outer turns and the kettle wall, coil in the middle.

    Parameters
    ----------
    D_kettle, D_c, d_o : array_like [m]
        Kettle inside; mean coil diameter; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(wall_gap(0.36, 0.25, 0.010)), 4)
    0.05
    """
    D_kettle, D_c, d_o = floats(D_kettle, D_c, d_o)
    return room_left((D_kettle - D_c - d_o) / 2.0)


def wall_gap_needed(
    wall_clearance: ArrayLike,
    parts: Sequence[FixedPart],
    lowest_turn_height: ArrayLike,
    d_o: ArrayLike,
) -> Array:
    """Wall gap that clears the wall and every wall part at any angle of the coil.

    A round coil is lowered past each part above its underside, so its gap must exceed the part by 5 mm (OWN)
    however it is turned; a part wholly below the lowest turn does not count.

    Parameters
    ----------
    wall_clearance, lowest_turn_height, d_o : array_like [m]
        Wanted to the wall; of the lowest turn's centre; outside diameter of the tube.
    parts : sequence of FixedPart

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    A thermometer well of 6 cm at 12 cm height, coil below and above it:

    >>> well = FixedPart("thermometer well", "wall", 0.12, 0.06)
    >>> wall_gap_needed(0.03, [well], [0.03, 0.15], 0.010).round(4).tolist()
    [0.065, 0.03]
    """
    needed, lowest, d_o = floats(wall_clearance, lowest_turn_height, d_o)
    underside = lowest - d_o / 2.0
    for part in parts:
        if part.where == "wall":
            clears = np.where(part.height >= underside, part.size + AIR_AROUND_PART, 0.0)
            needed = np.maximum(needed, clears)
    return needed + 0.0 * underside


def in_the_turns(gap: float, underside: float, parts: Sequence[FixedPart]) -> tuple[FixedPart, ...]:
    """Parts at the wall that the turns would hit: they reach in farther than is free, above its underside.

    Parameters
    ----------
    gap, underside : float [m]
        Between the turns and the wall, nothing less than none; of the lowest turn, over the floor.
    parts : sequence of FixedPart

    Returns
    -------
    tuple of FixedPart

    Examples
    --------
    A well of 6 cm at 12 cm height, and 5 cm free: it is hit, unless the coil stands above it.

    >>> well = FixedPart("thermometer well", "wall", 0.12, 0.06)
    >>> len(in_the_turns(0.05, 0.03, [well])), in_the_turns(0.05, 0.13, [well])
    (1, ())
    """
    if gap < 0.0:  # wider than the kettle: that says it
        return ()
    hit = (p for p in parts if p.where == "wall" and p.height >= underside and gap < p.size - HAIR)
    return tuple(hit)


HAIR = 1e-6
"""A micrometre: what is worked out to be exactly on a bound still holds."""


def passes_outside(crossing: ArrayLike, riser: str) -> Mask:
    """Whether a riser climbs outside, past turns above it: not where both ends leave from the top.

    Parameters
    ----------
    crossing : array_like of bool
    riser : str
        "outside" or "inside".

    Returns
    -------
    Mask, crossing's shape

    Examples
    --------
    >>> passes_outside([False, True], "outside").tolist()
    [True, False]
    """
    return ~np.asarray(crossing, dtype=bool) & (riser == "outside")


def _outermost_riser(D_c: Array, R_b: ArrayLike, d_o: Array, passing: ArrayLike, pitch: ArrayLike) -> Array:
    """Distance of the outermost outside riser from the coil's axis [m]."""
    at_top = riser_axis_radius(D_c / 2.0, R_b)
    past = passing_riser_axis_radius(D_c / 2.0, R_b, d_o, pitch)
    return np.where(np.asarray(passing, bool), past, at_top)


def riser_gap(
    D_kettle: ArrayLike,
    D_c: ArrayLike,
    R_b: ArrayLike,
    d_o: ArrayLike,
    passing: ArrayLike = True,
    pitch: ArrayLike = np.inf,
) -> Array:
    """Gap between an outside riser and the kettle wall; AIR_AROUND_RISER is wanted.

    Parameters
    ----------
    D_kettle, D_c, R_b, d_o : array_like [m]
        Kettle inside; mean coil diameter; bend radius; outside diameter of the tube.
    passing : array_like of bool
        Whether one comes up from the lowest turn, past the turns above it.
    pitch : array_like [m]
        Of those turns; without it only the riser's upright part counts.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    180 mm less 135 to the riser's centre and 5 to its edge; 130 where it passes no turn:

    >>> riser_gap(0.36, 0.24, 0.05, 0.010, passing=[True, False]).round(4).tolist()
    [0.04, 0.045]
    """
    D_kettle, D_c, d_o = floats(D_kettle, D_c, d_o)
    return room_left(D_kettle / 2.0 - _outermost_riser(D_c, R_b, d_o, passing, pitch) - d_o / 2.0)


def riser_gap_needed() -> float:
    """Gap that `riser_gap` must reach.

    Returns
    -------
    float [m]

    Examples
    --------
    >>> riser_gap_needed()
    0.005
    """
    return AIR_AROUND_RISER


def across_with_risers(
    D_c: ArrayLike,
    R_b: ArrayLike,
    d_o: ArrayLike,
    opposite: ArrayLike = False,
    passing: ArrayLike = True,
    pitch: ArrayLike = np.inf,
) -> Array:
    """Widest measure of the coil with its outside risers; wider when they stand opposite.

    Parameters
    ----------
    D_c, R_b, d_o : array_like [m]
        Mean coil diameter; bend radius; outside diameter of the tube.
    opposite, passing : array_like of bool
        Whether the risers stand opposite each other; `passing` and `pitch` as in `riser_gap`.
    pitch : array_like [m]

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    135 mm to the riser, 120 to the turns or 130 to the other riser, and a tube:

    >>> across_with_risers(0.24, 0.05, 0.010, opposite=[False, True]).round(4).tolist()
    [0.265, 0.275]
    """
    D_c, d_o = floats(D_c, d_o)
    at_top = riser_axis_radius(D_c / 2.0, R_b)
    other_side = np.where(np.asarray(opposite, dtype=bool), at_top, D_c / 2.0)
    return _outermost_riser(D_c, R_b, d_o, passing, pitch) + other_side + d_o


def off_the_middle(mouth: ArrayLike, outermost: ArrayLike, other_side: ArrayLike, d_o: ArrayLike) -> Array:
    """How far a coil stands from the middle of its kettle so that its outermost riser clears the mouth's lip.

    It need not go farther than to where it has as much room on both sides, and does not where the mouth is
    so wide that it clears the lip in the middle.

    Parameters
    ----------
    mouth, outermost, other_side, d_o : array_like [m]
        Across the mouth; from the coil's axis to its outermost riser, and to what stands farthest out on the
        other side, both tube centres; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    A riser of 10 mm with its edge 150 mm out, and turns 130 mm: with 5 mm of air it clears 310 mm in the
    middle, asks for 5 mm aside at 300, and shares the 4 mm of 284 between both sides:

    >>> off_the_middle([0.31, 0.30, 0.284], 0.145, 0.125, 0.010).round(4).tolist()
    [0.0, 0.005, 0.01]
    """
    mouth, outermost, other_side, d_o = floats(mouth, outermost, other_side, d_o)
    under = outermost + d_o / 2.0 + AIR_AROUND_RISER - mouth / 2.0
    return np.clip(under, 0.0, np.maximum(outermost - other_side, 0.0) / 2.0)


def floor_gap(lowest_turn_height: ArrayLike, d_o: ArrayLike) -> Array:
    """Gap between the underside of the lowest turn and the kettle floor.

    Parameters
    ----------
    lowest_turn_height, d_o : array_like [m]
        Of the tube's centre; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(floor_gap(0.03, 0.010)), 4)
    0.025
    """
    lowest_turn_height, d_o = floats(lowest_turn_height, d_o)
    return room_left(lowest_turn_height - d_o / 2.0)


def floor_gap_needed(coil_rests: str, floor_clearance: ArrayLike, floor_part: ArrayLike) -> Array:
    """Floor gap that `floor_gap` must reach: on the floor only what lies there counts.

    Parameters
    ----------
    coil_rests : str
        "feet", "hangs" or "floor".
    floor_clearance, floor_part : array_like [m]
        Wanted under the coil; height of the tallest floor part.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> float(floor_gap_needed("feet", 0.025, 0.03)), float(floor_gap_needed("floor", 0.025, 0.0))
    (0.03, 0.0)
    """
    floor_clearance, floor_part = floats(floor_clearance, floor_part)
    return floor_part if coil_rests == "floor" else np.maximum(floor_clearance, floor_part)


def centre_gap(
    D_c_inner: ArrayLike, d_o: ArrayLike, centre_part: ArrayLike, riser_inside: ArrayLike = False
) -> Array:
    """Gap all round between the innermost turns, or a riser inside them, and what stands in the centre.

    Parameters
    ----------
    D_c_inner, d_o, centre_part : array_like [m]
        Mean diameter of the innermost turns; outside diameter of the tube; what stands in the centre, or 0.
    riser_inside : array_like of bool
        Whether a riser climbs inside the turns.

    Returns
    -------
    Array [m], broadcast shape
        Infinite without a centre part.

    Examples
    --------
    (250 - 10 - 100)/2 mm, less a tube and 5 mm of air with a riser:

    >>> centre_gap(0.25, 0.010, 0.10, riser_inside=[False, True]).round(4).tolist()
    [0.07, 0.055]
    """
    D_c_inner, d_o, centre_part = floats(D_c_inner, d_o, centre_part)
    riser = np.where(np.asarray(riser_inside, dtype=bool), d_o + AIR_AROUND_RISER, 0.0)
    return np.where(centre_part > 0.0, (D_c_inner - d_o - centre_part) / 2.0 - riser, np.inf)


def submergence(level: ArrayLike, top_turn_height: ArrayLike, d_o: ArrayLike) -> Array:
    """How far the upper edge of the top turn is under the surface; negative when it sticks out.

    Parameters
    ----------
    level, top_turn_height, d_o : array_like [m]
        Surface; centre of the top turn, both above the floor; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(submergence(0.20, 0.15, 0.010)), 4)
    0.045
    """
    level, top_turn_height, d_o = floats(level, top_turn_height, d_o)
    return room_left(level - top_turn_height - d_o / 2.0)


def headspace(inside_height: ArrayLike, hot_level: ArrayLike) -> Array:
    """Free rim above the hot wort with the coil in.

    Parameters
    ----------
    inside_height, hot_level : array_like [m]
        Of the kettle; `level_with_coil` of the hot volume.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(headspace(0.40, 0.25)), 4)
    0.15
    """
    inside_height, hot_level = floats(inside_height, hot_level)
    return room_left(inside_height - hot_level)


# --- two layers -------------------------------------------------------------------------------------------

LAYER_GAP = 0.010
"""Free room that two layers must leave between them for the wort and for rinsing [m] (OWN)."""


def layer_gap(D_inner: ArrayLike, D_outer: ArrayLike, d_o: ArrayLike) -> Array:
    """Free room between two layers of turns.

    Parameters
    ----------
    D_inner, D_outer, d_o : array_like [m]
        Mean diameters of the layers; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(layer_gap(0.20, 0.26, 0.010)), 4)
    0.02
    """
    D_inner, D_outer, d_o = floats(D_inner, D_outer, d_o)
    return room_left((D_outer - D_inner) / 2.0 - d_o)


def layer_gap_for_riser(
    D_inner: ArrayLike, R_b: ArrayLike, d_o: ArrayLike, inside: bool = False, pitch: ArrayLike = np.inf
) -> Array:
    """Room between two tubes' layers for the riser from below that climbs between them.

    The inner tube's stands a little outside its turns and keeps its air to the outer layer; where risers
    climb inside, the outer tube's stands there, with air on both sides.

    Parameters
    ----------
    D_inner, R_b, d_o : array_like [m]
        Mean diameter of the inner layer; bend radius; outside diameter of the tube.
    inside : bool
        Whether risers climb inside the turns.
    pitch : array_like [m]
        Of the turns; without it only the riser's upright part counts.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    The riser's edge stands 15 mm outside the inner turns' edge, and keeps 5 of air:

    >>> round(float(layer_gap_for_riser(0.24, 0.05, 0.010)), 4)
    0.02
    >>> round(float(layer_gap_for_riser(0.24, 0.05, 0.010, inside=True)), 4)
    0.02
    """
    D_inner, R_b, d_o = floats(D_inner, R_b, d_o)
    if inside:
        return np.maximum(LAYER_GAP, d_o + 2.0 * AIR_AROUND_RISER)
    offset = passing_riser_axis_radius(D_inner / 2.0, R_b, d_o, pitch) - D_inner / 2.0
    return np.maximum(LAYER_GAP, offset + AIR_AROUND_RISER)
