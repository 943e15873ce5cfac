"""Every coil that could be wound: tube and riser tool x form and lagging x gap x turns.

What a gap and a number of turns do not change is worked out once per tube-tool-form combination ("pair")
and looked up by row. Rows are numbered, so that a design can be made again from its number alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from optichill.build import bending, cost, difficulty, risers
from optichill.build.helix import Array, inside_diameter, metal_area, turns_in_length
from optichill.errors import OptichillError
from optichill.inputs.stock import Bender, Form, Stock, Tube
from optichill.materials import MATERIALS
from optichill.search.setting import Setting

LAGGING = 0.003
"""Thickness of one wrap of card round the form [m]; the form is used bare, or lagged once or twice."""
WRAPS = (0, 1, 2)

FEWEST_TURNS = 2.0
BEYOND_ROLL = 1.1
"""Turns go on to this share of the roll, so that a nothing-fits answer can say how much longer it must be."""

Index = NDArray[np.intp]


@dataclass(frozen=True)
class RiserTool:
    """How the bends up to the rim are made. kind: lever | spring | hand; to_pay 0 when owned or by hand."""

    kind: str
    radius: float
    smallest: float
    to_pay: float
    owned: bool
    description: str
    bender: Bender | None

    @property
    def holds(self) -> bool:
        """Whether the tube takes the bend."""
        return self.radius >= self.smallest * (1.0 - 1e-9)


def riser_tools(tube: Tube, stock: Stock) -> tuple[RiserTool, ...]:
    """The ways open to bend this tube's risers: the best tool owned; else by hand, or with a tool to buy."""
    fitting = [b for b in stock.benders if abs(b.outer_diameter - tube.outer_diameter) <= cost.MATCH + 1e-9]
    tools = [_tool(tube, b.kind, b) for b in fitting]
    owned = [t for t in tools if t.owned and t.holds]
    if owned:
        return (min(owned, key=lambda t: (t.kind != "lever", t.radius, t.description)),)
    ways = [_tool(tube, "hand", None)]
    for kind in ("lever", "spring", "hand"):
        offers = [t for t in tools if t.kind == kind and t.holds]
        if offers:
            ways.append(min(offers, key=lambda t: (t.to_pay, t.radius, t.description)))
    feasible = tuple(w for w in ways if w.holds)
    return feasible or tuple(ways[:1])


def _tool(tube: Tube, kind: str, bender: Bender | None) -> RiserTool:
    metal = MATERIALS[tube.material]
    by_hand = bending.riser_bend_radius(tube.outer_diameter, tube.wall, metal.poisson, kind)
    radius = float(by_hand) if bender is None else bender.bend_radius
    d_o, t = tube.outer_diameter, tube.wall
    return RiserTool(
        kind,
        radius,
        float(bending.riser_bend_minimum(d_o, t, metal.poisson, kind, tube.material != "copper")),
        0.0 if bender is None else cost.to_pay(bender.price or 0.0, bender.owned),
        bender is None or bender.owned,
        "by hand" if bender is None else bender.bender_id,
        bender,
    )


@dataclass(frozen=True)
class Winding:
    """One tube, tool, form and lagging, with the names behind the numbers."""

    tube: Tube
    tool: RiserTool
    form: Form
    wraps: int


@dataclass(frozen=True)
class Pairs:
    """Numbers of every winding, arrays of shape (pairs,). D_c relaxed mean diameter; springback k; rho
    winding margin; ends price and joints of the fittings; the rest as named, SI."""

    d_o: Array
    d_i: Array
    conductivity: Array
    metal_per_length: Array  # J/K per m
    roll: Array
    D_form: Array
    D_c: Array
    springback: Array
    R_free: Array
    R_b: Array
    R_b_least: Array
    form_height: Array
    fixed_cost: Array
    lacing_pieces: Array
    lacing_per_height: Array
    moment: Array
    rho_bends: Array
    bends: Array
    tool_fits: NDArray[np.bool_]
    joints: Array
    form_term: Array
    plainness: Array


@dataclass(frozen=True)
class Space:
    """The rows of the search: a pair with a gap makes a helix, a helix with a number of turns a row.

    pair, gap [m] of each helix; turns go up from `fewest` by `step`; first_row of each helix, and the end.
    """

    setting: Setting
    windings: tuple[Winding, ...]
    pairs: Pairs
    pair: Index
    gap: Array
    fewest: float
    step: float
    first_row: Index

    @property
    def size(self) -> int:
        """Number of rows."""
        return int(self.first_row[-1])

    def chunks(self, rows: int) -> Iterator[Index]:
        """Row numbers in chunks: memory stays flat however many there are."""
        for start in range(0, self.size, rows):
            yield np.arange(start, min(start + rows, self.size))

    def decode(self, rows: Index) -> tuple[Index, Array, Array]:
        """Pair number, gap [m] and turns of each row."""
        helix = np.searchsorted(self.first_row, rows, side="right") - 1
        turns = np.asarray(self.fewest + self.step * (rows - self.first_row[helix]), dtype=np.float64)
        return self.pair[helix], self.gap[helix], turns


def space(setting: Setting, *, tube: str | None = None, form: str | None = None) -> Space:
    """All rows for a setting, in an order that does not depend on the lists' order.

    tube, form : stock_id or form_id to keep to one.
    """
    stock, shop = setting.stock, setting.brewhouse.workshop
    tubes = [t for t in stock.tubing if t.temper != "hard" and tube in (None, t.stock_id)]
    # A coil cannot be slid off a form that is closed or flanged at both ends.
    forms = [f for f in stock.forms if form in (None, f.form_id) and f.open_end]
    if shop.forms_owned_only:
        forms = [f for f in forms if f.owned]
    windings = tuple(
        Winding(t, tool, f, wraps)
        for t in sorted(tubes, key=lambda t: t.stock_id)
        for tool in riser_tools(t, stock)
        for f in sorted(forms, key=lambda f: f.form_id)
        for wraps in WRAPS
    )
    pairs = _pairs(windings, setting)
    of_size = {
        d_o: gap_choices(d_o, shop.smallest_gap, shop.marking_increment)
        for d_o in {t.outer_diameter for t in tubes}
    }
    gaps = [of_size[w.tube.outer_diameter] for w in windings]
    pair = np.repeat(np.arange(len(windings)), [g.size for g in gaps])
    gap = np.concatenate([*gaps, np.empty(0)])
    fewest = float(risers.turn_choices(shop.riser_sides, FEWEST_TURNS, FEWEST_TURNS + 1.0)[0])
    step = risers.TURN_STEPS[shop.riser_sides]
    most = _most_turns(pairs, pair, gap, setting.brewhouse.kettle.inside_height)
    count = np.maximum(np.floor((most - fewest) / step + 1e-9) + 1.0, 0.0).astype(np.intp)
    first_row = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
    return Space(setting, windings, pairs, pair, gap, fewest, step, first_row)


def _most_turns(pairs: Pairs, pair: Index, gap: Array, rim: float) -> Array:
    """Turns beyond which no answer needs to look: the helix alone takes more than the roll and a little, or
    stands higher than the rim."""
    d_o = pairs.d_o[pair]
    by_roll = turns_in_length(BEYOND_ROLL * pairs.roll[pair], pairs.D_c[pair], d_o + gap)
    return np.minimum(by_roll, (rim - d_o) / (d_o + gap))


def gap_choices(d_o: float, smallest: float, increment: float) -> Array:
    """Gaps between turns [m] in the marking increment, from the smallest allowed to one tube diameter or the
    next mark above: wider than that buys nothing."""
    low = int(np.ceil(smallest / increment - 1e-9))
    high = max(low, int(np.ceil(d_o / increment - 1e-9)))
    return np.asarray(increment * np.arange(low, high + 1), dtype=np.float64)


def _pairs(windings: tuple[Winding, ...], setting: Setting) -> Pairs:
    """Columns of all windings. Loops over windings, not designs: a thousand of them at most stand behind a
    million rows, and the lists' models are read here once."""

    def column(value: object) -> Array:
        return np.array([value(w) for w in windings], dtype=np.float64)  # type: ignore[operator]

    ends = {
        t.outer_diameter: cost.cheapest_end_set(fittings(setting.stock), t.outer_diameter)
        for t in {w.tube.stock_id: w.tube for w in windings}.values()
    }
    d_o = column(lambda w: w.tube.outer_diameter)
    wall = column(lambda w: w.tube.wall)
    d_i = inside_diameter(d_o, wall)
    metal = [MATERIALS[w.tube.material] for w in windings]
    rewound = np.array([w.tube.temper == "half hard" for w in windings], dtype=bool)
    Y = np.array([bending.flow_stress(m, bool(r)) for m, r in zip(metal, rewound, strict=True)])
    E = np.array([m.youngs_modulus for m in metal])
    poisson = np.array([m.poisson for m in metal])
    D_form = column(lambda w: w.form.outer_diameter + 2.0 * LAGGING * w.wraps)
    on_form = bending.mean_diameter_on_form(D_form, d_o)
    k = bending.springback_ratio(d_o, d_i, on_form / 2.0, Y, E)
    R_free = bending.free_winding_radius(d_o, wall, poisson, rewound)
    R_b = column(lambda w: w.tool.radius)
    by_hand = np.array([w.tool.kind == "hand" for w in windings], dtype=bool)
    K_r = np.array([difficulty.BEND_METALS[w.tube.material.split()[0]] for w in windings])
    one_bend = difficulty.bend_factor(K_r, d_o, wall, R_b, np.pi / 2.0)
    return Pairs(
        d_o=d_o,
        d_i=d_i,
        conductivity=np.array([m.conductivity for m in metal]),
        metal_per_length=metal_area(d_o, d_i) * np.array([m.density * m.heat_capacity for m in metal]),
        roll=column(lambda w: w.tube.length),
        D_form=D_form,
        D_c=bending.relaxed_mean_diameter(D_form, d_o, k),
        springback=k,
        R_free=R_free,
        R_b=R_b,
        R_b_least=column(lambda w: w.tool.smallest),
        form_height=column(lambda w: w.form.height),
        fixed_cost=column(
            lambda w: (
                cost.to_pay(w.tube.price or 0.0, w.tube.owned)
                + cost.to_pay(w.form.price or 0.0, w.form.owned)
                + w.tool.to_pay
                + ends[w.tube.outer_diameter].price
            )
        ),
        lacing_pieces=column(lambda w: ends[w.tube.outer_diameter].lacing_pieces_price),
        lacing_per_height=column(lambda w: ends[w.tube.outer_diameter].lacing_price_per_height),
        moment=bending.full_plastic_moment(d_o, d_i, Y),
        rho_bends=np.where(by_hand, bending.winding_margin(R_b, R_free), np.inf),
        bends=RISER_BENDS * one_bend,
        tool_fits=~by_hand,
        joints=column(lambda w: ends[w.tube.outer_diameter].joint_effort),
        form_term=column(lambda w: difficulty.FORMS["lagged" if w.wraps else "on the shelf"]),
        plainness=column(_plainness),
    )


RISER_BENDS = 4
"""Two bends a riser: up from the turn, and out over the rim."""


def _plainness(w: Winding) -> float:
    """Smaller is plainer: bare form first, then standard wall, then a tool that is at hand."""
    light = w.tube.outer_diameter / w.tube.wall > bending.LIGHT_WALL_RATIO
    return 4.0 * w.wraps + 2.0 * light + (not w.tool.owned)


def fittings(stock: Stock) -> list[cost.Fitting]:
    """The list of fittings as the bill understands it."""
    return [
        cost.Fitting(
            fitting_id=f.fitting_id,
            description=f.description,
            price=f.price or 0.0,
            owned=f.owned,
            outer_diameter=f.outer_diameter,
            joint=f.joint or "",
            used_at=f.used_at,
            per=f.per,
        )
        for f in stock.fittings
    ]


class UnknownId(OptichillError):
    """An id that is not in the stock lists."""


def known_id(stock: Stock, *, tube: str | None, form: str | None) -> None:
    """Refuse an id that is not in the lists, with the nearest ones."""
    for given, ids, where in (
        (tube, [t.stock_id for t in stock.tubing], "tubing.csv: stock_id"),
        (form, [f.form_id for f in stock.forms], "forms.csv: form_id"),
    ):
        if given is not None and given not in ids:
            near = get_close_matches(given, ids, n=3, cutoff=0.3) or ids[:3]
            raise UnknownId(f"{where}: {given}: not in the list (allowed: {', '.join(near)} ...)")
