"""How one given coil chills the batch."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from optichill.api.given import inputs_with
from optichill.api.problem import Problem, told_where
from optichill.api.tables import Table
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.reading import Inputs
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.rating import coil_rating
from optichill.rating.prediction import LimitLine, Prediction
from optichill.rating.stood import basis_for
from optichill.report import jsonout, notebook, prediction
from optichill.report.otherwise import about
from optichill.report.paper import WIDTH, folded
from optichill.report.warnings import of_coil


@dataclass(frozen=True, eq=False)
class Rating:
    """One coil in one kettle, worked out; whatever limit it breaks is only told.

    Parameters
    ----------
    inputs : what was read, with the coil.
    basis : the same in numbers.
    rated : all about the coil.

    Examples
    --------
    >>> coil = {"material": "copper", "outer_diameter": "10 mm", "wall": "1 mm", "mean_diameter": "24 cm",
    ...         "pitch": "16 mm", "turns": 10, "riser_length_in": "60 cm", "riser_length_out": "40 cm"}
    >>> rating = oc.rate(coil, oc.read())
    >>> 600.0 < rating.chill_time < 3600.0
    True
    >>> rating.curve.to_dataframe().columns[:2].tolist()
    ['time_s', 'wort_K']
    """

    inputs: Inputs = field(repr=False)
    basis: DesignBasis = field(repr=False)
    rated: coil_rating.Rating = field(repr=False)

    def __repr__(self) -> str:
        return f"<Rating: {about(self.prediction.told.time)}>"

    @cached_property
    def _plan(self) -> WorkPlan:
        """The work that the same coil takes: what its sheet stops at is told here too."""
        return plan_work(self.basis, self.rated.coil)

    @property
    def coil(self) -> Coil:
        """The coil, in SI."""
        return self.rated.coil

    @property
    def prediction(self) -> Prediction:
        """All figures of the chill, in SI."""
        return self.rated.prediction

    @property
    def chill_time(self) -> float | None:
        """Time to the target [s] with all that is uncertain at its median, as the curve has it; None where it
        is out of reach. `prediction.told` has what is most likely."""
        return self.prediction.chill_time

    @property
    def water(self) -> float | None:
        """Water used [m3], None where the target is out of reach."""
        return self.prediction.water

    @property
    def flow(self) -> float:
        """Flow through the coil at the start [m3/s]."""
        return self.prediction.flow

    @property
    def pressure_drop(self) -> float:
        """What the coil takes of the pressure at the start [Pa]."""
        return self.prediction.pressure_drop

    @property
    def closest(self) -> float:
        """The coldest that the wort comes to [K], also where the target is out of reach."""
        return self.rated.closest

    @property
    def limits(self) -> tuple[LimitLine, ...]:
        """Every limit with its value and margin, in SI."""
        return self.rated.limits

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to know before building or using it."""
        return (*of_coil(self._plan, self.rated), *self.inputs.warnings)

    @property
    def curve(self) -> Table:
        """The cool-down by the clock: time_s, wort_K, outlet_K, source_K, flow_m3_s, stage, top_K."""
        return Table.of(jsonout.curve(self.rated.curve))

    def lines(self, width: int = WIDTH) -> list[str]:
        """The answer as `optichill predict` says it, folded to a width [columns]."""
        return folded(prediction.screen(self.rated, self.inputs, self._plan), width)

    def to_dict(self) -> dict[str, Any]:
        """The document of `optichill predict --json`, in SI."""
        document: dict[str, Any] = jsonout.plain(jsonout.predict(self.rated, self.inputs, self._plan))
        return document

    def _repr_html_(self) -> str:
        return notebook.rating(self.rated, self.basis, self.inputs.first_line, self.warnings)


def rate(coil: Any, problem: Problem) -> Rating:
    """How a coil chills the batch.

    Parameters
    ----------
    coil : str, path, dict, Coil or Design
        A coil file; the id of a coil (`find`), or its beginning; the keys of the [coil] table, quantities as
        in `Problem`; or a design that was found.
    problem : Problem

    Returns
    -------
    Rating

    Raises
    ------
    InputFaults
        All faults of the coil at once.
    OptichillError
        A coil that is not worked out: more than two layers; an id that no coil has.

    Examples
    --------
    >>> oc.rate({"material": "gold", "outer_diameter": "10 mm"}, oc.read())
    Traceback (most recent call last):
        ...
    optichill.errors.InputFaults: in Python: coil.material: gold: not known (allowed: copper, ...
    """
    inputs = inputs_with(coil, problem)
    assert inputs.coil is not None
    with told_where(inputs):
        basis = basis_for(problem.basis, inputs.coil)
        return Rating(inputs, basis, coil_rating.rate(basis, inputs.coil))
