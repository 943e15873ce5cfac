"""The two risers that carry the water over the rim: bends, lengths, room, and on which side they come out.

A riser starts where the helix ends, turns upwards in one bend of radius R_b, climbs past the rim and turns
outwards in a second bend. Each stands at the tangent of the coil, so a little outside the turns. Joints
sit outside the kettle; none is ever below the rim.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats

TRIM = 0.05
"""Cut off each end of the tube when the coil is done [m] (OWN)."""

ABOVE_RIM = 0.03
"""Height of the crossing above the rim, tube centre [m]; 20 to 40 mm is usual (common practice)."""

AIR_AROUND_RISER = 0.005
"""Free gap between a riser and the wall or the turns [m] (OWN)."""

AIR_IN_BEND = 0.002
"""Free gap between the bend of a riser from below and the turn that it passes [m] (OWN)."""

# --- one bend ---------------------------------------------------------------------------------------------


def bend_arc(R: ArrayLike, angle: ArrayLike) -> Array:
    """Tube in a bend, R angle [m]; R centre line radius [m], angle turned through [rad]."""
    R, angle = floats(R, angle)
    return R * angle


def bend_set_back(R: ArrayLike, angle: ArrayLike) -> Array:
    """From the corner of the two straight lines to where the bend begins, R tan(angle/2) [m]."""
    R, angle = floats(R, angle)
    return R * np.tan(angle / 2.0)


def bend_gain(R: ArrayLike, angle: ArrayLike) -> Array:
    """Tube that a bend saves against the sharp corner, 2 R tan(angle/2) - R angle [m]."""
    return 2.0 * bend_set_back(R, angle) - bend_arc(R, angle)


def cut_length(straights: ArrayLike, R: ArrayLike, angles: ArrayLike) -> Array:
    """Straight tube needed for straights measured corner to corner with bends between them [m].

    Parameters
    ----------
    straights : shape (n,) or (n, N), corner to corner [m], the pieces on axis 0.
    R : centre line radius [m], scalar or (N,).
    angles : angle of each bend [rad], shape (n - 1,) or (n - 1, N).
    """
    straights, angles = floats(straights, angles)
    if straights.ndim == 2 and angles.ndim == 1:
        angles = angles[:, None]
    length: Array = straights.sum(axis=0) - bend_gain(R, angles).sum(axis=0)
    return length


# --- one riser ------------------------------------------------------------------------------------------


def riser_axis_radius(R_c: ArrayLike, R_b: ArrayLike) -> Array:
    """Distance of an outside riser from the coil's axis, sqrt(R_c^2 + R_b^2) [m]; R_c = D_c / 2."""
    R_c, R_b = floats(R_c, R_b)
    return np.sqrt(R_c**2 + R_b**2)


def passing_riser_axis_radius(
    R_c: ArrayLike, R_b: ArrayLike, d_o: ArrayLike, pitch: ArrayLike = np.inf
) -> Array:
    """Distance from the coil's axis of an outside riser that climbs past turns above it [m].

    A bend leaves the turn along its tangent, so near it that the tube would run into the turns above: the
    end of the lowest turn is pulled outwards until the riser, once upright, has a tube and AIR_AROUND_RISER
    between the centre lines, and the bend, where it passes the next turn, AIR_IN_BEND of air (OWN). Without a
    pitch only the upright part counts: the least there can be.
    """
    R_c, R_b, d_o, pitch = floats(R_c, R_b, d_o, pitch)
    upright = np.maximum(riser_axis_radius(R_c, R_b), R_c + d_o + AIR_AROUND_RISER)
    foot = R_c + _pulled_for_bend(R_c, R_b, d_o, pitch)
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
    """How far the end of the lowest turn is pulled outwards for that [m]; 0 where the bend is wide enough."""
    R_c, R_b = floats(R_c, R_b)
    return np.sqrt(passing_riser_axis_radius(R_c, R_b, d_o, pitch) ** 2 - R_b**2) - R_c


def inside_riser_axis_radius(R_c: ArrayLike, d_o: ArrayLike) -> Array:
    """Distance of a riser from the coil's axis when it climbs inside the turns [m] (OWN: 5 mm of air)."""
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
    """Tube from the end of the turns to the outer end of the riser, without trim [m].

    Parameters
    ----------
    from_height : where it leaves the turns, tube centre [m above the kettle floor]: the lowest turn's
        height for the bottom riser, the top turn's for the top one.
    rim_height : inside height of the kettle [m].
    R_b : radius of both bends [m].
    over_the_rim : level riser [m], beyond the wall when `to_wall` is given.
    to_wall : level distance from the riser to the wall [m].
    above_rim : height of the level riser above the rim [m].

    The first bend begins right where the turns end, so its riser is one set-back long.
    """
    from_height, rim_height, R_b = floats(from_height, rim_height, R_b)
    over_the_rim, to_wall, above_rim = floats(over_the_rim, to_wall, above_rim)
    square = np.pi / 2.0
    corner_to_corner = R_b + (rim_height + above_rim - from_height) + to_wall + over_the_rim
    return corner_to_corner - 2.0 * bend_gain(R_b, square)


def riser_straight_height(from_height: ArrayLike, rim_height: ArrayLike, R_b: ArrayLike) -> Array:
    """Straight tube between the two bends [m]; below 0 the bends do not fit one above the other."""
    from_height, rim_height, R_b = floats(from_height, rim_height, R_b)
    return rim_height + ABOVE_RIM - from_height - 2.0 * R_b


def submerged_riser_length(from_height: ArrayLike, level: ArrayLike, R_b: ArrayLike) -> Array:
    """Tube of one riser that is under the surface [m]; 0 when it starts above. R_b > 0.

    In the bend the tube climbs as R_b (1 - cos angle), above it straight up.
    """
    from_height, level, R_b = floats(from_height, level, R_b)
    depth = np.maximum(level - from_height, 0.0)
    bent = R_b * np.arccos(1.0 - np.minimum(depth / R_b, 1.0))
    return bent + np.maximum(depth - R_b, 0.0)


def tube_length(helix: ArrayLike, risers: ArrayLike, trim: float = TRIM) -> Array:
    """Cut length: turns, both risers (their sum) and the trim at each end [m]."""
    helix, risers = floats(helix, risers)
    return helix + risers + 2.0 * trim


# --- where the risers come out ----------------------------------------------------------------------------

FIRST_TURNS = {"same": 0.0, "opposite": 0.5, "any": 0.0}
TURN_STEPS = {"same": 1.0, "opposite": 1.0, "any": 0.5}


def turn_choices(sides: str, fewest: float, most: float) -> Array:
    """Numbers of turns from `fewest` to `most` that bring the risers out as wished.

    "same" side: whole turns; "opposite": a half over; "any": steps of a half. Raises KeyError otherwise.
    """
    first, step = FIRST_TURNS[sides], TURN_STEPS[sides]
    # A hair of slack: 10 turns computed as 9.999999999 must stay among the choices.
    low = np.ceil((fewest - first) / step - 1e-9)
    high = np.floor((most - first) / step + 1e-9)
    return first + step * np.arange(low, high + 1.0)
