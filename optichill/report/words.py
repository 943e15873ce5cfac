"""The words of the screens, so that every page says a thing the same way."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from optichill.display import (
    INCH,
    POUND,
    US_GALLON,
    finer_unit,
    inch_fraction,
    money,
    show,
    trim,
    turns,
)
from optichill.layouts import LAYOUTS
from optichill.model.coil import Coil
from optichill.model.cooling import CoolingStage
from optichill.model.stirring import Stirring
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS, Limit
from optichill.problem.windings import PACKING, Winding
from optichill.rating.floor import with_colder_water
from optichill.rating.prediction import ChangeOver, StageLine
from optichill.rating.remedies import tenth_up, vessel_of
from optichill.report.origin import on_what_is_made
from optichill.report.turns_told import counts, turns_told
from optichill.search.conflicts import Step
from optichill.search.designs import Design
from optichill.thermal.sources import ICE_DENSITY
from optichill.workshop.cautions import as_hot
from optichill.workshop.difficulty import band


def limit_value(limit: Limit, value: float, basis: DesignBasis, *, enough: bool = True) -> str:
    """A limit's value as its sentence says it; `enough` rounds it to the side on which it suffices."""
    brewhouse, kind = basis.brewhouse, limit.shown.kind
    step = limit.shown.step_in(brewhouse.units)
    if step:
        value = _rounded(limit, value, step, enough=enough)
    if kind == "money":
        return money(value, brewhouse.stock.currency)
    return f"{trim(value)} of 10" if kind == "score" else show(value, kind, brewhouse.units)


def told_apart(
    limit: Limit, value: float, bound: float, basis: DesignBasis, *, enough: bool = False
) -> tuple[str, str]:
    """A limit's value and its bound, with as many digits as it takes to tell them apart; `enough` rounds the
    value to the side on which it suffices."""
    said = limit_value(limit, value, basis, enough=enough), limit_value(limit, bound, basis, enough=False)
    if 0.0 < bound < 0.5 * limit.shown.step_in(basis.brewhouse.units):  # not told as nothing
        return said[0], _to_decimals(limit, bound, basis, 4, enough=False)
    for decimals in range(1, 5):
        if said[0] != said[1] or not limit.shown.step:
            return said
        said = (
            _to_decimals(limit, value, basis, decimals, enough=enough),
            _to_decimals(limit, bound, basis, decimals, enough=False),
        )
    return said


def _to_decimals(limit: Limit, value: float, basis: DesignBasis, decimals: int, *, enough: bool) -> str:
    brewhouse, kind = basis.brewhouse, limit.shown.kind
    names = {"money": (1.0, brewhouse.stock.currency), "score": (1.0, "of 10")}
    size, name = names.get(kind) or finer_unit(kind, brewhouse.units)
    return f"{trim(_rounded(limit, value, size / 10**decimals, enough=enough) / size, decimals)} {name}"


def _rounded(limit: Limit, value: float, step: float, *, enough: bool) -> float:
    """To a step; `enough`: to the side on which it suffices."""
    if not enough:
        return step * math.floor(value / step + 0.5)
    outwards, hair = (math.floor, 1e-6) if limit.at_least else (math.ceil, -1e-6)
    return step * outwards(value / step + hair)


def below_least(asked: float, least: float, basis: DesignBasis) -> str:
    """A chill time [s] below what any coil could do, with what that is and what lowers it."""
    limit, degrees = LIMITS["chill_time"], "10 °F" if basis.brewhouse.units == "us" else "5 °C"
    at_least, wanted = told_apart(limit, least, asked, basis, enough=True)
    colder = with_colder_water(basis)
    then = at_least if colder is None else limit_value(limit, colder, basis)
    by = "" if then == at_least else f" ({degrees} colder: {then})"
    return (
        f"{wanted} is less than any coil could do: with this water an endless one takes {at_least}. Colder "
        f"water{by}, more of it a minute or less wort lowers that; stirring only brings a coil nearer to it."
    )


def advice(step: Step, basis: DesignBasis, *, impossible: bool = False) -> str:
    """One step of one limit, as advice. impossible : no coil at all could hold it where it is."""
    limit = LIMITS[step.limit]
    assert limit.advice is not None
    to, now = told_apart(limit, step.to, step.now, basis, enough=True)
    if impossible:
        return f"ask for no less than {to}"
    return limit.advice.format(to=to, now=now)


def temper(tube: Tube) -> str:
    """How soft the tube is, as a shop calls it in this metal: soft copper, annealed stainless."""
    return tube.metal.annealed if tube.temper == "annealed" else tube.temper


def roll(d: Design, units: str) -> str:
    """The tube as it is bought: "10 m roll of soft copper, 10 mm outside, 1 mm wall"."""
    tube = d.winding.tube
    each = [show(roll.length, "long_length", units) for roll in d.bought]
    return (
        f"{rolls(each)} of {temper(tube)} {tube.material}, "
        f"{show(tube.outer_diameter, 'tube', units)} outside, {show(tube.wall, 'wall', units)} wall"
    )


def rolls(lengths: Sequence[str]) -> str:
    """Rolls by their lengths: "10 m roll", "two 10 m rolls", "15 m roll and 7.5 m roll"."""
    if len(set(lengths)) > 1:
        return " and ".join(f"{length} roll" for length in lengths)
    return f"{lengths[0]} roll" if len(lengths) == 1 else f"two {lengths[0]} rolls"


def own_roll(d: Design, units: str) -> str:
    """The roll that gives the longer tube, by its length where the other comes out of another."""
    alone = len({tube.stock_id for tube in d.bought}) == 1
    return "roll" if alone else f"{show(d.winding.tube.length, 'long_length', units)} roll"


def price_date(bought: Sequence[Tube]) -> str:
    """Of when the prices of rolls are, as far as that is known of all of them."""
    dates = dict.fromkeys(tube.checked for tube in bought)
    if None in dates:
        return "price of unknown date"
    told = " and ".join(str(date) for date in dates)
    return f"tube price{'s' if len(dates) > 1 else ''} of {told}"


def lengths(bought: Sequence[Tube], units: str) -> str:
    """The same in a cell: "10 m", "2 x 10 m", "15 + 7.5 m"."""
    each = [show(tube.length, "long_length", units) for tube in bought]
    if len(set(each)) > 1:
        return " + ".join([*(length.split()[0] for length in each[:-1]), each[-1]])
    return each[0] if len(each) == 1 else f"{len(each)} x {each[0]}"


def forms(d: Design, units: str) -> str:
    """What it is wound on: one form, or one for each layer."""
    if d.inner is None:
        return f"wound on {on(d.winding, units)}"
    one = one_of_two(d.layout)
    return f"inner {one} on {on(d.inner, units)}, outer {one} {outer_on(d, units)}"


def one_of_two(layout: str) -> str:
    """What each of two is called: two tubes are coils, two layers of one tube are layers."""
    return "coil" if LAYOUTS[layout].tees else "layer"


def outer_on(d: Design, units: str) -> str:
    """What the outer or only layer is wound on."""
    if not LAYOUTS[d.layout].crossing:
        return f"on {on(d.winding, units)}"
    across = d.winding.form.outer_diameter + 2.0 * PACKING * d.winding.wraps
    return f"over strips to {show(across, 'length', units)} across"


def on(w: Winding, units: str) -> str:
    """What it is wound on, with its article: of a form that has to be made nobody knows which."""
    if w.form.made:
        return f"a form of {show(w.form.outer_diameter, 'length', units)} across, to be made"
    return f"the {form(w, units)}"


def form(w: Winding, units: str) -> str:
    """What it is wound on, with packing and ownership."""
    name = w.form.description.split(";")[0].split(",")[0] or w.form.form_id
    size = show(w.form.outer_diameter, "length", units)
    packed = {0: "", 1: ", packed out once with ", 2: ", packed out twice with "}[w.wraps]
    packing = f"{packed}{card(units)}" if packed else ""
    yours = "you own" if w.form.owned else "to buy"
    return f"{name} ({size} across, {yours}){packing}"


def mixing(mixing: Stirring | str | float, units: str) -> str:
    """How the wort is moved: a word, a speed, or with what, how and how long."""
    if isinstance(mixing, str):
        return mixing
    if isinstance(mixing, float):
        return f"wort moving at {show(mixing, 'speed', units)}"
    tool = "coil bobbed up and down" if mixing.with_ == "coil" else mixing.with_
    long = f"{trim(mixing.seconds_a_minute)} s a minute" if mixing.share < 1.0 else "all the time"
    return ", ".join(filter(None, (tool, mixing.motion, long)))


def card(units: str) -> str:
    """The card that a form is packed out with."""
    return "1/8 in card" if units == "us" else "3 mm card"


def degrees(T: float, units: str) -> str:
    """A water temperature [K] to whole degrees."""
    return f"{T * 1.8 - 459.67:.0f} °F" if units == "us" else f"{T - 273.15:.0f} °C"


def first_out(T_then: float, basis: DesignBasis) -> str:
    """How hot the water comes out: what stood in the coil first, then what runs, at T_then [K]."""
    u = basis.brewhouse.units
    return f"what stood in the coil comes out {as_hot(basis.scenario.T_start, u)}, then {degrees(T_then, u)}"


def sentence(text: str) -> str:
    """With a capital and a full stop; a file or key in front stays as it is written."""
    plain = re.match("[a-z]+[ ,:]", text) and not re.match(r"[^:]*\.(toml|csv)\b|[a-z]+: ", text)
    capital = f"{text[0].upper()}{text[1:]}" if plain else text
    return capital if capital.endswith((".", "?")) else f"{capital}."


def bent(w: Winding) -> str:
    """With what the risers are bent."""
    if w.tool.bender is None:
        return "bent by hand"
    return "bending spring" if w.tool.kind == "spring" else "lever bender"


def tool(w: Winding) -> str:
    """How the risers are bent."""
    if w.tool.bender is None:
        return bent(w)
    return f"bent with a {bent(w)} ({'yours' if w.tool.owned else 'to buy'})"


def difficulty(score: float) -> str:
    """The band of a difficulty."""
    return str(band(score))


def beside_parts(wall_gap: float, basis: DesignBasis) -> str:
    """How the turns clear what stands out from the wall; nothing where nothing does."""
    u = basis.brewhouse.units
    parts = [p for p in basis.parts if p.where == "wall"]
    said = [f", clears the {p.what} by {rough(wall_gap - p.size, u)}" for p in parts if wall_gap > p.size]
    return "".join(said)


def short(design: Design, units: str) -> str:
    """A design in a few words, for a second line: rolls, layers, form diameter and turns."""
    d = design
    built = build(d.bought, d.layout, counts(d), d.across, d.valve_share, units)
    return built + on_what_is_made(d.to_make, units)


def build(
    bought: Sequence[Tube],
    layout: str,
    count: Sequence[float],
    across: float,
    share: float,
    units: str,
) -> str:
    """A build in a few words. count : turns of each layer, the outer one first; share : of the full flow
    that the valve lets through."""
    return (
        f"{kind(bought, layout, units)}, {turns_told(count)}, {rough(across, units)} across"
        f"{', valve ' + valve(share) if share < 1.0 else ''}"
    )


def kind(bought: Sequence[Tube], layout: str, units: str) -> str:
    """A build without its sizes: "15 m of 10 mm copper, two layers"."""
    tube, laid = bought[0], LAYOUTS[layout]
    return (
        f"{lengths(bought, units)} of {show(tube.outer_diameter, 'tube', units)} "
        f"{tube.material}{f', {laid.short}' if laid.layers > 1 else ''}"
    )


VALVES = {
    1.0: "open",
    3.0 / 4.0: "three quarters open",
    2.0 / 3.0: "two thirds open",
    1.0 / 2.0: "half open",
    1.0 / 3.0: "a third open",
    1.0 / 4.0: "a quarter open",
    1.0 / 5.0: "a fifth open",
}
"""Valve settings by the share of the full flow they let through."""


def valve(share: float) -> str:
    """A valve setting in words."""
    return next((word for s, word in VALVES.items() if abs(s - share) < 1e-6), f"{100.0 * share:.0f} % open")


def bucket_time(flow: float, units: str) -> str:
    """A flow as a bucket and a clock tell it: "a 10 L bucket fills in 71 s"."""
    size, name = (5.0 * US_GALLON, "5 gal") if units == "us" else (10e-3, "10 L")
    return f"a {name} bucket fills in {size / flow:.0f} s"


def amount(quantity: float, unit: str, units: str) -> str:
    """How many of an item of the bill, or how much of what is sold by the metre: never less than it takes."""
    if unit != "m":
        return trim(quantity)
    if units != "us":
        return show(0.1 * math.ceil(10.0 * quantity - 1e-6), "long_length", units)
    feet, inches = divmod(math.ceil(quantity / INCH - 1e-6), 12)
    return " ".join([*([f"{feet} ft"] if feet else []), *([f"{inches} in"] if inches else [])])


def rough(metres: float, units: str) -> str:
    """A length as a tape reads it: whole centimetres, below 10 cm half ones; metres to 0.1; inches to 1/16,
    as a build sheet has them."""
    if units == "us":
        return inch_fraction(metres) if abs(metres) < 3.0 else show(metres, "long_length", units)
    if abs(metres) >= 1.0:
        return show(metres, "long_length", units)
    step = 0.5 if abs(metres) < 0.1 else 1.0
    return f"{trim(step * round(100.0 * metres / step))} cm"


def left_over(metres: float, units: str) -> str:
    """What is left of a roll: as a roll is told, below a yard or a metre as a tape reads it.

    Examples
    --------
    >>> left_over(2.64, "us"), left_over(0.5, "us"), left_over(0.98, "metric")
    ('8.7 ft', '19 11/16 in', '98 cm')
    """
    return show(metres, "long_length", units) if units == "us" and metres >= YARD else rough(metres, units)


YARD = 0.9144
"""[m]"""

BAG = {"metric": 2.0, "us": 10.0 * POUND}
"""A bag of ice as shops sell it [kg] (common practice, no source)."""


def bags(ice: float, units: str) -> str:
    """Ice in whole bags: "3 bags of 2 kg"."""
    number = math.ceil(ice / BAG[units] - 1e-6)
    size = "10 lb" if units == "us" else "2 kg"
    return f"{number} {'bag' if number == 1 else 'bags'} of {size}"


def vessel(holds: float, units: str) -> str:
    """A vessel that holds so much [m3], in a size not below it."""
    return show(vessel_of(holds, units), "exact_volume", units)


def small_coil(coil: Coil, units: str) -> str:
    """A coil in all sizes that its file asks for."""
    metal = coil.material
    return (
        f"{turns(coil.turns)} turns of {show(coil.outer_diameter, 'tube', units)} {metal} with a wall of "
        f"{show(coil.wall, 'wall', units)}, {show(coil.mean_diameter, 'length', units)} across from tube "
        f"centre to tube centre, a turn every {show(coil.pitch, 'gap', units)}, risers of "
        f"{show(coil.riser_length_in, 'length', units)}"
    )


def written_degrees(T: float, units: str) -> str:
    """A temperature [K] as it is written into a file, down to the tenth below."""
    value, name = (T * 1.8 - 459.67, "degF") if units == "us" else (T - 273.15, "degC")
    return f"{trim(0.1 * math.floor(10.0 * value + 1e-6))} {name}"


def missing_ice(
    line: StageLine,
    stage: CoolingStage,
    units: str,
    change: ChangeOver | None = None,
    takes: str = "",
) -> str:
    """What is missing to keep the bath cold to the end, and whether the bucket has room for it. change : the
    best change-over, which more ice would move: it is held; takes : the time with it, where it is told."""
    missing = tenth_up(line.missing)
    least = "" if stage.source == "ice bath" and stage.return_ == "bucket" else "at least "
    need = (
        f"{least}{show(missing, 'mass', units)} more ({bags((stage.ice or 0.0) + missing, units)} in all) "
        "would keep the bath cold"
    )
    if change is not None:
        need += f', with until = "{written_degrees(change.at, units)}" written instead of "best"'
    need += takes
    filled = (stage.water or 0.0) + (stage.ice or 0.0) / ICE_DENSITY
    room = (stage.bucket - filled) * ICE_DENSITY
    if room >= line.missing:
        return need
    at_once = show(max(room, 0.0), "mass", units)
    return f"{need}; the bucket has room for {at_once} at once: add the rest as it melts"


def stage_line(line: StageLine, begins: float, basis: DesignBasis) -> str:
    """One stage of the plan as the coil goes through it, from wort at `begins` [K]."""
    brewhouse = basis.brewhouse
    stage, u = brewhouse.cooling[line.number - 1], brewhouse.units
    if stage.is_hold:
        end = f", the wort then at {degrees(line.until, u)}" if line.until is not None else ""
        return f"stand {show(stage.hold, 'minutes')} (not counted){end}"
    text = SOURCE_WORDS[stage.source or "tap"]
    if line.idle:
        return f"{text}: nothing left to do, the wort is at {degrees(begins, u)} already"
    if line.until is not None:
        text += f" down to {degrees(line.until, u)}"
    if not line.done:
        return f"{text}: not in 6 hours"
    text += f": {line.time / 60.0:.0f} min"
    if line.water > 0.0:
        text += f", {show(line.water, 'volume', u)} of water"
    if stage.ice:
        text += f", {show(line.ice, 'mass', u)} of {show(stage.ice, 'mass', u)} ice melted"
    if line.bath is not None:
        text += f", bath ends at {degrees(line.bath, u)}"
    if stage.source == "bucket":
        source = basis.scenario.stages[line.number - 1].source
        changes = [] if source is None or line.until is None else source.changes(begins, line.until)[:-1]
        text += _fillings(line, stage, [degrees(float(T), u) for T in changes], u)
    return text


SOURCE_WORDS = {
    "tap": "tap water",
    "bucket": "water pumped from a bucket",
    "ice bath": "ice water pumped round",
    "precooled tap": "tap water through a coil in ice",
}


MOST_CHANGES = 6
"""So many temperatures of a change of water are told one by one."""


def _fillings(line: StageLine, stage: CoolingStage, changes: list[str], units: str) -> str:
    """How often the bucket is filled, and at which wort temperatures its water is changed."""
    held = stage.bucket if stage.water is None else stage.water
    size = show(held, "volume", units)
    if stage.return_ == "drain":
        return f", {math.ceil(line.water / held - 1e-6)} fillings of {size}"
    if not changes:
        return ""
    at = f"when the wort is at {', '.join(changes)}"
    if len(changes) > MOST_CHANGES:
        at = f"{len(changes)} times, first with the wort at {changes[0]}, last at {changes[-1]}"
    return f", {1 + stage.refills} fillings of {size}: fresh water {at}"
