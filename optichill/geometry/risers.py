"""The two risers that carry the water over the rim: lengths, room, and on which side they come out.

A riser starts where the helix ends, turns upwards in one bend of radius R_b, climbs past the rim and turns
outwards in a second bend. Each stands at the tangent of the coil, so a little outside the turns. Joints
sit outside the kettle; none is ever below the rim.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats, of_runs, room_left
from optichill.geometry.bend_allowance import bend_gain

TRIM = 0.05
"""Cut off each end of the tube when the coil is done [m] (OWN)."""

ABOVE_RIM = 0.03
"""Height of the crossing above the rim, tube centre [m]; 20 to 40 mm is usual (common practice)."""

PAST_THE_WALL, BY_TAPE = 0.05, 0.01
"""How far past the kettle's wall the end of a riser must reach, for its joint, and by how much the length of
one that is there may be measured wrong: by less it is nowhere called too short [m] (OWN)."""

AIR_AROUND_RISER = 0.005
"""Free gap between a riser and the wall or the turns [m] (OWN)."""

AIR_IN_BEND = 0.002
"""Free gap between the bend of a riser from below and the turn that it passes [m] (OWN)."""

# --- one riser ------------------------------------------------------------------------------------------


def riser_axis_radius(R_c: ArrayLike, R_b: ArrayLike) -> Array:
    """Distance of an outside riser from the coil's axis, sqrt(R_c^2 + R_b^2).

    Parameters
    ----------
    R_c, R_b : array_like [m]
        Half the mean coil diameter; bend radius.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    5, 12, 13:

    >>> float(riser_axis_radius(0.12, 0.05))
    0.13
    """
    R_c, R_b = floats(R_c, R_b)
    return np.sqrt(R_c**2 + R_b**2)


def passing_riser_axis_radius(
    R_c: ArrayLike, R_b: ArrayLike, d_o: ArrayLike, pitch: ArrayLike = np.inf
) -> Array:
    """Distance from the coil's axis of an outside riser that climbs past turns above it.

    A bend leaves the turn along its tangent, so near it that the tube would run into the turns above: the
    end of the lowest turn is pulled outwards until the riser, once upright, has a tube and AIR_AROUND_RISER
    between the centre lines, and the bend, where it passes the next turn, AIR_IN_BEND of air (OWN).

    Parameters
    ----------
    R_c, R_b, d_o : array_like [m]
        Half the mean coil diameter; bend radius; outside diameter of the tube.
    pitch : array_like [m]
        Of the turns; without it only the upright part counts: the least there can be.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    10 mm tube and 5 mm of air outside a centre line of 0.12 m; a wide bend stands farther by itself:

    >>> passing_riser_axis_radius(0.12, [0.05, 0.16], 0.010).round(4).tolist()
    [0.135, 0.2]
    """
    R_c, R_b, d_o, pitch = floats(R_c, R_b, d_o, pitch)
    upright = np.maximum(riser_axis_radius(R_c, R_b), R_c + d_o + AIR_AROUND_RISER)
    foot = R_c + of_runs(_pulled_for_bend, R_c, R_b, d_o, pitch)
    return np.maximum(upright, np.sqrt(foot**2 + R_b**2))


def _pulled_for_bend(R_c: Array, R_b: Array, d_o: Array, pitch: Array) -> Array:
    """How far the foot must stand outside the turns so that the bend passes the next turn [m].

    At a height z the bend has gone x = sqrt(2 R_b z - z^2) along the tangent, and must stand
    q = sqrt((d_o + air)^2 - (p - z)^2) outside the turn above: foot = sqrt((R_c + q)^2 - x^2) - R_c. It is
    largest where s = p - z meets s/q = (R_b - z)/R_c, which two rounds find.
    """
    # The turn above comes down a little towards the riser, which stands a bit of a turn before the foot.
    p = np.where(np.isfinite(pitch), pitch, 0.0) * (1.0 - np.arctan2(R_b, R_c) / (2.0 * np.pi))
    clear = d_o + AIR_IN_BEND
    s = np.zeros(np.broadcast_shapes(R_c.shape, R_b.shape, d_o.shape, p.shape))
    for _ in range(2):
        slope = (R_b - p + s) / R_c
        s = clear * slope / np.sqrt(1.0 + slope**2)
    z = np.clip(p - s, 0.0, R_b)
    q = np.sqrt(np.maximum(clear**2 - (p - z) ** 2, 0.0))
    pulled = np.sqrt(np.maximum((R_c + q) ** 2 - (2.0 * R_b * z - z**2), 0.0)) - R_c
    return np.where(np.isfinite(pitch), np.maximum(pulled, 0.0), 0.0)


def pulled_out(R_c: ArrayLike, R_b: ArrayLike, d_o: ArrayLike, pitch: ArrayLike = np.inf) -> Array:
    """How far the lowest turn's end is pulled outwards for a riser past the turns above; 0 with a wide bend.

    Parameters
    ----------
    R_c, R_b, d_o : array_like [m]
        Half the mean coil diameter; bend radius; outside diameter of the tube.
    pitch : array_like [m]
        Of the turns; without it only the upright part counts.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    sqrt(0.135^2 - 0.05^2) - 0.12:

    >>> pulled_out(0.12, [0.05, 0.16], 0.010).round(4).tolist()
    [0.0054, 0.0]
    """
    R_c, R_b = floats(R_c, R_b)
    return np.sqrt(passing_riser_axis_radius(R_c, R_b, d_o, pitch) ** 2 - R_b**2) - R_c


def inside_riser_axis_radius(R_c: ArrayLike, d_o: ArrayLike) -> Array:
    """Distance of a riser from the coil's axis when it climbs inside the turns (OWN: 5 mm of air).

    Parameters
    ----------
    R_c, d_o : array_like [m]
        Half the mean coil diameter; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(inside_riser_axis_radius(0.12, 0.010)), 4)
    0.105
    """
    R_c, d_o = floats(R_c, d_o)
    return R_c - d_o - AIR_AROUND_RISER


def riser_length(
    from_height: ArrayLike,
    rim_height: ArrayLike,
    R_b: ArrayLike,
    over_the_rim: ArrayLike,
    to_wall: ArrayLike = 0.0,
    above_rim: ArrayLike = ABOVE_RIM,
) -> Array:
    """Tube from the end of the turns to the outer end of the riser, without trim.

    The first bend begins right where the turns end, so its straight is one set-back long.

    Parameters
    ----------
    from_height : array_like [m]
        Where it leaves the turns, tube centre above the kettle floor: the lowest turn's height for the bottom
        riser, the top turn's for the top one.
    rim_height : array_like [m]
        Inside height of the kettle.
    R_b : array_like [m]
        Radius of both bends.
    over_the_rim : array_like [m]
        Level part, corner to end; beyond the wall when `to_wall` is given.
    to_wall : array_like [m]
        Level distance from the riser to the wall.
    above_rim : array_like [m]
        Height of the level part above the rim.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    Set-back 40, up 400, over 100 mm, less two square bends that save 17.2 mm each:

    >>> round(float(riser_length(0.03, 0.40, 0.04, 0.10)), 4)
    0.5057
    """
    from_height, rim_height, R_b = floats(from_height, rim_height, R_b)
    over_the_rim, to_wall, above_rim = floats(over_the_rim, to_wall, above_rim)
    square = np.pi / 2.0
    corner_to_corner = R_b + (rim_height + above_rim - from_height) + to_wall + over_the_rim
    return corner_to_corner - 2.0 * bend_gain(R_b, square)


def riser_straight_height(from_height: ArrayLike, rim_height: ArrayLike, R_b: ArrayLike) -> Array:
    """Straight tube between the two bends; below 0 they do not fit one above the other.

    Parameters
    ----------
    from_height, rim_height, R_b : array_like [m]
        Where it leaves the turns, above the floor; inside height of the kettle; radius of both bends.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    400 + 30 - 30 - 2 x 40 mm:

    >>> round(float(riser_straight_height(0.03, 0.40, 0.04)), 4)
    0.32
    """
    from_height, rim_height, R_b = floats(from_height, rim_height, R_b)
    return room_left(rim_height + ABOVE_RIM - from_height - 2.0 * R_b)


def submerged_riser_length(from_height: ArrayLike, level: ArrayLike, R_b: ArrayLike) -> Array:
    """Tube of one riser that is under the surface; 0 when it starts above.

    In the bend the tube climbs as R_b (1 - cos angle), above it straight up.

    Parameters
    ----------
    from_height, level, R_b : array_like [m]
        Where it leaves the turns, and surface, above the floor; bend radius, above 0.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    100 mm deep: a quarter circle of 40 mm (62.8 mm of tube) and 60 mm upright:

    >>> round(float(submerged_riser_length(0.03, 0.13, 0.04)), 4)
    0.1228
    """
    from_height, level, R_b = floats(from_height, level, R_b)
    depth = np.maximum(level - from_height, 0.0)
    bent = R_b * np.arccos(1.0 - np.minimum(depth / R_b, 1.0))
    return bent + np.maximum(depth - R_b, 0.0)


def tube_length(helix: ArrayLike, risers: ArrayLike, trim: float = TRIM) -> Array:
    """Cut length: turns, both risers and the trim at each end.

    Parameters
    ----------
    helix, risers : array_like [m]
        Tube in the turns; in both risers together.
    trim : float [m]
        Cut off each end.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(tube_length(10.0, 1.2)), 3)
    11.3
    """
    helix, risers = floats(helix, risers)
    return helix + risers + 2.0 * trim


# --- where the risers come out ----------------------------------------------------------------------------

FIRST_TURNS = {"same": 0.0, "opposite": 0.5, "any": 0.0}
TURN_STEPS = {"same": 1.0, "opposite": 1.0, "any": 0.5}


def turn_choices(sides: str, fewest: float, most: float) -> Array:
    """Numbers of turns that bring the risers out as wished.

    Parameters
    ----------
    sides : str
        "same": whole turns; "opposite": a half over; "any": steps of a half.
    fewest, most : float [-]
        Ends of the range, both included.

    Returns
    -------
    Array [-], rising; empty where nothing is between

    Raises
    ------
    KeyError
        For another word.

    Examples
    --------
    >>> turn_choices("same", 8.2, 10.9).tolist(), turn_choices("opposite", 8.2, 10.9).tolist()
    ([9.0, 10.0], [8.5, 9.5, 10.5])
    """
    first, step = FIRST_TURNS[sides], TURN_STEPS[sides]
    # A hair of slack: 10 turns computed as 9.999999999 must stay among the choices.
    low = np.ceil((fewest - first) / step - 1e-9)
    high = np.floor((most - first) / step + 1e-9)
    return first + step * np.arange(low, high + 1.0)
