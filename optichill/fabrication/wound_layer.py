"""A layer of turns on its form and let go.

Forms are found by diameter within 1.5 mm, bare or packed out, the named one first, an owned one before one to
buy: the coil of a design names the form of each layer, a coil file that was measured or edited may name none.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.fabrication.template import END, SpacerComb, WrapTemplate, room_beside
from optichill.geometry import kinking, springback
from optichill.geometry.supports import TOUCHING
from optichill.layouts import Layout
from optichill.model.coil import CoilLayer as Turns
from optichill.model.stock import Form, Stock, Tube
from optichill.problem.made_forms import made_form
from optichill.problem.windings import PACKING, WRAPS
from optichill.roots import root

SAME_FORM = 0.0015
"""Diameters of a form in the list and of the one that is wanted may differ by this [m] (OWN)."""


AS_GOOD = 0.001
"""A form of the list that is so near to one that has to be made [m] is taken in its place (OWN)."""


@dataclass(frozen=True)
class WoundLayer:
    """One layer of turns, on its form and relaxed. diameter, pitch [m] and turns : relaxed. form : of the
    list, None where none gives this diameter; D_form : its diameter with `wraps` of card, or the one that is
    wanted. k : springback ratio; k_low, k_high : its band; rho : winding margin; tube : its length [m];
    hand : -1 where it goes down as it is wound; beside : bar beside the holes of its comb [m]; on_strips :
    over strips on the layer inside, as wide as a form of this diameter, with no form of its own."""

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
    on_strips: bool = False

    @property
    def wants_form(self) -> bool:
        """Whether it is wound on a form that the list does not have."""
        return self.form is None and not self.on_strips

    def taller_than(self, height: float) -> bool:
        """Whether what it is wound on is lower than that [m]; strips are cut as long as it takes."""
        return self.form is not None and not self.on_strips and self.form.height < height

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
        return self.open and not self.taller_than(self.template.height + self.pitch)

    def height_on_form(self, by_template: bool) -> float:
        """Height that the turns take on the form [m], with half a turn to spare: touching, or at their gap
        along a template."""
        along = self.template.height + 0.5 * self.pitch_on_form
        return max(self.form_height, along) if by_template else self.form_height

    @property
    def open(self) -> bool:
        """Whether there is a gap between its turns; touching ones need neither comb nor template."""
        return self.gap >= TOUCHING

    @property
    def combed(self) -> bool:
        """Whether a comb may keep its gap: there is room for one beside the turns."""
        return self.open and self.beside > 0.0

    @property
    def comb(self) -> SpacerComb:
        """Bar that keeps the gap."""
        return SpacerComb(self.pitch, self.turns, self.d_o, self.beside)


def wound_layer(
    stock: Stock, tube: Tube, turns: Turns, named: str | None, to_make: float | None = None
) -> WoundLayer:
    """A layer with the form it is wound on: the one that the coil file names if it fits, or that it says has
    to be made, of that diameter [m]; else the list's nearest, one that is owned before one that is not."""
    wanted = _wanted_form(tube, turns.mean_diameter)
    needs = (turns.turns + 1.5) * tube.outer_diameter
    form, wraps = _form(stock, wanted, needs, named)
    elsewhere = named is not None and stock.form(named) is None  # it was wound on a form of other lists
    if form is not None and elsewhere and form.height < _touching(tube, turns, wanted):
        form, wraps = None, 0  # too short for it, so it stands for none of theirs
    if to_make is not None and abs(to_make - wanted) <= SAME_FORM and not _there(form, wraps, to_make, needs):
        form, wraps = made_form(to_make, stock), 0
    D_form = form.outer_diameter + 2.0 * PACKING * wraps if form is not None else wanted
    R_free = kinking.free_winding_radius(
        tube.outer_diameter, tube.wall, tube.metal.poisson, tube.temper == "half hard"
    )
    k, k_low, k_high = (_springback(tube, D_form, Y) for Y in stresses(tube))
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


def together(layers: tuple[WoundLayer, ...], layout: Layout) -> tuple[WoundLayer, ...]:
    """The layers as they stand in each other: combs with room between them; and one tube round the same way
    all along, so that its inner layer goes down, and its outer one over strips."""
    if len(layers) == 1:
        return layers
    outer, inner = layers
    beside = room_beside(inner.diameter, outer.diameter, outer.d_o, layout.crossing)
    down = -1 if layout.crossing else 1
    if layout.crossing:  # whatever form gives this diameter, none is packed out
        outer = replace(outer, wraps=0, on_strips=True)
    outer = replace(outer, beside=beside)
    return outer, replace(inner, beside=beside, hand=down)


def stresses(tube: Tube) -> tuple[float, float, float]:
    """Flow stress as reckoned with, at its highest and at its lowest [Pa]."""
    metal, rewound = tube.metal, tube.temper == "half hard"
    low, high = metal.rewound_band if rewound else metal.yield_band
    return springback.flow_stress(metal, rewound), high, low


def _springback(tube: Tube, D_form: float, Y: float) -> float:
    d_o, d_i = tube.outer_diameter, tube.outer_diameter - 2.0 * tube.wall
    return float(springback.springback_ratio(d_o, d_i, (D_form + d_o) / 2.0, Y, tube.metal.youngs_modulus))


def _wanted_form(tube: Tube, relaxed: float) -> float:
    """Diameter of the form from which the coil opens to `relaxed` [m], centre to centre."""
    Y, d_o = stresses(tube)[0], tube.outer_diameter

    def opens_too_far(on_form: float) -> float:
        return on_form - _springback(tube, on_form - d_o, Y) * relaxed

    return root(opens_too_far, 1e-3 * relaxed, relaxed) - d_o


def _touching(tube: Tube, turns: Turns, D_form: float) -> float:
    """How tall a form the turns ask for, wound touching [m]."""
    k = _springback(tube, D_form, stresses(tube)[0])
    return float(springback.form_height_needed(turns.turns, k, tube.outer_diameter))


def _there(form: Form | None, wraps: int, diameter: float, height: float) -> bool:
    """Whether a form of the list, as it is packed out, stands for one that was to be made."""
    if form is None or form.height < height:
        return False
    return abs(form.outer_diameter + 2.0 * PACKING * wraps - diameter) <= AS_GOOD


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
