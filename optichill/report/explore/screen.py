"""The screen of `explore`: how much was tried, what came of it, and what it is worth beside the lists."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.display import plural, show
from optichill.files.reading import Inputs
from optichill.money import money, seen
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.report import calibrated
from optichill.report.choice import as_shown
from optichill.report.dangers import in_a_line_each
from optichill.report.no_fit import nothing_fits
from optichill.report.origin import needs
from optichill.report.otherwise import about
from optichill.report.paper import entry, whole
from optichill.report.searched import alike_text, steps_text
from optichill.report.to_write import to_write
from optichill.report.turns_told import counts
from optichill.report.typed import asked_by, typed
from optichill.report.words import build_words, limit_words, winding_words
from optichill.report.words.sentences import sentence
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.explore.lead import noticed, worth_making
from optichill.search.explore.nearest import Nearest
from optichill.search.explore.study_team import Explored
from optichill.search.ranking import LITRES, MINUTE, MONEY

FEW = 300
"""Coils below which nothing is said of how the search went."""

HARDLY = 0.05
"""Share of the best that came in the last third, below which little more is to be found (OWN)."""


@dataclass(frozen=True)
class Tried:
    """What there is to tell. before, after : the answer without and with what was explored; best : of the
    explored coils on the front the one that ranks best, None where none came there; came : how many did, and
    front : of how many coils; forms : whether any may be made; nearest : where none holds, what asks for
    least more."""

    found: Explored
    before: Answer
    after: Answer
    best: Design | None
    came: int
    front: int
    forms: bool
    nearest: Nearest | None = None

    @property
    def basis(self) -> DesignBasis:
        """Of the brewhouse."""
        return self.before.basis

    @property
    def first(self) -> Design | None:
        """The first of the lists alone."""
        return self.before.designs[0] if self.before.designs else None


def screen(told: Tried, inputs: Inputs) -> list[str]:
    """All lines, not folded."""
    lines = [inputs.first_line, "", *calibrated.lines(inputs.brewhouse, inputs.calibration)]
    lines += entry("EXPLORED", *tried_text(told.found), *_forms(told))
    lines += entry("CAME OF IT", came_text(told))
    lines += nearest_lines(told.nearest, told.after)
    if told.best is not None:
        lines += entry("THE BEST", *best_text(told.best, told.basis))
    if told.best is not None and told.first is not None:
        lines += entry("BESIDE IT", beside_text(told.first, told.basis))
        lines += entry("GAIN", gain_text(told), *filter(None, [so_far(told.found)]))
    lines += entry("STUDY", *_study(told.found))
    if told.first is None and told.best is None:
        lines += nothing_fits(told.after)
    lines += entry("WARNING", *map(sentence, (*told.found.lost, *inputs.warnings)))
    lines += entry("NEXT", *_next(told, inputs))
    return lines + entry("TAKE CARE", *in_a_line_each(told.basis))


def tried_text(found: Explored) -> list[str]:
    """How many coils were tried, by this run and in all."""
    now = f"{plural(f'{found.now:,}', 'coil')} beyond your lists tried"
    now += ", then stopped" if found.stopped else ""
    lines = [f"{now}; every one is kept." if found.now else "No other coil was tried this time."]
    holding = "none of them holds" if not found.hold else f"{found.hold:,} of them hold"
    lines.append(f"In the study: {plural(f'{found.tried:,}', 'coil')}; {holding} every limit.")
    if found.tried_out:
        lines.append("Nothing is left to try: what may vary is tried out.")
    if found.tried and found.again > 0.01 * found.tried:
        lines.append(
            f"{found.again:,} were tried twice, by processes that had not yet heard of each other's."
        )
    return lines


def _forms(told: Tried) -> list[str]:
    if told.forms:
        return []
    return [
        "No form is made, for forms_owned_only is set under [workshop]: only gaps, turns, packing and the "
        "width of the strips between two layers vary."
    ]


def came_text(told: Tried) -> str:
    """How many came to the front, also none."""
    if not told.front:
        if told.found.tried_out:
            return "No coil that may be made holds every limit."
        return f"No coil tried so far holds every limit. {so_far(told.found)}".rstrip()
    beside = f"the {told.front:,} that nothing beats" if told.front > 1 else "what nothing beats"
    alike = alike_text(told.basis)
    if not told.came:
        if told.found.tried_out:
            return f"None of them comes to {beside} ({alike}): your lists have what can be had."
        return f"None of them so far comes to {beside} ({alike})."
    if told.first is None:
        made = told.best is not None and told.best.to_make
        see = "see the form that has to be made" if made else "see THE BEST, which needs no form to be made"
        return (
            f"No coil of your lists holds every limit, but {plural(f'{told.came:,}', 'coil')} beyond them "
            f"{'does' if told.came == 1 else 'do'}: {see}."
        )
    return f"{told.came:,} of them {'comes' if told.came == 1 else 'come'} to {beside} ({alike})."


def so_far(found: Explored) -> str:
    """Whether it was still finding better in the last third of what was tried; nothing of few coils, or where
    all is tried."""
    best = found.settings or found.near
    if found.tried_out or found.tried < FEW or not best:
        return ""
    which = "that none of them beats" if found.settings else "that come nearest"
    share = f"{found.late:,} of the {len(best):,} {which} came in the last third of what was tried"
    if found.late > HARDLY * len(best):
        return f"{share}: it was still finding better, so go on."
    return f"{share}: going on would hardly change this."


def nearest_lines(nearest: Nearest | None, answer: Answer) -> list[str]:
    """What the nearest of the coils that were tried asks for, where the lists have no nearer way out."""
    if nearest is None or not nearest.is_nearer(answer.opened):
        return []
    basis = answer.basis
    asked = "; and ".join(limit_words.advice(step, basis) for step in nearest.steps)
    written = to_write(nearest.steps, basis)
    file = [f"in the brewhouse file: {', '.join(written)}; then explore anew, with another --study name"]
    return entry(
        "SO FAR",
        f"{asked}, which opens this coil beyond your lists:",
        *best_text(nearest.design, basis, find=False),
        *(file if written else []),
    )


def best_text(d: Design, basis: DesignBasis, *, find: bool = True) -> list[str]:
    """The best of what was explored, and what it needs; find : whether it is found by its id."""
    u = basis.brewhouse.units
    needed = [] if d.to_make else [needs(d, u)]
    build = build_words.build(d.bought, d.layout, counts(d), d.across, d.valve_share, u)
    told = figures(d, basis) + (f" (coil {d.id})" if find else "")
    return [f"{build}; {winding_words.forms(d, u)}", *needed, told]


def beside_text(d: Design, basis: DesignBasis) -> str:
    """The first of the lists."""
    built = build_words.short(d, basis.brewhouse.units)
    return f"the first of your lists: {built}; {figures(d, basis)} (coil {d.id})"


def figures(d: Design, basis: DesignBasis) -> str:
    """Time, water, money and work of one coil."""
    u, currency = basis.brewhouse.units, basis.brewhouse.stock.currency
    return (
        f"about {about(d.told['chill_time'])}, {show(d.told['water'], 'volume', u)} of water, "
        f"{money(d.bill.total, currency)}, {build_words.difficulty(d.difficulty)}"
    )


def differences(best: Design, first: Design, basis: DesignBasis) -> list[str]:
    """Where a person would notice a difference of the best explored coil from the first of the lists."""
    said = []
    told = (("chill_time", MINUTE), ("cost", MONEY), ("water", LITRES))
    for goal, least in told:
        if noticed(best.told[goal], first.told[goal], least):
            more = as_shown(goal, best, basis) - as_shown(goal, first, basis)
            said.append(_difference(goal, more, basis))
    if build_words.difficulty(best.difficulty) != build_words.difficulty(first.difficulty):
        harder = best.difficulty > first.difficulty
        said.append(f"{'harder' if harder else 'easier'} work ({build_words.difficulty(best.difficulty)})")
    return said


def _difference(goal: str, more: float, basis: DesignBasis) -> str:
    """One difference in words, between the figures that stand beside it."""
    u, currency = basis.brewhouse.units, basis.brewhouse.stock.currency
    if goal == "chill_time":
        return f"{about(abs(more))} {'quicker' if more < 0.0 else 'slower'}"
    if goal == "cost":
        return f"{money(abs(more), currency)} {'cheaper' if more < 0.0 else 'dearer'} to build"
    return f"{show(abs(more), 'volume', u)} {'less' if more < 0.0 else 'more'} water"


def saves(told: Tried) -> float:
    """What the best explored coil saves over its life against the first of the lists [money]."""
    assert told.best is not None and told.first is not None
    return float(told.first.life.total - told.best.life.total)


def is_better(told: Tried) -> bool:
    """Whether a person would rather have it: it comes first, and by more than what counts as the same."""
    if told.best is None:
        return False
    if told.first is None:
        return True
    if told.before.levels is not None:
        return told.after.designs[0].id == told.best.id  # as `lead.led` has put it
    return bool(
        worth_making(
            saves=saves(told),
            time=told.best.told["chill_time"],
            its_time=told.first.told["chill_time"],
            tie=worth_of(told.basis).minute,
        )
    )


def gain_text(told: Tried) -> str:
    """What the best explored coil gains, or that it is nothing a person would notice."""
    assert told.best is not None and told.first is not None
    currency = told.basis.brewhouse.stock.currency
    said = ", ".join(differences(told.best, told.first, told.basis))
    less, tie = saves(told), worth_of(told.basis).minute
    over = ""
    if told.before.levels is None:
        over = f"; over its life about {money(seen(abs(less)), currency)} {'less' if less > 0.0 else 'more'}"
        over = over if abs(less) > tie else "; over its life it costs the same"
    if is_better(told):
        return f"{said or 'a little of each'}{over}."
    yet = "" if told.found.tried_out else " so far"
    if not said:
        return (
            f"none{yet} that you would notice, for it is less than a minute and 3 %: "
            "the first of your lists stays first."
        )
    return f"none{yet}: {said}{over}. The first of your lists stays first."


def _study(found: Explored) -> list[str]:
    said = [f"{found.at}: the same command goes on with it"]
    if found.stopped:
        said.append("Stopped before its end: what was found is kept.")
    return said


def _next(told: Tried, inputs: Inputs) -> list[str]:
    house = asked_by(inputs.brewhouse.path)
    study = ("--study", told.found.typed)
    if not told.front:
        return [f"{whole(typed('recommend', house, *study))}   what stands in the way, and what helps"]
    steps = [
        f"{whole(typed('recommend', house, *study))}   what to build, with these beside your lists",
        f"{whole(typed('pareto', house, *study))}   the page to compare on, with these marked",
    ]
    if told.best is not None and is_better(told):
        keep = typed("recommend", house, *study, "--save-coil", "coil.toml", "--coil", told.best.id)
        steps.append(f"{whole(keep)}   keeps the best of them in a file, for its sheet")
    return steps


def joined_lines(found: Explored, came: int, basis: DesignBasis) -> list[str]:
    """That an answer has the coils of a study beside its own."""
    if not found.hold:
        told = "none so far holds every limit"
    elif not came:
        told = f"so far a coil of your lists beats each of them, or is alike to {steps_text(basis)}"
    else:
        comes = "comes" if came == 1 else "come"
        told = f"{came:,} of them {comes} to what nothing beats ({alike_text(basis)})"
    return entry("EXPLORED", f"{plural(f'{found.tried:,}', 'coil')} beyond your lists ({found.at}): {told}")
