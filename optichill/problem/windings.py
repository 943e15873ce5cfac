"""Numbers of every winding: tube, tool and form (or two forms) that are wound together, as arrays.

What a gap and a number of turns do not change is worked out here, once a winding; rows look it up.

Layers are wound on bare forms: card tunes the one diameter of a single layer, and of two forms there is
choice enough. With packing on both, the space is six times as large and the best build of each layout the
same to four digits. Both layers have the same gap and number of turns. Where the list has no tee, two tubes
on tees are not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optichill.arrays import Array, Index, Mask
from optichill.geometry import fit, kinking, springback
from optichill.geometry.helix import inside_diameter, metal_area
from optichill.layouts import trait, with_layers
from optichill.model.stock import Form, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.riser_tools import RiserTool, riser_tools
from optichill.workshop import cost, difficulty

PACKING = 0.003
"""Thickness of one wrap of card round the form [m]; a form is used bare, or packed out once or twice."""
WRAPS = (0, 1, 2)


@dataclass(frozen=True)
class Winding:
    """One tube and tool on one form and packing, with the names behind the numbers."""

    tube: Tube
    tool: RiserTool
    form: Form
    wraps: int


def windings(basis: DesignBasis, *, tube: str | None = None, form: str | None = None) -> tuple[Winding, ...]:
    """All single windings, in an order that does not depend on the lists' order.

    tube, form : stock_id or form_id to keep to one.
    """
    stock, shop = basis.stock, basis.brewhouse.workshop
    tubes = [t for t in stock.tubing if t.temper != "hard" and tube in (None, t.stock_id)]
    # A coil cannot be slid off a form that is closed or flanged at both ends.
    forms = [f for f in stock.forms if form in (None, f.form_id) and f.open_end]
    if shop.forms_owned_only:
        forms = [f for f in forms if f.owned]
    return tuple(
        Winding(t, tool, f, wraps)
        for t in sorted(tubes, key=lambda t: t.stock_id)
        for tool in riser_tools(t, stock)
        for f in sorted(forms, key=lambda f: f.form_id)
        for wraps in WRAPS
    )


@dataclass(frozen=True)
class WindingTable:
    """Numbers of every single winding, arrays of shape (windings,). D_c relaxed mean diameter; springback k;
    the rest as named, SI. price of tube, form and tool is what is to be paid; of the ends and their joints,
    once for one tube and once for two on tees; tees : whether the list has what two tubes need."""

    tool_of: Index  # windings with the same tube and tool share a number
    d_o: Array
    d_i: Array
    conductivity: Array
    metal_per_length: Array  # J/K per m
    roll: Array
    roll_price: Array
    roll_owned: Mask
    D_form: Array
    D_c: Array
    springback: Array
    R_free: Array
    R_b: Array
    R_b_least: Array
    form_height: Array
    form_price: Array
    tool_price: Array
    ends_price: Array
    ends_price_two: Array
    lacing_pieces: Array
    lacing_per_height: Array
    moment: Array
    by_hand: Mask
    one_bend: Array
    joints: Array
    joints_two: Array
    tees: Mask
    packed: Mask
    plainness: Array


def winding_table(found: tuple[Winding, ...], basis: DesignBasis) -> WindingTable:
    """Columns of all single windings. Loops over windings, not designs: a few thousand of them at most stand
    behind a million rows, and the lists' models are read here once."""

    def column(value: Callable[[Winding], float]) -> Array:
        return np.array([value(w) for w in found], dtype=np.float64)

    list_of = fittings(basis)
    sizes = {w.tube.outer_diameter for w in found}
    ends = {d: cost.cheapest_end_set(list_of, d) for d in sizes}
    two = {d: cost.cheapest_end_set(list_of, d, tubes=2) for d in sizes}
    tools = {key: i for i, key in enumerate(dict.fromkeys((w.tube.stock_id, w.tool) for w in found))}
    d_o = column(lambda w: w.tube.outer_diameter)
    wall = column(lambda w: w.tube.wall)
    d_i = inside_diameter(d_o, wall)
    metal = [w.tube.metal for w in found]
    rewound = np.array([w.tube.temper == "half hard" for w in found], dtype=bool)
    Y = np.array([springback.flow_stress(m, bool(r)) for m, r in zip(metal, rewound, strict=True)])
    E = np.array([m.youngs_modulus for m in metal])
    K_r = np.array([m.bend_hardness for m in metal])
    D_form = column(lambda w: w.form.outer_diameter + 2.0 * PACKING * w.wraps)
    k = springback.springback_ratio(d_o, d_i, springback.mean_diameter_on_form(D_form, d_o) / 2.0, Y, E)
    R_b = column(lambda w: w.tool.radius)
    return WindingTable(
        tool_of=np.array([tools[w.tube.stock_id, w.tool] for w in found], dtype=np.intp),
        d_o=d_o,
        d_i=d_i,
        conductivity=np.array([m.conductivity for m in metal]),
        metal_per_length=metal_area(d_o, d_i) * np.array([m.density * m.heat_capacity for m in metal]),
        roll=column(lambda w: w.tube.length),
        roll_price=column(lambda w: cost.to_pay(w.tube.price or 0.0, w.tube.owned)),
        roll_owned=np.array([w.tube.owned for w in found], dtype=bool),
        D_form=D_form,
        D_c=springback.relaxed_mean_diameter(D_form, d_o, k),
        springback=k,
        R_free=kinking.free_winding_radius(d_o, wall, np.array([m.poisson for m in metal]), rewound),
        R_b=R_b,
        R_b_least=column(lambda w: w.tool.smallest),
        form_height=column(lambda w: w.form.height),
        form_price=column(lambda w: cost.to_pay(w.form.price or 0.0, w.form.owned)),
        tool_price=column(lambda w: w.tool.to_pay),
        ends_price=column(lambda w: ends[w.tube.outer_diameter].price),
        ends_price_two=column(lambda w: two[w.tube.outer_diameter].price),
        lacing_pieces=column(lambda w: ends[w.tube.outer_diameter].lacing_pieces_price),
        lacing_per_height=column(lambda w: ends[w.tube.outer_diameter].lacing_price_per_height),
        moment=springback.full_plastic_moment(d_o, d_i, Y),
        by_hand=np.array([w.tool.kind == "hand" for w in found], dtype=bool),
        one_bend=difficulty.bend_factor(K_r, d_o, wall, R_b, np.pi / 2.0),
        joints=column(lambda w: ends[w.tube.outer_diameter].joint_effort),
        joints_two=column(lambda w: two[w.tube.outer_diameter].joint_effort),
        tees=np.array(
            [not list_of or "tee" not in two[w.tube.outer_diameter].missing for w in found], dtype=bool
        ),
        packed=np.array([w.wraps > 0 for w in found], dtype=bool),
        plainness=column(_plainness),
    )


def _plainness(w: Winding) -> float:
    """Smaller is plainer: bare form first, then standard wall, then a tool that is at hand."""
    light = w.tube.outer_diameter / w.tube.wall > kinking.LIGHT_WALL_RATIO
    return 4.0 * w.wraps + 2.0 * light + (not w.tool.owned)


@dataclass(frozen=True)
class Setups:
    """What is wound: a single winding, or two of one tube and tool as layers. Arrays of shape (set-ups,).

    outer, inner : single windings by number, the same one where there is one layer; layout by number.
    Everything else is looked up in `of`, the columns of the single windings.
    """

    of: WindingTable
    outer: Index
    inner: Index
    layout: NDArray[np.int8]

    def __len__(self) -> int:
        return int(self.outer.size)

    def take(self, places: Index) -> Setups:
        """The chosen set-ups."""
        return Setups(self.of, self.outer[places], self.inner[places], self.layout[places])

    def joined(self, others: Setups) -> Setups:
        """These set-ups, then the others."""
        return Setups(
            self.of,
            np.concatenate([self.outer, others.outer]),
            np.concatenate([self.inner, others.inner]),
            np.concatenate([self.layout, others.layout]),
        )

    def get(self, name: str, places: Index | slice = slice(None)) -> Array:
        """A column that the tube, the tool or the outer winding decides."""
        column: Array = getattr(self.of, name)[self.outer[places]]
        return column

    def inside(self, name: str, places: Index | slice = slice(None)) -> Array:
        """A column of the inner winding."""
        column: Array = getattr(self.of, name)[self.inner[places]]
        return column

    def trait(self, name: str, places: Index | slice = slice(None)) -> NDArray[Any]:
        """A trait of the set-ups' layouts."""
        return np.asarray(trait(name)[self.layout[places]])

    def two(self, places: Index | slice = slice(None)) -> Mask:
        """Whether a set-up has two layers."""
        return np.asarray((trait("layers") > 1)[self.layout[places]])

    def fixed_cost(self, places: Index | slice = slice(None)) -> Array:
        """Price of one roll, forms, tool and ends."""
        tees = self.trait("tees", places)
        ends = np.where(tees, self.get("ends_price_two", places), self.get("ends_price", places))
        second_form = np.where(self.two(places), self.inside("form_price", places), 0.0)
        own = sum(self.get(n, places) for n in ("roll_price", "form_price", "tool_price"))
        return np.asarray(own + second_form + ends)

    def rho(self, places: Index | slice = slice(None)) -> Array:
        """Winding margin of the tightest layer."""
        on_form = springback.mean_diameter_on_form(self.inside("D_form", places), self.get("d_o", places))
        return kinking.winding_margin(on_form / 2.0, self.get("R_free", places))

    def job(
        self, places: Index | slice, length: Array | float, gap: Array | float, riser_inside: bool
    ) -> difficulty.Job:
        """What makes the builds hard, with `length` [m] of tube to handle and `gap` [m] between turns."""
        by_hand = self.get("by_hand", places)
        margin = kinking.winding_margin(self.get("R_b", places), self.get("R_free", places))
        tees = self.trait("tees", places)
        packed = self.get("packed", places).astype(bool) | self.inside("packed", places).astype(bool)
        k = np.minimum(self.get("springback", places), self.inside("springback", places))
        return difficulty.Job(
            rho_coil=self.rho(places),
            moment=self.get("moment", places),
            length=length,
            growth=springback.growth(k),
            rho_bends=np.where(by_hand, margin, np.inf),
            layers=self.trait("hardness", places),
            bends=self.trait("riser_bends", places) * self.get("one_bend", places),
            tool_fits=~by_hand.astype(bool),
            joints=np.where(tees, self.get("joints_two", places), self.get("joints", places)),
            form=np.where(packed, difficulty.FORMS["packed"], difficulty.FORMS["on the shelf"]),
            gap=np.where(np.asarray(gap) > 0.0, difficulty.GAPS["laced"], difficulty.GAPS["touching"]),
            # Over a crossing both ends leave from the top: none climbs inside.
            riser_inside=riser_inside & ~self.trait("crossing", places),
        )


def single_setups(of: WindingTable, layouts: Collection[str]) -> Setups:
    """One layer on each winding, in each layout asked for."""
    every = np.arange(of.d_o.size)
    return _laid_out(of, ((n, every, every) for n, x in with_layers(1).items() if x.name in layouts))


def _laid_out(of: WindingTable, parts: Iterable[tuple[int, Index, Index]]) -> Setups:
    """Setups of each layout by number with its outer and inner windings, one after the other."""
    none = np.empty(0, np.intp)
    whole = Setups(of, none, none, np.empty(0, np.int8))
    for number, outer, inner in parts:
        whole = whole.joined(Setups(of, outer, inner, np.full(outer.size, number, np.int8)))
    return whole


def layered_setups(of: WindingTable, layouts: Collection[str], riser_inside: bool = False) -> Setups:
    """Every two windings of one tube and tool that leave the room two layers need, in each layout asked for.

    On bare forms: card tunes the one diameter of a single layer; of two there is choice enough without.
    """
    outer, inner = [np.empty(0, np.intp)], [np.empty(0, np.intp)]
    for tool in range(int(of.tool_of.max(initial=-1)) + 1):  # a few dozen tubes and tools
        mine = np.flatnonzero((of.tool_of == tool) & ~of.packed)
        o, i = np.meshgrid(mine, mine, indexing="ij")
        room = fit.layer_gap(of.D_c[i], of.D_c[o], of.d_o[o])
        fits = np.nonzero(room >= fit.LAYER_GAP)
        outer.append(o[fits])
        inner.append(i[fits])
    o, i = np.concatenate(outer), np.concatenate(inner)
    # Between the layers of two tubes the inner one's bottom riser must climb.
    riser = fit.layer_gap_for_riser(of.D_c[i], of.R_b[i], of.d_o[i], riser_inside)
    on_tees = np.flatnonzero((fit.layer_gap(of.D_c[i], of.D_c[o], of.d_o[o]) >= riser) & of.tees[o])
    good = {n: on_tees if x.tees else slice(None) for n, x in with_layers(2).items() if x.name in layouts}
    return _laid_out(of, ((number, o[places], i[places]) for number, places in good.items()))


def fittings(basis: DesignBasis) -> list[cost.FittingOffer]:
    """The list of fittings as the bill understands it; nothing for a tap where there is none."""
    return [
        cost.FittingOffer(
            fitting_id=f.fitting_id,
            description=f.description,
            price=f.price or 0.0,
            owned=f.owned,
            outer_diameter=f.outer_diameter,
            joint=f.joint or "",
            used_at=f.used_at,
            per=f.per,
        )
        for f in basis.stock.fittings
        if f.used_at != "tap" or basis.brewhouse.tap is not None
    ]
