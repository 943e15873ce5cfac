"""One coil for several kettles: every row looked at in all of them in one pass, and the least sum kept.

What is best for two kettles together need be on neither one's front, so no front is asked: a row that holds
what needs no chill everywhere is chilled roughly in each kettle, and left only where what it surely costs in
all together is more than what is known. Those of least sum, and the best of each tube and layout, are then
worked out finely and in all draws, each kettle with the valve as open as its own limits let it.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import islice

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.rating.chilled_coil import time_checks
from optichill.rating.prediction import FINE
from optichill.search.change_over_of_rows import plan_of_rows
from optichill.search.close_calls import BEYOND
from optichill.search.enumeration import CHUNK, LANES, ROUGH_SURELY, SAMPLE, Tell, Told
from optichill.search.evaluate import Rows, checks_of, chill_of, chilled, rows, taken
from optichill.search.kettles import Kettle
from optichill.search.lifetime import lifetime_of
from optichill.search.sampled import samples_of
from optichill.thermal.coil_performance import ROUGH, SEARCH

MOST_NEAR, PER_KIND, MOST_KINDS, MOST_DOUBTFUL = 96, 2, 48, 32
"""Coils that are worked out in full: of least sum, of each tube and layout and of how many of those, and of
those that keep a limit on time by a hair or not."""

WAYS = 2
"""Ways of reckoning quickly (`Kettle.running`): where ice runs short each coil has a spread of its own, and
the medians are as good a guess as that of the pilots."""

NEAR, NEAR_IN_STEPS, FAR, SHARE = 2.0, 4.0, 12.0, 0.01
"""Ties within which what is kept by a quick reckoning may still turn out least, at least this share of it,
and where a bath warms or wort is left alone; and past which no other tube is worth a line."""


@dataclass
class Least:
    """Coils of least sum as they came: number, sum over all kettles, kind of each; tie : of all together;
    near : ties within which they are kept."""

    tie: float
    near: float = NEAR
    base: Index = field(default_factory=lambda: np.empty(0, np.intp))
    life: Array = field(default_factory=lambda: np.empty(0))
    kind: Index = field(default_factory=lambda: np.empty(0, np.intp))

    def take_in(self, base: Index, life: Array, kind: Index) -> None:
        """Take in what comes new."""
        base, kind = np.concatenate([self.base, base]), np.concatenate([self.kind, kind])
        life = np.concatenate([self.life, life])
        order, (near, far) = np.lexsort((base, life)), self._reach(life)
        order = order[life[order] <= far]
        keep = _place_in_kind(kind[order]) < PER_KIND
        keep &= np.cumsum(keep) <= PER_KIND * MOST_KINDS
        keep[:MOST_NEAR] |= life[order[:MOST_NEAR]] <= near
        self.base, self.life, self.kind = base[order[keep]], life[order[keep]], kind[order[keep]]

    def _reach(self, life: Array) -> tuple[float, float]:
        """What the near ones, and those of another kind, come below [money]."""
        best = float(life.min(initial=np.inf))
        return best + max(self.near * self.tie, SHARE * best), best + max(FAR * self.tie, SHARE * best)

    def bound(self, kind: Index) -> Array:
        """What a row of each of these kinds must come below to be kept."""
        kinds, which = np.unique(kind, return_inverse=True)
        own = np.full(kinds.size, np.inf)
        for place, one in enumerate(kinds.tolist()):  # some tens of tubes and layouts
            mine = self.life[self.kind == one]
            own[place] = np.sort(mine)[PER_KIND - 1] if mine.size >= PER_KIND else np.inf
        near, far = self._reach(self.life)
        return np.asarray(np.clip(own[which], near, far))


def _place_in_kind(kind: Index) -> Index:
    """Of rows in order, how many of their kind stand before each."""
    order = np.argsort(kind, kind="stable")
    begins = np.concatenate([[0], np.flatnonzero(np.diff(kind[order])) + 1]).astype(np.intp)
    place = np.arange(kind.size) - np.repeat(begins, np.diff(np.append(begins, kind.size)))
    out = np.empty(kind.size, np.intp)
    out[order] = place
    return out


@dataclass
class Pass:
    """One lane of the pass through all rows, with what it found by each way of reckoning. firm : what holds
    everywhere; doubtful : what may hold a limit on time, or not; weighed : rows that hold everywhere what
    needs no chill."""

    kettles: tuple[Kettle, ...]
    firm: tuple[Least, ...] = field(init=False)
    doubtful: tuple[Least, ...] = field(init=False)
    weighed: int = 0

    def __post_init__(self) -> None:
        near = NEAR_IN_STEPS if any(k.basis.scenario.in_steps for k in self.kettles) else NEAR
        self.firm, self.doubtful = (tuple(Least(self.tie, near) for _ in range(WAYS)) for _ in range(2))

    @property
    def tie(self) -> float:
        """A minute with every batch of all kettles [money]."""
        return sum(k.worth.minute for k in self.kettles)

    def join(self, other: Pass) -> None:
        """Take in what another lane found."""
        self.weighed += other.weighed
        for mine, its in zip((*self.firm, *self.doubtful), (*other.firm, *other.doubtful), strict=True):
            mine.take_in(its.base, its.life, its.kind)

    def worth_working_out(self, most: int | None = None) -> Index:
        """The coils that are worked out finely; most : of those that hold everywhere, by each way."""
        found = [own.base[:most] for own in self.firm] + [own.base[:MOST_DOUBTFUL] for own in self.doubtful]
        return np.unique(np.concatenate(found)).astype(np.intp)

    def look_at(self, numbers: Index) -> None:
        """Look at rows of the first kettle's space, given at its first valve setting."""
        base = numbers // len(self.kettles[0].space.valve_shares)
        placed: list[Rows] = []
        for kettle in self.kettles:
            r = rows(kettle.space, kettle.numbers(base))
            fits = np.flatnonzero(~r.checks.broken().any(axis=0))
            if fits.size < len(r):
                base = base[fits]
                placed = [taken(of, fits) for of in placed]
                r = taken(r, fits)
            placed.append(r)
        if not base.size:
            return
        self.weighed += base.size
        first = np.arange(base.size) % max(1, base.size // SAMPLE) == 0
        for some in (np.flatnonzero(first), np.flatnonzero(~first)):
            if some.size:
                self._chill(base[some], [taken(r, some) for r in placed])

    def _chill(self, base: Index, placed: list[Rows]) -> None:
        """Chill what may come to the least, by a rough idea first."""
        build, kind = building(self.kettles[0], placed[0]), _kind(self.kettles[0], placed[0])
        bound = np.stack([own.bound(kind) for own in self.firm])
        left, least = np.arange(base.size), np.tile(build, (WAYS, 1))

        def likely(some: Index, cost: Array) -> Index:
            return some[(cost[:, some] <= bound[:, some]).any(axis=0)]

        for kettle, r in zip(self.kettles, placed, strict=True):
            left = likely(left, least)
            if not left.size:
                return
            lower, in_time = _at_least(kettle, r, left)
            least[:, left] += lower
            left = left[in_time]
        left, total, firm = likely(left, least), np.tile(build, (WAYS, 1)), np.ones(base.size, bool)
        for kettle, r in zip(self.kettles, placed, strict=True):
            if not left.size:
                return
            cost, holds, surely = _as_open(kettle, r, left)
            total[:, left] += cost
            firm[left] &= surely
            left = likely(left[holds], total)
        for found, some in ((self.firm, left[firm[left]]), (self.doubtful, left[~firm[left]])):
            for own, cost in zip(found, total, strict=True):
                own.take_in(base[some], cost[some], kind[some])


def building(kettle: Kettle, r: Rows) -> Array:
    """What it costs to have the coil: build, work, and what that may spoil [money]."""
    roll = kettle.space.setups.get("tube_price", r.setup)
    life = kettle.worth.lifetime(
        build=r.cost, beyond=0.0, water=0.0, ice=0.0, difficulty=r.difficulty, roll=roll
    )
    return np.asarray(life.total)


def _kind(kettle: Kettle, r: Rows) -> Index:
    """A number for each tube with its tool, and layout."""
    setups = kettle.space.setups
    return np.asarray(setups.of.tool_of[setups.outer[r.setup]] * 8 + setups.layout[r.setup])


def _eased(kettle: Kettle) -> bool:
    """Whether a limit that is broken could be held with the valve further shut."""
    drawn = kettle.basis.brewhouse.limits.water is not None or bool(kettle.basis.pumps)
    return drawn and len(kettle.space.valve_shares) > 1


def _at_least(kettle: Kettle, r: Rows, some: Index) -> tuple[Array, Mask]:
    """What the batches surely cost some rows in one kettle, and which may be in time."""
    known = chill_of(kettle.space, r, some, ROUGH, kettle.scenario)
    time = ROUGH_SURELY * known.time
    if _eased(kettle):
        # With the valve further shut there is less water, for more time or, where a bath is short, less.
        time = time if kettle.basis.scenario.slower_when_throttled else 0.0 * time
        return kettle.running(time, 0.0 * time, 0.0 * time), time <= kettle.space.longest
    return (
        kettle.running(time, ROUGH_SURELY * known.water, ROUGH_SURELY * known.iced),
        time <= kettle.space.longest,
    )


def _as_open(kettle: Kettle, r: Rows, some: Index) -> tuple[Array, Mask, Mask]:
    """What the batches cost some rows with the valve as open as the limits let it, which of them may hold
    every limit, and which surely do."""
    cost, (holds, surely) = np.full((WAYS, some.size), np.inf), np.zeros((2, some.size), bool)
    left = np.arange(some.size)
    for share in kettle.space.valve_shares:
        here = replace(r, valve_share=np.full(len(r), share))
        result = chill_of(kettle.space, here, some[left], SEARCH, kettle.scenario)
        checks = checks_of(kettle.space, here, some[left], result, kettle.scenario)
        late = checks.rows.get("chill_time")
        others = [check.broken for name, check in checks.rows.items() if name != "chill_time"]
        may = sure = np.asarray(~np.any(others, axis=0))
        if late is not None:
            may, sure = may & (late.value <= (1.0 + BEYOND) * late.bound), sure & ~late.broken
        held = left[may]
        holds[held], surely[held] = True, sure[may]
        cost[:, held] = kettle.running(result.time, result.water, result.iced)[:, may]
        left = left[~may]
        if not left.size or not _eased(kettle):
            break
    return cost, holds, surely


def look_through(kettles: tuple[Kettle, ...], tell: Tell | None = None) -> Pass:
    """All rows of the first kettle's space in all kettles. Chunks are dealt to LANES whatever the machine."""
    of, told = kettles[0].space, Told(tell, kettles[0].space.looked_at)
    lanes = [Pass(kettles) for _ in range(LANES)]

    def run(number: int) -> None:
        for numbers in islice(of.chunks(CHUNK), number, None, LANES):
            lanes[number].look_at(numbers)
            told.more(numbers.size)

    with ThreadPoolExecutor(LANES) as pool:
        list(pool.map(run, range(LANES)))
    first, *others = lanes
    for lane in others:
        first.join(lane)
    if of.sample is not None:  # of a sample: every gap and number of turns of the set-ups that came through
        close = of.near(kettles[0].numbers(first.worth_working_out()))
        for start in range(0, close.size, CHUNK):
            first.look_at(close[start : start + CHUNK])
    return first


@dataclass(frozen=True)
class InKettle:
    """Coils in one kettle, worked out finely and in all draws, each with its valve as open as the limits let
    it. number : of its row; holds : every limit of this kettle; time [s], water [m3] : at the medians;
    running : what its batches cost here, total : with the build [money]."""

    kettle: Kettle
    number: Index
    holds: Mask
    time: Array
    water: Array
    running: Array
    total: Array


def in_kettle(kettle: Kettle, base: Index) -> InKettle:
    """Coils in one kettle; what does not hold at any setting stands there with its valve open."""
    columns = {n: np.full(base.size, np.nan) for n in ("time", "water", "running", "total")}
    number, holds = kettle.numbers(base), np.zeros(base.size, bool)
    left = np.arange(base.size)
    for flow in range(len(kettle.space.valve_shares) if base.size else 0):
        numbers = kettle.numbers(base[left], flow)
        r, every = rows(kettle.space, numbers), np.arange(left.size)
        scenario = plan_of_rows(kettle.space, numbers)
        result, checks = chilled(kettle.space, r, every, FINE, scenario)
        drawn = samples_of(kettle.space, r, every, scenario)
        room = ~r.checks.broken().any(axis=0)
        checks.merge(time_checks(kettle.basis, result, drawn))
        r.checks.merge(checks)
        held, life = np.asarray(~np.any(r.checks.broken(), axis=0)), lifetime_of(kettle.space, r, drawn)
        tell = held | (flow == 0)
        place = left[tell]
        for name, values in zip(columns, (result.time, result.water, life.running, life.total), strict=True):
            columns[name][place] = values[tell]
        number[place], holds[place] = numbers[tell], held[tell]
        left = left[~held & room]
        if not left.size or not _eased(kettle):
            break
    return InKettle(kettle, number, holds, **columns)
