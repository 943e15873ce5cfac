"""A brewhouse so small that every coil of it can be worked out one by one, written into a folder.

The lists are rows of cells, so that a test can edit, drop or shuffle them. Sizes of tube are those of
EN 12735-1 and ASTM A269 rolls (M); prices are invented.
"""

from __future__ import annotations

import copy
import csv
import itertools
import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from optichill.files.reading import load
from optichill.geometry import fit, kinking, risers, springback
from optichill.materials import MATERIALS
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.draws import Draws
from optichill.rating.likely import samples
from optichill.search.pilots import sureness
from optichill.search.space import space
from optichill.search.sureness import Sureness
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import LONGEST, chill
from optichill.workshop import difficulty
from optichill.workshop.fittings import FittingOffer, Hoses, cheapest_end_set

Row = dict[str, str]
Lists = dict[str, list[Row]]

HEADS = {
    "tubing": "stock_id description material temper outer_diameter wall length price owned checked source",
    "forms": "form_id description outer_diameter circumference height open_end owned price",
    "benders": "bender_id kind outer_diameter bend_radius owned price",
    "fittings": "fitting_id description outer_diameter bore joint used_at per owned price metal",
    "pumps": "pump_id description max_flow max_head max_temperature owned price",
}
ROWS = {
    "tubing": """\
cu-10-10|soft copper|copper|annealed|10 mm|1 mm|10 m|41|no|2026-11-01|invented
cu-12-15|soft copper|copper|annealed|12 mm|1 mm|15 m|71|no|2026-11-01|invented
ss-10-15|annealed stainless|stainless 304|annealed|10 mm|1 mm|15 m|97|no|2026-11-01|invented
cu-10-hard|straight length|copper|hard|10 mm|1 mm|5 m|20|no|2026-11-01|invented""",
    "forms": """\
pot|stock pot|250 mm||25 cm|yes|yes|15
pipe|pipe off-cut|180 mm||40 cm|yes|no|8
tin|round tin||72.5 cm|24 cm|yes|no|6
keg|slim keg, flanged at both ends|235 mm||50 cm|no|yes|15""",
    "benders": """\
lever-10|lever|10 mm|30 mm|no|28
lever-12|lever|12 mm|36 mm|yes|31
spring-10|spring|10 mm|40 mm|no|9""",
    "fittings": """\
comp-10|compression end|10 mm||compression||piece|no|7|
comp-12|compression end|12 mm||compression||piece|no|7.5|
barb-12|barbed end|12 mm||barb||piece|no|2.2|
hose-out|silicone hose||12.5 mm||outlet|m|no|4|
wire|copper wire||||turns|m|no|0.8|
tee|tee for hose|||hose and clamp|tee|piece|no|4.5|
clamp|worm clamp||||clamp|piece|no|0.5|""",
    "pumps": """\
small|pump|10 L/min|3 m|60 degC|no|29""",
}
HOUSE: dict[str, Any] = {
    "name": "Small kettle",
    "kettle": {"inside_diameter": "36 cm", "inside_height": "40 cm"},
    "wort": {"volume": "23 L", "mixing": "now and then"},
    "tap": {"temperature": "12 degC", "open_flow": "10 L in 45 s", "static_pressure": "3 bar"},
    "workshop": {
        "marking_increment": "2.5 mm",
        "smallest_gap": "5 mm",
        "layouts": ["single"],
        "flow_settings": ["full"],
    },
    "limits": {},
    "wishes": {},
}

TAP_THEN_ICE = """
[[cooling]]
source = "tap"
until = "40 degC"

[[cooling]]
source = "ice bath"
pump = "small"
water = "10 L"
ice = "8 kg"
"""


def lists() -> Lists:
    """A fresh copy of all lists."""
    return {
        name: [dict(zip(HEADS[name].split(), line.split("|"), strict=True)) for line in text.splitlines()]
        for name, text in ROWS.items()
    }


def write(folder: Path, house: dict[str, Any] | None = None, stock: Lists | None = None) -> Path:
    """The folder with brewhouse.toml and the lists; `house` holds the tables and keys that differ."""
    folder.mkdir(parents=True, exist_ok=True)
    tables = copy.deepcopy(HOUSE)
    for key, value in (house or {}).items():
        tables[key] = {**tables.get(key, {}), **value} if isinstance(value, dict) else value
    (folder / "brewhouse.toml").write_text(toml(tables), encoding="utf-8")
    for name, rows in (stock or lists()).items():
        with open(folder / f"{name}.csv", "w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, HEADS[name].split(), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    return folder


def of(folder: Path, house: dict[str, Any] | None = None, stock: Lists | None = None) -> DesignBasis:
    """Written, read back and ready to search."""
    return design_basis(load(write(folder, house, stock)))


def toml(tables: dict[str, Any]) -> str:
    """Tables as a brewhouse file has them."""
    plain = [f"{k} = {_value(v)}" for k, v in tables.items() if not isinstance(v, dict)]
    for name, table in tables.items():
        if isinstance(table, dict):
            plain += ["", f"[{name}]", *(f"{k} = {_value(v)}" for k, v in table.items())]
    return "\n".join(plain) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    return json.dumps(value, ensure_ascii=False)


# --- every coil, one by one: nothing left out early, nothing looked up ------------------------------------

REACHED = "winding_radius riser_bend wall floor submergence riser_gap riser_height headspace gap layer_gap"
SENSE = dict.fromkeys([*REACHED.split(), "centre"], -1)
"""-1: the value must not fall below the bound; all other limits: not exceed it."""

Key = tuple[str, str, str, str, int, str, int, float, float]
"""stock_id, tool, layout, outer form, wraps, inner form ("" without), gap in 0.1 mm, turns, valve share."""


@dataclass(frozen=True)
class Every:
    """All coils: goals (n, 4); value and bound of each limit (n,)."""

    key: list[Key]
    goals: np.ndarray
    value: dict[str, np.ndarray]
    bound: dict[str, np.ndarray]

    def broken(self, moved: dict[str, float] | None = None) -> dict[str, np.ndarray]:
        """Which coils break which limit, with some bounds moved to a number."""
        return {
            name: SENSE.get(name, 1) * (value - (moved or {}).get(name, self.bound[name]))
            > 1e-9 * np.maximum(np.abs(self.bound[name]), 0.01)
            for name, value in self.value.items()
        }

    def holds(self, moved: dict[str, float] | None = None) -> np.ndarray:
        """Coils that break nothing."""
        return ~np.any(list(self.broken(moved).values()), axis=0)

    def patterns(self) -> list[frozenset[str]]:
        """The sets of limits that coils break, each once."""
        broken = self.broken()
        names = list(broken)
        rows = np.unique(np.array(list(broken.values())).T, axis=0).tolist()
        return [frozenset(n for n, b in zip(names, row, strict=True) if b) for row in rows]

    def blocking(self, largest: int = 99) -> set[frozenset[str]]:
        """Minimal sets of limits, of at most `largest`, of which every coil breaks at least one: by trying
        all subsets."""
        patterns = self.patterns()
        names = sorted(set().union(*patterns))
        found: list[frozenset[str]] = []
        for size in range(1, min(len(names), largest) + 1):
            for chosen in map(frozenset, itertools.combinations(names, size)):
                if not any(f <= chosen for f in found) and all(chosen & p for p in patterns):
                    found.append(chosen)
        return set(found)


@dataclass(frozen=True)
class Wound:
    """One layer: its form, and what becomes of the tube on it."""

    form: Any
    wraps: int
    D_form: float  # over the tube's centres
    k: float
    k_most: float  # of metal as strong as its band allows

    @property
    def widest(self) -> float:
        return self.D_form / self.k_most

    @property
    def D_c(self) -> float:
        return self.D_form / self.k


def every_coil(s: DesignBasis, *, kept: bool = True) -> Every:
    """Plain loops over lists, layouts, packing, gaps, turns and valve; each coil computed by itself. kept :
    the limit on time is held against the time that is kept with its chance, as `recommend` does."""
    found = [{**coil, "checks": {**coil["checks"]}} for coil in _coils(s)]
    for name, key in (("budget", "cost"), ("difficulty", "difficulty")):
        most = getattr(s.brewhouse.limits, name)
        for coil in found if most is not None else ():
            coil["checks"][name] = (coil[key], most)
    every = _every(s, found, _chill(s, found, sureness(space(s), s.scenario) if kept else None))
    if kept and "chill_time" in every.value and not every.holds().any():
        _settle(s, found, every)
    return every


COILS: dict[str, list[dict[str, Any]]] = {}
"""The coils of a brewhouse, by its text without its limits: many a test changes those alone."""


def _coils(s: DesignBasis) -> list[dict[str, Any]]:
    bare = s.brewhouse.model_copy(update={"limits": None, "stock": None})
    text = repr((bare, s.stock))
    if text not in COILS:
        COILS[text] = _all_coils(s)
    return COILS[text]


def _all_coils(s: DesignBasis) -> list[dict[str, Any]]:
    shop, found = s.brewhouse.workshop, []
    for tube in s.stock.tubing:
        if tube.temper == "hard":
            continue
        gaps = _gaps(tube.outer_diameter, shop.smallest_gap, shop.marking_increment)
        for tool in _tools(s, tube):
            for layout, layers in _layouts(s, tube, tool):
                for gap in gaps:
                    found += _turns(s, tube, tool, layout, layers, gap)
    return found


def _gaps(d_o: float, smallest: float, step: float) -> list[float]:
    marks = [step * i for i in range(1000) if step * i >= smallest - 1e-9]
    return [*(g for g in marks if g < d_o - 1e-9), next(g for g in marks if g >= d_o - 1e-9)]


def _tools(s: DesignBasis, tube: Any) -> list[tuple[str, float, float, float]]:
    """(name, radius, smallest radius, to pay) of each way to bend a riser."""
    d_o, t, metal = tube.outer_diameter, tube.wall, MATERIALS[tube.material]
    by_hand = 1.1 * float(kinking.free_winding_radius(d_o, t, metal.poisson))
    ways = [("hand", by_hand, by_hand if metal.bent_freehand else np.inf, 0.0)]
    for b in s.stock.benders:
        if abs(b.outer_diameter - d_o) > 1.01e-4 or b.kind == "hand":
            continue
        least = float(metal.lever_minimum(d_o, t))
        radius = b.bend_radius if b.kind == "lever" else 4.0 * d_o
        way = (b.bender_id, radius, least if b.kind == "lever" else 4.0 * d_o, b.cost)
        if b.owned and radius >= least * (1 - 1e-9):
            return [way]
        ways.append(way)
    usable = [w for w in ways if w[1] >= w[2] * (1 - 1e-9)]
    return usable or ways[:1]


def _flow_stress(tube: Any) -> float:
    metal = MATERIALS[tube.material]
    return metal.yield_rewound if tube.temper == "half hard" else metal.yield_effective


def _wound(tube: Any, form: Any, wraps: int) -> Wound:
    d_o, E = tube.outer_diameter, MATERIALS[tube.material].youngs_modulus
    D = form.outer_diameter + 0.006 * wraps + d_o
    k = springback.springback_ratio(d_o, d_o - 2 * tube.wall, D / 2, _flow_stress(tube), E)
    metal, rewound = MATERIALS[tube.material], tube.temper == "half hard"
    most = metal.rewound_band[1] if rewound else metal.yield_band[1]
    k_most = springback.springback_ratio(d_o, d_o - 2 * tube.wall, D / 2, most, E)
    return Wound(form, wraps, D, float(k), float(k_most))


def _layouts(s: DesignBasis, tube: Any, tool: Any) -> list[tuple[str, list[Wound]]]:
    """Every layout with the layers that make it, the outer one first."""
    shop, d_o, R_b = s.brewhouse.workshop, tube.outer_diameter, tool[1]
    forms = [f for f in s.stock.forms if f.open_end and (f.owned or not shop.forms_owned_only)]
    single = [("single", [_wound(tube, f, wraps)]) for f in forms for wraps in range(3)]
    made: list[tuple[str, list[Wound]]] = single if "single" in shop.layouts else []
    bare = [_wound(tube, f, 0) for f in forms]
    for outer, inner in itertools.permutations(bare, 2):
        R = inner.D_c / 2
        room = outer.D_c / 2 - R - d_o
        if "nested" in shop.layouts and room >= 0.010:
            made.append(("nested", [outer, inner]))
        # A riser climbs between the layers: the inner tube's; or, where they climb inside, the outer tube's,
        # with 5 mm of air on both sides.
        outside = max(np.hypot(R, R_b) - R, d_o + 0.005) + 0.005
        riser = d_o + 0.010 if shop.riser == "inside" else outside
        tees = any(f.used_at == "tee" for f in s.stock.fittings)
        if "parallel" in shop.layouts and tees and room >= max(0.010, riser):
            made.append(("parallel", [outer, inner]))
    return made


def _turns(
    s: DesignBasis, tube: Any, tool: Any, layout: str, layers: list[Wound], gap: float
) -> list[dict[str, Any]]:
    """All numbers of turns up to a tenth more than the roll and up to the kettle's rim."""
    d_o, p = tube.outer_diameter, gap + tube.outer_diameter
    # Two tubes are cut from one roll or from two: the longer one, the outer, is sure to need its own.
    from_one = layers[:1] if layout == "parallel" else layers
    per_turn = sum(float(np.hypot(np.pi * w.D_c, p)) for w in from_one)
    most = min(1.1 * tube.length / per_turn, (s.brewhouse.kettle.inside_height - d_o) / p)
    first, step = {"same": (0.0, 1.0), "opposite": (0.5, 1.0), "any": (0.0, 0.5)}[
        s.brewhouse.workshop.riser_sides
    ]
    counts = [first + step * i for i in range(400)]
    return [_one(s, tube, tool, layout, layers, gap, N) for N in counts if 2.0 <= N <= most + 1e-9]


@dataclass(frozen=True)
class Sunk:
    """Turns and risers of a coil of N turns with its lowest turn at `lowest`; risers (below, above) a layer.

    Wet tube grows evenly up the turns, and by its own length up each riser.
    """

    layers: list[Wound]
    d_o: float
    p: float
    N: float
    R_b: float
    risers: tuple[int, int]

    def level(self, s: DesignBasis, volume: float, lowest: float) -> float:
        """Depth of a volume of wort with the coil in: each round puts the tube under the last level in."""
        floor, tube = np.pi / 4 * s.brewhouse.kettle.inside_diameter**2, np.pi / 4 * self.d_o**2
        level = volume / floor
        for _ in range(16):
            before = level
            under = sum(self._wet(level, lowest, w, bent=False) for w in self.layers)
            level = (volume + tube * under) / floor
            if level == before:
                break
        return level

    def wetted(self, level: float, lowest: float) -> list[float]:
        """Tube under the level, layer by layer [m]."""
        return [self._wet(level, lowest, w, bent=True) for w in self.layers]

    def wet_turns(self, level: float, lowest: float) -> float:
        return min(max((level - lowest) / self.p, 0.0), self.N)

    def _wet(self, level: float, lowest: float, w: Wound, bent: bool) -> float:
        wet = self.wet_turns(level, lowest) * math.hypot(math.pi * w.D_c, self.p)
        for count, start in zip(self.risers, (lowest, lowest + self.N * self.p), strict=True):
            deep = max(level - start, 0.0)
            if bent:  # the riser leaves level, in a quarter of a circle
                deep = self.R_b * math.acos(1 - min(deep / self.R_b, 1.0)) + max(deep - self.R_b, 0.0)
            wet += count * deep
        return float(wet)

    def hung(self, s: DesignBasis) -> float:
        """Lowest turn with the top turn just under the cold surface; never lower than lying on the floor."""
        kettle = s.brewhouse.kettle
        cover = kettle.top_clearance + self.d_o / 2
        wet = [self._wet(self.N * self.p + cover, 0.0, w, bent=False) for w in self.layers]
        tube = np.pi / 4 * self.d_o**2 * sum(wet)
        level = (s.cold_volume + tube) / (np.pi / 4 * kettle.inside_diameter**2)
        return max(level - cover - self.N * self.p, _highest(s, "floor") + self.d_o / 2)


def _highest(s: DesignBasis, where: str) -> float:
    return max([0.0, *(q.height for q in s.parts if q.where == where)])


def _one(s, tube, tool, layout, layers, gap, N) -> dict[str, Any]:  # type: ignore[no-untyped-def]
    kettle, d_o, R_b, p = s.brewhouse.kettle, tube.outer_diameter, tool[1], gap + tube.outer_diameter
    # A nested tube goes down inside and comes up outside: no riser starts from below.
    sunk = Sunk(layers, d_o, p, N, R_b, (0 if layout == "nested" else 1, 1))
    floor_part = _highest(s, "floor")
    feet = max(kettle.floor_clearance, floor_part)
    stands = {"feet": feet + d_o / 2, "floor": floor_part + d_o / 2}
    lowest = stands[kettle.coil_rests] if kettle.coil_rests in stands else sunk.hung(s)
    pieces = _pieces(s, layout, sunk, lowest)
    ends = layers if layout == "parallel" else layers[:1]
    spare = [np.pi / 2 * w.D_form for w in ends]  # half a turn at the end of each tube
    if layout == "parallel":
        each = [piece + half for piece, half in zip(pieces, spare, strict=True)]
        from_one, paid = _of_two_tubes(s, tube, each)
    else:
        from_one, paid = sum(pieces) + sum(spare), tube.cost
    price, joints = _price(s, tube, tool, layout, layers, sunk, lowest, paid)
    hard = _difficulty(s, tube, tool, layout, layers, gap, sum(pieces), joints)
    checks = _checks(s, tube, tool, layers, sunk, lowest)
    checks["stock_length"] = (from_one, tube.length)
    forms = (layers[0].form.form_id, layers[0].wraps, layers[1].form.form_id if len(layers) > 1 else "")
    key = (tube.stock_id, tool[0], layout, *forms, round(gap * 1e4), N)
    coil = _coil(s, tube, layout, layers, sunk, lowest, pieces)
    return {"key": key, "checks": checks, "cost": price, "difficulty": hard, "coil": coil}


def _of_two_tubes(s: DesignBasis, tube: Any, each: list[float]) -> tuple[float, float]:
    """Tube that must come out of one roll, and what rolls cost: both tubes out of this one, or the shorter
    out of any other roll of the size, or out of a second of its kind, of which none is at hand."""
    if sum(each) <= tube.length:
        return (sum(each) if tube.owned else max(each)), tube.cost
    size = (tube.material, tube.temper, tube.outer_diameter, tube.wall)
    prices = [] if tube.owned else [tube.cost]
    for other in s.stock.tubing:
        same = (other.material, other.temper, other.outer_diameter, other.wall) == size
        if same and other.stock_id != tube.stock_id and other.length >= min(each):
            prices.append(other.cost)
    return (max(each), tube.cost + min(prices)) if prices else (sum(each), tube.cost)


def _pieces(s: DesignBasis, layout: str, sunk: Sunk, lowest: float) -> list[float]:
    """Tube cut for each piece [m]: turns, risers over the rim, 5 cm of trim at each end."""
    kettle, shop = s.brewhouse.kettle, s.brewhouse.workshop
    top = lowest + sunk.N * sunk.p

    def riser(height: float, axis: float) -> float:
        climb = kettle.inside_height + 0.03 - height - 2 * sunk.R_b
        out = kettle.inside_diameter / 2 - axis + shop.over_the_rim - sunk.R_b
        return climb + out + np.pi * sunk.R_b  # and two quarters of a circle

    turns, riser_tube = [], []
    for w in sunk.layers:
        axis = float(np.hypot(w.D_c / 2, sunk.R_b))
        past_turns = float(risers.passing_riser_axis_radius(w.D_c / 2, sunk.R_b, sunk.d_o, sunk.p))
        foot_axis = w.D_c / 2 - sunk.d_o - 0.005 if shop.riser == "inside" else past_turns
        turns.append(sunk.N * float(np.hypot(np.pi * w.D_c, sunk.p)))
        riser_tube.append((riser(lowest, foot_axis), riser(top, axis)))
    if layout == "nested":
        return [sum(turns) + _crossing(sunk.layers) + riser_tube[0][1] + riser_tube[1][1] + 0.1]
    return [t + sum(both) + 0.1 for t, both in zip(turns, riser_tube, strict=True)]


def _crossing(layers: list[Wound]) -> float:
    """A quarter of a turn from the inner to the outer layer, in a straight spiral."""
    outer, inner = layers[0].D_c / 2, layers[1].D_c / 2
    return float(np.hypot(np.pi / 2 * (outer + inner) / 2, outer - inner))


def _price(s, tube, tool, layout, layers, sunk, lowest, paid) -> tuple[float, float]:  # type: ignore[no-untyped-def]
    """What is paid, and the sum of the joints' effort."""
    ends = cheapest_end_set(
        _fittings(s),
        tube.outer_diameter,
        Hoses(0.0125, arm=_arm(s)),
        2 if layout == "parallel" else 1,
        ("stainless",) if "stainless" in tube.material else ("copper", "stainless"),
    )
    forms = layers[1:] if layout == "nested" else layers  # over the inner layer lie strips
    price = paid + sum(w.form.cost for w in forms) + tool[3] + ends.price
    price += sum(pump.cost for pump in s.pumps)
    a_turn = np.pi * (sunk.d_o + 0.0015) + 2 * (sunk.p - sunk.d_o)  # round the tube, and the gap twice
    lacing = 3 * ((sunk.N + 0.5) * a_turn + 0.1)
    feet = 6 * (lowest - sunk.d_o / 2) + 2 * sunk.p + 3 * (0.05 + 3 * np.pi * (sunk.d_o + 0.003))
    each = ends.lacing_pieces_price + ends.lacing_per_metre * lacing + ends.feet_per_metre * feet
    return price + each * len(layers), ends.joint_effort


def _arm(s) -> float:  # type: ignore[no-untyped-def]
    """A quarter of the way round, past the ends of the risers."""
    return float(np.pi / 2 * (s.brewhouse.kettle.inside_diameter / 2 + s.brewhouse.workshop.over_the_rim))


def _difficulty(s, tube, tool, layout, layers, gap, length, joints) -> float:  # type: ignore[no-untyped-def]
    d_o, metal = tube.outer_diameter, MATERIALS[tube.material]
    R_free = float(kinking.free_winding_radius(d_o, tube.wall, metal.poisson, tube.temper == "half hard"))
    by_hand, K_r = tool[0] == "hand", metal.bend_hardness
    job = difficulty.Job(
        rho_coil=min(w.D_form / 2 for w in layers) / R_free,
        moment=springback.full_plastic_moment(d_o, d_o - 2 * tube.wall, _flow_stress(tube)),
        length=length,
        growth=max(1 / w.k - 1 for w in layers),
        rho_bends=tool[1] / R_free if by_hand else np.inf,
        layers={"single": 0.0, "nested": 1.0, "parallel": 0.6}[layout],
        bends=(8 if layout == "parallel" else 4)
        * difficulty.bend_factor(K_r, d_o, tube.wall, tool[1], np.pi / 2),
        tool_fits=not by_hand,
        joints=joints,
        form=1.0 if layout == "nested" else 0.5 if layers[0].wraps else 0.0,
        gap=0.15 if gap > 0 else 0.0,
        riser_inside=s.brewhouse.workshop.riser == "inside" and layout != "nested",
        strips=_strips(layers, d_o) if layout == "nested" else 0.0,
    )
    return float(difficulty.score(difficulty.difficulty_terms(job)))


def _strips(layers: list[Wound], d_o: float) -> float:
    """Strips under the outer layer, as so many of the thickest that stand: 3 mm of card lie over where 3 mm
    of wood are left, they are half as thick again as wide at most, and the tube lies 2 mm inside at most."""
    outer, inner = (w.D_form - d_o for w in layers)
    room = (outer - inner) / 2 - d_o
    thick = room - 0.003 if room >= 0.006 else room
    wide = min(0.015, np.sqrt(8 * 0.0003 * (inner / 2 + d_o)))
    number = 12
    while np.pi * outer / number - wide > np.sqrt(4 * 0.002 * outer) * (1 + 1e-9):
        number += 2
    return float(number * max(thick, 0.0) / (1.5 * wide))


def _checks(s, tube, tool, layers, sunk, lowest) -> dict[str, tuple[float, float]]:  # type: ignore[no-untyped-def]
    """Value and bound of what is a matter of room, form and tool."""
    kettle, d_o, R_b, metal = s.brewhouse.kettle, sunk.d_o, sunk.R_b, MATERIALS[tube.material]
    outer, inner = layers[0], layers[-1]
    R, top, axis = kettle.inside_diameter / 2, lowest + sunk.N * sunk.p, float(np.hypot(outer.D_c / 2, R_b))
    # From the lowest turn a riser climbs past the others; from the top one it does not.
    passes = sunk.risers[0] and s.brewhouse.workshop.riser == "outside"
    past = float(risers.passing_riser_axis_radius(outer.D_c / 2, R_b, d_o, sunk.p))
    far = past if passes else axis
    # The widest that tube of this metal springs to must pass the mouth, and the riser stand clear of its lip.
    wide, wide_axis = outer.widest / 2, float(np.hypot(outer.widest / 2, R_b))
    wide_past = float(risers.passing_riser_axis_radius(wide, R_b, d_o, sunk.p))
    wide_far, opposite = wide_past if passes else wide_axis, sunk.N % 1 == 0.5
    aside = min(far + d_o / 2 + 0.005 - kettle.mouth / 2, (far - (axis if opposite else outer.D_c / 2)) / 2)
    off = max(aside, 0.0) if kettle.mouth < kettle.inside_diameter else 0.0
    floor_part = _highest(s, "floor")
    parts = [q for q in s.parts if q.where == "wall" and q.height >= lowest - d_o / 2]
    R_free = float(kinking.free_winding_radius(d_o, tube.wall, metal.poisson, tube.temper == "half hard"))
    # Of two forms the one that is shorter of what it needs; a nested outer layer has none, but strips.
    on_forms = layers if sunk.risers[0] else layers[1:]
    heights = [((sunk.N / w.k + 0.5) * d_o + d_o, w.form.height) for w in on_forms]
    cold, hot = (sunk.level(s, v, lowest) for v in (s.cold_volume, s.hot_volume))
    checks = {
        "winding_radius": (inner.D_form / 2, 0.7 * R_free),
        "riser_bend": (R_b, min(tool[2], 10.0)),
        "form_height": max(heights, key=lambda needed_of: needed_of[0] / needed_of[1]),
        "wall": (
            R - outer.D_c / 2 - d_o / 2 - off,
            max([kettle.wall_clearance, *(q.size + 0.005 for q in parts)]),
        ),
        "mouth": (wide_far + (wide_axis if opposite else wide) + d_o, kettle.mouth),
        "floor": (
            lowest - d_o / 2,
            floor_part if kettle.coil_rests == "floor" else max(kettle.floor_clearance, floor_part),
        ),
        "submergence": (cold - top - d_o / 2, kettle.top_clearance),
        "riser_gap": (R - far - d_o / 2 + off, 0.005),
        "riser_height": (kettle.inside_height + 0.03 - top - 2 * R_b, 0.0),
        "headspace": (kettle.inside_height - hot, s.brewhouse.workshop.headspace),
        "gap": (sunk.p - d_o, s.brewhouse.workshop.smallest_gap),
    }
    if {"nested", "parallel"} & set(s.brewhouse.workshop.layouts):
        apart = (outer.D_c - inner.D_c) / 2 - d_o
        # Between two tubes on tees climbs a riser, and passes the bend of its own turn.
        inside = s.brewhouse.workshop.riser == "inside"
        riser_room = float(fit.layer_gap_for_riser(inner.D_c, R_b, d_o, inside, sunk.p))
        tees = len(layers) > 1 and bool(sunk.risers[0])
        checks["layer_gap"] = (apart if len(layers) > 1 else np.inf, riser_room if tees else 0.010)
    if any(q.where == "centre" for q in s.parts):
        riser = d_o + 0.005 if s.brewhouse.workshop.riser == "inside" and sunk.risers[0] else 0.0
        high = [q.size for q in s.parts if q.where == "centre" and q.height >= lowest - d_o / 2]
        checks["centre"] = (min([np.inf, *((inner.D_c - d_o - size) / 2 - riser for size in high)]), 0.005)
    return checks


def _fittings(s: DesignBasis) -> list[FittingOffer]:
    return [
        FittingOffer(
            f.fitting_id,
            f.description,
            f.price or 0.0,
            f.owned,
            f.outer_diameter,
            f.joint or "",
            f.used_at,
            f.per,
            f.bore,
            f.metal or "",
        )
        for f in s.stock.fittings
    ]


def _coil(s, tube, layout, layers, sunk, lowest, pieces) -> dict[str, Any]:  # type: ignore[no-untyped-def]
    """As the physics takes it: columns, of two tubes a pair of numbers."""
    metal, d_o = MATERIALS[tube.material], sunk.d_o
    level, top = sunk.level(s, s.chilled_volume, lowest), lowest + sunk.N * sunk.p
    wet, D = sunk.wetted(level, lowest), [w.D_c for w in layers]
    turns = [sunk.N * float(np.hypot(np.pi * d, sunk.p)) for d in D]
    column: dict[str, Any] = {
        "d_o": d_o,
        "d_i": d_o - 2 * tube.wall,
        "k": metal.conductivity,
        "pitch": sunk.p,
        "stranded": min(max((level - top - d_o / 2) / level, 0.0), 0.95),
        "D_c": D[0],
        "wetted_length": wet[0],
        "tube_length": pieces[0],
    }
    if len(layers) > 1:
        # Layers crowd each other fully at 1.5 diameters between their centres, and no more from 3 on.
        apart = (D[0] - D[1]) / 2 / d_o
        column["film_share"] = 0.85 + 0.15 * min(max((apart - 1.5) / 1.5, 0.0), 1.0)
        column["speed_share"] = (1.0, 0.7)
    if layout == "nested":
        share = turns[1] / sum(turns)
        column["D_c"] = (1 - share) * D[0] + share * D[1]
        column["wetted_length"] = sum(wet) + _crossing(layers)
        column["speed_share"] = (share * np.sqrt(0.7) + 1 - share) ** 2
    elif layout == "parallel":
        # What is wet, risers included, is shared out as the turns are.
        wet = [sum(wet) * turn / sum(turns) for turn in turns]
        column |= {"D_c": tuple(D), "wetted_length": tuple(wet), "tube_length": tuple(pieces)}
    # From the upper edge of the top turn on, risers stand in wort that stays hot.
    hot = sum(sunk.wetted(level, lowest)) - sum(sunk.wetted(min(level, top + d_o / 2), lowest))
    column["riser_share"] = hot / float(np.sum(column["wetted_length"]))
    per_length = metal.density * metal.heat_capacity * np.pi / 4 * (d_o**2 - column["d_i"] ** 2)
    column["metal_capacity"] = tuple(per_length * piece for piece in pieces)
    if len(pieces) == 1:
        column["metal_capacity"] = column["metal_capacity"][0]
    return column


def _flows(s: DesignBasis) -> tuple[float, ...]:
    """A valve has something to save where water goes down the drain."""
    drains = any(
        g.source in ("tap", "precooled tap") or g.source and g.return_ == "drain" for g in s.brewhouse.cooling
    )
    return s.brewhouse.workshop.valve_shares if drains else (1.0,)


def _chill(
    s: DesignBasis, found: list[dict[str, Any]], sure: Sureness | None
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time, water, and the time kept with its chance, shape (coils, valve settings); coils of two tubes
    apart from the rest. What keeping costs is the search's own reckoning, which other tests judge."""
    flows = np.array(_flows(s))
    times = np.empty((3, len(found), flows.size))
    for layouts in (("single", "nested"), ("parallel",)):
        here = [i for i, d in enumerate(found) if d["key"][2] in layouts]
        if not here:
            continue
        columns = _columns([found[i] for i in here])
        for place, share in enumerate(flows):
            coils = Coils.of(**columns, valve_share=share)
            result = chill(coils, s.scenario, SEARCH)
            kept = result.time * (1.0 if sure is None else sure.ratio(coils, result))
            times[:, here, place] = result.time, result.water, np.minimum(kept, LONGEST)
    return times[0], times[1], times[2]


def _columns(found: list[dict[str, Any]]) -> dict[str, Any]:
    """Of coils that are all two tubes on tees, or none, as the physics takes them."""
    names, two = sorted(set().union(*(d["coil"] for d in found))), found[0]["key"][2] == "parallel"
    usual = {"film_share": 1.0, "speed_share": 1.0}
    columns: dict[str, Any] = {}
    for name in names:
        values = [d["coil"].get(name, usual.get(name)) for d in found]
        both = [v if isinstance(v, tuple) else (v, v) for v in values]
        columns[name] = np.array(both).T if two else np.array(values)
    return columns


CLOSE = (0.99, 1.03)
"""Share of a limit on time between which an idea of the draws does not settle who keeps it."""


def _settle(s: DesignBasis, found: list[dict[str, Any]], every: Every) -> None:
    """Where nothing holds: put what all draws tell in the place of what the search's idea of them does, for
    coils close to the limit on time, of each set of other limits that no coil surely in time breaks alone."""
    late, flows = every.broken()["chill_time"], _flows(s)
    share = every.value["chill_time"] / every.bound["chill_time"]
    others = {n: b for n, b in every.broken().items() if n != "chill_time"}
    table, names = np.array(list(others.values())).T, list(others)
    close, surely = (share > CLOSE[0]) & (share <= CLOSE[1]), ~late & (share <= CLOSE[0])

    def sets(some: np.ndarray) -> set[frozenset[str]]:
        rows = np.unique(table[some], axis=0).tolist()
        return {frozenset(n for n, b in zip(names, row, strict=True) if b) for row in rows}

    opened = sets(surely)
    for broken in sorted(sets(close), key=lambda names: (len(names), sorted(names))):
        if any(other < broken for other in opened):
            continue
        of_it = (table == [n in broken for n in names]).all(axis=1) & close
        for two in (False, True):
            some = [i for i in np.flatnonzero(of_it) if (every.key[i][2] == "parallel") == two]
            some = sorted(some, key=lambda i: share[i])[: MOST_DRAWN if len(broken) == 1 else FEW_DRAWN]
            if some:
                columns = _columns([found[i // len(flows)] for i in some])
                coils = Coils.of(**columns, valve_share=np.array([every.key[i][-1] for i in some]))
                drawn = samples(Draws.of(s, s.scenario), coils).as_built()
                every.value["chill_time"][some] = drawn.quantile("time", s.brewhouse.limits.sure)
        if (every.value["chill_time"] <= every.bound["chill_time"])[of_it].any():
            opened.add(broken)


MOST_DRAWN, FEW_DRAWN = 128, 16
"""Coils looked at in every draw of each set of one limit, and of several."""


def _every(s: DesignBasis, found: list[dict[str, Any]], times: tuple[np.ndarray, ...]) -> Every:
    limits, flows = s.brewhouse.limits, _flows(s)

    def each(values: list[float]) -> np.ndarray:
        return np.repeat(np.array(values, dtype=float), len(flows))

    names = list(found[0]["checks"])
    value = {name: each([d["checks"][name][0] for d in found]) for name in names}
    bound = {name: each([d["checks"][name][1] for d in found]) for name in names}
    time, water, kept = (of.ravel() for of in times)
    reached = np.isfinite(time)
    # A target out of reach is its own limit; such a chill says nothing of the others.
    target = s.scenario.T_target
    value["target"], bound["target"] = np.where(reached, target, np.inf), np.full(time.size, target)
    for name, of_chill, most in (
        ("chill_time", kept, limits.chill_time),
        ("water", water, limits.water),
    ):
        if most is not None:
            value[name], bound[name] = np.where(reached, of_chill, -np.inf), np.full(time.size, most)
    goals = np.stack(
        [time, each([d["cost"] for d in found]), water, each([d["difficulty"] for d in found])], axis=1
    )
    return Every([(*d["key"], share) for d in found for share in flows], goals, value, bound)
