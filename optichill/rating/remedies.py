"""When the tap is too warm: the three ways out, worked out for one coil with the same physics."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.materials import COPPER
from optichill.problem.basis import PUMP_HOSE_BORE, DesignBasis
from optichill.rating.prediction import FINE, known
from optichill.thermal import cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.hydraulics import Supply
from optichill.thermal.sources import SMALL_CUBE, Bath, Precooler, Source, Stage

ABOVE_TAP = 4.0
"""How near to the tap's temperature water from it is worth running [K] (OWN)."""
CHANGE_ABOVE = 8.0
"""Where ice takes over from the tap [K above it] (OWN)."""
BATH_WATER = 10.0
"""Water in the ice bath to begin with [kg]."""
PLENTY = 200.0
"""Ice in the bath [kg], so that what melts is what is needed."""
PRECOOLER = Precooler(0.009525, 0.007899, COPPER.conductivity, 0.20, 7.6, moved=True)
"""25 ft of 3/8 in copper tube in ice water that is kept moving: a small coil many have."""


@dataclass(frozen=True)
class Remedy:
    """One way out: time [s] and ice [kg], None where it does not lead to the target; temperature [K] it ends
    at."""

    kind: str
    time: float | None
    ice: float
    temperature: float


def warm_tap_remedies(basis: DesignBasis, some: Coils) -> tuple[Remedy, ...]:
    """The three ways out, for the quickest of some single tubes behind a tap that is too warm; none without a
    tap."""
    tap = basis.brewhouse.tap
    first = basis.scenario.sources[0]
    if tap is None or first.bath is not None:
        return ()
    T, target = tap.temperature, basis.scenario.T_target
    stop = replace(basis.scenario, T_target=T + ABOVE_TAP, stages=(Stage(first),))
    one = some.take([int(np.argmin(cooldown.chill(some, stop).time))])
    change = min(max(T, target) + CHANGE_ABOVE, basis.scenario.T_start)
    begin = Stage(first, change)
    bath = Bath(BATH_WATER, T, PLENTY)
    found = []
    pump = _pump(basis, T)
    if pump is not None:
        found.append(_way("ice", basis.scenario, one, (begin, Stage(Source(pump, T, bath, returns=True)))))
    precooled = Source.precooled(first.supply, T, bath, PRECOOLER)
    found.append(_way("precooling", basis.scenario, one, (begin, Stage(precooled))))
    found.append(_way("fridge", stop, one, stop.stages))
    return tuple(found)


def with_loose_ice(scenario: Scenario) -> Scenario | None:
    """The same with blocks and bags of ice broken or shaken into small cubes; None where there are none."""
    loose = tuple(_loosened(stage) for stage in scenario.stages)
    return None if loose == scenario.stages else replace(scenario, stages=loose)


def _loosened(stage: Stage) -> Stage:
    bath = None if stage.source is None else stage.source.bath
    if stage.source is None or bath is None or bath.ice == 0.0 or bath.lump <= SMALL_CUBE:
        return stage
    return replace(stage, source=replace(stage.source, bath=replace(bath, lump=SMALL_CUBE)))


def _way(kind: str, scenario: Scenario, one: Coils, stages: tuple[Stage, ...]) -> Remedy:
    result = cooldown.chill(one, replace(scenario, stages=stages), FINE)
    return Remedy(kind, known(result.time[0]), float(np.nan_to_num(result.ice[0])), scenario.T_target)


def _pump(basis: DesignBasis, T: float) -> Supply | None:
    """The first pump of the list, on hoses of the tap's bore."""
    for pump in basis.stock.pumps:
        tap = basis.brewhouse.tap
        bore = PUMP_HOSE_BORE if tap is None else tap.hose_bore
        points = list(pump.curve)
        if points[0][0] > 0.0:
            points.insert(0, (0.0, points[0][1]))
        return Supply.pump(points, hose_bore=bore, lift=0.0, T=T)
    return None
