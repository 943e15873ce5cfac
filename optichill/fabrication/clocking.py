"""Where the risers come out, seen from above: the turn decides it.

Angles [rad], the way the tube climbs counted positive. A riser stands one bend radius along the tangent from
where its turn ends: before the lowest turn, after the highest.
"""

from __future__ import annotations

import math

WHOLE = 2.0 * math.pi


def swing(R_c: float, R_b: float) -> float:
    """Angle from where the turns end to where the riser stands, atan(R_b / R_c).

    Parameters
    ----------
    R_c, R_b : float [m]
        Half the mean coil diameter; bend radius.

    Returns
    -------
    float [rad]

    Examples
    --------
    A bend as wide as the coil:

    >>> round(math.degrees(swing(0.12, 0.12)), 6)
    45.0
    """
    return math.atan2(R_b, R_c)


def from_in_to_out(turns: float, R_c: float, R_b: float) -> float:
    """Angle from the riser of the lowest to that of the highest turn of one layer.

    Parameters
    ----------
    turns : float [-]
    R_c, R_b : float [m]
        Half the mean coil diameter; bend radius.

    Returns
    -------
    float [rad], 0 to 2 pi

    Examples
    --------
    Half a turn over, and both risers' own swing of 45 degrees:

    >>> round(math.degrees(from_in_to_out(10.5, 0.12, 0.12)), 6)
    270.0
    """
    return (WHOLE * turns + 2.0 * swing(R_c, R_b)) % WHOLE


def nested_from_in_to_out(turns: float, R_inner: float, R_outer: float, R_b: float) -> float:
    """Angle between the risers of one tube down the inner layer and up the outer.

    The crossing underneath takes a quarter turn, and the tube goes round the same way all along.

    Parameters
    ----------
    turns : float [-]
        Of both layers together.
    R_inner, R_outer, R_b : float [m]
        Half the mean diameter of each layer; bend radius.

    Returns
    -------
    float [rad], 0 to 2 pi

    Examples
    --------
    Whole turns and bends of no size leave the crossing's quarter:

    >>> round(math.degrees(nested_from_in_to_out(20.0, 0.10, 0.14, 0.0)), 6)
    90.0
    """
    return (WHOLE * (turns + 0.25) + swing(R_inner, R_b) + swing(R_outer, R_b)) % WHOLE


def apart(angle: float) -> float:
    """The shorter way round between two risers.

    Parameters
    ----------
    angle : float [rad]

    Returns
    -------
    float [rad], 0 to pi

    Examples
    --------
    >>> round(math.degrees(apart(math.radians(270.0))), 6)
    90.0
    """
    angle %= WHOLE
    return min(angle, WHOLE - angle)


def turns_for(angle: float, turns: float, R_c: float, R_b: float) -> float:
    """The number of turns nearest to `turns` that brings the risers of one layer `angle` apart.

    Parameters
    ----------
    angle : float [rad]
    turns : float [-]
    R_c, R_b : float [m]
        Half the mean coil diameter; bend radius.

    Returns
    -------
    float [-]

    Examples
    --------
    Risers in one place, each with a swing of an eighth of a turn: a quarter turn less than whole

    >>> turns_for(0.0, 10.0, 0.12, 0.12)
    9.75
    """
    wanted = (angle - 2.0 * swing(R_c, R_b)) / WHOLE
    return wanted + round(turns - wanted)


def clock(angle: float) -> str:
    """A position as on a clock face seen from above, to the half hour.

    Parameters
    ----------
    angle : float [rad]
        0 at six o'clock, counted against the clock.

    Returns
    -------
    str

    Examples
    --------
    >>> clock(0.0), clock(math.radians(45.0)), clock(math.pi)
    ("6 o'clock", 'half past 4', "12 o'clock")
    """
    halves = round((6.0 - 12.0 * angle / WHOLE) * 2.0) % 24
    hour, half = divmod(halves, 2)
    hour = hour or 12
    return f"half past {hour}" if half else f"{hour} o'clock"
