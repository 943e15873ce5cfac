"""When the water is too warm or the ice too little: the ways out, worked out for one coil with the same
physics."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from optichill.display import INCH, POUND, US_GALLON
from optichill.model.coil import Coil
from optichill.model.cooling import CoolingStage
from optichill.model.fields import KELVIN
from optichill.problem.basis import DesignBasis, precooler, pump_supply
from optichill.problem.draws import Draws
from optichill.properties import water
from optichill.rating.change_over import candidates
from optichill.rating.hours import worked_out
from optichill.rating.likely import samples
from optichill.rating.prediction import FINE, MoreIce, Told, known
from optichill.thermal import cooldown
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import Chill
from optichill.thermal.sources import ICE_DENSITY, SMALL_CUBE, Bath, Source, Stage
from optichill.workshop.lifetime import HOUR, Worth

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
LEAST_GAIN = 60.0
"""Time that more ice must save to be told [s]: what is shown is whole minutes."""
SHORT_OF_ICE = 0.05
"""Ice that is missing from which on it is told [kg]."""
DEAR_DEGREE = 0.25
"""A last degree that takes longer than this share of the time before it is left to a fridge (OWN)."""
LONG_DEGREE = 600.0
"""Or one kelvin of it longer than this [s] (OWN)."""
FRIDGE_TAKES = 15.0
"""Wort further above its target is not left to a fridge: it would warm with all that is in it [K] (OWN)."""
WEIGHED = {"metric": 0.5, "us": 1.0 * POUND}
"""Steps in which ice is weighed out [kg]."""
VESSEL = {"metric": 0.5e-3, "us": 0.25 * US_GALLON}
"""Steps in which a vessel's size is told [m3]."""
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
    """One way out: time [s] most likely, None where it does not lead to the target; ice to put in [kg], of
    which `had` is in the plan; temperature [K] it ends at. change : wort temperature [K] where ice takes over
    from the tap; water : in the bath at the start [m3]; pump : its pump_id; precooler : the coil in the ice;
    least : what no coil could beat there [s]; each None where there is none or it was not asked. missed : the
    brewer's limits that the coil breaks once the way is taken, each with its value and bound [SI]."""

    kind: str
    time: float | None
    ice: float
    temperature: float
    change: float | None = None
    water: float | None = None
    pump: str | None = None
    precooler: Coil | None = None
    had: float = 0.0
    least: float | None = None
    missed: tuple[tuple[str, float, float], ...] = ()

    @property
    def filled(self) -> float:
        """What bath, ice and the coil in it take up [m3]."""
        coil = 0.0 if self.precooler is None else self.precooler.turns_volume
        return (self.water or 0.0) + self.ice / ICE_DENSITY + coil


def warm_tap_remedies(basis: DesignBasis, some: Coils) -> tuple[Remedy, ...]:
    """The ways out, for the quickest of some single tubes: more of the ice that is in the plan; else ice
    behind a tap that is too warm; and a fridge. None without tap or ice."""
    scenario, units = _latest_change_over(basis), basis.brewhouse.units
    first, stop = scenario.sources[0], on_the_tap_alone(basis)
    one = some if len(some) == 1 else some.take([int(np.argmin(cooldown.chill(some, stop).time))])
    on_tap = basis.brewhouse.tap is not None and first.bath is None
    iced = _iced_last(scenario)
    enough = None if iced is None else _enough_ice(basis, scenario, one)
    ways = (enough,) if enough is not None else _iced_tap(basis, one) if on_tap else ()
    if iced is not None:
        ways = (*ways, *_as_far_as_it_goes(scenario, one, units))
    else:
        ways = (*ways, _way("fridge", stop, one)) if on_tap else ()
    return tuple(_told(basis, way, one) for way in ways)


LONGEST_WAIT = 3.0 * HOUR
"""A chill that takes longer is no way out of anything [s] (OWN)."""


def that_lead_there(ways: Sequence[Remedy]) -> list[Remedy]:
    """Of the ways out those that are any."""
    return [way for way in ways if way.time is not None and way.time <= LONGEST_WAIT]


def on_the_tap_alone(basis: DesignBasis) -> Scenario:
    """The chill on the first water alone, to as near to its temperature as is worth running."""
    scenario = _latest_change_over(basis)
    first = scenario.sources[0]
    T = _whole_degree(first.T_water + ABOVE_TAP, basis.brewhouse.units)
    return replace(scenario, T_target=T, stages=(Stage(first),))


def _latest_change_over(basis: DesignBasis) -> Scenario:
    """Where no change-over leads to the target, the latest."""
    if basis.switch is None:
        return basis.scenario
    return basis.with_change_over(float(candidates(basis)[0]))


def _iced_last(scenario: Scenario) -> Source | None:
    """The source of the last stage, where it has ice."""
    last = scenario.stages[-1].source
    return last if last is not None and last.bath is not None and last.bath.ice > 0.0 else None


def with_ice(scenario: Scenario, place: int, more: float) -> Scenario:
    """The same with so much more ice [kg] in the vessel of a stage."""
    stages, source = list(scenario.stages), scenario.stages[place].source
    assert source is not None and source.bath is not None
    bath = replace(source.bath, ice=source.bath.ice + more)
    stages[place] = replace(stages[place], source=replace(source, bath=bath))
    return replace(scenario, stages=tuple(stages))


def more_ice(
    worth: Worth, scenario: Scenario, result: Chill, i: int, work_out: Callable[[Scenario], Chill]
) -> MoreIce | None:
    """What the ice that coil number i is short of would do, in the last stage that is; None where all have
    enough, or where more would not be worth it. work_out : the chill of that coil alone."""
    short = [n for n, end in enumerate(result.stages) if end.missing[i] > SHORT_OF_ICE]
    if not short:
        return None
    ice = tenth_up(float(result.stages[short[-1]].missing[i]))
    then = known(work_out(with_ice(scenario, short[-1], ice)).time[0])
    gains = then is None or _gains(worth, float(result.time[i]), then, ice)
    return MoreIce(short[-1] + 1, ice, then) if gains else None


def _gains(worth: Worth, now: float, then: float, ice: float) -> bool:
    """Whether a chill of `then` instead of `now` [s] is a minute less, which is worth the ice [kg]."""
    waiting = max(now - worth.good_time, 0.0) - max(then - worth.good_time, 0.0)
    return now - then >= LEAST_GAIN and worth.waiting * waiting / HOUR >= worth.ice * ice


def tenth_up(ice: float) -> float:
    """Ice that is missing as it is told, up to the next 0.1 kg."""
    return 0.1 * math.ceil(10.0 * ice - 1e-6)


def _enough_ice(basis: DesignBasis, scenario: Scenario, one: Coils) -> Remedy | None:
    """The same plan with so much more ice that it reaches the target; None where ice is not what is short."""
    units, last = basis.brewhouse.units, len(scenario.stages) - 1
    iced = _iced_last(scenario)
    assert iced is not None and iced.bath is not None
    missing = float(worked_out(one, scenario, FINE).stages[last].missing[0])
    if missing <= SHORT_OF_ICE:
        return None
    had = iced.bath.ice
    more, way = 0.0, None
    while (way is None or way.time is None) and had + more < PLENTY:
        more = weighed(max(missing, MORE * more), units)
        way = _way("more ice", with_ice(scenario, last, more), one)
    if way is None or way.time is None:
        return None
    change = None if basis.switch is None else float(candidates(basis)[0])
    held = iced.bath.water_mass / float(water.density(iced.T_water))
    return replace(way, ice=had + more, had=had, change=change, water=held)


def _as_far_as_it_goes(scenario: Scenario, one: Coils, units: str) -> list[Remedy]:
    """The plan as it is, stopped for a fridge at the coldest whole degree before one that is dear; empty
    where it comes to none. All degrees are chilled to at once, as a search would."""
    step, dear = 1.0 / 1.8 if units == "us" else 1.0, 1.0 + DEAR_DEGREE
    begin = max(scenario.sources[0].T_water, scenario.T_target) + ABOVE_TAP
    lowest = _whole_degree(scenario.T_target + HAIR, units)
    at = np.asarray(lowest + step * np.arange(max(int((scenario.T_start - lowest) / step), 0)), np.float64)
    if at.size < 2:
        return []
    last = replace(scenario.stages[-1], until=at)
    found = cooldown.chill(
        one.take(np.zeros(at.size, np.intp)), replace(scenario, stages=(*scenario.stages[:-1], last)), SEARCH
    )
    # Each degree against the one above it.
    worth_it = np.isfinite(found.time[:-1]) & (found.time[:-1] <= dear * found.time[1:])
    worth_it &= found.time[:-1] <= found.time[1:] + LONG_DEGREE * step
    worth_it &= at[:-1] <= scenario.T_target + FRIDGE_TAKES
    from_here = np.flatnonzero(worth_it & (at[:-1] >= begin - HAIR))
    if not from_here.size:
        return []
    place = int(from_here[0])
    while place > 0 and worth_it[place - 1]:
        place -= 1
    return [_way("fridge", replace(scenario, T_target=float(at[place])), one)]


HAIR = 1e-6
"""What rounding does to a temperature [K]."""


def _iced_tap(basis: DesignBasis, one: Coils) -> tuple[Remedy, ...]:
    """Ice behind the tap: pumped round through the coil, or round a second coil."""
    scenario, units = basis.scenario, basis.brewhouse.units
    first, T = scenario.sources[0], scenario.sources[0].T_water
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
    return tuple(found)


def _iced(kind: str, plan: Scenario, one: Coils, iced: Source, units: str) -> Remedy:
    """On with ice: as much as melts of plenty, weighed out, and worked out with just that."""
    bath = iced.bath
    assert bath is not None

    def holding(ice: float) -> Remedy:
        stage = Stage(replace(iced, bath=replace(bath, ice=ice)))
        return replace(_way(kind, replace(plan, stages=(*plan.stages, stage)), one), ice=ice)

    plenty = _way(kind, replace(plan, stages=(*plan.stages, Stage(iced))), one)
    if plenty.time is None:
        return plenty
    found = holding(weighed(plenty.ice, units))
    while found.time is None and found.ice < PLENTY:
        found = holding(weighed(MORE * found.ice, units))
    return found


def vessel_of(holds: float, units: str) -> float:
    """Size [m3] of a vessel that holds so much [m3], as it is told: not below it."""
    return VESSEL[units] * math.ceil(holds / VESSEL[units] - 1e-6)


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
    result = worked_out(one, scenario, FINE)
    return Remedy(kind, known(result.time[0]), float(np.nan_to_num(result.ice[0])), scenario.T_target)


# --- as it is told -----------------------------------------------------------------------------------


def _told(basis: DesignBasis, way: Remedy, one: Coils) -> Remedy:
    """With the time that is most likely once the way is written into the file, as `predict` then tells it."""
    if way.time is None:
        return way
    (likely,) = samples(Draws.of(obeyed(basis, way)), one).likely(None)
    return replace(way, time=Told(way.time, None, 0.0).beside(likely).time)


def obeyed(basis: DesignBasis, way: Remedy) -> DesignBasis:
    """The brewhouse with a way out written into it."""
    house, units = basis.brewhouse, basis.brewhouse.units
    if way.kind == "fridge":
        wort = house.wort.model_copy(update={"target_temperature": way.temperature})
        return basis.restated(house.model_copy(update={"wort": wort}))
    iced: dict[str, Any] = {"ice": way.ice, "bucket": vessel_of(way.filled, units)}
    if way.kind == "more ice":
        *first, last = house.cooling
        iced["bucket"] = max(iced["bucket"], last.bucket)
        if basis.switch is not None and way.change is not None:
            first[basis.switch] = first[basis.switch].model_copy(update={"until": way.change})
        cooling = (*first, last.model_copy(update=iced))
    else:
        tap = CoolingStage(source="tap").model_copy(update={"until": way.change})
        more: dict[str, Any] = {
            "source": "precooled tap" if way.precooler else "ice bath",
            "water": way.water,
        }
        more |= {"pump": way.pump, "precooler": way.precooler, "ice_stirred": way.precooler is not None}
        cooling = (tap, CoolingStage().model_copy(update={**more, **iced}))
    return basis.restated(house.model_copy(update={"cooling": cooling}))
