"""When the tap is too warm: the three ways out, worked out for one coil with the same physics."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from optichill.display import US_GALLON
from optichill.materials import COPPER
from optichill.model.fields import KELVIN
from optichill.problem.basis import DesignBasis, pump_supply
from optichill.properties import water
from optichill.rating.prediction import FINE, known
from optichill.thermal import cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.sources import SMALL_CUBE, Bath, Precooler, Source, Stage

ABOVE_TAP = 4.0
"""How near to the tap's temperature water from it is worth running [K] (OWN)."""
CHANGE_ABOVE = 8.0
"""Where ice takes over from the tap [K above it] (OWN)."""
BATH_WATER = {"metric": 10e-3, "us": 2.5 * US_GALLON}
"""Water in the ice bath to begin with [m3], a size that a jug measures."""
PLENTY = 200.0
"""Ice in the bath [kg], so that what melts is what is needed."""
PRECOOLER = Precooler(0.009525, 0.007899, COPPER.conductivity, 0.20, 7.6, moved=True)
"""25 ft of 3/8 in copper tube in ice water that is kept moving: a small coil many have."""


@dataclass(frozen=True)
class Remedy:
    """One way out: time [s], None where it does not lead to the target; ice that melts [kg]; temperature [K]
    it ends at. change : wort temperature [K] where ice takes over from the tap; water : in the bath at the
    start [m3]; pump : its pump_id; each None where there is none."""

    kind: str
    time: float | None
    ice: float
    temperature: float
    change: float | None = None
    water: float | None = None
    pump: str | None = None


def warm_tap_remedies(basis: DesignBasis, some: Coils) -> tuple[Remedy, ...]:
    """The three ways out, for the quickest of some single tubes behind a tap that is too warm; none without a
    tap."""
    tap = basis.brewhouse.tap
    first = basis.scenario.sources[0]
    if tap is None or first.bath is not None:
        return ()
    T, scenario, units = tap.temperature, basis.scenario, basis.brewhouse.units
    stop = replace(scenario, T_target=_whole_degree(T + ABOVE_TAP, units), stages=(Stage(first),))
    one = some.take([int(np.argmin(cooldown.chill(some, stop).time))])
    change = _whole_degree(max(T, scenario.T_target) + CHANGE_ABOVE, units)
    change, held = min(change, scenario.T_start), BATH_WATER[units]
    begin = Stage(first, change)
    bath = Bath(held * float(water.density(T)), T, PLENTY)
    found = []
    if basis.stock.pumps:
        pump = basis.stock.pumps[0]
        pumped = Source(pump_supply(basis.brewhouse, pump, T), T, bath, returns=True)
        way = _way("ice", scenario, one, (begin, Stage(pumped)))
        found.append(replace(way, change=change, water=held, pump=pump.pump_id))
    precooled = Source.precooled(first.supply, T, bath, PRECOOLER)
    way = _way("precooling", scenario, one, (begin, Stage(precooled)))
    found.append(replace(way, change=change, water=held))
    found.append(_way("fridge", stop, one, stop.stages))
    return tuple(found)


def _whole_degree(T: float, units: str) -> float:
    """The next whole degree of a brewer's thermometer [K]: what is said is what was worked out."""
    if units == "us":
        return (math.ceil(T * 1.8 - 459.67 - 1e-6) + 459.67) / 1.8
    return math.ceil(T - KELVIN - 1e-6) + KELVIN


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
