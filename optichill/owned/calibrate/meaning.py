"""What it means that batches were measured: how long a coil takes as it was thought before and as it is
thought now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from optichill.model.calibration import Calibration
from optichill.model.coil import Coil
from optichill.owned.calibrate.fit import MeasuredBatch
from optichill.problem.basis import DesignBasis, basis_of
from optichill.rating.coil_rating import quick_rating
from optichill.rating.prediction import Prediction

ANOTHER = "another piece of work"
"""In place of a metal: no coil is taken for one that was measured."""


@dataclass(frozen=True)
class Meaning:
    """One measured coil, and a second one of the same sizes, which has what is its own: before and after."""

    coil: str
    before: Prediction
    after: Prediction
    another: Prediction


def meaning(
    basis: DesignBasis, calibration: Calibration, batches: Sequence[MeasuredBatch]
) -> tuple[Meaning, ...]:
    """Of every coil that was measured, once; basis : before."""
    coils: dict[str, Coil] = {}
    for batch in batches:
        coils.setdefault(batch.coil_name, batch.coil)
    strangers = replace(calibration, coils=tuple(replace(c, material=ANOTHER) for c in calibration.coils))
    plain, now, elsewhere = (
        basis_of(basis.brewhouse, basis.stock, c) for c in (None, calibration, strangers)
    )
    return tuple(
        Meaning(name, *(quick_rating(house, coil).prediction for house in (plain, now, elsewhere)))
        for name, coil in coils.items()
    )
