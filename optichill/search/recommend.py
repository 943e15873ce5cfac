"""The whole answer to "what shall I build": the shortlist, or the ways out when nothing fits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from importlib import import_module
from threading import Thread

import numpy as np

from optichill.problem.basis import Setting
from optichill.rating import change_over
from optichill.rating.prediction import FINE
from optichill.rating.remedies import Way, too_warm
from optichill.search import change_overs
from optichill.search.change_overs import PROBES
from optichill.search.conflicts import Conflicts, Relaxation, conflicts
from optichill.search.designs import Design, designs
from optichill.search.enumeration import KEPT_SLOW, Outcome, enumerate_space, rows_that_fit
from optichill.search.evaluate import chilled, coils, rows
from optichill.search.front import Front
from optichill.search.ranking import Levels, levels, shortlist
from optichill.search.space import Space, space
from optichill.thermal.batch import Mixing


@dataclass(frozen=True)
class WayOut:
    """A relaxation with the design that it opens."""

    relaxation: Relaxation
    design: Design


@dataclass(frozen=True)
class Answer:
    """What `recommend` found. designs is empty when nothing fits; then conflicts and ways_out say why, and
    stirred is a build that would hold every limit if the wort were kept moving, where there is one; too_warm
    holds the ways out where the tap cannot reach the target."""

    setting: Setting
    enumerated: int
    feasible: int
    front: int
    designs: tuple[Design, ...]
    levels: Levels | None
    conflicts: Conflicts | None
    ways_out: tuple[WayOut, ...]
    stirred: Design | None = None
    too_warm: tuple[Way, ...] = ()


@dataclass(frozen=True)
class Found:
    """What a search left: its outcome, and the front worked out finely with the levels that rank it; None
    where nothing fits."""

    outcome: Outcome
    front: Front | None
    levels: Levels | None


def recommend(setting: Setting, *, top: int = 5, tube: str | None = None, form: str | None = None) -> Answer:
    """Search everything and work out the `top` best distinct builds."""
    return answer_of(look(setting, tube=tube, form=form), top=top)


def look(setting: Setting, *, tube: str | None = None, form: str | None = None) -> Found:
    """Search everything. tube, form : stock_id or form_id to keep to one."""
    # Loading scipy's solver takes nearly as long as a search: it is done beside it, for the march at the end.
    Thread(target=import_module, args=("scipy.integrate",), daemon=True).start()
    everything = space(setting, tube=tube, form=form)
    scenario = None
    if setting.switch is not None:
        scenario = setting.switched(change_overs.for_the_search(everything))
    outcome = enumerate_space(everything, scenario)
    if not outcome.feasible:
        return Found(outcome, None, None)
    front = _refined(everything, outcome.front)
    by = levels(setting.brewhouse.wishes, cheapest=outcome.cheapest, wort_volume=setting.hot_volume)
    return Found(outcome, front, by)


def answer_of(found: Found, *, top: int = 5) -> Answer:
    """The `top` best distinct builds, or the ways out when nothing fits."""
    outcome, front, by = found.outcome, found.front, found.levels
    everything, setting = outcome.space, outcome.space.setting
    if front is None or by is None:
        return _nothing_fits(setting, outcome)
    choice = shortlist(everything, front, by, top)
    best = designs(everything, front.number[choice.entry], by, choice.near_variants, march=True)
    return Answer(setting, outcome.enumerated, outcome.feasible, len(front), best, by, None, ())


def _refined(everything: Space, front: Front) -> Front:
    """The front computed finely; designs that broke a limit only by the search's coarseness are dropped."""
    r = rows(everything, front.number)
    scenario = everything.setting.scenario
    if everything.setting.switch is not None:
        found = change_overs.of_rows(everything, front.number)
        scenario = everything.setting.switched(change_over.settled(everything.setting, found))
    result, checks = chilled(everything, r, np.arange(len(r)), FINE, scenario)
    goals = np.stack([result.time, r.cost, result.water, r.difficulty], axis=1)
    holds = ~checks.broken().any(axis=0)
    if not holds.any():
        return front
    return replace(front, goals=goals).take(np.flatnonzero(holds))


def _nothing_fits(setting: Setting, outcome: Outcome) -> Answer:
    found = conflicts(outcome)
    numbers = np.array([r.number for r in found.relaxations], dtype=np.intp)
    opened = designs(outcome.space, numbers, None, np.zeros(numbers.size, np.intp)) if numbers.size else ()
    ways = tuple(WayOut(r, d) for r, d in zip(found.relaxations, opened, strict=True))
    warm = _too_warm(outcome) if any("target" in names for names in found.sets) else ()
    return Answer(setting, outcome.enumerated, 0, 0, (), None, found, ways, _if_stirred(outcome), warm)


def _too_warm(outcome: Outcome) -> tuple[Way, ...]:
    """The ways out of a warm tap, for the quickest of some coils that could be built."""
    everything = outcome.space
    fit = rows_that_fit(everything, PROBES)
    if not fit.size:
        return ()
    r = rows(everything, fit)
    single = np.flatnonzero(~r.shape.on_tees)
    if not single.size:
        return ()
    return too_warm(everything.setting, coils(everything, r, single))


def _if_stirred(outcome: Outcome) -> Design | None:
    """The cheapest build among those that only miss by the chill, if steady stirring mends that.

    A habit beats copper; it is looked for among the nearest misses of each kind, so it costs little.
    """
    everything = outcome.space
    if everything.setting.brewhouse.wort.mixing not in ("left alone", "now and then"):
        return None
    steady = replace(outcome.scenario or everything.setting.scenario, mixing=Mixing.of("steady"))
    for pattern in outcome.slow.patterns():
        r = rows(everything, outcome.slow.nearest_first(pattern)[:KEPT_SLOW])
        _, checks = chilled(everything, r, np.arange(len(r)), scenario=steady)
        holds = np.flatnonzero(~checks.broken().any(axis=0))
        if holds.size:
            best = holds[np.lexsort((r.number[holds], r.cost[holds]))[0]]
            return designs(everything, r.number[[best]], None, np.zeros(1, np.intp))[0]
    return None
