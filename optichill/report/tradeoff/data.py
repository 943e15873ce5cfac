"""What the trade-off page shows, in words and in the units of the reader.

Every coil is worked out in full; of a very long front the best are, and others show their numbers only. Costs
are compared as they are shown, in whole money and minutes: what reads 60 is not above 60.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from optichill.display import US_GALLON, plural, show
from optichill.files.coil_file import DEMO_BANNER
from optichill.files.reading import Inputs, is_packaged
from optichill.layouts import LAYOUTS
from optichill.money import money
from optichill.problem.worth import worth_of
from optichill.report import calibrated, ranges
from optichill.report.choice import ladder_text, of_all
from optichill.report.dangers import on_screen
from optichill.report.jsonout import SOURCES
from optichill.report.lifetime import rates
from optichill.report.naming import names_of
from optichill.report.no_fit import nothing_fits
from optichill.report.paper import LABEL
from optichill.report.searched import left_out_text, sample_text, steps_text, weighed_count
from optichill.report.tradeoff.details import details, on_scale
from optichill.report.turns_told import counts, turns_told
from optichill.report.typed import typed
from optichill.report.words import build_words, by_hand, roll_words, winding_words
from optichill.report.words.sentences import sentence
from optichill.search.designs import EXPLORED
from optichill.search.front import GOALS
from optichill.search.tradeoff import Tradeoff
from optichill.workshop.cautions import cautions_for
from optichill.workshop.difficulty import BANDS, band

KEYS = ("time", "cost", "water", "work")
FILES = ["front.csv", "result.json"]
NO_ROLE: dict[str, Any] = {"roles": [], "tied": False}


def page_data(
    t: Tradeoff, inputs: Inputs, versions: dict[str, str], study: str | None = None
) -> dict[str, Any]:
    """All that the page needs, text unescaped, numbers in display units."""
    brewhouse = t.answer.basis.brewhouse
    u, roles, T_start = brewhouse.units, _role_words(t), t.answer.basis.scenario.T_start
    return {
        "title": f"Which coil for {brewhouse.name}?",
        "banner": f"{DEMO_BANNER}: sizes and prices are invented." if brewhouse.demo else "",
        "answer": [*(_answer(t) if len(t) else _no_answer(t)), *_calibrated(t)],
        "units": u,
        "temperature_unit": "°F" if u == "us" else "°C",
        "target": on_scale(t.answer.basis.scenario.T_target, u),
        "start": on_scale(t.answer.basis.scenario.T_start, u),
        "goals": _goals(t),
        "layouts": {layout.name: layout.called for layout in LAYOUTS.values()},
        "bands": list(BANDS),
        "designs": [
            _row(t, i, name) | roles.get(t.ids[i], NO_ROLE) for i, name in enumerate(names_of(t, valve=False))
        ],
        "shortlist": [d.id for d in t.answer.designs],
        "details": {name: details(t, t.full[name]) for name in t.ids if name in t.full},
        "small_print": _small_print(t, inputs),
        "warnings": [sentence(text) for text in inputs.warnings],
        "cautions": list(cautions_for(*on_screen(brewhouse), units=u, T_start=T_start)),
        "sources": list(SOURCES),
        "commands": _commands(inputs, study),
        "versions": versions,
        "files": FILES,
    }


def _commands(inputs: Inputs, study: str | None) -> dict[str, str]:
    """What goes on with a coil, to be typed where `pareto` was; {id} stands for the coil; study : that the
    coil may be of."""
    path = inputs.brewhouse.path
    kettle = None if path is None or is_packaged(path) else path
    more = [] if study is None else ["--study", study]
    return {name: f"{typed(name, kettle, *more)} --coil {{id}}" for name in ("sheet", "predict")}


def shown(goals: np.ndarray, units: str) -> list[float]:
    """Goals of one design (SI, in the order of GOALS) as the page counts them."""
    litres = 1e3 if units == "metric" else 1.0 / US_GALLON
    time, cost, water, work = goals.tolist()
    # Fine enough that a figure rounded by the page is the one that every other paper has.
    return [round(time / 60.0, 5), round(cost, 5), round(water * litres, 5), round(work, 5)]


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
        "setting": f"valve {build_words.valve(share)}" if share < 1.0 else "",
        "layout": t.layout(i),
        "explored": t.origin(i) == EXPLORED,
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
    # Of the first only that it is the best: what else it holds is held because nothing beats it by enough.
    roles = {
        role.design.id: of_all(role, a.designs, a.basis) if role.design.rank > 1 else [*role.names[:1]]
        for role in a.roles
    }
    return {d.id: {"roles": roles.get(d.id, []), "tied": d.id in tied} for d in a.designs}


# --- on top -----------------------------------------------------------------------------------------------


def _answer(t: Tradeoff) -> list[str]:
    """What to build, what it brings, and what more or less would cost: three sentences."""
    a, best = t.answer, t.answer.designs[0]
    brewhouse, p = a.basis.brewhouse, best.prediction
    u, currency = brewhouse.units, brewhouse.stock.currency
    assert p.water is not None
    first = (
        f"Build 1: {roll_words.roll(best, u)}, {winding_words.forms(best, u)}: {turns_told(counts(best))}, "
        f"{by_hand.rough(best.across, u)} across."
    )
    second = (
        f"It chills to {by_hand.degrees(a.basis.scenario.T_target, u)} in {ranges.time(p)}; water: "
        f"{ranges.water(p, u)}; cost: {money(best.bill.total, currency)}; "
        f"work: {build_words.difficulty(best.difficulty)}."
    )
    steps = [f"What money buys: {step}." for step in ladder_text(a)[:1]] if len(a.ladder) > 1 else []
    return [first, second, *steps]


def _calibrated(t: Tradeoff) -> list[str]:
    """By what the times are calibrated, where they are and something fits: else the answer says so."""
    basis = t.answer.basis
    said = calibrated.sentence(basis.brewhouse, basis.calibration) if len(t) else ""
    return [said] if said else []


def _no_answer(t: Tradeoff) -> list[str]:
    """Why nothing fits, as the screen says it: an entry a paragraph, its label before it, line by line."""
    said: list[str] = []
    for line in nothing_fits(t.answer):
        label, text = line[:LABEL].strip(), line[LABEL:].strip()
        if label:
            said.append(f"{label.capitalize()}: {text}")
        elif said:
            said[-1] += f"\n{text}"
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
            f"{weighed_count(t.answer)} combinations of your lists were gone through.",
            *sample_text(t.answer.sample),
        ]
    coils = t.answer.coils
    settings = f" (some with the valve set otherwise too: {len(t):,} in all)" if len(t) > coils else ""
    explored = sum(t.origin(i) == EXPLORED for i in range(len(t)))
    said = [
        f"{weighed_count(t.answer)} combinations of your lists were gone through; of two alike to "
        f"{steps_text(t.answer.basis)} the plainer stayed; "
        f"the {coils:,} here{settings} are those that no other beats in all four.",
        *(sentence(text) for text in left_out_text(t.answer.left_out)),
        _order(t),
        "Red lines: at the largest flow of any coil here, water would have to leave as hot as the wort is.",
    ]
    if explored:
        said.append(
            f"{plural(str(explored), 'coil')} of these, marked +, lie beyond your lists: they were found by "
            "exploring, and went through the same sieve. What each needs stands beside it."
        )
    if t.in_full < len(t):
        said.append(f"The best {t.in_full:,} are here in full; of the others this page has the numbers only.")
    if inputs.stock.example_prices:
        said.append("Prices are invented for the example.")
    return said + sample_text(t.answer.sample) + [f"Assumed: {note}." for note in inputs.notes]
