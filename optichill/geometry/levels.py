"""Where the wort stands round a coil, and how much of its tube is under.

The kettle is a round, straight pot of inside diameter D_kettle; heights are above its floor. Coils of several
layers: give pitch, turns and diameter with the layers on axis 0, shape (layers, N).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.geometry.helix import top_turn_height, turn_length, wetted_turns
from optichill.geometry.risers import (
    submerged_riser_length,
)


def bare_level(volume: ArrayLike, D_kettle: ArrayLike) -> Array:
    """Depth of a volume of wort without the coil.

    Parameters
    ----------
    volume : array_like [m3]
    D_kettle : array_like [m]
        Inside diameter.

    Returns
    -------
    Array [m], broadcast shape

    Examples
    --------
    20 L in a kettle 36 cm wide:

    >>> round(float(bare_level(0.020, 0.36)), 4)
    0.1965
    """
    volume, D_kettle = floats(volume, D_kettle)
    return volume / (np.pi / 4.0 * D_kettle**2)


@dataclass(frozen=True)
class SunkTube:
    """The tube that may stand under the surface. Fields broadcast; layers on axis 0 of the first four.

    lowest_turn_height, pitch [m], turns [-], mean_diameter [m], d_o [m]; bottom_risers and top_risers
    count the risers that start at the lowest and at the highest turn of each layer (single 1 and 1;
    nested: 0 and 1 a layer; parallel 1 and 1 a layer).

    Examples
    --------
    Eight turns of 10 mm tube, 25 cm across the centres, 3 to 15 cm above the floor, both risers:

    >>> tube = SunkTube(0.03, 0.015, 8.0, 0.25, 0.010)
    """

    lowest_turn_height: ArrayLike
    pitch: ArrayLike
    turns: ArrayLike
    mean_diameter: ArrayLike
    d_o: ArrayLike
    bottom_risers: ArrayLike = 1.0
    top_risers: ArrayLike = 1.0


def _over_layers(per_layer: Array) -> Array:
    """The sum over the layers, where there are several."""
    return per_layer.sum(axis=0) if per_layer.ndim == 2 else per_layer


def level_with_coil(volume: ArrayLike, D_kettle: ArrayLike, tube: SunkTube, rounds: int = 4) -> Array:
    """Level of a volume of wort with the coil in.

    Solves pi/4 D^2 level = volume + tube below the level. The tube's volume grows in straight pieces (the
    small saving in the risers' bends, less than 0.1 mm of level, is left out), so Newton's step lands on the
    answer as soon as it is on the right piece; a coil is a small part of the kettle and two or three steps
    do; `rounds` leaves one in hand.

    Parameters
    ----------
    volume : array_like [m3]
    D_kettle : array_like [m]
        Inside diameter.
    tube : SunkTube
    rounds : int
        Newton's steps.

    Returns
    -------
    Array [m], shape () or (N,)

    Examples
    --------
    20 L, 6.28 m of turns and two risers: (0.020 + 78.5e-6 (6.284 - 0.03 - 0.15)) / (0.10179 - 2 x 78.5e-6):

    >>> tube = SunkTube(0.03, 0.015, 8.0, 0.25, 0.010)
    >>> round(float(level_with_coil(0.020, 0.36, tube)), 4)
    0.2015
    """
    h_0, p, N, D_c = floats(tube.lowest_turn_height, tube.pitch, tube.turns, tube.mean_diameter)
    volume, D_kettle, d_o, below, above = floats(
        volume, D_kettle, tube.d_o, tube.bottom_risers, tube.top_risers
    )
    kettle, cross_section = np.pi / 4.0 * D_kettle**2, np.pi / 4.0 * d_o**2
    top, per_height = top_turn_height(h_0, p, N), turn_length(D_c, p) / p
    level = volume / kettle
    for _ in range(rounds):
        in_turns, over_top = level > h_0, level > top
        wet = per_height * np.clip(level - h_0, 0.0, N * p)
        wet = wet + below * np.maximum(level - h_0, 0.0) + above * np.maximum(level - top, 0.0)
        slope = np.where(over_top, above, per_height) * in_turns + below * in_turns
        length, rise = _over_layers(wet), _over_layers(slope)
        level = level - (kettle * level - volume - cross_section * length) / (kettle - cross_section * rise)
    return level


def level_covering(volume: ArrayLike, D_kettle: ArrayLike, tube: SunkTube, top_clearance: ArrayLike) -> Array:
    """Level when the coil hangs with its top turn's upper edge a clearance under the surface.

    All turns are under, so the submerged tube is known beforehand and nothing is to be solved; the
    lowest_turn_height of `tube` is not used. With layers, the tallest sets the depth.

    Parameters
    ----------
    volume : array_like [m3]
    D_kettle : array_like [m]
        Inside diameter.
    tube : SunkTube
    top_clearance : array_like [m]

    Returns
    -------
    Array [m], shape () or (N,)

    Examples
    --------
    20 L and, under 78.5 mm2, 6.284 + 0.14 + 0.02 m of turns and risers:

    >>> tube = SunkTube(0.0, 0.015, 8.0, 0.25, 0.010)
    >>> round(float(level_covering(0.020, 0.36, tube, 0.015)), 4)
    0.2015
    """
    p, N, D_c, d_o = floats(tube.pitch, tube.turns, tube.mean_diameter, tube.d_o)
    volume, below, above, cover = floats(volume, tube.bottom_risers, tube.top_risers, top_clearance)
    cover = cover + d_o / 2.0
    climb = N * p
    tallest = climb.max(axis=0) if climb.ndim == 2 else climb
    wet = N * turn_length(D_c, p) + below * (tallest + cover) + above * (tallest + cover - climb)
    return bare_level(volume + np.pi / 4.0 * d_o**2 * _over_layers(wet), D_kettle)


def submerged_length(level: ArrayLike, tube: SunkTube, R_b: ArrayLike) -> Array:
    """Tube under the surface, turns and risers, all layers: the wetted length of the physics.

    Parameters
    ----------
    level : array_like [m]
        Surface, above the floor.
    tube : SunkTube
    R_b : array_like [m]
        Bend radius of the risers, above 0.

    Returns
    -------
    Array [m], shape () or (N,)

    Examples
    --------
    8 turns of 0.7855 m; risers 171.5 and 51.5 mm deep, of which 40 mm as a quarter circle of 62.8:

    >>> tube = SunkTube(0.03, 0.015, 8.0, 0.25, 0.010)
    >>> round(float(submerged_length(0.2015, tube, 0.04)), 2)
    6.55
    """
    h_0, p, N, D_c = floats(tube.lowest_turn_height, tube.pitch, tube.turns, tube.mean_diameter)
    below, above = floats(tube.bottom_risers, tube.top_risers)
    wet = wetted_turns(h_0, p, N, level) * turn_length(D_c, p)
    wet = wet + below * submerged_riser_length(h_0, level, R_b)
    wet = wet + above * submerged_riser_length(top_turn_height(h_0, p, N), level, R_b)
    return _over_layers(wet)


def wet_share(level: ArrayLike, tube: SunkTube) -> Array:
    """Share of the turns' tube that is under the surface, all layers together.

    Parameters
    ----------
    level : array_like [m]
        Surface, above the floor.
    tube : SunkTube

    Returns
    -------
    Array [-], shape () or (N,), 0 to 1

    Examples
    --------
    Four of eight turns:

    >>> round(float(wet_share(0.09, SunkTube(0.03, 0.015, 8.0, 0.25, 0.010))), 6)
    0.5
    """
    h_0, p, N, D_c = floats(tube.lowest_turn_height, tube.pitch, tube.turns, tube.mean_diameter)
    per_turn = turn_length(D_c, p)
    return _over_layers(wetted_turns(h_0, p, N, level) * per_turn) / _over_layers(N * per_turn)
