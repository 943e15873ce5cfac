"""What would have to be otherwise for another coil to come first: found by weighing the front anew.

Each change is made to the brewhouse or the list as a person would write it, and all that follows from it
follows here too: a dearer roll may move the median price of copper, and with it the hour and the water that
nobody priced. A flip counts from where the other is a tie ahead: what differs by less is as good.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optichill.arrays import Array, Mask
from optichill.model.stock import Tube
from optichill.problem.basis import DesignBasis
from optichill.problem.worth import worth_of
from optichill.search.designs import Design
from optichill.search.evaluate import bought
from optichill.search.glance import Glance, Weighed
from optichill.search.lifetime import Needs, needs_of

PRICES, BATCHES = 3.0, 10.0
"""How many times as much or as little is still sensible, of prices and of batches (OWN)."""

DIGITS = (*range(100, 200, 2), *range(200, 500, 5), *range(500, 1000, 10))
"""Figures that a person tells apart, by their first three digits (OWN)."""


@dataclass(frozen=True)
class Change:
    """One figure, as it is and as it would be: `key` of `[wishes]`, or the price of the roll `stock_id`."""

    key: str
    now: float
    to: float
    stock_id: str | None = None

    def applied(self, basis: DesignBasis) -> DesignBasis:
        """The same basis with it."""
        if self.stock_id is None:
            wishes = basis.brewhouse.wishes.model_copy(update={self.key: self.to})
            return replace(basis, brewhouse=basis.brewhouse.model_copy(update={"wishes": wishes}))
        tubing = tuple(
            tube.model_copy(update={"price": self.to}) if tube.stock_id == self.stock_id else tube
            for tube in basis.stock.tubing
        )
        return replace(basis, stock=basis.stock.model_copy(update={"tubing": tubing}))

    @property
    def far(self) -> float:
        """How far from what is: the logarithm of how many times as much or as little."""
        return abs(float(np.log(self.to / self.now))) if self.now > 0.0 else np.inf


@dataclass(frozen=True)
class Flip:
    """The first sensible figure at which another choice, `then`, is a tie ahead on the front as it is. At
    another price something may be first that the roll keeps off it now; `then` is ahead all the same.
    past_budget : the first then costs more than is allowed."""

    change: Change
    then: Glance
    past_budget: bool


def flips(weighed: Weighed, told: Mapping[str, Design]) -> tuple[Flip, ...]:
    """Nearest first. told : coils worked out in full, by id. None where stated levels rank."""
    if weighed.ranking.levels is not None:
        return ()
    contest = Contest(weighed)
    found: list[tuple[Change, int]] = []
    for way in contest.ways():
        at = bisect_left(way, True, key=lambda change: contest.winner(change) is not None)
        found += [
            (change, place) for change in way[at : at + 1] if (place := contest.winner(change)) is not None
        ]
    found.sort(key=lambda flip: flip[0].far)
    glances = weighed.glances(np.array([place for _, place in found], np.intp), told)
    return tuple(
        Flip(change, then, contest.past_budget(change))
        for (change, _), then in zip(found, glances, strict=True)
    )


@dataclass(frozen=True)
class Contest:
    """The front, to be weighed anew with one figure changed."""

    weighed: Weighed

    @property
    def basis(self) -> DesignBasis:
        """As things are."""
        return self.weighed.space.basis

    @cached_property
    def _needs(self) -> Needs:
        w = self.weighed
        return needs_of(w.space, w.rows, w.drawn, worth_of(self.basis).good_time)

    @cached_property
    def _near(self) -> Mask:
        """Near variants of the first, but what stands beside it."""
        near = self.weighed.alike(self.weighed.first)
        near[self.weighed.cover[1:]] = False
        return near

    @cached_property
    def _no_better(self) -> Mask:
        """Those, and who is better than the first in nothing that anybody would choose by."""
        return self._near | self.weighed.no_better(self.weighed.first)

    def _one_choice(self, change: Change) -> Mask:
        """Who is one choice with the first. A dearer roll is held against other rolls, however it is wound,
        also against what is dearer now and no better: then it need not be."""
        return self._no_better if change.stock_id is None else self._near | self._of(change.stock_id)

    @cached_property
    def _tube(self) -> list[Tube]:
        """The tube of each coil that is weighed."""
        w = self.weighed
        return [w.space.wound(setup)[0].tube for setup in w.rows.setup.tolist()]

    @cached_property
    def _bought(self) -> list[tuple[Tube, ...]]:
        """The rolls of each coil that is weighed."""
        w = self.weighed
        return [bought(w.space, w.rows, i) for i in range(len(w.rows))]

    def _of(self, stock_id: str | None) -> Mask:
        """Who is made of that roll."""
        return np.array([tube.stock_id == stock_id for tube in self._tube], dtype=bool)

    def _how_many(self, stock_id: str) -> Array:
        """Rolls of that kind that each coil takes."""
        found = [sum(tube.stock_id == stock_id for tube in tubes) for tubes in self._bought]
        return np.array(found, dtype=np.float64)

    def past_budget(self, change: Change) -> bool:
        """Whether the first costs more than is allowed with the change."""
        return bool(np.isinf(self._totals(change)[self.weighed.first]))

    def _totals(self, change: Change | None) -> Array:
        """Cost over the coils' lives, infinite for what is not shown or past the budget."""
        changed = self.basis if change is None else change.applied(self.basis)
        needs = self._needs
        if change is not None and change.stock_id is not None:
            same = self._of(change.stock_id)
            more = (change.to - change.now) * self._how_many(change.stock_id)
            needs = replace(
                needs,
                build=needs.build + more,
                roll=np.where(same, change.to, needs.roll),
            )
        budget = self.basis.brewhouse.limits.budget or np.inf
        may = self.weighed.ranking.free & (needs.build <= budget)
        return np.where(may, needs.priced(worth_of(changed)).total, np.inf)

    def winner(self, change: Change) -> int | None:
        """Who comes first with the change, if it is another choice than the first and a tie ahead of it."""
        totals = self._totals(change)
        place = int(totals.argmin())
        lead = worth_of(change.applied(self.basis)).minute
        return place if totals[place] < totals[self._one_choice(change)].min() - lead else None

    def ways(self) -> Iterator[list[Change]]:
        """Changes of one figure, one way, further and further."""
        worth, tube = worth_of(self.basis), self._tube[self.weighed.first]
        for now, times, key, stock_id in (
            (float(worth.batches), BATCHES, "batches", None),
            (worth.hour, PRICES, "hour", None),
            (worth.water, PRICES, "water_price", None),
            (tube.cost, PRICES, "price", tube.stock_id),
        ):
            figures = sensible(now / times, now * times, whole=key == "batches")
            less, more = [f for f in figures[::-1] if f < now], [f for f in figures if f > now]
            yield [Change(key, now, figure, stock_id) for figure in less]
            yield [Change(key, now, figure, stock_id) for figure in more]
        if not worth.practised:
            yield [Change("coils_wound", 0.0, 1.0)]


def sensible(low: float, high: float, *, whole: bool = False) -> list[float]:
    """Figures from low to high, none of nothing: a step is a fiftieth at most, but above 10 a whole number.

    Examples
    --------
    >>> sensible(9.75, 11.5), sensible(97.0, 105.0), sensible(1.95, 2.07)
    ([9.8, 9.9, 10.0, 11.0], [97.0, 98.0, 99.0, 100.0, 102.0, 104.0], [1.96, 1.98, 2.0, 2.05])
    """
    if low <= 0.0:
        return []
    decades = range(int(np.floor(np.log10(low))), int(np.floor(np.log10(high))) + 1)
    figures = [round(k * 10.0 ** (decade - 2), max(2 - decade, 0)) for decade in decades for k in DIGITS]
    return [f for f in figures if low <= f <= high and not ((whole or f > 10.0) and f % 1.0)]
