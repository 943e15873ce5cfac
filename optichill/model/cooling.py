"""The cooling plan: its stages in order, and what each of them cools with."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from optichill.model.coil import Coil
from optichill.model.fields import (
    KELVIN,
    Choice,
    Flag,
    Gap,
    Mass,
    Money,
    Text,
    Time,
    Volume,
    WaterTemperature,
)
from optichill.model.frozen import Frozen
from optichill.model.number import Number
from optichill.model.quantity import Quantity
from optichill.properties.water import density as water_density
from optichill.thermal.sources import ICE_LUMPS, RUNNING_ICE, STILL_ICE, Bath

SOURCES = ("tap", "bucket", "ice bath", "precooled tap")
PUMPED = ("bucket", "ice bath")
ICED = ("ice bath", "precooled tap")


class CoolingStage(Frozen):
    """One stage, in SI. A hop stand has only `hold`; every other one has a source.

    until : wort temperature [K] at which the next stage takes over, "best", or None on the last.
    water : in the bath at the start [m3]; ice [kg]; bucket : what the vessel holds [m3].
    ice_lumps : what the ice comes in.
    ice_stirred : whether the ice water round a pre-cooling coil is kept moving.
    """

    source: Annotated[str, Choice(SOURCES)] | None = None
    """What this stage cools with."""
    until: Annotated[Any, Quantity("temperature", KELVIN, KELVIN + 105.0, words=("best",))] = None
    """Wort temperature at which the next stage takes over; left out on the last stage."""
    pump: Text | None = None
    """pump_id of pumps.csv, for a bucket or an ice bath."""
    water: Volume | None = None
    """Water in the vessel at the start; a bucket without ice is full when it is left out."""
    ice: Mass | None = None
    """Ice in the vessel at the start."""
    bucket: Volume = 0.020
    """What the vessel holds, to the brim."""
    refills: Annotated[int, Number(0, 50, whole=True)] = 0
    """How often a bucket is filled afresh."""
    return_: Annotated[str, Choice(("bucket", "drain"))] = Field(default="bucket", alias="return")
    """Where pumped water goes after the coil."""
    lift: Gap = 0.9
    """Height to which the pump lifts, where the return ends in the air."""
    return_under_water: Flag = True
    """Whether the return hose ends under water: then nothing is lifted."""
    water_temperature: WaterTemperature | None = None
    """Water as filled in; the tap's when left out."""
    ice_lumps: Annotated[str, Choice(tuple(ICE_LUMPS))] = "small cubes"
    """Lumps the ice comes in: cubes of 25 mm, blocks of 1 kg, or bags of 2 kg left whole."""
    ice_price: Money | None = None
    """Price of one kilogram of ice."""
    hold: Time | None = None
    """A hop stand without water: alone in an entry of its own; its minutes do not count."""
    ice_stirred: Flag = False
    """Whether the ice water round a pre-cooling coil is kept moving."""
    precooler: Coil | None = None
    """The coil in the ice water that the tap runs through, with the keys of a coil file."""

    @property
    def is_hold(self) -> bool:
        """A hop stand: the wort waits, nothing flows."""
        return self.hold is not None

    @property
    def bath_moves(self) -> bool:
        """Whether ice water is kept moving: by the water that comes back into it, or stirred round a coil."""
        return self.ice_stirred if self.source == "precooled tap" else self.return_ == "bucket"

    def bath(self, mass: float, filled_at: float) -> Bath:
        """Its vessel with `mass` [kg] of water of that temperature [K] and its ice."""
        film = RUNNING_ICE if self.bath_moves else STILL_ICE
        return Bath(mass, filled_at, self.ice or 0.0, film, ICE_LUMPS[self.ice_lumps])

    def filled_at(self, tap: float | None) -> float | None:
        """Temperature of the water as filled in, or out of the tap [K]; None where it is not said."""
        return tap if self.water_temperature is None or self.source == "tap" else self.water_temperature

    def coldest(self, tap: float | None) -> float | None:
        """The coldest water that it ever cools with [K]; tap [K]. None where too little is known."""
        filled = self.filled_at(tap)
        if self.source not in ICED or filled is None:
            return filled
        if self.water is None or self.ice is None:
            return None
        mass = self.water * float(water_density(filled))
        # The tap's own water may be colder than the bath that it runs through.
        runs = filled if self.source == "ice bath" or tap is None else tap
        return min(runs, self.bath(mass, filled).coldest)


def last_cooling(stages: tuple[CoolingStage, ...]) -> int:
    """Place of the last stage that cools, -1 without one."""
    return max((place for place, stage in enumerate(stages) if not stage.is_hold), default=-1)
