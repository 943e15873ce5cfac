"""One coil for several kettles, and today's coil with regard for the next kettle."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from optichill.api.given import an_id, save_coil, text_of
from optichill.api.problem import PathLike, Problem, told_where
from optichill.errors import CannotWrite, InputFault, InputFaults, shown
from optichill.files.in_python import refuse
from optichill.files.reading import stands_at
from optichill.problem.coil_id import LEAST
from optichill.report import jsonout, notebook
from optichill.report.paper import WIDTH, folded
from optichill.report.several import document as several_json
from optichill.report.several import next_kettle
from optichill.report.several import screen as several
from optichill.search.designs import Design
from optichill.search.enumeration import Tell
from optichill.search.find import NoSuchCoil, well_formed
from optichill.search.next_kettle import Regard, with_regard
from optichill.search.shared import ForAll, There, for_all


@dataclass(frozen=True, eq=False)
class ForSeveral:
    """What to build for several kettles, or today with regard for the next one.

    Parameters
    ----------
    problem : the first kettle's, whose lists the coil is made from.
    others : the other kettles, as they were given.
    found : what was found; with its coils, how each stands and chills in every kettle.

    Examples
    --------
    >>> tall = oc.read().brewhouse.kettle.model_copy(update={"inside_height": 0.5})
    >>> parts = {part: getattr(oc.read().brewhouse, part) for part in ("wort", "tap", "workshop", "limits")}
    >>> other = oc.Problem(name="Tall pot", kettle=tall, stock=oc.read().stock, **parts)
    >>> both = oc.recommend(oc.read(), top=1, tube="cu-10x1-10m", form="keg-soda", also=[other])
    >>> len(both.designs), both.found.coils[0].there[0].serves
    (1, True)
    """

    problem: Problem
    others: tuple[Problem, ...]
    found: ForAll | Regard = field(repr=False)

    @property
    def designs(self) -> tuple[Design, ...]:
        """The best distinct builds as they stand in the first kettle, best first; empty where none serves."""
        return tuple(coil.design for coil in self.found.coils)

    @property
    def best(self) -> Design | None:
        """The first of them, None where none serves all."""
        return self.designs[0] if self.designs else None

    @property
    def to_keep(self) -> Design | None:
        """The design that is worth a file: the first."""
        return self.best

    def lines(
        self, width: int = WIDTH, *, full: bool = False, first: int | None = None, asked: int = 0
    ) -> list[str]:
        """The answer as `optichill recommend` says it, folded to a width [columns]; full : with all cautions;
        first, asked : as in `Recommendation.lines`; all coils are shown."""
        found, inputs = self.found, self.problem.inputs
        if isinstance(found, Regard):
            told, table = next_kettle.screen(found, inputs, full=full), next_kettle.table(found, width)
        else:
            told, table = several.screen(found, inputs, full=full), several.table(found, width)
        return [*folded(told, width), *(["", *table] if found.coils else [])]

    def kept(self, file: PathLike) -> str:
        """What is said of the coil in a file."""
        house = shown(self.problem.brewhouse.name)
        elsewhere = self.best is not None and self._elsewhere(self.best)
        how = "; comments in it say how in the other" if elsewhere else ""
        return f"saved {file}: as it stands in {house}{how}"

    @property
    def bench(self) -> Problem:
        """With which of the brewhouses the build sheet is made: the risers are bent for its rim."""
        best = self.found.coils[0].design
        there = [(other.basis, other.design) for other in self._elsewhere(best)]
        place = several.tallest([(self.found.kettles[0], best), *there])
        return self.problem if place == 0 else self.others[place - 1]

    @property
    def bench_file(self) -> tuple[str, ...]:
        """What a copy of the coil file must say otherwise for that sheet, where the coil stands otherwise."""
        best = self.found.coils[0].design
        return next(
            (
                tuple(several.otherwise(other.design, other.basis, best))
                for other in self._elsewhere(best)
                if other.basis.brewhouse.name == self.bench.brewhouse.name
            ),
            (),
        )

    def find(self, coil: str) -> Design:
        """The coil of an id, or of the beginning of one, of those that were found.

        Raises
        ------
        OptichillError
            None of them has it, or several.
        """
        plain = well_formed(an_id(coil))
        named = [design for design in self.designs if design.id.startswith(plain)]
        if len(named) != 1:
            these = ", ".join(design.id for design in self.designs)
            raise NoSuchCoil(
                f"{shown(coil)}: {'several' if named else 'none'} of these coils (allowed: at least {LEAST} "
                f"signs of {these})"
            )
        return named[0]

    def save_coil(self, path: PathLike, *, anyway: bool = False, coil: Design | str | None = None) -> Path:
        """Write the best build as a coil file as it stands in the first kettle; comments in it say how it
        stands in the others. coil : another one that was found, or its id; anyway : as in `Recommendation`.

        Raises
        ------
        CannotWrite
            Also where no coil serves all, and over a file that the problem was read from.
        OptichillError
            An id that no coil has; an argument of the wrong kind.
        """
        if not isinstance(path, str | os.PathLike):
            raise refuse("path", path, "not a path", "a file that ends in .toml")
        kept = self.best if coil is None else coil if isinstance(coil, Design) else self.find(coil)
        if kept is None:
            raise CannotWrite(f"{path}: not written: no coil serves all kettles")
        return save_coil(path, kept, self.problem.brewhouse, self._remarks(kept))

    def coil_text(self, coil: Design) -> str:
        """The coil file of a coil that was found, as `save_coil` writes it."""
        return text_of(coil, self.problem.brewhouse, self._remarks(coil))

    def _remarks(self, kept: Design) -> list[str]:
        """How it stands elsewhere."""
        said = []
        for other in self._elsewhere(kept):
            lines = ", ".join(several.written(other.design, other.basis))
            said.append(f"In {shown(other.basis.brewhouse.name)}: {lines}.")
        return said

    def _elsewhere(self, kept: Design) -> tuple[There, ...]:
        """A coil in the other kettles, where it is kept there."""
        if isinstance(self.found, Regard):
            return tuple(c.there for c in self.found.coils if c.design.id == kept.id and c.kept)
        return next((c.there for c in self.found.coils if c.design.id == kept.id), ())

    def to_dict(self) -> dict[str, Any]:
        """The document of `optichill recommend --json`, in SI, with `elsewhere` in each design."""
        found, inputs = self.found, self.problem.inputs
        made = (
            several_json.with_regard(found, inputs)
            if isinstance(found, Regard)
            else several_json.for_all(found, inputs)
        )
        document: dict[str, Any] = jsonout.plain(made)
        return document

    def _repr_html_(self) -> str:
        return notebook.text(self.lines())


def for_several(
    problem: Problem,
    also: Any,
    planned: Any,
    *,
    top: int,
    tube: str | None,
    form: str | None,
    tell: Tell | None,
) -> ForSeveral | None:
    """The answer where other kettles are named; None where there is nothing to regard: none that differs, or
    nothing that fits today."""
    others = _others(also, planned)
    for other in others:
        _refuse_what_cannot_be_summed(problem, other)
    if others and problem.brewhouse.wishes.states_levels:
        raise InputFaults([_levels(problem)])
    with told_where(problem.inputs):
        if planned is not None:
            if same_kettle(problem, planned, named=False):
                return None
            found = with_regard(problem.basis, planned.basis, top=top, tube=tube, form=form, tell=tell)
            return None if found is None else ForSeveral(problem, (planned,), found)
        differ = _distinct(problem, others)
        if not differ:
            return None
        bases = [other.basis for other in differ]
        shared = for_all(problem.basis, bases, top=top, tube=tube, form=form, tell=tell)
        return ForSeveral(problem, tuple(differ), shared)


def _others(also: Any, planned: Any) -> list[Problem]:
    if isinstance(also, str) or not isinstance(also, Sequence):
        raise refuse("also", also, "not a list", "a list of what read or Problem gave")
    for n, other in enumerate(also):
        if not isinstance(other, Problem):
            raise refuse(f"also[{n}]", other, "not a problem", "what read or Problem gave")
    if planned is None:
        return list(also)
    if not isinstance(planned, Problem):
        raise refuse("next_kettle", planned, "not a problem", "what read or Problem gave")
    if also:
        raise refuse("next_kettle", planned, "goes without also", "one of the two")
    return [planned]


def same_kettle(one: Problem, other: Problem, *, named: bool) -> bool:
    """Whether two brewhouses say the same of kettle, batch, plan, limits and wishes; named : and of their
    names."""
    apart = {"stock", "units", "demo"} | (set() if named else {"name"})
    mine, its = one.brewhouse, other.brewhouse
    return all(getattr(mine, key) == getattr(its, key) for key in type(mine).model_fields if key not in apart)


def _distinct(problem: Problem, others: Sequence[Problem]) -> list[Problem]:
    """The other kettles, each once and without the first."""
    found = [problem]
    for other in others:
        if not any(same_kettle(one, other, named=True) for one in found):
            found.append(other)
    return found[1:]


def _refuse_what_cannot_be_summed(first: Problem, other: Problem) -> None:
    """One sum of money takes one currency, and no levels.

    Raises
    ------
    InputFaults
    """
    mine, its = (p.brewhouse.stock.currency for p in (first, other))
    faults = []
    if mine != its:
        place, line, key = stands_at(other.brewhouse, "stock", "currency")
        reason = "another currency than the first brewhouse has, whose prices count"
        faults.append(InputFault(place, line, key, its, reason, mine))
    if other.brewhouse.wishes.states_levels:
        faults.append(_levels(other))
    if faults:
        raise InputFaults(faults)


def _levels(problem: Problem) -> InputFault:
    place, line, key = stands_at(problem.brewhouse, "wishes")
    reason = "levels of goals rank, and those of several kettles have no sum"
    return InputFault(place, line, key, "", reason, "batches, hour, water_price, ice_price, good_time")
