"""What a hand does for each option, and what becomes of a coil besides."""

from __future__ import annotations

import math
from collections.abc import Callable

from optichill.display import POUND, money, plural, show, turns
from optichill.geometry import helix
from optichill.model.coil import Coil
from optichill.owned.new_kettle.kept_options import price_of_such_a_roll
from optichill.owned.new_kettle.option import Option
from optichill.report import words
from optichill.report.new_kettle.told import Told
from optichill.report.new_kettle.words import form_of
from optichill.report.otherwise import about


def how(option: Option, told: Told) -> list[str]:
    """What to do, step by step, and what to mind."""
    return [*HOW[option.name](option, told), *_dry_turns(option), *_valve(told)]


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
        wished = "" if line.holds else f" (wished for: {told.size(line.limit)})"
        said.append(text.format(told.size(max(line.value, 0.0))) + wished)
    return ", ".join(said)


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
    under = told.size(option.coil.lowest_turn_height - option.coil.outer_diameter / 2.0)
    hangs = told.found.old.brewhouse.kettle.coil_rests == "hangs"
    held = "by its own hooks" if hangs else "on its own feet"
    return [
        f"It {'hangs' if hangs else 'stands'} {held}, {under} off the floor; risers, ends and hoses stay."
    ]


def _how_stand(option: Option, told: Told) -> list[str]:
    s, kettle = option.sizes, told.found.new.brewhouse.kettle
    wire = "hooks over the rim" if kettle.coil_rests == "hangs" else "feet"
    said = []
    if abs(s["up"]) >= 1e-3:
        said.append(f"New {wire} of wire: its underside {told.size(s['under'])} off the floor.")
    if s["gap"] > 0.0:
        said.append(
            f"Pull the turns open to {told.gap(s['gap'])} between them, a little all along each time: "
            "the tube "
            "has hardened and springs back, so pull past it, let go and measure. Lace it anew."
        )
    return said


def _how_extend(option: Option, told: Told) -> list[str]:
    many, joined = round(option.sizes["bends"]), option.sizes["joints"] > 0.0
    risers = "the riser that is too short" if many == 1 else f"the {many} risers that are too short"
    them = "it" if many == 1 else "them"
    heat = f"Heat {risers} red at the rim bend and let cool (a torch: a workshop's work), straighten"
    under = f"Its underside is {told.size(option.sizes['under'])} off the floor. Test under pressure first."
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
    series = "does not come to the target" if math.isinf(s["series"]) else f"takes {about(s['series'])}"
    return [
        *held,
        f"{plural(turns(s['turns']))} of new tube, {told.gap(s['gap'])} open, on the {form_of(option)} "
        f"({told.size(s['form'])} across): {told.size(s['across'])} across, {told.tube(s['tube'])} of tube.",
        f"Both on tees outside the kettle; one after the other instead, hose to hose, it {series} (on tees "
        f"{about(s['tees'])}). The work of both is what predict and sheet tell: they know of none that is "
        "there already.",
    ]


def _how_precool(option: Option, told: Told) -> list[str]:
    switch, vessel = option.rating.prediction.switch, show(option.sizes["vessel"], "exact_volume", told.units)
    at = ""
    if switch is not None:
        begins = switch.at >= option.basis.scenario.T_start - 1.0
        at = " from the start" if begins else f" from {words.degrees(switch.at, told.units)} of the wort on"
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
        "Cut the risers off at their lower bends, unwind the turns, roll the tube straight; wind it on the "
        f"{form_of(option)}: {plural(turns(option.sizes['turns']))}, {told.size(option.sizes['across'])} "
        "across.",
        "It has hardened: it is reckoned as half hard, with half as much again of the least radius, and "
        "may kink. "
        "Try a piece of riser first; to anneal it is a workshop's work.",
    ]


def _how_replace(option: Option, told: Told) -> list[str]:
    s = option.sizes
    return [
        f"{plural(turns(s['turns']))} on the {form_of(option)} ({told.size(s['form'])} across), "
        f"{told.size(s['across'])} across: coil {option.texts['id']}; what fits of the old one's hoses "
        "and ends "
        "goes on.",
    ]


HOW: dict[str, Callable[[Option, Told], list[str]]] = {
    "keep": _how_keep,
    "stand": _how_stand,
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
