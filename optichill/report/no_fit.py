"""What is said when no coil holds every limit: what stands in the way, and what helps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from optichill.display import show
from optichill.layouts import LAYOUTS
from optichill.model.stirring import Stirring
from optichill.money import money
from optichill.owned.improve.changes import toml
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.remedies import Remedy, that_lead_there, weighed
from optichill.report import longer_roll, ranges
from optichill.report.another_order import another_order
from optichill.report.choice import HELPS
from optichill.report.otherwise import about
from optichill.report.paper import entry
from optichill.report.searched import sample_text, weighed_text
from optichill.report.to_write import done_to_write, steps_of, to_write, way_to_write
from optichill.report.warnings import broken
from optichill.report.words import build_words, by_hand, limit_words
from optichill.report.words.stirring_words import all_along
from optichill.search.answer import Answer
from optichill.search.conflicts import Step
from optichill.search.designs import Design
from optichill.search.done_otherwise import PLACED, DoneOtherwise
from optichill.search.instead import Instead
from optichill.search.ways_out import OpenedDesign, slow_of


def nothing_fits(answer: Answer) -> list[str]:
    """No coil holds every limit: which limits conflict, and the smallest step of each that helps."""
    found, basis = answer.conflicts, answer.basis
    assert found is not None
    lines = entry(
        "NO COIL FITS",
        f"within the stock list and the increments searched ({weighed_text(answer)}).",
    )
    lines += entry("A SAMPLE", *sample_text(answer.sample, "A coil that fits, or a nearer way out,"))
    if not answer.enumerated:
        lines += entry("IN THE WAY", _nothing_to_wind(basis))
    lines += entry("IMPOSSIBLE", *too_short(answer))
    lines += entry("OTHER ORDER", *other_order(answer))
    lines += in_the_way(found.sets)
    lines += entry("DOES NOT FIT", *(text for _, text in misfits(answer)[:3]))
    # A chill that is longer than is followed misses its target too: then it is the time that is in the way.
    if any("target" in names and "chill_time" not in names for names in found.sets):
        lines += _too_warm(answer)
    if answer.stirred is not None:
        lines += entry(
            "BUT", f"keep stirring, which costs nothing: {stirring(answer)}", _stirred_line(answer)
        )
    lines += entry("NOT ENOUGH", *stirring_too(answer))
    others = answer.done_otherwise
    for number, way in enumerate(others, 1):
        lines += entry(f"WAY OUT {number}", *done_text(way))
    ways = answer.opened[:3]
    for number, step in enumerate(ways, len(others) + 1):
        lines += entry(f"WAY OUT {number}", *way_out(step, answer))
    for number, other in enumerate(answer.instead, len(others) + len(ways) + 1):
        lines += entry(f"WAY OUT {number}", instead_text(other), _opens(other.design, other.basis))
    return lines + entry("NO WAY OUT", *_no_way_out(answer))


def _no_way_out(answer: Answer) -> list[str]:
    """Where no limit that is moved opens a coil that comes to its target in time: what would help."""
    found = answer.conflicts
    told = answer.opened, answer.instead, answer.stirred, answer.quickest, misfits(answer), too_short(answer)
    slow = found is not None and any({"target", "chill_time"} & set(names) for names in found.sets)
    if any(told) or not slow:
        return []
    return [f"no limit alone, or few together, that could be moved open a coil. {LIMITS['chill_time'].helps}"]


def in_the_way(sets: tuple[tuple[str, ...], ...]) -> list[str]:
    """The conflicts of the fewest limits, two at most, and then those that are left when all of their limits
    are gone: without what is named here something fits. All conflicts are in the JSON."""
    fewest = min(map(len, sets), default=0)
    told = [names for names in sets if len(names) == fewest][:2]
    first = len(told)
    for names in sorted(sets, key=len):
        if not set(names) & set().union(*told):
            told.append(names)
    lines: list[str] = []
    for place, names in enumerate(told):
        said = " or ".join(LIMITS[n].words for n in names)
        said = said if len(names) == 1 else f"one of these would have to give: {said}"
        lines += entry("IN THE WAY", said if place < first else f"and then, {said}")
    return lines


def way_out(way: OpenedDesign, answer: Answer) -> list[str]:
    """The step that a sensible person takes with what it opens, what the smallest and a little larger one do;
    with what to write into the file."""
    main = way.taken
    said = [_steps(main, answer), _opens(main.design, answer.basis, main.steps)]
    for other, which in ((way, "the smallest step of it"), (main.further, "a little more")):
        if other is not None and other is not main:
            said.append(f"{which}: {_steps(other, answer)} {_opens(other.design, answer.basis, other.steps)}")
    said += _a_tool(main, answer.basis.brewhouse.units)
    written = to_write(main.asked, answer.basis)
    return [*said, f"in the brewhouse file: {', '.join(written)}"] if written else said


def _a_tool(way: OpenedDesign, units: str) -> list[str]:
    """Of a harder build whose risers are bent by hand, for the list has no tool for that tube: a tool."""
    d = way.design
    if d.winding.tool.kind != "hand" or all(step.limit != "difficulty" for step in way.steps):
        return []
    tube = show(d.winding.tube.outer_diameter, "tube", units)
    return [f"or get a bending spring for {tube} tube, and put it into benders.csv with its price"]


def _steps(way: OpenedDesign, answer: Answer) -> str:
    """All steps of a way out, as advice."""
    impossible = answer.shortest is not None
    said = [
        limit_words.advice(s, answer.basis, impossible=impossible and s.limit == "chill_time")
        for s in way.asked
    ]
    roll = longer_roll.longer_roll(way.design, way.asked, answer.basis)
    if roll is not None:
        at = next(n for n, s in enumerate(way.asked) if s.limit == "stock_length")
        said[at] += f", of {longer_roll.named(roll, answer.basis.brewhouse.units)}"
    return "; and ".join(said)


def limits_broken(d: Design, basis: DesignBasis) -> list[str]:
    """What a coil breaks that is kept though nothing fits: value and bound of each limit."""
    lines = [line for line in d.limits if not line.holds and line.name != "target"]
    return [broken(line.name, line.value, line.limit, basis) for line in lines]


def kept_anyway(answer: Answer, file: str) -> str:
    """That a coil went into a file though nothing fits: which one, the limits that it breaks, the way out
    that it is of, and what has to be written or done first."""
    d, way = answer.to_keep, answer.first_way_out
    assert d is not None
    main = way.taken if isinstance(way, OpenedDesign) else None
    roll = None if main is None else longer_roll.longer_roll(d, main.steps, answer.basis)
    like = d if roll is None else replace(d, bought=roll.bought_with(d))
    built = build_words.short(like, answer.basis.brewhouse.units)
    missed = limits_broken(d, answer.basis)
    if way is None:
        missed = missed or ["It does not bring this wort to its target."]
        return f"saved {file}: no coil fits, so this is {built}. {' '.join(missed)}"
    told = [f"saved {file}: no coil fits, so this is {built}, the coil of WAY OUT 1.", *missed]
    return " ".join([*told, f"First {_before(way, answer)}: else it does not fit."])


def _before(way: DoneOtherwise | OpenedDesign | Instead, answer: Answer) -> str:
    """What has to be written or done before the coil of a way out fits."""
    if isinstance(way, Instead):
        return instead_text(way)
    if isinstance(way, OpenedDesign):
        lines, done = to_write(way.taken.asked, answer.basis), _steps(way.taken, answer)
    else:
        lines, done = written_otherwise(way), _done(way)
    return f"write {', '.join(lines)} in the brewhouse file" if lines else done


def _nothing_to_wind(basis: DesignBasis) -> str:
    """Why no tube and form of the lists make a set-up at all."""
    if not any(tube.windable for tube in basis.stock.tubing):
        return "every tube of the list is hard: it kinks when it is wound. Soft (annealed) tube is needed."
    layouts = ", ".join(basis.brewhouse.workshop.layouts)
    tee = any(f.used_at == "tee" for f in basis.stock.fittings)
    if not tee and all(LAYOUTS[name].tees for name in basis.brewhouse.workshop.layouts):
        return "two tubes side by side need tees, and fittings.csv has none (used_at = tee)."
    owned_only = basis.brewhouse.workshop.forms_owned_only
    if owned_only and not any(form.owned and form.open_end for form in basis.stock.forms):
        return (
            "workshop.forms_owned_only, and no form of forms.csv is owned: write forms_owned_only = "
            "false, or owned = yes at a form that you have."
        )
    return (
        f"no tube and form of the lists go together for the layouts allowed ({layouts}): two layers need two "
        "forms that leave 1 cm between them."
    )


def instead_text(other: Instead) -> str:
    """What to change where a limit cannot be moved, in figures that hold when they are obeyed."""
    kind, u = ("exact_volume" if other.form is None else "length"), other.basis.brewhouse.units
    to, now = show(other.to, kind, u), show(other.now, kind, u)
    if other.form is None:
        return f"boil less: at most {to} of hot wort in the kettle instead of {now}"
    if to == now:
        to, now = limit_words.told_apart(LIMITS["mouth"], other.to, other.now, other.basis)
    return f"find a form at most {to} across instead of {now} ({other.form.form_id})"


def done_text(way: DoneOtherwise) -> list[str]:
    """What to do otherwise, what it opens, and the lines that say so."""
    basis = way.basis
    written = ", ".join(written_otherwise(way))
    return [_done(way), _opens(way.design, basis), f"in the brewhouse file: {written}"]


def written_otherwise(way: DoneOtherwise) -> list[str]:
    """The lines of the brewhouse file that it takes, each with its table."""
    return [f"{line} under {_table(table)}" for table, line in done_to_write(way)]


def _table(name: str) -> str:
    """A table of the file; of a list, which of it."""
    table, _, number = name.rstrip("]").partition("[")
    return f"[[{table}]] number {number}" if number else f"[{table}]"


def _done(way: DoneOtherwise) -> str:
    """What a hand does."""
    u, kettle = way.basis.brewhouse.units, way.basis.brewhouse.kettle
    stir = _stirred_so(way.written.get("wort.mixing"))
    above = f"above the {' and the '.join(part.what for part in way.basis.parts if part.where == 'wall')}"
    return {
        "hop bag": "put the pellets in a bag",
        "stir": stir,
        "bag and stir": f"put the pellets in a bag, and {stir}",
        "more ice": _ice_put_in(way),
        "raise": f"stand the coil on feet of {show(kettle.floor_clearance, 'length', u)}, {above}",
        "hang": f"hang the coil from the rim, {above}",
    }[way.kind]


def _ice_put_in(way: DoneOtherwise) -> str:
    """How much in all, where that is what is done."""
    found = {place: kg for place, kg in way.written.items() if place.endswith(".ice")}
    u = way.basis.brewhouse.units
    had = show(way.had, "mass", u)
    return "".join(f"put in {show(kg, 'mass', u)} of ice instead of {had}" for kg in found.values())


def _stirred_so(mixing: Stirring | None) -> str:
    return "" if mixing is None else all_along(mixing.with_, mixing.motion)


def _opens(d: Design, basis: DesignBasis, steps: Sequence[Step] = ()) -> str:
    """The design that steps open; a roll that no list has as long as it must be, and without a price."""
    time, cost = ranges.time(d.prediction), money(d.bill.total, basis.brewhouse.stock.currency)
    u, short, p = basis.brewhouse.units, d.prediction.more_ice, d.prediction
    if (roll := longer_roll.longer_roll(d, steps, basis)) is not None:
        d, cost = replace(d, bought=roll.bought_with(d)), longer_roll.cost(roll, basis)
    opened = f"opens {build_words.short(d, u)}: {time}, {cost}, {build_words.difficulty(d.difficulty)}"
    if short is None or short.time is None or about(short.time) == about(p.chill_time):
        return opened
    return f"{opened}; its ice is short: with {show(short.ice, 'mass', u)} more {about(short.time)}"


def too_short(answer: Answer) -> list[str]:
    """That a time is asked for which no coil at all could keep, and what would lower the least one."""
    basis, shortest = answer.basis, answer.shortest
    asked = basis.brewhouse.limits.chill_time
    return [] if shortest is None or asked is None else [limit_words.below_least(asked, shortest, basis)]


def other_order(answer: Answer) -> list[str]:
    """What else than the tap alone lowers the least time below what is asked for."""
    way, d = answer.ice_behind, slow_of(answer.opened)
    return [] if way is None or d is None else [another_order(way, d, answer.basis)]


def misfits(answer: Answer) -> list[tuple[Step, str]]:
    """What the nearest coils ask of limits that nobody can move so far, and what helps instead."""
    steps = answer.conflicts.misfits if answer.conflicts is not None else ()
    return [
        (s, f"at the nearest coil, {_missed(s, answer.basis)} {_helps(s, answer)}".rstrip())
        for s in steps
        if LIMITS[s.limit].helps
    ]


def _missed(step: Step, basis: DesignBasis) -> str:
    """By how much the limit is missed; of a room that a line of the file lowers no further than what is built
    in, by how much that is."""
    limit, kettle = LIMITS[step.limit], basis.brewhouse.kettle
    if not step.below_built_in or limit.of_a_part(step.now, kettle):
        return broken(step.limit, step.to, step.now, basis)
    room, needed = limit_words.told_apart(limit, step.to, step.built_in, basis, enough=False)
    key = limit.key.split(".")[-1]
    return f"{limit.words}: {room}, and what is built in takes {needed}, whatever `{key}` says."


def _helps(step: Step, answer: Answer) -> str:
    """What helps where a limit does not move; not a smaller form where none opens a coil, and one above what
    stands at the wall does."""
    above = any(way.kind in PLACED for way in answer.done_otherwise)
    if step.limit == "wall" and above and not any(other.form for other in answer.instead):
        return ""
    return LIMITS[step.limit].helps


def stirring(answer: Answer) -> str:
    """The build that holds every limit once the wort is kept moving."""
    d, brewhouse = answer.stirred, answer.basis.brewhouse
    assert d is not None
    return (
        f"{build_words.short(d, brewhouse.units)} then takes {about(d.prediction.told_steady)}, for "
        f"{money(d.bill.total, brewhouse.stock.currency)}, {build_words.difficulty(d.difficulty)}"
    )


def _stirred_line(answer: Answer) -> str:
    """What is written for it in the brewhouse file."""
    mixing = answer.basis.brewhouse.wort.mixing
    told = mixing.all_along.table if isinstance(mixing, Stirring) else "steady"
    if isinstance(told, dict):
        told = {key: value for key, value in told.items() if key != "seconds_a_minute"}
    return f"Write mixing = {toml(told)} under [wort]."


def stirring_too(answer: Answer) -> list[str]:
    """What stirring all along brings where it helps but no coil keeps the time by it alone: told of the coil
    for which more time must be allowed."""
    asked = answer.basis.brewhouse.limits.chill_time
    d = slow_of(answer.opened)
    if answer.stirred is not None or asked is None or d is None:
        return []
    likely, steady = d.told["chill_time"], d.prediction.told_steady
    if steady is None or steady >= HELPS * likely:
        return []
    short = "not surely enough" if steady < asked else "more than you ask for"
    return [
        f"keep stirring, which costs nothing: {build_words.short(d, answer.basis.brewhouse.units)} then "
        f"takes {about(steady)}, most likely, instead of {about(likely)}: {short}"
    ]


def _too_warm(answer: Answer) -> list[str]:
    """The water and the target too near each other, or the wrong way round; with the ways out in figures."""
    basis = answer.basis
    u, source = basis.brewhouse.units, basis.scenario.sources[-1]
    water, target = (by_hand.degrees(T, u) for T in (source.T_water, basis.scenario.T_target))
    what = "tap water" if basis.brewhouse.cooling[-1].source == "tap" else "water"
    within = "" if basis.scenario.T_target <= source.coldest else " within 6 hours"
    if answer.conflicts is not None and all(set(names) != {"target"} for names in answer.conflicts.sets):
        within += " with a coil that holds your other limits"
    ice = basis.brewhouse.cooling[-1].ice
    with_ice = f" with {show(ice, 'mass', u)} of ice" if ice else ""
    text = f"{what} at {water}{with_ice} cannot bring wort to {target}{within}."
    tap = basis.brewhouse.tap
    if tap is not None and tap.cold_season is not None and tap.cold_season < basis.scenario.T_target:
        text += f" In the cold season, at {by_hand.degrees(tap.cold_season, u)}, it can."
    ways = that_lead_there(answer.warm_tap_remedies)
    if answer.quickest is not None and ways:
        # Where ice is short every coil stops at the same wort: how quick one is there, says nothing.
        which = "a coil" if ways[0].kind == "more ice" else "the quickest coil"
        text += f" Ways out, with {which} that could be built ({_named(answer.quickest, basis)}):"
    elif basis.brewhouse.cooling[-1].source == "bucket":
        text += " Ice in the bucket, or its water changed more often (refills), would help."
    return entry("TOO WARM", text, *numbered_ways(ways, basis))


def _named(d: Design, basis: DesignBasis) -> str:
    """A coil with what it costs and what it breaks."""
    cost = limit_words.limit_value(LIMITS["budget"], d.bill.total, basis)
    said = f"{build_words.short(d, basis.brewhouse.units)}, {cost}"
    missed = " ".join(limits_broken(d, basis))
    return f"{said}; it does not hold {missed.removesuffix('.')}" if missed else said


def ways_text(way: Remedy, units: str) -> str:
    """One way out of a warm tap, in figures that hold when they are written into the plan."""
    reached = by_hand.degrees(way.temperature, units)
    if way.kind == "fridge" and way.time is None:
        return f"stopping at {reached} and letting a fridge do the rest: {reached} is out of reach too"
    if way.kind == "fridge":
        time = about(way.time)
        return f"stop at {reached}, reached in {time}, and let a fridge do the rest before the yeast goes in"
    if way.kind == "more ice":
        return _more_ice(way, reached, units)
    assert way.change is not None
    tap = f"the tap down to {by_hand.degrees(way.change, units)}, then"
    coil = "" if way.precooler is None else build_words.small_coil(way.precooler, units)
    how = {
        "ice": f"{tap} ice water pumped round through the coil ({way.pump})",
        "precooling": f"{tap} on through a second coil ({coil}) in ice water that is kept moving",
    }[way.kind]
    if way.time is None:
        return f"{how}: does not reach {reached} either"
    way = replace(way, ice=weighed(way.ice, units))
    bath = f"{show(way.water, 'exact_volume', units)} of water and {show(way.ice, 'mass', units)} of ice"
    return (
        f"{how}: {reached} in {about(way.time)}, with {bath} ({by_hand.bags(way.ice, units)}) in a vessel of "
        f"{by_hand.vessel(way.filled, units)} or more"
    )


def numbered_ways(ways: Sequence[Remedy], basis: DesignBasis) -> list[str]:
    """Ways out, each with what it takes in the brewhouse file."""
    u = basis.brewhouse.units
    told = [[ways_text(way, u), *also_allow(way, basis), way_to_write(way, basis)] for way in ways]
    return [f"{n}. {'; '.join(filter(None, parts))}" for n, parts in enumerate(told, 1)]


def also_allow(way: Remedy, basis: DesignBasis) -> list[str]:
    """What must be allowed too, for the coil keeps a limit no longer once the way is taken."""
    return [f"and {limit_words.advice(step, basis)}" for step in steps_of(way)]


def _more_ice(way: Remedy, reached: str, units: str) -> str:
    """The same plan with more of its ice."""
    held = "" if way.change is None else f', with until = "{by_hand.written_degrees(way.change, units)}"'
    return (
        f"{show(way.ice - way.had, 'mass', units)} more ice, {show(way.ice, 'mass', units)} in all "
        f"({by_hand.bags(way.ice, units)}), in a vessel of {by_hand.vessel(way.filled, units)} or "
        f"more{held}: {reached} in {about(way.time)}"
    )
