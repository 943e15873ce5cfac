"""When the tap is too warm: the three ways out, worked out for one coil with the same physics."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from optichill.display import INCH, POUND, US_GALLON
from optichill.model.coil import Coil
from optichill.model.fields import KELVIN
from optichill.problem.basis import DesignBasis, precooler, pump_supply
from optichill.properties import water
from optichill.rating.prediction import FINE, known
from optichill.thermal import cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.sources import ICE_DENSITY, SMALL_CUBE, Bath, Source, Stage

ABOVE_TAP = 4.0
"""How near to the tap's temperature water from it is worth running [K] (OWN)."""
CHANGE_ABOVE = 8.0
"""Where ice takes over from the tap [K above it] (OWN)."""
BATH_WATER = {"metric": 10e-3, "us": 2.5 * US_GALLON}
"""Water in the ice bath to begin with [m3], a size that a jug measures."""
PLENTY = 200.0
"""Ice in the bath [kg], so that what melts is what is needed."""
MORE = 1.25
"""How many times as much ice is tried where what melts of plenty does not do."""
WEIGHED = {"metric": 0.5, "us": 1.0 * POUND}
"""Steps in which ice is weighed out [kg]."""
PRECOOLERS = {
    "metric": Coil(
        material="copper", outer_diameter=0.010, wall=0.001, mean_diameter=0.20, pitch=0.012, turns=12.0,
        riser_length_in=0.3, riser_length_out=0.3,
    ),
    "us": Coil(
        material="copper", outer_diameter=0.375 * INCH, wall=0.032 * INCH, mean_diameter=8.0 * INCH,
        pitch=0.5 * INCH, turns=12.0, riser_length_in=12.0 * INCH, riser_length_out=12.0 * INCH,
    ),
}  # fmt: skip
"""7.5 m or 25 ft of thin copper tube: a small coil many have, here in ice water that is kept moving."""


@dataclass(frozen=True)
class Remedy:
    """One way out: time [s], None where it does not lead to the target; ice to put in [kg]; temperature [K]
    it ends at. change : wort temperature [K] where ice takes over from the tap; water : in the bath at the
    start [m3]; pump : its pump_id; precooler : the coil in the ice; each None where there is none."""

    kind: str
    time: float | None
    ice: float
    temperature: float
    change: float | None = None
    water: float | None = None
    pump: str | None = None
    precooler: Coil | None = None

    @property
    def filled(self) -> float:
        """What bath, ice and the coil in it take up [m3]."""
        coil = 0.0 if self.precooler is None else self.precooler.turns_volume
        return (self.water or 0.0) + self.ice / ICE_DENSITY + coil


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
    bath = Bath(held * float(water.density(T)), T, PLENTY)
    plan = replace(scenario, stages=(Stage(first, change),))
    found = []
    if basis.stock.pumps:
        pump = basis.stock.pumps[0]
        pumped = Source(pump_supply(basis.brewhouse, pump, T), T, bath, returns=True)
        way = _iced("ice", plan, one, pumped, units)
        found.append(replace(way, change=change, water=held, pump=pump.pump_id))
    coil = PRECOOLERS[units]
    precooled = Source.precooled(first.supply, T, bath, precooler(coil, moved=True))
    way = _iced("precooling", plan, one, precooled, units)
    found.append(replace(way, change=change, water=held, precooler=coil))
    found.append(_way("fridge", stop, one))
    return tuple(found)


def _iced(kind: str, plan: Scenario, one: Coils, iced: Source, units: str) -> Remedy:
    """On with ice: as much as melts of plenty, weighed out, and worked out with just that."""
    bath = iced.bath
    assert bath is not None

    def with_ice(ice: float) -> Remedy:
        stage = Stage(replace(iced, bath=replace(bath, ice=ice)))
        return replace(_way(kind, replace(plan, stages=(*plan.stages, stage)), one), ice=ice)

    plenty = _way(kind, replace(plan, stages=(*plan.stages, Stage(iced))), one)
    if plenty.time is None:
        return plenty
    found = with_ice(weighed(plenty.ice, units))
    while found.time is None and found.ice < PLENTY:
        found = with_ice(weighed(MORE * found.ice, units))
    return found


def weighed(ice: float, units: str) -> float:
    """Ice [kg] up to the next step of a kitchen's scales."""
    return WEIGHED[units] * math.ceil(ice / WEIGHED[units] - 1e-6)


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


def _way(kind: str, scenario: Scenario, one: Coils) -> Remedy:
    result = cooldown.chill(one, scenario, FINE)
    return Remedy(kind, known(result.time[0]), float(np.nan_to_num(result.ice[0])), scenario.T_target)
