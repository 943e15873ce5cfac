"""When nothing fits: which limits stand in each other's way, and the smallest step that opens a design.

One pass more over the space, with the brewer's limits left open (`wide_open`): its front is exact in what is
limited, so that the smallest step of each of those limits, alone or together, lies on it, and so does what
each step opens. Limits of room, form and tool have no goal: of each that alone stands in the way the nearest
16 384 rows are kept and 8192 spread over the rest, and of each set of several the 16 nearest and, of each
tube and layout, the 16 with the most surface in the wort. The chill is computed for them only.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from optichill.arrays import Index
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import OUT_OF_HAND
from optichill.problem.limits import LIMITS
from optichill.search.close_calls import NearestInTime
from optichill.search.enumeration import ROUGH_SURELY, Enumeration, enumerate_space
from optichill.search.evaluate import Rows, checks_of, chill_of, chilled, rows
from optichill.search.near_misses import KEPT_TOGETHER, is_alone, nearest_of_each, worst_misses
from optichill.search.space import space
from optichill.search.what_opens import Opened
from optichill.thermal.coil_performance import ROUGH

LOOK = 8192
"""Near misses looked at in one go."""

DECISIVE = 128
"""Nearest misses of each set of limits that are chilled finely."""

LARGEST_SET = 4
"""Conflicts of more limits than this are not looked for: nobody could act on them."""


HAIR = 1e-9
"""Lengths that differ by less are one [m]."""


@dataclass(frozen=True)
class Step:
    """One limit moved: from its bound to the value of a design, SI. built_in : of a room, what stands in the
    kettle needs of it, which no line of a file lowers [m]."""

    limit: str
    now: float
    to: float
    built_in: float = 0.0

    @property
    def below_built_in(self) -> bool:
        """Whether it goes where only another kettle would."""
        return self.built_in > 0.0 and self.to < self.built_in - HAIR


@dataclass(frozen=True)
class Relaxation:
    """Limits that, moved together, open a design. number : of the row that takes the smallest step; best :
    rows that the step as told opens, least lifetime cost first; further : the same of hardly and of a little
    larger ones, each where it opens something much better than the one before."""

    steps: tuple[Step, ...]
    number: int
    best: tuple[int, ...] = ()
    further: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True)
class Conflicts:
    """sets: minimal sets of limits that no design of the space meets together. relaxations: the smallest
    single step of each limit that opens a design, smallest first; the smallest joint ones when none does.
    misfits: what the nearest designs would ask of limits that nobody can move so far. wide : the pass with
    the brewer's limits left open, whose rows are meant."""

    sets: tuple[tuple[str, ...], ...]
    relaxations: tuple[Relaxation, ...]
    misfits: tuple[Step, ...]
    wide: Enumeration


Nearest = dict[frozenset[str], tuple[float, int]]
"""Sets of broken limits that were met, each with the least miss and the number of its row."""


@dataclass
class Found:
    """What was met so far: the nearest of each set of limits, and what there is to open."""

    nearest: Nearest
    opened: Opened
    in_time: NearestInTime


def wide_open(enumeration: Enumeration) -> Enumeration:
    """The pass with the brewer's limits left open; the same one where there are none."""
    narrow = enumeration.space
    if not narrow.limited:
        return enumeration
    wide = space(narrow.basis, tube=narrow.tube, form=narrow.form, open_to=narrow.limited)
    return enumerate_space(replace(wide, sureness=narrow.sureness), enumeration.scenario)


def conflicts(enumeration: Enumeration) -> Conflicts:
    """From an outcome without a feasible design."""
    wide = wide_open(enumeration)
    dry, found = wide.dry, Found({}, Opened(wide.space), NearestInTime(wide.space))
    for numbers in _chunks(wide.front.number):
        _chill_and_note(wide, found, rows(wide.space, numbers))
    for pattern in filter(is_alone, dry.patterns()):
        _look_until_open(wide, found, dry.nearest_first(pattern))
    # Misses by the chill itself come in their final order.
    few = [wide.slow.nearest_first(p)[:KEPT_TOGETHER] for p in wide.slow.patterns()]
    _look_at_all(wide, found, few)
    together = [p for p in dry.patterns() if not is_alone(p)]
    for size in sorted({p.bit_count() for p in together}):
        # What breaks more than a set that can be opened tells nothing.
        open_ = [names for names, nearest in found.nearest.items() if _in_hand(nearest)]
        some = [p for p in together if p.bit_count() == size]
        some = [p for p in some if not any(names <= dry.limits(p) for names in open_)]
        _look_at_all(wide, found, [dry.nearest_first(p) for p in some])
    patterns = _smallest(found.nearest)
    return Conflicts(_blocking_sets(patterns), *_ways(wide, found, patterns), wide)


def _look_at_all(enumeration: Enumeration, found: Found, some: list[Index]) -> None:
    for numbers in _chunks(np.concatenate([*some, np.empty(0, np.intp)])):
        _look(enumeration, found, numbers)


def _look(enumeration: Enumeration, found: Found, numbers: Index) -> bool:
    """All limits of some near misses, the chill's too, at every valve setting that could matter; whether any
    holds all that hang on the chill."""
    space = enumeration.space
    if any(LIMITS[name].eased_by_valve for name in {*space.limited, *enumeration.slow.names}):
        base = numbers - numbers % len(space.valve_shares)
        numbers = np.unique(base[:, None] + np.arange(len(space.valve_shares)))
    r = rows(space, numbers)
    decisive = numbers if space.basis.pumps else numbers[_decisive(enumeration, r)]
    return _chill_and_note(enumeration, found, rows(space, decisive))


def _chill_and_note(enumeration: Enumeration, found: Found, r: Rows) -> bool:
    """Chill rows and take them in; whether any holds all that hang on the chill."""
    result, physical = chilled(enumeration.space, r, np.arange(len(r)), scenario=enumeration.scenario)
    r.checks.merge(physical)
    found.in_time.settle(r, result, found.nearest)
    _note(found.nearest, r)
    found.opened.add(r, result)
    of_chill = [r.checks.rows[name].broken for name in physical.names]
    return not np.any(of_chill, axis=0).all()


def _note(found: Nearest, r: Rows) -> None:
    """Take in the nearest miss of each set of limits."""
    broken, misses, names = r.checks.broken(), r.checks.steps(), np.array(r.checks.names)
    worst = worst_misses(broken, misses)
    for i in nearest_of_each(broken, misses, r.number, 1).tolist():
        pattern = frozenset(names[broken[:, i]].tolist())
        if pattern not in found or worst[i] < found[pattern][0]:
            found[pattern] = (float(worst[i]), int(r.number[i]))


def _decisive(enumeration: Enumeration, r: Rows) -> Index:
    """Places of the rows that a fine chill is worth: those that may hold what hangs on it, and the nearest
    misses of each set of limits, by a rough idea of the chill."""
    basis, every = enumeration.space.basis, np.arange(len(r))
    scenario, limits = enumeration.scenario or basis.scenario, basis.brewhouse.limits
    rough = chill_of(enumeration.space, r, every, ROUGH, scenario)
    near = ROUGH_SURELY * rough.time <= enumeration.space.longest
    near &= ROUGH_SURELY * rough.water <= (limits.water or np.inf)
    checks = checks_of(enumeration.space, r, every, rough, scenario)
    broken = np.concatenate([r.checks.broken(), checks.broken()])
    misses = np.concatenate([r.checks.steps(), checks.steps()])
    return np.union1d(np.flatnonzero(near), nearest_of_each(broken, misses, r.number, DECISIVE))


def _look_until_open(enumeration: Enumeration, found: Found, numbers: Index) -> None:
    """Rows where one dry limit alone fails, nearest first, until one fails nothing else: later ones only miss
    by more. Far ones are a sample, so that not everything is searched twice."""
    for portion in _chunks(numbers):
        if _look(enumeration, found, portion):
            return


def _chunks(numbers: Index) -> list[Index]:
    return [numbers[start : start + LOOK] for start in range(0, numbers.size, LOOK)]


def _smallest(nearest: Nearest) -> list[frozenset[str]]:
    """Patterns that contain no other: breaking less is always possible for the rest."""
    return [p for p in nearest if not any(q < p for q in nearest)]


def _blocking_sets(patterns: list[frozenset[str]]) -> tuple[tuple[str, ...], ...]:
    """Minimal sets of limits of which every design breaks at least one."""
    names = sorted(set().union(*patterns)) if patterns else []
    sets: list[frozenset[str]] = []
    for size in range(1, LARGEST_SET + 1):
        for chosen in map(frozenset, combinations(names, size)):
            if not any(s <= chosen for s in sets) and all(chosen & p for p in patterns):
                sets.append(chosen)
    return tuple(tuple(sorted(s)) for s in sets)


def _ways(
    enumeration: Enumeration, found: Found, patterns: list[frozenset[str]]
) -> tuple[tuple[Relaxation, ...], tuple[Step, ...]]:
    """The step for each limit that stands alone in a design's way, else the smallest joint steps that can be
    taken; and what does not fit where a limit would have to go further than anybody can move it."""
    basis, nearest = enumeration.space.basis, found.nearest
    alone = [p for p in _nearest_first(nearest, patterns) if len(p) == 1]
    taken = _nearest_first(nearest, _smallest({p: m for p, m in nearest.items() if _in_hand(m)}))
    ways: list[Relaxation] = []
    stuck = [p for p in alone or _nearest_first(nearest, patterns)[:1] if p not in taken]
    tried = [_relaxation(enumeration, p, nearest[p][1]) for p in stuck]
    for pattern in taken:
        if ways and len(pattern) > len(ways[0].steps):
            break
        way = _relaxation(enumeration, pattern, nearest[pattern][1])
        (tried if any(_is_misfit(s, basis) for s in way.steps) else ways).append(way)
    # Of sets of several limits the nearest tells enough of what does not fit.
    told = [w for w in tried if len(w.steps) == 1] or tried[:1]
    misfits = {s.limit: s for way in told for s in way.steps if _is_misfit(s, basis)}
    return tuple(_with_the_best(found.opened, way) for way in ways), tuple(misfits.values())


def _with_the_best(opened: Opened, way: Relaxation) -> Relaxation:
    """With the rows that the step opens, and those of a little larger one."""
    best, *further = opened.by_steps({s.limit: (s.now, s.to) for s in way.steps})
    return replace(way, best=best or (way.number,), further=tuple(further))


def _nearest_first(found: Nearest, patterns: list[frozenset[str]]) -> list[frozenset[str]]:
    """Single limits by how far they are missed, then sets, the smaller first."""
    return sorted(patterns, key=lambda p: (len(p), found[p], sorted(p)))


def _in_hand(nearest: tuple[float, int]) -> bool:
    """Whether a person could move the limits as far as the nearest design asks."""
    return nearest[0] < OUT_OF_HAND


def _is_misfit(step: Step, basis: DesignBasis) -> bool:
    """Whether nobody can take the step: what is built into the kettle does not move, and how near a target
    could be met is not known from here."""
    limit = LIMITS[step.limit]
    if step.below_built_in:
        return True
    return bool(limit.out_of_hand(step.to, step.now)) or limit.of_a_part(step.now, basis.brewhouse.kettle)


def _relaxation(enumeration: Enumeration, pattern: frozenset[str], number: int) -> Relaxation:
    r = rows(enumeration.space, np.array([number]))
    _, physical = chilled(enumeration.space, r, np.arange(1), scenario=enumeration.scenario)
    r.checks.merge(physical)
    steps = []
    for name in sorted(pattern):
        check = r.checks.rows[name]
        room = 0.0 if check.built_in is None else float(check.built_in.flat[0])
        steps.append(Step(name, float(check.bound.flat[0]), float(check.value[0]), room))
    return Relaxation(tuple(steps), number)
