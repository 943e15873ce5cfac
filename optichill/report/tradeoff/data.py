"""What the trade-off page shows, in words and in the units of the reader.

The shortlist and the best of the rest are worked out in full; other coils show their numbers only, or a page
of a thousand would not stay small. Costs are compared as they are shown, in whole money and minutes: what
reads 60 is not above 60.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from optichill.display import US_GALLON, adding_up, half_up, money, plural, show, turns
from optichill.fabrication import clocking
from optichill.files.coil_file import DEMO_BANNER
from optichill.files.reading import Inputs
from optichill.geometry.risers import ABOVE_RIM, passing_riser_axis_radius, riser_axis_radius
from optichill.layouts import LAYOUTS
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.report import ranges, words
from optichill.report.choice import apart
from optichill.report.jsonout import SOURCES
from optichill.report.left_out import not_counted
from optichill.report.lifetime import over_its_life, rates
from optichill.report.naming import names_of
from optichill.report.no_fit import nothing_fits
from optichill.report.otherwise import about, dirt, last_degrees
from optichill.report.paper import LABEL
from optichill.report.reasons import because, deciding
from optichill.report.searched import sample_text
from optichill.report.warnings import of_design
from optichill.search.designs import Design
from optichill.search.front import GOALS
from optichill.search.tradeoff import ShortCurve, Tradeoff
from optichill.workshop.cautions import cautions_for
from optichill.workshop.difficulty import BANDS, band

KEYS = ("time", "cost", "water", "work")
FILES = ["front.csv", "result.json"]
CAUTIONS_HERE = ("first water", "before the water", "valves", "moving", "backflow", "always")


def page_data(t: Tradeoff, inputs: Inputs, versions: dict[str, str]) -> dict[str, Any]:
    """All that the page needs, text unescaped, numbers in display units."""
    brewhouse = t.answer.basis.brewhouse
    u = brewhouse.units
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
        "designs": [_row(t, i, name) for i, name in enumerate(names_of(t))],
        "shortlist": [d.id for d in t.answer.designs],
        "details": {name: _details(t, t.full[name]) for name in t.ids if name in t.full},
        "small_print": _small_print(t, inputs),
        "warnings": [words.sentence(text) for text in inputs.warnings],
        "cautions": list(cautions_for(*CAUTIONS_HERE, units=u, T_start=t.answer.basis.scenario.T_start)),
        "sources": list(SOURCES),
        "versions": versions,
        "files": FILES,
    }


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
    return {
        "id": t.ids[i],
        "rank": int(t.rank[i]) or None,
        "what": name,
        "layout": t.layout(i),
        **dict(zip(KEYS, shown(t.told[i], brewhouse.units), strict=True)),
        "water": _told(float(t.told[i, 2]), brewhouse.units),
        "band": str(band(t.goals[i, 3])),
        "likely": {
            "time": ranges.narrow(float(t.told[i, 0]), t.likely[i].time, "minutes", brewhouse.units),
            "water": ranges.narrow(float(t.told[i, 2]), t.likely[i].water, "exact_volume", brewhouse.units),
        },
    }


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
        f"the cheapest of all {len(t):,} costs {money(float(cheapest[1]), currency)} and takes "
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
    cost = [
        [
            i.what,
            words.amount(i.quantity, i.unit, basis.brewhouse.units),
            i.note or f"{price} {currency}",
        ]
        for i, price in zip(items, adding_up([i.price for i in items]), strict=True)
    ]
    cost += [[what, much, "not counted"] for what, much in not_counted(d.bill, basis)]
    cost.append(["total", "", money(d.bill.total, currency, 2)])
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
    }


def _curve(curve: ShortCurve, basis: DesignBasis) -> list[list[float]]:
    u = basis.brewhouse.units
    setups = zip(curve.time.tolist(), curve.wort.tolist(), strict=True)
    return [[round(s / 60.0, 2), round(_degrees(T, u), 1)] for s, T in setups if math.isfinite(s)]


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
    """Why a build wins, or in what it is better and worse than build 1."""
    best = t.answer.designs[0]
    if d.id == best.id:
        return [words.sentence(text) for text in because(t.answer)]
    worse, better = apart(best, d, t.answer)
    if not worse and not better:
        return ["Nothing that you would notice tells it from build 1."]
    said = []
    if better:
        said.append(words.sentence(f"against build 1 it is {', '.join(better)}"))
    if worse:
        said.append(words.sentence(f"against build 1 it is {', '.join(worse)}"))
    if d.score <= best.score:
        said.append(words.sentence(f"what decides for build 1 is {deciding(best, d, t.answer)}"))
    return said


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
        ["stirred all the time", about(p.steady)],
        ["left alone", about(p.left_alone)],
        *([["last degrees", said]] if (said := last_degrees(p, basis)) else []),
        *([["dirt", said]] if (said := dirt(p, basis.brewhouse.wort)) else []),
    ]
    if p.ice > 0.0:
        facts.append(["ice melted", ranges.ice(p, u)])
    facts += [["how surely", said] for said in ranges.borne(p)]
    if d.valve_share < 1.0:
        facts.append(["valve", words.valve(d.valve_share)])
    return facts


def scene(d: Design, basis: DesignBasis) -> dict[str, Any]:
    """The coil in its kettle, seen from the side with the IN riser on the left, in metres."""
    kettle, shop, u = basis.brewhouse.kettle, basis.brewhouse.workshop, basis.brewhouse.units
    d_o, R_b = d.winding.tube.outer_diameter, d.winding.tool.radius
    layers = [{"D": d.mean_diameter, "p": d.pitch, "N": d.turns, "low": d.lowest}]
    if d.inner_diameter is not None:
        layers.append({"D": d.inner_diameter, "p": d.pitch, "N": d.turns, "low": d.lowest})
    top = d.lowest + d.turns * d.pitch
    R, R_in = d.mean_diameter / 2.0, (d.inner_diameter or d.mean_diameter) / 2.0
    crossing = LAYOUTS[d.layout].crossing
    if crossing:
        angle = clocking.nested_from_in_to_out(2.0 * d.turns, R_in, R, R_b)
    else:
        angle = clocking.from_in_to_out(d.turns, R, R_b)
    out = float(riser_axis_radius(R, R_b))
    first = (
        float(riser_axis_radius(R_in, R_b))
        if crossing
        else float(passing_riser_axis_radius(R, R_b, d_o, d.pitch))
    )
    side = -1.0 if math.cos(angle) >= 0.0 else 1.0
    end, rim = kettle.inside_diameter / 2.0 + shop.over_the_rim, kettle.inside_height + ABOVE_RIM
    across = side * abs(out * math.cos(angle))
    risers = [("IN", -first, top if crossing else d.lowest, -end), ("OUT", across, top, side * end)]
    return {
        "D": kettle.inside_diameter,
        "H": kettle.inside_height,
        "mouth": kettle.mouth,
        "hot": d.hot_level,
        "cold": d.cold_level,
        "d_o": d_o,
        "rests": kettle.coil_rests,
        "layers": layers,
        "risers": [
            {"name": name, "x": x, "foot": foot, "top": rim, "reach": reach, "bend": R_b}
            for name, x, foot, reach in risers
        ],
        "parts": [vars(part) for part in basis.parts],
        "labels": {
            "across": words.rough(d.across, u),
            "height": words.rough(d.height, u),
            "wall": words.rough(d.wall_gap, u),
        },
    }


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
    said = [
        f"{t.answer.enumerated:,} combinations of your lists were weighed; of two that differ by less than "
        f"10 s, "
        f"1 {t.answer.basis.brewhouse.stock.currency}, a litre and half a point of work the plainer "
        f"stayed; "
        f"the {len(t):,} here are those that no other beats in all four.",
        _order(t),
        "The red lines: at the largest flow of any coil here, water would have to leave as hot as the wort "
        "is.",
    ]
    if inputs.stock.example_prices:
        said.append("Prices are invented for the example.")
    return said + sample_text(t.answer.sample) + [f"Assumed: {note}." for note in inputs.notes]
