"""Why an option for a coil does not apply in the new kettle, in words."""

from __future__ import annotations

from collections.abc import Callable

from optichill.display import show
from optichill.owned.new_kettle.option import LeftOut
from optichill.problem.limits import LIMITS
from optichill.report.new_kettle.told import Told
from optichill.report.warnings import BENDS_TAKEN
from optichill.report.words import by_hand, limit_words


def left_out(out: LeftOut, told: Told) -> str:
    """Why an option does not apply."""
    if out.why == "mouth":
        return _mouth(out, told)
    if out.why in REASONS:
        return REASONS[out.why](out, told)
    text = ROOM[out.why] if out.why in ROOM else LIMITS[out.why].stops
    return text.format(**_lengths(out, told), of=out.of)


def _lengths(out: LeftOut, told: Told) -> dict[str, str]:
    lengths = {key: told.size(value) for key, value in out.sizes.items()}
    value, needed = out.sizes.get("value", 0.0), out.sizes.get("needed", 0.0)
    return lengths | {"short": told.size(abs(needed - value))}


ROOM = {
    "part": "Its turns run into the {of}, which stands {needed} in from the wall; {value} are free.",
    "rim": "Its turns reach {value} up, the rim is at {needed}.",
}
"""Of a coil that does not go in, beside what the limits' own records say."""


def _dry(out: LeftOut, told: Told) -> str:
    wet = out.sizes["value"]
    if wet < 0.01:
        return "It does not reach the wort: it hangs above it."
    return f"Only {100.0 * wet:.0f} % of its turns would be in the wort."


def _below_rim(out: LeftOut, told: Told) -> str:
    said = _bent_too_low(out, told)
    if out.sizes["enough"] > 0.0:  # as recommend --next-kettle has them cut
        said += " Its tube is long enough: if its risers are bent for this rim already, it stays as it is."
    return said


def _bent_too_low(out: LeftOut, told: Told) -> str:
    s, many = out.sizes, out.sizes["many"] > 1.5
    who = "Its risers are" if many else f"Its {out.of} riser is"
    if s["enough"] > 0.0 and s["inside"] <= 0.0:  # tube there is, but bent elsewhere
        low = f"{who} bent {told.size(s['short'])} too low for this rim"
        higher = f" Set {told.size(s['raise_by'])} higher, the coil comes over."
        return f"{low}.{higher if s['raise_by'] <= s['room_up'] + 1e-6 else ''}"
    ends = "they end" if many else "it ends"
    said = f"{who} {told.size(s['short'])} too short: bent for a lower rim, {ends} inside the kettle"
    if s["inside"] > 0.0:
        return f"{said}, and {told.size(s['inside'])} short of where a joint drips outside."
    if s["raise_by"] <= s["room_up"] + 1e-6:
        return f"{said}. Set {told.size(s['raise_by'])} higher, the coil comes over."
    return f"{said}. {_bridged(s, told, ends)}"


def _bridged(s: dict[str, float], told: Told, ends: str) -> str:
    """What a hose or a union could bridge."""
    if s["straight"] >= 0.0:
        return (
            f"Straightened at the rim, the tube stands {told.size(s['straight'])} over it: a hose or "
            "new tube can go on there."
        )
    if s["over_wort"] < 0.02:
        return f"Even straightened {ends} at the hot wort: no hose or union may be there."
    return (
        f"Even straightened {ends} {told.size(-s['straight'])} under the rim, "
        f"{told.size(s['over_wort'])} over the hot wort: a hose or union there may bridge a brew "
        "day, but what drips off it drips into the wort."
    )


def _no_height(out: LeftOut, told: Told) -> str:
    said = "At no height are its turns off the floor and under the wort, and its risers over the rim"
    s = out.sizes
    if s.get("raise_by", 0.0) <= max(s.get("room_up", 0.0), 0.0):
        return f"{said}."
    room, more = max(s["room_up"], 0.0), s["raise_by"]
    more = s["short"] if abs(more - s["short"]) < 1e-3 else more  # one figure, told once
    up = "no room" if room < 1e-3 else f"room for {told.size(room)}"
    less = " less" if told.size(more) == told.size(room) else ""  # by what no tape reads
    return (
        f"{said}: that takes {told.size(more)} more of height, and there is {up}{less} under the wort, "
        "its top turn level with the surface."
    )


def _inside(out: LeftOut, told: Told) -> str:
    return (
        f"Its {out.of} riser ends {told.size(out.sizes['short'])} short of where its joint drips outside "
        "the kettle."
    )


def _no_tube(out: LeftOut, told: Told) -> str:
    c = told.found.coil
    tube = f"{told.across(c.outer_diameter)} {c.material} with a wall of {show(c.wall, 'wall', told.units)}"
    return f"No soft roll of its tube ({tube}) in the new kettle's lists."


def _mouth(out: LeftOut, told: Told) -> str:
    """As `predict` has it of the same coil there: risers that nobody has measured as a tool bends them."""
    limit = LIMITS["mouth"]
    across, mouth = limit_words.told_apart(limit, out.sizes["value"], out.sizes["needed"], told.found.new)
    return limit.stops.format(value=across, needed=mouth) + _bends_taken(told)


def _bends_taken(told: Told) -> str:
    """What to measure, where the turns alone would pass."""
    coil = told.found.coil
    too_wide = coil.mean_diameter + coil.outer_diameter > told.found.new.brewhouse.kettle.mouth
    if too_wide or coil.riser_bend_radius is not None:
        return ""
    return f" {BENDS_TAKEN}"


REASONS: dict[str, Callable[[LeftOut, Told], str]] = {
    "dry": _dry,
    "below_rim": _below_rim,
    "inside": _inside,
    "riser_height": lambda o, t: (
        f"Its turns stand {t.size(t.found.coil.height)} tall in a kettle of "
        f"{t.size(t.found.new.brewhouse.kettle.inside_height)}: no room is left for the bends of its risers."
    ),
    "in_the_way": lambda o, t: (
        "At no height are half of its turns in the wort."
        if o.of == "dry"
        else "With its risers it does not pass the mouth of the new kettle."
        if o.of == "mouth"
        else "Its turns do not go into the new kettle."
    ),
    "no_height": lambda o, t: _no_height(o, t),
    "no_gain": lambda o, t: _no_gain(o, t),
    "not_hung": lambda o, t: "It does not hang, nor does the new kettle hang its coils.",
    "hangs": lambda o, t: "It hangs: `hang` tells what another height does.",
    "target": lambda o, t: (
        f"It does not bring the wort to {by_hand.degrees(t.found.new.scenario.T_target, t.units)} there."
    ),
    "no_better": lambda o, t: "It takes more than another way to set the coil, and is better in nothing.",
    "reaches": lambda o, t: "Its risers reach as they are.",
    "not_by_hand": lambda o, t: f"Nobody straightens or unwinds {t.found.coil.material} by hand.",
    "joint_below": lambda o, t: (
        f"Straightened, a riser ends {t.size(o.sizes['short'])} below where it could be joined over the rim; "
        "a joint under the rim drips into the wort."
    ),
    "no_tube": _no_tube,
    "not_main": lambda o, t: "It cannot stand in the new kettle by itself.",
    "two_already": lambda o, t: "It is two layers, or two coils, already.",
    "not_wanted": lambda o, t: "Your workshop's layouts leave out two coils on tees.",
    "no_room": lambda o, t: (
        "No form and roll of the new kettle's lists give a second coil with room beside it."
    ),
    "plan": lambda o, t: "The new kettle's plan is more than its tap alone: ice has its place there.",
    "layers": lambda o, t: "Two layers are not worked out in ice.",
    "two_tubes": lambda o, t: "Of two coils on tees none has the tube for a larger one.",
    "nothing_fits": lambda o, t: _nothing_fits(o),
    "no_form": lambda o, t: (
        f"No form of the lists is wider than the {t.size(o.sizes['across'])} that it was wound on: hardened "
        "tube is wound no tighter."
    ),
}


def _nothing_fits(out: LeftOut) -> str:
    if out.name == "rewind":
        return "None that its hardened tube gives on a larger form of the lists holds your limits."
    if out.name == "precool":
        return "No ice and new coil of the lists hold your limits."
    return "No coil of the lists holds your limits (recommend says what would help)."


def _no_gain(out: LeftOut, told: Told) -> str:
    if out.name == "precool":
        return "Beside the same new coil without ice it gains less than a minute."
    near = "Another height, or turns pulled open, gain less than a minute"
    return f"{near}, or leave less wort over the top turn than you wish for."


NOT_WORTH = frozenset({"no_gain", "no_better"})
"""Reasons why an option is not worth it, as against those for which it does not apply."""

NOT_SAID = frozenset({"not_hung", "hangs"})
"""Reasons that nobody asks for: a coil on feet has no hooks."""


def not_these(told: Told) -> list[str]:
    """Every option that does not apply, with its reason; those with the same reason stand together."""
    return _named(told, [out for out in told.found.left_out if out.why not in NOT_WORTH | NOT_SAID])


def not_worth(told: Told) -> list[str]:
    """Every option that applies and is not worth it."""
    return _named(told, [out for out in told.found.left_out if out.why in NOT_WORTH])


def _named(told: Told, outs: list[LeftOut]) -> list[str]:
    by_reason: dict[str, list[str]] = {}
    for out in outs:
        by_reason.setdefault(left_out(out, told), []).append(named(out.name, told))
    return [f"{', '.join(names)}: {text[0].lower()}{text[1:]}" for text, names in by_reason.items()]


NAMED = {
    "keep": "as it is",
    "hang": "hung otherwise",
    "stand": "set otherwise",
    "extend": "longer risers",
    "pair": "a second coil",
    "precool": "in ice",
    "rewind": "wound anew",
    "replace": "a new coil",
}
"""What is left out, at the head of its line."""


def named(name: str, told: Told) -> str:
    """The same of this coil: one that hangs nowhere yet is not hung otherwise."""
    if name == "hang" and told.found.old.brewhouse.kettle.coil_rests != "hangs":
        return "hung from the rim"
    return NAMED[name]


def asked_for(name: str, told: Told) -> str:
    """Why an option that was asked for is not one."""
    return f"{name} ({named(name, told)}) {is_none(name, told)}."


def is_none(name: str, told: Told) -> str:
    """The same without its name, and without a full stop."""
    out = next((out for out in told.found.left_out if out.name == name), None)
    if out is None:
        return "does not apply: nothing does"
    verb = "is not worth it" if out.why in NOT_WORTH else "does not apply"
    text = left_out(out, told)
    return f"{verb}: {text[0].lower()}{text[1:]}".rstrip(".")
