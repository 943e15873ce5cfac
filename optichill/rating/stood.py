"""How a coil that is given stands: as its own file says, else as its kettle has it; and what the chill would
be if it stood otherwise."""

from __future__ import annotations

from dataclasses import dataclass, replace

from optichill.files.reading import Inputs
from optichill.model.coil import Coil
from optichill.model.frozen import settle
from optichill.model.stands import STANDS
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.placement import place_coils
from optichill.rating.coil_rating import placed, run_at_medians


def basis_for(basis: DesignBasis, coil: Coil) -> DesignBasis:
    """The basis with its kettle's coil_rests as this coil has it: feet, hooks and words follow."""
    return basis if coil.standing.rests is None else _resting(basis, coil.standing.rests)


def _resting(basis: DesignBasis, rests: str) -> DesignBasis:
    kettle = basis.brewhouse.kettle
    if rests == kettle.coil_rests:
        return basis
    other = kettle.model_copy(update={"coil_rests": rests})
    return replace(basis, brewhouse=basis.brewhouse.model_copy(update={"kettle": other}))


def stood(inputs: Inputs) -> Inputs:
    """With a coil that says nothing hung as the search hangs its own, where its kettle hangs coils."""
    coil = inputs.coil
    if coil is not None and coil.standing.asked and inputs.brewhouse.kettle.coil_rests == "hangs":
        settle(coil, lowest_turn_height=lowest_by(design_basis(inputs), coil, "hangs"))
    return inputs


def lowest_by(basis: DesignBasis, coil: Coil, rests: str) -> float:
    """Height of the lowest turn [m] of a coil that rests so, as a search would stand it."""
    shape = placed(basis, coil)[0]
    return float(place_coils(_resting(basis, rests), shape).lowest[0])


@dataclass(frozen=True)
class Otherwise:
    """A coil whose file does not say how it stands. rests, lowest [m], time [s] : as taken; others : time by
    how else it may stand. Times are None where the target is out of reach."""

    rests: str
    lowest: float
    time: float | None
    others: dict[str, float | None]


def otherwise(basis: DesignBasis, coil: Coil, change_over: float | None = None) -> Otherwise:
    """What was taken for a coil whose file does not say, and the time if it stood otherwise. change_over :
    temperature [K] that this coil's own plan has, where it is left free."""
    rests = basis.brewhouse.kettle.coil_rests

    def time(lowest: float) -> float | None:
        return run_at_medians(basis, coil.model_copy(update={"lowest_turn_height": lowest}), change_over)

    others = {other: time(lowest_by(basis, coil, other)) for other in STANDS if other != rests}
    return Otherwise(rests, coil.lowest_turn_height, time(coil.lowest_turn_height), others)
