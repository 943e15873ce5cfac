"""What there is to choose between, in plain sentences: roles, what more money buys, a habit, and what would
have to be otherwise for another coil to come first."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Callable, Sequence
from itertools import groupby
from math import isfinite
from operator import itemgetter

from optichill.display import US_GALLON, show, turns
from optichill.errors import shown
from optichill.money import figure, half_up, money, seen
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.report import ranges
from optichill.report.lifetime import batches
from optichill.report.otherwise import about
from optichill.report.to_write import to_write
from optichill.report.words import build_words, by_hand, limit_words, roll_words
from optichill.report.words.sentences import sentence
from optichill.search.a_little_more import ALittleMore
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.flips import Flip
from optichill.search.glance import Glance
from optichill.search.less_ice import LessIce
from optichill.search.roles import EASIEST, LEAST_WATER, Role
from optichill.workshop.difficulty import BAND_LIMITS

# (goal, word when the other is worse, word when it is better)
_COMPARED = {
    "chill_time": ("slower", "faster"),
    "cost": ("dearer", "cheaper"),
    "water": ("more water", "less water"),
    "difficulty": ("harder", "easier"),
}
_NOTICEABLE = {"chill_time": 30.0, "cost": 0.5, "water": 2.5e-3}

LEAST_TOLD = 0.5
"""Money that rounds to nothing."""

HELPS = 0.9
"""Steady stirring is told where it takes less than this share of the time."""


def apart(best: Design, other: Design, answer: Answer) -> tuple[list[str], list[str]]:
    """In what the other build is worse and in what it is better, in words; work by its band."""
    worse: list[str] = []
    better: list[str] = []
    for goal, (more, less) in _COMPARED.items():
        gap = as_shown(goal, other, answer.basis) - as_shown(goal, best, answer.basis)
        bands = [build_words.difficulty(d.difficulty) for d in (other, best)]
        if bands[0] == bands[1] if goal == "difficulty" else abs(gap) < _NOTICEABLE[goal]:
            continue
        said = _gap(goal, abs(gap), more if gap > 0 else less, answer)
        if goal == "difficulty":
            said += f" ({bands[0]} against {bands[1]})"
        (worse if gap > 0 else better).append(said)
    return worse, better


def as_shown(goal: str, d: Design, basis: DesignBasis) -> float:
    """A goal [SI] as pages show it, or the reader's own difference would be another."""
    value, u = d.told[goal], basis.brewhouse.units
    if not isfinite(value):
        return value
    if goal == "chill_time":
        return 60.0 * round(value / 60.0)
    if goal == "water":
        return float(show(value, "volume", u).split()[0]) * (US_GALLON if u == "us" else 1e-3)
    return float(half_up(value)) if goal == "cost" and value >= 10.0 else value


def _gap(goal: str, gap: float, word: str, answer: Answer) -> str:
    brewhouse = answer.basis.brewhouse
    if goal == "chill_time":
        return f"{show(gap, 'minutes')} {word}"
    if goal == "cost":
        return f"{money(max(gap, 1.0), brewhouse.stock.currency)} {word}"
    if goal == "water":
        return f"{show(gap, 'volume', brewhouse.units)} {word}"
    return word


def over_life(more: float, answer: Answer) -> str:
    """Money over the coil's life, more or less: "12 EUR more over 60 batches"."""
    worth, currency = worth_of(answer.basis), answer.basis.brewhouse.stock.currency
    over = f"over {batches(worth)}"
    if abs(more) < LEAST_TOLD:
        return f"the same cost {over}"
    return f"{money(seen(abs(more)), currency)} {'more' if more > 0.0 else 'less'} {over}"


def of_all(role: Role, shown: Sequence[Design], basis: DesignBasis) -> list[str]:
    """Names of a role as they are true among some designs: only sensible ones hold it, and where another uses
    less water, or is of an easier band, the name says no more than that it has less than number 1."""
    d = role.design
    thriftier = any(as_shown("water", x, basis) < as_shown("water", d, basis) for x in shown)
    easier = any(bisect(BAND_LIMITS, x.difficulty) < bisect(BAND_LIMITS, d.difficulty) for x in shown)
    instead = {LEAST_WATER: "less water"} if thriftier else {}
    instead |= {EASIEST: "easier"} if easier else {}
    return [instead.get(name, name) for name in role.names]


def role_text(role: Role, answer: Answer) -> list[str]:
    """Why a person would look at it: what it gains and gives up against number 1."""
    if role.design is role.first:
        if answer.levels is not None:
            return ["Meets the levels that you stated best."]
        life, currency = float(role.design.life.total), answer.basis.brewhouse.stock.currency
        less = min(float(d.life.total) for d in answer.designs) < life - LEAST_TOLD
        costs = "Nothing costs less, by more than counts as the same," if less else "Costs least"
        return [f"{costs} {_over(answer)}: about {money(seen(life), currency)}."]
    worse, better = apart(role.first, role.design, answer)
    said = ", ".join(better or ["nothing gained that you would notice"])
    said += f", but {', '.join(worse)}" if worse else ""
    if answer.levels is None:
        same = role.first in answer.tied_with(role.design)
        more = over_life(role.more["lifetime"], answer)
        said += f"; {'tied with number 1' if same else more}"
    return [f"Against number 1: {said}."]


def _over(answer: Answer) -> str:
    return f"over {batches(worth_of(answer.basis))}"


def ladder_text(answer: Answer) -> list[str]:
    """What more money buys in minutes, and what costs nothing."""
    said = []
    if len(answer.ladder) > 1:
        currency, first = answer.basis.brewhouse.stock.currency, answer.ladder[0]
        steps = [f"{about(first.chill_time)} for {money(first.cost, currency)}"]
        steps += [f"{round(s.chill_time / 60.0)} for {figure(s.cost)}" for s in answer.ladder[1:]]
        before, behind = _asks_more(answer)
        told = zip(before, map("".join, zip(steps, behind, strict=True)), strict=True)
        said += [f"{more}{', '.join(text for _, text in of)}" for more, of in groupby(told, itemgetter(0))]
    p = answer.designs[0].prediction if answer.designs else None
    if p is not None and p.steady is not None and p.chill_time and p.steady < HELPS * p.chill_time:
        nothing = ", for nothing" if said else ""
        said.append(f"keep stirring{nothing}: {about(p.told_steady)}")
    return ["; ".join(said)] if said else []


def _asks_more(answer: Answer) -> tuple[list[str], list[str]]:
    """Before and behind each step of the ladder, what it asks for besides its money: harder work, before
    those from where on all are in a harder band than the first; what a quicker step that is no dearer lost to
    the first by."""
    mine = answer.designs[0]
    own = bisect(BAND_LIMITS, mine.difficulty)
    harder = [bisect(BAND_LIMITS, step.difficulty) > own for step in answer.ladder]
    all_from = max((place + 1 for place, is_harder in enumerate(harder) if not is_harder), default=0)
    said = ["" if place < all_from else "harder to build: " for place in range(len(harder))]
    behind = [
        " (harder to build)" if is_harder and not before else ""
        for is_harder, before in zip(harder, said, strict=True)
    ]
    for place, step in enumerate(answer.ladder):
        as_quick = round(step.chill_time / 60.0) <= round(mine.told["chill_time"] / 60.0)
        if step.cost <= mine.bill.total and as_quick and step.id != mine.id and not harder[place]:
            said[place] = "with more work: " if step.difficulty > mine.difficulty else "with more water: "
    return said, behind


def a_little_more_text(answer: Answer, most: int | None = 2) -> list[str]:
    """What a little more of a limit would let in, where that is much better."""
    return [_let_in(more, answer) for more in answer.a_little_more[:most]]


def beyond_is_a_sample(answer: Answer, *, full: bool) -> list[str]:
    """What stands behind it, where something is told, or might have been."""
    if answer.a_little_more:
        return [
            "Found in a sample of all coils: a smaller step, or a better coil for this one, may be there."
        ]
    limits = answer.basis.brewhouse.limits
    stated = (limits.chill_time, limits.budget, limits.water, limits.difficulty)
    if not full or answer.levels is not None or all(limit is None for limit in stated):
        return []
    return [
        "In a sample of all coils nothing just past one of your limits is much better; not all were tried."
    ]


def _let_in(more: ALittleMore, answer: Answer) -> str:
    basis, then = answer.basis, more.then
    currency = basis.brewhouse.stock.currency
    what = f"{build_words.short(then, basis.brewhouse.units)}, {about(then.told['chill_time'])}"
    file = ", ".join(to_write((more.step,), basis))
    told = f"{sentence(limit_words.advice(more.step, basis)).rstrip('.')}: {what}, "
    return f"{told}{money(then.bill.total, currency)}; {over_life(-more.saves, answer)}. Write {file}."


def habit_text(answer: Answer) -> list[str]:
    """What a valve further shut does to number 1, where somebody may want it."""
    habit = answer.habit
    if habit is None:
        return []
    less = show(habit.water_saved, "volume", answer.basis.brewhouse.units)
    time = about(habit.design.told["chill_time"])
    life = "" if answer.levels is not None else f", {over_life(-habit.saves, answer)}"
    return [f"Valve {build_words.valve(habit.design.valve_share)}: {time}, {less} less a batch{life}."]


def less_ice_text(answer: Answer) -> list[str]:
    """That the plan puts in more ice than its minutes are worth."""
    found, u = answer.less_ice, answer.basis.brewhouse.units
    if found is None:
        return []
    ice, had = (show(amount, "mass", u) for amount in (found.ice, found.had))
    life = over_life(-found.saves, answer)
    return [f"{ice} instead of {had} in stage {found.stage}: {about(found.time)}, {life}{_lasts(found)}."]


def _lasts(found: LessIce) -> str:
    """How often less ice lasts to the end, where that is not as good as always."""
    if found.lasts >= ranges.SURE:
        return ""
    then, now = ranges.batches(found.lasts), ranges.batches(found.lasts_now).removesuffix(" batches")
    beside = "" if then == f"{now} batches" else f", {now} now"
    if found.lasts_now >= ranges.SURE:  # nine of ten would be too few
        beside = ", surely now"
    return f"; it lasts to the end in {then}{beside} ({LIMITS['ice'].gone})"


def flips_text(answer: Answer) -> list[str]:
    """What would have to be otherwise for another coil to come first, nearest first."""
    return [sentence(flip_text(flip, answer)) for flip in answer.flips]


def flip_text(flip: Flip, answer: Answer) -> str:
    """What would turn the choice, and who comes first then, in one sentence."""
    why = ", for number 1 is then past your budget" if flip.past_budget else ""
    return f"{when_text(flip, answer)}, {_who(flip, answer)} is clearly ahead{why}"


def when_text(flip: Flip, answer: Answer) -> str:
    """What would have to be otherwise."""
    change, currency = flip.change, answer.basis.brewhouse.stock.currency
    side = "or more" if change.to > change.now else "or less"
    price = money(change.to, currency, 0 if change.to >= 10.0 else 2)
    roll = roll_words.own_roll(answer.designs[0], answer.basis.brewhouse.units)
    return {
        "batches": f"for {change.to:.0f} {'batch' if change.to == 1.0 else 'batches'} "
        f"{'or more' if change.to > change.now else 'or fewer'}",
        "hour": f"if an hour is worth {price} {side}",
        "water_price": f"with water at {price} per m3 {side}",
        "price": f"with number 1's {roll} at {price} {side}",
        "coils_wound": "once you have wound a coil",
    }[change.key]


def _who(flip: Flip, answer: Answer) -> str:
    """The other coil: by its number where it has one, else by what it is, and by what tells it from the first
    where that reads the same."""
    g = flip.then
    rank = next((d.rank for d in answer.designs if d.id == g.id), None)
    if rank is not None:
        return f"number {rank}"
    u, first = answer.basis.brewhouse.units, answer.designs[0]
    mine, its = (build_words.kind(x.bought, x.layout, u) for x in (first, g))
    return its if its != mine else f"{its}, {_apart_from(first, g, u)},"


def _apart_from(first: Design, g: Glance, units: str) -> str:
    """What a person sees first of a coil of the same kind as number 1 that is otherwise."""
    tells: tuple[Callable[[Design | Glance], str], ...] = (
        lambda x: f"{show(x.bought[0].wall, 'wall', units)} wall",
        lambda x: roll_words.temper(x.bought[0]),
        lambda x: f"{turns(x.turns)} turns",
        lambda x: f"{by_hand.rough(x.across, units)} across",
        lambda x: f"roll {shown(x.bought[0].stock_id)}",
    )
    return next((tell(g) for tell in tells if tell(g) != tell(first)), f"coil {g.id}")
