"""Coils in more or less wort than was told: its level moves with it, and what hangs on that.

The kettle is straight, so a little more wort lifts the surface by its volume over what the tube leaves of the
kettle's floor; past the edge of the top turn only the risers get wetter, below it the turns.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optichill.arrays import Array
from optichill.thermal.coil_performance import Coils

RISERS = 2.0
"""Of every tube that leave the wort at its surface: water comes in and goes out over the rim."""

MOST_STRANDED = 0.95
"""Share of the wort above a coil, at most: as rating.chilled_coil has it."""


LEAST_WET = 0.1
"""Share of the tube under wort as it was told that stays wet, however little wort there is."""


def filled(coils: Coils, mass: Array, volume: float, area: float) -> Coils:
    """The same coils in so many times the wort.

    Parameters
    ----------
    coils : Coils
        Shape (designs,), as they stand in `volume`.
    mass : Array [-]
        How many times as much wort there is, shape (designs,).
    volume : float [m3]
        Chilled wort as it was told, without the coil.
    area : float [m2]
        The kettle's floor.

    Returns
    -------
    Coils
        With another wetted length, wort above the coil, and risers in it.

    Examples
    --------
    20 L on half a square metre: 4 cm. Two per cent more are 0.8 mm more over a coil 30 mm under, of a tube so
    thin that it takes no room: 30.8 mm of 40.8 mm:

    >>> coil = Coils.of(d_o=1e-5, d_i=8e-6, k=339.0, D_c=0.25, pitch=0.014, wetted_length=6.0,
    ...                 tube_length=9.0, metal_capacity=1200.0, stranded=0.75)
    >>> filled(coil, np.array([1.02]), 0.02, 0.5).stranded.round(4).tolist()
    [0.7549]
    """
    section = np.pi / 4.0 * coils.d_o**2
    wet, tubes = coils.wetted_length, coils.summed("wetted_length")
    each = wet / np.maximum(tubes, 1e-9)
    risers = RISERS * (len(wet) if coils.parallel else 1) * each
    level = (volume + _summed(coils, section * wet)) / area
    # Of what is added, the tube that it wets takes a part: by risers above the top turn, by turns below.
    over, among = (area - _summed(coils, section * rate) for rate in (risers, coils.per_height))
    cover = coils.of_design("over") * level
    added = volume * (mass - 1.0) + cover * np.where(cover > 0.0, over, among)
    now = added / np.where(added > 0.0, over, among)
    in_risers = risers * (np.maximum(now, 0.0) - np.maximum(cover, 0.0))
    # The turns' tube is counted to its centre, half a tube below its edge.
    dry, now_dry = (np.minimum(h + coils.d_o / 2.0, 0.0) for h in (cover, now))
    wetter = np.maximum(wet + in_risers + coils.per_height * (now_dry - dry), LEAST_WET * wet)
    above = np.broadcast_to(now / (level + now - cover), wet.shape)
    return replace(
        coils,
        wetted_length=wetter,
        over=above,
        stranded=np.clip(above, 0.0, MOST_STRANDED),
        # Of a coil that hangs in no wort at all nothing is a riser's.
        riser_share=np.clip((coils.riser_share * wet + in_risers) / np.maximum(wetter, 1e-9), 0.0, 1.0),
    )


def _summed(coils: Coils, per_tube: Array) -> Array:
    """Over a design's tubes; shape (designs,)."""
    return np.asarray(per_tube.sum(axis=0) if coils.parallel else per_tube)
