"""What to build: the best coils, and all that nothing beats."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, overload

from optichill.api.given import an_id, checked, save_coil, text_of, told_where
from optichill.api.problem import PathLike, Problem
from optichill.api.studies import alone, with_study
from optichill.errors import CannotWrite
from optichill.files.in_python import refuse
from optichill.report import calibrated, jsonout, no_fit, notebook, screen
from optichill.report.explore import document as explore_json
from optichill.report.explore.screen import joined_lines, nearest_lines
from optichill.report.paper import WIDTH, entry, folded
from optichill.report.searched import left_text, sample_text, weighed_count
from optichill.report.table import choices, no_more, ranked_table
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.enumeration import Tell
from optichill.search.evaluate import rows
from optichill.search.explore.nearest import nearest_of
from optichill.search.explore.study_team import Explored
from optichill.search.explore.wider import wider
from optichill.search.find import found_again
from optichill.search.ids import coil_of
from optichill.search.recommend import (
    SearchResult,
    recommendation_of,
    search_space,
)
from optichill.search.ways_out import OpenedDesign

if TYPE_CHECKING:
    from pandas import DataFrame

    from optichill.api.several import ForSeveral
    from optichill.search.tradeoff import Tradeoff

MOST = 50
"""Builds in a table, at most."""


@dataclass(frozen=True, eq=False)
class Front:
    """Every coil that no other beats in time, cost, water and work together; best first.

    Parameters
    ----------
    problem : what it was found for.
    tradeoff : the designs.
    explored : what is known of the study whose coils are beside those of the lists.

    Examples
    --------
    >>> found = oc.front(oc.read(), tube="cu-10x1-10m", form="keg-soda")
    >>> columns = found.to_dataframe().columns
    >>> [name for name in columns if name in ("chill_time_s", "cost", "water_m3", "difficulty")]
    ['chill_time_s', 'cost', 'water_m3', 'difficulty']
    """

    problem: Problem
    tradeoff: Tradeoff = field(repr=False)
    explored: Explored | None = field(default=None, repr=False)

    def __len__(self) -> int:
        return len(self.tradeoff)

    def to_dataframe(self) -> DataFrame:
        """One row a coil, SI, best first: the columns of front.csv; rank is missing off the shortlist.

        Examples
        --------
        >>> found = oc.front(oc.read(), tube="cu-10x1-10m", form="keg-soda")
        >>> len(found.to_dataframe()) == len(found)
        True
        """
        from optichill.report.tradeoff import write

        return write.frame(write.table(self.tradeoff))

    def to_dict(self, *, seed: int = 0) -> dict[str, Any]:
        """The document of `optichill pareto --json`, in SI. seed : repeated in it; nothing draws at random.

        Examples
        --------
        >>> document = oc.front(oc.read(), tube="cu-10x1-10m", form="keg-soda").to_dict()
        >>> document["front"]["stock_id"][0]
        'cu-10x1-10m'
        """
        from optichill.report.tradeoff import write

        made = write.result_json(self.tradeoff, self.problem.inputs, seed, write.versions())
        document: dict[str, Any] = jsonout.plain(made | _explored_json(self.explored, self.tradeoff.searched))
        return document

    def save(self, folder: PathLike, *, seed: int = 0, force: bool = False) -> tuple[Path, ...]:
        """Write the page to compare on, front.csv and result.json into a folder, each whole or not at all.

        The folder's index.json remembers the brewhouse and what was written. Files of another brewhouse, and
        those that were changed since or written by somebody else, are replaced only with force.

        Returns
        -------
        tuple of Path
            The files.

        Raises
        ------
        CannotWrite

        Examples
        --------
        >>> oc.front(oc.read()).save("reports/mine")  # doctest: +SKIP
        """
        from optichill.report.tradeoff import write

        study = None if self.explored is None else self.explored.typed
        more = _explored_json(self.explored, self.tradeoff.searched)
        inputs = self.problem.inputs
        return write.write(self.tradeoff, inputs, Path(folder), seed, force=force, study=study, more=more)

    def lines(self, files: tuple[Path, ...] = (), *, width: int = WIDTH) -> list[str]:
        """What is left, or what stands in the way, as the screen says it, folded to a width [columns];
        files : those that were written.

        Examples
        --------
        >>> oc.front(oc.read(), tube="cu-10x1-10m", form="keg-soda").lines()[2].startswith("LEFT")
        True
        """
        found, inputs = self.tradeoff, self.problem.inputs
        if len(found):
            left = f"{left_text(found.answer)}, of {weighed_count(found.answer)} gone through"
            lines = [inputs.first_line, "", *entry("LEFT", left, *sample_text(found.answer.sample))]
            lines += _explored_lines(self.explored, found.searched)
            lines += calibrated.lines(inputs.brewhouse, inputs.calibration)
        else:
            lines = screen.first_screen(found.answer, inputs)
            lines += _explored_lines(self.explored, found.searched, found.answer)
        return folded([*lines, *entry("WROTE", *(str(file) for file in files))], width)


@dataclass(frozen=True)
class Conflict:
    """Limits that no coil holds together.

    Parameters
    ----------
    limits : their names; together they are too much, any fewer of them are not.
    ways_out : smallest steps that free one of them, each with the build that it opens.

    Examples
    --------
    >>> Conflict(("chill_time", "water"), ()).limits
    ('chill_time', 'water')
    """

    limits: tuple[str, ...]
    ways_out: tuple[OpenedDesign, ...]


@dataclass(frozen=True, eq=False)
class Recommendation:
    """What to build, or what stands in the way.

    Parameters
    ----------
    problem : what was asked.
    answer : what was found.
    searched : all that the search kept.
    explored : what is known of the study whose coils are beside those of the lists.

    Examples
    --------
    >>> answer = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda")
    >>> len(answer.designs), answer.best is answer.designs[0], answer.conflicts
    (1, True, ())
    >>> answer.best.bill.total > 0.0
    True
    """

    problem: Problem
    answer: Answer = field(repr=False)
    searched: SearchResult = field(repr=False)
    explored: Explored | None = field(default=None, repr=False)

    @property
    def designs(self) -> tuple[Design, ...]:
        """The best distinct builds, best first; empty when nothing fits."""
        return self.answer.designs

    @property
    def best(self) -> Design | None:
        """The first of them, None when nothing fits."""
        return self.designs[0] if self.designs else None

    @cached_property
    def front(self) -> Front:
        """All that nothing beats, of the same search."""
        return _weighed(self.problem, self.searched, self.explored)

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """What stands in the way, and the smallest steps out; empty when something fits."""
        found = self.answer.conflicts
        if found is None:
            return ()
        return tuple(
            Conflict(
                tuple(names),
                tuple(w for w in self.answer.opened if any(s.limit in names for s in w.relaxation.steps)),
            )
            for names in found.sets
        )

    def lines(
        self, width: int = WIDTH, *, full: bool = False, first: int | None = None, asked: int = 0
    ) -> list[str]:
        """The answer as `optichill recommend` says it, folded to a width [columns]; full : with how it was
        found, all cautions and all that tells the builds apart; first : so many builds, not those alone that
        are there for a reason of their own; asked : so many were looked for: of fewer it is said why.

        Examples
        --------
        >>> lines = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda").lines()
        >>> any(line.startswith("BUILD THIS") for line in lines)
        True
        """
        lines = screen.first_screen(self.answer, self.problem.inputs, full=full)
        lines = folded([*lines, *_explored_lines(self.explored, self.searched, self.answer)], width)
        if not self.designs:
            return lines
        first = len(self.designs) if full and first is None else first
        lines += choices(self.answer, width, first)
        lines += ["", *folded(ranked_table(self.answer, width), width)] if full else []
        return [*lines, *folded(no_more(self.answer, asked, first), width)]

    @property
    def to_keep(self) -> Design | None:
        """The best build; where nothing fits, the coil of the first way out, which breaks a limit.

        Examples
        --------
        >>> answer = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda")
        >>> answer.to_keep is answer.best
        True
        """
        return self.answer.to_keep

    def kept(self, file: PathLike) -> str:
        """What is said of the coil in a file; where nothing fits, which limits it breaks.

        Examples
        --------
        >>> oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda").kept("coil.toml")
        'saved coil.toml'
        """
        return f"saved {file}" if self.designs else no_fit.kept_anyway(self.answer, str(file))

    def find(self, coil: str) -> Design:
        """The coil of an id, or of the beginning of one, of all that this search left.

        Raises
        ------
        OptichillError
            No coil has it, or several.

        Examples
        --------
        >>> answer = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda")
        >>> answer.find(answer.best.id[:5]).turns == answer.best.turns
        True
        """
        return found_again(self.searched, an_id(coil))

    def save_coil(self, path: PathLike, *, anyway: bool = False, coil: Design | str | None = None) -> Path:
        """Write the best build as a coil file that a person can edit, whole or not at all. anyway : where
        nothing fits, the coil of the first way out (`to_keep`), which breaks a limit; coil : another one
        that was found, or its id (`find`).

        Returns
        -------
        Path
            The file.

        Raises
        ------
        CannotWrite
            Also when nothing fits, and over a file that the problem was read from.
        OptichillError
            An id that no coil has; an argument of the wrong kind.

        Examples
        --------
        >>> oc.recommend(oc.read()).save_coil("coil.toml")  # doctest: +SKIP
        """
        if not isinstance(path, str | os.PathLike):
            raise refuse("path", path, "not a path", "a file that ends in .toml")
        first = self.to_keep if anyway else self.best
        kept = first if coil is None else coil if isinstance(coil, Design) else self.find(coil)
        if kept is None:
            raise CannotWrite(f"{path}: not written: no coil fits")
        return save_coil(path, kept, self.problem.brewhouse)

    def coil_text(self, coil: Design) -> str:
        """The coil file of a coil that was found, as `save_coil` writes it.

        Examples
        --------
        >>> answer = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda")
        >>> "[coil]" in answer.coil_text(answer.best)
        True
        """
        return text_of(coil, self.problem.brewhouse)

    def to_dict(self) -> dict[str, Any]:
        """The document of `optichill recommend --json`, in SI.

        Examples
        --------
        >>> answer = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda")
        >>> answer.to_dict()["designs"][0]["stock_id"]
        'cu-10x1-10m'
        """
        made = jsonout.recommend(self.answer, self.problem.inputs)
        made["search"] |= _explored_json(self.explored, self.searched)
        document: dict[str, Any] = jsonout.plain(made)
        return document

    def _repr_html_(self) -> str:
        return notebook.shortlist(self.answer, self.problem.inputs.first_line)


@overload
def recommend(
    problem: Problem,
    top: int = 5,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
    *,
    study: PathLike | None = None,
) -> Recommendation: ...


@overload
def recommend(
    problem: Problem,
    top: int = 5,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
    *,
    also: Sequence[Problem] = (),
    next_kettle: Problem | None = None,
    study: PathLike | None = None,
) -> Recommendation | ForSeveral: ...


def recommend(
    problem: Problem,
    top: int = 5,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
    *,
    also: Sequence[Problem] = (),
    next_kettle: Problem | None = None,
    study: PathLike | None = None,
) -> Recommendation | ForSeveral:
    """Search every coil that the stock allows, and rank those that can be built.

    Parameters
    ----------
    problem : Problem
    top : int
        Builds to work out in full, 1 to 50.
    tube, form : str, optional
        Only this stock_id of the tubing, only this form_id of the forms.
    tell : callable, optional
        Is called now and then with how many rows have been looked at, and of how many.
    also : list of Problem
        Other kettles that the same coil is to serve, each by its own limits.
    next_kettle : Problem, optional
        The kettle that is planned: a coil for today's, bought with regard for it.
    study : path or str
        Where `explore` keeps what it tried: its coils go beside those of the lists.

    Returns
    -------
    Recommendation
        Or ForSeveral, where other kettles are named that differ.

    Raises
    ------
    InputFaults
        An argument is of the wrong kind.
    OptichillError
        An id that is not in the lists.

    Examples
    --------
    >>> answer = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda")
    >>> answer.best.winding.tube.stock_id
    'cu-10x1-10m'
    """
    if not isinstance(top, int) or isinstance(top, bool) or not 1 <= top <= MOST:
        raise refuse("top", top, "not a number of builds", f"1 to {MOST}")
    checked(problem, tube, form)
    alone(study, tube=tube, form=form, also=also, next_kettle=next_kettle)
    if next_kettle is not None or not isinstance(also, list | tuple) or also:
        from optichill.api.several import for_several

        found = for_several(problem, also, next_kettle, top=top, tube=tube, form=form, tell=tell)
        if found is not None:
            return found
    searched, explored = _searched(problem, tube, form, tell, study)
    return Recommendation(problem, recommendation_of(searched, top=top), searched, explored)


def front(
    problem: Problem,
    tube: str | None = None,
    form: str | None = None,
    tell: Tell | None = None,
    *,
    study: PathLike | None = None,
) -> Front:
    """Search every coil that the stock allows, and keep all that nothing beats.

    Parameters
    ----------
    problem : Problem
    tube, form : str, optional
        Only this stock_id of the tubing, only this form_id of the forms.
    tell : callable, optional
        Is called now and then with how many rows have been looked at, and of how many.
    study : path or str, optional
        As in `recommend`.

    Returns
    -------
    Front

    Raises
    ------
    InputFaults
        An argument is of the wrong kind.
    OptichillError
        An id that is not in the lists.

    Examples
    --------
    >>> len(oc.front(oc.read(), tube="cu-10x1-10m", form="keg-soda")) > 1
    True
    """
    checked(problem, tube, form)
    alone(study, tube=tube, form=form)
    return _weighed(problem, *_searched(problem, tube, form, tell, study))


def _weighed(problem: Problem, searched: SearchResult, explored: Explored | None) -> Front:
    from optichill.search.tradeoff import weigh

    return Front(problem, weigh(searched), explored)


def _searched(
    problem: Problem, tube: str | None, form: str | None, tell: Tell | None, study: PathLike | None
) -> tuple[SearchResult, Explored | None]:
    with told_where(problem.inputs):
        found = search_space(problem.basis, tube=tube, form=form, tell=tell)
        return (found, None) if study is None else with_study(problem, found, study)


def explored_of(searched: SearchResult) -> int:
    """How many coils that nothing beats are explored ones, each counted once however its valve is set."""
    if searched.front is None:
        return 0
    space, numbers = searched.enumeration.space, searched.front.number
    numbers = numbers[space.explored(numbers)]
    return int(coil_of(rows(space, numbers)).max(initial=-1)) + 1


def _explored_lines(
    explored: Explored | None, searched: SearchResult, answer: Answer | None = None
) -> list[str]:
    """What came of a study; answer : where nothing fits, beside whose ways out its nearest coil stands."""
    if explored is None:
        return []
    lines = joined_lines(explored, explored_of(searched), searched.enumeration.space.basis)
    if answer is None or answer.designs:
        return lines
    return lines + nearest_lines(nearest_of(wider(searched), explored.near), answer)


def _explored_json(explored: Explored | None, searched: SearchResult) -> dict[str, Any]:
    """Nothing where no study was asked for."""
    if explored is None:
        return {}
    return {"explored": explore_json.explored(explored, explored_of(searched))}
