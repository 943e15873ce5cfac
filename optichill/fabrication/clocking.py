"""Where the risers come out, seen from above: the turn decides it.

Angles [rad], the way the tube climbs counted positive. A riser stands one bend radius along the tangent from
where its turn ends: before the lowest turn, after the highest.
"""

from __future__ import annotations

import math

WHOLE = 2.0 * math.pi


def swing(R_c: float, R_b: float) -> float:
    """Angle from where the turns end to where the riser stands, atan(R_b / R_c)."""
    return math.atan2(R_b, R_c)


def from_in_to_out(turns: float, R_c: float, R_b: float) -> float:
    """Angle from the riser of the lowest to that of the highest turn of one layer, 0 to 2 pi."""
    return (WHOLE * turns + 2.0 * swing(R_c, R_b)) % WHOLE


def nested_from_in_to_out(turns: float, R_inner: float, R_outer: float, R_b: float) -> float:
    """The same of one tube down the inner layer and up the outer; turns : of both together. The crossing
    underneath takes a quarter turn, and the tube goes round the same way all along."""
    return (WHOLE * (turns + 0.25) + swing(R_inner, R_b) + swing(R_outer, R_b)) % WHOLE


def apart(angle: float) -> float:
    """The shorter way round between two risers, 0 to pi."""
    angle %= WHOLE
    return min(angle, WHOLE - angle)


def turns_for(angle: float, turns: float, R_c: float, R_b: float) -> float:
    """The number of turns nearest to `turns` that brings the risers of one layer `angle` apart."""
    wanted = (angle - 2.0 * swing(R_c, R_b)) / WHOLE
    return wanted + round(turns - wanted)


def clock(angle: float) -> str:
    """A position as on a clock face seen from above, to the half hour, with 0 at six o'clock and the angle
    counted against the clock: "6 o'clock", "half past 4"."""
    halves = round((6.0 - 12.0 * angle / WHOLE) * 2.0) % 24
    hour, half = divmod(halves, 2)
    hour = hour or 12
    return f"half past {hour}" if half else f"{hour} o'clock"
