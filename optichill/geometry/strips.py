"""Strips of wood between two layers of one tube, which the outer one is wound over: how thick, how wide, how
many, and whether they stand."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Mask, floats, room_left

EDGE, WIDEST_STRIP = 0.0003, 0.015
"""By what a strip's edges may rise over its middle; no wider than it takes [m] (OWN)."""

THINNEST_STRIP = 0.003
"""Of wood, so that it does not break when tube is wound over it [m] (OWN)."""

STANDS = 1.5
"""So many times as thick as it is wide may a strip be: a thicker one, tied with string, tips over when
tube is wound over it (OWN)."""

SAGS, FEWEST = 0.002, 12
"""How far the free tube between two strips may lie inside its circle, as a chord does [m], and the number
that there are at least (OWN)."""


def strips(inner: ArrayLike, outer: ArrayLike, d_o: ArrayLike, card: float) -> tuple[Array, Mask]:
    """What must lie between two layers so that the outer one has its form.

    Parameters
    ----------
    inner, outer : array_like [m]
        Diameters of the forms of both layers, packing included.
    d_o : array_like [m]
        Outside diameter of the tube.
    card : float [m]
        Thickness of the turn of card that is laid over the strips, where there is room for it.

    Returns
    -------
    tuple of Array [m] and Mask, broadcast shape
        Thickness of a strip, and whether the card lies over it. Below 0 where the layers touch.

    Examples
    --------
    Forms of 200 and 250 mm and 10 mm tube leave 15 mm a side, of which 3 are card:

    >>> thick, carded = strips(0.200, 0.250, 0.010, 0.003)
    >>> round(float(thick), 4), bool(carded)
    (0.012, True)
    """
    inner, outer, d_o = floats(inner, outer, d_o)
    room = (outer - inner) / 2.0 - d_o
    carded = room - card >= THINNEST_STRIP
    return np.where(carded, room - card, room), np.asarray(carded)


def strip_width(inner: ArrayLike, d_o: ArrayLike) -> Array:
    """How wide a flat strip on the inner layer may be: its edges rise over its middle by w^2/(8 R), R the
    layer's outside on its form.

    Parameters
    ----------
    inner : array_like [m]
        Diameter of the inner layer's form, packing included.
    d_o : array_like [m]
        Outside diameter of the tube.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    On 100 mm of radius, 15.5 mm raise the edges by 0.3 mm; no wider than 15 is asked for:

    >>> strip_width([0.180, 0.080], 0.010).round(4).tolist()
    [0.015, 0.011]
    """
    inner, d_o = floats(inner, d_o)
    width: Array = np.minimum(WIDEST_STRIP, np.sqrt(8.0 * (inner / 2.0 + d_o) * EDGE))
    return width


def thickest(inner: ArrayLike, d_o: ArrayLike) -> Array:
    """How thick strips on the inner layer may be and still stand while they are wound over.

    Parameters
    ----------
    inner, d_o : array_like [m]
        As for `strip_width`.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> thickest([0.180, 0.080], 0.010).round(4).tolist()
    [0.0225, 0.0164]
    """
    return STANDS * strip_width(inner, d_o)


def widest_over(inner: ArrayLike, d_o: ArrayLike, card: float) -> Array:
    """Largest form of an outer layer that strips can make.

    Parameters
    ----------
    inner, d_o : array_like [m]
        As for `strip_width`.
    card : float [m]
        Thickness of the turn of card over the strips.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    Two tubes, two strips of 22.5 mm and card on 180 mm:

    >>> round(float(widest_over(0.180, 0.010, 0.003)), 4)
    0.251
    """
    inner, d_o = floats(inner, d_o)
    return inner + 2.0 * (d_o + thickest(inner, d_o) + card)


def how_many(inner: ArrayLike, outer: ArrayLike, d_o: ArrayLike) -> Array:
    """Strips round the inner layer, an even number, so that the tube lies round from each to the next: free
    over a chord c it lies c^2/(4 D) inside its circle.

    Parameters
    ----------
    inner, outer, d_o : array_like [m]
        As for `strips`.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    340 mm across, a chord of 52 mm lies 2 mm inside; with strips of 15 that is 16 round:

    >>> how_many([0.280, 0.150], [0.340, 0.200], 0.010).tolist()
    [16.0, 12.0]
    """
    inner, outer, d_o = floats(inner, outer, d_o)
    chord = np.sqrt(4.0 * outer * SAGS) + strip_width(inner, d_o)
    return np.maximum(FEWEST, 2.0 * np.ceil(np.pi / 2.0 * outer / chord - 1e-9))


def thick_ones(inner: ArrayLike, outer: ArrayLike, d_o: ArrayLike, card: float) -> Array:
    """All strips of a coil as so many of the thickest that stand: thin ones are less to saw and plane, and do
    not tip.

    Parameters
    ----------
    inner, outer, d_o : array_like [m]
    card : float [m]
        All as for `strips`.

    Returns
    -------
    Array [-], broadcast shape

    Examples
    --------
    14 strips of 12 mm, where 22.5 would stand, are 7.5 of those; where layers touch there are none:

    >>> thick_ones(0.200, [0.250, 0.220], 0.010, 0.003).round(1).tolist()
    [7.5, 0.0]
    """
    thick, _ = strips(inner, outer, d_o, card)
    share = np.maximum(room_left(thick), 0.0) / thickest(inner, d_o)
    return how_many(inner, outer, d_o) * share
