"""A run of a study: propose a population, judge it at once, keep it; until the time is over."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optichill.search.explore.knobs import Setting
from optichill.search.explore.sampler import POPULATION, Breeder
from optichill.search.explore.study import Coil, Judge, Study, judged, key_of

Tell = Callable[[int, int], None]
"""Is told how much is done, and of how much: coils, or hundredths of a second."""

NOTHING_NEW = 5
"""Rounds without a new proposal after which the space is taken to be tried out."""


@dataclass(frozen=True)
class Budget:
    """What a run may take. until : by time.time [s]; trials : coils to try; None where it has no such end."""

    until: float | None
    trials: int | None

    def left(self, tried: int) -> int:
        """Coils that may be tried still, a population at most."""
        if self.until is not None and time.time() >= self.until:
            return 0
        return POPULATION if self.trials is None else min(self.trials - tried, POPULATION)


@dataclass(frozen=True)
class Ran:
    """What a run did. tried : coils, by itself; stopped : before its end; tried_out : nothing new is left."""

    tried: int
    stopped: bool = False
    tried_out: bool = False


def run(
    judge: Judge,
    study: Study,
    starts: Sequence[Setting],
    budget: Budget,
    *,
    seed: Sequence[int],
    tell: Tell | None = None,
    stop: Callable[[], bool] | None = None,
    read: list[Coil] | None = None,
) -> Ran:
    """Try coils until the budget is used or somebody says stop. starts : coils to start from, which are not
    of the study; seed : of this run among all that work on the study; read : what was read of the study
    before, to which is added what is read and tried now."""
    every: list[Coil] = [] if read is None else read
    begun, tried, nothing = time.time(), 0, 0
    breeder = Breeder(judge, [*seed, study.tried])
    breeder.take_in(judged(judge, starts))
    every += study.news()
    breeder.take_in(every)
    known = {key_of(judge.canonical(start)) for start in starts}

    def is_known(setting: Setting) -> bool:
        return setting in study or key_of(setting) in known or judge.weighed(setting)

    while (most := budget.left(tried)) > 0:
        if stop is not None and stop():
            return Ran(tried, stopped=True)
        asked = breeder.ask(most, is_known)
        # Asking takes longest: meanwhile others may have tried the same.
        fresh = study.news()
        asked = [one for one in asked if one.setting not in study]
        coils = judged(judge, [one.setting for one in asked])
        breeder.tell(asked, coils)
        if coils:
            study.add(coils)
        fresh += study.news()
        every += fresh
        own = {key_of(coil.setting) for coil in coils}
        breeder.take_in([coil for coil in fresh if key_of(coil.setting) not in own])
        tried += len(coils)
        nothing = 0 if coils else nothing + 1
        if nothing == NOTHING_NEW:
            return Ran(tried, tried_out=True)
        if tell is not None:
            tell(*_done(budget, begun, tried))
    return Ran(tried)


def _done(budget: Budget, begun: float, tried: int) -> tuple[int, int]:
    """How much of the budget is used."""
    by_count = (tried, budget.trials or 0)
    if budget.until is None:
        return by_count
    by_time = (round(100.0 * (time.time() - begun)), round(100.0 * (budget.until - begun)))
    if not budget.trials or by_time[0] * by_count[1] >= by_count[0] * by_time[1]:
        return by_time
    return by_count
