"""How coils of known shape stand in the kettle: heights, levels, wetted tube, and the checks on the fit.

Serves coils that are searched and coils that exist alike.

Of two tubes on tees the inner one's bottom riser climbs between the layers, which sets their distance. A
riser that climbs inside must clear what stands in the kettle's centre, as the turns must; a centre part lower
than the coil's underside is in nobody's way. The mouth must pass the turns with their outside risers also
where the tube springs most: unlike the room to the wall nothing of it is a wish. Under a mouth that is
narrower than the kettle the coil stands so far to one side that its riser clears the lip.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from optichill.arrays import Array, Mask
from optichill.geometry import fit, helix, levels, risers, standing
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks

LEVEL_ROUNDS = 2
"""Steps to a level: the first lands on it for a coil that is all under, the second where it is not."""


@dataclass(frozen=True)
class Shape:
    """Relaxed coils, arrays of shape (designs,), SI; R_b radius of the bends up to the rim.

    Of two layers D_c is the outer one's; D_in the inner one's, 0 where there is none, or None where no design
    has one. Both have the same pitch and turns, unless pitch_in and turns_in say otherwise. parallel: two
    tubes on tees; else one tube, down on the inner layer and up on the outer. D_c_wide: the outer diameter
    of tube that springs most, of coils that are still to be wound.
    """

    d_o: Array
    d_i: Array
    D_c: Array
    pitch: Array
    turns: Array
    R_b: Array
    D_in: Array | None = None
    parallel: Mask | None = None
    pitch_in: Array | None = None
    turns_in: Array | None = None
    D_c_wide: Array | None = None

    @property
    def as_it_is(self) -> Shape:
        """Coils that exist: as wide as they are said to be."""
        return replace(self, D_c_wide=None)

    @property
    def widest(self) -> Array:
        """Outer coil diameter where the tube springs most [m]; of a coil that exists the one that it has."""
        return self.D_c if self.D_c_wide is None else self.D_c_wide

    @property
    def layered(self) -> Mask:
        """Where there are two layers."""
        return np.zeros(self.d_o.shape, dtype=bool) if self.D_in is None else self.D_in > 0.0

    @property
    def on_tees(self) -> Mask:
        """Where there are two tubes."""
        return np.zeros(self.d_o.shape, dtype=bool) if self.parallel is None else self.parallel

    @property
    def crosses(self) -> Mask:
        """Where one tube makes two layers and crosses between them underneath: no riser comes up from below,
        both ends leave from the top."""
        return self.layered & ~self.on_tees

    @property
    def innermost(self) -> Array:
        """Coil diameter of the innermost layer [m]."""
        return self.D_c if self.D_in is None else np.where(self.layered, self.D_in, self.D_c)

    @property
    def inner_pitch(self) -> Array:
        """Pitch of the inner layer [m]."""
        return self.pitch if self.pitch_in is None else self.pitch_in

    @property
    def inner_turns(self) -> Array:
        """Turns of the inner layer, 0 where there is none."""
        turns = self.turns if self.turns_in is None else self.turns_in
        return np.where(self.layered, turns, 0.0)

    @property
    def climb(self) -> Array:
        """Height of the taller layer, centre to centre [m]."""
        return np.maximum(self.turns * self.pitch, self.inner_turns * self.inner_pitch)

    @property
    def layer_lengths(self) -> tuple[Array, Array]:
        """Tube in the turns of the outer and of the inner layer [m]."""
        inner = helix.helix_length(self.innermost, self.inner_pitch, self.inner_turns)
        return helix.helix_length(self.D_c, self.pitch, self.turns), inner

    @property
    def crossing(self) -> Array:
        """Tube that leads from the inner to the outer layer underneath [m], 0 where none does."""
        return np.where(self.crosses, helix.nested_crossing_length(self.innermost, self.D_c), 0.0)

    def sunk(self, lowest: ArrayLike) -> levels.SunkTube:
        """As the fit sees them, lowest turn at `lowest` [m]; layers on axis 0 where there are any."""
        if self.D_in is None:
            return levels.SunkTube(lowest, self.pitch, self.turns, self.D_c, self.d_o)
        two, below = self.layered, np.where(self.crosses, 0.0, 1.0)
        return levels.SunkTube(
            lowest,
            np.stack([self.pitch, self.inner_pitch]),
            np.stack([self.turns, self.inner_turns]),
            np.stack([self.D_c, self.innermost]),
            self.d_o,
            bottom_risers=np.stack([below, np.where(two, below, 0.0)]),
            top_risers=np.stack([np.ones_like(below), two.astype(np.float64)]),
        )


@dataclass(frozen=True)
class Placement:
    """Shapes in the kettle. Heights above the floor [m]: lowest and top turn (tube centre), levels hot
    (largest batch), cold (smallest batch) and of the largest batch when chilled, all with the coil in;
    wetted length of tube in the largest batch when chilled [m], of it the risers' above the top turn
    (risers_above), its share of the turns [-]; riser_in,
    riser_out [m] without trim, of two tubes the outer one's, inner_risers both of the inner tube's;
    tube_length: all tube cut, inner_length: of it the inner tube's [m], 0 without one."""

    lowest: Array
    top: Array
    hot_level: Array
    cold_level: Array
    chilled_level: Array
    wetted: Array
    risers_above: Array
    wet_share: Array
    riser_in: Array
    riser_out: Array
    inner_risers: Array
    tube_length: Array
    inner_length: Array


def place_coils(
    basis: DesignBasis,
    shape: Shape,
    lowest: ArrayLike | None = None,
    beside: Sequence[DesignBasis] = (),
) -> Placement:
    """Put the coils into the kettle, as `coil_rests` says or with the lowest turn at `lowest` [m]; beside :
    other kettles whose rims their risers must suit too."""
    D = basis.brewhouse.kettle.inside_diameter
    if lowest is None:
        lowest = _lowest(basis, shape)
    lowest = np.broadcast_to(np.asarray(lowest, dtype=np.float64), shape.d_o.shape)
    tube = shape.sunk(lowest)

    def level(volume: float) -> Array:
        return levels.level_with_coil(volume, D, tube, rounds=LEVEL_ROUNDS)

    cold, hot = level(basis.cold_volume), level(basis.hot_volume)
    chilled = cold if basis.chilled_volume == basis.cold_volume else level(basis.chilled_volume)
    top = lowest + shape.climb
    of_risers = _risers(basis, shape, lowest, beside)
    riser_in, riser_out, inner_risers = of_risers
    tube_length, inner_length = _cut(shape, of_risers)
    wetted = levels.submerged_length(chilled, tube, shape.R_b)
    # Up to the upper edge of the top turn: from there on wort that is left alone stays hot.
    to_top = levels.submerged_length(np.minimum(chilled, top + shape.d_o / 2.0), tube, shape.R_b)
    return Placement(
        lowest=lowest,
        top=top,
        hot_level=hot,
        cold_level=cold,
        chilled_level=chilled,
        wetted=wetted + shape.crossing,
        risers_above=wetted - to_top,
        wet_share=levels.wet_share(chilled, tube),
        riser_in=riser_in,
        riser_out=riser_out,
        inner_risers=inner_risers,
        tube_length=tube_length,
        inner_length=inner_length,
    )


def tube_to_cut(basis: DesignBasis, shape: Shape, beside: Sequence[DesignBasis] = ()) -> tuple[Array, Array]:
    """All tube that the coils take, and of it an inner tube's [m], as `place_coils` has them, without the
    levels of the wort."""
    lowest = np.broadcast_to(_lowest(basis, shape), shape.d_o.shape)
    return _cut(shape, _risers(basis, shape, lowest, beside))


def _cut(shape: Shape, of_risers: tuple[Array, Array, Array]) -> tuple[Array, Array]:
    """All tube cut, and of it the inner tube's, 0 without one [m]."""
    riser_in, riser_out, inner_risers = of_risers
    outer, inner = shape.layer_lengths
    tees = shape.on_tees
    inner_length = np.where(tees, risers.tube_length(inner, inner_risers), 0.0)
    one_tube = risers.tube_length(outer + np.where(tees, 0.0, inner) + shape.crossing, riser_in + riser_out)
    return one_tube + inner_length, inner_length


def _lowest(basis: DesignBasis, shape: Shape) -> Array:
    kettle = basis.brewhouse.kettle
    if kettle.coil_rests == "hangs":
        return standing.hanging_height(
            basis.cold_volume,
            kettle.inside_diameter,
            shape.sunk(0.0),
            kettle.top_clearance,
            basis.floor_part,
        )
    return standing.standing_height(kettle.coil_rests, kettle.floor_clearance, basis.floor_part, shape.d_o)


def _up_to_the_rim(basis: DesignBasis, shape: Shape, beside: Sequence[DesignBasis]) -> Array:
    """Height of the rim over the lowest turn [m], the greatest of all kettles: there the risers bend."""
    rims = (of.brewhouse.kettle.inside_height - _lowest(of, shape) for of in (basis, *beside))
    return np.asarray(np.max([np.broadcast_to(rim, shape.d_o.shape) for rim in rims], axis=0))


def _risers(
    basis: DesignBasis, shape: Shape, lowest: Array, beside: Sequence[DesignBasis]
) -> tuple[Array, Array, Array]:
    """Inlet and outlet riser [m] without trim, and the sum of those of an inner tube.

    Water comes in at the bottom of each tube, but at the top of the inner layer where the tube crosses below.
    Up they are as long as the tallest rim asks, and out as the widest: one of each may be another kettle's.
    """
    kettle, shop = basis.brewhouse.kettle, basis.brewhouse.workshop
    wall, rim, over = kettle.inside_diameter / 2.0, np.asarray(kettle.inside_height), shop.over_the_rim
    if beside:
        rim = lowest + _up_to_the_rim(basis, shape, beside)
        houses = [of.brewhouse for of in (basis, *beside)]
        wall, over = max((h.kettle.inside_diameter / 2.0 + h.workshop.over_the_rim, 0.0) for h in houses)

    def length(height: Array, axis: Array) -> Array:
        return risers.riser_length(height, rim, shape.R_b, over, wall - axis)

    axis = risers.riser_axis_radius(shape.D_c / 2.0, shape.R_b)
    bottom = _bottom_axis(shape.D_c / 2.0, shape.pitch, shape, shop.riser)
    riser_in, riser_out = length(lowest, bottom), length(lowest + shape.turns * shape.pitch, axis)
    if shape.D_in is None:
        return riser_in, riser_out, np.zeros_like(riser_in)
    axis_in = risers.riser_axis_radius(shape.innermost / 2.0, shape.R_b)
    bottom_in = _bottom_axis(shape.innermost / 2.0, shape.inner_pitch, shape, shop.riser)
    inner_top = length(lowest + shape.inner_turns * shape.inner_pitch, axis_in)
    inner_risers = np.where(shape.on_tees, length(lowest, bottom_in) + inner_top, 0.0)
    return np.where(shape.crosses, inner_top, riser_in), riser_out, inner_risers


def _bottom_axis(R_c: Array, pitch: Array, shape: Shape, riser: str) -> Array:
    """Distance from the coil's axis of the riser that comes up from the lowest turn [m]."""
    if riser == "inside":
        return risers.inside_riser_axis_radius(R_c, shape.d_o)
    return risers.passing_riser_axis_radius(R_c, shape.R_b, shape.d_o, pitch)


def fit_checks(basis: DesignBasis, shape: Shape, placement: Placement) -> Checks:
    """Every limit that is only a matter of room."""
    checks = Checks(shape.d_o.shape)
    for check in FIT_CHECKS:
        check(checks, basis, shape, placement)
    return checks


def _in_kettle(checks: Checks, basis: DesignBasis, shape: Shape, placement: Placement) -> None:
    """Room to wall, floor, mouth and rim, and between turns."""
    kettle, shop = basis.brewhouse.kettle, basis.brewhouse.workshop
    D, d_o, D_c = kettle.inside_diameter, shape.d_o, shape.D_c
    opposite = risers_apart(shape)
    passing = fit.passes_outside(shape.crosses, shop.riser)
    to_wall = fit.riser_gap(D, D_c, shape.R_b, d_o, passing, shape.pitch)
    off = _off_the_middle(basis, shape, to_wall, opposite)
    checks.at_least(
        "wall",
        fit.wall_gap(D, D_c, d_o) - off,
        fit.wall_gap_needed(kettle.wall_clearance, basis.parts, placement.lowest, d_o),
        fit.wall_gap_needed(0.0, basis.parts, placement.lowest, d_o),
    )
    floor_needed = fit.floor_gap_needed(kettle.coil_rests, kettle.floor_clearance, basis.floor_part)
    built_in = fit.floor_gap_needed(kettle.coil_rests, 0.0, basis.floor_part)
    checks.at_least("floor", fit.floor_gap(placement.lowest, d_o), floor_needed, built_in)
    across = fit.across_with_risers(shape.widest, shape.R_b, d_o, opposite, passing, shape.pitch)
    checks.at_most("mouth", across, kettle.mouth)
    checks.at_least(
        "submergence", fit.submergence(placement.cold_level, placement.top, d_o), kettle.top_clearance
    )
    checks.at_least("riser_gap", to_wall + off, fit.riser_gap_needed())
    checks.at_least(
        "riser_height", risers.riser_straight_height(placement.top, kettle.inside_height, shape.R_b), 0.0
    )
    checks.at_least("headspace", fit.headspace(kettle.inside_height, placement.hot_level), shop.headspace)
    checks.at_least("gap", helix.clear_gap(shape.pitch, d_o), shop.smallest_gap)


def risers_apart(shape: Shape) -> Mask:
    """Whether the risers stand opposite each other: half a turn over brings them apart."""
    return np.abs(shape.turns % 1.0 - 0.5) < 0.25


def off_the_middle(basis: DesignBasis, shape: Shape) -> Array:
    """How far from the kettle's middle the coils stand, away from their outermost riser, so that it clears
    a mouth that is narrower than the kettle [m]."""
    D, shop = basis.brewhouse.kettle.inside_diameter, basis.brewhouse.workshop
    passing = fit.passes_outside(shape.crosses, shop.riser)
    to_wall = fit.riser_gap(D, shape.D_c, shape.R_b, shape.d_o, passing, shape.pitch)
    return _off_the_middle(basis, shape, to_wall, risers_apart(shape))


def _off_the_middle(basis: DesignBasis, shape: Shape, to_wall: Array, opposite: Mask) -> Array:
    kettle = basis.brewhouse.kettle
    if kettle.mouth >= kettle.inside_diameter:
        return np.zeros(shape.d_o.shape)
    out = kettle.inside_diameter / 2.0 - to_wall - shape.d_o / 2.0
    at_top = risers.riser_axis_radius(shape.D_c / 2.0, shape.R_b)
    other_side = np.where(opposite, at_top, shape.D_c / 2.0)
    return fit.off_the_middle(kettle.mouth, out, other_side, shape.d_o)


def _round_centre(checks: Checks, basis: DesignBasis, shape: Shape, placement: Placement) -> None:
    """Room round what stands in the kettle's centre."""
    if basis.centre_part > 0.0:
        checks.at_least("centre", _to_centre(basis, shape, placement), fit.AIR_AROUND_PART)


def _between_layers(checks: Checks, basis: DesignBasis, shape: Shape, placement: Placement) -> None:
    """Room between the layers, and for a riser there."""
    if shape.D_in is not None:
        d_o = shape.d_o
        room = fit.layer_gap(shape.innermost, shape.D_c, d_o)
        inside = basis.brewhouse.workshop.riser == "inside"
        riser = fit.layer_gap_for_riser(shape.innermost, shape.R_b, d_o, inside, shape.inner_pitch)
        needed = np.where(shape.on_tees, riser, fit.LAYER_GAP)
        checks.at_least("layer_gap", np.where(shape.layered, room, np.inf), needed)


FIT_CHECKS: list[Callable[[Checks, DesignBasis, Shape, Placement], None]] = [
    _in_kettle,
    _round_centre,
    _between_layers,
]
"""What fit_checks goes through, from the wall inwards."""


def _to_centre(basis: DesignBasis, shape: Shape, placement: Placement) -> Array:
    """Gap between the innermost turns, or a riser inside them, and what stands in the centre that high."""
    riser_inside = ~shape.crosses & (basis.brewhouse.workshop.riser == "inside")
    gap = np.full(shape.d_o.shape, np.inf)
    for part in basis.parts:
        if part.where == "centre":
            mine = fit.centre_gap(shape.innermost, shape.d_o, part.size, riser_inside)
            reaches = part.height >= placement.lowest - shape.d_o / 2.0
            gap = np.minimum(gap, np.where(reaches, mine, np.inf))
    return gap
