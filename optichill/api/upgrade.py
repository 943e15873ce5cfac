"""A new kettle arrives: what becomes of the coil."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from optichill.api.given import inputs_with
from optichill.api.problem import PathLike, Problem, read, told_where
from optichill.errors import InputFault, InputFaults, OptichillError, shown
from optichill.files.coil_file import coil_text
from optichill.files.in_python import refuse
from optichill.files.ownership import is_one_file, read_for, refuse_input
from optichill.files.writing import write_whole
from optichill.owned.new_kettle import ranked as owned
from optichill.owned.new_kettle.option import NAMES, Option
from optichill.report import jsonout, notebook
from optichill.report.new_kettle.document import document, page_section
from optichill.report.new_kettle.reasons import is_none
from optichill.report.new_kettle.screen import screen
from optichill.report.new_kettle.told import Told
from optichill.report.paper import WIDTH, entry, folded
from optichill.report.tradeoff import write
from optichill.search.enumeration import Tell
from optichill.search.tradeoff import weigh

ONCE_MORE, OTHER = "the old kettle once more", "the file of the other kettle"


@dataclass(frozen=True, eq=False)
class Upgrade:
    """What becomes of a coil in a new kettle.

    Parameters
    ----------
    old, new : both kettles, the old one with its coil.
    found : every option, worked out.

    Examples
    --------
    >>> problem = oc.read()
    >>> shallow = oc.read("catalogs/wide")  # doctest: +SKIP
    >>> oc.new_kettle("coil.toml", problem, shallow).options  # doctest: +SKIP
    ('keep', 'precool', 'pair', 'replace', 'rewind')
    """

    old: Problem
    new: Problem
    found: owned.NewKettle = field(repr=False)

    @property
    def options(self) -> tuple[str, ...]:
        """Names of what can be done, best first."""
        return tuple(option.name for option in self.found.options)

    @property
    def reached(self) -> bool:
        """Whether any option brings the wort of the new kettle to its target."""
        return self.found.first is not None

    def option(self, name: str | None = None) -> Option:
        """One option, the first without a name.

        Raises
        ------
        InputFaults
            No such name, or one that does not apply here.
        """
        if name is not None and name not in NAMES:
            raise refuse("option", name, "not known", ", ".join(NAMES))
        found = self.found.first if name is None else self.found.option(name)
        if found is None:
            there = ", ".join(self.options) or "none applies"
            raise refuse("option", name or "the first", self.why_not(name), there)
        return found

    def why_not(self, name: str | None) -> str:
        """Why an option does not apply, without a full stop."""
        return "nothing applies" if name is None else is_none(name, self._told)

    def writes(self, name: str | None = None) -> bool:
        """Whether an option asks for lines in files of the new kettle."""
        option = self.option(name)
        return bool(option.plan or option.rows)

    @cached_property
    def _told(self) -> Told:
        return Told.of(self.found)

    def lines(
        self, width: int = WIDTH, *, option: str | None = None, files: tuple[Path, ...] = ()
    ) -> list[str]:
        """The answer as `optichill new-kettle` says it, folded to a width [columns]; option : told in full
        instead of the first, where it applies, else with what it lacks; files : those that were written."""
        said = screen(self._told, self.old.inputs, self.new.inputs, option, width)
        return [*said, *folded(entry("WROTE", *(str(file) for file in files)), width)]

    def to_dict(self) -> dict[str, Any]:
        """The document of `optichill new-kettle --json`, in SI."""
        made: dict[str, Any] = jsonout.plain(document(self._told, self.old.inputs, self.new.inputs))
        return made

    def save_coil(self, path: PathLike, *, option: str | None = None) -> Path:
        """Write the coil of an option, of the first without one, as a file for the new kettle, whole or not
        at all.

        Raises
        ------
        CannotWrite
            Also over a file that either kettle was read from.
        InputFaults
            As `option`.
        """
        if not isinstance(path, str | os.PathLike):
            raise refuse("path", path, "not a path", "a file that ends in .toml")
        kept, house = self.option(option), self.new.brewhouse
        for problem in (self.old, self.new):
            refuse_input(Path(path), read_for(problem.brewhouse))
        demo = house.demo or self.old.brewhouse.demo
        write_whole(Path(path), coil_text(kept.coil, demo=demo, brewhouse=house.name, units=house.units))
        return Path(path)

    def save_page(self, folder: PathLike, *, seed: int = 0, force: bool = False) -> tuple[Path, ...]:
        """Write the new kettle's page to compare on, with before and after at its head, and its tables, as
        `Front.save`."""
        if not isinstance(folder, str | os.PathLike):
            raise refuse("folder", folder, "not a path", "the name of a folder")
        for name in (*write.NAMES, "index.json"):
            refuse_input(Path(folder) / name, read_for(self.old.brewhouse))
        section = page_section(self._told)
        return write.write(
            weigh(self.found.searched), self.new.inputs, Path(folder), seed, force=force, before=section
        )

    def __repr__(self) -> str:
        return f"<Upgrade: {', '.join(self.options) or 'nothing applies'}>"

    def _repr_html_(self) -> str:
        return notebook.text(self.lines())


def new_kettle(coil: Any, old: Problem, new: Problem, *, tell: Tell | None = None) -> Upgrade:
    """What becomes of a coil when a new kettle arrives.

    Parameters
    ----------
    coil : str, path, dict, Coil or Design
        As in `rate`; an id is one of the old kettle's.
    old, new : Problem
        The kettle that the coil was made for, and the one that comes.
    tell : callable, optional
        As in `recommend`.

    Returns
    -------
    Upgrade

    Raises
    ------
    InputFaults
        All faults of the coil at once; one kettle in place of two.
    OptichillError
        A coil that is not worked out: more than two layers; an id that no coil has.

    Examples
    --------
    >>> problem = oc.read()
    >>> oc.new_kettle({}, problem, problem)
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: in Python: new: Two-Crate Kitchen: the old kettle once more (allowed: ...
    """
    for name, problem in (("old", old), ("new", new)):
        if not isinstance(problem, Problem):
            raise refuse(name, problem, "not a problem", "what read or Problem gave")
    if new is old or _same_file(old, new):
        raise refuse("new", new.brewhouse.name, ONCE_MORE, OTHER)
    inputs = inputs_with(coil, old)
    assert inputs.coil is not None
    with told_where(inputs), told_where(new.inputs):
        return Upgrade(Problem.of(inputs), new, owned.new_kettle(old.basis, new.basis, inputs.coil, tell))


def _same_file(old: Problem, new: Problem) -> bool:
    one, other = old.brewhouse.path, new.brewhouse.path
    return one is not None and other is not None and is_one_file(one, other)


def read_both(old: PathLike, new: PathLike, *, units: str | None = None) -> tuple[Problem, Problem]:
    """Both kettles, told in the units of the new one; the faults of both at once, each with whose it is.

    Raises
    ------
    InputFaults
    OptichillError
        One kettle in place of two.
    """
    faults: list[InputFault] = []

    def one(name: str, path: PathLike, shown: Callable[[], str | None]) -> Problem | None:
        try:
            return read(path, units=shown())
        except InputFaults as error:
            faults.extend(replace(fault, file=f"{name} {fault.file}") for fault in error.faults)
            return None

    arrives = one("NEW", new, lambda: units)
    stays = one("OLD", old, lambda: arrives.brewhouse.units if arrives else units)
    if stays is None or arrives is None:
        raise InputFaults(faults)
    if _same_file(stays, arrives):
        raise OptichillError(f"NEW {shown(str(new), 1000)}: {ONCE_MORE} (allowed: {OTHER})")
    return stays, arrives
