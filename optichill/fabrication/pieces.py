"""The tubes that a coil is made of: their layers in the order they are wound, risers and marks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.fabrication import markout
from optichill.fabrication.markout import MarkOut, Riser, mark_out, wound
from optichill.fabrication.wound_layer import WoundLayer
from optichill.geometry import risers
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.workshop import cost


@dataclass(frozen=True)
class Piece:
    """One tube: its layers in the order they are wound, its risers and marks."""

    name: str
    layers: tuple[WoundLayer, ...]
    riser_in: Riser
    riser_out: Riser
    marks: MarkOut

    @property
    def spare(self) -> float:
        """Tube of the half turn more that is wound at its end [m]."""
        return float(0.5 * np.pi * self.layers[-1].on_form)

    def between_marks(self, step: float, riser: str) -> dict[str, float]:
        """How long each piece of the riser IN or OUT is, trim left out, between marks that are rounded to a
        step [m]."""
        pieces = self.marks.grouped().rounded(step).segments
        return {s.what: s.length for s in pieces if s.of == riser and s.what != markout.TRIM_CUT}


def pieces_of(
    basis: DesignBasis, coil: Coil, layers: tuple[WoundLayer, ...], crossing: float, R_b: float, trim: float
) -> tuple[Piece, ...]:
    """The tubes of the coil, each with its marks; where one tube makes both layers the inner one is wound
    first."""
    rim, low = basis.brewhouse.kettle.inside_height, coil.lowest_turn_height

    def riser(name: str, length: float, foot: float) -> Riser:
        return Riser.of_length(name, length, foot, rim, R_b)

    def top(layer: WoundLayer) -> float:
        return low + layer.turns * layer.pitch

    def turns(layer: WoundLayer, name: str) -> tuple[markout.Segment, ...]:
        return wound(name, layer.tube, layer.per_turn)

    if LAYOUTS[coil.layout].crossing:
        outer, inner = layers
        riser_in = riser("IN", coil.riser_length_in, top(inner))
        riser_out = riser("OUT", coil.riser_length_out, top(outer))
        under = (markout.Segment(markout.CROSSING, "", crossing),)
        marks = mark_out(riser_in, turns(inner, "inner") + under + turns(outer, "outer"), riser_out, trim)
        return (Piece("", (inner, outer), riser_in, riser_out, marks),)
    names = ("",) if len(layers) == 1 else ("outer", "inner")
    ins = [riser("IN", coil.riser_length_in, low) for _ in layers]
    outs = [riser("OUT", coil.riser_length_out, top(layer)) for layer in layers]
    ins = _ending_together(ins, [upright_at(basis, layer, R_b, True) for layer in layers])
    outs = _ending_together(outs, [upright_at(basis, layer, R_b, False) for layer in layers])
    found = []
    for name, layer, riser_in, riser_out in zip(names, layers, ins, outs, strict=True):
        marks = mark_out(riser_in, turns(layer, name), riser_out, trim)
        found.append(Piece(name, (layer,), riser_in, riser_out, marks))
    return tuple(found)


def upright_at(basis: DesignBasis, layer: WoundLayer, R_b: float, from_below: bool) -> float:
    """How far from the kettle's axis a riser of a layer stands upright [m]."""
    R_c, d_o = layer.diameter / 2.0, layer.d_o
    if not from_below:
        return float(risers.riser_axis_radius(R_c, R_b))
    if basis.brewhouse.workshop.riser == "inside":
        return float(risers.inside_riser_axis_radius(R_c, d_o))
    return float(risers.passing_riser_axis_radius(R_c, R_b, d_o, layer.pitch))


def _ending_together(same: list[Riser], axes: list[float]) -> list[Riser]:
    """Risers of two tubes, told by one length for both, with the level part of each its own: the inner one
    goes the longer way, both end equally far outside, and together they take the same tube."""
    reach = sum(riser.level + axis for riser, axis in zip(same, axes, strict=True)) / len(same)
    return [replace(riser, level=reach - axis) for riser, axis in zip(same, axes, strict=True)]


def rolls_of(tubes: tuple[Tube, ...], pieces: tuple[Piece, ...]) -> int:
    """Rolls of tube to buy: two where two tubes do not come out of one. tubes : the roll of each."""
    if len(pieces) == 1:
        return 1
    tube = tubes[0]
    if tubes[-1] is not tube:
        return 2
    lengths = np.array([[p.marks.cut_length + p.spare] for p in pieces])
    return int(cost.rolls_needed(lengths, tube.length, tube.owned)[0])
