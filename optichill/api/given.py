"""A coil as it is given to the door, and as the door gives it away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from optichill.api.problem import PathLike, Problem, told_where
from optichill.api.search_pass import searched
from optichill.files.coil_file import as_written, coil_text
from optichill.files.in_python import coil_of, refuse
from optichill.files.ownership import read_for, refuse_input
from optichill.files.places import is_id as is_id
from optichill.files.reading import Inputs, with_remarks
from optichill.files.writing import write_whole
from optichill.model.brewhouse import Brewhouse
from optichill.rating.stood import stood
from optichill.search.designs import Design, as_coil
from optichill.search.enumeration import Tell
from optichill.search.find import found_again, well_formed


def an_id(coil: object) -> str:
    """Text; anything else is no id.

    Raises
    ------
    InputFaults
    """
    if not isinstance(coil, str):
        raise refuse("coil", coil, "not an id", "the id of a coil, as front lists them")
    return coil


def find(coil: str, problem: Problem, tell: Tell | None = None, *, study: PathLike | None = None) -> Design:
    """The coil of an id, found by searching once more: of all that `front` has; where nothing fits, of those
    that would open.

    Parameters
    ----------
    coil : str
        Its id, or the beginning of it: 4 signs are enough where no other begins so.
    problem : Problem
    tell : callable, optional
        As in `recommend`.
    study : path or str, optional
        As in `recommend`: its coils are looked at too.

    Returns
    -------
    Design

    Raises
    ------
    OptichillError
        No coil has it, or several.

    Examples
    --------
    >>> oc.find("tcf", oc.read())
    Traceback (most recent call last):
        ...
    optichill.search.find.NoSuchCoil: tcf: neither a file that is there nor the id of a coil: it has ...
    """
    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    well_formed(an_id(coil))
    with told_where(problem.inputs):
        found, _ = searched(problem, tell=tell, study=study)
        return found_again(found, coil)


def inputs_with(coil: Any, problem: Problem) -> Inputs:
    """What was read, with the coil: of a file, an id, a dict, a Coil, or a design as its own file would have
    it.

    Raises
    ------
    InputFaults
        All faults of the coil, or something that is neither coil nor problem.
    """
    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    if is_id(coil):
        coil = find(coil, problem)
    found = as_written(as_coil(coil)) if isinstance(coil, Design) else coil_of(coil, problem.brewhouse)
    return stood(with_remarks(replace(problem.inputs, coil=found)))


def save_coil(path: PathLike, coil: Design, house: Brewhouse, remarks: Sequence[str] = ()) -> Path:
    """A coil as a file that a person can edit, whole or not at all. remarks : comments in it.

    Raises
    ------
    CannotWrite
        Also over a file that the house was read from.
    """
    refuse_input(Path(path), read_for(house))
    write_whole(Path(path), text_of(coil, house, remarks))
    return Path(path)


def text_of(coil: Design, house: Brewhouse, remarks: Sequence[str] = ()) -> str:
    """The same as text."""
    return coil_text(as_coil(coil), demo=house.demo, brewhouse=house.name, units=house.units, remarks=remarks)
