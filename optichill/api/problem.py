"""What a brewer states: read from files, or said in Python."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from optichill.errors import Freezes, InputFault, InputFaults, OptichillError
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.in_python import inputs_of, refuse
from optichill.files.reading import Inputs, find, load, stands_at
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil
from optichill.model.stock import Stock
from optichill.problem.basis import DesignBasis, design_basis
from optichill.rating.stood import basis_for, stood
from optichill.report import jsonout, notebook, searched, understood
from optichill.report.paper import WIDTH, folded
from optichill.search.forecast import Forecast, forecast

PathLike = str | os.PathLike[str]


@dataclass(frozen=True, init=False, repr=False, eq=False)
class Problem:
    """One kettle, one batch, one cooling plan and one stock: everything that an answer rests on.

    A part is a dict with the keys of the brewhouse file (`optichill check --keys` lists them), or the part of
    another problem. A quantity is text with its unit ("33 cm"), a pint quantity of any registry, or a number
    in SI: m, m3, K, Pa, s, m3/s, kg, m/s, gravity in degrees Plato. Nothing changes it afterwards.

    Parameters
    ----------
    kettle, wort : dict
        Must be given.
    tap : dict, optional
        The cold tap; may be left out where a pump does all.
    cooling : list of dict, optional
        Stages of the plan in order; the tap to the target when left out.
    stock : str, path, dict or Stock
        Folder of the five lists, or rows (dicts or a DataFrame) by name: `{"tubing": [...], "forms": [...]}`,
        or the file's own table, `{"folder": ..., "currency": ...}`. `currency` may stand beside lists too.
    limits, workshop, wishes : dict, optional
        As in the brewhouse file.
    name : str
        Name of the brewhouse.
    units : {"metric", "us"}
        How results are shown.

    Raises
    ------
    InputFaults
        All faults at once, each with its place, what was given, why not, and what is allowed.

    Examples
    --------
    >>> problem = oc.Problem(
    ...     kettle={"inside_diameter": "33 cm", "inside_height": 0.33},
    ...     wort={"volume": "24 L"},
    ...     tap={"temperature": "12 degC", "open_flow": "10 L in 60 s"},
    ...     stock={
    ...         "tubing": [{"stock_id": "cu", "material": "copper", "temper": "annealed",
    ...                     "outer_diameter": "10 mm", "wall": "1 mm", "length": "10 m", "price": 41}],
    ...         "forms": [{"form_id": "pot", "outer_diameter": "22 cm", "height": "25 cm",
    ...                    "open_end": True, "owned": True}],
    ...     },
    ... )
    >>> round(problem.brewhouse.kettle.capacity, 4)
    0.0282
    >>> oc.Problem(kettle={"inside_diameter": "9 m"}, wort={"volume": "24 L"}, stock="nowhere")
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: in Python: kettle.inside_diameter: 9 m: too large (allowed: 10 cm to 3 m)
    in Python: kettle.inside_height: missing (allowed: length, 10 cm to 3 m)
    in Python: tap: missing: nothing cools the wort (allowed: [tap], or [[cooling]] with a pump)
    nowhere/forms.csv: file: not found (allowed: optichill init writes one)
    nowhere/tubing.csv: file: not found (allowed: optichill init writes one)
    """

    inputs: Inputs

    def __init__(
        self,
        *,
        kettle: Any = None,
        wort: Any = None,
        tap: Any = None,
        cooling: Any = None,
        stock: Any = None,
        limits: Any = None,
        workshop: Any = None,
        wishes: Any = None,
        name: Any = "Brewhouse",
        units: Any = "metric",
    ) -> None:
        tables = {
            "name": name,
            "units": units,
            "kettle": kettle,
            "wort": wort,
            "tap": tap,
            "cooling": cooling,
            "limits": limits,
            "workshop": workshop,
            "wishes": wishes,
        }
        object.__setattr__(self, "inputs", inputs_of(tables, stock))

    @classmethod
    def of(cls, inputs: Inputs) -> Problem:
        """From what was read and checked.

        Examples
        --------
        >>> problem = oc.read()
        >>> oc.Problem.of(problem.inputs).brewhouse.name
        'Two-Crate Kitchen'
        """
        if not isinstance(inputs, Inputs):
            raise refuse("inputs", inputs, "not inputs", "what was read")
        problem = object.__new__(cls)
        object.__setattr__(problem, "inputs", inputs)
        return problem

    @property
    def brewhouse(self) -> Brewhouse:
        """The brewhouse, in SI."""
        return self.inputs.brewhouse

    @property
    def stock(self) -> Stock:
        """The five lists, in SI."""
        return self.inputs.stock

    @property
    def coil(self) -> Coil | None:
        """The coil that was read besides, None without one."""
        return self.inputs.coil

    @property
    def notes(self) -> tuple[str, ...]:
        """What was assumed because it was left out."""
        return self.inputs.notes

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to know before believing an answer."""
        return self.inputs.warnings

    @cached_property
    def basis(self) -> DesignBasis:
        """The same in numbers, as the search takes it."""
        return design_basis(self.inputs)

    @cached_property
    def _plan(self) -> WorkPlan | None:
        """The work that the coil takes, None without one."""
        return None if self.coil is None else plan_work(basis_for(self.basis, self.coil), self.coil)

    @cached_property
    def forecast(self) -> Forecast:
        """How long a search through all that the lists allow will take.

        Examples
        --------
        >>> oc.read().forecast.combinations
        4703766
        """
        return forecast(self.basis)

    def lines(self, width: int = WIDTH) -> list[str]:
        """What was understood, as `optichill check` says it, folded to a width [columns].

        Examples
        --------
        >>> oc.read().lines()[2]
        'KETTLE    33 cm wide, 33 cm tall inside; 28.2 L to the brim; no lid'
        """
        *read, blank, verdict = understood.screen(self.inputs, self._plan)
        said = searched.forecast_text(self.forecast)
        return folded([*read, *understood.lines("SEARCH", said), blank, verdict], width)

    def to_dict(self) -> dict[str, Any]:
        """What was understood, in SI: the document of `optichill check --json`.

        Examples
        --------
        >>> oc.read().to_dict()["understood"]["wort"]["volume_m3"]
        0.024
        """
        made = {
            **understood.document(self.inputs, self._plan),
            "search": searched.forecast_json(self.forecast),
        }
        document: dict[str, Any] = jsonout.plain(made)
        return document

    def __repr__(self) -> str:
        return f"<Problem {self.brewhouse.name!r}>"

    def _repr_html_(self) -> str:
        return notebook.text(self.lines())


def read(
    folder_or_file: PathLike | None = None, *, coil: PathLike | None = None, units: str | None = None
) -> Problem:
    """Read a brewhouse file, its lists, and a coil file where one is named.

    Parameters
    ----------
    folder_or_file : str or path, optional
        Brewhouse file, or its folder; without it ./brewhouse.toml, else the packaged example.
    coil : str or path, optional
        Coil file.
    units : {"metric", "us"}, optional
        How results are shown, instead of what the file says.

    Returns
    -------
    Problem

    Raises
    ------
    InputFaults
        All faults of all files at once, each with its line.

    Examples
    --------
    >>> problem = oc.read(units="us")
    >>> problem
    <Problem 'Two-Crate Kitchen'>
    """
    for key, path in (("folder_or_file", folder_or_file), ("coil", coil)):
        if path is not None and not isinstance(path, str | os.PathLike):
            raise refuse(key, path, "not a path", "a file or folder")
    if units is not None and not (isinstance(units, str) and units in ("metric", "us")):
        raise refuse("units", units, "not known", "metric, us")
    return Problem.of(stood(load(_path(folder_or_file), _path(coil), units=units)))


def faulty(folder_or_file: PathLike | None, error: OptichillError) -> dict[str, Any]:
    """The document of a brewhouse that could not be read, with its faults.

    Examples
    --------
    >>> try:
    ...     oc.read("nowhere")
    ... except InputFaults as error:
    ...     faulty("nowhere", error)["faults"][0]["reason"]
    'not found'
    """
    return understood.faulty(find(_path(folder_or_file)), error)


def _path(path: PathLike | None) -> Path | None:
    return None if path is None else Path(path)


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
        place, line, key = stands_at(error.of or inputs.brewhouse, "cooling", error.stage, "hold")
        raise InputFaults([InputFault(place, line, key, "", error.reason, error.allowed)]) from None
