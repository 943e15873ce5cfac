"""Another order of cooling, where less time is asked for than any coil could do on the tap alone: ice water
that a pump of the list sends round behind it."""

from __future__ import annotations

from dataclasses import replace

from optichill.display import POUND
from optichill.model.coil import Coil
from optichill.model.cooling import CoolingStage
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import quick_rating
from optichill.rating.floor import shortest_time
from optichill.rating.remedies import BATH_WATER, Remedy

ICE = {"metric": 6.0, "us": 20.0 * POUND}
"""Ice that is thought there [kg]: three bags or two, as a freezer at home has room for (OWN). With the plan
in the file the search tells how little of it does."""

HELPS = 0.9
"""Share of its time up to which it is told that a coil is quicker."""


def ice_behind(basis: DesignBasis, asked: float, coil: Coil, now: float) -> Remedy | None:
    """The tap first and then ice water, where that brings the least time of any coil below what is asked for.

    Parameters
    ----------
    basis : DesignBasis
        On which no coil could be done so soon.
    asked : float [s]
    coil : Coil
        One that is to be had.
    now : float [s]
        What it most likely takes as things are.

    Returns
    -------
    Remedy or None
        `least` is that least time, `time` what the coil most likely takes there. None where the plan is more
        than the tap or the list has no pump, where the ice does not bring the least time there, and where
        the coil would gain less than a tenth.
    """
    if [stage.source for stage in basis.brewhouse.cooling] != ["tap"] or not basis.stock.pumps:
        return None
    pump, water, ice = basis.stock.pumps[0].pump_id, *(by[basis.brewhouse.units] for by in (BATH_WATER, ICE))
    way = Remedy("ice behind", None, ice, basis.scenario.T_target, water=water, pump=pump)
    iced = _behind_the_tap(basis, way)
    least = shortest_time(iced)
    if least is None or least >= asked:
        return None
    time = quick_rating(iced, coil).prediction.told.time
    return None if time is None or time > HELPS * now else replace(way, time=time, least=least)


def _behind_the_tap(basis: DesignBasis, way: Remedy) -> DesignBasis:
    """The plan with such a bath behind the tap, changed over where that serves best."""
    (tap,) = (stage.model_copy(update={"until": "best"}) for stage in basis.brewhouse.cooling)
    bath = {"source": "ice bath", "pump": way.pump, "water": way.water}
    bath |= {"ice": way.ice, "bucket": way.filled}
    cooling = (tap, CoolingStage().model_copy(update=bath))
    return basis.restated(basis.brewhouse.model_copy(update={"cooling": cooling}))
