"""A coil as it is given to the door, and the problem with it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from optichill.api.problem import Problem
from optichill.errors import Freezes, InputFault, InputFaults
from optichill.files.coil_file import as_written
from optichill.files.in_python import coil_of, refuse
from optichill.files.reading import Inputs, stands_at, with_remarks
from optichill.search.designs import Design, as_coil


def inputs_with(coil: Any, problem: Problem) -> Inputs:
    """What was read, with the coil: of a file, a dict, a Coil, or a design as its own file would have it.

    Raises
    ------
    InputFaults
        All faults of the coil, or something that is neither coil nor problem.
    """
    if not isinstance(problem, Problem):
        raise refuse("problem", problem, "not a problem", "what read or Problem gave")
    found = as_written(as_coil(coil)) if isinstance(coil, Design) else coil_of(coil)
    return with_remarks(replace(problem.inputs, coil=found))


@contextmanager
def told_where(inputs: Inputs) -> Iterator[None]:
    """What only the physics can find out about the plan, as a fault with its file and line.

    Raises
    ------
    InputFaults
        The wort would freeze in a hold.
    """
    try:
        yield
    except Freezes as error:
        place, line, key = stands_at(inputs.brewhouse, "cooling", error.stage, "hold")
        raise InputFaults([InputFault(place, line, key, "", error.reason, error.allowed)]) from None
