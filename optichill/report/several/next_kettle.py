"""Today's coil with regard for the kettle that is planned, in words: what becomes of each coil then, and what
the regard costs now and saves later."""

from __future__ import annotations

from math import isfinite

from optichill.files.reading import Inputs
from optichill.money import money, seen
from optichill.problem.worth import worth_of
from optichill.report import ranges
from optichill.report.lifetime import batches, in_parts
from optichill.report.otherwise import about
from optichill.report.paper import entry, whole
from optichill.report.screen import build_this, plan_lines
from optichill.report.searched import sample_text
from optichill.report.several.screen import (
    batches_use,
    cautions,
    cost_lines,
    in_kettle,
    kettles_lines,
    name_of,
    notes,
    risers_text,
    stands,
    told_broken,
    warning_lines,
    weighed_lines,
)
from optichill.report.table import drawn, tube_cells, turns_of
from optichill.report.typed import typed
from optichill.report.words import build_words, limit_words
from optichill.search.next_kettle import Regard, Then

HAIR = 1e-5
"""A hundredth of a millimetre, the digits of a coil file [m]."""
DRY = 0.005
"""Share of the turns above the wort that is worth a word."""


def screen(found: Regard, inputs: Inputs, *, full: bool = False) -> list[str]:
    """What to build today and what becomes of it, without its table and not folded; full : all cautions."""
    (today, later), best = found.kettles, found.coils[0]
    lines = [inputs.first_line, "", *kettles_lines(found.kettles, ("today", "next"))]
    lines += build_this(best.design, today, full=full)
    every = [(today, best.design)]
    if best.kept:
        every.append((later, best.there.design))
        lines += entry("RISERS", *risers_text(every))
    lines += entry("TODAY", *in_kettle(best.design, today))
    lines += plan_lines(best.design.prediction, today)
    lines += entry("THEN", *_then(best, found))
    lines += plan_lines(best.there.design.prediction, later) if best.kept else []
    lines += cost_lines(best.design, today, inputs, [later] if best.kept else [], full=full)
    lines += entry("IN ALL", _in_all(best, found))
    lines += entry("REGARD", *regard_text(found))
    lines += entry("GONE THROUGH", *weighed_lines(found, today))
    lines += entry("A SAMPLE", *sample_text(found.sample))
    return [*lines, *warning_lines(every), *notes(inputs), *cautions(found.kettles, full=full)]


def _then(coil: Then, found: Regard) -> list[str]:
    """What becomes of the first coil in the next kettle."""
    later = found.kettles[1]
    if not coil.kept:
        others = _others_near_the_top(found)
        return [f"in {name_of(later)}: {fate(coil, found)}.", *_what_helps(found), *others]
    near = near_the_top(coil, found)
    return [
        f"in {name_of(later)} it is kept:",
        *in_kettle(coil.there.design, later, near),
        *stands(coil.there.design, later, coil.design),
        *_others_near_the_top(found),
    ]


def _what_helps(found: Regard) -> list[str]:
    """Who says what stands in the way of any coil there."""
    path = found.kettles[1].brewhouse.path
    if found.replacement is not None or path is None:
        return []
    return [f"what stands in the way there, and what helps, says {whole(typed('recommend', str(path)))}"]


def fate(coil: Then, found: Regard) -> str:
    """What becomes of a coil in the next kettle: "24 min, fits"; or "does not reach 20 °C: replaced for 95
    EUR"."""
    today, later = found.kettles
    time = about(coil.there.design.told["chill_time"]) if _arrives(coil) else ""
    if coil.kept:
        dry = 1.0 - coil.there.design.wet_share
        if dry >= DRY:
            return f"{time}, kept with {100.0 * dry:.0f} % of its turns dry"
        near = near_the_top(coil, found)
        return f"{time}, kept, {near}" if near else f"{time}, fits"
    again = "; no coil of these lists holds its limits"
    if found.replacement is not None:
        price = money(coil.replaced_for, today.brewhouse.stock.currency)
        again = f": replaced for {price}, its hoses and ends serve on"
    long = {line.name for line in coil.too_long}
    there = [line for line in coil.there.broken if line.name not in long]
    if there:
        return f"{told_broken(there, later, 1)}{again}"
    if coil.too_long:
        return f"with risers for both rims, today {told_broken(coil.too_long, today, 1)}{again}"
    return f"{time}, would do, but costs more than a new one{again}"


def near_the_top(coil: Then, found: Regard) -> str:
    """How much less wort than wished stands over a coil that is kept; "" where it is as much. What exists is
    not bought again for that."""
    over, later = coil.there.design.submergence, found.kettles[1]
    if not coil.kept or over >= found.wished - HAIR:
        return ""
    there, wished = limit_words.over_the_top(max(over, 0.0), found.wished, later)
    if over < 0.0:
        return f"its top turn out of the wort when cold, wished {wished} under it"
    return f"{there} under the wort when cold, wished {wished}"


def _others_near_the_top(found: Regard) -> list[str]:
    """The same of the others that are kept."""
    told = [(c.design.rank, near_the_top(c, found)) for c in found.coils[1:]]
    said = [f"number {rank}: {near}" for rank, near in told if near]
    return [f"of the others in {name_of(found.kettles[1])}: {'; '.join(said)}"] if said else []


def _in_short(coil: Then, found: Regard) -> str:
    if coil.kept:
        return ranges.minutes(coil.there.design.prediction)
    return "replaced" if found.replacement is not None else "none serves"


def _arrives(coil: Then) -> bool:
    return coil.there.design.prediction.told.time is not None


def _in_all(coil: Then, found: Regard) -> str:
    today, later = found.kettles
    life, currency = coil.design.life, today.brewhouse.stock.currency
    named: dict[str, float] = {
        "to build": float(life.build),
        "work and what it may spoil": float(life.work + life.spoiling),
        f"{batches_use(coil.design)} of {batches(worth_of(today))} today": float(life.running),
    }
    then = f"{batches(worth_of(later))} in {name_of(later)}"
    if not isfinite(coil.later):
        return f"about {money(seen(coil.today), currency)} today: no coil of these lists serves afterwards"
    what = f"{batches_use(coil.there.design)} of" if coil.kept else "a new coil, its work, and"
    named[f"{what} {then}"] = coil.later - found.besides
    named["for the pumps of the next plan"] = found.besides
    said, total = in_parts(named, coil.total)
    return f"about {money(total, currency)}: {said}"


def regard_text(found: Regard) -> list[str]:
    """Which coil it would have been without regard, and what the regard costs now and saves later."""
    best, plain = found.coils[0], found.plain
    today, later = found.kettles
    if best.is_built_as(plain):
        kept = ", with its risers cut for today's rim alone" if best.kept and _longer(best, found) else ""
        return [f"Without {name_of(later)} it would be the same coil{kept}.", *_stays_first(found)]
    u, currency = today.brewhouse.units, today.brewhouse.stock.currency
    d = plain.design
    told = f"{build_words.short(d, u)}, {about(d.told['chill_time'])}, {money(d.bill.total, currency)}"
    return [
        f"Without {name_of(later)} number 1 would be {d.id}: {told}; in {name_of(later)}: "
        f"{fate(plain, found)}.",
        f"The regard costs {_more(best.design.bill.total - d.bill.total, currency)} to build and "
        f"{_more(best.today - plain.today, currency)} over {batches(worth_of(today))} today; it saves "
        f"{_saves(plain.later - best.later, currency)} over {batches(worth_of(later))} later.",
    ]


def _stays_first(found: Regard) -> list[str]:
    """Why what comes first today stays first, though others cost less in both together."""
    best, currency = found.coils[0], found.kettles[0].brewhouse.stock.currency
    less = [c for c in found.coils[1:] if best.total - c.total >= 0.5]
    if not less:
        return []
    numbers = [str(c.design.rank) for c in less]
    named = (
        f"numbers {', '.join(numbers[:-1])} and {numbers[-1]} cost" if numbers[1:] else f"{numbers[0]} costs"
    )
    named = named if numbers[1:] else f"number {named}"
    most = money(seen(best.total) - min(seen(c.total) for c in less), currency)  # as the table has it
    return [
        f"It stays number 1 though {named} up to {most} less in all: that is less than a minute with every "
        f"batch of both ({money(seen(found.tie), currency)}), so they are as good, and it is the best "
        "for today."
    ]


def _longer(best: Then, found: Regard) -> bool:
    rims = [b.brewhouse.kettle.inside_height for b in found.kettles]
    widths = [b.brewhouse.kettle.inside_diameter for b in found.kettles]
    return rims[1] > rims[0] or widths[1] > widths[0]


def _more(amount: float, currency: str) -> str:
    if abs(amount) < 0.5:
        return "nothing more"
    return f"{money(seen(abs(amount)), currency)} {'more' if amount > 0.0 else 'less'}"


def _saves(amount: float, currency: str) -> str:
    return money(seen(amount), currency) if isfinite(amount) else "a coil that these lists do not have,"


def table(found: Regard, width: int) -> list[str]:
    """All of the coils, a row each, and what becomes of them; no wider than a terminal [columns]."""
    today = found.kettles[0].brewhouse
    u, currency = today.units, today.stock.currency
    tubes = tube_cells([c.design for c in found.coils], u)
    head = ("", "tube", "turns", "minutes", "then", "cost", "in all", "work", "coil")
    cells = [
        (
            str(c.design.rank),
            tube,
            turns_of(c.design),
            ranges.minutes(c.design.prediction),
            _in_short(c, found),
            money(c.design.bill.total, currency),
            money(seen(c.total), currency) if isfinite(c.total) else "-",
            build_words.difficulty(c.design.difficulty),
            c.design.id,
        )
        for c, tube in zip(found.coils, tubes, strict=True)
    ]
    return drawn(head, cells, width, ("work", "turns"), ("turns", "minutes", "cost", "in all"))
