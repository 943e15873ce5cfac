"""What `improve` says: whether a coil is good enough, what helps it most, and the lines that make it so."""

from __future__ import annotations

import re
from dataclasses import replace

from optichill.display import show
from optichill.errors import shown
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.reading import Inputs
from optichill.money import money, seen
from optichill.owned.improve.changes import COIL
from optichill.owned.improve.ranked import GIVES_UP, LEAST_GAIN, LEAST_SPARED, Found, Improvement
from optichill.owned.improve.seen import STATED, Seen
from optichill.problem.limits import LIMITS
from optichill.problem.worth import bagged_ice
from optichill.rating.coil_rating import QuickRating
from optichill.report import ranges
from optichill.report.dangers import in_a_line_each
from optichill.report.improve.lines import saving, written
from optichill.report.improve.words import called, not_all_priced, takes_up_a_paddle, what_to_do
from optichill.report.lifetime import batches, hour
from optichill.report.otherwise import about, stirring_word
from optichill.report.paper import entry, whole
from optichill.report.prediction import coil_lines
from optichill.report.screen import kettle_line
from optichill.report.screen import warnings as notes
from optichill.report.warnings import WET, does_not_go_in, ends_inside, hose_too_cool, in_use, runs_into
from optichill.report.words.sentences import sentence

MOST = 5
"""Changes that a screen tells, best first; JSON has them all."""
SURE = 0.995
"""Share of all draws from which on nothing is said of the others."""


def screen(found: Improvement, inputs: Inputs, plan: WorkPlan, coil: str, *, searched: bool) -> list[str]:
    """All lines, not folded. plan : of the work that the coil takes; coil : its file as it was named, or what
    its lines would go into; searched : it was found by its id."""
    basis = found.now.basis
    rating = plan.rating
    lines = [inputs.first_line, "", *kettle_line(basis), *coil_lines(rating, plan)]
    outside, hit = does_not_go_in(rating, plan), runs_into(plan)
    if outside:
        lines += entry("DOES NOT GO IN", "", f"{outside} The rest is worked out as if it did.")
    elif hit:
        lines += entry("IN THE WAY", " ".join([*hit, "The rest is worked out as if it stood free."]))
    lines += entry("AS IT IS", *_as_it_is(found, rating))
    ends = ends_inside(plan) if found.now.hangs_in else []  # by less no tape tells
    lines += entry("WARNING", *ends, *map(sentence, in_use(_not_told(rating, hit), basis)))
    lines += ["", *entry("IN SHORT", verdict(found)), ""]
    told = [_told(n, f, found, coil, inputs) for n, f in enumerate(found.helps[:MOST], 1)]
    lines += entry("WHAT HELPS", *(line for each in told for line in each))
    if len(found.helps) > MOST:
        lines += entry("", f"and {len(found.helps) - MOST} more, in --json")
    if found.together is not None:
        lines += entry("TOGETHER", _together(found.together), *hot_outlet(found.together))
    lines += entry("NOT WORTH IT", *_not_worth(found, plan))
    lines += entry("COUNTED", _counted(found))
    lines += entry("FIRST", *(_save_first(found, inputs, plan) if searched else []))
    lines += notes(inputs)
    return lines + entry("TAKE CARE", *in_a_line_each(basis, would_pump=_would_pump(found)))


def _not_told(rating: QuickRating, hit: list[str]) -> QuickRating:
    """Without the limits that are told beside time and water, or by what the coil runs into."""
    told = {"wall"} if hit else set()
    lines = (x for x in rating.limits if not LIMITS[x.name].stated and x.name not in told)
    return replace(rating, limits=tuple(lines))


def _as_it_is(found: Improvement, rating: QuickRating) -> list[str]:
    """Time, water, ice, and how surely the limits are kept."""
    p, brewhouse = rating.prediction, found.now.inputs.brewhouse
    u = brewhouse.units
    if p.told.time is None:
        return [f"{_target(found.now)} is not reached, {stirring_word(brewhouse.wort, u)}"]
    said = [f"{ranges.time(p)}, {stirring_word(brewhouse.wort, u)}"]
    used = f"water: {ranges.water(p, u)}"
    said.append(f"{used}; ice that melts: {ranges.ice(p, u)}" if p.told.ice > 0.0 else used)
    kept = (ranges.in_time(p, brewhouse.limits), ranges.enough_water(p, brewhouse.limits, u))
    return [*said, *filter(None, [*kept, *ranges.borne(p)])]


def _target(seen: Seen) -> str:
    return show(seen.basis.scenario.T_target, "temperature", seen.inputs.brewhouse.units)


def verdict(found: Improvement) -> str:
    """Whether it is good enough, and what helps most."""
    first = found.first
    as_it_is = _as_judged(found)
    if found.in_time:
        more = "" if first is None else "; what follows would still spare something"
        judged = f"In time, but {_short_of(found)}" if found.falls_short else "Good enough"
        return f"{judged}: {as_it_is}{more}."
    if found.now.cannot_be:
        return f"Measure the coil again: {as_it_is}, and no coil of this kettle is that tall."
    if first is None:
        return f"Not good enough: {as_it_is}, and nothing that could be done about it mends that."
    seldom = "".join(f"; {said}" for said in _seldom_in_time(first))
    gain = f"{_effect(first)}, {_price(first)}{_kept_then(found, first)}{seldom}"
    now = found.now
    kept = now.goes_in and not now.hangs_in and found.reached and not found.unkept
    judged = "Could be better" if kept else "Not good enough"
    return f"{judged}: {as_it_is}. What helps most: {_short(first)}: {gain}."


def _short_of(found: Improvement) -> str:
    """What else a coil in time breaks: turns that stand dry, and what there is too little of."""
    names = [name for name in LIMITS if name in found.falls_short]
    dry = "submergence" in names and float(found.now.placement.wet_share[0]) < WET
    few = [TOO_LITTLE.get(name, LIMITS[name].words) for name in names if not (dry and name == "submergence")]
    said = ["turns stand dry"] if dry else []
    if few:
        said.append(f"{' and '.join(few)} {'is' if len(few) == 1 else 'are'} not enough")
    return ", and ".join(said)


TOO_LITTLE = {"centre": "the room to what stands in the kettle's centre"}
"""What there is too little of, where the words of its limit do not say it."""


def _kept_then(found: Improvement, first: Found) -> str:
    """Which of the limits that are not kept would be: with what helps most, or with more beside it."""
    if not found.now.goes_in:
        late = sorted(first.then.broken & STATED - {"target"}) if _lifted(first) else []
        more = f", {_limits(late, found.now)} not kept even so" if late else ""
        return f"{more}; write its line and ask again" if _lifted(first) else ""
    left = found.unkept & first.then.broken
    both = found.together
    if left and both is not None and not left & both.then.broken:
        kept = _limits(sorted(left - {"target"}), found.now)
        return f"; {_numbered(both)} done together make it {about(both.then.told.time)}, and {kept} kept"
    still = sorted(found.unkept - first.then.broken - {"target"})
    end = f"; then {_limits(still, found.now)} kept" if still else ""
    if not left:
        return end
    alone = next((str(n) for n, f in enumerate(found.helps[:MOST], 1) if f.mends_all), None)
    by = f": {alone} alone keeps {'it' if left == {'target'} else 'them'}" if alone else ""
    return f"{end}; {_limits(sorted(left), found.now)} not kept even so{by}"


def _numbered(f: Found) -> str:
    """The changes that one is made of, by their numbers."""
    numbers = [str(n + 1) for n in f.parts]
    return f"{', '.join(numbers[:-1])} and {numbers[-1]}"


def _short(f: Found) -> str:
    """What is done, without what is said in brackets."""
    return re.sub(r" \([^)]*\)", "", what_to_do(f))


def _limits(names: list[str], now: Seen) -> str:
    """Limits of the brewer in words, with "is" or "are"."""
    limits, u, said = now.inputs.brewhouse.limits, now.inputs.brewhouse.units, []
    for name in names:
        if name == "chill_time":
            said.append(f"your {show(limits.chill_time, 'minutes')}")
        elif name == "water":
            said.append(f"your {show(limits.water, 'exact_volume', u)} of water")
        else:  # the target
            said.append(show(now.basis.scenario.T_target, "temperature", u))
    one = len(said) == 1 and not said[0].startswith("your")
    return f"{' and '.join(said)} {'is' if one else 'are'}"


def _as_judged(found: Improvement) -> str:
    """What is asked for, and how far the coil keeps it."""
    now = found.now
    if not now.passes_the_mouth:
        across, mouth = now.coil.mean_diameter + now.coil.outer_diameter, now.inputs.brewhouse.kettle.mouth
        measure = now.coil.riser_bend_radius is None and across <= mouth
        return f"{TOO_WIDE}{', by bends that nobody has measured: do that first' if measure else ''}"
    if now.in_the_turns:
        return f"its turns would hit the {' and the '.join(shown(p.what) for p in now.in_the_turns)}"
    if not now.goes_in:
        return "it does not go into this kettle, or would run into what stands there"
    if not found.reached:
        return f"{_target(found.now)} is not reached"
    inside = ["its ends hang in the kettle"] if now.hangs_in else []
    good = show(now.worth.good_time, "minutes")
    time = about(now.told.time)
    parts = [*inside, f"{time}, within the {good} that count as good" if found.quick else time]
    seldom = _kept_too_seldom(now) if "chill_time" in found.unkept else []
    unkept = sorted(found.unkept - ({"chill_time"} if seldom else set()))
    parts += seldom
    if unkept:
        parts.append(f"{_limits(unkept, now)} not kept")
    elif not seldom and now.inputs.brewhouse.limits.chill_time is not None:
        parts.append(f"your {show(now.inputs.brewhouse.limits.chill_time, 'minutes')} are kept")
    if not found.quick and found.first is None and not found.unkept:
        parts.append("nothing that could be done about it is worth doing")
    return "; ".join(parts)


TOO_WIDE = "with its risers it is wider than the kettle's mouth"
"""Of a coil that does not go in for that."""
HALF_MINUTE = 30.0
"""What the same figure in whole minutes may hide [s]."""


def _kept_too_seldom(now: Seen) -> list[str]:
    """How often the time is kept, of a coil that is within it most likely and yet too seldom."""
    limits, often, time = now.inputs.brewhouse.limits, now.likely.in_time, now.told.time
    if limits.chill_time is None or often is None or time is None or time > limits.chill_time + HALF_MINUTE:
        return []
    asked = f"your {show(limits.chill_time, 'minutes')} are kept in {ranges.batches(often)}"
    return [f"{asked}, and you ask for {ranges.batches(limits.sure)}"]


# --- what helps ---------------------------------------------------------------------------------------


def _told(n: int, f: Found, found: Improvement, coil: str, inputs: Inputs) -> list[str]:
    """One change: what is done and what it does, what it takes, and its lines."""
    lines = [f"{n}. {_capital(what_to_do(f))}: {_effect(f)}; {_takes(f)}"]
    lines += [f"   Take care: {said}" for said in hot_outlet(f)]
    return lines + [f"   {whole(line)}" for line in written(f, coil, inputs)]


def hot_outlet(f: Found) -> list[str]:
    """That water leaves hotter than its hose is known to stand, where it does only then, or hotter than
    now."""
    now, then = f.now.outlet, f.then.outlet
    hotter = then >= now + HOTTER or not hose_too_cool(now, f.now.basis)
    return hose_too_cool(then, f.then.basis) if hotter else []


HOTTER = 0.5
"""By so much hotter than now, water is told to be so [K]."""


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _effect(f: Found) -> str:
    """Time, water and ice, as far as they differ."""
    now, then, u = f.now, f.then, f.now.inputs.brewhouse.units
    if then.told.time is None:
        return "the target is not reached either" if now.told.time is None else "the target is not reached"
    if not now.goes_in:
        if not then.goes_in:
            return "its turns would hit it as before" if now.in_the_turns else "it does not go in either"
        clear = "its turns clear it, and the chill" if _lifted(f) else "it goes in, and"
        return f"{clear} takes {about(then.told.time)}"
    if now.told.time is None:
        used = "" if not then.told.water else f", {show(then.told.water, 'volume', u)} of water"
        return f"reached in {about(then.told.time)}{used}"
    told = ["its ends come out of the kettle", _time(f)] if f.brings_out else [_time(f)]
    if f.water is not None and now.told.water and abs(f.water) >= LEAST_SPARED * now.told.water:
        told.append(f"{show(abs(f.water), 'volume', u)} {_less(f.water)} water")
    ice = now.told.ice - then.told.ice
    if abs(ice) >= max(LEAST_SPARED * now.told.ice, 0.1):
        told.append(
            f"{show(then.told.ice, 'mass', u)} of ice melt instead of {show(now.told.ice, 'mass', u)}"
        )
    return ", ".join(told)


def _lifted(f: Found) -> bool:
    """Whether it is set above what its turns would hit."""
    return bool(f.now.in_the_turns) and f.change.kind == "stand"


def _less(gain: float) -> str:
    return "less" if gain > 0.0 else "more"


def _time(f: Found) -> str:
    """The time, as a difference where there is one that a person notices."""
    then, now = about(f.then.told.time), about(f.now.told.time)
    if abs(f.seconds or 0.0) < HALF_MINUTE or then == now:
        return f"{then} as now"
    return f"{then} instead of {now.removesuffix(' min')}"


def _takes(f: Found) -> str:
    """How sure it is, what it costs, and what it saves over the coil's life."""
    worth, currency = f.now.worth, f.now.inputs.brewhouse.stock.currency
    sure = _surely(f) if f.sure >= SURE else f"in {ranges.batches(f.sure)}"
    if not f.now.goes_in:
        return _price(f)
    told = [sure, _price(f)] if f.quicker or not f.brings_out else [_price(f)]
    if f.change.kind in GIVES_UP:
        told[-1] = "for nothing, but the last degrees are left to do"
    else:
        amount = f"about {money(seen(abs(f.saves)), currency)} over {batches(worth)}"
        told += [f"saves {amount}"] if f.saves >= 0.0 else []
        told += _left(f) + _here_because(f, amount)
    told += [f"breaks a limit: {LIMITS[name].words}" for name in sorted(f.breaks - {"chill_time"})]
    told += _seldom_in_time(f)
    return ", ".join([*told, *_bears_less(f)])


def _surely(f: Found) -> str:
    """Of what it surely gains: where something else is less sure then, what that is."""
    return "surely quicker" if f.quicker and _bears_less(f) else "surely"


def _seldom_in_time(f: Found) -> list[str]:
    """How often the time is kept, by what reaches the target and keeps it too seldom."""
    asked, often = f.now.inputs.brewhouse.limits.chill_time, f.then.likely.in_time
    if "chill_time" not in f.breaks or asked is None or often is None:
        return []
    return [f"your {show(asked, 'minutes')} are kept in {ranges.batches(often)}"]


def _left(f: Found) -> list[str]:
    """What is left of the savings once all that it costs is taken off, where that is another figure."""
    if f.saves < 0.0 or seen(f.net) == seen(f.saves):
        return []
    if f.net <= 0.0:
        return []
    return [f"{money(seen(f.net), f.now.inputs.brewhouse.stock.currency)} of it after its costs"]


def why_here(f: Found) -> str:
    """Why something that does not pay is told all the same; empty where it pays."""
    if f.net > 0.0 or f.costs == 0.0 and f.saves >= 0.0:
        return ""
    named = sorted(f.mends - {"target"})
    why = ["its ends come out of the kettle"] if f.brings_out else []
    why += [f"{_target(f.then)} is reached"] if "target" in f.mends or f.reaches else []
    why += [f"{_limits(named, f.now)} kept"] if named else []
    return f"it is here because then {' and '.join(why)}" if why else ""


def _here_because(f: Found, amount: str) -> list[str]:
    """The same as a screen says it; amount : that it saves, or costs over its life."""
    why = why_here(f)
    dear = "" if f.saves >= 0.0 else f" ({amount})"
    return [f"costs more than it saves{dear}; {why}"] if why else []


def _bears_less(f: Found) -> list[str]:
    """What ice, bucket or pump bear less surely than now."""
    was, is_ = f.now.likely.held, f.then.likely.held
    return [
        f"{limit.lasts} in {ranges.batches(is_[name])}{f' ({limit.gone})' if limit.gone else ''}"
        for name, limit in LIMITS.items()
        if limit.lasts and name in is_ and is_[name] < min(ranges.SURE, was.get(name, 1.0) - 0.05)
    ]


def _price(f: Found) -> str:
    currency, hours = f.now.inputs.brewhouse.stock.currency, f.change.hours
    iced = f.now.worth.ice > 0.0 and f.change.kind == "more ice"
    nothing = "for the ice alone" if f.bagged or iced else "for nothing"
    nothing += ", if you have a paddle" if takes_up_a_paddle(f) else ""
    said = nothing if f.costs == 0.0 else ""
    if f.change.buys is None:
        said = f"at a price of no list of yours (taken as {money(seen(f.bought), currency)})"
    elif f.change.buys > 0.0:
        said = f"for {money(max(f.change.buys, 1.0), currency)}"
        said += " (without what your lists do not have)" if not_all_priced(f) else ""
    if hours > 0.0:
        work = "half an hour" if hours <= 0.5 else f"{hours:.0f} h"
        said += f"{' and ' if said else 'for '}{work} of work"
    spoilt = seen(f.change.risks)
    if said and spoilt >= 1.0:
        said += f", {money(spoilt, currency)} more for the roll that may be spoilt"
    return said


def _together(f: Found) -> str:
    """The best of the free ones done together."""
    currency = f.now.inputs.brewhouse.stock.currency
    amount = f"about {money(seen(abs(f.saves)), currency)} over {batches(f.now.worth)}"
    pays = [f"saves {amount}"] if f.saves >= 0.0 else _here_because(f, amount)
    told = [_price(f), *(pays or [f"costs {amount} more than it saves"]), *_bears_less(f)]
    return f"{_numbered(f)} done together: {_effect(f)}; {', '.join(told)}"


# --- what does not ------------------------------------------------------------------------------------


NOTHING, NO_BETTER = "no difference you could see", "the best of your lists is no better"


def _not_worth(found: Improvement, plan: WorkPlan) -> list[str]:
    """Those that do something a person could notice, and those that do not."""
    said = {called(f, plan): _why_not(f) for f in found.not_worth}
    if NO_BETTER in said.values():  # then it need not be named
        said = {"another coil" if why == NO_BETTER else what: why for what, why in said.items()}
    kinds = {f.change.kind for f in (*found.helps, *found.not_worth)}
    if "pull open" not in kinds:
        said["pulling it open"] = "no room for it under the wort"
    alike: dict[str, list[str]] = {}
    for what, why in said.items():
        alike.setdefault(why, []).append(what)
    told = [f"{_capital(_listed(names))}: {why}" for why, names in alike.items() if why != NOTHING]
    return [*told, *(f"{_capital(NOTHING)}: {_listed(names)}" for names in [alike.get(NOTHING)] if names)]


def _listed(names: list[str]) -> str:
    """Names behind each other; where one has a comma of its own, no comma parts them."""
    return ("; " if any(", " in name for name in names) else ", ").join(names)


def _why_not(f: Found) -> str:
    """Nothing to be seen; or what it does, and why it does not pay."""
    now, then = f.now, f.then
    if then.told.time is None or now.told.time is None or not now.goes_in:
        return _effect(f)
    if f.change.kind == "another coil" and not f.quicker and not f.spares:
        return NO_BETTER
    less_water = f.water is not None and now.told.water and abs(f.water) >= 0.1 * now.told.water
    if not f.quicker and abs(f.seconds or 0.0) < LEAST_GAIN and not less_water and not f.wears_out:
        return NOTHING
    costs = "" if f.costs == 0.0 else f", {_price(f)}"
    why = reason_against(f)
    return f"{_effect(f)}{costs}{f', {why}' if why else ''}"


def reason_against(f: Found) -> str:
    """Why a change is not worth doing, beside what it does; empty where that says it already."""
    now, worth, currency = f.now, f.now.worth, f.now.inputs.brewhouse.stock.currency
    if f.breaks:
        return f"and breaks a limit: {LIMITS[sorted(f.breaks)[0]].words}"
    if f.wears_out:
        lasting = [LIMITS[name].lasts for name in f.wears_out]
        return f"but {' and '.join(lasting)} in fewer than half of all batches"
    slower, spared = (f.seconds or 0.0) < 0.0, (f.water or 0.0) > 0.0 or f.then.told.ice < now.told.ice
    if slower and "chill_time" in now.broken:
        return "and it takes too long already"
    amount = money(seen(abs(f.net)), currency)
    if f.change.kind == "more ice" and not slower and f.net <= 0.0:
        return "which is worth less than its ice"
    if f.net < 0.0 and f.costs > 0.0 and seen(abs(f.net)) >= 1.0:
        return f"{amount} more than it saves over {batches(worth)}"
    if slower and spared and f.net < 0.0:
        return "which is worth less than the wait"
    if slower and spared and now.worth.minute > f.net >= 0.0:
        return f"which saves too little to be seen over {batches(worth)}"
    return ""


def _counted(found: Improvement) -> str:
    """What an hour counts, and from which time on; and the table where a brewer says otherwise."""
    worth, currency = found.now.worth, found.now.inputs.brewhouse.stock.currency
    good = show(worth.good_time, "minutes")
    said = f"{batches(worth)}; {hour(worth, currency)}; waiting counts beyond {good}"
    if any(f.bagged for f in (*found.helps, *found.not_worth)):
        said += f"; more ice than you use now at {money(bagged_ice(found.now.basis), currency, 2)} a kg"
    return f"{said}; say your own under [wishes]"


def _save_first(found: Improvement, inputs: Inputs, plan: WorkPlan) -> list[str]:
    """Of a coil that has no file yet: the command that writes it."""
    if not any(e.file == COIL for f in found.helps[:MOST] for e in f.change.edits):
        return []
    return [f"Keep the coil in a file: {whole(saving(inputs, plan.coil_id))}"]


def _would_pump(found: Improvement) -> bool:
    """Whether a way to improve has a pump."""
    return any(f.change.kind == "ice behind the tap" for f in found.helps)
