"""A brewhouse so small that every coil of it can be worked out one by one, written into a folder.

The lists are rows of cells, so that a test can edit, drop or shuffle them. Sizes of tube are those of
EN 12735-1 and ASTM A269 rolls (M); prices are invented.
"""

from __future__ import annotations

import copy
import csv
import itertools
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from optichill.build import bending, cost, difficulty, fit, helix, risers
from optichill.inputs.load import load
from optichill.materials import MATERIALS
from optichill.physics.cooldown import SEARCH, Chill, Coils, chill
from optichill.search.setting import Setting, setting

Row = dict[str, str]
Lists = dict[str, list[Row]]

HEADS = {
    "tubing": "stock_id description material temper outer_diameter wall length price owned checked source",
    "forms": "form_id description outer_diameter circumference height open_end owned price",
    "benders": "bender_id kind outer_diameter bend_radius owned price",
    "fittings": "fitting_id description outer_diameter joint used_at per owned price",
}
ROWS = {
    "tubing": """\
cu-10-10|soft copper|copper|annealed|10 mm|1 mm|10 m|41|no|2026-11-01|invented
cu-12-15|soft copper|copper|annealed|12 mm|1 mm|15 m|71|no|2026-11-01|invented
ss-10-15|annealed stainless|stainless 304|annealed|10 mm|1 mm|15 m|97|no|2026-11-01|invented
cu-10-hard|straight length|copper|hard|10 mm|1 mm|5 m|20|no|2026-11-01|invented""",
    "forms": """\
pot|stock pot|250 mm||25 cm|yes|yes|15
pipe|pipe off-cut|200 mm||40 cm|yes|no|8
tin|round tin||72.5 cm|24 cm|yes|no|6
keg|slim keg, flanged at both ends|235 mm||50 cm|no|yes|15""",
    "benders": """\
lever-10|lever|10 mm|30 mm|no|28
lever-12|lever|12 mm|36 mm|yes|31
spring-10|spring|10 mm|40 mm|no|9""",
    "fittings": """\
comp-10|compression end|10 mm|compression||piece|no|7
comp-12|compression end|12 mm|compression||piece|no|7.5
clamp-12|hose and clamp|12 mm|hose and clamp||piece|no|2.2
hose-out|silicone hose|||outlet|m|no|4
wire|copper wire|||turns|m|no|0.8""",
}
HOUSE: dict[str, Any] = {
    "name": "Small kettle",
    "kettle": {"inside_diameter": "36 cm", "inside_height": "40 cm"},
    "wort": {"volume": "23 L", "mixing": "now and then"},
    "tap": {"temperature": "12 degC", "open_flow": "10 L in 45 s", "static_pressure": "3 bar"},
    "workshop": {"marking_increment": "2.5 mm", "smallest_gap": "5 mm"},
    "limits": {},
    "wishes": {},
}


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
    (folder / "brewhouse.toml").write_text(_toml(tables), encoding="utf-8")
    for name, rows in (stock or lists()).items():
        with open(folder / f"{name}.csv", "w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, HEADS[name].split(), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    return folder


def of(folder: Path, house: dict[str, Any] | None = None, stock: Lists | None = None) -> Setting:
    """Written, read back and ready to search."""
    return setting(load(write(folder, house, stock)))


def _toml(tables: dict[str, Any]) -> str:
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
    return json.dumps(value)


# --- every coil, one by one: nothing left out early, nothing looked up ------------------------------------

SENSE = {
    "winding_radius": -1,
    "riser_bend": -1,
    "wall": -1,
    "floor": -1,
    "submergence": -1,
    "riser_gap": -1,
    "riser_height": -1,
    "headspace": -1,
    "gap": -1,
    "centre": -1,
}
"""-1: the value must not fall below the bound; all other limits: not exceed it."""


@dataclass(frozen=True)
class Every:
    """All coils. key: (stock_id, tool, form_id, wraps, gap in 0.1 mm, turns); goals (n, 4); value and bound
    of each limit (n,)."""

    key: list[tuple[str, str, str, int, int, float]]
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
        return list(
            {
                frozenset(n for n, b in zip(names, row, strict=True) if b)
                for row in np.array(list(broken.values())).T.tolist()
            }
        )

    def blocking(self) -> set[frozenset[str]]:
        """Minimal sets of limits of which every coil breaks at least one, by trying all subsets."""
        patterns = self.patterns()
        names = sorted(set().union(*patterns))
        found: list[frozenset[str]] = []
        for size in range(1, len(names) + 1):
            for chosen in map(frozenset, itertools.combinations(names, size)):
                if not any(f <= chosen for f in found) and all(chosen & p for p in patterns):
                    found.append(chosen)
        return set(found)


def every_coil(s: Setting) -> Every:
    """Plain loops over lists, lagging, gaps and turns, each coil computed by itself; chill of all of them."""
    shop, found = s.brewhouse.workshop, []
    for tube in s.stock.tubing:
        for form in s.stock.forms:
            if tube.temper == "hard" or not form.open_end or (shop.forms_owned_only and not form.owned):
                continue
            for tool, wraps in itertools.product(_tools(s, tube), range(3)):
                for gap in _gaps(tube.outer_diameter, shop.smallest_gap, shop.marking_increment):
                    found += _turns(s, tube, form, tool, wraps, gap)
    result = _chill(s, found)
    return _every(s, found, result)


def _gaps(d_o: float, smallest: float, step: float) -> list[float]:
    marks = [step * i for i in range(1000) if step * i >= smallest - 1e-9]
    return [*(g for g in marks if g < d_o - 1e-9), next(g for g in marks if g >= d_o - 1e-9)]


def _tools(s: Setting, tube: Any) -> list[tuple[str, float, float, float]]:
    """(name, radius, smallest radius, to pay) of each way to bend a riser."""
    d_o, t, metal = tube.outer_diameter, tube.wall, MATERIALS[tube.material]
    steel = tube.material != "copper"
    by_hand = 1.1 * float(bending.free_winding_radius(d_o, t, metal.poisson))
    ways = [("hand", by_hand, np.inf if steel else by_hand, 0.0)]
    for b in s.stock.benders:
        if abs(b.outer_diameter - d_o) > 1.01e-4 or b.kind == "hand":
            continue
        least = float(bending.lever_minimum_stainless(d_o, t) if steel else bending.lever_minimum_copper(d_o))
        radius = b.bend_radius if b.kind == "lever" else 4.0 * d_o
        way = (b.bender_id, radius, least if b.kind == "lever" else 4.0 * d_o, b.cost)
        if b.owned and radius >= least * (1 - 1e-9):
            return [way]
        ways.append(way)
    usable = [w for w in ways if w[1] >= w[2] * (1 - 1e-9)]
    return usable or ways[:1]


def _turns(s: Setting, tube: Any, form: Any, tool: Any, wraps: int, gap: float) -> list[dict[str, Any]]:
    """All numbers of turns up to a tenth more than the roll and up to the kettle's rim."""
    kettle, shop = s.brewhouse.kettle, s.brewhouse.workshop
    d_o, metal = tube.outer_diameter, MATERIALS[tube.material]
    d_i, D_f = d_o - 2 * tube.wall, form.outer_diameter + 0.006 * wraps
    half_hard = tube.temper == "half hard"
    Y = metal.yield_rewound if half_hard else metal.yield_effective
    k = float(bending.springback_ratio(d_o, d_i, (D_f + d_o) / 2, Y, metal.youngs_modulus))
    D_c = (D_f + d_o) / k
    p = gap + d_o
    most = min(1.1 * tube.length / float(np.hypot(np.pi * D_c, p)), (kettle.inside_height - d_o) / p)
    step = {"same": (0.0, 1.0), "opposite": (0.5, 1.0), "any": (0.0, 0.5)}[shop.riser_sides]
    counts = [step[0] + step[1] * i for i in range(400)]
    return [_one(s, tube, form, tool, wraps, gap, N, k, D_c, D_f) for N in counts if 2.0 <= N <= most + 1e-9]


def _one(s, tube, form, tool, wraps, gap, N, k, D_c, D_f) -> dict[str, Any]:  # type: ignore[no-untyped-def]
    kettle, shop, limits = s.brewhouse.kettle, s.brewhouse.workshop, s.brewhouse.limits
    d_o, p, R_b, metal = tube.outer_diameter, gap + tube.outer_diameter, tool[1], MATERIALS[tube.material]
    d_i = d_o - 2 * tube.wall
    floor_part = max([0.0, *(q.height for q in s.parts if q.where == "floor")])
    feet = max(kettle.floor_clearance, floor_part)
    lowest = {"feet": feet, "floor": floor_part, "hangs": 0.0}[kettle.coil_rests] + d_o / 2
    if kettle.coil_rests == "hangs":
        at = fit.SunkTube(0.0, p, N, D_c, d_o)
        lowest = float(
            fit.hanging_height(s.cold_volume, kettle.inside_diameter, at, kettle.top_clearance, floor_part)
        )
    sunk = fit.SunkTube(lowest, p, N, D_c, d_o)
    cold, hot = (
        float(fit.level_with_coil(v, kettle.inside_diameter, sunk, rounds=3))
        for v in (s.cold_volume, s.hot_volume)
    )
    top, R = lowest + N * p, kettle.inside_diameter / 2
    axis = float(np.hypot(D_c / 2, R_b))
    foot_axis = D_c / 2 - d_o - 0.005 if shop.riser == "inside" else axis
    legs = [
        float(risers.riser_length(h, kettle.inside_height, R_b, shop.over_the_rim, R - a))
        for h, a in ((lowest, foot_axis), (top, axis))
    ]
    length = float(helix.helix_length(D_c, p, N)) + sum(legs) + 0.1
    ends = cost.cheapest_end_set(_fittings(s), d_o)
    height = N * p + d_o
    price = tube.cost + form.cost + tool[3] + ends.price
    if gap > 0:
        price += ends.lacing_pieces_price + ends.lacing_price_per_height * height
    R_free = float(bending.free_winding_radius(d_o, tube.wall, metal.poisson, tube.temper == "half hard"))
    by_hand = tool[0] == "hand"
    one_bend = difficulty.bend_factor(
        3.0 if "stainless" in tube.material else 2.0, d_o, tube.wall, R_b, np.pi / 2
    )
    Y = metal.yield_rewound if tube.temper == "half hard" else metal.yield_effective
    job = difficulty.Job(
        rho_coil=(D_f + d_o) / 2 / R_free,
        moment=bending.full_plastic_moment(d_o, d_i, Y),
        length=length,
        growth=1 / k - 1,
        rho_bends=R_b / R_free if by_hand else np.inf,
        bends=4 * one_bend,
        tool_fits=not by_hand,
        joints=ends.joint_effort,
        form=0.5 if wraps else 0.0,
        gap=0.15 if gap > 0 else 0.0,
        riser_inside=shop.riser == "inside",
    )
    hard = float(difficulty.score(difficulty.difficulty_terms(job)))
    parts = [q for q in s.parts if q.where == "wall" and q.height >= lowest - d_o / 2]
    other_side = axis if N % 1 == 0.5 else D_c / 2
    checks = {
        "stock_length": (length + 0.5 * np.pi * (D_f + d_o), tube.length),
        "winding_radius": ((D_f + d_o) / 2, 0.7 * R_free),
        "riser_bend": (R_b, min(tool[2], 10.0)),
        "form_height": ((N / k + 0.5) * d_o + d_o, form.height),
        "wall": (R - D_c / 2 - d_o / 2, max([kettle.wall_clearance, *(q.size + 0.005 for q in parts)])),
        "mouth": (axis + other_side + d_o, kettle.mouth),
        "floor": (lowest - d_o / 2, floor_part if kettle.coil_rests == "floor" else feet),
        "submergence": (cold - top - d_o / 2, kettle.top_clearance),
        "riser_gap": (R - axis - d_o / 2, 0.005),
        "riser_height": (kettle.inside_height + 0.03 - top - 2 * R_b, 0.0),
        "headspace": (kettle.inside_height - hot, shop.headspace),
        "gap": (gap, shop.smallest_gap),
    }
    centre = max([0.0, *(q.size for q in s.parts if q.where == "centre")])
    if centre:
        checks["centre"] = ((D_c - d_o - centre) / 2, 0.005)
    if limits.budget is not None:
        checks["budget"] = (price, limits.budget)
    if limits.difficulty is not None:
        checks["difficulty"] = (hard, limits.difficulty)
    mass = float(helix.tube_mass(d_o, d_i, length, metal.density))
    coil = (
        d_o,
        d_i,
        metal.conductivity,
        D_c,
        p,
        float(fit.submerged_length(cold, sunk, R_b)),
        length,
        mass * metal.heat_capacity,
    )
    key = (tube.stock_id, tool[0], form.form_id, wraps, round(gap * 1e4), N)
    return {"key": key, "checks": checks, "cost": price, "difficulty": hard, "coil": coil}


def _fittings(s: Setting) -> list[cost.Fitting]:
    return [
        cost.Fitting(
            f.fitting_id,
            f.description,
            f.price or 0.0,
            f.owned,
            f.outer_diameter,
            f.joint or "",
            f.used_at,
            f.per,
        )
        for f in s.stock.fittings
    ]


def _chill(s: Setting, found: list[dict[str, Any]]) -> Chill:
    columns = np.array([d["coil"] for d in found]).T
    return chill(Coils(*columns), s.scenario, SEARCH)


def _every(s: Setting, found: list[dict[str, Any]], result: Chill) -> Every:
    limits, n = s.brewhouse.limits, len(found)
    value = {name: np.array([d["checks"][name][0] for d in found]) for name in found[0]["checks"]}
    bound = {name: np.array([d["checks"][name][1] for d in found]) for name in found[0]["checks"]}
    reached = np.isfinite(result.time)
    # A target out of reach is its own limit; such a chill says nothing of the others.
    value["target"], bound["target"] = np.where(reached, 0.0, 1.0), np.zeros(n)
    for name, of_chill, most in (
        ("chill_time", result.time, limits.chill_time),
        ("water", result.water, limits.water),
    ):
        if most is not None:
            value[name], bound[name] = np.where(reached, of_chill, 0.0), np.full(n, most)
    goals = np.stack(
        [result.time, [d["cost"] for d in found], result.water, [d["difficulty"] for d in found]], axis=1
    )
    return Every([d["key"] for d in found], goals, value, bound)
