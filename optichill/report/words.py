"""The words of the screens, so that every page says a thing the same way."""

from __future__ import annotations

import math

from optichill.build.difficulty import band
from optichill.search.conflicts import Step
from optichill.search.design import Design
from optichill.search.limits import AT_LEAST
from optichill.search.setting import Setting
from optichill.search.space import Winding
from optichill.units import FOOT, INCH, US_GALLON, inch_fraction, money, show, trim, turns

# A limit in a sentence: "… stands in the way".
LIMIT_WORDS = {
    "chill_time": "the chill time",
    "target": "the temperature to reach",
    "budget": "the budget",
    "water": "the water",
    "ice": "the ice",
    "difficulty": "how hard the build may be",
    "stock_length": "the length of the rolls",
    "winding_radius": "how tightly the tube can be wound without a kink",
    "riser_bend": "how tightly the risers can be bent",
    "form_height": "the height of the forms",
    "gap": "the gap between turns",
    "wall": "the room to the kettle wall",
    "mouth": "the mouth of the kettle",
    "floor": "the room to the kettle floor",
    "submergence": "the depth of wort over the top turn",
    "centre": "what stands in the kettle's centre",
    "riser_gap": "the room for a riser outside the turns",
    "riser_height": "the height for the bends up to the rim",
    "headspace": "the free rim over the hot wort",
    "bucket": "what the bucket holds",
    "pump_rating": "what the pump stands",
}

# How a step of a limit is put as advice: {to} is where it must go, {now} where it is.
_ADVICE = {
    "chill_time": "allow {to} instead of {now}",
    "budget": "allow {to} instead of {now}",
    "water": "allow {to} of water instead of {now}",
    "difficulty": "allow a harder build: difficulty {to} instead of {now}",
    "stock_length": "get a roll of {to} instead of {now}",
    "winding_radius": "wind tighter than is safe without filling: radius {to} instead of {now}",
    "riser_bend": "bend the risers at {to} instead of {now}, with another tool",
    "form_height": "find a form {to} tall instead of {now}",
    "gap": "let the turns stand {to} apart instead of {now}",
    "wall": "accept {to} to the wall instead of {now}",
    "mouth": "needs a mouth of {to} instead of {now}",
    "floor": "accept {to} to the floor instead of {now}",
    "submergence": "accept {to} of wort over the top turn instead of {now}",
    "centre": "accept {to} round what stands in the centre instead of {now}",
    "riser_gap": "accept {to} beside the riser instead of {now}",
    "riser_height": "accept {to} between the riser's bends instead of {now}",
    "headspace": "accept {to} of free rim instead of {now}",
}


def limit_value(name: str, value: float, setting: Setting, *, enough: bool = True) -> str:
    """A limit's value as its sentence says it; `enough` rounds it to the side on which it suffices."""
    house = setting.brewhouse
    outwards = math.floor if name in AT_LEAST else math.ceil

    def to(step: float) -> float:
        if not enough:
            return step * round(value / step)
        return step * outwards(value / step + (1e-6 if name in AT_LEAST else -1e-6))

    if name == "budget":
        return money(to(1.0), house.stock.currency)
    if name == "difficulty":
        return f"{trim(to(0.1))} of 10"
    if name == "chill_time":
        return show(to(60.0), "minutes")
    if name == "water":
        return show(to(0.1 * US_GALLON if house.units == "us" else 1e-3), "exact_volume", house.units)
    if name == "stock_length":
        return show(to(0.1 * FOOT if house.units == "us" else 0.1), "long_length", house.units)
    return show(to(INCH / 16.0 if house.units == "us" else 1e-3), "length", house.units)


def advice(step: Step, setting: Setting) -> str:
    """One step of one limit, as advice."""
    to, now = (limit_value(step.limit, v, setting) for v in (step.to, step.now))
    return _ADVICE[step.limit].format(to=to, now=now)


def roll(w: Winding, units: str) -> str:
    """The tube as it is bought: "10 m roll of soft copper, 10 mm outside, 1 mm wall"."""
    tube = w.tube
    soft = {"annealed": "soft ", "half hard": "half hard "}[tube.temper]
    return (
        f"{show(tube.length, 'long_length', units)} roll of {soft}{tube.material}, "
        f"{show(tube.outer_diameter, 'tube', units)} outside, {show(tube.wall, 'wall', units)} wall"
    )


def form(w: Winding, units: str) -> str:
    """What it is wound on, with lagging and ownership."""
    name = w.form.description.split(";")[0].split(",")[0] or w.form.form_id
    size = show(w.form.outer_diameter, "length", units)
    lagged = {0: "", 1: ", lagged once with ", 2: ", lagged twice with "}[w.wraps]
    lagging = f"{lagged}{card(units)}" if lagged else ""
    yours = "you own" if w.form.owned else "to buy"
    return f"{name} ({size} across, {yours}){lagging}"


def card(units: str) -> str:
    """The card that a form is lagged with."""
    return "1/8 in card" if units == "us" else "3 mm card"


def degrees(T: float, units: str) -> str:
    """A water temperature [K] to whole degrees."""
    return f"{T * 1.8 - 459.67:.0f} °F" if units == "us" else f"{T - 273.15:.0f} °C"


def tool(w: Winding) -> str:
    """How the risers are bent."""
    if w.tool.bender is None:
        return "risers bent by hand"
    whose = "yours" if w.tool.owned else "to buy"
    return f"risers bent with a {'bending spring' if w.tool.kind == 'spring' else 'lever bender'} ({whose})"


def difficulty(score: float) -> str:
    """The band of a difficulty."""
    return str(band(score))


def beside_parts(wall_gap: float, setting: Setting) -> str:
    """How the turns clear what stands out from the wall; nothing where nothing does."""
    u = setting.brewhouse.units
    parts = [p for p in setting.parts if p.where == "wall"]
    said = [f", clears the {p.what} by {rough(wall_gap - p.size, u)}" for p in parts if wall_gap > p.size]
    return "".join(said)


def short(design: Design, units: str) -> str:
    """A design in a few words, for a second line: roll, form diameter and turns."""
    w = design.winding
    return (
        f"{show(w.tube.length, 'long_length', units)} of {show(w.tube.outer_diameter, 'tube', units)} "
        f"{w.tube.material}, {turns(design.turns)} turns, {rough(design.across, units)} across"
    )


def rough(metres: float, units: str) -> str:
    """A length as a tape reads it: whole centimetres, below 10 cm half ones; metres to 0.1; inches to 1/8."""
    if units == "us":
        return inch_fraction(metres, 8) if abs(metres) < 3.0 else show(metres, "long_length", units)
    if abs(metres) >= 1.0:
        return show(metres, "long_length", units)
    step = 0.5 if abs(metres) < 0.1 else 1.0
    return f"{trim(step * round(100.0 * metres / step))} cm"
