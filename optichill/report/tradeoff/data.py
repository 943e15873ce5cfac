"""What the trade-off page shows, in words and in the units of the reader.

Every coil is worked out in full; of a very long front the best are, and others show their numbers only. Costs
are compared as they are shown, in whole money and minutes: what reads 60 is not above 60.
"""

from __future__ import annotations

import math
import shlex
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from optichill.display import US_GALLON, bill_figures, half_up, money, plural, show, turns
from optichill.fabrication import clocking
from optichill.files.coil_file import DEMO_BANNER, coil_text
from optichill.files.reading import Inputs, is_packaged
from optichill.geometry.risers import ABOVE_RIM, passing_riser_axis_radius, riser_axis_radius
from optichill.layouts import LAYOUTS
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.rating.prediction import Prediction
from optichill.report import ranges, words
from optichill.report.choice import apart, over_life
from optichill.report.jsonout import SOURCES
from optichill.report.left_out import not_counted
from optichill.report.lifetime import batches, over_its_life, rates
from optichill.report.naming import names_of
from optichill.report.no_fit import nothing_fits
from optichill.report.otherwise import about, dirt, last_degrees
from optichill.report.paper import LABEL
from optichill.report.reasons import because, deciding
from optichill.report.searched import sample_text
from optichill.report.warnings import of_design
from optichill.search.designs import Design, as_coil
from optichill.search.front import GOALS
from optichill.search.tradeoff import ShortCurve, Tradeoff
from optichill.thermal.batch import Mixing
from optichill.workshop.cautions import cautions_for
from optichill.workshop.difficulty import BANDS, band

KEYS = ("time", "cost", "water", "work")
FILES = ["front.csv", "result.json"]
NO_ROLE: dict[str, Any] = {"roles": [], "tied": False}
CAUTIONS_HERE = ("first water", "before the water", "valves", "moving", "backflow", "always")


def page_data(t: Tradeoff, inputs: Inputs, versions: dict[str, str]) -> dict[str, Any]:
    """All that the page needs, text unescaped, numbers in display units."""
    brewhouse = t.answer.basis.brewhouse
    u, roles = brewhouse.units, _role_words(t)
    return {
        "title": f"Which coil for {brewhouse.name}?",
        "banner": f"{DEMO_BANNER}: sizes and prices are invented." if brewhouse.demo else "",
        "answer": _answer(t) if len(t) else _no_answer(t),
        "units": u,
        "temperature_unit": "°F" if u == "us" else "°C",
        "target": _degrees(t.answer.basis.scenario.T_target, u),
        "start": _degrees(t.answer.basis.scenario.T_start, u),
        "goals": _goals(t),
        "layouts": {layout.name: layout.called for layout in LAYOUTS.values()},
        "bands": list(BANDS),
        "designs": [
            _row(t, i, name) | roles.get(t.ids[i], NO_ROLE) for i, name in enumerate(names_of(t, valve=False))
        ],
        "shortlist": [d.id for d in t.answer.designs],
        "details": {name: _details(t, t.full[name]) for name in t.ids if name in t.full},
        "small_print": _small_print(t, inputs),
        "warnings": [words.sentence(text) for text in inputs.warnings],
        "cautions": list(cautions_for(*CAUTIONS_HERE, units=u, T_start=t.answer.basis.scenario.T_start)),
        "sources": list(SOURCES),
        "commands": _commands(inputs),
        "versions": versions,
        "files": FILES,
    }


def _commands(inputs: Inputs) -> dict[str, str]:
    """What goes on with a coil, to be typed where `pareto` was; {id} stands for the coil."""
    path = inputs.brewhouse.path
    kettle = "" if path is None or is_packaged(path) else f" {shlex.quote(str(path))}"
    return {name: f"optichill {name}{kettle} --coil {{id}}" for name in ("sheet", "predict")}


def _degrees(T: float, units: str) -> float:
    return round(T * 1.8 - 459.67 if units == "us" else T - 273.15, 2)


def shown(goals: np.ndarray, units: str) -> list[float]:
    """Goals of one design (SI, in the order of GOALS) as the page counts them."""
    litres = 1e3 if units == "metric" else 1.0 / US_GALLON
    time, cost, water, work = goals.tolist()
    return [round(time / 60.0, 2), round(cost, 2), round(water * litres, 2), round(work, 2)]


def _told(water: float, units: str) -> float:
    """Water [m3] as every page tells it, in its unit: what is finer nobody can know, nor is it compared."""
    return float(show(water, "volume", units).split()[0])


def _row(t: Tradeoff, i: int, name: str) -> dict[str, Any]:
    brewhouse = t.answer.basis.brewhouse
    r = t.rows
    assert r is not None
    share, spread = float(r.valve_share[i]), t.likely[i].time
    return {
        "id": t.ids[i],
        "coil": int(t.coil[i]),
        "rank": int(t.rank[i]) or None,
        "what": name,
        "setting": f"valve {words.valve(share)}" if share < 1.0 else "",
        "layout": t.layout(i),
        **dict(zip(KEYS, shown(t.told[i], brewhouse.units), strict=True)),
        "water": _told(float(t.told[i, 2]), brewhouse.units),
        "band": str(band(t.goals[i, 3])),
        "likely": {
            "time": ranges.narrow(float(t.told[i, 0]), t.likely[i].time, "minutes", brewhouse.units),
            "water": ranges.narrow(float(t.told[i, 2]), t.likely[i].water, "exact_volume", brewhouse.units),
        },
        "span": None
        if spread.p10 is None or spread.p90 is None
        else [round(spread.p10 / 60.0, 1), round(spread.p90 / 60.0, 1)],
    }


def _role_words(t: Tradeoff) -> dict[str, dict[str, Any]]:
    """By id: for what reasons the screen shows a coil, and whether it is tied with number 1."""
    a = t.answer
    tied = {d.id for d in a.tied_with(a.designs[0])} if a.designs else set()
    roles = {role.design.id: list(role.names) for role in a.roles}
    return {d.id: {"roles": roles.get(d.id, []), "tied": d.id in tied} for d in a.designs}


# --- on top -----------------------------------------------------------------------------------------------


def _answer(t: Tradeoff) -> list[str]:
    """What to build, what it brings, and what more or less would cost: three sentences."""
    a, best = t.answer, t.answer.designs[0]
    brewhouse, p = a.basis.brewhouse, best.prediction
    u, currency = brewhouse.units, brewhouse.stock.currency
    assert p.water is not None
    first = (
        f"Build 1: {words.roll(best, u)}, {words.forms(best, u)}: {plural(turns(best.turns))}, "
        f"{words.rough(best.across, u)} across."
    )
    second = (
        f"It chills to {words.degrees(a.basis.scenario.T_target, u)} in {ranges.time(p)}; water: "
        f"{ranges.water(p, u)}; cost: {money(best.bill.total, currency)}; "
        f"work: {words.difficulty(best.difficulty)}."
    )
    return [first, second, _next_step(t, best)]


def _next_step(t: Tradeoff, best: Design) -> str:
    """What five minutes less would cost, and the cheapest of all."""
    currency = t.answer.basis.brewhouse.stock.currency
    mine = np.array(list(best.told.values()))
    quicker = np.rint(t.told[:, 0] / 60.0) <= round(mine[0] / 60.0) - 5  # as the page counts minutes
    cheapest = t.told[int(np.lexsort((t.told[:, 0], t.told[:, 1]))[0])]
    cheap = (
        f"the cheapest of all {_coils(t):,} costs {money(float(cheapest[1]), currency)} and takes "
        f"{cheapest[0] / 60.0:.0f} min"
    )
    if not quicker.any():
        least = f"the quickest takes {float(t.told[:, 0].min()) / 60.0:.0f} min"
        return f"No coil of your lists is five minutes quicker ({least}); {cheap}."
    price = int(half_up(float(t.told[quicker, 1].min())) - half_up(float(mine[1])))
    step = (
        f"Five minutes less would cost {money(price, currency)} more"
        if price >= 0.5
        else "Five minutes less need not cost more, but take more water or harder work"
    )
    return f"{step}; {cheap}."


def _coils(t: Tradeoff) -> int:
    """How many there are to build: settings of one valve are one coil."""
    return int(t.coil.max()) + 1


def _no_answer(t: Tradeoff) -> list[str]:
    """Why nothing fits, as the screen says it: an entry a sentence, its label before it."""
    said: list[str] = []
    for line in nothing_fits(t.answer):
        label, text = line[:LABEL].strip(), line[LABEL:].strip()
        if label:
            said.append(f"{label.capitalize()}: {text}")
        elif said:
            said[-1] += f" {text}"
    return said


def _goals(t: Tradeoff) -> list[dict[str, Any]]:
    brewhouse = t.answer.basis.brewhouse
    us = brewhouse.units == "us"
    least = _least(t)
    labels = ("time to chill", "cost", "water", "work")
    units = ("min", brewhouse.stock.currency, "gal" if us else "L", "of 10")
    said = {
        "chill_time": "even the most water that flows here would take {0:.0f} min",
        "water": "no coil can do with less than {0:.0f} " + units[2],
    }
    searched = []
    for i, goal in enumerate(GOALS):
        value = least.get(goal)
        searched.append(
            {
                "key": KEYS[i],
                "label": labels[i],
                "unit": units[i],
                "decimals": 1 if i == 3 else 0,
                "least": value,
                "least_words": said[goal].format(value) if value is not None else "",
            }
        )
    return searched


def _least(t: Tradeoff) -> dict[str, float]:
    """Least time and water that any coil could need at the flow of one of these."""
    if not (math.isfinite(t.least_time) and math.isfinite(t.least_water)):
        return {}
    goals = shown(np.array([t.least_time, 0.0, t.least_water, 0.0]), t.answer.basis.brewhouse.units)
    return {"chill_time": goals[0], "water": goals[2]}


# --- one design ----------------------------------------------------------------------------------------


def _details(t: Tradeoff, d: Design) -> dict[str, Any]:
    basis = t.answer.basis
    currency = basis.brewhouse.stock.currency
    items = d.bill.items
    *prices, total = bill_figures([i.price for i in items], d.bill.total)
    cost = [
        [
            i.what,
            words.amount(i.quantity, i.unit, basis.brewhouse.units),
            i.note or f"{price} {currency}",
        ]
        for i, price in zip(items, prices, strict=True)
    ]
    cost += [[what, much, "not counted"] for what, much in not_counted(d.bill, basis)]
    cost.append(["total", "", f"{total} {currency}"])
    return {
        "scene": scene(d, basis),
        "curve": _curve(t.curves[d.id], basis),
        "changes": _changes(d, basis),
        "cost": cost,
        "hard": list(d.reasons),
        "limits": _limits(d, basis),
        "warnings": [words.sentence(text) for text in of_design(d, basis)],
        "against": _against(t, d),
        "facts": _facts(d, basis),
        "file": _coil_file(d, basis),
    }


def _curve(curve: ShortCurve, basis: DesignBasis) -> dict[str, list[float]]:
    """Minutes to each of the temperatures, which are the same for all coils of a page."""
    u = basis.brewhouse.units
    arrives = np.isfinite(curve.time)
    return {
        "minutes": [round(s / 60.0, 1) for s in curve.time[arrives].tolist()],
        "wort": [round(_degrees(T, u), 1) for T in curve.wort[arrives].tolist()],
    }


def _changes(d: Design, basis: DesignBasis) -> list[list[Any]]:
    """When each later source of the plan takes over [min]."""
    searched: list[list[Any]] = []
    passed = 0.0
    plan = basis.brewhouse.cooling
    for line, later in pairwise(d.prediction.stages):
        passed += line.time
        after = plan[line.number]
        if not later.idle and not after.is_hold and after.source is not None:
            searched.append([round(passed / 60.0, 2), words.SOURCE_WORDS[after.source]])
    return searched


def _limits(d: Design, basis: DesignBasis) -> list[list[str]]:
    rows = []
    for line in d.limits:
        if math.isfinite(line.value) and math.isfinite(line.limit):
            limit = LIMITS[line.name]
            value, bound, margin = (
                words.limit_value(limit, v, basis, enough=False)
                for v in (line.value, line.limit, line.margin)
            )
            left = margin if limit.shown.step else ""
            rows.append([limit.words, value, bound, left, "holds" if line.holds else "broken"])
    return rows


def _against(t: Tradeoff, d: Design) -> list[str]:
    """Why build 1 wins; of another, in what it is better and worse than build 1, and what that comes to."""
    best = t.answer.designs[0]
    if d.id == best.id:
        return [words.sentence(text) for text in because(t.answer)]
    worse, better = apart(best, d, t.answer)
    if not worse and not better:
        return ["Nothing that you would notice tells it from build 1.", *_in_the_end(t, best, d)]
    said = ", but ".join(", ".join(part) for part in (better, worse) if part)
    return [f"Against build 1: {said}.", *_in_the_end(t, best, d)]


def _in_the_end(t: Tradeoff, best: Design, d: Design) -> list[str]:
    """What a coil comes to over its life beside build 1, and what most of that is for."""
    if t.answer.levels is not None:
        return (
            [f"What decides for build 1 is {deciding(best, d, t.answer)}."] if d.score <= best.score else []
        )
    more, worth = float(d.life.total - best.life.total), worth_of(t.answer.basis)
    if abs(more) <= worth.minute:
        return [f"Over {batches(worth)} the two come to the same, to a minute a batch."]
    mostly = f", above all for {deciding(best, d, t.answer)}" if more > 0.0 else ""
    return [words.sentence(f"{over_life(more, t.answer)}{mostly}")]


def _facts(d: Design, basis: DesignBasis) -> list[list[str]]:
    u, p = basis.brewhouse.units, d.prediction
    gap = "touching" if d.gap <= 0.0 else show(d.gap, "gap", u)
    facts = [
        ["tube", words.roll(d, u)],
        ["wound on", words.forms(d, u).removeprefix("wound on the ")],
        ["turns", turns(d.turns) + (" in each layer" if d.inner is not None else "")],
        ["gap between turns", gap],
        ["across, tall", f"{words.rough(d.across, u)}, {words.rough(d.height, u)}"],
        ["cut length", show(d.tube_length, "long_length", u)],
        ["left over", words.rough(d.offcut, u)],
        ["weighs", show(d.mass, "mass", u)],
        ["risers", words.tool(d.winding)],
        ["in all", over_its_life(d, worth_of(basis), basis.brewhouse.stock.currency)],
        ["likely time", ranges.time(p)],
        *([["in time", said]] if (said := ranges.in_time(p, basis.brewhouse.limits)) else []),
        ["likely water", ranges.water(p, u)],
        *([["water limit", said]] if (said := ranges.enough_water(p, basis.brewhouse.limits, u)) else []),
        ["flow at the start", show(p.flow, "flow", u)],
        *_stirred_otherwise(p, basis),
        *([["last degrees", said]] if (said := last_degrees(p, basis)) else []),
        *([["dirt", said]] if (said := dirt(p, basis.brewhouse.wort)) else []),
    ]
    if p.ice > 0.0:
        facts.append(["ice melted", ranges.ice(p, u)])
    facts += [["how surely", said] for said in ranges.borne(p)]
    if d.valve_share < 1.0:
        facts.append(["valve", words.valve(d.valve_share)])
    return facts


def _stirred_otherwise(p: Prediction, basis: DesignBasis) -> list[list[str]]:
    """The time with the wort moved otherwise, where it is not moved so anyhow."""
    wort = basis.brewhouse.wort
    ways = (("stirred all the time", p.steady, wort.all_along), ("left alone", p.left_alone, LEFT_ALONE))
    return [[name, about(time)] for name, time, mixing in ways if mixing != basis.scenario.mixing]


LEFT_ALONE = Mixing.of("left alone")


def scene(d: Design, basis: DesignBasis) -> dict[str, dict[str, Any]]:
    """The coil in its kettle, seen from the side with the first IN riser on the left, in metres: what is the
    kettle's, the same for every coil, and what is the coil's own."""
    kettle, shop, u = basis.brewhouse.kettle, basis.brewhouse.workshop, basis.brewhouse.units
    layers = [D for D in (d.mean_diameter, d.inner_diameter) if D is not None]
    end, rim = kettle.inside_diameter / 2.0 + shop.over_the_rim, kettle.inside_height + ABOVE_RIM
    return {
        "kettle": {
            "D": _place(kettle.inside_diameter),
            "H": _place(kettle.inside_height),
            "mouth": _place(kettle.mouth),
            "rests": kettle.coil_rests,
            "parts": [vars(part) for part in basis.parts],
        },
        "coil": {
            "hot": _place(d.hot_level),
            "cold": _place(d.cold_level),
            "d_o": _place(d.winding.tube.outer_diameter),
            "layers": [
                {"D": _place(D), "p": round(d.pitch, 5), "N": round(d.turns, 3), "low": _place(d.lowest)}
                for D in layers
            ],
            "risers": [
                {
                    "name": riser.name,
                    "x": _place(riser.x),
                    "foot": _place(riser.foot),
                    "top": _place(rim),
                    "reach": _place(math.copysign(end, riser.x)),
                    "bend": _place(d.winding.tool.radius),
                }
                for riser in _risers(d)
            ],
            "labels": {
                "across": words.rough(d.across, u),
                "height": words.rough(d.height, u),
                "wall": words.rough(d.wall_gap, u),
            },
        },
    }


def _place(metres: float) -> float:
    """A coordinate [m], to 0.1 mm."""
    return round(metres, 4)


class _Riser(NamedTuple):
    """One riser from the side: where it leaves the turns, and stands; angle [rad] seen from above."""

    name: str
    foot: float
    radius: float
    angle: float

    @property
    def x(self) -> float:
        return self.radius * math.cos(self.angle)


def _risers(d: Design) -> list[_Riser]:
    """The risers, named as on the sheet: those of the inner of two tubes turned well clear of the outer's."""
    R_b, top = d.winding.tool.radius, d.lowest + d.turns * d.pitch
    R, R_in = d.mean_diameter / 2.0, (d.inner_diameter or 0.0) / 2.0
    if LAYOUTS[d.layout].crossing:
        out = clocking.nested_from_in_to_out(2.0 * d.turns, R_in, R, R_b)
        ends = (("IN", R_in, math.pi), ("OUT", R, math.pi + out))
        return [_Riser(name, top, float(riser_axis_radius(R_c, R_b)), angle) for name, R_c, angle in ends]

    def of_tube(R_c: float, turned: float, number: str = "") -> list[_Riser]:
        low = float(passing_riser_axis_radius(R_c, R_b, d.winding.tube.outer_diameter, d.pitch))
        out = turned + clocking.from_in_to_out(d.turns, R_c, R_b)
        return [
            _Riser(f"IN{number}", d.lowest, low, turned),
            _Riser(f"OUT{number}", top, float(riser_axis_radius(R_c, R_b)), out),
        ]

    outer = of_tube(R, math.pi)
    if not R_in:
        return outer
    ways = [of_tube(R_in, clocking.WHOLE * n / 24.0, " 2") for n in range(24)]
    clear = [min(clocking.apart(a.angle - b.angle) for a in way for b in outer) for way in ways]
    return outer + ways[clear.index(max(clear))]


def _coil_file(d: Design, basis: DesignBasis) -> list[str]:
    """Lines of the coil file that `recommend --save-coil` would write."""
    brewhouse = basis.brewhouse
    text = coil_text(as_coil(d), demo=brewhouse.demo, brewhouse=brewhouse.name, units=brewhouse.units)
    return text.splitlines()


# --- at the end -----------------------------------------------------------------------------------------


def _order(t: Tradeoff) -> str:
    """What ranks the coils."""
    if t.answer.levels is not None:
        return (
            "Order: augmented achievement scalarization (Wierzbicki 1980): the wish that a coil meets worst "
            "counts most. Levels are those of your brewhouse file, or fixed ones."
        )
    worth, brewhouse = worth_of(t.answer.basis), t.answer.basis.brewhouse
    by = rates(worth, brewhouse.stock.currency, brewhouse.units)
    return f"Order: least cost over {worth.batches} batches: {by}. Say your own under [wishes]."


def _small_print(t: Tradeoff, inputs: Inputs) -> list[str]:
    if not len(t):
        return [
            f"{t.answer.enumerated:,} combinations of your lists were weighed.",
            *sample_text(t.answer.sample),
        ]
    settings = f" (some with the valve set otherwise too: {len(t):,} in all)" if len(t) > _coils(t) else ""
    said = [
        f"{t.answer.enumerated:,} combinations of your lists were weighed; of two that differ by less than "
        f"10 s, "
        f"1 {t.answer.basis.brewhouse.stock.currency}, a litre and half a point of work the plainer "
        f"stayed; "
        f"the {_coils(t):,} here{settings} are those that no other beats in all four.",
        _order(t),
        "Red lines: at the largest flow of any coil here, water would have to leave as hot as the wort is.",
    ]
    if t.in_full < len(t):
        said.append(f"The best {t.in_full:,} are here in full; of the others this page has the numbers only.")
    if inputs.stock.example_prices:
        said.append("Prices are invented for the example.")
    return said + sample_text(t.answer.sample) + [f"Assumed: {note}." for note in inputs.notes]
