"""One pass over the space, chunk by chunk: the front of what holds, and near misses of what does not.

`feasible` counts the rows worked out in full that hold every limit; those left out beforehand are not among
them. Chunks are dealt to two lanes always, so that an answer does not hang on the machine's number of cores.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import islice
from threading import Lock

import numpy as np

from optichill.arrays import Array, Index, Mask
from optichill.problem.checks import Checks
from optichill.problem.limits import LIMITS
from optichill.problem.worth import worth_of
from optichill.search.evaluate import Rows, checks_of, chill_of, chilled, rows, taken
from optichill.search.front import GOALS, Front, joined, rounded, steps_of, unbeaten
from optichill.search.least import LeastCost, lifetime_by_medians
from optichill.search.near_misses import KEPT_ALONE, KEPT_OF_A_KIND, KEPT_SLOW, KEPT_SPREAD, NearMisses
from optichill.search.space import Space
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import ROUGH
from optichill.thermal.cooldown import Chill, throttled_at_least

CHUNK = 65536
"""Rows worked on at once: small enough that memory stays flat, large enough to hide the overhead of numpy's
calls and to let two threads run side by side."""

LANES, FEW = 2, 200_000
"""Lanes, and rows up to which one thread goes through them all."""

SAMPLE = 1024
"""Rows chilled of the first chunk before any other is left out."""

EXACT = 1e-4
"""Share of a limit that is left open to which its goal is rounded."""

ROUGH_SURELY = 0.85
"""A rough chill times this is not longer than the chill itself."""


@dataclass
class Enumeration:
    """What a pass found: rows that were seen to hold every limit, their front; without any, the near misses.
    scenario : the one chilled in, where it is not the basis' own. Valve settings that could not come near
    the front are not looked at, nor counted among the feasible.

    dry: misses by limits that need no chill. slow: those that fit and can be built, but miss a limit on
    the chill itself. Where limits are left open (`Space.open_to`) the front is of all that holds the others,
    by the time that is kept, and exact in what is limited. least : where lifetime cost ranks, the rows of
    least, as they came. chilled : rows of which there was at least a rough idea.
    """

    space: Space
    scenario: Scenario | None = None
    feasible: int = 0
    buildable: int = 0
    chilled: int = 0
    cheapest: float = np.inf
    front: Front = field(init=False)
    dry: NearMisses = field(default_factory=lambda: NearMisses(KEPT_ALONE, KEPT_SPREAD))
    slow: NearMisses = field(default_factory=lambda: NearMisses(KEPT_SLOW, of_a_kind=KEPT_OF_A_KIND))
    least: LeastCost | None = None

    def __post_init__(self) -> None:
        if not self.space.open_to and not self.space.basis.brewhouse.wishes.states_levels:
            self.least = LeastCost(worth_of(self.space.basis).minute)
        steps = steps_of(self.space.basis.stock)
        if self.space.open_to:
            limits = self.space.basis.brewhouse.limits
            names = ("budget" if goal == "cost" else goal for goal in GOALS)
            bounds = np.array([getattr(limits, name) or 0.0 for name in names])
            steps = np.where(bounds > 0.0, EXACT * np.maximum(bounds, steps), steps)
        self.front = Front.empty(steps)

    @property
    def plan(self) -> Scenario:
        """The scenario that is chilled in."""
        return self.scenario or self.space.basis.scenario

    @property
    def worth_a_chill(self) -> int:
        """Rows that can be built and hold every limit that needs no chill, at all valve settings."""
        return self.buildable * len(self.valve_shares)

    @property
    def excluded(self) -> int:
        """Those of them of which none was worked out, not even roughly: what is known of the same coil with
        the valve further open proves that they come neither in time nor to the front."""
        return self.worth_a_chill - self.chilled

    @property
    def shut(self) -> bool:
        """Whether misses are wanted: nothing has been found that holds every limit."""
        return self.feasible == 0 or bool(self.space.open_to)

    @property
    def valve_shares(self) -> tuple[float, ...]:
        """Valve settings to look at: what is left open and eased by the valve asks for all of them."""
        space = self.space
        emptied = any(stage.source == "bucket" for stage in space.basis.brewhouse.cooling)
        if not space.open_to or emptied or any(LIMITS[name].eased_by_valve for name in space.limited):
            return space.valve_shares
        return space.valve_shares[:1]

    @property
    def best(self) -> Front:
        """The front, with the rows of least cost that rounding hid."""
        return self.front if self.least is None else self.least.beside(self.front)

    @property
    def enumerated(self) -> int:
        """Rows of the unpruned product."""
        return self.space.raw

    def hold(self, r: Rows, keep: Index, result: Chill, kept: Array | None = None) -> None:
        """Take in rows that hold every limit; result : the chill of these alone; kept : the time that is kept
        with its chance, where it ranks."""
        time = result.time if kept is None else kept
        self.feasible += keep.size
        goals = np.stack([time, r.cost[keep], result.water, r.difficulty[keep]], axis=1)
        plainness = _plainness(self.space, r.setup[keep], r.valve_share[keep])
        new = Front.of(r.number[keep], goals, plainness, self.front.steps)
        self.front = joined(self.front, new)
        if self.least is not None:
            self.least.take_in(new, lifetime_by_medians(self.space, r, result, keep))

    def join(self, other: Enumeration) -> None:
        """Take in what another pass over other rows found."""
        self.feasible += other.feasible
        self.buildable += other.buildable
        self.chilled += other.chilled
        self.cheapest = min(self.cheapest, other.cheapest)
        self.front = joined(self.front, other.front)
        if self.least is not None and other.least is not None:
            self.least.take_in(other.least.rows, other.least.life)
        self.dry.join(other.dry)
        self.slow.join(other.slow)


Tell = Callable[[int, int], None]
"""Is told how many rows have been looked at, and of how many."""


def enumerate_space(
    space: Space, scenario: Scenario | None = None, chunk: int = CHUNK, tell: Tell | None = None
) -> Enumeration:
    """Evaluate every row of the space; where nothing holds and no limit of the brewer's is to blame, or some
    are left open, the nearest of those ruled out beforehand too.

    Chunks are dealt to LANES whatever the machine, so that the answer does not hang on its number of cores.
    """
    told = Told(tell, space.looked_at)
    lanes = [Enumeration(space, scenario) for _ in range(LANES)]
    _in_lanes(lanes, lambda: space.chunks(chunk), _take_in, told)
    if space.open_to or not (space.limited or any(lane.feasible for lane in lanes)):
        _in_lanes(lanes, lambda: space.chunks(chunk, beyond=True), _note_misses, told)
    first, *others = lanes
    for lane in others:
        first.join(lane)
    if space.sample is not None and len(first.front):
        _closer(first, chunk)
    return first


def with_rows(found: Enumeration, space: Space, numbers: Index) -> Enumeration:
    """What a pass found, and beside it some more rows, of the same space or of one that has grown: those of
    them that hold every limit."""
    slow = replace(found.slow, pieces={key: list(pieces) for key, pieces in found.slow.pieces.items()})
    more = replace(found, space=space, slow=slow)
    more.front = found.front
    more.least = None if found.least is None else replace(found.least)
    if numbers.size:
        r = rows(space, numbers)
        fits = np.flatnonzero(~space.barred(r.checks))
        if fits.size:
            more.cheapest = min(more.cheapest, float(r.cost[fits].min()))
            _chill(more, r, fits)
            more.buildable, more.chilled = found.buildable, found.chilled  # what is counted is the lists'
    return more


@dataclass
class Told:
    """Counts what all lanes have looked at, and tells it."""

    tell: Tell | None
    of: int
    done: int = 0
    lock: Lock = field(default_factory=Lock)

    def more(self, rows: int) -> None:
        """So many more are done."""
        with self.lock:
            self.done += rows
            if self.tell is not None:
                self.tell(min(self.done, self.of), self.of)


def _closer(found: Enumeration, chunk: int) -> None:
    """After a sample: every gap and number of turns of the set-ups that came through."""
    numbers = found.space.near(found.front.number)
    for start in range(0, numbers.size, chunk):
        _take_in(found, rows(found.space, numbers[start : start + chunk]))


def rows_that_fit(space: Space, most: int, looked_at: int = 4096) -> Index:
    """A few rows from all over the space that hold every limit that needs no chill and is not left open, at
    full flow."""
    some = space.some(looked_at)
    if not some.size:  # the brewer's limits rule out everything beforehand
        some = space.some(looked_at, beyond=True)
    if not some.size:
        return some
    r = rows(space, some)
    names = [name for name in r.checks.names if name not in space.open_to]
    broken = np.array([r.checks.rows[name].broken for name in names])
    built_in = np.array([not LIMITS[name].stated for name in names])
    # Where the brewer's own limits leave nothing, those that stand in the kettle and can be wound.
    for kept in (broken, broken[built_in], broken[:0]):
        fit = np.flatnonzero(~kept.any(axis=0))
        if fit.size:
            break
    return some[fit[np.unique(np.linspace(0, fit.size - 1, min(most, fit.size)).astype(np.intp))]]


def _in_lanes(
    lanes: list[Enumeration],
    chunks: Callable[[], Iterator[Index]],
    work: Callable[[Enumeration, Rows], None],
    told: Told,
) -> None:
    """Deal the chunks to the lanes and work on all lanes at once: numpy lets threads run side by side. Of few
    rows threads wait for each other more than they gain."""

    def run(number: int) -> None:
        for numbers in islice(chunks(), number, None, len(lanes)):
            work(lanes[number], rows(lanes[number].space, numbers))
            told.more(numbers.size)

    if told.of <= FEW:
        for number in range(len(lanes)):
            run(number)
        return
    with ThreadPoolExecutor(len(lanes)) as pool:
        list(pool.map(run, range(len(lanes))))


def _note_misses(enumeration: Enumeration, r: Rows) -> None:
    space = enumeration.space
    enumeration.dry.add(r.checks, r.number, _surface(r), _kind(space, r), space.barred(r.checks))


def _take_in(enumeration: Enumeration, r: Rows) -> None:
    space = enumeration.space
    fits = np.flatnonzero(~space.barred(r.checks))
    if enumeration.shut and (space.open_to or not space.limited):
        # Near misses matter only as long as nothing has been found; of what limits rule out another pass
        # takes note.
        _note_misses(enumeration, r)
    if fits.size == 0:
        return
    enumeration.buildable += fits.size
    enumeration.cheapest = min(enumeration.cheapest, float(r.cost[fits].min()))
    if enumeration.feasible == 0:
        # A first sample makes a front that the rest can be held against.
        sample = np.arange(fits.size) % max(1, fits.size // SAMPLE) == 0
        _all_flows(enumeration, r, fits[sample])
        fits = fits[~sample]
    if fits.size:
        _all_flows(enumeration, r, fits)


def _all_flows(enumeration: Enumeration, r: Rows, fits: Index) -> None:
    """Chill the rows at every valve setting, but those that surely come neither to the front nor in time."""
    settings = enumeration.valve_shares
    known = _rough(enumeration, r, fits)
    _at_some_flow(enumeration, r, fits, known)
    left = [(flow, fits) for flow in range(1, len(settings))]
    if enumeration.space.basis.scenario.slower_when_throttled:
        # Less water never cools faster: what is too slow stays too slow with the valve further shut.
        in_time = known.time * ROUGH_SURELY <= enumeration.space.longest
        fits, known = fits[in_time], known.take(in_time)
        left = [
            (flow, _worth_it(enumeration, r, fits, known, settings[flow] / settings[0])) for flow, _ in left
        ]
    left = [(flow, places) for flow, places in left if places.size]
    # Coils that are walked in steps share these with those beside them: there it is one after the other.
    for some in [[each] for each in left] if enumeration.plan.in_steps else [left] if left else []:
        flow = np.repeat([flow for flow, _ in some], [places.size for _, places in some])
        here = taken(r, np.concatenate([places for _, places in some]))
        here = replace(here, number=here.number + flow, valve_share=np.array(settings)[flow])
        every = np.arange(len(here))
        _at_some_flow(enumeration, here, every, _rough(enumeration, here, every))


def _rough(enumeration: Enumeration, r: Rows, fits: Index) -> Chill:
    """A rough idea of rows that no idea was of before."""
    enumeration.chilled += fits.size
    return chill_of(enumeration.space, r, fits, ROUGH, enumeration.plan)


def _worth_it(enumeration: Enumeration, r: Rows, fits: Index, known: Chill, x: float) -> Index:
    """Which rows may come in time and to the front at x times the flow of a rough chill that is known."""
    time, water = (ROUGH_SURELY * least for least in throttled_at_least(known, x))
    some = np.flatnonzero(~(time > enumeration.space.longest))
    return fits[some[~_beaten(enumeration, r, fits[some], time[some], water[some])]]


def _surely(known: Chill) -> tuple[Array, Array]:
    """Time [s] and water [m3] that are surely taken, from a rough idea; what vessels hold is known."""
    drained = np.where(np.isfinite(known.water), known.water - known.filled, known.water)
    return ROUGH_SURELY * known.time, known.filled + ROUGH_SURELY * drained


def _at_some_flow(enumeration: Enumeration, r: Rows, fits: Index, known: Chill) -> None:
    """Chill what may come to the front; known : a rough idea of it."""
    space = enumeration.space
    time, water = _surely(known)
    likely = (time <= space.longest) & (water <= (space.most_of("water") or np.inf))
    likely[likely] = ~_beaten(enumeration, r, fits[likely], time[likely], water[likely])
    if enumeration.shut:
        # As long as nothing holds, near misses are wanted too; a rough idea of how far they miss will do.
        _note_slow(enumeration, r, fits[~likely], known.take(~likely))
    fits, known = fits[likely], known.take(likely)
    if fits.size > SAMPLE and not enumeration.plan.in_steps:
        # First what by a rough idea nothing else beats: of the others the front then leaves few.
        best = _unbeaten(enumeration, r, fits, known)
        _chill(enumeration, r, fits[best])
        fits, known = fits[~best], known.take(~best)
        fits = fits[~_beaten(enumeration, r, fits, *_surely(known))]
    if fits.size:
        _chill(enumeration, r, fits)


def _unbeaten(enumeration: Enumeration, r: Rows, fits: Index, known: Chill) -> Mask:
    """Which rows no other of them beats."""
    goals = np.stack([known.time, r.cost[fits], known.water, r.difficulty[fits]], axis=1)
    return unbeaten(rounded(goals, enumeration.front.steps))


def _note_slow(enumeration: Enumeration, r: Rows, fits: Index, known: Chill) -> None:
    """Take in rows that surely miss a limit on the chill."""
    if fits.size:
        space = enumeration.space
        checks = checks_of(space, r, fits, known, enumeration.plan)
        _add_slow(enumeration, r, fits, checks)


def _add_slow(enumeration: Enumeration, r: Rows, fits: Index, checks: Checks) -> None:
    space = enumeration.space
    barred = space.barred(checks)
    enumeration.slow.add(checks, r.number[fits], _surface(r)[fits], _kind(space, r)[fits], barred)


def _beaten(enumeration: Enumeration, r: Rows, fits: Index, time: Array, water: Array) -> Mask:
    """Whether the front beats rows that surely take no less time and water than given."""
    space = enumeration.space
    if space.open_to and space.sureness is not None:
        time = space.sureness.least * time  # of what is kept
    return enumeration.front.beats(np.stack([time, r.cost[fits], water, r.difficulty[fits]], axis=1))


def _chill(enumeration: Enumeration, r: Rows, fits: Index) -> None:
    """Chill the chosen rows and take in what holds, and as long as nothing does, what misses."""
    space = enumeration.space
    result, checks = chilled(space, r, fits, scenario=enumeration.plan)
    holds = ~space.barred(checks)
    if enumeration.shut and not holds.all():
        _add_slow(enumeration, r, fits, checks)
    if holds.any():
        kept = checks.rows.get("chill_time") if space.open_to else None
        enumeration.hold(r, fits[holds], result.take(holds), None if kept is None else kept.value[holds])


def _plainness(space: Space, setup: Index, valve_share: Array) -> Array:
    """Smaller is plainer: one layer before two, then forms and tube, then an open valve."""
    setups = space.setups
    forms = np.maximum(setups.get("plainness", setup), setups.inside("plainness", setup))
    return 20.0 * setups.two(setup) + forms + 0.5 * (valve_share < 1.0)


def _surface(r: Rows) -> Array:
    """Tube surface in the wort [m2], without pi."""
    return r.placement.wetted * r.shape.d_o


def _kind(space: Space, r: Rows) -> Index:
    """A number for each tube and layout: coils that differ in nothing but how they are wound."""
    bore, outside = (np.rint(1e5 * d).astype(np.intp) for d in (r.shape.d_i, r.shape.d_o))
    return (bore * 10_000 + outside) * 8 + space.setups.layout[r.setup]
