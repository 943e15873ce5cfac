"""The whole answer to "what shall I build": the shortlist, or the ways out when nothing fits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.physics.march import march
from optichill.search.conflicts import Conflicts, Relaxation, conflicts
from optichill.search.design import FINE, Design, designs, known
from optichill.search.enumerate import CHUNK, Outcome, enumerate_space
from optichill.search.evaluate import chilled, coils, rows
from optichill.search.front import Front
from optichill.search.rank import Levels, levels, shortlist
from optichill.search.setting import Setting
from optichill.search.space import Index, Space, space


@dataclass(frozen=True)
class WayOut:
    """A relaxation with the design that it opens."""

    relaxation: Relaxation
    design: Design


@dataclass(frozen=True)
class Answer:
    """What `recommend` found. designs is empty when nothing fits; then conflicts and ways_out say why, and
    stirred is a build that would hold every limit if the wort were kept moving, where there is one."""

    setting: Setting
    enumerated: int
    feasible: int
    front: int
    designs: tuple[Design, ...]
    levels: Levels | None
    conflicts: Conflicts | None
    ways_out: tuple[WayOut, ...]
    stirred: Design | None = None


def recommend(setting: Setting, *, top: int = 5, tube: str | None = None, form: str | None = None) -> Answer:
    """Search everything and work out the `top` best distinct builds."""
    everything = space(setting, tube=tube, form=form)
    outcome = enumerate_space(everything)
    if not outcome.feasible:
        return _nothing_fits(setting, outcome)
    front = _refined(everything, outcome.front)
    by = levels(setting.brewhouse.wishes, cheapest=outcome.cheapest, wort_volume=setting.hot_volume)
    choice = shortlist(everything, front, by, top)
    numbers = front.number[choice.entry]
    found = _marched(everything, numbers, designs(everything, numbers, by, choice.near_variants))
    return Answer(setting, outcome.enumerated, outcome.feasible, len(front), found, by, None, ())


def _refined(everything: Space, front: Front) -> Front:
    """The front computed finely; designs that broke a limit only by the search's coarseness are dropped."""
    r = rows(everything, front.number)
    result, checks = chilled(everything, r, np.arange(len(r)), FINE)
    goals = np.stack([result.time, r.cost, result.water, r.difficulty], axis=1)
    holds = ~checks.broken().any(axis=0)
    if not holds.any():
        return front
    return replace(front, goals=goals).take(np.flatnonzero(holds))


def _nothing_fits(setting: Setting, outcome: Outcome) -> Answer:
    found = conflicts(outcome)
    numbers = np.array([r.number for r in found.relaxations], dtype=np.intp)
    opened = designs(outcome.space, numbers, None, np.zeros(numbers.size, np.intp))
    ways = tuple(WayOut(r, d) for r, d in zip(found.relaxations, opened, strict=True))
    stirred = _if_stirred(outcome)
    return Answer(setting, outcome.enumerated, 0, 0, (), None, found, ways, stirred)


def _if_stirred(outcome: Outcome) -> Design | None:
    """The cheapest build among those that only miss by the chill, if steady stirring mends that.

    A habit beats copper; it is looked for among the nearest misses of each kind, so it costs little.
    """
    everything = outcome.space
    if everything.setting.brewhouse.wort.mixing not in ("left alone", "now and then"):
        return None
    for pattern in outcome.slow.patterns():
        r = rows(everything, outcome.slow.nearest_first(pattern)[:CHUNK])
        steady = everything.setting.mixed("steady")
        _, checks = chilled(everything, r, np.arange(len(r)), scenario=steady)
        holds = np.flatnonzero(~checks.broken().any(axis=0))
        if holds.size:
            best = holds[np.lexsort((r.number[holds], r.cost[holds]))[0]]
            return designs(everything, r.number[[best]], None, np.zeros(1, np.intp))[0]
    return None


def _marched(everything: Space, numbers: Index, found: tuple[Design, ...]) -> tuple[Design, ...]:
    """The shortlist with the time of a march in time beside the quadrature's."""
    r = rows(everything, numbers)
    check = march(coils(everything, r, np.arange(len(r))), everything.setting.scenario, FINE, rtol=1e-5)
    return tuple(
        replace(d, prediction=replace(d.prediction, marched_time=known(time)))
        for d, time in zip(found, check.time, strict=True)
    )
