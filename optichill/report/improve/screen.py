"""What `improve` says: whether a coil is good enough, what helps it most, and the lines that make it so."""

from __future__ import annotations

import re
from dataclasses import replace

from optichill.display import show
from optichill.errors import shown
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.reading import Inputs
from optichill.money import money
from optichill.owned.improve.changes import COIL
from optichill.owned.improve.ranked import Found, Improvement
from optichill.owned.improve.seen import STATED, Seen
from optichill.problem.limits import LIMITS
from optichill.problem.worth import bagged_ice
from optichill.rating.coil_rating import QuickRating
from optichill.report import ranges
from optichill.report.dangers import in_a_line_each
from optichill.report.improve.effects import (
    HALF_MINUTE,
    capital,
    effect,
    hot_outlet,
    lifted,
    limits_said,
    numbered,
    price,
    seldom_in_time,
    takes,
    target_said,
    together,
)
from optichill.report.improve.lines import saving, written
from optichill.report.improve.not_worth import not_worth
from optichill.report.improve.words import what_to_do
from optichill.report.lifetime import batches, hour
from optichill.report.otherwise import about, stirring_word
from optichill.report.paper import entry, whole
from optichill.report.prediction import coil_lines
from optichill.report.screen import kettle_line
from optichill.report.screen import warnings as notes
from optichill.report.warnings import WET, does_not_go_in, ends_inside, in_use, runs_into
from optichill.report.words.sentences import sentence

MOST = 5
"""Changes that a screen tells, best first; JSON has them all."""


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
        lines += entry("TOGETHER", together(found.together), *hot_outlet(found.together))
    lines += entry("NOT WORTH IT", *not_worth(found, plan))
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
        return [f"{target_said(found.now)} is not reached, {stirring_word(brewhouse.wort, u)}"]
    said = [f"{ranges.time(p)}, {stirring_word(brewhouse.wort, u)}"]
    used = f"water: {ranges.water(p, u)}"
    said.append(f"{used}; ice that melts: {ranges.ice(p, u)}" if p.told.ice > 0.0 else used)
    kept = (ranges.in_time(p, brewhouse.limits), ranges.enough_water(p, brewhouse.limits, u))
    return [*said, *filter(None, [*kept, *ranges.borne(p)])]


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
    seldom = "".join(f"; {said}" for said in seldom_in_time(first))
    gain = f"{effect(first)}, {price(first)}{_kept_then(found, first)}{seldom}"
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
        late = sorted(first.then.broken & STATED - {"target"}) if lifted(first) else []
        more = f", {limits_said(late, found.now)} not kept even so" if late else ""
        return f"{more}; write its line and ask again" if lifted(first) else ""
    left = found.unkept & first.then.broken
    both = found.together
    if left and both is not None and not left & both.then.broken:
        kept = limits_said(sorted(left - {"target"}), found.now)
        return f"; {numbered(both)} done together make it {about(both.then.told.time)}, and {kept} kept"
    still = sorted(found.unkept - first.then.broken - {"target"})
    end = f"; then {limits_said(still, found.now)} kept" if still else ""
    if not left:
        return end
    alone = next((str(n) for n, f in enumerate(found.helps[:MOST], 1) if f.mends_all), None)
    by = f": {alone} alone keeps {'it' if left == {'target'} else 'them'}" if alone else ""
    return f"{end}; {limits_said(sorted(left), found.now)} not kept even so{by}"


def _short(f: Found) -> str:
    """What is done, without what is said in brackets."""
    return re.sub(r" \([^)]*\)", "", what_to_do(f))


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
        return f"{target_said(found.now)} is not reached"
    inside = ["its ends hang in the kettle"] if now.hangs_in else []
    good = show(now.worth.good_time, "minutes")
    time = about(now.told.time)
    parts = [*inside, f"{time}, within the {good} that count as good" if found.quick else time]
    seldom = _kept_too_seldom(now) if "chill_time" in found.unkept else []
    unkept = sorted(found.unkept - ({"chill_time"} if seldom else set()))
    parts += seldom
    if unkept:
        parts.append(f"{limits_said(unkept, now)} not kept")
    elif not seldom and now.inputs.brewhouse.limits.chill_time is not None:
        parts.append(f"your {show(now.inputs.brewhouse.limits.chill_time, 'minutes')} are kept")
    if not found.quick and found.first is None and not found.unkept:
        parts.append("nothing that could be done about it is worth doing")
    return "; ".join(parts)


TOO_WIDE = "with its risers it is wider than the kettle's mouth"
"""Of a coil that does not go in for that."""


def _kept_too_seldom(now: Seen) -> list[str]:
    """How often the time is kept, of a coil that is within it most likely and yet too seldom."""
    limits, often, time = now.inputs.brewhouse.limits, now.likely.in_time, now.told.time
    if limits.chill_time is None or often is None or time is None or time > limits.chill_time + HALF_MINUTE:
        return []
    asked = f"your {show(limits.chill_time, 'minutes')} are kept in {ranges.batches(often)}"
    return [f"{asked}, and you ask for {ranges.batches(limits.sure)}"]


def _told(n: int, f: Found, found: Improvement, coil: str, inputs: Inputs) -> list[str]:
    """One change: what is done and what it does, what it takes, and its lines."""
    lines = [f"{n}. {capital(what_to_do(f))}: {effect(f)}; {takes(f)}"]
    lines += [f"   Take care: {said}" for said in hot_outlet(f)]
    return lines + [f"   {whole(line)}" for line in written(f, coil, inputs)]


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
