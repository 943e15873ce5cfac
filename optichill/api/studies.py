"""A study as it is given to the door, and a search with what it found."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from optichill.api.problem import PathLike, Problem
from optichill.errors import OptichillError
from optichill.files.in_python import refuse
from optichill.files.ownership import read_for, refuse_input
from optichill.search.explore.storage import Address, address
from optichill.search.explore.storage_journal import refuse_other_file
from optichill.search.explore.study_team import Explored, kept
from optichill.search.explore.wider import joined, wider
from optichill.search.recommend import SearchResult

NAME = "study.journal"
"""Of the file, in the report folder of a brewhouse."""


def usual_study(problem: Problem, out: PathLike = "reports") -> Path:
    """Where a brewhouse's study is kept when nothing else is said. out : folder of all reports.

    Examples
    --------
    >>> usual_study(oc.read()).as_posix()
    'reports/two-crate-kitchen/study.journal'
    """
    return Path(out) / problem.brewhouse.slug / NAME


def address_of(problem: Problem, study: Any) -> Address:
    """Where a study is kept.

    Raises
    ------
    OptichillError
        Neither a file nor a database; one of the files that were read.
    """
    if not isinstance(study, str | os.PathLike):
        raise refuse("study", study, "not a study", "a file, or postgresql://HOST/DATABASE")
    at = address(study, problem.brewhouse.slug)
    if at.path is not None:
        refuse_input(at.path, read_for(problem.brewhouse))
    return at


def study_file(problem: Problem, study: Any) -> Path | None:
    """The file of a study, None where it is in a database. What stands there and is no study is refused.

    Raises
    ------
    OptichillError

    Examples
    --------
    >>> study_file(oc.read(), "new.journal").name
    'new.journal'
    >>> study_file(oc.read(), "postgresql://pi/brew") is None
    True
    """
    at = address_of(problem, study)
    if at.path is not None:
        refuse_other_file(at.path, at.told, at.name)
    return at.path


def with_study(problem: Problem, searched: SearchResult, study: Any) -> tuple[SearchResult, Explored]:
    """A search with the coils of a study beside its own, by the same filter.

    Raises
    ------
    OptichillError
        None is there, or it is another's.
    """
    found = kept(wider(searched), address_of(problem, study), problem.brewhouse.name)
    return joined(searched, found.settings), found


def alone(study: Any, **others: Any) -> None:
    """Nothing is asked for beside a study that would make its coils another kettle's, or of fewer lists.

    Raises
    ------
    OptichillError
        Something of `others`, by name, is.
    """
    for name, given in others.items():
        if study is not None and given:
            raise OptichillError(
                f"study and {name} do not go together: a study is of the whole lists and of one kettle"
            )
