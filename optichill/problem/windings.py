"""Numbers of every winding: tube, tool and form (or two forms) that are wound together, as arrays.

What a gap and a number of turns do not change is worked out here, once a winding; rows look it up.

Layers are wound on bare forms: card tunes the one diameter of a single layer, and of two forms there is
choice enough. With packing on both, the space is six times as large and the best build of each layout the
same to four digits. Both layers have the same gap and number of turns. Where the list has no tee, two tubes
on tees are not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optichill.arrays import Array, Index, Mask
from optichill.geometry import kinking, springback
from optichill.geometry.helix import inside_diameter, metal_area
from optichill.geometry.strips import thick_ones
from optichill.layouts import trait, with_layers
from optichill.model.stock import Form, Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.mates import Mates
from optichill.problem.plumbing import fittings, hoses
from optichill.problem.riser_tools import RiserTool, riser_tools
from optichill.problem.rolls import rolls_of
from optichill.workshop import difficulty
from optichill.workshop.fittings import cheapest_end_set, to_pay

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


MOST_WINDINGS = 60_000
"""Single windings in one space: their columns, and those of their gaps, take 60 MB. Of more a sample."""


@dataclass(frozen=True)
class Windings:
    """All single windings by number, each made when it is asked for: tube by tube, tool by tool, form by
    form, bare and packed out, in an order that does not depend on the lists' order.

    ways : tube and tool; way, form, wraps : of each winding, by place; of : how many there are to choose
    from, more than there are here where a sample was taken; left_out, spared, mates : as in `Rolls`.
    """

    ways: tuple[tuple[Tube, RiserTool], ...]
    forms: tuple[Form, ...]
    way: Index
    form: Index
    wraps: Index
    of: int
    left_out: int = 0
    spared: Mapping[str, float] = field(default_factory=dict)
    mates: Mapping[str, tuple[Tube, ...]] = field(default_factory=dict)

    def __len__(self) -> int:
        return int(self.way.size)

    @property
    def per_way(self) -> int:
        """How many windings each tube and tool has."""
        return max(len(self.forms) * len(WRAPS), 1)

    @property
    def number(self) -> Index:
        """Place of each among all that there are to choose from."""
        return self.way * self.per_way + self.form * len(WRAPS) + self.wraps

    def at(self, number: Index, of: int) -> Windings:
        """Those in these places; of : how many there are to choose from."""
        way, place = np.divmod(number, self.per_way)
        form, wraps = np.divmod(place, len(WRAPS))
        return replace(self, way=way, form=form, wraps=wraps, of=of)

    def __getitem__(self, number: int) -> Winding:
        tube, tool = self.ways[self.way[number]]
        return Winding(tube, tool, self.forms[self.form[number]], int(self.wraps[number]))

    def __iter__(self) -> Iterator[Winding]:
        return (self[number] for number in range(len(self)))


def windings(
    basis: DesignBasis,
    *,
    tube: str | None = None,
    form: str | None = None,
    most: int = MOST_WINDINGS,
    beaten: bool = False,
) -> Windings:
    """All single windings of the rolls that no other beats, or an even sample of about `most` where there are
    more.

    tube, form : stock_id or form_id to keep to one; beaten : take every roll, whether another beats it or
    not.
    """
    stock, shop = basis.stock, basis.brewhouse.workshop
    rolls = rolls_of(basis, tube, beaten=beaten)
    # A coil cannot be slid off a form that is closed or flanged at both ends.
    forms = [f for f in stock.forms if form in (None, f.form_id) and f.open_end]
    if shop.forms_owned_only:
        forms = [f for f in forms if f.owned]
    forms.sort(key=lambda f: f.form_id)
    ways = tuple((t, tool) for t in rolls.kept for tool in riser_tools(t, stock))
    every = len(ways) * len(forms) * len(WRAPS)
    number = _evenly(len(ways), forms, -(-every // most)) if every > most else np.arange(every)
    none = number[:0]
    known = rolls.left_out, rolls.spared, rolls.mates
    return Windings(ways, tuple(forms), none, none, none, 0, *known).at(number, every)


def _evenly(ways: int, forms: list[Form], step: int) -> Index:
    """Numbers of every `step`th winding: of each tube and tool forms of even steps in diameter, beginning
    with another form each time, so that every tube and every form take part."""
    by_size = np.array(sorted(range(len(forms)), key=lambda n: forms[n].outer_diameter), dtype=np.intp)
    places = np.concatenate([by_size * len(WRAPS) + w for w in range(len(WRAPS))])
    return np.concatenate([np.sort(places[way % step :: step]) + way * places.size for way in range(ways)])


@dataclass(frozen=True)
class WindingTable:
    """Numbers of every single winding, arrays of shape (windings,). D_c relaxed mean diameter; springback k;
    the rest as named, SI. price of tube, form and tool is what is to be paid; of the ends and their joints,
    once for one tube and once for two on tees; mates : by tool_of; tees : whether the list has what two tubes
    need."""

    tool_of: Index  # windings with the same tube and tool share a number
    d_o: Array
    d_i: Array
    conductivity: Array
    metal_per_length: Array  # J/K per m
    roll: Array
    spared: Array  # as in `Rolls`
    roll_price: Array
    tube_price: Array  # of a roll, owned or not
    roll_owned: Mask
    mates: Mates
    D_form: Array
    D_c: Array
    D_c_wide: Array  # of tube that springs most
    springback: Array
    R_free: Array
    R_b: Array
    R_b_least: Array
    form: Index
    form_height: Array
    form_price: Array
    tool_price: Array
    ends_price: Array
    ends_price_two: Array
    lacing_pieces: Array
    lacing_per_metre: Array
    feet_per_metre: Array
    moment: Array
    by_hand: Mask
    one_bend: Array
    joints: Array
    joints_two: Array
    tees: Mask
    packed: Mask
    made: Mask
    plainness: Array


def winding_table(found: Windings, basis: DesignBasis) -> WindingTable:
    """Columns of all single windings. Loops over tubes and forms, not windings: the lists' models are read
    here once."""

    def of_way(value: Callable[[Tube, RiserTool], float]) -> Array:
        return np.array([value(*way) for way in found.ways], dtype=np.float64)[found.way]

    def of_tube(value: Callable[[Tube], float]) -> Array:
        return of_way(lambda tube, _: value(tube))

    def of_tool(value: Callable[[RiserTool], float]) -> Array:
        return of_way(lambda _, tool: value(tool))

    def of_form(value: Callable[[Form], float]) -> Array:
        return np.array([value(form) for form in found.forms], dtype=np.float64)[found.form]

    list_of, hose = fittings(basis), hoses(basis)
    kinds = {_kind(tube) for tube, _ in found.ways}
    ends = {kind: cheapest_end_set(list_of, kind[0], hose, 1, kind[1]) for kind in kinds}
    two = {kind: cheapest_end_set(list_of, kind[0], hose, 2, kind[1]) for kind in kinds}
    d_o = of_tube(lambda t: t.outer_diameter)
    wall = of_tube(lambda t: t.wall)
    d_i = inside_diameter(d_o, wall)
    rewound = of_tube(_rewound).astype(bool)
    Y = of_tube(lambda t: springback.flow_stress(t.metal, _rewound(t)))
    E = of_tube(lambda t: t.metal.youngs_modulus)
    D_form = of_form(lambda f: f.outer_diameter) + 2.0 * PACKING * found.wraps
    on_form = springback.mean_diameter_on_form(D_form, d_o) / 2.0
    k = springback.springback_ratio(d_o, d_i, on_form, Y, E)
    strongest = of_tube(lambda t: springback.strongest(t.metal, _rewound(t)))
    k_most = springback.springback_ratio(d_o, d_i, on_form, strongest, E)
    K_r = of_tube(lambda t: t.metal.bend_hardness)
    R_b = of_tool(lambda tool: tool.radius)
    light = d_o / wall > kinking.LIGHT_WALL_RATIO
    return WindingTable(
        tool_of=found.way,
        d_o=d_o,
        d_i=d_i,
        conductivity=of_tube(lambda t: t.metal.conductivity),
        metal_per_length=metal_area(d_o, d_i) * of_tube(lambda t: t.metal.density * t.metal.heat_capacity),
        roll=of_tube(lambda t: t.length),
        spared=of_tube(lambda t: found.spared.get(t.stock_id, 0.0)),
        tube_price=of_tube(lambda t: t.price or 0.0),
        roll_price=of_tube(lambda t: to_pay(t.price or 0.0, t.owned)),
        roll_owned=of_tube(lambda t: t.owned).astype(bool),
        mates=Mates.of(found.mates, (tube for tube, _ in found.ways)),
        D_form=D_form,
        D_c=springback.relaxed_mean_diameter(D_form, d_o, k),
        D_c_wide=springback.relaxed_mean_diameter(D_form, d_o, k_most),
        springback=k,
        R_free=kinking.free_winding_radius(d_o, wall, of_tube(lambda t: t.metal.poisson), rewound),
        R_b=R_b,
        R_b_least=of_tool(lambda tool: tool.smallest),
        form=found.form,
        form_height=of_form(lambda f: f.height),
        form_price=of_form(lambda f: to_pay(f.price or 0.0, f.owned)),
        tool_price=of_tool(lambda tool: tool.to_pay),
        ends_price=of_tube(lambda t: ends[_kind(t)].price),
        ends_price_two=of_tube(lambda t: two[_kind(t)].price),
        lacing_pieces=of_tube(lambda t: ends[_kind(t)].lacing_pieces_price),
        lacing_per_metre=of_tube(lambda t: ends[_kind(t)].lacing_per_metre),
        feet_per_metre=of_tube(lambda t: ends[_kind(t)].feet_per_metre),
        moment=springback.full_plastic_moment(d_o, d_i, Y),
        by_hand=of_tool(lambda tool: tool.kind == "hand").astype(bool),
        one_bend=difficulty.bend_factor(K_r, d_o, wall, R_b, np.pi / 2.0),
        joints=of_tube(lambda t: ends[_kind(t)].joint_effort),
        joints_two=of_tube(lambda t: two[_kind(t)].joint_effort),
        tees=of_tube(lambda t: not list_of or "tee" not in two[_kind(t)].missing).astype(bool),
        packed=found.wraps > 0,
        made=of_form(lambda f: f.made).astype(bool),
        # Smaller is plainer: a form of the list, bare, then standard wall, then a tool that is at hand.
        plainness=4.0 * found.wraps
        + 12.0 * of_form(lambda f: f.made)
        + 2.0 * light
        + of_tool(lambda tool: not tool.owned),
    )


def _kind(tube: Tube) -> tuple[float, tuple[str, ...]]:
    """What decides which fittings a tube takes."""
    return tube.outer_diameter, tube.metal.wire


def _rewound(tube: Tube) -> bool:
    """Half hard tube counts as wound a second time."""
    return tube.temper == "half hard"


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

    def joined(self, *others: Setups) -> Setups:
        """These set-ups, then the others."""
        every = (self, *others)
        return Setups(
            self.of,
            np.concatenate([s.outer for s in every]),
            np.concatenate([s.inner for s in every]),
            np.concatenate([s.layout for s in every]),
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

    def spares(self, places: Index | slice = slice(None)) -> tuple[Array, Array]:
        """Half a turn more than wanted is wound at the end of each tube: it lets the risers be brought to
        their side. Of the outer layer, and of an inner one of a tube of its own [m], else 0."""
        d_o = self.get("d_o", places)
        outer = 0.5 * np.pi * springback.mean_diameter_on_form(self.get("D_form", places), d_o)
        inner = 0.5 * np.pi * springback.mean_diameter_on_form(self.inside("D_form", places), d_o)
        return outer, np.where(self.trait("tees", places), inner, 0.0)

    def fixed_cost(self, places: Index | slice = slice(None)) -> Array:
        """Price of one roll, of the forms that are wound on, tool and ends. Where one tube makes both layers
        the outer one is wound over strips on the inner one, and takes no form; two coils that are wound on
        one form, packed out for the outer one, take it once."""
        tees = self.trait("tees", places)
        ends = np.where(tees, self.get("ends_price_two", places), self.get("ends_price", places))
        form = np.where(self.trait("crossing", places), 0.0, self.get("form_price", places))
        again = ~self.trait("crossing", places) & (self.get("form", places) == self.inside("form", places))
        second_form = np.where(self.two(places) & ~again, self.inside("form_price", places), 0.0)
        own = sum(self.get(n, places) for n in ("roll_price", "tool_price"))
        return np.asarray(own + form + second_form + ends)

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
        packed, made = (
            self.get(name, places).astype(bool) | self.inside(name, places).astype(bool)
            for name in ("packed", "made")
        )
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
            # Strips, planed and tied round the inner layer, are a form that has to be made.
            form=np.select(
                [self.trait("crossing", places) | made, packed],
                [difficulty.FORMS["to be made"], difficulty.FORMS["packed"]],
                difficulty.FORMS["on the shelf"],
            ),
            gap=np.where(np.asarray(gap) > 0.0, difficulty.GAPS["laced"], difficulty.GAPS["touching"]),
            # Over a crossing both ends leave from the top: none climbs inside.
            riser_inside=riser_inside & ~self.trait("crossing", places),
            strips=self.strips(places),
        )

    def strips(self, places: Index | slice) -> Array:
        """What is to be planed between two layers of one tube, as `thick_ones` has it; 0 for others."""
        crossing = self.trait("crossing", places).astype(bool)
        found = np.zeros(crossing.shape)
        if crossing.any():
            inner, outer, d_o = (
                of[crossing]
                for of in (self.inside("D_form", places), self.get("D_form", places), self.get("d_o", places))
            )
            found[crossing] = thick_ones(inner, outer, d_o, PACKING)
        return found


def single_setups(of: WindingTable, layouts: Collection[str]) -> Setups:
    """One layer on each winding, in each layout asked for."""
    every = np.arange(of.d_o.size)
    none = Setups(of, every[:0], every[:0], np.empty(0, np.int8))
    return none.joined(
        *(laid_out(of, n, every, every) for n, x in with_layers(1).items() if x.name in layouts)
    )


def laid_out(of: WindingTable, layout: int, outer: Index, inner: Index) -> Setups:
    """Windings as outer and inner layer in one layout."""
    return Setups(of, outer, inner, np.full(outer.size, layout, np.int8))
