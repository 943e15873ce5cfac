"""A limit of the brewer's that keeps out by a little what would be much better: four more to spend and a coil
that chills in a fifth of the time. Found among rows that break that limit alone, each worked out in full.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.checks import Checks
from optichill.problem.worth import worth_of
from optichill.search.conflicts import Step
from optichill.search.designs import Design, designs
from optichill.search.enumeration import Enumeration
from optichill.search.evaluate import checks_of, rows
from optichill.search.held_back import Looked
from optichill.search.least import lifetime_by_medians
from optichill.search.space import Space
from optichill.search.what_opens import A_LITTLE_LARGER, MUCH_BETTER, as_told
from optichill.thermal.batch import Scenario

LOOKED_AT = 32_768
"""Rows looked at without a chill."""

CHILLED = 4096
"""Rows of them chilled that break one limit by a little, or none before they are."""

SET_UPS = 24
"""Set-ups of the best of the sample, of which every gap and number of turns is looked at."""

ROUGHLY = 0.7
"""Share of what is much better that must be seen before all draws have been looked at."""

A_FEELING = 0.02
"""Share of what number 1 costs over its life that is worth a word (OWN)."""

FINALISTS = 10
"""Rows that are worked out in full."""


@dataclass(frozen=True)
class ALittleMore:
    """A step of one limit that lets `then` in, which saves so much money over its life against number 1."""

    step: Step
    then: Design
    saves: float


def a_little_more(enumeration: Enumeration, first: Design, row: int) -> tuple[ALittleMore, ...]:
    """By limit, the smaller step first. first : number 1, of that row. Empty where levels rank."""
    space = enumeration.space
    if space.basis.brewhouse.wishes.states_levels or not space.limited:
        return ()
    scenario = enumeration.scenario or space.basis.scenario
    # Coils of one layer are few among all rows, and what most people build.
    single = np.flatnonzero(~space.setups.two(space.setup))
    some = np.union1d(space.spread(LOOKED_AT, single), space.spread(LOOKED_AT))
    near = _near_the_limits(space, some)
    seen, found = _Seen.of(space, Looked.at(space, near, scenario), scenario), []
    bar = float(
        _Seen.of(space, Looked.at(space, np.array([row]), scenario), scenario).life.min(initial=np.inf)
    )
    for name in sorted(space.limited & set(seen.bound)):
        # What lies between the rows of a sample may be better than they are.
        some = seen.let_in_by(name, bar)
        if some.size:
            setups = np.union1d(_of_the_best(space, seen, some), space.decode(np.array([row]))[0])
            close = Looked.at(space, space.all_of(setups), scenario)
            found += _in_full(space, name, _Seen.of(space, close, scenario), first, bar)
    return tuple(sorted(found, key=lambda more: (more.step.limit, more.saves)))


def _near_the_limits(space: Space, some: Index) -> Index:
    """Rows of some that break at most one of the brewer's limits, by a little, before they are chilled."""
    checks = rows(space, some).checks
    broken = checks.broken()
    near = broken.sum(axis=0) <= 1
    for name, row in zip(checks.names, broken, strict=True):
        check = checks.rows[name]
        near &= ~row | ((check.value <= A_LITTLE_LARGER * check.bound) & (name in space.limited))
    few: Index = some[near][_evenly(int(near.sum()), CHILLED)]
    return few


def _evenly(size: int, most: int) -> Index:
    """So many places of all, evenly spread."""
    places: Index = np.unique(np.linspace(0, size - 1, min(most, size)).astype(np.intp))
    return places


def _of_the_best(space: Space, seen: _Seen, some: Index) -> Index:
    """The set-ups of the best of some rows."""
    best = some[np.argsort(seen.life[some], kind="stable")]
    setups, place = np.unique(space.decode(seen.number[best])[0], return_index=True)
    return np.asarray(setups[np.argsort(place, kind="stable")][:SET_UPS])


def _in_full(space: Space, name: str, seen: _Seen, first: Design, bar: float) -> list[ALittleMore]:
    """The steps of one limit that are worth a word. bar : cost over number 1's life as `seen` reckons it."""
    minute, value = worth_of(space.basis).minute, seen.value[name]
    # Where waiting is worth nothing, still what a purse can feel.
    much = max(MUCH_BETTER * minute, A_FEELING * bar)
    some = seen.let_in_by(name, bar - ROUGHLY * much)
    if not some.size:
        return []
    now, units = seen.bound[name], space.basis.brewhouse.units
    # The least step that opens something much better, and the least that gains nearly all there is to gain.
    enough = (bar - much, float(seen.life[some].min()) + minute)
    steps = {
        as_told(name, now, float(value[good].min()), units)
        for life in enough
        if (good := some[seen.life[some] <= life]).size
    }
    found: list[ALittleMore] = []
    for to in sorted(steps):
        let_in = some[value[some] <= to]
        best = let_in[np.argsort(seen.life[let_in], kind="stable")][:FINALISTS]
        made = designs(space, seen.number[best], None, np.zeros(best.size, np.intp))
        then = min(
            (d for d in made if _breaks_alone(d, name, to)), key=lambda d: float(d.life.total), default=None
        )
        saves = 0.0 if then is None else float(first.life.total - then.life.total)
        before = found[-1].saves if found else 0.0
        if then is not None and saves - before >= much:
            found.append(ALittleMore(Step(name, now, to), then, saves))
    return found


def _breaks_alone(design: Design, name: str, to: float) -> bool:
    """Whether it breaks nothing but one limit, and that by no more than is told."""
    broken = [line for line in design.limits if not line.holds]
    return [line.name for line in broken] == [name] and broken[0].value <= to


@dataclass(frozen=True)
class _Seen:
    """Rows by a rough chill: shape (rows,); value : of each limit, and the one that alone is broken, "" where
    that is none or several; life : cost over the life by the medians."""

    number: Index
    value: dict[str, Array]
    bound: dict[str, float]
    alone: Array
    life: Array

    @classmethod
    def of(cls, space: Space, looked: Looked, scenario: Scenario) -> _Seen:
        """All limits of rows that break at most one without a chill."""
        r, checks = looked.rows, Checks((len(looked.rows),))
        checks.merge(r.checks)
        checks.merge(checks_of(space, r, np.arange(len(r)), looked.chill, scenario))
        broken = checks.broken()
        names = np.array(["", *checks.names])
        alone = np.where(broken.sum(axis=0) == 1, 1 + broken.argmax(axis=0), 0)
        return cls(
            r.number,
            {name: check.value for name, check in checks.rows.items()},
            {name: float(check.bound) for name, check in checks.rows.items() if check.bound.ndim == 0},
            names[alone],
            lifetime_by_medians(space, r, looked.chill),
        )

    def let_in_by(self, name: str, bar: float) -> Index:
        """Places of those that a little more of one limit lets in, and that cost no more over their life."""
        near = self.value[name] <= A_LITTLE_LARGER * self.bound[name]
        return np.flatnonzero((self.alone == name) & near & (self.life <= bar))
