"""What helps a coil that somebody owns: every change worked out with that one thing changed, weighed by what
it saves over the coil's life, and the best of the free ones together.

A change is worth telling where it gains what a person notices (a minute and three per cent, or water or ice
to the worth of a minute a batch), breaks nothing that held, and saves more than it costs. What does not is
told in a word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optichill.files.reading import Inputs
from optichill.owned.improve.changes import Change, changed
from optichill.owned.improve.of_coil import another_coil, second_coil
from optichill.owned.improve.of_place import of_the_place
from optichill.owned.improve.of_plan import of_the_cold, of_the_plan
from optichill.owned.improve.of_water import of_the_water
from optichill.owned.improve.of_wort import Ways, of_the_wort
from optichill.owned.improve.seen import STATED, Seen
from optichill.problem.worth import bagged_ice, metre_of_copper
from optichill.rating.likely import wears_out
from optichill.search.enumeration import Tell
from optichill.search.less_ice import WORTH_IT
from optichill.thermal.cooldown import LONGEST

LEAST_GAIN, LEAST_SHARE = 60.0, 0.03
"""Time [s] and share that a change gains at least, to be called one."""
LEAST_SPARED = 0.03
"""Share of water or ice that is spared at least, to be told."""
AS_GOOD, AS_QUICK = 0.3, 20.0
"""Ties, and seconds, within which the plainer of two ways is as good."""
MOST_TOGETHER = 3
"""Changes that are worked out together at most: nobody begins with more."""

ANOTHER, SECOND = "another coil", "second coil"
GIVES_UP = ("stop",)
"""Kinds that leave something of the chill undone."""


@dataclass(frozen=True)
class Found:
    """A change with the coil as it is and as it would be. parts : the changes that it is made of."""

    now: Seen
    change: Change
    then: Seen
    parts: tuple[int, ...] = ()

    @property
    def seconds(self) -> float | None:
        """Time gained, by what is most likely [s]; None where either never comes to the target."""
        was, is_ = self.now.told.time, self.then.told.time
        return None if was is None or is_ is None else was - is_

    @property
    def water(self) -> float | None:
        """Water gained, by what is most likely [m3]."""
        was, is_ = self.now.told.water, self.then.told.water
        return None if was is None or is_ is None else was - is_

    @property
    def reaches(self) -> bool:
        """Whether it comes to a target that the coil as it is does not come to."""
        return self.now.told.time is None and self.then.told.time is not None

    @property
    def brings_out(self) -> bool:
        """Whether it brings the ends of the coil out of the kettle, in which they hang now."""
        return self.now.hangs_in and not self.then.hangs_in

    @cached_property
    def quicker(self) -> bool:
        """Whether it gains time that a person notices."""
        s, was = self.seconds, self.now.told.time
        return self.reaches or (s is not None and was is not None and s >= max(LEAST_GAIN, LEAST_SHARE * was))

    @cached_property
    def sure(self) -> float:
        """Share of all draws in which it gains what it gains: time, else water or ice."""
        was, is_ = self.now.drawn, self.then.drawn
        if self.quicker:
            return float((np.minimum(is_.time, LONGEST) < np.minimum(was.time, LONGEST)).mean())
        told = np.isfinite(was.drained) & np.isfinite(is_.drained)
        better = (is_.water < was.water - TINY) | (is_.iced < was.iced - TINY)
        return float((better & told).sum() / max(told.sum(), 1))

    @cached_property
    def saves(self) -> float:
        """Over the coil's life, before what it costs [money]; ice beyond what the plan has counts as bought,
        for a freezer holds what it holds."""
        return self.now.running - self.then.running - self.bagged

    @property
    def bagged(self) -> float:
        """What the ice beyond that of the plan counts over the coil's life, where nobody says its price
        [money]."""
        worth = self.now.worth
        if worth.ice > 0.0 or "ice_price" not in worth.assumed:
            return 0.0
        more = float(self.then.drawn.iced.mean()) - float(self.now.drawn.iced.mean())
        return worth.batches * max(more, 0.0) * bagged_ice(self.now.basis)

    @property
    def bought(self) -> float:
        """What is bought for it [money]; what no list has counts as some metres of copper."""
        if self.change.buys is None:
            return UNPRICED * metre_of_copper(self.now.inputs.stock)
        return self.change.buys

    @property
    def costs(self) -> float:
        """What it costs once: what is bought, work, and what may be spoilt [money]."""
        return self.bought + self.change.hours * self.now.worth.hour + self.change.risks

    @property
    def net(self) -> float:
        """Over the coil's life, less what it costs [money]."""
        return self.saves - self.costs

    @property
    def free(self) -> bool:
        """Whether nothing is bought for it that is worth a word."""
        return self.change.buys is not None and self.change.buys < self.now.worth.minute

    @cached_property
    def breaks(self) -> frozenset[str]:
        """Limits that held and would no more."""
        return self.then.broken - self.now.broken

    @cached_property
    def mends(self) -> frozenset[str]:
        """Limits of the brewer that were broken and would hold."""
        return (self.now.broken - self.then.broken) & STATED

    @property
    def wears_out(self) -> tuple[str, ...]:
        """Which of ice, bucket or pump would fail in most batches, which bear more now."""
        return wears_out(self.now.likely, self.then.likely, self.now.inputs.brewhouse.limits.sure)

    @property
    def spares(self) -> bool:
        """Whether it saves water or ice that a person notices, to the worth of a minute a batch."""
        was, is_ = self.now, self.then
        shares = [1.0 - (is_.told.water or 0.0) / was.told.water] if was.told.water else []
        iced = [float(seen.drawn.iced.mean()) for seen in (was, is_)]
        shares += [1.0 - iced[1] / iced[0]] if iced[0] > 0.0 else []
        ties = WORTH_IT if self.change.kind == "less ice" else 1.0
        return max(shares, default=0.0) >= LEAST_SPARED and self.net >= ties * was.worth.minute

    @cached_property
    def helps(self) -> bool:
        """Whether it is worth doing."""
        # What is not reached now is not reached in time either, whatever that limit says of it.
        bearable = BEARABLE | {"chill_time"} if self.reaches and self.net > 0.0 else BEARABLE
        if self.then.told.time is None or not self.breaks <= bearable:
            return False
        if not self.now.goes_in:
            return self.then.goes_in
        if self.wears_out and not self.reaches:
            return False
        if "chill_time" in self.now.broken and (self.seconds or 0.0) < 0.0 and not self.brings_out:
            return False  # it takes too long already
        return (
            self.reaches
            or self.brings_out
            or bool(self.mends)
            or (self.quicker and self.net > 0.0)
            or self.spares
        )

    @property
    def mends_all(self) -> bool:
        """Whether all that the brewer asks for is kept with it alone, which is not so now."""
        return bool(self.mends) and not self.then.broken & STATED

    @property
    def of_this_coil(self) -> bool:
        """Whether it is done with the coil that is there alone."""
        return self.change.kind not in (ANOTHER, SECOND)

    @property
    def order(self) -> tuple[bool, bool, bool, bool, bool, float]:
        """What brings its ends out of the kettle first, or what it runs into out of its way, the coil that is
        there before another; then what
        makes the target reachable; then what is done to this coil and mends all that the brewer asked for;
        then by what it saves for what it costs, the free ones as if they cost a minute a batch; what gives
        something up last."""
        by = self.saves / max(self.costs, self.now.worth.minute, TINY)
        if self.brings_out:  # it has to be done: the one that leaves most
            by = self.net
        another = (self.brings_out or not self.now.goes_in) and self.change.kind == ANOTHER
        gives_up, mended = self.change.kind in GIVES_UP, self.mends_all and self.of_this_coil
        return gives_up, not self.brings_out, another, not self.reaches, not mended, -by


TINY = 1e-9
UNPRICED = 3.0
"""Metres of copper that a hose, a bag or a fitting of no list counts as (OWN)."""
BEARABLE = frozenset({"water"})
"""Limits that a change may break where that is said: how much water runs is the brewer's to weigh."""


@dataclass(frozen=True)
class Improvement:
    """All that is told of a coil. now : as it is; helps : what is worth doing, best first; not_worth : what
    is not, as it was looked at; together : the best of the free ones done together."""

    now: Seen
    helps: tuple[Found, ...]
    not_worth: tuple[Found, ...]
    together: Found | None

    @property
    def reached(self) -> bool:
        """Whether the coil as it is comes to the target."""
        return self.now.told.time is not None

    @property
    def unkept(self) -> frozenset[str]:
        """Limits that the brewer stated and it breaks."""
        return self.now.broken & STATED

    @property
    def quick(self) -> bool:
        """Whether it is done in the time that the brewer calls good."""
        time = self.now.told.time
        return time is not None and time <= self.now.worth.good_time

    @property
    def first(self) -> Found | None:
        """What helps most, None where nothing does that leaves nothing undone."""
        return next((f for f in self.helps if f.change.kind not in GIVES_UP), None)

    @property
    def falls_short(self) -> frozenset[str]:
        """Limits that no brewer states under [limits], of room, ice or vessels, and it breaks."""
        return self.now.broken - STATED

    @property
    def in_time(self) -> bool:
        """Whether it goes in and keeps all that the brewer stated, and is quick, or nothing helps."""
        keeps = self.now.goes_in and not self.now.hangs_in and self.reached and not self.unkept
        return keeps and (self.quick or self.first is None)

    @property
    def good_enough(self) -> bool:
        """Whether it is so in time, and breaks no other limit either."""
        return self.in_time and not self.falls_short


def improve(inputs: Inputs, tell: Tell | None = None) -> Improvement:
    """Everything that could be done about the coil that was read. tell : hears how far the search is."""
    now = Seen(inputs)
    found = [f for ways in _all_ways(now) for f in [_best(now, ways)] if f is not None]
    other = another_coil(now, tell)
    if other is not None:
        found.append(Found(now, *other))
    helps = sorted((f for f in found if f.helps and not needless(f, found)), key=lambda f: f.order)
    rest = [f for f in found if not any(f is told for told in helps)]
    return Improvement(now, tuple(helps), tuple(rest), _together(now, helps))


def needless(f: Found, found: Sequence[Found]) -> bool:
    """What brings the ends out and does not pay, where something else brings them out for less; of the coil
    that is there, before another."""
    if not f.brings_out or f.mends or f.net > 0.0:
        return False
    others = [o for o in found if o is not f and o.brings_out and o.helps]
    another = f.change.kind == ANOTHER
    return any((another or o.net > f.net) and (o.change.kind != ANOTHER or another) for o in others)


def _all_ways(now: Seen) -> list[Ways]:
    ways = [*of_the_wort(now), *of_the_place(now), *of_the_water(now), *of_the_plan(now), second_coil(now)]
    late = now.told.time is None or any(w[0].kind == "stop" and _slow(now, w) for w in ways if w)
    kinds = {w[0].kind for w in ways if w}
    return [*ways, *(w for w in (of_the_cold(now) if late else []) if w[0].kind not in kinds)]


def _slow(now: Seen, ways: Ways) -> bool:
    """Whether the last degrees take so much that ice might be worth it."""
    then = changed(now.inputs, ways[0].edits)
    if then is None or now.told.time is None:
        return False
    stopped = Seen(then).glance.time[0]
    return bool(now.glance.time[0] - stopped > MUCH * now.glance.time[0])


MUCH = 0.25
"""Share of the whole time that last degrees take which are dear."""


def _best(now: Seen, ways: Sequence[Change]) -> Found | None:
    """The best of several ways to do one thing, by one run of each; the plainer, which comes later, where it
    is as good. None where the files would not be read so, or the coil would stand where it must not."""
    seen = []
    for change in ways:
        then = changed(now.inputs, change.edits)
        if then is not None and Seen(then).stands_no_worse(now):
            seen.append(Found(now, change, Seen(then)))
    if not now.goes_in:  # before anything else
        seen = [f for f in seen if f.then.goes_in] or seen
    if len(seen) < 2:
        return seen[0] if seen else None
    tie = now.worth.minute
    ideas = [f.then.idea_of_cost for f in seen]
    # Below the good time a minute costs nothing, and is still better than none.
    by = [cost + 0.05 * tie * time / 60.0 for cost, time in ideas]
    best = int(np.argmin(by))
    as_good = [
        n
        for n in range(len(seen))
        if n == best or (by[n] <= by[best] + AS_GOOD * tie and ideas[n][1] <= ideas[best][1] + AS_QUICK)
    ]
    return seen[as_good[-1]]


def _beside(one: Change, other: Change) -> Change:
    """Both at once, at what both take; one without a price has none together either."""
    priced = one.buys is not None and other.buys is not None
    buys = (one.buys or 0.0) + (other.buys or 0.0) if priced else None
    edits, hours = (*one.edits, *other.edits), one.hours + other.hours
    return Change("together", edits, {}, buys, hours, one.risks + other.risks)


def _together(now: Seen, helps: Sequence[Found]) -> Found | None:
    """The first of the free changes, with each that still gains beside those before it."""
    free = [n for n, f in enumerate(helps) if f.free and f.change.edits and f.change.kind not in GIVES_UP]
    if not free:
        return None
    one, parts = helps[free[0]], [free[0]]
    for n in free[1:]:
        if len(parts) == MOST_TOGETHER:
            break
        more = helps[n].change
        if any(more.clashes(helps[p].change) for p in parts):
            continue
        both = _beside(one.change, more)
        then = changed(now.inputs, both.edits)
        if then is None or not Seen(then).stands_no_worse(now):
            continue
        step = Found(one.then, more, Seen(then))
        if step.then.told.time is not None and (step.quicker or step.spares) and step.net > 0.0:
            one, parts = Found(now, both, step.then, (*parts, n)), [*parts, n]
    return one if len(parts) > 1 and one.breaks <= BEARABLE else None
