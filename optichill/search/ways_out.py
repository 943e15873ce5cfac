"""What helps when nothing fits: steps of limits with the best coil that each opens, another habit, ice, less
wort, another form; every one of them worked out in full."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from optichill.arrays import Array, Index
from optichill.model.stirring import Stirring
from optichill.problem.basis import DesignBasis
from optichill.problem.limits import LIMITS
from optichill.rating.another_order import ice_behind
from optichill.rating.floor import shortest_time
from optichill.rating.remedies import Remedy, obeyed, on_the_tap_alone, that_lead_there, warm_tap_remedies
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.close_calls import kept
from optichill.search.conflicts import Conflicts, Relaxation, Step, conflicts
from optichill.search.designs import Design, as_coil, designs
from optichill.search.done_otherwise import DoneOtherwise, done_otherwise
from optichill.search.enumeration import CHUNK, Enumeration
from optichill.search.evaluate import Rows, chill_of, chilled, coils, rows
from optichill.search.instead import Instead, instead
from optichill.search.pilots import with_sureness
from optichill.search.space import Space
from optichill.search.what_opens import HARDLY_LARGER, as_told, further_by, within
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import ROUGH, SEARCH, Numerics
from optichill.thermal.cooldown import LONGEST, Chill

TOY = 2.0
"""A coil that takes so many times as long as what a little larger step opens is no way out of its own."""

HOURS = 3.0
"""Times what was asked for, past which a chill is no answer where another way is open."""

FEW, AT_ONCE = 64, 16
"""Coils, quickest by a rough idea or cheapest, that are looked at closely; so many in all draws at once."""


@dataclass(frozen=True)
class OpenedDesign:
    """A relaxation with the best design that it opens, as it is told. further : what a little larger step of
    the same limits opens, where that is much better. least : the steps as far as the coil asks that they
    open first, where that is another."""

    relaxation: Relaxation
    design: Design
    further: OpenedDesign | None = None
    least: tuple[Step, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps as far as both the search and the finer working out of the design ask; of the time what
        the design keeps over all draws, of which the search has only an idea."""
        asked = {line.name: line.value for line in self.design.limits}
        steps = self.relaxation.steps
        return tuple(
            replace(s, to=_as_far(s, asked.get(s.limit, s.to), together=len(steps) > 1)) for s in steps
        )

    @property
    def asked(self) -> tuple[Step, ...]:
        """The steps that go further than what is allowed: of several at once the design may need fewer."""
        return tuple(s for s in self.steps if _further(s))

    @property
    def is_passed(self) -> bool:
        """Whether nobody would stop here: for hardly more there is a coil that costs much less over its life,
        or for a little more one that is so much quicker."""
        if self.further is None:
            return False
        hardly = all(
            within(s.limit, np.asarray(more.to), further_by(HARDLY_LARGER, s.limit, s.now, s.to))
            for s, more in zip(self.steps, self.further.steps, strict=True)
        )
        return hardly or time_of(self.design) > TOY * time_of(self.further.design)

    @property
    def taken(self) -> OpenedDesign:
        """The step that a sensible person takes: this one, or the larger one for which it is passed."""
        return self.further.taken if self.further is not None and self.is_passed else self


def time_of(design: Design) -> float:
    """Chill time [s], without end where it does not come to the target."""
    return np.inf if design.prediction.chill_time is None else design.prediction.chill_time


def _further(step: Step) -> bool:
    """Whether a step asks for more than what is allowed."""
    return step.to < step.now if LIMITS[step.limit].at_least else step.to > step.now


def _as_far(step: Step, asked: float, *, together: bool) -> float:
    if step.limit == "chill_time" or (together and not LIMITS[step.limit].of_chill):
        return asked  # of several limits moved at once, no further than the design asks
    return (min if LIMITS[step.limit].at_least else max)(step.to, asked)


@dataclass(frozen=True)
class WaysOut:
    """conflicts : what stands in the way. opened : steps with what they open, the least lifetime cost first;
    done_otherwise : habits and ways to stand that open something, no limit moved; the rest as `Answer` has
    it."""

    conflicts: Conflicts
    opened: tuple[OpenedDesign, ...]
    stirred: Design | None
    quickest: Design | None
    warm_tap_remedies: tuple[Remedy, ...]
    shortest: float | None
    instead: tuple[Instead, ...]
    ice_behind: Remedy | None
    done_otherwise: tuple[DoneOtherwise, ...] = ()


def what_helps(enumeration: Enumeration) -> WaysOut:
    """From an outcome without a feasible design."""
    searched, basis = conflicts(enumeration), enumeration.space.basis
    quickest, remedies = None, tuple[Remedy, ...]()
    # With other limits in play it is they that keep the wort from its target: a valve closed to save water.
    if any(set(names) == {"target"} for names in searched.sets):
        quickest, remedies = _too_warm(enumeration, searched.wide)
    opened, shortest = _opened(searched), _too_short(basis)
    stirred = _if_stirred(enumeration)
    otherwise = done_otherwise(enumeration, searched) if shortest is None else ()
    if stirred is not None:  # that is told by itself
        otherwise = tuple(way for way in otherwise if way.kind != "stir")
    return WaysOut(
        searched,
        opened,
        stirred,
        quickest,
        remedies,
        shortest,
        instead(searched.wide, {step.limit for step in searched.misfits}),
        None if shortest is None else _ice_behind(basis, opened),
        otherwise,
    )


def slow_of(opened: tuple[OpenedDesign, ...]) -> Design | None:
    """The coil for which more time must be allowed: the first that such a step opens."""
    slow = [way.taken for way in opened if any(s.limit == "chill_time" for s in way.steps)]
    return slow[0].design if slow else None


def _ice_behind(basis: DesignBasis, opened: tuple[OpenedDesign, ...]) -> Remedy | None:
    """Another order of cooling, with what that coil takes in it."""
    slow, asked = slow_of(opened), basis.brewhouse.limits.chill_time
    if slow is None or asked is None:
        return None
    return ice_behind(basis, asked, as_coil(slow), slow.told["chill_time"])


def _opened(searched: Conflicts) -> tuple[OpenedDesign, ...]:
    """Every step with the best that it opens, in order of lifetime cost; no chill of hours where one of
    minutes is open."""
    everything, ways = searched.wide.space, searched.relaxations
    numbers = sorted({n for way in ways for n in (way.number, *way.best, *chain(*way.further))})
    if not numbers:
        return ()
    which = np.array(numbers, dtype=np.intp)
    made = dict(zip(numbers, designs(everything, which, None, np.zeros(which.size, np.intp)), strict=True))
    units = everything.basis.brewhouse.units
    found = [way for r in ways if (way := _best_opened(r, made, units)) is not None]
    asked = everything.basis.brewhouse.limits.chill_time
    if asked is not None:
        found = [way for way in found if time_of(way.taken.design) <= HOURS * asked] or found
    found = [way for way in found if way.asked and way.taken.asked]  # else it is no way out of anything
    return tuple(sorted(found, key=lambda way: float(way.taken.design.life.total)))


def _best_opened(way: Relaxation, made: dict[int, Design], units: str) -> OpenedDesign | None:
    """The smallest step with the best that it opens, in all draws."""
    open_ = [OpenedDesign(way, made[n]) for n in dict.fromkeys((way.number, *way.best))]
    open_ = [o for o in open_ if _opens(way, o.design)]
    if not open_:
        return None
    # What the first asks for in full is the step; what asks for more than that, as told, is another.
    told = {s.limit: as_told(s.limit, s.now, s.to, units) for s in open_[0].steps}
    open_ = [o for o in open_ if all(_no_further(s, told[s.limit]) for s in o.steps)]
    # The search and the coil's own draws must both let it pass.
    least = tuple(
        replace(s, to=(min if LIMITS[s.limit].at_least else max)(s.to, its.to))
        for s, its in zip(way.steps, open_[0].steps, strict=True)
    )
    best = replace(min(open_, key=lambda o: float(o.design.life.total)), least=least)
    further: OpenedDesign | None = None
    for numbers in reversed(way.further):
        more = [made[n] for n in numbers if _opens(way, made[n])]
        if more:
            design = min(more, key=lambda d: float(d.life.total))
            further = OpenedDesign(_as_asked(way, design), design, further)
    return replace(best, further=further)


def _as_asked(way: Relaxation, design: Design) -> Relaxation:
    """The steps as far as a design asks."""
    asked, together = {line.name: line.value for line in design.limits}, len(way.steps) > 1
    steps = tuple(replace(s, to=_as_far(s, asked[s.limit], together=together)) for s in way.steps)
    return replace(way, steps=steps, further=())


def _no_further(step: Step, bound: float) -> bool:
    hair = 1e-9 * max(abs(bound), 0.01)
    return step.to >= bound - hair if LIMITS[step.limit].at_least else step.to <= bound + hair


def _opens(relaxation: Relaxation, opened: Design) -> bool:
    """Whether the design, worked out in full, reaches the target and breaks nothing but the limits moved."""
    moved = {step.limit for step in relaxation.steps}
    broken = {line.name for line in opened.limits if not line.holds}
    # Past what is followed nobody knows when it gets there, and no limit may lie there.
    late = any(line.name == "chill_time" and line.value > LONGEST for line in opened.limits)
    return opened.prediction.chill_time is not None and broken <= moved and not late


def _too_short(basis: DesignBasis) -> float | None:
    """The least time that any coil could take, where less is asked for [s]."""
    asked = basis.brewhouse.limits.chill_time
    shortest = None if asked is None else shortest_time(basis)
    return shortest if asked is not None and shortest is not None and asked < shortest else None


def _too_warm(narrow: Enumeration, wide: Enumeration) -> tuple[Design | None, tuple[Remedy, ...]]:
    """The quickest coil that could be built, on the tap alone, and the ways out of a warm tap with it. It
    holds the brewer's limits where a coil does, else as many of them as one can."""
    everything = narrow.space if narrow.buildable else wide.space
    stop = on_the_tap_alone(everything.basis)
    number = quickest_row(everything, stop)
    if number is None:
        return None, ()
    r = rows(everything, np.array([number]))
    made = designs(everything, r.number, None, np.zeros(1, np.intp))[0]
    ways = warm_tap_remedies(everything.basis, coils(everything, r, np.zeros(1, np.intp)))
    broken = {line.name for line in made.limits if not line.holds}
    return made, tuple(replace(way, missed=_missed(everything, number, way, broken)) for way in ways)


def _missed(
    everything: Space, number: int, way: Remedy, broken: set[str]
) -> tuple[tuple[str, float, float], ...]:
    """What a row breaks of the brewer's limits once a way out of a warm tap is taken, which it does not now:
    a pump costs money, ice takes its time."""
    if way not in that_lead_there([way]):
        return ()
    taken = replace(everything, basis=obeyed(everything.basis, way))
    then = designs(taken, np.array([number]), None, np.zeros(1, np.intp))[0]
    stated = [line for line in then.limits if LIMITS[line.name].stated and line.name not in broken]
    return tuple((line.name, line.value, line.limit) for line in stated if not line.holds)


def quickest_row(everything: Space, scenario: Scenario) -> int | None:
    """Row number of the quickest coil, valve open, of those that break the fewest of the limits left open."""
    best: tuple[Array, Index, Array] = (np.empty(0), np.empty(0, np.intp), np.empty(0))
    for numbers in everything.chunks(CHUNK):
        r = rows(everything, numbers)
        keep = np.flatnonzero(~everything.barred(r.checks))
        broken = r.checks.broken().sum(axis=0)[keep]
        fewest = min([*broken.tolist(), *best[0][:1].tolist()], default=0)
        keep = keep[broken == fewest]
        if keep.size:
            time = _time(everything, r, keep, ROUGH, scenario)
            columns = (np.full(keep.size, float(fewest)), r.number[keep], time)
            count, number, time = (np.concatenate(c) for c in zip(best, columns, strict=True))
            first = np.lexsort((number, time, count))[:FEW]
            best = count[first], number[first], time[first]
    some = best[1][best[0] == best[0].min(initial=np.inf)]
    if not some.size:
        return None
    time = _time(everything, rows(everything, some), np.arange(some.size), SEARCH, scenario)
    return int(some[np.argmin(time)])


def _time(everything: Space, r: Rows, keep: Index, numerics: Numerics, scenario: Scenario) -> Array:
    return chill_of(everything, r, keep, numerics, scenario).time


def _if_stirred(enumeration: Enumeration) -> Design | None:
    """The cheapest build among those that only miss by the chill, if steady stirring mends that.

    A habit beats copper; it is looked for among the nearest misses of each kind, so it costs little.
    """
    everything = enumeration.space
    basis = everything.basis
    if basis.scenario.mixing.share == 1.0:
        return None
    steady = replace(enumeration.scenario or basis.scenario, mixing=basis.brewhouse.wort.all_along)
    # What keeping a time with its chance costs is another thing in wort that is stirred.
    stirred = with_sureness(replace(everything, basis=stirred_all_along(basis)), steady)
    for pattern in enumeration.slow.patterns():
        r = rows(stirred, enumeration.slow.nearest_first(pattern))
        result, checks = chilled(stirred, r, np.arange(len(r)), scenario=steady)
        holds = np.flatnonzero(~checks.broken().any(axis=0))
        holds = holds[np.lexsort((r.number[holds], r.cost[holds]))]
        best = _surely_in_time(stirred, r.number[holds], result.take(holds))
        if best is not None:
            return designs(everything, np.array([best]), None, np.zeros(1, np.intp))[0]
    return None


def _surely_in_time(stirred: Space, numbers: Index, result: Chill) -> int | None:
    """The first of these rows that keeps the limit on time with its chance over all draws; result : its
    chill."""
    within = stirred.basis.brewhouse.limits.chill_time
    if within is None:
        return int(numbers[0]) if numbers.size else None
    for start in range(0, min(numbers.size, FEW), AT_ONCE):
        here = np.arange(start, min(start + AT_ONCE, numbers.size))
        r, every = rows(stirred, numbers[here]), np.arange(here.size)
        keeps = kept(stirred, r, result.take(here), every, plan_of_rows(stirred, r.number)) <= within
        if keeps.any():
            return int(r.number[keeps.argmax()])
    return None


def stirred_all_along(basis: DesignBasis) -> DesignBasis:
    """The same kettle, stirred as it is said to be, but all the time; steadily where a word says how."""
    wort = basis.brewhouse.wort
    mixing = wort.mixing.all_along if isinstance(wort.mixing, Stirring) else "steady"
    return basis.restated(
        basis.brewhouse.model_copy(update={"wort": wort.model_copy(update={"mixing": mixing})})
    )
