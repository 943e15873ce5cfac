"""One coil of the page in full: what it costs, why it is hard, its limits, its cool-down, its words."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from optichill.display import show
from optichill.files.coil_file import coil_text
from optichill.money import bill_figures
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.rating.prediction import Prediction
from optichill.report import ranges
from optichill.report.choice import apart, over_life
from optichill.report.left_out import not_counted
from optichill.report.lifetime import batches, over_its_life
from optichill.report.origin import origin
from optichill.report.otherwise import about, dirt, last_degrees
from optichill.report.reasons import because, deciding
from optichill.report.tradeoff.scene import scene
from optichill.report.turns_told import counts, gaps_told, turns_told
from optichill.report.warnings import of_design
from optichill.report.words import build_words, by_hand, limit_words, plan_words, roll_words, winding_words
from optichill.report.words.sentences import sentence
from optichill.search.designs import EXPLORED, Design, as_coil
from optichill.search.tradeoff import ShortCurve, Tradeoff
from optichill.thermal.batch import Mixing


def on_scale(T: float, units: str) -> float:
    """A temperature [K] on the reader's scale."""
    return round(T * 1.8 - 459.67 if units == "us" else T - 273.15, 2)


def details(t: Tradeoff, d: Design) -> dict[str, Any]:
    basis = t.answer.basis
    currency = basis.brewhouse.stock.currency
    items = d.bill.items
    *prices, total = bill_figures([i.price for i in items], d.bill.total)
    cost = [
        [
            i.what,
            by_hand.amount(i.quantity, i.unit, basis.brewhouse.units),
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
        "warnings": [sentence(text) for text in of_design(d, basis)],
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
        "wort": [round(on_scale(T, u), 1) for T in curve.wort[arrives].tolist()],
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
            searched.append([round(passed / 60.0, 2), plan_words.SOURCE_WORDS[after.source]])
    return searched


def _limits(d: Design, basis: DesignBasis) -> list[list[str]]:
    rows = []
    for line in d.limits:
        if math.isfinite(line.value) and math.isfinite(line.limit):
            limit = LIMITS[line.name]
            value, bound, margin = (
                limit_words.limit_value(limit, v, basis, enough=False)
                for v in (line.value, line.limit, line.margin)
            )
            left = margin if limit.shown.step else ""
            name = limit.words
            if line.name == "chill_time":  # not what is most likely, which stands above the table
                name += f", {10.0 * basis.brewhouse.limits.sure:.3g} times in 10 at most"
            rows.append([name, value, bound, left, "holds" if line.holds else "broken"])
    return rows


def _against(t: Tradeoff, d: Design) -> list[str]:
    """Why build 1 wins; of another, in what it is better and worse than build 1, and what that comes to."""
    best = t.answer.designs[0]
    if d.id == best.id:
        return [sentence(text) for text in because(t.answer)]
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
    return [sentence(f"{over_life(more, t.answer)}{mostly}")]


def _facts(d: Design, basis: DesignBasis) -> list[list[str]]:
    u, p = basis.brewhouse.units, d.prediction
    each = f"in each {winding_words.one_of_two(d.layout)}"
    facts = [
        ["tube", roll_words.roll(d, u)],
        ["wound on", winding_words.forms(d, u).removeprefix("wound on ").removeprefix("the ")],
        *([["origin", origin(d, u)]] if d.origin == EXPLORED else []),
        ["turns", turns_told(counts(d), each).replace(" turns", "", 1)],
        ["gap between turns", gaps_told(d, u).replace(" open between turns", "")],
        ["across, tall", f"{by_hand.rough(d.across, u)}, {by_hand.rough(d.height, u)}"],
        ["cut length", show(d.tube_length, "long_length", u)],
        ["left over", by_hand.left_over(d.offcut, u)],
        ["weighs", show(d.mass, "mass", u)],
        ["risers", winding_words.tool(d.winding)],
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
        facts.append(["valve", build_words.valve(d.valve_share)])
    return facts


def _stirred_otherwise(p: Prediction, basis: DesignBasis) -> list[list[str]]:
    """The time with the wort moved otherwise, where it is not moved so anyhow."""
    wort = basis.brewhouse.wort
    steady, alone = p.told_steady, p.told_alone
    ways = (("stirred all the time", steady, wort.all_along), ("left alone", alone, LEFT_ALONE))
    return [[name, about(time)] for name, time, mixing in ways if mixing != basis.scenario.mixing]


LEFT_ALONE = Mixing.of("left alone")


def _coil_file(d: Design, basis: DesignBasis) -> list[str]:
    """Lines of the coil file that `recommend --save-coil` would write."""
    brewhouse = basis.brewhouse
    text = coil_text(as_coil(d), demo=brewhouse.demo, brewhouse=brewhouse.name, units=brewhouse.units)
    return text.splitlines()
