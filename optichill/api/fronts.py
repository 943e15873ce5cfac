"""All that nothing beats, and the page to compare it on."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optichill.api.problem import PathLike, Problem, told_where
from optichill.api.search_pass import checked, searched
from optichill.api.studies import alone
from optichill.report import calibrated, jsonout, screen
from optichill.report.explore import joined
from optichill.report.paper import WIDTH, entry, folded
from optichill.report.searched import left_text, sample_text, weighed_count
from optichill.search.enumeration import Tell
from optichill.search.explore.study_team import Explored
from optichill.search.recommend import SearchResult

if TYPE_CHECKING:
    from pandas import DataFrame

    from optichill.search.tradeoff import Tradeoff


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
        document: dict[str, Any] = jsonout.plain(made | joined.part(self.explored, self.tradeoff.searched))
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
        more = joined.part(self.explored, self.tradeoff.searched)
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
            lines += joined.lines(self.explored, found.searched)
            lines += calibrated.lines(inputs.brewhouse, inputs.calibration)
        else:
            lines = screen.first_screen(found.answer, inputs)
            lines += joined.lines(self.explored, found.searched, found.answer)
        return folded([*lines, *entry("WROTE", *(str(file) for file in files))], width)


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
    return weighed(problem, *searched(problem, tube, form, tell, study))


def weighed(problem: Problem, searched: SearchResult, explored: Explored | None) -> Front:
    """All that nothing beats, of a search that was made; explored : of the study beside it."""
    from optichill.search.tradeoff import weigh

    with told_where(problem.inputs):
        return Front(problem, weigh(searched), explored)
