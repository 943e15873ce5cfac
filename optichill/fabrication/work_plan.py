"""A coil on its way to the bench: its form and tool, both its states and its marks.

Everything is told from the coil and the lists alone, so that a coil file and a found design make the same
sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from optichill.fabrication.listed import cut_from, disagreements, listed_tool, listed_tube
from optichill.fabrication.markout import Riser
from optichill.fabrication.pieces import Piece, pieces_of, rolls_of, upright_at
from optichill.fabrication.wound_layer import WoundLayer, stresses, together, wound_layer
from optichill.geometry import risers, springback
from optichill.layouts import LAYOUTS, Layout
from optichill.model.coil import Coil
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import billed
from optichill.problem.coil_id import coil_id, inner_pitch
from optichill.problem.placement import Placement, Shape
from optichill.problem.riser_tools import RiserTool
from optichill.rating.coil_rating import QuickRating, placed, quick_rating
from optichill.workshop import cost

INCREMENT_US = 0.0254 / 16.0

SETTING = 5e-3
"""A share of the full flow that is told by its litres is that near to the setting of its valve."""


@dataclass(frozen=True)
class WorkPlan:
    """All that a build sheet is made of. tube : of the list where `listed`, else as the coil file tells it;
    pieces : one, or the outer and the inner of two tubes; bill : of what the lists have of it; rolls : of
    tube to buy; cut_from : the roll of each piece; notes : where lists and file disagree."""

    basis: DesignBasis
    coil: Coil
    shape: Shape
    placement: Placement
    tube: Tube
    listed: bool
    tool: RiserTool
    tool_known: bool
    pieces: tuple[Piece, ...]
    bill: cost.Bill
    rolls: int
    cut_from: tuple[Tube, ...]
    notes: tuple[str, ...] = ()

    @cached_property
    def rating(self) -> QuickRating:
        """How the coil stands and chills: worked out where a page asks for it."""
        return quick_rating(self.basis, self.coil)

    @cached_property
    def fully_open(self) -> QuickRating | None:
        """The same with its valve open; None where no valve holds the water back."""
        if not self.rating.throttled:
            return None
        return quick_rating(self.basis, self.coil.model_copy(update={"flow": None}))

    @cached_property
    def coil_id(self) -> str:
        """The id by which a search that finds this coil names it too."""
        c, across = self.coil, [layer.mean_diameter for layer in self.coil.layers]
        heights, risers = (c.lowest_turn_height, c.pitch), (c.riser_length_in, c.riser_length_out)
        more = inner_pitch([layer.pitch for layer in c.layers])
        return coil_id(
            stock_ids=[tube.stock_id for tube in self.cut_from],
            material=c.material,
            layout=c.layout,
            forms=c.form_ids,
            tool=self.tool,
            sizes=(c.outer_diameter, c.wall, *heights, *risers, *across, *more),
            turns=[layer.turns for layer in c.layers],
            valve_share=self._valve_share,
        )

    @property
    def _valve_share(self) -> float:
        """What the valve lets through: one of the workshop's settings where it is as good as that."""
        if self.coil.flow is None:
            return 1.0
        share = self.rating.valve_share
        nearest = min(self.basis.valve_shares, key=lambda setting: abs(setting - share))
        return nearest if abs(nearest - share) < SETTING else share

    @property
    def layout(self) -> Layout:
        """How the coil is laid out."""
        return LAYOUTS[self.coil.layout]

    @property
    def complete(self) -> bool:
        """Whether the bill holds everything: tube and forms are in the lists."""
        return self.listed and not any(layer.wants_form for layer in self.layers)

    @property
    def layers(self) -> tuple[WoundLayer, ...]:
        """All layers, the outer one first."""
        return tuple(sorted((x for p in self.pieces for x in p.layers), key=lambda x: -x.diameter))

    def by_template(self, layer: WoundLayer) -> bool:
        """Whether a layer can be wound along a template; of two layers of one tube both are, or neither, and
        the outer one's strips must lie on the inner one to their ends."""
        if not self.layout.crossing:
            return layer.templated
        outer, inner = self.layers
        lies = inner.template.height >= outer.template.height - outer.pitch
        return outer.templated and inner.templated and lies

    @property
    def stresses(self) -> tuple[float, float, float]:
        """Flow stress of the tube as reckoned with, at its highest and at its lowest [Pa]."""
        return stresses(self.tube)

    @property
    def by_roll(self) -> tuple[tuple[Tube, tuple[Piece, ...]], ...]:
        """Each roll, and the pieces that are cut from it; that of the longer tube first."""
        if self.rolls == 1:
            return ((self.cut_from[0], self.pieces),)
        each = [(tube, (p,)) for tube, p in zip(self.cut_from, self.pieces, strict=True)]
        return tuple(sorted(each, key=lambda one: one[0] is not self.tube))

    @property
    def two_lengths(self) -> bool:
        """Whether its tubes are cut from rolls of two kinds."""
        return len({tube.stock_id for tube in self.cut_from}) > 1

    @property
    def has_spare(self) -> bool:
        """Whether the roll gives the half turn more that is wound on each form."""
        if not self.listed:
            return True
        return all(
            sum(p.marks.cut_length + p.spare for p in pieces) <= tube.length + 1e-6
            for tube, pieces in self.by_roll
        )

    @property
    def moment(self) -> float:
        """Full plastic moment of the tube [N m]: what winding it takes."""
        d_o, d_i = self.tube.outer_diameter, self.tube.outer_diameter - 2.0 * self.tube.wall
        return float(springback.full_plastic_moment(d_o, d_i, stresses(self.tube)[0]))

    @property
    def cut_length(self) -> float:
        """Tube of all pieces [m]."""
        return sum(p.marks.cut_length for p in self.pieces)

    @property
    def offcut(self) -> float:
        """What is left of the rolls beside the coil as it is cut [m]; below 0 where they are too short."""
        return sum(tube.length for tube, _ in self.by_roll) - self.cut_length

    @property
    def spare(self) -> float:
        """Tube of all half turns more [m], which is cut off when the OUT risers are."""
        return sum(p.spare for p in self.pieces)

    def axis(self, piece: Piece, riser: Riser) -> float:
        """How far from the kettle's axis a riser stands upright [m]."""
        layer = piece.layers[0] if riser is piece.riser_in else piece.layers[-1]
        return upright_at(self.basis, layer, riser.bend_radius, self.from_below(riser))

    def from_below(self, riser: Riser) -> bool:
        """Whether a riser comes up from the lowest turn, past the others."""
        return riser.name == "IN" and not self.layout.crossing

    @property
    def step(self) -> float:
        """To which marks are rounded [m]: sixteenths of an inch, or the workshop's own increment."""
        brewhouse = self.basis.brewhouse
        return INCREMENT_US if brewhouse.units == "us" else min(brewhouse.workshop.marking_increment, 0.005)


def _to_buy(tube: Tube, tubes: tuple[Tube, ...], rolls: int) -> tuple[Tube, ...]:
    """Rolls as the bill takes them, that of the coil first; tubes : the roll of each piece."""
    return (tube,) if rolls == 1 else tuple(sorted(tubes, key=lambda one: one is not tube))


def plan_work(basis: DesignBasis, coil: Coil) -> WorkPlan:
    """From a coil to the plan of its work."""
    tube, listed = listed_tube(basis.stock, coil)
    tool, tool_known = listed_tool(basis, tube, coil)
    shape, placement = placed(basis, coil.model_copy(update={"riser_bend_radius": tool.radius}))
    layers = tuple(
        wound_layer(basis.stock, tube, *layer)
        for layer in zip(coil.layers, coil.form_ids, coil.forms_to_make, strict=True)
    )
    crossing = float(shape.crossing[0])
    trim = 0.0 if coil.bought_length is not None else risers.TRIM  # the ends of a coil that exists are cut
    layers = together(layers, LAYOUTS[coil.layout])
    pieces = pieces_of(basis, coil, layers, crossing, tool.radius, trim)
    tubes = cut_from(basis.stock, coil, tube, listed)
    rolls = rolls_of(tubes, pieces)
    forms = [layer.form for layer in layers if layer.form is not None and not layer.on_strips]
    each = [(layer.turns, layer.pitch) for layer in layers]
    lowest = float(placement.lowest[0])
    to_buy = _to_buy(tube, tubes, rolls) if listed else ()
    return WorkPlan(
        basis=basis,
        coil=coil,
        shape=shape,
        placement=placement,
        tube=tube,
        listed=listed,
        tool=tool,
        tool_known=tool_known,
        pieces=pieces,
        bill=billed(basis, tube, tool, forms, len(pieces), to_buy, lowest, each),
        rolls=rolls,
        cut_from=tubes,
        notes=disagreements(basis.stock, coil, tube, layers, basis.brewhouse.units),
    )
