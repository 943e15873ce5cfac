"""The whole answer to "what shall I build": the shortlist, or the ways out when nothing fits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Index, Mask
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.rating.likely import Samples
from optichill.rating.prediction import FINE
from optichill.search import change_over_of_rows
from optichill.search.a_little_more import a_little_more
from optichill.search.answer import Answer
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.close_calls import second_look, settled_by_draws, with_sureness_to_spare
from optichill.search.designs import designs
from optichill.search.enumeration import Enumeration, Tell
from optichill.search.evaluate import chill_of, chilled, rows
from optichill.search.flips import flips
from optichill.search.form_advice import form_advice
from optichill.search.front import Front
from optichill.search.glance import Weighed
from optichill.search.habit import further_shut, habit_of
from optichill.search.held_back import held_back
from optichill.search.ids import coil_of
from optichill.search.ladder import ladder
from optichill.search.less_ice import less_ice
from optichill.search.lifetime import lifetime_of
from optichill.search.measurements import Measurement, measurements
from optichill.search.piece_by_piece import search_all
from optichill.search.pilots import with_sureness
from optichill.search.ranking import Levels, Ranking, levels, points_of, shortlist
from optichill.search.regret import in_question, regrets
from optichill.search.roles import holders, roles_of
from optichill.search.sampled import samples_of_many
from optichill.search.space import Space, space
from optichill.search.ways_out import what_helps


@dataclass(frozen=True)
class SearchResult:
    """What a search left: its outcome, and the front worked out finely, with all its draws and what ranks it;
    None where nothing fits."""

    enumeration: Enumeration
    front: Front | None
    samples: Samples | None
    ranking: Ranking | None


def recommend(
    basis: DesignBasis, *, top: int = 5, tube: str | None = None, form: str | None = None
) -> Answer:
    """Search everything and work out the `top` best distinct builds."""
    return recommendation_of(search_space(basis, tube=tube, form=form), top=top)


def search_space(
    basis: DesignBasis, *, tube: str | None = None, form: str | None = None, tell: Tell | None = None
) -> SearchResult:
    """Search everything. tube, form : stock_id or form_id to keep to one; tell : hears how far it is."""
    everything = space(basis, tube=tube, form=form)
    scenario = None
    if basis.switch is not None:
        scenario = basis.with_change_over(change_over_of_rows.for_the_search(everything))
    asked = with_sureness(everything, scenario or basis.scenario)
    enumeration = search_all(asked, scenario, tell)
    front = _refined(enumeration.space, enumeration.best)
    while enumeration.feasible and not len(front):
        # All that seemed to keep their time by a hair do not: let only those seem to that surely do.
        asked = with_sureness_to_spare(asked)
        enumeration = search_all(asked, scenario)
        front = _refined(enumeration.space, enumeration.best)
    if not enumeration.feasible:
        second_look(enumeration)
        front = enumeration.front
    return _weighed(enumeration, front)


def finished(enumeration: Enumeration) -> SearchResult:
    """What a pass found, worked out finely and weighed."""
    return _weighed(enumeration, _refined(enumeration.space, enumeration.best))


def with_front(enumeration: Enumeration, front: Front) -> SearchResult:
    """What a pass found, with a front of its own that is worked out finely."""
    return _weighed(enumeration, front)


def _weighed(enumeration: Enumeration, front: Front) -> SearchResult:
    if not len(front):
        return SearchResult(enumeration, None, None, None)
    basis = enumeration.space.basis
    by = levels(basis.brewhouse.wishes, cheapest=enumeration.cheapest, wort_volume=basis.hot_volume)
    return SearchResult(enumeration, front, *_ranked(enumeration.space, front, by))


def recommendation_of(searched: SearchResult, *, top: int = 5) -> Answer:
    """The `top` best distinct builds, and those that have a role; or the ways out when nothing fits."""
    enumeration, front, ranking = searched.enumeration, searched.front, searched.ranking
    everything, basis = enumeration.space, enumeration.space.basis
    if front is None or ranking is None or searched.samples is None:
        return _nothing_fits(basis, enumeration)
    cover = shortlist(front, ranking, len(front), everything.explored(front.number))
    weighed = Weighed(everything, front, searched.samples, ranking, cover.entry)
    worth = worth_of(basis)
    held = holders(weighed, worth)
    shown = sorted({*range(min(top, cover.entry.size)), *held.values()})
    numbers, near = front.number[cover.entry[shown]], cover.near_variants[shown]
    first = int(numbers[0])
    shut = further_shut(everything, first)
    built = designs(
        everything, np.append(numbers, shut), ranking.levels, np.append(near, 0 * shut), march=True
    )
    best, twins = built[: numbers.size], built[numbers.size :]
    told = {d.id: d for d in best}
    rivals = in_question(everything, front, searched.samples, ranking, cover.entry[shown])
    return Answer(
        basis,
        enumeration.enumerated,
        enumeration.feasible,
        len(front),
        best,
        ranking.levels,
        None,
        (),
        sample=everything.sample,
        held_back=held_back(enumeration, first),
        a_little_more=a_little_more(enumeration, best[0], first),
        form_advice=form_advice(enumeration, best[0], first),
        roles=roles_of(held, dict(zip(shown, best, strict=True))),
        flips=flips(weighed, told),
        ladder=ladder(weighed, told),
        habit=habit_of(best[0], twins),
        less_ice=less_ice(everything, first),
        regrets=regrets(rivals),
        measurements=_measurements(searched, cover.entry[:1]),
        coils=int(coil_of(weighed.rows).max()) + 1,
        left_out=everything.left_out,
        buildable=enumeration.worth_a_chill,
        excluded=enumeration.excluded,
    )


def _measurements(searched: SearchResult, first: Index) -> tuple[Measurement, ...]:
    """What can be measured, whatever number of builds is asked for."""
    front, drawn, ranking = searched.front, searched.samples, searched.ranking
    if front is None or drawn is None or ranking is None or ranking.levels is not None:
        return ()
    return measurements(in_question(searched.enumeration.space, front, drawn, ranking, first))


def _refined(everything: Space, front: Front) -> Front:
    """The front computed finely; designs that broke a limit only by the search's coarseness are dropped, and
    those that do not keep the limit on time with its chance."""
    if not len(front):
        return front
    r = rows(everything, front.number)
    scenario = plan_of_rows(everything, front.number)
    result, checks = chilled(everything, r, np.arange(len(r)), FINE, scenario)
    settled_by_draws(everything, r, result, checks, scenario)
    goals = np.stack([result.time, r.cost, result.water, r.difficulty], axis=1)
    holds = ~checks.broken().any(axis=0)
    if not holds.any():
        timed = checks.rows.get("chill_time")
        holds = np.ones(len(r), dtype=bool) if timed is None else ~timed.broken
    return replace(front, goals=goals).take(np.flatnonzero(holds))


def _ranked(everything: Space, front: Front, by: Levels | None) -> tuple[Samples, Ranking]:
    """The front in all draws, and weighed."""
    r = rows(everything, front.number)
    scenario = plan_of_rows(everything, front.number)
    drawn = samples_of_many(
        everything, r, chill_of(everything, r, np.arange(len(r)), FINE, scenario), scenario
    )
    life = lifetime_of(everything, r, drawn)
    likely = (drawn.quantile(name, 0.5) for name in ("time", "water"))
    seen = front.goals.copy()
    seen[:, [0, 2]] = np.stack([*likely], axis=1)
    free = most_open(everything, front.number)
    return drawn, Ranking(points_of(front.goals, life, by), free, seen, life, by)


def most_open(everything: Space, numbers: Index) -> Mask:
    """Which rows are as open as the limits let them: a coil is ranked and shown fully open, or as open as it
    may be. A valve further shut is a habit, not another coil."""
    settings = len(everything.valve_shares)
    setting = numbers % settings
    out = np.ones(numbers.size, dtype=bool)
    for more_open in range(settings - 1):  # a handful of settings
        some = np.flatnonzero(out & (setting > more_open))
        if some.size:
            twins = numbers[some] - setting[some] + more_open
            r = rows(everything, twins)
            _, checks = chilled(everything, r, np.arange(len(r)), FINE, plan_of_rows(everything, twins))
            r.checks.merge(checks)
            out[some] = r.checks.broken().any(axis=0)
    return out


def _nothing_fits(basis: DesignBasis, enumeration: Enumeration) -> Answer:
    out = what_helps(enumeration)
    return Answer(
        basis,
        enumeration.enumerated,
        0,
        0,
        (),
        None,
        out.conflicts,
        out.opened,
        out.conflicts.wide.space.sample,
        out.stirred,
        out.warm_tap_remedies,
        out.shortest,
        out.ice_behind,
        out.instead,
        quickest=out.quickest,
        done_otherwise=out.done_otherwise,
        left_out=enumeration.space.left_out,
    )
