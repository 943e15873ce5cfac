"""What a hand does for each option, and what becomes of a coil besides."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from optichill.display import POUND, plural, show, turns
from optichill.geometry import helix
from optichill.model.coil import Coil
from optichill.money import money
from optichill.owned.new_kettle.option import Option
from optichill.owned.new_kettle.rolls import price_of_such_a_roll
from optichill.problem.limits import LIMITS
from optichill.report.improve.words import shaky
from optichill.report.new_kettle.told import Told
from optichill.report.new_kettle.words import form_of
from optichill.report.otherwise import about
from optichill.report.warnings import dry_in_the_smallest
from optichill.report.words import by_hand, limit_words, winding_words


def how(option: Option, told: Told) -> list[str]:
    """What to do, step by step, and what to mind."""
    dry = [*_dry_turns(option), *dry_in_the_smallest(option.rating, option.basis)]
    return [*HOW[option.name](option, told), *_near_top(option, told), *dry, *_valve(told)]


def fits(option: Option, told: Told) -> str:
    """How its coil stands in the new kettle: tube in the wort, room to the wall, wort over it; each with what
    was wished for, where that is more."""
    rating = option.rating
    wet, all_ = (told.tube(length) for length in (rating.wetted_length, rating.tube_length))
    said = [f"{wet} of {all_} of tube in the wort when cold"]
    rooms = {line.name: line for line in rating.limits}
    for name, text in (("wall", "{} from turns to wall"), ("submergence", "{} under the wort")):
        line = rooms.get(name)
        if line is None or (line.value < 0.0 and rating.wet_share < 0.999):
            continue
        room, wished = told.size(max(line.value, 0.0)), ""
        if not line.holds:  # as the warning of `predict` tells both
            limit = LIMITS[name]
            there = max(line.value, 0.0)
            room, asked = limit_words.told_apart(limit, there, line.limit, option.basis, enough=limit.no_more)
            wished = f" (wished for: {asked})"
        said.append(text.format(room) + wished)
    return ", ".join(said)


def _near_top(option: Option, told: Told) -> list[str]:
    """Where no way to stand keeps the wort over the top turn that the kettle asks for."""
    if option.near_top is None:
        return []
    over = option.near_top
    there, wished = told.over_top(over)
    is_there = "is not covered" if over <= 0.0 else f"is only {there} under the wort"
    why = "no other height brings its risers over the rim and leaves more"
    if not option.brought_near:
        why = "at any height the wort is too shallow for it"
    return [f"Its top turn then {is_there} when cold, where you wish for {wished} (top_clearance): {why}."]


def _dry_turns(option: Option) -> list[str]:
    wet = option.rating.wet_share
    if wet > 0.999:
        return []
    dry = (1.0 - wet) * sum(layer.turns for layer in option.coil.layers)
    count = math.ceil(2.0 * dry) / 2.0
    return [f"About {plural(turns(count))} {'stays' if count <= 1.0 else 'stay'} above the chilled wort."]


def _valve(told: Told) -> list[str]:
    if told.found.coil.flow is None:
        return []
    return [
        "Its file tells a flow, with the valve part closed: the coil itself is reckoned with that here too."
    ]


def _how_keep(option: Option, told: Told) -> list[str]:
    under, below = option.coil.lowest_turn_height - option.coil.outer_diameter / 2.0, _below_rim(option, told)
    held = {
        "hangs": f"It hangs by its own hooks, its turns {told.set_at(below)} below the rim and "
        f"{told.set_at(under)} off the floor",
        "feet": f"It stands on its own feet, {told.set_at(under)} off the floor",
        "floor": "Its lowest turn lies on the floor" + (", or what stands there" if under > JUST else ""),
    }[option.stands]
    if option.stands == "floor" and told.found.old.brewhouse.kettle.coil_rests == "hangs":
        held = f"Its hooks are too long for this kettle: {held[0].lower()}{held[1:]}"
    return [f"{held}; risers, ends and hoses stay."]


def _below_rim(option: Option, told: Told) -> float:
    """From the rim down to the top of its turns [m]."""
    coil, rim = option.coil, told.found.new.brewhouse.kettle.inside_height
    return rim - (coil.lowest_turn_height - coil.outer_diameter / 2.0 + coil.height)


def _how_otherwise(option: Option, told: Told) -> list[str]:
    s = option.sizes
    said = [_held(option, told)] if s["moved"] else []
    if s["gap"] > 0.0:
        hung = " It opens downwards, so its hooks stay as they are." if _opens_down(option) else ""
        said.append(
            f"Pull the turns open to {told.gap(s['gap'])} between them, a little all along each time: "
            "the tube has hardened and springs back, so pull past it, let go and measure. Lace it anew."
            f"{hung}"
        )
    return said


def _opens_down(option: Option) -> bool:
    return option.stands == "hangs" and not option.sizes["moved"]


def _held(option: Option, told: Told) -> str:
    """What holds it at its new height."""
    s = option.sizes
    under = f"its underside {told.set_at(s['under'])} off the floor"
    if option.stands == "hangs":
        new = "New hooks" if told.found.old.brewhouse.kettle.coil_rests == "hangs" else "Hooks"
        top = f"the top of its turns {told.set_at(s['below'])} below it"
        return f"{new} of wire over the rim: {top}, {under}."
    if option.stands == "floor":
        return "Take its feet off: its lowest turn lies on the floor."
    tall = shaky(s["under"])
    new = "New feet" if told.found.old.brewhouse.kettle.coil_rests == "feet" else "Feet"
    return f"{new} of wire: {under}{tall}."


JUST = 1e-3
"""A height below which nothing is told [m]."""


def _how_extend(option: Option, told: Told) -> list[str]:
    many, joined = round(option.sizes["bends"]), option.sizes["joints"] > 0.0
    risers = "the riser that is too short" if many == 1 else f"the {many} risers that are too short"
    them = "it" if many == 1 else "them"
    heat = f"Heat {risers} red at the rim bend and let cool (a torch: a workshop's work), straighten"
    under = f"{_held(option, told)} Test under pressure first."
    if not joined:
        return [f"{heat} and bend {them} anew over the new rim: the tube is long enough.", under]
    return [
        f"{heat}, solder new tube on over the rim and bend that outwards.",
        f"Couplings and lead-free solder are not in the lists, and not in the price. {under}",
    ]


def _how_pair(option: Option, told: Told) -> list[str]:
    s = option.sizes
    held = []
    if option.texts["first"] != "keep":
        base = told.found.option(option.texts["first"])
        held = [] if base is None else HOW[base.name](base, told)
    return [
        *held,
        f"{plural(turns(s['turns']))} of new tube, {told.gap(s['gap'])} open, on the {form_of(option)} "
        f"({told.size(s['form'])} across): {told.size(s['across'])} across, {told.tube(s['tube'])} of tube.",
        f"Both on tees outside the kettle; one after the other instead, hose to hose, {_in_series(s)}. "
        "The work of both is what predict and sheet tell: they know of none that is there already.",
    ]


def _in_series(s: Mapping[str, float]) -> str:
    """What the water that goes through one and then the other makes of the time, beside that on tees."""
    if math.isinf(s["series"]):
        return "they do not come to the target"
    longer = s["series"] - s["tees"]
    if abs(longer) < max(60.0, ALIKE * s["tees"]):
        return "they take as long"
    return f"they take about {about(abs(longer))} {'longer' if longer > 0.0 else 'less'}"


ALIKE = 0.03
"""Times that differ by a smaller share are not told as different."""


def _how_precool(option: Option, told: Told) -> list[str]:
    switch, vessel = option.rating.prediction.switch, show(option.sizes["vessel"], "exact_volume", told.units)
    at = ""
    if switch is not None:
        begins = switch.at >= option.basis.scenario.T_start - 1.0
        at = " from the start" if begins else f" from {by_hand.degrees(switch.at, told.units)} of the wort on"
    return [
        f"Build the new main coil {option.texts['id']} (recommend); stand the old one in a vessel of "
        f"{vessel}, {told.size(option.sizes['across'])} across or wider, with the ice, and lead the tap "
        f"through it{at}.",
        f"Keep its joints out of the ice water. {_ice(option, told)}",
    ]


def _ice(option: Option, told: Told) -> str:
    price = option.sizes["ice_price"]
    if price <= 0.0:
        return "Ice from your own freezer is taken to cost nothing."
    weight, name = (POUND, "pound") if told.units == "us" else (1.0, "kilogram")
    return f"Ice is counted at {money(price * weight, told.currency, 2)} a {name}."


def _how_rewind(option: Option, told: Told) -> list[str]:
    return [
        "Cut the risers off at their lower bends, unwind the turns, roll the tube straight; wind it anew: "
        f"{_wound(option, told)}.",
        "It has hardened: it is reckoned as half hard, with half as much again of the least radius, and "
        "may kink. "
        "Try a piece of riser first; to anneal it is a workshop's work.",
    ]


def _how_replace(option: Option, told: Told) -> list[str]:
    return [
        f"{_wound(option, told)}: coil {option.texts['id']} (sheet tells the work).",
        "What fits of the old one's hoses and ends goes on.",
    ]


def _wound(option: Option, told: Told) -> str:
    """Turns, and on what they are wound: of two layers both forms."""
    d = option.design
    assert d is not None
    each = " in each layer" if d.inner is not None else ""
    gap = "touching" if d.gap <= 0.0 else f"{told.gap(d.gap)} open"
    wound = winding_words.forms(d, told.units)
    return f"{plural(turns(d.turns))}{each}, {gap}, {told.size(d.across)} across, {wound}"


HOW: dict[str, Callable[[Option, Told], list[str]]] = {
    "keep": _how_keep,
    "hang": _how_otherwise,
    "stand": _how_otherwise,
    "extend": _how_extend,
    "pair": _how_pair,
    "precool": _how_precool,
    "rewind": _how_rewind,
    "replace": _how_replace,
}


def sell(told: Told) -> str:
    """What somebody else has of the coil."""
    coil, old = told.found.coil, told.found.old.brewhouse
    price = told.money(price_of_such_a_roll(told.found.new, coil))
    mass = show(_mass(coil), "mass", told.units)
    return (
        f"{mass} of {coil.material}, whose tube is about {price} new. It does for who brews "
        f"{show(old.wort.volume, 'exact_volume', told.units)} in "
        f"{show(old.kettle.inside_diameter, 'length', told.units)}; what it brings is not counted above."
    )


def _mass(coil: Coil) -> float:
    length = coil.bought_length or coil.takes
    return float(helix.tube_mass(coil.outer_diameter, coil.bore, length, coil.metal.density))


LATER = (
    "Its tube, unwound, can one day be the inner tube of a counterflow exchanger: wort inside, water in "
    "a hose "
    "round it."
)
