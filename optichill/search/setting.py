"""The fixed side of every question: one kettle, one batch, one tap, in numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from optichill.build.fit import FixedPart, tallest_floor_part, widest_centre_part
from optichill.errors import OptichillError
from optichill.inputs.brewhouse import Brewhouse
from optichill.inputs.load import Inputs
from optichill.inputs.stock import Stock
from optichill.physics import wort
from optichill.physics.cooldown import Mixing, Scenario
from optichill.physics.supply import Supply, open_flow_of_hose


class NoTap(OptichillError):
    """The brewhouse has no tap, and a coil needs one so far."""


@dataclass(frozen=True)
class Setting:
    """What stays the same while coils vary.

    hot_volume, cold_volume [m3] of the batch at start and target temperature; parts built into the kettle.
    """

    brewhouse: Brewhouse
    stock: Stock
    scenario: Scenario
    hot_volume: float
    cold_volume: float
    parts: tuple[FixedPart, ...]

    @property
    def floor_part(self) -> float:
        """Height of the tallest part on the kettle's floor [m]."""
        return tallest_floor_part(self.parts)

    @property
    def centre_part(self) -> float:
        """Diameter of the widest part in the kettle's centre [m]."""
        return widest_centre_part(self.parts)

    def mixed(self, mixing: str) -> Scenario:
        """The same batch, otherwise stirred."""
        return replace(self.scenario, mixing=Mixing.of(mixing))


def setting(inputs: Inputs) -> Setting:
    """From what was read."""
    brewhouse = inputs.brewhouse
    supply, T_in = _tap(brewhouse)
    w, kettle = brewhouse.wort, brewhouse.kettle
    scenario = Scenario(
        volume=w.volume,
        plato=w.gravity,
        T_start=w.start_temperature,
        T_target=w.target_temperature,
        T_in=T_in,
        T_ambient=w.ambient_temperature,
        kettle_diameter=kettle.inside_diameter,
        supply=supply,
        mixing=Mixing.of(w.mixing, w.swirl),
        lid=kettle.lid,
        kettle_metal_mass=kettle.metal_mass,
    )
    parts = tuple(FixedPart(p.what, p.where, p.height, p.size) for p in kettle.part)
    cold_volume = scenario.mass / float(wort.density(w.target_temperature, w.gravity))
    return Setting(brewhouse, inputs.stock, scenario, w.volume, cold_volume, parts)


def _tap(brewhouse: Brewhouse) -> tuple[Supply, float]:
    """The supply and the water's temperature [K]."""
    tap = brewhouse.tap
    if tap is None:
        raise NoTap(
            "tap: missing: coils are worked out for tap water so far; add [tap] with a temperature"
            " (pumped plans are read and kept)"
        )
    open_flow = tap.open_flow
    if open_flow is None:
        open_flow = open_flow_of_hose(
            static_pressure=tap.pressure,
            hose_bore=tap.hose_bore,
            hose_length=tap.hose_length,
            T=tap.temperature,
        )
    supply = Supply.tap(static_pressure=tap.pressure, open_flow=open_flow, hose_bore=tap.hose_bore)
    return supply, tap.temperature
