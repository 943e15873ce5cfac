"""The shape of a wound tube: lengths, heights, volumes, and how much of it stands in the wort.

Symbols: D_c mean coil diameter, centre to centre [m]; p pitch, centre to centre [m]; N turns [-];
d_o, d_i tube diameters [m]; L length along the tube [m]. All formulas are plain geometry of a helix
and a round tube; they hold for any positive size and return NaN where an input is NaN.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats


def turn_length(D_c: ArrayLike, p: ArrayLike) -> Array:
    """Length of tube in one turn, sqrt((pi D_c)^2 + p^2) [m].

    Parameters
    ----------
    D_c : mean coil diameter [m], shape (N,) or scalar.
    p : pitch [m].
    """
    D_c, p = floats(D_c, p)
    return np.sqrt((np.pi * D_c) ** 2 + p**2)


def helix_length(D_c: ArrayLike, p: ArrayLike, N: ArrayLike) -> Array:
    """Length of tube in N turns [m]."""
    return np.asarray(N, dtype=np.float64) * turn_length(D_c, p)


def turns_in_length(L: ArrayLike, D_c: ArrayLike, p: ArrayLike) -> Array:
    """Turns that a length L [m] of tube makes (the inverse of `helix_length`)."""
    return np.asarray(L, dtype=np.float64) / turn_length(D_c, p)


def helix_height(p: ArrayLike, N: ArrayLike, d_o: ArrayLike) -> Array:
    """Overall height of the turns, from the underside of the lowest to the top of the highest [m]."""
    p, N, d_o = floats(p, N, d_o)
    return N * p + d_o


def lead_angle(D_c: ArrayLike, p: ArrayLike) -> Array:
    """Angle by which a turn climbs, atan(p / (pi D_c)) [rad]."""
    D_c, p = floats(D_c, p)
    return np.arctan(p / (np.pi * D_c))


def coil_across(D_c: ArrayLike, d_o: ArrayLike) -> Array:
    """Outside diameter of the coil, outer edge to outer edge [m]."""
    D_c, d_o = floats(D_c, d_o)
    return D_c + d_o


def clear_gap(p: ArrayLike, d_o: ArrayLike) -> Array:
    """Open gap between neighbouring turns [m]; 0 when they touch."""
    p, d_o = floats(p, d_o)
    return p - d_o


def inside_diameter(d_o: ArrayLike, t: ArrayLike) -> Array:
    """Bore of a tube from its outside diameter and wall t [m]."""
    d_o, t = floats(d_o, t)
    return d_o - 2.0 * t


def metal_area(d_o: ArrayLike, d_i: ArrayLike) -> Array:
    """Cross-section of the metal [m2]."""
    d_o, d_i = floats(d_o, d_i)
    return np.pi / 4.0 * (d_o**2 - d_i**2)


def tube_mass(d_o: ArrayLike, d_i: ArrayLike, L: ArrayLike, density: ArrayLike) -> Array:
    """Mass of a length L of bare tube [kg]; density [kg/m3]."""
    L, density = floats(L, density)
    return metal_area(d_o, d_i) * L * density


def bore_volume(d_i: ArrayLike, L: ArrayLike) -> Array:
    """Water that a length L of tube holds [m3]."""
    d_i, L = floats(d_i, L)
    return np.pi / 4.0 * d_i**2 * L


def outer_volume(d_o: ArrayLike, L: ArrayLike) -> Array:
    """Wort that a length L of tube pushes aside when it is under the surface [m3]."""
    d_o, L = floats(d_o, L)
    return np.pi / 4.0 * d_o**2 * L


def top_turn_height(lowest_turn_height: ArrayLike, p: ArrayLike, N: ArrayLike) -> Array:
    """Height of the tube's centre where the helix ends at the top, above the kettle floor [m]."""
    lowest_turn_height, p, N = floats(lowest_turn_height, p, N)
    return lowest_turn_height + N * p


def wetted_turns(lowest_turn_height: ArrayLike, p: ArrayLike, N: ArrayLike, level: ArrayLike) -> Array:
    """Turns under the surface, part turns by fraction, between 0 and N.

    The centre line climbs evenly from lowest_turn_height to lowest_turn_height + N p [m above the kettle
    floor]; a stretch counts as wet when its centre is under the level, which is right on average: what
    the last stretch has too much below it has too little above.
    """
    lowest_turn_height, p, N, level = floats(lowest_turn_height, p, N, level)
    return np.clip((level - lowest_turn_height) / p, 0.0, N)


def nested_crossing_length(D_inner: ArrayLike, D_outer: ArrayLike) -> Array:
    """Tube that leads from the inner to the outer layer under a nested coil [m].

    OWN rule: the tube spirals outwards over a quarter of a turn, flat, at the lowest turn's height.
    """
    D_inner, D_outer = floats(D_inner, D_outer)
    along = np.pi / 4.0 * (D_inner + D_outer) / 2.0
    across = (D_outer - D_inner) / 2.0
    return np.sqrt(along**2 + across**2)
