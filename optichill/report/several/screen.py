"""One coil for several kettles, in words: how it stands and chills in each, what it comes to; or which kettle
stands in the way of what."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from optichill.display import show
from optichill.errors import shown
from optichill.files.reading import Inputs
from optichill.geometry.risers import ABOVE_RIM
from optichill.money import money, seen
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.rating.prediction import LimitLine
from optichill.report import calibrated_elsewhere, ranges
from optichill.report.dangers import in_a_line_each
from optichill.report.left_out import not_counted
from optichill.report.lifetime import batches, in_parts
from optichill.report.otherwise import about, stirring_word
from optichill.report.paper import entry, whole
from optichill.report.screen import build_this, cost_text, fits_text, kettle_text, plan_lines, take_care
from optichill.report.searched import sample_text
from optichill.report.table import drawn, tube_cells, turns_of
from optichill.report.typed import typed
from optichill.report.warnings import broken, of_design
from optichill.report.words import build_words, by_hand
from optichill.report.words.sentences import sentence
from optichill.search.designs import Design
from optichill.search.next_kettle import Regard
from optichill.search.shared import Alone, ForAll, Shared

SAME, HAIR = 5e-3, 1e-4
"""Differences of two heights that nobody bends a riser for, and that no file need tell [m]."""


def name_of(basis: DesignBasis, longest: int = 40) -> str:
    """A kettle's brewhouse by its own name."""
    return shown(basis.brewhouse.name, longest)


def screen(found: ForAll, inputs: Inputs, *, full: bool = False) -> list[str]:
    """What to build for all of them, without its table and not folded; full : with all cautions."""
    lines = [inputs.first_line, "", *kettles_lines(found.kettles)]
    if not found.coils:
        return [*lines, *_nothing_serves(found), *notes(inputs)]
    best, first = found.coils[0], found.kettles[0]
    lines += build_this(best.design, first, full=full)
    every = [(first, best.design), *((there.basis, there.design) for there in best.there)]
    lines += entry("RISERS", *risers_text(every))
    for number, (basis, design) in enumerate(every, 1):
        lines += entry(f"IN KETTLE {number}", *in_kettle(design, basis), *stands(design, basis, best.design))
        lines += plan_lines(design.prediction, basis)
    lines += cost_lines(best.design, first, inputs, [b for b, _ in every[1:]], full=full)
    lines += entry("IN ALL", _in_all(best, found), *_tied(found))
    lines += entry("GONE THROUGH", *weighed_lines(found, first))
    lines += entry("A SAMPLE", *sample_text(found.sample))
    lines += warning_lines(every)
    return [*lines, *notes(inputs), *cautions(found.kettles, full=full)]


def kettles_lines(kettles: Sequence[DesignBasis], called: Sequence[str] = ()) -> list[str]:
    """KETTLES: each with its batch and tap, and by what it is calibrated; called : what each is, beside its
    name."""
    told = [f", {what}" for what in called] or [""] * len(kettles)
    return entry(
        "KETTLES",
        *(
            f"{n}. {name_of(basis)}{what}: {kettle_text(basis)}"
            for n, (basis, what) in enumerate(zip(kettles, told, strict=True), 1)
        ),
    ) + calibrated_elsewhere.lines(kettles)


def in_kettle(d: Design, basis: DesignBasis, short: str = "") -> list[str]:
    """How a coil chills and stands in one kettle; short : as in `fits_text`."""
    p, brewhouse = d.prediction, basis.brewhouse
    u = brewhouse.units
    lines = [f"{ranges.time(p)}, {stirring_word(brewhouse.wort, u)}"]
    if p.water is not None:
        valve = f", valve {build_words.valve(d.valve_share)}" if d.valve_share < 1.0 else ""
        lines.append(f"water: {ranges.water(p, u)}; {show(p.flow, 'flow', u)}{valve}")
    return [*lines, fits_text(d, basis, short)]


def stands(d: Design, basis: DesignBasis, first: Design) -> list[str]:
    """What is to be written into a copy of the coil file, where a coil stands otherwise than in the first
    kettle."""
    lines = otherwise(d, basis, first)
    return [f"in a copy of the coil file, for predict and sheet: {', '.join(lines)}"] if lines else []


def otherwise(d: Design, basis: DesignBasis, first: Design) -> list[str]:
    """Lines of a coil file that differ from those for the first kettle; none where one file serves both."""
    if abs(d.lowest - first.lowest) < HAIR and d.valve_share == first.valve_share == 1.0:
        return []
    return written(d, basis)


def written(d: Design, basis: DesignBasis) -> list[str]:
    """Lines of a coil file that say how the coil stands and runs in a kettle; its height to a hundredth of a
    millimetre, to the side on which it keeps what it hangs under or stands over."""
    hangs = basis.brewhouse.kettle.coil_rests == "hangs"
    height = (math.floor if hangs else math.ceil)(1e5 * d.lowest + (1e-6 if hangs else -1e-6)) / 100.0
    flow = [f'flow = "{6e4 * d.prediction.flow:.10g} L/min"'] if d.valve_share < 1.0 else []
    return [f'lowest_turn_height = "{height:.10g} mm"', *flow]


def level_over_turns(basis: DesignBasis, d: Design) -> float:
    """How high over the lowest turn the level part of the risers passes a kettle's rim, at its middle [m]."""
    return basis.brewhouse.kettle.inside_height + ABOVE_RIM - d.lowest


def tallest(every: Sequence[tuple[DesignBasis, Design]]) -> int:
    """Which kettle's rim the risers are bent for, from 0; the first where others are no taller."""
    up = [level_over_turns(basis, d) for basis, d in every]
    return 0 if max(up) - up[0] <= SAME else up.index(max(up))


def risers_text(every: Sequence[tuple[DesignBasis, Design]]) -> list[str]:
    """For which kettle the risers are bent, and how they stand in the others."""
    u = every[0][0].brewhouse.units
    up = [level_over_turns(basis, d) for basis, d in every]
    out = [b.brewhouse.kettle.inside_diameter / 2.0 + b.brewhouse.workshop.over_the_rim for b, _ in every]
    tall, wide = tallest(every), out.index(max(out))
    lower = [
        f"in {name_of(basis)} it stands {by_hand.rough(up[tall] - own, u)} higher than it need be"
        for (basis, _), own in zip(every, up, strict=True)
        if up[tall] - own > SAME
    ]
    said = []
    if lower:
        said.append(
            f"Bend them for {name_of(every[tall][0])}: their level part {by_hand.rough(up[tall], u)} over "
            f"the lowest turn, from middle to middle; {'; '.join(lower)}."
        )
        if tall:
            said.append(
                f"Make the build sheet with the brewhouse of {name_of(every[tall][0])}: another's would bend "
                "them at its own, lower rim."
            )
    if max(out) - min(out) > SAME:
        said.append(f"Over the rim they are long enough for {name_of(every[wide][0])}, the widest.")
    return said or ["They suit all of the rims as they are."]


def cost_lines(
    d: Design, first: DesignBasis, inputs: Inputs, others: Sequence[DesignBasis], *, full: bool
) -> list[str]:
    """COST and WORK: what is bought and done once."""
    left_out = [" ".join(filter(None, part)) for part in not_counted(d.bill, first)]
    lines = entry("COST", cost_text(d, first, inputs, full=full), *left_out, *_other_hoses(first, others))
    hard = d.reasons[0] if d.reasons else "nothing in particular"
    return lines + entry("WORK", f"{build_words.difficulty(d.difficulty)}; the hard part: {hard}")


def _other_hoses(first: DesignBasis, others: Sequence[DesignBasis]) -> list[str]:
    """That a hose of another bore takes ends of its own, which no bill has."""
    own, u = first.brewhouse.hose_bore, first.brewhouse.units
    return [
        f"Not counted: ends for the {show(b.brewhouse.hose_bore, 'tube', u)} hose of {name_of(b)}."
        for b in others
        if abs(b.brewhouse.hose_bore - own) > 2e-4
    ]


def _in_all(coil: Shared, found: ForAll) -> str:
    life, currency = coil.design.life, found.kettles[0].brewhouse.stock.currency
    named: dict[str, float] = {
        "to build": float(life.build),
        "work and what it may spoil": float(life.work + life.spoiling),
        "for the pumps of the other plans": found.besides,
    }
    every = (coil.design, *(there.design for there in coil.there))
    for basis, design in zip(found.kettles, every, strict=True):
        over = batches(worth_of(basis))
        named[f"{batches_use(design)} of {over} in {name_of(basis)}"] = float(design.life.running)
    said, total = in_parts(named, coil.total)
    return f"about {money(total, currency)}: {said}"


def batches_use(d: Design) -> str:
    """What the batches cost money for."""
    return "waiting, water and ice" if float(d.life.ice) > 0.0 else "waiting and water"


def _tied(found: ForAll) -> list[str]:
    """That the second comes to the same."""
    if len(found.coils) < 2 or found.coils[1].total - found.coils[0].total > found.tie:
        return []
    return ["Number 2 is tied, to a minute a batch: take the one that you can get or wind."]


def weighed_lines(found: ForAll | Regard, first: DesignBasis) -> list[str]:
    """What the answer rests on."""
    every = _every(found)
    return [
        f"{found.raw:,} combinations; {found.weighed:,} hold in {every} kettles what needs no chill, and "
        f"none of these was left out before it had surely lost by what it costs in {every} together.",
        f"Tube, forms, tools, fittings and their prices are those of {name_of(first)}'s lists, and so is "
        "how the coil is made.",
    ]


def _every(found: ForAll | Regard) -> str:
    return "both" if len(found.kettles) == 2 else f"all {len(found.kettles)}"


def warning_lines(every: Sequence[tuple[DesignBasis, Design]]) -> list[str]:
    """What to know before building, of the first kettle, and what is otherwise in the others."""
    first, *others = [of_design(d, basis) for basis, d in every]
    said = list(map(sentence, first))
    for (basis, _), texts in zip(every[1:], others, strict=True):
        told = {_plain(text) for text in first}
        said += [f"In {name_of(basis)}: {text.rstrip('.')}." for text in texts if _plain(text) not in told]
    return entry("WARNING", *said)


def _plain(text: str) -> str:
    """A warning without its figures: what differs by them alone is the same warning."""
    return re.sub(r"[0-9.]+", "", text)


def notes(inputs: Inputs) -> list[str]:
    """What was said on reading."""
    return entry("NOTE", *(sentence(text) for text in inputs.warnings))


def cautions(kettles: Sequence[DesignBasis], *, full: bool) -> list[str]:
    """The cautions that belong on every screen that leads to hot wort, of each kettle's plan, said once."""
    if full:
        return take_care(*kettles)
    return entry("TAKE CARE", *dict.fromkeys(text for basis in kettles for text in in_a_line_each(basis)))


def table(found: ForAll, width: int) -> list[str]:
    """All of the coils, a row each, with their minutes in every kettle; no wider than a terminal."""
    u, currency = found.kettles[0].brewhouse.units, found.kettles[0].brewhouse.stock.currency
    tubes = tube_cells([c.design for c in found.coils], u)
    places = [f"min in {n}" for n in range(1, len(found.kettles) + 1)]
    head = ("", "tube", "turns", *places, "cost", "in all", "work", "coil")
    cells = [
        (
            str(c.design.rank),
            tube,
            turns_of(c.design),
            *(ranges.minutes(d.prediction) for d in (c.design, *(there.design for there in c.there))),
            money(c.design.bill.total, currency),
            money(seen(c.total), currency),
            build_words.difficulty(c.design.difficulty),
            c.design.id,
        )
        for c, tube in zip(found.coils, tubes, strict=True)
    ]
    return drawn(head, cells, width, ("work", "turns"), (*places, "turns", "cost", "in all"))


def told_broken(lines: Sequence[LimitLine], basis: DesignBasis, most: int = 2) -> str:
    """Which limits a coil does not hold in a kettle, in words: whether it reaches the target first, then
    what is of room."""
    if any(line.name == "target" for line in lines):
        return f"does not reach {by_hand.degrees(basis.scenario.T_target, basis.brewhouse.units)}"
    by_room = sorted(lines, key=lambda line: LIMITS[line.name].of_chill)
    return "; ".join(broken(line.name, line.value, line.limit, basis).rstrip(".") for line in by_room[:most])


def _nothing_serves(found: ForAll) -> list[str]:
    """Which kettle stands in the way of what, and the best for each alone."""
    first = found.kettles[0]
    currency = first.brewhouse.stock.currency
    lines = entry(
        "NO COIL FITS",
        f"{_every(found)} kettles together, of {found.raw:,} combinations of {name_of(first)}'s lists; "
        f"{f'{found.weighed:,}' if found.weighed else 'none'} of them would stand in {_every(found)} kettles "
        "and hold there what needs no chill.",
    )
    for number, alone in enumerate(found.alone, 1):
        lines += entry(f"FOR KETTLE {number}", *_alone(alone, found))
    cost = [alone.design.bill.total for alone in found.alone if alone.design is not None]
    if len(cost) == len(found.alone):
        told = ", ".join(money(price, currency) for price in cost)
        lines += entry(
            "INSTEAD", f"a coil of its own for each kettle ({told}), or limits moved where they meet."
        )
    return lines


def _alone(alone: Alone, found: ForAll) -> list[str]:
    """The best coil of one kettle, and what it breaks elsewhere."""
    basis, d = alone.basis, alone.design
    u, currency = basis.brewhouse.units, basis.brewhouse.stock.currency
    if d is None:
        path = basis.brewhouse.path
        ask = typed("recommend", None if path is None else str(path))
        return [
            f"no coil of these lists holds the limits of {name_of(basis)} even alone; what stands in the "
            f"way, and what helps, says {whole(ask)}"
        ]
    told = f"{build_words.short(d, u)}, {about(d.told['chill_time'])}, {money(d.bill.total, currency)}"
    others = [other for other in found.kettles if other is not basis]
    said = [
        f"in {name_of(other)}: {told_broken(lines, other)}." if lines else f"in {name_of(other)} it would do."
        for other, lines in zip(others, alone.breaks, strict=True)
    ]
    return [f"the best for {name_of(basis)} alone: {told};", *said]
