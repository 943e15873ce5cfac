"""Coils that stand in a kettle as the physics sees them, and the limits that hang on their chill.

A nested coil is one mean tube, diameter and speed averaged over its length: with the outside isothermal only
the sum of U A counts, and two tubes in series come within 1 %. Of two tubes in parallel the wetted length is
shared out by the turns of each; risers are shared the same way (0.1 % of the time).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, floats
from optichill.correlations import layers
from optichill.model.wishes import Limits
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks
from optichill.problem.placement import Placement, Shape
from optichill.rating.likely import Samples
from optichill.rating.vessels import borne
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.cooldown import LONGEST, Chill
from optichill.thermal.filled import MOST_STRANDED


def physical(
    basis: DesignBasis,
    shape: Shape,
    placement: Placement,
    conductivity: Array,
    metal_per_length: Array,
    valve_share: Array,
) -> Coils:
    """Coils that stand in the kettle as the physics sees them; all of them two tubes in parallel, or none."""
    over = _over(placement.chilled_level, placement.top, shape.d_o)
    common = {
        "d_o": shape.d_o,
        "d_i": shape.d_i,
        "k": conductivity,
        "stranded": np.clip(over, 0.0, MOST_STRANDED),
        "over": over,
        "riser_share": placement.risers_above / np.maximum(placement.wetted, 1e-9),
        "valve_share": valve_share,
    }
    outer, inner = shape.layer_lengths
    # Turns stand evenly; a bottom riser climbs beside them where the tube does not cross below.
    per_height = (outer + inner) / shape.climb + np.where(
        shape.crosses, 0.0, np.where(shape.on_tees, 2.0, 1.0)
    )
    if shape.D_in is None:
        return Coils.of(
            **common,
            per_height=per_height,
            D_c=shape.D_c,
            pitch=shape.pitch,
            wetted_length=placement.wetted,
            tube_length=placement.tube_length,
            metal_capacity=metal_per_length * placement.tube_length,
        )
    crowded = np.where(shape.layered, layers.film_share(shape.innermost, shape.D_c, shape.d_o), 1.0)
    if not shape.on_tees.any():
        whole = outer + inner
        return Coils.of(
            **common,
            per_height=per_height,
            D_c=(outer * shape.D_c + inner * shape.innermost) / whole,
            pitch=(outer * shape.pitch + inner * shape.inner_pitch) / whole,
            wetted_length=placement.wetted,
            tube_length=placement.tube_length,
            metal_capacity=metal_per_length * placement.tube_length,
            film_share=crowded,
            speed_share=layers.mean_speed_share(inner, outer),
        )
    pieces = np.stack([placement.tube_length - placement.inner_length, placement.inner_length])
    # Each tube is wetted in the share of its own turns and risers.
    each = np.stack([outer, inner]) / (outer + inner)
    return Coils.of(
        **common,
        per_height=per_height * each,
        D_c=np.stack([shape.D_c, shape.innermost]),
        pitch=np.stack([shape.pitch, shape.inner_pitch]),
        wetted_length=placement.wetted * each,
        tube_length=pieces,
        metal_capacity=metal_per_length * pieces,
        film_share=crowded,
        speed_share=np.stack([np.ones_like(outer), np.full_like(inner, layers.INNER_SPEED)]),
    )


def stranded_share(level: Array, top: Array, d_o: Array) -> Array:
    """Share of the wort that stands above the top turn, where plumes do not reach it [-]."""
    return np.clip(_over(*floats(level, top, d_o)), 0.0, MOST_STRANDED)


def _over(level: Array, top: Array, d_o: Array) -> Array:
    """Height of the level above the top turn's upper edge as a share of it [-], below 0 where that
    stands out."""
    return np.asarray((level - top - d_o / 2.0) / level)


UNTOLD = -np.inf
"""Value of a limit that hangs on the end of a chill that never ends: it breaks nothing and is not told."""

OUT_OF_REACH = 1.01 * LONGEST
"""Stands for the time [s] that is kept with its chance where so many draws do not get there: it breaks every
limit on time, for none is longer than a chill is followed."""


def time_checks(basis: DesignBasis, result: Chill, drawn: Samples) -> Checks:
    """The limit on time, held against what is kept with its chance over all draws."""
    limits = basis.brewhouse.limits
    checks = Checks(result.time.shape)
    kept = np.minimum(drawn.as_built().quantile("time", limits.sure), OUT_OF_REACH)
    checks.at_most("chill_time", np.where(np.isfinite(result.time), kept, UNTOLD), limits.chill_time)
    return checks


def chill_checks(
    basis: DesignBasis, scenario: Scenario, result: Chill, kept: ArrayLike | None = None
) -> Checks:
    """chill_time, target, water, and what pump and bucket stand. A chill that never ends breaks `target`; the
    others have no value then (UNTOLD). kept : time [s] that is kept with the chance asked for, where it is
    known."""
    limits: Limits = basis.brewhouse.limits
    checks = Checks(result.time.shape)
    reached = np.isfinite(result.time)
    # How close it gets is found for the few designs that are shown; here only whether it does.
    checks.at_most("target", np.where(reached, scenario.T_target, np.inf), scenario.T_target)
    time = result.time if kept is None else np.minimum(kept, OUT_OF_REACH)
    checks.at_most("chill_time", np.where(reached, time, UNTOLD), limits.chill_time)
    checks.at_most("water", np.where(reached, result.water, UNTOLD), limits.water)
    for name, (value, bound) in borne(basis, result).items():
        checks.at_most(name, np.where(reached, value, UNTOLD), bound)
    return checks
