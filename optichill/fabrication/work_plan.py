"""A coil on its way to the bench: its form and tool, both its states, its marks, and what keeps it from being
built.

Everything is told from the coil and the lists alone, so that a coil file and a found design make the same
sheet.

Forms are found by diameter within 1.5 mm, bare or packed out, the named one first, an owned one before one to
buy: the coil of a design names the form of each layer, a coil file that was measured or edited may name none.
A bender, spring or hand that the list does not have makes a sheet with a warning; a radius that no lever
bender may have in this tube stops it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optichill.display import show
from optichill.fabrication import markout
from optichill.fabrication.markout import MarkOut, Riser, mark_out, wound
from optichill.fabrication.template import END, SpacerComb, WrapTemplate, room_beside
from optichill.geometry import kinking, riser_bends, risers, springback
from optichill.layouts import LAYOUTS, Layout
from optichill.model.coil import Coil
from optichill.model.coil import CoilLayer as Turns
from optichill.model.stock import MATCH, WALL_SEEN, Form, Stock, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import billed
from optichill.problem.placement import Placement, Shape
from optichill.problem.riser_tools import RiserTool, riser_tools
from optichill.problem.windings import PACKING, WRAPS
from optichill.rating.coil_rating import QuickRating, placed, quick_rating
from optichill.workshop import cost

SAME_FORM = 0.0015
"""Diameters of a form in the list and of the one that is wanted may differ by this [m] (OWN)."""

INCREMENT_US = 0.0254 / 16.0


@dataclass(frozen=True)
class WoundLayer:
    """One layer of turns, on its form and relaxed. diameter, pitch [m] and turns : relaxed. form : of the
    list, None where none gives this diameter; D_form : its diameter with `wraps` of card, or the one that is
    wanted. k : springback ratio; k_low, k_high : its band; rho : winding margin; tube : its length [m];
    hand : -1 where it goes down as it is wound; beside : bar beside the holes of its comb [m]."""

    diameter: float
    pitch: float
    turns: float
    form: Form | None
    wraps: int
    D_form: float
    k: float
    k_low: float
    k_high: float
    rho: float
    d_o: float
    tube: float
    hand: int = 1
    beside: float = END

    @property
    def on_form(self) -> float:
        """Mean diameter on the form [m]."""
        return self.D_form + self.d_o

    @property
    def pitch_on_form(self) -> float:
        """Pitch on the form [m]."""
        return self.k * self.pitch

    @property
    def per_turn(self) -> float:
        """Tube in one turn on the form [m]: the spacing of the marks."""
        return float(springback.turn_length_on_form(self.D_form, self.d_o, self.pitch, self.k))

    @property
    def turns_on_form(self) -> float:
        """Turns to wind; letting go unwinds them to `turns`."""
        return self.tube / self.per_turn

    def relaxed(self, k: float) -> float:
        """Mean diameter [m] to which it opens, if the metal springs by k."""
        return self.on_form / k

    @property
    def gap(self) -> float:
        """Free gap between turns [m]."""
        return max(self.pitch - self.d_o, 0.0)

    @property
    def form_height(self) -> float:
        """Form that the turns take, wound touching, with half a turn to spare [m]."""
        return float(springback.form_height_needed(self.turns_on_form, 1.0, self.d_o))

    @property
    def template(self) -> WrapTemplate:
        """Paper round the form."""
        return WrapTemplate(np.pi * self.D_form, self.pitch_on_form, self.turns_on_form, self.d_o, self.hand)

    @property
    def templated(self) -> bool:
        """Whether it can be wound along a template: the form is tall enough for its turns with their gaps."""
        tall = self.form is None or self.form.height >= self.template.height + self.pitch
        return self.gap >= 1e-4 and tall

    @property
    def comb(self) -> SpacerComb:
        """Bar that keeps the gap."""
        return SpacerComb(self.pitch, self.turns, self.d_o, self.beside)


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
        """Tube of the half turn more that goes on each form [m]."""
        return sum(0.5 * np.pi * layer.on_form for layer in self.layers)


@dataclass(frozen=True)
class WorkPlan:
    """All that a build sheet is made of. tube : of the list where `listed`, else as the coil file tells it;
    pieces : one, or the outer and the inner of two tubes; bill : of what the lists have of it; rolls : of
    tube to buy; notes : where lists and file disagree."""

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

    @property
    def layout(self) -> Layout:
        """How the coil is laid out."""
        return LAYOUTS[self.coil.layout]

    @property
    def complete(self) -> bool:
        """Whether the bill holds everything: tube and forms are in the lists."""
        return self.listed and all(layer.form is not None for layer in self.layers)

    @property
    def layers(self) -> tuple[WoundLayer, ...]:
        """All layers, the outer one first."""
        return tuple(sorted((x for p in self.pieces for x in p.layers), key=lambda x: -x.diameter))

    @property
    def stresses(self) -> tuple[float, float, float]:
        """Flow stress of the tube as reckoned with, at its highest and at its lowest [Pa]."""
        return _stresses(self.tube)

    @property
    def has_spare(self) -> bool:
        """Whether the roll gives the half turn more that is wound on each form."""
        if not self.listed:
            return True
        takes = [p.marks.cut_length + p.spare for p in self.pieces]
        return (sum(takes) if self.rolls == 1 else max(takes)) <= self.tube.length + 1e-6

    @property
    def moment(self) -> float:
        """Full plastic moment of the tube [N m]: what winding it takes."""
        d_o, d_i = self.tube.outer_diameter, self.tube.outer_diameter - 2.0 * self.tube.wall
        return float(springback.full_plastic_moment(d_o, d_i, _stresses(self.tube)[0]))

    @property
    def cut_length(self) -> float:
        """Tube of all pieces [m]."""
        return sum(p.marks.cut_length for p in self.pieces)

    @property
    def offcut(self) -> float:
        """What is left of the rolls beside the coil as it is cut [m]; below 0 where they are too short."""
        return self.rolls * self.tube.length - self.cut_length

    @property
    def spare(self) -> float:
        """Tube of all half turns more [m], which is cut off when the OUT risers are."""
        return sum(p.spare for p in self.pieces)

    def axis(self, piece: Piece, riser: Riser) -> float:
        """How far from the kettle's axis a riser stands upright [m]."""
        layer = piece.layers[0] if riser is piece.riser_in else piece.layers[-1]
        return _axis(self.basis, layer, riser.bend_radius, self.from_below(riser))

    def from_below(self, riser: Riser) -> bool:
        """Whether a riser comes up from the lowest turn, past the others."""
        return riser.name == "IN" and not self.layout.crossing

    @property
    def step(self) -> float:
        """To which marks are rounded [m]: sixteenths of an inch, or the workshop's own increment."""
        brewhouse = self.basis.brewhouse
        return INCREMENT_US if brewhouse.units == "us" else min(brewhouse.workshop.marking_increment, 0.005)


def plan_work(basis: DesignBasis, coil: Coil) -> WorkPlan:
    """From a coil to the plan of its work."""
    tube, listed = _tube(basis.stock, coil)
    tool, tool_known = _tool(basis, tube, coil)
    shape, placement = placed(basis, coil.model_copy(update={"riser_bend_radius": tool.radius}))
    layers = tuple(
        _layer(basis.stock, tube, turns, named)
        for turns, named in zip(coil.layers, coil.form_ids, strict=True)
    )
    crossing = float(shape.crossing[0])
    trim = 0.0 if coil.bought_length is not None else risers.TRIM  # the ends of a coil that exists are cut
    layers = _together(layers, LAYOUTS[coil.layout])
    pieces = _pieces(basis, coil, layers, crossing, tool.radius, trim)
    rolls = _rolls(tube, pieces)
    forms = [layer.form for layer in layers if layer.form is not None]
    each = [(layer.turns, layer.pitch) for layer in layers]
    lowest = float(placement.lowest[0])
    to_buy = rolls if listed else 0
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
        notes=_notes(basis.stock, coil, tube, layers, basis.brewhouse.units),
    )


def _notes(
    stock: Stock, coil: Coil, tube: Tube, layers: tuple[WoundLayer, ...], units: str
) -> tuple[str, ...]:
    """Names of the coil file that the lists do not have, or have for something else."""
    said = []
    named = stock.tube(coil.stock_id) if coil.stock_id else None
    if coil.stock_id and named is None:
        said.append(f"stock_id {coil.stock_id} is not in tubing.csv")
    elif named is not None and named is not tube:
        said.append(f"stock_id {coil.stock_id} is another tube: the sizes of the coil file are taken")
    if named is None and abs(tube.wall - coil.wall) > WALL_SEEN:
        mine, listed = (show(wall, "wall", units) for wall in (coil.wall, tube.wall))
        said.append(
            f"the coil's wall is {mine}, that of {tube.stock_id} in tubing.csv {listed}: the sheet "
            "is made for the tube of the list"
        )
    for layer, name in zip(layers, coil.form_ids, strict=True):
        if name and (layer.form is None or layer.form.form_id != name):
            known = stock.form(name) is not None
            why = "is of another diameter, or too short: another is taken" if known else "is not in forms.csv"
            said.append(f"form_id {name} {why}")
    return tuple(said)


# --- what the lists have of it ---------------------------------------------------------------------------


def _tube(stock: Stock, coil: Coil) -> tuple[Tube, bool]:
    """The tube of the list, or one as the coil file tells it."""
    named = stock.tube(coil.stock_id) if coil.stock_id else None
    if named is not None and _same_tube(named, coil):
        return named, True
    alike = [t for t in stock.tubing if coil.stock_id is None and _same_tube(t, coil)]
    if alike:
        takes = coil.bought_length or _takes(coil)

        def worse(t: Tube) -> tuple[bool, float, float, str]:
            return t.temper != "annealed", max(takes - t.length, 0.0), t.cost, t.stock_id

        return min(alike, key=worse), True
    told = Tube(
        stock_id=coil.stock_id or "as drawn",
        material=coil.material,
        temper="annealed",
        outer_diameter=coil.outer_diameter,
        wall=coil.wall,
        length=coil.bought_length or 100.0,
        owned=True,
    )
    return told, False


def _takes(coil: Coil) -> float:
    """Tube that one roll must give [m]: of two tubes the longer, trim and half a turn to spare with it."""
    riser_tube = coil.riser_length_in + coil.riser_length_out + 2.0 * risers.TRIM
    each = [layer.length + 0.5 * np.pi * layer.mean_diameter for layer in coil.layers]
    return (max(each) if LAYOUTS[coil.layout].tubes > 1 else sum(each)) + riser_tube


def _same_tube(tube: Tube, coil: Coil) -> bool:
    return (
        tube.material == coil.material
        and abs(tube.outer_diameter - coil.outer_diameter) <= MATCH
        and abs(tube.wall - coil.wall) <= MATCH
    )


def _tool(basis: DesignBasis, tube: Tube, coil: Coil) -> tuple[RiserTool, bool]:
    """The tool whose bend the coil file asks for, and whether there is one. Where the file tells none, that
    at hand, with bends no wider than the risers have room for: those of a coil that exists came out
    somehow."""
    ways = riser_tools(tube, basis.stock)
    R_b = coil.riser_bend_radius
    if R_b is None:
        tallest = max(layer.turns * layer.pitch for layer in coil.layers)
        climb = basis.brewhouse.kettle.inside_height + risers.ABOVE_RIM - coil.lowest_turn_height - tallest
        room = max(0.45 * climb, tube.outer_diameter)
        return (ways[0] if ways[0].radius <= room else replace(ways[0], radius=room, smallest=0.0)), True
    by_hand = next((t for t in ways if t.kind == "hand" and t.smallest <= R_b), None)
    found = [t for t in ways if abs(t.radius - R_b) <= MATCH]
    if found:
        return found[0], True
    if by_hand is not None:  # round a wider disc than need be
        return replace(by_hand, radius=R_b), True
    least = float(riser_bends.riser_bend_minimum(tube.outer_diameter, tube.wall, tube.metal, "lever"))
    unknown = RiserTool("lever", R_b, least, 0.0, False, "a bender of this radius", None)
    return unknown, False


def _layer(stock: Stock, tube: Tube, turns: Turns, named: str | None) -> WoundLayer:
    """A layer with the form it is wound on: the one that the coil file names if it fits, else the list's
    nearest, one that is owned before one that is not."""
    wanted = _wanted_form(tube, turns.mean_diameter)
    needs = (turns.turns + 1.5) * tube.outer_diameter
    form, wraps = _form(stock, wanted, needs, named)
    D_form = form.outer_diameter + 2.0 * PACKING * wraps if form is not None else wanted
    R_free = kinking.free_winding_radius(
        tube.outer_diameter, tube.wall, tube.metal.poisson, tube.temper == "half hard"
    )
    k, k_low, k_high = (_springback(tube, D_form, Y) for Y in _stresses(tube))
    return WoundLayer(
        diameter=turns.mean_diameter,
        pitch=turns.pitch,
        turns=turns.turns,
        form=form,
        wraps=wraps,
        D_form=D_form,
        k=k,
        k_low=k_low,
        k_high=k_high,
        rho=float(kinking.winding_margin((D_form + tube.outer_diameter) / 2.0, R_free)),
        d_o=tube.outer_diameter,
        tube=turns.length,
    )


def _together(layers: tuple[WoundLayer, ...], layout: Layout) -> tuple[WoundLayer, ...]:
    """The layers as they stand in each other: combs with room between them, and one tube round the same way
    all along, so that its inner layer goes down."""
    if len(layers) == 1:
        return layers
    outer, inner = layers
    beside = room_beside(inner.diameter, outer.diameter, outer.d_o)
    down = -1 if layout.crossing else 1
    return replace(outer, beside=beside), replace(inner, beside=beside, hand=down)


def _stresses(tube: Tube) -> tuple[float, float, float]:
    """Flow stress as reckoned with, at its highest and at its lowest [Pa]."""
    metal, rewound = tube.metal, tube.temper == "half hard"
    low, high = metal.rewound_band if rewound else metal.yield_band
    return springback.flow_stress(metal, rewound), high, low


def _springback(tube: Tube, D_form: float, Y: float) -> float:
    d_o, d_i = tube.outer_diameter, tube.outer_diameter - 2.0 * tube.wall
    return float(springback.springback_ratio(d_o, d_i, (D_form + d_o) / 2.0, Y, tube.metal.youngs_modulus))


def _wanted_form(tube: Tube, relaxed: float) -> float:
    """Diameter of the form from which the coil opens to `relaxed` [m], centre to centre."""
    from scipy.optimize import brentq

    Y, d_o = _stresses(tube)[0], tube.outer_diameter

    def opens_too_far(on_form: float) -> float:
        return on_form - _springback(tube, on_form - d_o, Y) * relaxed

    return float(brentq(opens_too_far, 1e-3 * relaxed, relaxed)) - d_o


def _form(stock: Stock, wanted: float, height: float, form_id: str | None) -> tuple[Form | None, int]:
    """The form and its wraps of card that come nearest to the wanted diameter, if any comes near; one that is
    tall enough before one that is not, the named one before another."""
    offers = []
    for form in (f for f in stock.forms if f.open_end or f.form_id == form_id):
        for wraps in WRAPS:
            off = abs(form.outer_diameter + 2.0 * PACKING * wraps - wanted)
            if off <= SAME_FORM:
                short = form.height < height
                order = (short, form.form_id != form_id, not form.owned, wraps, off, form.form_id)
                offers.append((order, form, wraps))
    if not offers:
        return None, 0
    _, form, wraps = min(offers, key=lambda offer: offer[0])
    return form, wraps


# --- the pieces of tube ------------------------------------------------------------------------------------


def _pieces(
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
    ins = _ending_together(ins, [_axis(basis, layer, R_b, True) for layer in layers])
    outs = _ending_together(outs, [_axis(basis, layer, R_b, False) for layer in layers])
    found = []
    for name, layer, riser_in, riser_out in zip(names, layers, ins, outs, strict=True):
        marks = mark_out(riser_in, turns(layer, name), riser_out, trim)
        found.append(Piece(name, (layer,), riser_in, riser_out, marks))
    return tuple(found)


def _axis(basis: DesignBasis, layer: WoundLayer, R_b: float, from_below: bool) -> float:
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


def _rolls(tube: Tube, pieces: tuple[Piece, ...]) -> int:
    """Rolls of tube to buy: two where two tubes do not come out of one."""
    if len(pieces) == 1:
        return 1
    lengths = np.array([[p.marks.cut_length + p.spare] for p in pieces])
    return int(cost.rolls_needed(lengths, tube.length, tube.owned)[0])
