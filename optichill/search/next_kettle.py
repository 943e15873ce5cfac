"""A coil for today's kettle, bought with regard for the one that is planned.

A coil must hold today's limits. In the next kettle it is kept, where it holds that one's limits, its risers
cut long enough for both rims today; else, or where that comes cheaper, the best coil of the next kettle is
bought then. What ranks is both lives together: today's with today's batches, the next kettle's with its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.basis import DesignBasis
from optichill.problem.bill import beyond, serves_on
from optichill.rating.prediction import LimitLine
from optichill.search.designs import Design, designs
from optichill.search.enumeration import Tell
from optichill.search.kettles import Kettle, kettles_of, same_stock
from optichill.search.ranking import shortlist
from optichill.search.recommend import SearchResult, search_space
from optichill.search.several import look_through
from optichill.search.shared import (
    Finals,
    There,
    best_alone,
    cover,
    finals_of,
    in_full,
    made_in,
    pumps_to_pay,
    there_in,
)
from optichill.search.space import Sample

PLAIN = 12
"""Coils that are looked at as they come without regard, at least: to say what becomes of them."""


@dataclass(frozen=True)
class Then:
    """A coil and what becomes of it. design : in today's kettle; there : in the next one, also where it is
    not kept; kept : whether it is; too_long : limits of today that it would break with risers for both rims;
    today, later : what it costs over its life in today's kettle, and what the next one costs after it;
    replaced_for : what a new coil would cost then, beside pumps, with its hoses and ends [money]."""

    design: Design
    there: There
    kept: bool
    too_long: tuple[LimitLine, ...]
    today: float
    later: float
    replaced_for: float = 0.0

    @property
    def total(self) -> float:
        """Both together [money]."""
        return self.today + self.later

    def is_built_as(self, other: Then) -> bool:
        """Whether both are one coil, but for the length of its risers."""
        a, b = self.design, other.design
        return (a.winding, a.inner, a.layout, a.layers) == (b.winding, b.inner, b.layout, b.layers)


@dataclass(frozen=True)
class Regard:
    """What the next kettle changes. kettles : today's and the next; coils : the best first; plain : the one
    that comes first without regard, as it fares; replacement : the best coil of the next kettle alone, None
    where it has none, for so much money beside pumps; tie : a minute with every batch of both; besides :
    pumps of the next plan that today's does not have; wished : wort over the top turn that the next kettle
    asks for, which keeps no coil out that is there already [m]; the rest as in `ForAll`."""

    kettles: tuple[DesignBasis, DesignBasis]
    coils: tuple[Then, ...]
    plain: Then
    replacement: Design | None
    raw: int
    weighed: int
    sample: Sample | None
    tie: float
    besides: float
    wished: float = 0.0


@dataclass(frozen=True)
class _Weighed:
    """Coils with regard. plain : place of each among those of today alone, -1 where it is not looked at
    there; kept : in the next kettle; total : both lives together [money]."""

    finals: Finals
    plain: Index
    kept: Mask
    total: Array

    @classmethod
    def of(cls, finals: Finals, base: Index, today: Array, replaced: Array) -> _Weighed:
        """base, today : those of today alone, in order of rank; replaced : what a new coil costs over its
        life after each."""
        place = np.full(finals.base.size, -1)
        place[np.searchsorted(finals.base, base)] = np.arange(base.size)
        bought_again = np.where(place >= 0, today[place] + replaced[place], np.inf)
        kept = finals.holds & ~(finals.total > bought_again)
        return cls(finals, place, kept, np.where(kept, finals.total, bought_again))

    def order(self, tie: float) -> Index:
        """Places, the best first. Who comes first without regard stays there where nothing is a tie ahead."""
        first = self.plain == 0
        leads = first & (self.total <= self.total.min() + tie)
        keys = (self.finals.base, np.where(self.plain < 0, self.plain.size, self.plain), self.total, ~leads)
        order = np.lexsort(keys)
        return np.asarray(order[(self.kept | (self.plain >= 0))[order]])


def with_regard(
    first: DesignBasis,
    planned: DesignBasis,
    *,
    top: int = 5,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
) -> Regard | None:
    """Today's coil with regard for the planned kettle; None where nothing fits today."""
    searched = search_space(first, tube=tube, form=form)
    front, ranking = searched.front, searched.ranking
    if front is None or ranking is None:
        return None
    kettles = kettles_of(first, (same_stock(first, planned, bought=True),), tube=tube, form=form)
    found = look_through(kettles, tell)
    best = shortlist(front, ranking, max(PLAIN, top)).entry
    rows_today = front.number[best]
    plain = rows_today // len(kettles[0].space.valve_shares)
    finals = finals_of(kettles, np.union1d(found.worth_working_out(), plain).astype(np.intp))
    new = _New.of(first, same_stock(first, planned))
    alone = designs(searched.enumeration.space, rows_today, None, np.zeros(plain.size, np.intp))
    replaced = np.array([new.life - new.reused(design) for design in alone])
    weighed = _Weighed.of(finals, plain, ranking.life.total[best], replaced)
    chosen, near = cover(finals, weighed.order(found.tie), top, weighed.kept)
    places = np.append(chosen, np.flatnonzero(weighed.plain == 0))
    fates = _kept(kettles, weighed, places) | _bought_again(kettles, weighed, places, searched, rows_today)
    fates = {place: new.after(then) for place, then in fates.items()}
    coils = tuple(
        replace(fates[place], design=replace(fates[place].design, rank=n, near_variants=like))
        for n, (place, like) in enumerate(zip(chosen.tolist(), near.tolist(), strict=True), 1)
    )
    wished = planned.brewhouse.kettle.top_clearance
    of, both = kettles[0].space, (first, kettles[1].basis)
    asked = (of.raw, found.weighed, of.sample, found.tie)
    return Regard(both, coils, fates[int(places[-1])], new.design, *asked, new.pumps, wished)


@dataclass(frozen=True)
class _New:
    """What is bought for the next kettle where a coil is not kept: design, None where nothing holds its
    limits; life : what it costs over its life, price : to buy, both beside pumps; pumps : that its plan needs
    more than today's [money]."""

    design: Design | None
    life: float
    price: float
    pumps: float

    @classmethod
    def of(cls, first: DesignBasis, planned: DesignBasis) -> _New:
        """planned : on the first one's lists, with all of its limits."""
        design, pumps, more = best_alone(planned), pumps_to_pay(planned), pumps_to_pay(planned, first)
        if design is None:
            return cls(None, np.inf, 0.0, more)
        return cls(design, float(design.life.total) - pumps, design.bill.total - pumps, more)

    def after(self, then: Then) -> Then:
        """A coil with what the next kettle costs after it."""
        reused = self.reused(then.design)
        later = (then.later if then.kept else self.life - reused) + self.pumps
        return replace(then, later=later, replaced_for=self.price - reused)

    def reused(self, before: Design) -> float:
        """What hoses and ends of the coil before it save [money]."""
        if self.design is None:
            return 0.0
        left, _ = beyond(self.design.bill, serves_on(before.bill))
        return self.design.bill.total - left.total


def _kept(kettles: tuple[Kettle, ...], weighed: _Weighed, places: Index) -> dict[int, Then]:
    """Coils that are kept, by place."""
    some = np.unique(places[weighed.kept[places]])
    made = in_full(kettles, weighed.finals, some, np.zeros(some.size, np.intp))
    return {
        place: Then(
            both.design, both.there[0], True, (), float(both.design.life.total), both.there[0].running
        )
        for place, both in zip(some.tolist(), made, strict=True)
    }


def _bought_again(
    kettles: tuple[Kettle, ...],
    weighed: _Weighed,
    places: Index,
    searched: SearchResult,
    rows_today: Index,
) -> dict[int, Then]:
    """Coils that are built for today alone, by place, with what keeps each from being kept; what comes later
    is not told here."""
    some, (today, later) = np.unique(places[~weighed.kept[places]]), weighed.finals.each
    if not some.size:
        return {}
    numbers, nothing = rows_today[weighed.plain[some]], np.zeros(some.size, np.intp)
    made = designs(searched.enumeration.space, numbers, None, nothing, march=True)
    there = there_in(kettles[1], later, some, march=False)
    long = some[~today.holds[some]]
    longer = dict(zip(long.tolist(), made_in(kettles[0], today, long, march=False), strict=True))
    found = {}
    for place, design, other in zip(some.tolist(), made, there, strict=True):
        broken = [line for line in longer[place].limits if not line.holds] if place in longer else []
        found[place] = Then(design, other, False, tuple(broken), float(design.life.total), 0.0)
    return found
