"""The fixed side of every question: one kettle, one batch, one plan to cool it, in numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array
from optichill.errors import OptichillError
from optichill.files.reading import Inputs
from optichill.geometry.standing import FixedPart, tallest_floor_part, widest_centre_part
from optichill.model.brewhouse import Brewhouse
from optichill.model.calibration import Calibration
from optichill.model.coil import Coil
from optichill.model.cooling import CoolingStage
from optichill.model.stock import Pump, Stock
from optichill.model.wort import TopUp
from optichill.problem.uncertain import beliefs_of, likely_factors
from optichill.properties import water, wort
from optichill.roots import root
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.beliefs import Beliefs
from optichill.thermal.priors import PRIORS, Factors
from optichill.thermal.sources import Bath, Precooler, Source, Stage
from optichill.thermal.supply import Supply, open_flow_of_hose


class NoPump(OptichillError):
    """A stage names a pump that the list does not have."""


@dataclass(frozen=True)
class DesignBasis:
    """What stays the same while coils vary.

    hot_volume, cold_volume [m3] : of the largest batch at start, and of the smallest one when chilled: the
    first must stay in the kettle, the second must cover the coil. chilled_volume : of the largest one when
    chilled; its chill is the one that is predicted. switch : number of the stage whose end is left to the
    search, None without one. pumps : those of the plan, each once. winter : the same batch on the colder
    season's tap, where two are told. calibration : what measured batches have taught, None without any;
    of_coil : name of the measured coil that is asked about, None for any other.
    """

    brewhouse: Brewhouse
    stock: Stock
    scenario: Scenario
    hot_volume: float
    cold_volume: float
    chilled_volume: float
    parts: tuple[FixedPart, ...]
    pumps: tuple[Pump, ...]
    switch: int | None = None
    winter: Scenario | None = None
    calibration: Calibration | None = None
    of_coil: str | None = None

    def restated(self, brewhouse: Brewhouse | None = None, stock: Stock | None = None) -> DesignBasis:
        """The same cellar with another statement of the brewhouse, or other lists."""
        return basis_of(
            brewhouse or self.brewhouse, stock or self.stock, self.calibration, of_coil=self.of_coil
        )

    def of_measured(self, coil: Coil) -> DesignBasis:
        """The same asked about one coil: what it has of its own counts where it was measured."""
        known = None if self.calibration is None else self.calibration.measured(coil)
        if known == self.of_coil:
            return self
        return basis_of(self.brewhouse, self.stock, self.calibration, of_coil=known)

    def beliefs(self, mixing: Mixing) -> Beliefs:
        """How draws are spread, with wort that moves in this way."""
        return beliefs_of(self.brewhouse, mixing, self.calibration, self.of_coil)

    @property
    def floor_part(self) -> float:
        """Height of the tallest part on the kettle's floor [m]."""
        return tallest_floor_part(self.parts)

    @property
    def centre_part(self) -> float:
        """Diameter of the widest part in the centre [m]."""
        return widest_centre_part(self.parts)

    @property
    def valve_shares(self) -> tuple[float, ...]:
        """Valve settings worth a look, as shares of the full flow, the fullest first: a valve saves water
        only where water goes down the drain."""
        drains = any(not source.returns for source in self.scenario.sources)
        return self.brewhouse.workshop.valve_shares if drains else (1.0,)

    def with_change_over(self, until: float | Array, scenario: Scenario | None = None) -> Scenario:
        """The same plan with the free switch at `until` [K]."""
        scenario = scenario or self.scenario
        if self.switch is None:
            return scenario
        stages = list(scenario.stages)
        stages[self.switch] = replace(stages[self.switch], until=until)
        return replace(scenario, stages=tuple(stages))


def design_basis(inputs: Inputs) -> DesignBasis:
    """From what was read."""
    return basis_of(inputs.brewhouse, inputs.stock, inputs.calibration)


def basis_of(
    brewhouse: Brewhouse, stock: Stock, calibration: Calibration | None = None, *, of_coil: str | None = None
) -> DesignBasis:
    """From a brewhouse and its lists, with what measured batches have taught; of_coil : as in DesignBasis."""
    w, kettle = brewhouse.wort, brewhouse.kettle
    T_target = chilled_to(w.volume, w.gravity, w.start_temperature, w.target_temperature, w.top_up)
    factors, warmer = Factors(fouling=PRIORS[w.dirt_prior].median), 0.0
    if calibration is not None:
        factors, warmer = likely_factors(brewhouse, beliefs_of(brewhouse, w.moves, calibration, of_coil))
    stages, switch = plan_stages(
        brewhouse, stock, None if brewhouse.tap is None else brewhouse.tap.temperature, T_target, warmer
    )
    scenario = Scenario(
        volume=w.volume,
        plato=w.gravity,
        T_start=w.start_temperature,
        T_target=T_target,
        T_ambient=w.ambient_temperature,
        kettle_diameter=kettle.inside_diameter,
        stages=stages,
        mixing=w.moves,
        lid=kettle.lid,
        kettle_metal_mass=kettle.metal_mass,
        factors=factors,
    )
    parts = tuple(FixedPart(p.what, p.where, p.height, p.size) for p in kettle.part)
    shrinks = float(wort.density(w.start_temperature, w.gravity) / wort.density(T_target, w.gravity))
    winter = None
    if brewhouse.tap is not None and brewhouse.tap.cold_season is not None:
        winter = replace(
            scenario, stages=plan_stages(brewhouse, stock, brewhouse.tap.cold_season, T_target, warmer)[0]
        )
    return DesignBasis(
        brewhouse=brewhouse,
        stock=stock,
        scenario=scenario,
        hot_volume=w.volume,
        cold_volume=shrinks * w.batches[0],
        chilled_volume=shrinks * w.volume,
        parts=parts,
        pumps=tuple(_pump(stock, name) for name in sorted({s.pump for s in brewhouse.cooling if s.pump})),
        switch=switch,
        winter=winter,
        calibration=calibration,
        of_coil=of_coil,
    )


def chilled_to(volume: float, plato: float, T_start: float, T_target: float, top_up: TopUp | None) -> float:
    """Temperature [K] to which a partial boil is chilled so that the mix with its top-up meets T_target.

    The heat that the wort gives up between the two is what the top-up takes; without one it is T_target.
    """
    if top_up is None:
        return T_target
    mass = volume * float(wort.density(T_start, plato))
    added = top_up.volume * float(water.density(top_up.temperature))
    wanted = added * float(water.enthalpy(T_target) - water.enthalpy(top_up.temperature))
    x, w = np.polynomial.legendre.leggauss(8)

    def missing(T: float) -> float:
        at = T_target + 0.5 * (T - T_target) * (x + 1.0)
        given = mass * 0.5 * (T - T_target) * float((w * wort.heat_capacity(at, plato)).sum())
        return given - wanted

    low, high = water.T_MIN + 0.1, T_start
    if missing(high) <= 0.0:  # even boiling wort comes out colder than wanted: no chill is needed
        return T_start
    return root(missing, low, high) if missing(low) < 0.0 else low


def plan_stages(
    brewhouse: Brewhouse, stock: Stock, tap: float | None, T_target: float, warmer: float = 0.0
) -> tuple[tuple[Stage, ...], int | None]:
    """The plan for the physics with the tap at `tap` [K], and which stage's end is free; all water `warmer`
    [K] than is stated."""
    stages: list[Stage] = []
    switch = None
    for number, stage in enumerate(brewhouse.cooling):
        if stage.is_hold:
            stages.append(Stage(None, hold=stage.hold or 0.0))
            continue
        until = stage.until
        if until == "best":
            switch = number
            # Half way on a log scale is a sound place to begin; the search moves it.
            until = float(np.sqrt(T_target * brewhouse.wort.start_temperature))
        stages.append(Stage(_source(brewhouse, stock, stage, tap, warmer), until))
    return tuple(stages), switch


def _source(
    brewhouse: Brewhouse, stock: Stock, stage: CoolingStage, tap: float | None, warmer: float
) -> Source:
    """What one stage cools with."""
    T_tap = float("nan") if tap is None else max(tap + warmer, water.T_MIN)
    T_fill = T_tap
    if stage.water_temperature is not None:
        T_fill = max(stage.water_temperature + warmer, water.T_MIN)
    if stage.source == "tap":
        return Source(tap_supply(brewhouse), T_tap)
    filled = stage.bucket if stage.water is None else stage.water
    mass = filled * float(water.density(T_fill))
    if stage.source == "precooled tap":
        bath = stage.bath(mass, T_fill)
        assert stage.precooler is not None
        return Source.precooled(
            tap_supply(brewhouse), T_tap, bath, precooler(stage.precooler, stage.ice_stirred)
        )
    returns = stage.return_ == "bucket"
    lift = 0.0 if stage.return_under_water else stage.lift
    supply = pump_supply(brewhouse, _pump(stock, stage.pump), T_fill, lift)
    if stage.source == "bucket":
        if not returns:
            return Source(supply, T_fill)
        return Source(supply, T_fill, Bath(mass, T_fill), returns=True, fills=1 + stage.refills)
    return Source(supply, T_fill, stage.bath(mass, T_fill), returns=returns)


def precooler(coil: Coil, moved: bool) -> Precooler:
    """A coil in ice water, which is kept moving or not."""
    k = coil.metal.conductivity
    return Precooler(coil.outer_diameter, coil.bore, k, coil.mean_diameter, coil.helix_length, moved)


def _pump(stock: Stock, name: str | None) -> Pump:
    for pump in stock.pumps:
        if pump.pump_id == name:
            return pump
    known = ", ".join(p.pump_id for p in stock.pumps) or "none listed"
    raise NoPump(f"cooling.pump: {name}: not in pumps.csv (allowed: {known})")


def pump_supply(brewhouse: Brewhouse, pump: Pump, T: float, lift: float = 0.0) -> Supply:
    """A pump of the list on hoses of the tap's bore. T : of the water [K]; lift [m]."""
    points = list(pump.curve)
    if points[0][0] > 0.0:
        points.insert(0, (0.0, points[0][1]))
    return Supply.pump(points, hose_bore=brewhouse.hose_bore, lift=lift, T=T)


def tap_supply(brewhouse: Brewhouse) -> Supply:
    """The tap with its hose."""
    tap = brewhouse.tap
    assert tap is not None
    open_flow = tap.open_flow
    if open_flow is None:
        open_flow = open_flow_of_hose(
            static_pressure=tap.pressure,
            hose_bore=tap.hose_bore,
            hose_length=tap.hose_length,
            T=tap.temperature,
        )
    return Supply.tap(static_pressure=tap.pressure, open_flow=open_flow, hose_bore=tap.hose_bore)
