"""The pass through all that the lists allow, as every call of the door asks for it."""

from __future__ import annotations

from typing import Any

from optichill.api.problem import PathLike, Problem, told_where
from optichill.api.studies import with_study
from optichill.files.in_python import refuse
from optichill.search.enumeration import Tell
from optichill.search.explore.study_team import Explored
from optichill.search.recommend import SearchResult, search_space
from optichill.search.space import known_id


def checked(problem: Any, tube: Any, form: Any) -> None:
    """What a search is asked, before it begins: a problem, and ids of its lists or None.

    Raises
    ------
    OptichillError
    """
    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    for key, given in (("tube", tube), ("form", form)):
        if given is not None and not isinstance(given, str):
            raise refuse(key, given, "not an id", "an id of the lists")
    known_id(problem.stock, tube=tube, form=form)


def searched(
    problem: Problem,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
    study: PathLike | None = None,
) -> tuple[SearchResult, Explored | None]:
    """The search, with the coils of a study beside its own, and what is known of that study; None where none
    is asked for.

    Raises
    ------
    InputFaults
        The wort would freeze in a hold.
    OptichillError
        The study is not there, or another's.
    """
    with told_where(problem.inputs):
        found = search_space(problem.basis, tube=tube, form=form, tell=tell)
        return (found, None) if study is None else with_study(problem, found, study)
