"""From a coil to the bench."""

from __future__ import annotations

import os
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from optichill.api.given import inputs_with
from optichill.api.problem import PathLike, Problem
from optichill.api.tables import Table
from optichill.errors import CannotWrite
from optichill.fabrication import obstacles, work_plan
from optichill.files.in_python import refuse
from optichill.files.ownership import read_for, refuse_input, write_report
from optichill.files.reading import Inputs
from optichill.files.writing import write_whole
from optichill.rating.stood import basis_for
from optichill.report import jsonout, notebook
from optichill.report.machines import write as machines
from optichill.report.paper import WIDTH, folded
from optichill.report.sheet import write
from optichill.report.sheet.content import sheet
from optichill.report.sheet.document import Sheet
from optichill.report.sheet.html import html
from optichill.report.sheet.letters import in_print
from optichill.report.sheet.paper.sizes import PAPERS


@dataclass(frozen=True, eq=False)
class PlannedWork:
    """How one coil is made: marks along the tube, both its states, and what keeps it from being built.

    Parameters
    ----------
    inputs : what was read, with the coil.
    plan : the work.

    Examples
    --------
    >>> coil = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24 cm",
    ...         "pitch": "16 mm", "turns": 10, "riser_length_in": "60 cm", "riser_length_out": "40 cm"}
    >>> work = oc.plan_work(coil, oc.read())
    >>> work.buildable, work.obstacles
    (True, ())
    >>> abs(work.marks.rows[-1]["ends_at_m"] - work.plan.cut_length) < 1e-9
    True
    """

    inputs: Inputs = field(repr=False)
    plan: work_plan.WorkPlan = field(repr=False)
    _sheets: dict[str, Sheet] = field(default_factory=dict, init=False, repr=False)

    def __getstate__(self) -> dict[str, Any]:
        """Without its pages, whose pictures are drawn when they are asked for: they are made anew."""
        return {**vars(self), "_sheets": {}}

    def __repr__(self) -> str:
        cut = f"{self.plan.cut_length:.2f} m of tube"
        return f"<PlannedWork: {cut}>" if self.buildable else f"<PlannedWork: {cut}, NOT BUILDABLE>"

    @property
    def obstacles(self) -> tuple[obstacles.Obstacle, ...]:
        """Every reason against building it, in SI; empty for a coil that can be built."""
        return obstacles.obstacles(self.plan)

    @property
    def buildable(self) -> bool:
        """Whether nothing keeps it from being built; limits that it only breaks do not count."""
        return not self.obstacles

    @property
    def marks(self) -> Table:
        """Stretches of the straight tube in order: tube, ends_at_m, length_m, becomes, of, turn."""
        rows = ({"tube": p.name or None, **mark} for p in self.plan.pieces for mark in write.marks(p))
        return Table(tuple(rows))

    def save(self, path: PathLike, *, paper: str | None = None) -> Path:
        """Write the build sheet, whole or not at all.

        Parameters
        ----------
        path : str or path
            Ending in .pdf, with templates at true size, or in .html; the page names the PDF beside it.
        paper : {"a4", "letter"}, optional
            A4 when left out; letter in US units.

        Returns
        -------
        Path
            The file.

        Raises
        ------
        CannotWrite, InputFaults

        Examples
        --------
        >>> oc.plan_work("coil.toml", oc.read("my-kettle")).save("sheet.pdf")  # doctest: +SKIP
        """
        if not isinstance(path, str | os.PathLike):
            raise refuse("path", path, "not a path", "a file that ends in .pdf or .html")
        file, content = Path(path), self.sheet(paper)
        refuse_input(file, read_for(self.inputs.brewhouse))
        if file.suffix.lower() == ".pdf":
            on_paper = self._in_print()
            write_whole(file, write.printed(on_paper.sheet(paper), on_paper.plan))
        elif file.suffix.lower() == ".html":
            write_whole(file, html(content, file.with_suffix(".pdf").name))
        else:
            raise CannotWrite(f"{file}: not written: a sheet ends in .pdf or .html")
        return file

    def save_machines(self, folder: PathLike) -> tuple[Path, ...]:
        """Write the coil for other machines into a folder, each file whole or not at all: comb, feet and wrap
        template as DXF and SVG, the tube's middle line as DXF, tube and form as STL; all in millimetres.

        Parameters
        ----------
        folder : str or path

        Returns
        -------
        tuple of Path
            The files.

        Raises
        ------
        CannotWrite
            Also for a coil that cannot be built.

        Examples
        --------
        >>> oc.plan_work("coil.toml", oc.read("my-kettle")).save_machines("laser")  # doctest: +SKIP
        """
        if not isinstance(folder, str | os.PathLike):
            raise refuse("folder", folder, "not a path", "the name of a folder")
        if not self.buildable:
            raise CannotWrite(f"{folder}: not written: the coil cannot be built")
        found = {Path(folder) / name: data for name, data in machines.files(self.plan).items()}
        for file in found:
            refuse_input(file, read_for(self.inputs.brewhouse))
        for file, data in found.items():
            write_whole(file, data)
        return tuple(found)

    def report(
        self,
        folder: PathLike,
        name: str,
        *,
        paper: str | None = None,
        for_machines: bool = False,
        force: bool = False,
    ) -> tuple[Path, ...]:
        """Write the page and its PDF, `sheet-{name}`, into a report folder, which remembers them; with
        `for_machines` also what `save_machines` writes, into `sheet-{name}-machines`, for a coil that can be
        built.

        Returns
        -------
        tuple of Path
            The page, the PDF, and the files for machines.

        Raises
        ------
        CannotWrite, InputFaults
            As `Front.save`.
        """
        page, printed = (file.format(name) for file in write.NAMES)
        content = self.sheet(paper)
        pdf = write.printed(content, self.plan)
        texts: dict[str, str | bytes] = {page: html(content, printed), printed: pdf}
        if for_machines and self.buildable:
            texts |= {
                f"sheet-{name}-machines/{file}": data for file, data in machines.files(self.plan).items()
            }
        return write_report(Path(folder), texts, self.inputs.brewhouse, force=force)

    def sheet(self, paper: str | None = None) -> Sheet:
        """The sheet's text, tables and drawings for a paper, as in `save`."""
        paper = paper or ("letter" if self.inputs.brewhouse.units == "us" else "a4")
        if not isinstance(paper, str) or paper not in PAPERS:
            raise refuse("paper", paper, "not known", ", ".join(PAPERS))
        if paper not in self._sheets:
            self._sheets[paper] = sheet(self.plan, self.inputs, paper)
        return self._sheets[paper]

    def _in_print(self) -> PlannedWork:
        """The same with names that the PDF's typeface has letters for."""
        assert self.inputs.coil is not None
        basis, coil = in_print(self.plan.basis, self.inputs.coil)
        if basis is self.plan.basis:
            return self
        inputs = replace(self.inputs, brewhouse=basis.brewhouse, stock=basis.stock, coil=coil)
        return PlannedWork(inputs, work_plan.plan_work(basis, coil))

    def lines(
        self,
        files: tuple[Path, ...] = (),
        *,
        paper: str | None = None,
        width: int = WIDTH,
        for_machines: bool = False,
    ) -> list[str]:
        """The answer as `optichill sheet` says it, folded to a width [columns]; files : those that were
        written; for_machines : whether theirs were asked for."""
        said = write.screen(self.sheet(paper), self.inputs, files, for_machines=for_machines)
        return folded(said, width)

    def to_dict(self, files: tuple[Path, ...] = ()) -> dict[str, Any]:
        """The document of `optichill sheet --json`, in SI; files : those that were written."""
        document: dict[str, Any] = jsonout.plain(write.document(self.plan, self.inputs, files))
        return document

    def _repr_html_(self) -> str:
        content = self.sheet()
        return notebook.text([content.banner, content.title, *content.stops, content.lead])


def plan_work(coil: Any, problem: Problem) -> PlannedWork:
    """From a coil to its bench.

    Parameters
    ----------
    coil : str, path, dict, Coil or Design
        As in `rate`.
    problem : Problem

    Returns
    -------
    PlannedWork

    Raises
    ------
    InputFaults
        All faults of the coil at once.
    OptichillError
        A coil that is not worked out: more than two layers.

    Examples
    --------
    >>> oc.plan_work({}, oc.read())
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: in Python: coil.material: missing (allowed: copper, stainless 304, ...)
    in Python: coil.outer_diameter: missing (allowed: length, 3 mm to 60 mm)
    """
    inputs = inputs_with(coil, problem)
    assert inputs.coil is not None
    return PlannedWork(inputs, work_plan.plan_work(basis_for(problem.basis, inputs.coil), inputs.coil))
