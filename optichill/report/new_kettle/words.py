"""What becomes of a coil, in words: each option as it is called and advised, and why one comes first."""

from __future__ import annotations

from collections.abc import Callable

from optichill.display import show
from optichill.layouts import LAYOUTS
from optichill.money import seen
from optichill.owned.new_kettle.option import LeftOut, Option
from optichill.problem.limits import LIMITS
from optichill.report.left_out import of_a_coil_beside
from optichill.report.new_kettle.reasons import left_out
from optichill.report.new_kettle.told import Told
from optichill.report.words.roll_words import lengths
from optichill.workshop.difficulty import band

# --- what an option is called -------------------------------------------------------------------------------

TITLES = {
    "keep": "keep as it is",
    "hang": "hung otherwise",
    "stand": "set otherwise",
    "extend": "longer risers",
    "pair": "second coil beside it",
    "precool": "in ice, new main coil",
    "rewind": "its tube wound anew",
    "replace": "a new coil instead",
}
"""In a table and in a sentence."""

SAID = {
    "keep": "keeping it as it is",
    "extend": "longer risers",
    "pair": "a second coil beside it",
    "precool": "the old coil in ice before a new one",
    "rewind": "winding its tube anew",
    "replace": "a new coil instead",
}
"""Within a sentence."""

BENT_ANEW = "risers bent anew"
"""Where their own tube is long enough."""

REUSED = {
    "keep": "all of it",
    "hang": "all of it",
    "stand": "all of it",
    "extend": "all of it",
    "pair": "all of it",
    "precool": "all of it",
    "rewind": "tube, hoses",
    "replace": "hoses, ends",
}


def title(option: Option, told: Told) -> str:
    """What is done, as short as it can be."""
    if option.name == "extend" and not option.sizes["joints"]:
        return BENT_ANEW
    if option.name not in OTHERWISE:
        return TITLES[option.name]
    return " and ".join(_stood(option, told)) or TITLES[option.name]


OTHERWISE = ("hang", "stand")
"""Options that are called by what is done."""


def _hung_before(told: Told) -> bool:
    return told.found.old.brewhouse.kettle.coil_rests == "hangs"


def _stood(option: Option, told: Told) -> list[str]:
    up, gap = option.sizes["up"], option.sizes["gap"]
    said = []
    if option.sizes["moved"] and abs(up) < JUST:
        said.append({"hangs": "hung", "feet": "on feet", "floor": "on the floor"}[option.stands])
    elif option.sizes["moved"]:
        by = told.set_at(abs(up))
        hung = "hung" if _hung_before(told) else "hung from the rim,"
        higher, lower = (hung + " {} higher", hung + " {} lower")
        if option.name == "stand":
            higher, lower = "raised by {}", "lowered by {}"
        said.append((higher if up > 0 else lower).format(by))
    if gap > 0.0:
        said.append(f"pulled open to {told.gap(gap)}")
    return said


JUST = 1e-3
"""A height that differs by less is the same [m]."""


def reused(option: Option, told: Told) -> str:
    """What of the old coil serves on, in a few words."""
    if option.name != "replace":
        return REUSED[option.name]
    parts = {item.part for item in option.reused}
    said = [
        name for name, of in (("hoses", ("outlet hose", "inlet hose")), ("ends", ("joint",))) if {*of} & parts
    ]
    return ", ".join(said) or "nothing"


def work(option: Option) -> str:
    """The work in a few words: a band, or its hours."""
    if option.work.difficulty is not None and option.work.winds:
        return str(band(option.work.difficulty))
    if option.hours < 0.25:
        return "none"
    return f"{option.hours:.2g} h"


def option_left_out(option: Option) -> list[str]:
    """What the price of an option leaves out, for the lists do not have it."""
    return of_a_coil_beside(option.bill, option.basis) if option.name == "pair" else []


def to_buy(option: Option, told: Told) -> str:
    """What it costs now."""
    return told.money(option.bill.total) if option.bill.total > 0.0 else "nothing"


# --- what to do first, and why ------------------------------------------------------------------------------


def do_this(option: Option, told: Told) -> str:
    """The option as an advice."""
    said = DO[option.name](option, told)
    return f"{said[0].upper()}{said[1:]}"


def _keep(option: Option, told: Told) -> str:
    return "keep it as it is"


def _otherwise(option: Option, told: Told) -> str:
    up, gap = option.sizes["up"], option.sizes["gap"]
    verb = "set it"
    if option.name == "hang":
        verb = "hang it" if _hung_before(told) else "hang it from the rim,"
    said = ""
    if option.sizes["moved"] and abs(up) >= JUST:
        said = f"{verb} {told.set_at(abs(up))} {'higher' if up > 0 else 'lower'}"
    elif option.sizes["moved"]:
        said = {"hangs": "hang it from the rim", "feet": "set it on feet", "floor": "lay it on the floor"}[
            option.stands
        ]
    if gap > 0.0:
        said += f"{' and ' if said else ''}pull {'its' if not said else 'the'} turns open to {told.gap(gap)}"
    return said or f"{verb} as the new kettle has it"


def _extend(option: Option, told: Told) -> str:
    many = "one riser" if option.sizes["bends"] < 1.5 else "its risers"
    if not option.sizes["joints"]:
        return f"straighten {many} at the rim and bend {'it' if many == 'one riser' else 'them'} anew"
    return f"make {many} longer by {told.tube(option.sizes['tube'])} in all, joined over the rim"


def _pair(option: Option, told: Told) -> str:
    where = "inside" if option.sizes["inside"] else "round"
    first = "" if option.texts["first"] == "keep" else f" (which is {_base(option, told)})"
    return (
        f"wind a second coil of {told.tube(option.sizes['tube'])} to stand {where} it{first}, both on tees "
        "outside the kettle"
    )


def _base(option: Option, told: Told) -> str:
    base = told.found.option(option.texts["first"])
    assert base is not None
    return title(base, told) if base.name in OTHERWISE else f"given {title(base, told)}"


def _precool(option: Option, told: Told) -> str:
    ice = show(option.sizes["ice"], "mass", told.units)
    return f"stand it in {ice} of ice, before a new main coil of {_build(option, told)}"


def _rewind(option: Option, told: Told) -> str:
    return (
        f"unwind it and wind its {told.tube(option.sizes['roll'])} of hardened tube anew on the "
        f"{form_of(option)} ({told.size(option.sizes['form'])} across)"
    )


def _replace(option: Option, told: Told) -> str:
    return f"build a new coil of {_build(option, told)}, and pass the old one on"


def _build(option: Option, told: Told) -> str:
    s, laid = option.sizes, LAYOUTS[option.texts["layout"]]
    short = f", {laid.short}" if laid.short else ""
    roll = told.tube(s["roll"])
    if option.design is not None:
        roll = lengths(option.design.bought, told.units)
    return f"{roll} of {told.across(s['d_o'])} {option.coil.material}{short}"


def form_of(option: Option) -> str:
    """The form of the coil that is wound, in short."""
    return option.texts["form"].split(";")[0].split(",")[0]


DO: dict[str, Callable[[Option, Told], str]] = {
    "keep": _keep,
    "hang": _otherwise,
    "stand": _otherwise,
    "extend": _extend,
    "pair": _pair,
    "precool": _precool,
    "rewind": _rewind,
    "replace": _replace,
}


def why(told: Told) -> str:
    """Why the first comes first: by how much, and what keeping the coil as it is would be."""
    found = told.found
    first, others = found.options[0], found.options[1:]
    said = [_against(first, other, told) for other in others[:1]]
    kept = found.option("keep")
    if kept is not None and kept is not first and kept not in others[:1]:
        said.append(_against(first, kept, told))
    if first.brought_near:
        said.insert(0, _too_near(first, told))
    out = next((one for one in found.left_out if one.name == "keep"), None)
    if out is not None:
        said.insert(0, f"as it is, {_short_of(out, told)}")
    return "; ".join(said)


def within(option: Option, told: Told) -> str:
    """What an option is called within a sentence."""
    if title(option, told) == BENT_ANEW:
        return BENT_ANEW
    return SAID.get(option.name) or f"the coil {title(option, told)}"


def _against(first: Option, other: Option, told: Told) -> str:
    name = within(other, told)
    batches = told.found.new.brewhouse.wishes.batches
    if first.holds and not other.holds:
        limit = LIMITS[other.broken[0].name]
        return f"{name} would break your limit ({limit.words})"
    more = float(other.life.total - first.life.total)
    near = f", but {_too_near(other, told)}" if other.brought_near and not first.brought_near else ""
    if told.found.tied(other):
        return f"as good, to a minute a batch, but more work: {name}{near}"
    dearer = told.money(seen(abs(more)))
    return f"{name} would cost {dearer} {'more' if more > 0 else 'less'} over {batches} batches{near}"


def _too_near(option: Option, told: Told) -> str:
    """That what is done leaves less wort over the top turn than the kettle asks for."""
    there, wished = told.over_top(option.near_top or 0.0)
    if (option.near_top or 0.0) <= 0.0:
        return f"its top turn is not covered by the cold wort (you wish for {wished} over it)"
    return f"only {there} of cold wort is over its top turn (you wish for {wished})"


def _short_of(out: LeftOut, told: Told) -> str:
    """Why keeping it does not do, within a sentence."""
    text = left_out(out, told)
    return f"{text[0].lower()}{text[1:]}".split(". ")[0].rstrip(".").split(":")[0]
