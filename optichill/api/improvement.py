"""What helps a coil that somebody owns."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from optichill.api.given import inputs_with, is_id
from optichill.api.problem import Problem, told_where
from optichill.api.tables import Table
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.reading import Inputs
from optichill.owned.improve import ranked as owned
from optichill.report import jsonout, notebook
from optichill.report.improve import document as improve_json
from optichill.report.improve import screen as report
from optichill.report.improve.lines import NO_FILE
from optichill.report.paper import WIDTH, folded
from optichill.search.designs import Design
from optichill.search.enumeration import Tell


@dataclass(frozen=True, eq=False)
class Improvement:
    """Whether a coil is good enough, and what helps it most.

    Parameters
    ----------
    inputs : what was read, with the coil.
    found : every change, worked out.
    coil : the coil's file as it was named, or what its lines would go into; searched : it was found.

    Examples
    --------
    >>> coil = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24 cm",
    ...         "pitch": "16 mm", "turns": 10, "riser_length_in": "60 cm", "riser_length_out": "40 cm"}
    >>> better = oc.improve(coil, oc.read())
    >>> better.good_enough, better.changes.rows[0]["write"][0]["lines"]
    (False, ['mixing = { with = "paddle", motion = "slow" }'])
    """

    inputs: Inputs = field(repr=False)
    found: owned.Improvement = field(repr=False)
    coil: str = "coil"
    searched: bool = False

    def __repr__(self) -> str:
        return f"<Improvement: {self.verdict}>"

    @cached_property
    def _plan(self) -> WorkPlan:
        """The work that the coil takes: what its sheet stops at is told here too."""
        return plan_work(self.found.now.basis, self.found.now.coil)

    @property
    def reached(self) -> bool:
        """Whether the coil as it is comes to the target."""
        return self.found.reached

    @property
    def good_enough(self) -> bool:
        """Whether it keeps all that was asked for, and is quick, or nothing helps."""
        return self.found.good_enough

    @property
    def verdict(self) -> str:
        """One sentence: good enough, or what helps most."""
        return report.verdict(self.found)

    @property
    def changes(self) -> Table:
        """What is worth doing, best first, with the lines that make it so: rank, kind, text,
        chill_time_p50_s, gain_s, gain_water_m3, gains_in, cost, saves, write and more, as `to_dict`
        has them."""
        return Table(tuple(self.to_dict()["changes"]))

    def lines(self, width: int = WIDTH) -> list[str]:
        """The answer as `optichill improve` says it, folded to a width [columns]."""
        said = report.screen(self.found, self.inputs, self._plan, self.coil, searched=self.searched)
        return folded(said, width)

    def to_dict(self) -> dict[str, Any]:
        """The document of `optichill improve --json`, in SI."""
        document: dict[str, Any] = jsonout.plain(
            improve_json.document(self.found, self.inputs, self._plan, self.coil)
        )
        return document

    def _repr_html_(self) -> str:
        return notebook.text(self.lines())


def improve(coil: Any, problem: Problem, tell: Tell | None = None) -> Improvement:
    """What helps a coil most: every change to it, to how it is used and to its plan worked out by itself, in
    all draws of what is not known, and ranked by what it saves over the coil's life.

    Parameters
    ----------
    coil : str, path, dict, Coil or Design
        As in `rate`.
    problem : Problem
    tell : callable, optional
        As in `recommend`: another coil is searched for too.

    Returns
    -------
    Improvement

    Raises
    ------
    InputFaults
        All faults of the coil at once.
    OptichillError
        A coil that is not worked out: more than two layers; an id that no coil has.

    Examples
    --------
    >>> oc.improve({"material": "gold", "outer_diameter": "10 mm"}, oc.read())
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: in Python: coil.material: gold: not known (allowed: copper, ...
    """
    inputs = inputs_with(coil, problem)
    searched = isinstance(coil, Design) or is_id(coil)
    file = str(coil) if isinstance(coil, str | os.PathLike) else "coil"
    with told_where(inputs):
        found = owned.improve(inputs, tell)
    return Improvement(inputs, found, NO_FILE if searched else file, searched)
