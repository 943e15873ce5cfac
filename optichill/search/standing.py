"""How coils of known shape stand in the kettle: heights, levels, wetted tube, and the checks on the fit.

Serves coils that are searched and coils that exist alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from optichill.build import fit, helix, risers
from optichill.build.helix import Array
from optichill.search.limits import Checks
from optichill.search.setting import Setting

LEVEL_ROUNDS = 2
"""Steps to a level: the first lands on it for a coil that is all under, the second where it is not."""


@dataclass(frozen=True)
class Shape:
    """Relaxed coils, arrays of shape (designs,), SI; R_b radius of the bends up to the rim."""

    d_o: Array
    d_i: Array
    D_c: Array
    pitch: Array
    turns: Array
    R_b: Array

    def sunk(self, lowest: ArrayLike) -> fit.SunkTube:
        """As the fit sees them, lowest turn at `lowest` [m]."""
        return fit.SunkTube(lowest, self.pitch, self.turns, self.D_c, self.d_o)


@dataclass(frozen=True)
class Standing:
    """Shapes in the kettle. Heights above the floor [m]: lowest and top turn (tube centre), levels hot and
    cold with the coil in; wetted length of tube under the cold level [m], its share of the turns [-];
    riser_in, riser_out [m] without trim; tube_length: the cut length [m]."""

    lowest: Array
    top: Array
    hot_level: Array
    cold_level: Array
    wetted: Array
    wet_share: Array
    riser_in: Array
    riser_out: Array
    tube_length: Array


def stand(setting: Setting, shape: Shape, lowest: ArrayLike | None = None) -> Standing:
    """Put the coils into the kettle, as `coil_rests` says or with the lowest turn at `lowest` [m]."""
    kettle = setting.brewhouse.kettle
    D = kettle.inside_diameter
    if lowest is None:
        lowest = _lowest(setting, shape)
    lowest = np.broadcast_to(np.asarray(lowest, dtype=np.float64), shape.d_o.shape)
    tube = shape.sunk(lowest)
    cold = fit.level_with_coil(setting.cold_volume, D, tube, rounds=LEVEL_ROUNDS)
    hot = fit.level_with_coil(setting.hot_volume, D, tube, rounds=LEVEL_ROUNDS)
    top = helix.top_turn_height(lowest, shape.pitch, shape.turns)
    riser_in, riser_out = _risers(setting, shape, lowest, top)
    length = helix.helix_length(shape.D_c, shape.pitch, shape.turns)
    return Standing(
        lowest=lowest,
        top=top,
        hot_level=hot,
        cold_level=cold,
        wetted=fit.submerged_length(cold, tube, shape.R_b),
        wet_share=fit.wet_share(cold, tube),
        riser_in=riser_in,
        riser_out=riser_out,
        tube_length=risers.tube_length(length, riser_in + riser_out),
    )


def _lowest(setting: Setting, shape: Shape) -> Array:
    kettle = setting.brewhouse.kettle
    if kettle.coil_rests == "hangs":
        return fit.hanging_height(
            setting.cold_volume,
            kettle.inside_diameter,
            shape.sunk(0.0),
            kettle.top_clearance,
            setting.floor_part,
        )
    return fit.standing_height(kettle.coil_rests, kettle.floor_clearance, setting.floor_part, shape.d_o)


def _risers(setting: Setting, shape: Shape, lowest: Array, top: Array) -> tuple[Array, Array]:
    """Bottom and top riser [m] without trim."""
    kettle, shop = setting.brewhouse.kettle, setting.brewhouse.workshop
    outside = risers.riser_axis_radius(shape.D_c / 2.0, shape.R_b)
    inside = risers.inside_riser_axis_radius(shape.D_c / 2.0, shape.d_o)
    bottom = inside if shop.riser == "inside" else outside
    wall = kettle.inside_diameter / 2.0
    rim, over = kettle.inside_height, shop.over_the_rim
    return (
        risers.riser_length(lowest, rim, shape.R_b, over, wall - bottom),
        risers.riser_length(top, rim, shape.R_b, over, wall - outside),
    )


def fit_checks(setting: Setting, shape: Shape, standing: Standing) -> Checks:
    """Every limit that is only a matter of room."""
    kettle, shop = setting.brewhouse.kettle, setting.brewhouse.workshop
    D, d_o, D_c = kettle.inside_diameter, shape.d_o, shape.D_c
    checks = Checks(d_o.shape)
    checks.at_least(
        "wall",
        fit.wall_gap(D, D_c, d_o),
        fit.wall_gap_needed(kettle.wall_clearance, setting.parts, standing.lowest, d_o),
    )
    floor_needed = fit.floor_gap_needed(kettle.coil_rests, kettle.floor_clearance, setting.floor_part)
    checks.at_least("floor", fit.floor_gap(standing.lowest, d_o), floor_needed)
    opposite = np.abs(shape.turns % 1.0 - 0.5) < 0.25  # half a turn over brings the risers apart
    across = fit.across_with_risers(D_c, shape.R_b, d_o, opposite)
    checks.at_most("mouth", across, kettle.mouth)
    checks.at_least(
        "submergence", fit.submergence(standing.cold_level, standing.top, d_o), kettle.top_clearance
    )
    checks.at_least("riser_gap", fit.riser_gap(D, D_c, shape.R_b, d_o), fit.riser_gap_needed())
    checks.at_least(
        "riser_height", risers.riser_straight_height(standing.top, kettle.inside_height, shape.R_b), 0.0
    )
    checks.at_least("headspace", fit.headspace(kettle.inside_height, standing.hot_level), shop.headspace)
    checks.at_least("gap", helix.clear_gap(shape.pitch, d_o), shop.smallest_gap)
    if setting.centre_part > 0.0:
        checks.at_least("centre", fit.centre_gap(D_c, d_o, setting.centre_part), fit.AIR_AROUND_PART)
    return checks
