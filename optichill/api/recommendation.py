"""What to build: the best coils, or what stands in the way."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, overload

from optichill.api.fronts import Front, weighed
from optichill.api.given import an_id, save_coil, text_of
from optichill.api.problem import PathLike, Problem, told_where
from optichill.api.search_pass import checked, searched
from optichill.api.studies import alone
from optichill.errors import CannotWrite
from optichill.files.in_python import refuse
from optichill.report import jsonout, no_fit, notebook, screen
from optichill.report.explore import joined
from optichill.report.paper import WIDTH, folded
from optichill.report.table import choices, no_more, ranked_table
from optichill.search.answer import Answer
from optichill.search.designs import Design
from optichill.search.done_otherwise import PLACED
from optichill.search.enumeration import Tell
from optichill.search.explore.study_team import Explored
from optichill.search.find import found_again
from optichill.search.recommend import SearchResult, recommendation_of
from optichill.search.ways_out import OpenedDesign

if TYPE_CHECKING:
    from optichill.api.several import ForSeveral

MOST = 50
"""Builds in a table, at most."""
OF_A_FORM = frozenset(
    {"wall", "floor", "submergence", "riser_gap", "mouth", "centre", "layer_gap", "form_height"}
)
"""Limits of room that a form of another diameter may hold."""


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

    @property
    def forms_may_help(self) -> bool:
        """Whether nothing fits for want of room, and forms that have still to be made may be tried."""
        found, free = self.answer.conflicts, not self.problem.brewhouse.workshop.forms_owned_only
        named = set() if found is None else set().union(*found.sets)
        stands = any(way.kind in PLACED for way in self.answer.done_otherwise)
        return free and not stands and bool(named & OF_A_FORM)

    @cached_property
    def front(self) -> Front:
        """All that nothing beats, of the same search."""
        return weighed(self.problem, self.searched, self.explored)

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
        lines = folded([*lines, *joined.lines(self.explored, self.searched, self.answer)], width)
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
        made["search"] |= joined.part(self.explored, self.searched)
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
    with told_where(problem.inputs):
        result, explored = searched(problem, tube, form, tell, study)
        return Recommendation(problem, recommendation_of(result, top=top), result, explored)
