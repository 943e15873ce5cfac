"""Tube that goes into a bend: its arc, its set-back from the corner, and what it saves against the corner."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats


def bend_arc(R: ArrayLike, angle: ArrayLike) -> Array:
    """Tube in a bend, R angle.

    Parameters
    ----------
    R : array_like [m]
        Centre line radius.
    angle : array_like [rad]
        Turned through.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    >>> round(float(bend_arc(0.024, np.pi / 2)), 4)
    0.0377
    """
    R, angle = floats(R, angle)
    return R * angle


def bend_set_back(R: ArrayLike, angle: ArrayLike) -> Array:
    """From the corner of the two straight lines to where the bend begins, R tan(angle/2).

    Parameters
    ----------
    R : array_like [m]
        Centre line radius.
    angle : array_like [rad]
        Turned through, below pi.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    R itself at a square bend:

    >>> round(float(bend_set_back(0.024, np.pi / 2)), 6)
    0.024
    """
    R, angle = floats(R, angle)
    return R * np.tan(angle / 2.0)


def bend_gain(R: ArrayLike, angle: ArrayLike) -> Array:
    """Tube that a bend saves against the sharp corner, 2 R tan(angle/2) - R angle.

    Parameters
    ----------
    R : array_like [m]
        Centre line radius.
    angle : array_like [rad]
        Turned through, below pi.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    2 x 24 - 37.7 mm:

    >>> round(float(bend_gain(0.024, np.pi / 2)), 4)
    0.0103
    """
    return 2.0 * bend_set_back(R, angle) - bend_arc(R, angle)


def cut_length(straights: ArrayLike, R: ArrayLike, angles: ArrayLike) -> Array:
    """Straight tube needed for straights measured corner to corner with bends between them.

    Parameters
    ----------
    straights : array_like [m]
        Shape (n,) or (n, N), corner to corner, the pieces on axis 0.
    R : array_like [m]
        Centre line radius, scalar or (N,).
    angles : array_like [rad]
        Angle of each bend, shape (n - 1,) or (n - 1, N).

    Returns
    -------
    Array [m], shape () or (N,)

    Examples
    --------
    30 + 375 + 163 mm with two square bends of 24 mm, each saving 10.3 mm:

    >>> round(float(cut_length([0.030, 0.375, 0.163], 0.024, [np.pi / 2, np.pi / 2])), 4)
    0.5474
    """
    straights, angles = floats(straights, angles)
    if straights.ndim == 2 and angles.ndim == 1:
        angles = angles[:, None]
    length: Array = straights.sum(axis=0) - bend_gain(R, angles).sum(axis=0)
    return length
