"""Coils beyond the lists, tried for as long as is wanted and kept in a study."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from optichill.api.problem import PathLike, Problem, told_where
from optichill.api.recommendation import Recommendation, recommend
from optichill.api.studies import address_of, usual_study
from optichill.files.in_python import refuse
from optichill.report import jsonout, notebook
from optichill.report.explore import document as explore_json
from optichill.report.explore import screen as report
from optichill.report.paper import WIDTH, folded
from optichill.search.designs import Design
from optichill.search.explore import on_the_front, study_team
from optichill.search.explore.nearest import nearest_of
from optichill.search.explore.study_team import Explored
from optichill.search.explore.wider import joined, wider
from optichill.search.recommend import recommendation_of

MINUTES = 1.0
"""How long a run takes where nothing else is said."""

MOST_WORKERS = 64
MOST_TRIALS = 10_000_000
"""Of one run: five gigabytes in its study, and hours."""


@dataclass(frozen=True, eq=False)
class Exploration:
    """What was found beyond the lists.

    Parameters
    ----------
    problem : what was asked.
    before : the answer of the lists alone.
    after : the answer with what was explored beside it.
    found : how much was tried, and what of it nothing beats.
    study : where it is kept.

    Examples
    --------
    >>> found = oc.explore(oc.read(), "reports/mine.journal", trials=2000)  # doctest: +SKIP
    >>> found.best, found.is_better  # doctest: +SKIP
    """

    problem: Problem
    before: Recommendation = field(repr=False)
    after: Recommendation = field(repr=False)
    found: Explored = field(repr=False)
    study: str

    @cached_property
    def best(self) -> Design | None:
        """Of the explored coils that nothing beats the one that ranks best; None where none came there."""
        return on_the_front.best(self.after.searched, self.after.designs)

    @property
    def is_better(self) -> bool:
        """Whether a person would rather have it than the first of the lists."""
        return report.is_better(self._told)

    @cached_property
    def _told(self) -> report.Tried:
        came = on_the_front.count(self.after.searched)
        front = self.after.answer.coils
        beyond = wider(self.before.searched)
        nearest = None if self.after.designs else nearest_of(beyond, self.found.near)
        return report.Tried(
            self.found,
            self.before.answer,
            self.after.answer,
            self.best,
            came,
            front,
            beyond.may_make,
            nearest,
        )

    def lines(self, width: int = WIDTH) -> list[str]:
        """The answer as `optichill explore` says it, folded to a width [columns]."""
        return folded(report.screen(self._told, self.problem.inputs), width)

    def to_dict(self) -> dict[str, Any]:
        """The document of `optichill explore --json`, in SI."""
        made: dict[str, Any] = jsonout.plain(explore_json.document(self._told, self.problem.inputs))
        return made

    def _repr_html_(self) -> str:
        return notebook.text(self.lines())


def explore(
    problem: Problem,
    study: PathLike | None = None,
    *,
    minutes: float | None = None,
    trials: int | None = None,
    workers: int = 1,
    seed: int = 0,
    before: Recommendation | None = None,
    tell: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
    wait: Callable[[str], None] | None = None,
) -> Exploration:
    """Try coils that the lists do not hold: forms of any diameter that have still to be made, for each layer
    its own; and keep every one in a study, which the next call goes on with.

    Parameters
    ----------
    problem : Problem
    study : path or str, optional
        A file, made where it is not there; or `postgresql://HOST/DATABASE`, which several machines may
        share (`pip install 'optichill[shared]'`). Without it the study in the brewhouse's report folder.
    minutes, trials : float, int, optional
        When to end, whichever comes first: 1 minute where neither is given.
    workers : int
        Processes that work on it side by side, 1 to 64.
    seed : int
        Of the random numbers: the same for the same study, and one worker, tries the same coils.
    before : Recommendation, optional
        The answer of the lists alone, where it was asked for before.
    tell : callable, optional
        Is called now and then with how much is done, and of how much.
    stop : callable, optional
        Is asked now and then whether to stop; what was found is kept.
    wait : callable, optional
        Is told when it waits for a run that was stopped, or works with fewer processes.

    Returns
    -------
    Exploration

    Raises
    ------
    InputFaults
        An argument is of the wrong kind.
    OptichillError
        The study is another's, or no study; the database is not there.
    CannotWrite

    Examples
    --------
    >>> oc.explore(oc.read(), trials=0)
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: in Python: trials: 0: not a number of coils (allowed: 1 to 10,000,000)
    """
    _check(problem, minutes, trials, workers, seed)
    kept_in = usual_study(problem) if study is None else study
    at = address_of(problem, kept_in)
    if before is None:
        before = recommend(problem)
    if minutes is None and trials is None:
        minutes = MINUTES
    with told_where(problem.inputs):
        beyond = wider(before.searched)
        found = study_team.explore(
            beyond,
            at,
            problem.brewhouse.name,
            study_team.starts_of(beyond, before.searched),
            seconds=None if minutes is None else 60.0 * minutes,
            trials=trials,
            workers=workers,
            seed=seed,
            tell=tell,
            stop=stop,
            wait=wait,
        )
        searched = joined(before.searched, found.settings)
        after = before
        if searched is not before.searched:
            after = Recommendation(problem, recommendation_of(searched), searched)
    return Exploration(problem, before, after, found, str(kept_in))


def _check(problem: Any, minutes: Any, trials: Any, workers: Any, seed: Any) -> None:
    def whole(number: Any) -> bool:
        return isinstance(number, int) and not isinstance(number, bool)

    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    if minutes is not None and not (
        isinstance(minutes, int | float)
        and not isinstance(minutes, bool)
        and math.isfinite(minutes)
        and minutes > 0.0
    ):
        raise refuse("minutes", minutes, "not a time", "more than 0")
    if trials is not None and not (whole(trials) and 1 <= trials <= MOST_TRIALS):
        raise refuse("trials", trials, "not a number of coils", f"1 to {MOST_TRIALS:,}")
    if not (whole(workers) and 1 <= workers <= MOST_WORKERS):
        raise refuse("workers", workers, "not a number of processes", f"1 to {MOST_WORKERS}")
    if not (whole(seed) and seed >= 0):
        raise refuse("seed", seed, "not a seed", "0 or more")
