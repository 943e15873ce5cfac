"""A run of a study with as many processes as are wanted, and what is known when it is over.

The processes share nothing but the study: another run beside, on this machine or another, is one of them.
"""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Index
from optichill.display import plural
from optichill.errors import shown
from optichill.problem.limits import LIMITS
from optichill.search.explore import storage, study
from optichill.search.explore.knobs import Setting
from optichill.search.explore.sampler import POPULATION
from optichill.search.explore.storage import Address
from optichill.search.explore.storage_journal import Wait
from optichill.search.explore.study import Coil, Judge, Study, not_beaten
from optichill.search.explore.study_run import Budget, Ran, Tell, run
from optichill.search.explore.study_worker import Order
from optichill.search.explore.wider import Wider
from optichill.search.near_misses import NearMisses
from optichill.search.recommend import SearchResult

STARTS = 400
"""Coils of the lists to start from, at most: a front has some hundreds."""

MISSES = 40
"""Of each set of broken limits the nearest so many, where nothing fits."""

NEAREST = 8
"""So many of the nearest are kept in mind where none holds: what decides is worked out more finely."""

PATIENCE = 20.0
"""Seconds that a process may take for the population in hand when all is over."""

LOOK = 0.05
"""Seconds between two looks at the others."""


@dataclass(frozen=True)
class Explored:
    """What is known of a study. at : where it is kept, as a person may see it, and typed : as it goes into a
    command; now : coils that the last run tried; tried : in all, by whatever runs; again : of these, tried
    twice by processes that worked at the same moment; hold : hold every limit; settings : coils of these that
    none of them beats; stopped : before its end; tried_out : nothing new was left to try; lost : processes
    that ended early, and why; near : where none holds, those that miss by least what can be moved, the
    nearest first; late : how many of `settings`, or of `near`, were tried in the last third of all."""

    at: str
    typed: str
    now: int
    tried: int
    again: int
    hold: int
    settings: tuple[Setting, ...]
    stopped: bool = False
    tried_out: bool = False
    lost: tuple[str, ...] = ()
    near: tuple[Setting, ...] = ()
    late: int = 0


def starts_of(beyond: Wider, searched: SearchResult) -> list[Setting]:
    """Coils of the lists to start from: those that nothing beats; where nothing fits, those that miss by
    least."""
    found = searched.enumeration
    numbers = found.best.number
    if not numbers.size:
        numbers = np.unique(np.concatenate([_nearest(found.dry), _nearest(found.slow)]))
    places = np.unique(np.linspace(0, max(numbers.size - 1, 0), min(STARTS, numbers.size)).astype(np.intp))
    return beyond.settings_of(numbers[places])


def _nearest(misses: NearMisses) -> Index:
    every = [misses.nearest_first(pattern)[:MISSES] for pattern in misses.patterns()]
    return np.concatenate([np.empty(0, np.intp), *every]).astype(np.intp)


def explore(
    judge: Judge,
    at: Address,
    brewhouse: str,
    starts: Sequence[Setting],
    *,
    seconds: float | None,
    trials: int | None,
    workers: int = 1,
    seed: int = 0,
    tell: Tell | None = None,
    stop: Callable[[], bool] | None = None,
    wait: Wait | None = None,
) -> Explored:
    """Try coils beyond the lists. seconds, trials : when to end, whichever comes first; None : not by that;
    workers : processes, this one among them; seed : of the random numbers; stop : is asked between
    populations; wait : hears that it waits for a stopped run, or needs fewer processes.

    Raises
    ------
    OptichillError, CannotWrite
    """
    until = None if seconds is None else time.time() + seconds
    workers = _enough(workers, trials, wait)
    shares = [None if trials is None else -((n - trials) // workers) for n in range(workers)]
    order = Order(judge, at, brewhouse, starts, Budget(until, shares[0]), (seed, 0))
    others = [replace(order, budget=Budget(until, s), seed=(seed, n + 1)) for n, s in enumerate(shares[1:])]
    with storage.quiet():
        return _together(order, others, tell, stop, wait)


def _enough(workers: int, trials: int | None, wait: Wait | None) -> int:
    """Processes that have something to do: a population each. wait : hears that fewer do, and that there
    are more than cores."""
    needed = workers if trials is None else min(workers, -(-trials // POPULATION))
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if wait is not None and needed < workers:
        enough = "process is" if needed == 1 else "processes are"
        wait(f"{needed} {enough} enough for {plural(f'{trials:,}', 'coil')}: each tries {POPULATION} at once")
    if wait is not None and needed > cores:
        wait(f"{needed} processes share {plural(str(cores), 'core')}: more of them than cores gain nothing")
    return needed


def _together(
    order: Order,
    others: Sequence[Order],
    tell: Tell | None,
    stop: Callable[[], bool] | None,
    wait: Wait | None,
) -> Explored:
    """This process and the others, each with its order."""
    judge, budget = order.judge, order.budget
    found = study.opened(order.at, judge, order.brewhouse, wait=wait)
    every = found.news()
    team = [_begin(other) for other in others]
    try:
        mine = run(judge, found, order.starts, budget, seed=order.seed, tell=tell, stop=stop, read=every)
        stopped = mine.stopped or not _waited(team, budget.until, stop)
    except BaseException:
        _end(team)
        raise
    ran, lost = _end(team)
    every += found.news()
    now = mine.tried + sum(one.tried for one in ran)
    told = explored(found, every)
    return replace(told, now=now, stopped=stopped, tried_out=mine.tried_out, lost=tuple(lost))


def explored(found: Study, every: Sequence[Coil]) -> Explored:
    """What a study holds that was read."""
    best = not_beaten(every)
    near = [] if best else _least_missed(every)
    told = {id(coil) for coil in best or near}
    late = sum(id(coil) in told for coil in every[len(every) - len(every) // 3 :])
    return Explored(
        found.at.told,
        found.at.typed,
        0,
        found.tried,
        found.again,
        sum(coil.holds for coil in every),
        tuple(coil.setting for coil in best),
        near=tuple(coil.setting for coil in near),
        late=late,
    )


def _least_missed(every: Sequence[Coil]) -> list[Coil]:
    """Those that miss only limits that can be moved, and these by least."""

    def may_move(name: str) -> bool:
        return name in LIMITS and LIMITS[name].stated

    some = [coil for coil in every if coil.broken and all(map(may_move, coil.broken))]
    return sorted(some, key=lambda coil: max(coil.broken.values()))[:NEAREST]


def kept(judge: Judge, at: Address, brewhouse: str) -> Explored:
    """What a study holds that is there; nothing is written.

    Raises
    ------
    OptichillError
        None is there, or it is another's.
    """
    with storage.quiet():
        found = study.opened(at, judge, brewhouse, make=False)
        return explored(found, found.news())


def _begin(order: Order) -> subprocess.Popen[bytes]:
    """Start a process beside this one."""
    worker = subprocess.Popen(
        [sys.executable, "-P", "-m", "optichill.search.explore.study_worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,  # an interruption is told to this process alone
    )
    assert worker.stdin is not None
    try:
        worker.stdin.write(pickle.dumps(order))
        worker.stdin.flush()
    except OSError:
        pass  # it ended at once: why is read at the end
    return worker


def _waited(
    team: Sequence[subprocess.Popen[bytes]], until: float | None, stop: Callable[[], bool] | None
) -> bool:
    """Wait for the others' share, or until the time is over; False where somebody says stop before."""
    while any(worker.poll() is None for worker in team):
        if stop is not None and stop():
            return False
        if until is not None and time.time() >= until:
            return True
        time.sleep(LOOK)
    return True


def _end(team: Sequence[subprocess.Popen[bytes]]) -> tuple[list[Ran], list[str]]:
    """Tell all to stop after what they have in hand: what each did, and why some ended early."""
    ran, lost = [], []
    for worker in team:
        _close(worker)
    for worker in team:
        try:
            said, wrong = worker.communicate(timeout=PATIENCE)
        except subprocess.TimeoutExpired:
            worker.kill()
            said, wrong = worker.communicate()
        if worker.returncode == 0:
            ran.append(Ran(**json.loads(said)))
        else:
            last = wrong.decode("utf-8", "replace").strip().split("\n")[-1]
            lost.append(shown(last, 200) or "ended from outside")
    return ran, lost


def _close(worker: subprocess.Popen[bytes]) -> None:
    """Nothing more comes: that tells it to stop."""
    if worker.stdin is not None:
        try:
            worker.stdin.close()
        except OSError:
            pass  # gone already
        worker.stdin = None
