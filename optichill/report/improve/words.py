"""A change to a coil that somebody owns, in words: what is done, and what it is called where it is not worth
doing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from optichill.display import plural, show, turns
from optichill.fabrication.work_plan import WorkPlan
from optichill.model.stirring import Stirring
from optichill.owned.improve.changes import Change
from optichill.owned.improve.ranked import Found
from optichill.report.left_out import of_a_coil_beside
from optichill.report.words import build_words, by_hand, plan_words, winding_words
from optichill.report.words.stirring_words import all_along
from optichill.search.designs import Design
from optichill.units import parse


def what_to_do(found: Found) -> str:
    """What a hand does, without stop or capital."""
    u = found.now.inputs.brewhouse.units
    return _DO[found.change.kind](found, found.change.told, u)


def called(found: Found, plan: WorkPlan) -> str:
    """What it is called in a list of what is not worth doing. plan : of the coil as it is."""
    kind, told, u = found.change.kind, found.change.told, plan.basis.brewhouse.units
    if kind == "another coil":
        return f"another coil ({build_words.short(told['design'], u)})"
    return _CALLED[kind](told, u) if kind in _CALLED else what_to_do(found)


def measured(metres: float, u: str) -> str:
    """A size as a hand sets it: to a whole millimetre, or a sixteenth of an inch."""
    return show(round(metres, 3) if u == "metric" else metres, "length", u)


def _stir(found: Found, told: Any, u: str) -> str:
    return all_along(told["with"], told["motion"])


def takes_up_a_paddle(f: Found) -> bool:
    """Whether the wort is stirred with a paddle then, and with something else, or nothing, now."""
    then, now = (seen.inputs.brewhouse.wort.mixing for seen in (f.then, f.now))
    return isinstance(then, Stirring) and then.with_ == "paddle" != getattr(now, "with_", None)


def _stand(found: Found, told: Any, u: str) -> str:
    by, rests = told["by"], told["rests"]
    under, far = measured(told["under"], u), measured(abs(by), u)
    if rests == "floor":
        return f"stand it on feet, {under} off the floor{shaky(told['under'])}"
    if rests == "feet":
        taller = "taller" if by > 0.0 else "shorter"
        return f"{taller} feet, so that it stands {under} off the floor{shaky(told['under'])}"
    return f"hang it {far} {'higher' if by > 0.0 else 'lower'}, {under} off the floor"


def shaky(under: float) -> str:
    """What to mind of feet so tall [m], in brackets."""
    return " (feet so tall are shaky: hooks over the rim do as well)" if under > SHAKY else ""


SHAKY = 0.12
"""Feet of wire that are taller are told to be shaky [m] (OWN)."""


def _pull(found: Found, told: Any, u: str) -> str:
    was = "they touch now" if told["was"] < TOUCHING else f"{show(told['was'], 'gap', u)} now"
    tall = measured(told["tall"], u)
    said = (
        f"pull its turns open, {show(told['gap'], 'gap', u)} apart ({was}), and lace them there, {tall} tall"
    )
    if told["rests"] == "hangs" and abs(told["hooks"]) >= 1e-3:
        said += _hooks(told, u)
    if told["at"] is None:
        return said
    under = measured(told["at"] - found.now.coil.outer_diameter / 2.0, u)
    return f"{said}; and {'hang' if told['rests'] == 'hangs' else 'set'} it lower, {under} off the floor"


def _hooks(told: Any, u: str) -> str:
    """What becomes of the hooks of one that is pulled open: its top turn rises, for its lowest stays."""
    by, below = measured(abs(told["hooks"]), u), measured(told["below"], u)
    return f", on hooks {by} {'shorter' if told['hooks'] > 0.0 else 'longer'} (its top {below} below the rim)"


def _unwind(found: Found, told: Any, u: str) -> str:
    ends = [
        f"{plural(turns(float(told[end])))} at the {where}"
        for end, where in (("in", "bottom"), ("out", "top"))
        if told[end]
    ]
    risers = "its riser" if len(ends) == 1 else "both risers"
    return f"unwind {' and '.join(ends)} and bend {risers} of that tube, out over the rim"


TOUCHING = 5e-4
"""Turns nearer than this touch [m]."""


def _open_valve(found: Found, told: Any, u: str) -> str:
    share = told["share"]
    near = min(build_words.VALVES, key=lambda setting: abs(setting - share))
    stands = build_words.VALVES[near] if abs(near - share) < 0.03 and near < 1.0 else build_words.valve(share)
    return f"open the valve, which stands about {stands}"


def _shut_valve(found: Found, told: Any, u: str) -> str:
    return f"valve only {build_words.valve(told['share'])} ({by_hand.bucket_time(told['flow'], u)})"


def _hose(found: Found, told: Any, u: str) -> str:
    if told["length"] is not None:
        return f"a hose of {show(told['length'], 'long_length', u)}, half of yours, if the tap is that near"
    return f"a hose of {show(told['bore'], 'tube', u)} bore, with ends to fit it"


def _order(found: Found, told: Any, u: str) -> str:
    first = plan_words.SOURCE_WORDS[told["first"]]
    return f"{first} first, down to {_read(told['until'], u)}, and the ice last"


def _change_over(found: Found, told: Any, u: str) -> str:
    when = "later" if told["later"] else "sooner"
    return f"change over {when}, at {_read(told['until'], u)} instead of {by_hand.degrees(told['was'], u)}"


def _read(written: str, u: str) -> str:
    """A temperature of the file as a screen has it."""
    return by_hand.degrees(parse(written, "temperature"), u)


def _cubes(found: Found, told: Any, u: str) -> str:
    if told["was"] == "bags":
        return "shake the bags of ice out into small cubes"
    return "break the ice into small cubes"


def _ice(found: Found, told: Any, u: str) -> str:
    said = f"{show(told['ice'], 'mass', u)} of ice instead of {show(told['had'], 'mass', u)}"
    return said if told["vessel"] is None else f"{said}, in a vessel of {_vessel(found.change)}"


def _vessel(change: Change) -> str:
    """The vessel that the lines name."""
    for edit in change.edits:
        if edit.key == "bucket":
            return str(edit.value)
        if isinstance(edit.value, list):
            return str(edit.value[-1]["bucket"])
    return ""


def _ice_behind(found: Found, told: Any, u: str) -> str:
    tap, precooler = f"the tap down to {_read(told['until'], u)}, then", told["precooler"]
    how = f"ice water pumped round through the coil ({told['pump']})"
    if precooler is not None:
        second = build_words.small_coil(precooler, u)
        how = f"on through a second coil ({second}) in ice water that is kept moving"
    bath = f"{show(told['water'], 'exact_volume', u)} of water and {show(told['ice'], 'mass', u)} of ice"
    return f"{tap} {how}, with {bath} in a vessel of {_vessel(found.change)} or more"


def not_all_priced(found: Found) -> bool:
    """Whether its price leaves out what the lists do not have."""
    bill = found.change.told.get("bill") if found.change.kind == "second coil" else None
    return bill is not None and bool(of_a_coil_beside(bill, found.now.basis))


def _second(found: Found, told: Any, u: str) -> str:
    joined = {
        "tees": "both fed through tees outside the kettle",
        "series": "one after the other, joined by a hose outside the kettle",
    }[told["joined"]]
    across, tube = measured(told["across"], u), told["tube"]
    size = f"{show(tube.outer_diameter, 'tube', u)} {tube.material}"
    made = f"{plural(turns(told['turns']))}, wound on the {winding_words.form(told['winding'], u)}"
    out = of_a_coil_beside(told["bill"], found.now.basis)
    besides = f"; its cost is without {'; '.join(out)}" if out else ""
    return f"a second coil of {size}, {made}, {across} across, inside it, {joined}{besides}"


def _another(found: Found, told: Any, u: str) -> str:
    design: Design = told["design"]
    return f"another coil in its place ({build_words.short(design, u)})"


_DO: dict[str, Callable[[Found, Any, str], str]] = {
    "stir": _stir,
    "hop bag": lambda found, told, u: "put the pellets in a bag",
    "lid": lambda found, told, u: "put the lid on" if told["on"] else "leave the lid off",
    "stop": lambda found, told, u: (
        f"stop at {_read(told['at'], u)} and let a fridge do the rest before the yeast goes in"
    ),
    "stand": _stand,
    "longer risers": _unwind,
    "pull open": _pull,
    "open the valve": _open_valve,
    "shut the valve": _shut_valve,
    "wider hose": _hose,
    "shorter hose": _hose,
    "return under water": lambda found, told, u: "let the return hose end under the water of its vessel",
    "order": _order,
    "change over": _change_over,
    "small cubes": _cubes,
    "stir the ice": lambda found, told, u: "keep the ice water round the small coil moving",
    "refill": lambda found, told, u: f"change the bucket's water once more, {told['fillings']} fillings",
    "more ice": _ice,
    "less ice": _ice,
    "ice behind the tap": _ice_behind,
    "second coil": _second,
    "another coil": _another,
}
_CALLED: dict[str, Callable[[Any, str], str]] = {
    "stir": lambda told, u: "stirring more",
    "hop bag": lambda told, u: "a bag for the pellets",
    "lid": lambda told, u: "a lid" if told["on"] else "no lid",
    "stand": lambda told, u: f"{'higher' if told['by'] > 0.0 else 'lower'} by {measured(abs(told['by']), u)}",
    "pull open": lambda told, u: "pulling it open",
    "longer risers": lambda told, u: "unwinding turns for its risers",
    "open the valve": lambda told, u: "the valve wide open",
    "shut the valve": lambda told, u: f"the valve {build_words.valve(told['share'])}",
    "wider hose": lambda told, u: f"a hose of {show(told['bore'], 'tube', u)}",
    "shorter hose": lambda told, u: "half the hose",
    "return under water": lambda told, u: "the return under water",
    "order": lambda told, u: "the ice last",
    "change over": lambda told, u: f"changing over at {_read(told['until'], u)}",
    "small cubes": lambda told, u: "ice in small cubes",
    "stir the ice": lambda told, u: "ice water kept moving",
    "refill": lambda told, u: "one filling more",
    "stop": lambda told, u: f"stopping at {_read(told['at'], u)}",
    "second coil": lambda told, u: "a second coil inside it",
    "ice behind the tap": lambda told, u: (
        "ice behind the tap" + ("" if told["precooler"] is None else ", with a small coil in it")
    ),
}
