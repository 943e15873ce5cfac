"""Why this one: the margin to the next, what would turn it, and the limit that binds."""

from __future__ import annotations

import numpy as np

from optichill.display import trim
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.report.choice import apart, flip_text, over_life
from optichill.report.naming import names
from optichill.report.words import limit_words, roll_words
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.ranking import achievements

MOST_FLIPS = 2
"""What would have to be otherwise, the nearest of it."""

SHADE = 0.5
"""Hours of work from which on they are told as such."""

_BINDING = 0.05
"""A limit met with less than this share to spare is worth a word."""


def because(answer: Answer) -> list[str]:
    """The reasons beside the recommendation, the deciding one first."""
    best = answer.designs[0]
    said = []
    if len(answer.designs) > 1:
        said.append(_against(best, answer.designs[1], answer))
    else:
        held = all(line.holds for line in best.limits)
        said.append(
            f"of all that {'holds' if held else 'comes within a hair of'} your limits nothing else is better "
            "in anything you would notice"
        )
    said += [flip_text(flip, answer) for flip in answer.flips[:MOST_FLIPS]]
    said += _binding(best, answer)
    return said + _held_back(answer)


def _held_back(answer: Answer) -> list[str]:
    """The limit that rules out most of the quicker coils, and what to do about it."""
    found = answer.held_back
    if found is None:
        return []
    limit, line = LIMITS[found.limit], next(x for x in answer.designs[0].limits if x.name == found.limit)
    bound = limit_words.limit_value(limit, line.limit, answer.basis, enough=False)
    return [f"{limit.words}, {bound}, rules out {_most(found.share)} quicker coils: {limit.held_back}"]


def _most(share: float) -> str:
    """A share above one half that rests on a sample, in words."""
    return "nearly all" if share > 0.9 else "most"


def _against(best: Design, other: Design, answer: Answer) -> str:
    worse, better = apart(best, other, answer)
    units = answer.basis.brewhouse.units
    text = f"number {other.rank} ({names((other, best), units)[0]}) is "
    text += ", ".join(worse or _hardly_worse(best, other, answer))
    if better:
        text += f", but {', '.join(better)}"
    return f"{text}; {_by_how_much(best, other, answer)}"


def _hardly_worse(best: Design, other: Design, answer: Answer) -> list[str]:
    """What puts the other behind where no page shows a difference."""
    if answer.levels is not None:
        return ["no worse in anything you would notice"]
    more = {name: float(part - best.life.parts[name]) for name, part in other.life.parts.items()}
    most = max(more, key=lambda name: more[name])
    hour = worth_of(answer.basis).hour
    hours = more[most] / hour if most == "work" and hour > 0.0 else 0.0
    if hours >= SHADE:
        return [f"{trim(round(2.0 * hours) / 2.0)} h more work"]
    return [f"a shade {_SHADE[most]}"]


def _by_how_much(best: Design, other: Design, answer: Answer) -> str:
    """How far apart the two are, in what ranks them."""
    if answer.levels is not None:
        return f"what decides is {deciding(best, other, answer)}"
    if other in answer.tied_with(best):
        return "tied, to a minute a batch: take the one you can get or wind"
    return over_life(float(other.life.total - best.life.total), answer)


def deciding(best: Design, other: Design, answer: Answer) -> str:
    """On what the other falls furthest behind: in money over the coil's life, or weighed by stated levels."""
    if answer.levels is not None:
        by = answer.levels
        goals = np.array([list(best.goals.values()), list(other.goals.values())])
        lead = (by.weight * achievements(goals, by))[0] - (by.weight * achievements(goals, by))[1]
        return ("time", "cost", "water", "work")[int(lead.argmax())]
    mine, theirs = best.life.parts, other.life.parts
    return _PARTS[max(_PARTS, key=lambda part: float(theirs[part] - mine[part]))]


_SHADE = {
    "build": "dearer",
    "waiting": "slower",
    "water": "thirstier",
    "ice": "hungrier for ice",
    "work": "harder to build",
    "spoiling": "likelier to spoil its roll",
}


_PARTS = {
    "build": "what it costs to build",
    "waiting": "time",
    "water": "water",
    "ice": "ice",
    "work": "work",
    "spoiling": "the chance to spoil a roll",
}


def _binding(best: Design, answer: Answer) -> list[str]:
    said = []
    for line in best.limits:
        limit = LIMITS[line.name]
        if limit.stated and line.margin < _BINDING * line.limit:
            value, bound = (
                limit_words.limit_value(limit, x, answer.basis, enough=False)
                for x in (line.value, line.limit)
            )
            if line.name == "chill_time":  # held by what that share of batches takes, not by the likely run
                value = f"{value} {10.0 * answer.basis.brewhouse.limits.sure:.3g} times in 10"
            just = f"it just holds {limit.words}, {bound}"
            said.append(just if value == bound else f"it comes near {limit.words}: {value}, allowed {bound}")
        if line.name == "stock_length" and line.margin < 0.3:
            roll = roll_words.own_roll(best, answer.basis.brewhouse.units)
            said.append(f"it uses {'the' if roll == 'roll' else 'its'} {roll} up, with half a turn to spare")
    return said
