"""A coil that is bent already, as it stands in another kettle.

Its turns may be set higher or lower and pulled open, for nothing; its risers are as long as they are, and
bent over the rim of the kettle that it was made for. Both bends stay: the level part of a riser must pass
over the new rim and end outside the new wall, or a joint hangs over the wort. How high it stands is free
between the floor and the surface of the wort.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from optichill.files.coil_file import as_written
from optichill.geometry import bend_allowance, risers
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil, CoilLayer
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.placement import Shape, fit_checks
from optichill.rating.coil_rating import placed

HAIR = 1e-6  # m


@dataclass(frozen=True)
class BentRiser:
    """One riser as it is bent, measured from where it leaves the turns.

    name : IN or OUT; layer : number of the layer that it leaves; from_top : from its highest turn, else from
    its lowest; over : height of the level part over that turn; ends : distance of its end from the coil's
    axis; straight : height over that turn to which it reaches with the bend at the rim straightened; radius :
    of its bends [m].
    """

    name: str
    layer: int
    from_top: bool
    over: float
    ends: float
    straight: float
    radius: float

    def foot(self, coil: Coil) -> float:
        """Height over the kettle's floor where it leaves the turns of a coil [m]."""
        turns = coil.layers[self.layer]
        return coil.lowest_turn_height + (turns.turns * turns.pitch if self.from_top else 0.0)


@dataclass(frozen=True)
class Hindrance:
    """What keeps a coil out of a kettle. name : of a limit of room, or below_rim, inside, dry, part, rim;
    value [m] : what is there, or the share of the turns that is wet; needed : what must be; of : which riser
    or part."""

    name: str
    value: float
    needed: float
    of: str = ""

    @property
    def short(self) -> float:
        """By how much it is missed [m]."""
        return abs(self.needed - self.value)


def bent_risers(basis: DesignBasis, coil: Coil) -> tuple[BentRiser, ...]:
    """The risers of a coil that was bent for the kettle of `basis`; of two tubes each has both."""
    R_b, rim = bend_radius(basis, coil), basis.brewhouse.kettle.inside_height
    found = []
    for name, layer, from_top in _ends(coil):
        length = coil.riser_length_in if name == "IN" else coil.riser_length_out
        riser = BentRiser(name, layer, from_top, 0.0, 0.0, 0.0, R_b)
        climb = rim + risers.ABOVE_RIM - riser.foot(coil)
        level = length - math.pi * R_b - (climb - 2.0 * R_b)
        straight = length - float(bend_allowance.bend_arc(R_b, math.pi / 2.0)) + R_b
        axis = _axis(basis, coil.layers[layer], coil.outer_diameter, R_b, from_top)
        # One that does not come over its own rim ends upright, where it ends.
        over = climb if level >= 0.0 else min(climb, straight)
        ends = axis + (R_b + level if level >= 0.0 else 0.0)
        found.append(BentRiser(name, layer, from_top, over, ends, straight, R_b))
    return tuple(found)


def bend_radius(basis: DesignBasis, coil: Coil) -> float:
    """Radius of the risers' bends [m]: as the file tells it, else by the tool at hand, no wider than the
    risers have room for."""
    if coil.riser_bend_radius is not None:
        return coil.riser_bend_radius
    climb = basis.brewhouse.kettle.inside_height + risers.ABOVE_RIM - coil.lowest_turn_height
    room = 0.45 * (climb - max(layer.turns * layer.pitch for layer in coil.layers))
    return min(float(placed(basis, coil)[0].R_b[0]), max(room, coil.outer_diameter))


def _ends(coil: Coil) -> list[tuple[str, int, bool]]:
    """Name, layer and place of every riser."""
    if LAYOUTS[coil.layout].crossing:
        return [("IN", 1, True), ("OUT", 0, True)]
    return [(name, n, name == "OUT") for n in range(len(coil.layers)) for name in ("IN", "OUT")]


def _axis(basis: DesignBasis, turns: CoilLayer, d_o: float, R_b: float, from_top: bool) -> float:
    """How far from the coil's axis a riser stands upright [m]."""
    R_c = turns.mean_diameter / 2.0
    if from_top:
        return float(risers.riser_axis_radius(R_c, R_b))
    if basis.brewhouse.workshop.riser == "inside":
        return float(risers.inside_riser_axis_radius(R_c, d_o))
    return float(risers.passing_riser_axis_radius(R_c, R_b, d_o, turns.pitch))


def too_short(
    basis: DesignBasis, coil: Coil, bent: tuple[BentRiser, ...]
) -> list[tuple[BentRiser, Hindrance]]:
    """Risers that do not bring their joint outside the kettle of `basis`, as they are bent."""
    kettle, found = basis.brewhouse.kettle, []
    for riser in bent:
        level, lies = riser.foot(coil) + riser.over, kettle.inside_height + coil.outer_diameter / 2.0
        # Whoever bends it anew 3 cm over the rim must not run out of tube either.
        ends = riser.ends - max(kettle.inside_height + risers.ABOVE_RIM - level, 0.0)
        outside = kettle.inside_diameter / 2.0 + risers.PAST_THE_WALL
        upright = kettle.inside_height + risers.ABOVE_RIM - riser.foot(coil) - 2.0 * riser.radius
        if upright < -HAIR and coil.riser_bend_radius is not None:  # else nobody knows how tight it is bent
            found.append((riser, Hindrance("riser_height", upright, 0.0, riser.name)))
        elif level < lies - HAIR:
            found.append((riser, Hindrance("below_rim", level, lies, riser.name)))
        elif ends < outside - risers.BY_TAPE - HAIR:
            found.append((riser, Hindrance("inside", ends, outside, riser.name)))
    return found


def hindrances(basis: DesignBasis, coil: Coil) -> list[Hindrance]:
    """What of its turns, and of its risers beside them, does not go into the kettle of `basis` at all."""
    shape, placement = placed(basis, coil)
    found = _collisions(basis, coil, shape)
    kettle, d_o = basis.brewhouse.kettle, coil.outer_diameter
    lowest = coil.lowest_turn_height - d_o / 2.0
    gap = (kettle.inside_diameter - coil.mean_diameter - d_o) / 2.0
    for part in basis.parts:
        if part.where == "wall" and part.height >= lowest and 0.0 <= gap < part.size - HAIR:
            found.append(Hindrance("part", gap, part.size, part.what))
    if lowest < basis.floor_part - HAIR:
        found.append(Hindrance("floor", lowest, basis.floor_part))
    top = float(placement.top[0]) + d_o / 2.0
    if top > kettle.inside_height + HAIR:
        found.append(Hindrance("rim", top, kettle.inside_height))
    if float(placement.hot_level[0]) > kettle.inside_height + HAIR:
        found.append(Hindrance("headspace", float(placement.hot_level[0]), kettle.inside_height))
    if not found and placement.wet_share[0] < WET_LEAST:
        found.append(Hindrance("dry", float(placement.wet_share[0]), WET_LEAST))
    return found


WET_LEAST = 0.5
"""Share of the turns below which a coil in the wort is of no use (OWN)."""


def _collisions(basis: DesignBasis, coil: Coil, shape: Shape) -> list[Hindrance]:
    """Limits of room of which nothing is left: a room that is smaller than wished is a wish."""
    placement = placed(basis, coil)[1]
    told, checks = (fit_checks(basis, s, placement) for s in (shape, shape.as_it_is))
    if coil.riser_bend_radius is None:  # risers that exist are where they are, and nobody knows where
        checks.drop("riser_gap", "riser_height")
    found = []
    for name, check in checks.rows.items():
        if not LIMITS[name].collides:
            continue
        value, needed = float(check.value[0]), 0.0 if LIMITS[name].at_least else float(check.bound)
        if check.sense * value > check.sense * needed + HAIR:
            found.append(Hindrance(name, float(told.rows[name].value[0]), needed))
    # What does not fit the wall need not be said of risers and mouth too.
    return [h for h in found if h.name == "wall"] or found


# --- sizes that change --------------------------------------------------------------------------------------


def set_at(coil: Coil, lowest: float, stands: str | None = None) -> Coil:
    """The coil with its lowest turn at another height [m]; stands : how, as before without."""
    told = {"stands": stands or coil.stands, "feet_height": None, "hangs_below_rim": None}
    return coil.model_copy(update={"lowest_turn_height": lowest, **told})


def pulled_open(coil: Coil, pitch: float) -> Coil:
    """The coil with its turns at another pitch [m]: tube and turns stay, so it gets a little narrower."""
    layers = []
    for layer in coil.layers:
        turn = layer.length / layer.turns
        narrower = math.sqrt(turn**2 - pitch**2) / math.pi
        layers.append(layer.model_copy(update={"mean_diameter": narrower, "pitch": pitch}))
    return of_layers(coil, layers)


def of_layers(coil: Coil, layers: list[CoilLayer], **more: Any) -> Coil:
    """The coil with other layers, the outer one first, and what else is told."""
    outer = layers[0]
    sizes = {"mean_diameter": outer.mean_diameter, "pitch": outer.pitch, "turns": outer.turns}
    return coil.model_copy(update={**sizes, "layers": tuple(layers), **more})


def in_a_file(coil: Coil) -> Coil:
    """The coil as its file has it: sizes that were measured beside the drawn ones are left out, but for the
    tube's whole length."""
    return as_written(coil)
