"""The shape of a wound tube: lengths, heights, volumes, and how much of it stands in the wort.

Symbols: D_c mean coil diameter, centre to centre [m]; p pitch, centre to centre [m]; N turns [-];
d_o, d_i tube diameters [m]; L length along the tube [m]. All formulas are plain geometry of a helix
and a round tube; they hold for any positive size and return NaN where an input is NaN.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats, room_left


def turn_length(D_c: ArrayLike, p: ArrayLike) -> Array:
    """Length of tube in one turn, sqrt((pi D_c)^2 + p^2).

    Parameters
    ----------
    D_c, p : array_like [m]
        Mean coil diameter; pitch.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(turn_length(0.2342, 0.01905)), 3)
    0.736
    """
    D_c, p = floats(D_c, p)
    return np.sqrt((np.pi * D_c) ** 2 + p**2)


def helix_length(D_c: ArrayLike, p: ArrayLike, N: ArrayLike) -> Array:
    """Length of tube in N turns.

    Parameters
    ----------
    D_c, p : array_like [m]
        Mean coil diameter; pitch.
    N : array_like [-]
        Turns.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    10.1 turns of 0.736 m:

    >>> round(float(helix_length(0.2342, 0.01905, 10.1)), 3)
    7.434
    """
    return np.asarray(N, dtype=np.float64) * turn_length(D_c, p)


def turns_in_length(L: ArrayLike, D_c: ArrayLike, p: ArrayLike) -> Array:
    """Turns that a length of tube makes; the inverse of `helix_length`.

    Parameters
    ----------
    L, D_c, p : array_like [m]
        Length; mean coil diameter; pitch.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    >>> round(float(turns_in_length(7.434, 0.2342, 0.01905)), 1)
    10.1
    """
    return np.asarray(L, dtype=np.float64) / turn_length(D_c, p)


def helix_height(p: ArrayLike, N: ArrayLike, d_o: ArrayLike) -> Array:
    """Overall height of the turns, from the underside of the lowest to the top of the highest, N p + d_o.

    Parameters
    ----------
    p, d_o : array_like [m]
        Pitch; outside diameter.
    N : array_like [-]
        Turns.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(helix_height(0.01905, 10.1, 0.009525)), 4)
    0.2019
    """
    p, N, d_o = floats(p, N, d_o)
    return N * p + d_o


def lead_angle(D_c: ArrayLike, p: ArrayLike) -> Array:
    """Angle by which a turn climbs, atan(p / (pi D_c)).

    Parameters
    ----------
    D_c, p : array_like [m]
        Mean coil diameter; pitch.

    Returns
    -------
    Array [rad], broadcast shape

    Examples
    --------
    A pitch of one turn's way round climbs at 45 degrees:

    >>> round(float(np.degrees(lead_angle(1.0, np.pi))), 6)
    45.0
    """
    D_c, p = floats(D_c, p)
    return np.arctan(p / (np.pi * D_c))


def coil_across(D_c: ArrayLike, d_o: ArrayLike) -> Array:
    """Outside diameter of the coil, outer edge to outer edge, D_c + d_o.

    Parameters
    ----------
    D_c, d_o : array_like [m]
        Mean coil diameter; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> float(coil_across(0.25, 0.01))
    0.26
    """
    D_c, d_o = floats(D_c, d_o)
    return D_c + d_o


def clear_gap(p: ArrayLike, d_o: ArrayLike) -> Array:
    """Open gap between neighbouring turns; 0 when they touch.

    Parameters
    ----------
    p, d_o : array_like [m]
        Pitch; outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> clear_gap([0.010, 0.015], 0.010).round(4).tolist()
    [0.0, 0.005]
    """
    p, d_o = floats(p, d_o)
    return room_left(p - d_o)


def inside_diameter(d_o: ArrayLike, t: ArrayLike) -> Array:
    """Bore of a tube, d_o - 2 t.

    Parameters
    ----------
    d_o, t : array_like [m]
        Outside diameter; wall.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> float(inside_diameter(0.010, 0.001))
    0.008
    """
    d_o, t = floats(d_o, t)
    return d_o - 2.0 * t


def metal_area(d_o: ArrayLike, d_i: ArrayLike) -> Array:
    """Cross-section of the metal, pi/4 (d_o^2 - d_i^2).

    Parameters
    ----------
    d_o, d_i : array_like [m]
        Outside diameter; bore.

    Returns
    -------
    Array [m2], broadcast shape

    Examples
    --------
    10 x 1 mm: pi/4 x 36 mm2:

    >>> f"{1e6 * metal_area(0.010, 0.008):.2f}"
    '28.27'
    """
    d_o, d_i = floats(d_o, d_i)
    return np.pi / 4.0 * (d_o**2 - d_i**2)


def tube_mass(d_o: ArrayLike, d_i: ArrayLike, L: ArrayLike, density: ArrayLike) -> Array:
    """Mass of a length of bare tube.

    Parameters
    ----------
    d_o, d_i, L : array_like [m]
        Outside diameter; bore; length.
    density : array_like [kg/m3]
        Of the metal.

    Returns
    -------
    Array [kg], broadcast shape

    Examples
    --------
    3/8 x 0.032 in copper, 0.134 lb/ft by ASTM B280 (M):

    >>> lb_per_ft = tube_mass(0.375 * 0.0254, 0.311 * 0.0254, 0.3048, 8940.0) / 0.45359
    >>> round(float(lb_per_ft), 3)
    0.134
    """
    L, density = floats(L, density)
    return metal_area(d_o, d_i) * L * density


def bore_volume(d_i: ArrayLike, L: ArrayLike) -> Array:
    """Water that a length of tube holds.

    Parameters
    ----------
    d_i, L : array_like [m]
        Bore; length.

    Returns
    -------
    Array [m3], broadcast shape

    Examples
    --------
    15 m of 8 mm bore, 50.3 mm2, in litres:

    >>> f"{1e3 * bore_volume(0.008, 15.0):.2f}"
    '0.75'
    """
    d_i, L = floats(d_i, L)
    return np.pi / 4.0 * d_i**2 * L


def outer_volume(d_o: ArrayLike, L: ArrayLike) -> Array:
    """Wort that a length of tube pushes aside when it is under the surface.

    Parameters
    ----------
    d_o, L : array_like [m]
        Outside diameter; length.

    Returns
    -------
    Array [m3], broadcast shape

    Examples
    --------
    15 m of 10 mm tube, 78.5 mm2, in litres:

    >>> f"{1e3 * outer_volume(0.010, 15.0):.2f}"
    '1.18'
    """
    d_o, L = floats(d_o, L)
    return np.pi / 4.0 * d_o**2 * L


def top_turn_height(lowest_turn_height: ArrayLike, p: ArrayLike, N: ArrayLike) -> Array:
    """Height of the tube's centre where the helix ends at the top, above the kettle floor.

    Parameters
    ----------
    lowest_turn_height, p : array_like [m]
        Where the helix begins, above the floor; pitch.
    N : array_like [-]
        Turns.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(top_turn_height(0.02, 0.015, 10.0)), 3)
    0.17
    """
    lowest_turn_height, p, N = floats(lowest_turn_height, p, N)
    return lowest_turn_height + N * p


def wetted_turns(lowest_turn_height: ArrayLike, p: ArrayLike, N: ArrayLike, level: ArrayLike) -> Array:
    """Turns under the surface, part turns by fraction, between 0 and N.

    The centre line climbs evenly from lowest_turn_height to lowest_turn_height + N p [m above the kettle
    floor]; a stretch counts as wet when its centre is under the level, which is right on average: what
    the last stretch has too much below it has too little above.

    Parameters
    ----------
    lowest_turn_height, p, level : array_like [m]
        Where the helix begins, above the floor; pitch; surface, above the floor.
    N : array_like [-]
        Turns.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    Dry, half under, all under:

    >>> wetted_turns(0.02, 0.015, 10.0, [0.01, 0.095, 0.30]).round(3).tolist()
    [0.0, 5.0, 10.0]
    """
    lowest_turn_height, p, N, level = floats(lowest_turn_height, p, N, level)
    return np.clip((level - lowest_turn_height) / p, 0.0, N)


def nested_crossing_length(D_inner: ArrayLike, D_outer: ArrayLike) -> Array:
    """Tube that leads from the inner to the outer layer under a nested coil.

    OWN rule: the tube spirals outwards over a quarter of a turn, flat, at the lowest turn's height.

    Parameters
    ----------
    D_inner, D_outer : array_like [m]
        Mean diameters of the two layers.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    A quarter of pi 0.24 m along and 0.04 m across:

    >>> round(float(nested_crossing_length(0.20, 0.28)), 4)
    0.1927
    """
    D_inner, D_outer = floats(D_inner, D_outer)
    along = np.pi / 4.0 * (D_inner + D_outer) / 2.0
    across = (D_outer - D_inner) / 2.0
    return np.sqrt(along**2 + across**2)
