"""Where no coil holds every limit: of those that were tried the one that asks for least more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optichill.problem.limits import LIMITS
from optichill.search.conflicts import Step
from optichill.search.designs import Design, designs
from optichill.search.explore.grown import emptied, grown
from optichill.search.explore.knobs import Setting
from optichill.search.explore.wider import Wider
from optichill.search.ways_out import OpenedDesign


@dataclass(frozen=True)
class Nearest:
    """A coil that was tried and misses only limits that can be moved, and how far each must go for it."""

    design: Design
    steps: tuple[Step, ...]

    @property
    def share(self) -> float:
        """The largest step, as a share of its bound."""
        return max(_share(step) for step in self.steps)

    def is_nearer(self, ways: Sequence[OpenedDesign]) -> bool:
        """Whether none of the ways out of the lists asks for as little of the same limits."""
        mine = {step.limit for step in self.steps}
        same = [way for way in ways if {step.limit for step in way.steps} == mine]
        return not any(max(map(_share, way.steps)) <= self.share for way in same)


def nearest_of(beyond: Wider, settings: Sequence[Setting]) -> Nearest | None:
    """Of some coils that were tried, worked out in full, the one whose largest step is the least; None where
    each misses something that nobody can move."""
    some = [one for one in settings if beyond.is_new(beyond.coil(one))]
    if not some:
        return None
    space, numbers = grown(emptied(beyond.space), [beyond.coil(one) for one in some])
    made = designs(space, numbers, None, np.zeros(numbers.size, np.intp))
    misses = beyond.judge(some).misses
    near = []
    for place, d in enumerate(made):
        steps = _steps(d, {name: float(share[place]) for name, share in misses.items()})
        near += [Nearest(d, steps)] if steps else []
    return min(near, key=lambda one: one.share, default=None)


def _steps(d: Design, misses: dict[str, float]) -> tuple[Step, ...]:
    """The limits that a coil breaks, each a line of the brewer, moved as far as both the coil in all draws
    and whoever judges it again ask for, by the shares that he said; none where one is no such line."""
    broken = [line for line in d.limits if not line.holds]
    if any(not LIMITS[line.name].stated or not np.isfinite(line.value) for line in broken):
        return ()
    to = {line.name: line.limit * (1.0 + misses.get(line.name, 0.0)) for line in broken}
    return tuple(Step(line.name, line.limit, max(line.value, to[line.name])) for line in broken)


def _share(step: Step) -> float:
    return abs(step.to - step.now) / max(abs(step.now), 1e-9)
