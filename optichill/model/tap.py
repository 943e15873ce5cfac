"""The cold tap of a brewhouse file: its temperature by whatever is known of it, and the flow it gives."""

from __future__ import annotations

import math
from typing import Annotated, Any, Self

from pydantic import model_validator

from optichill.display import show
from optichill.model.coil import UNSET
from optichill.model.fields import KELVIN, AirTemperature, Choice, Date, Flow, WaterTemperature
from optichill.model.frozen import Frozen, settle
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal
from optichill.model.wort import MEANT
from optichill.properties.mains import mains_temperature
from optichill.thermal.supply import open_flow_of_hose

ASSUMED_PRESSURE = 3e5  # Pa, of a tap without a gauge; said wherever it is used
HIGHEST_PRESSURE = 1e6
"""Most that a house's pipes are made for [Pa] (EN 806-2, M): taken where the tap has no gauge."""
SHORT_HOSE = 2.0
"""Length of a short hose [m] (OWN): taken where none is stated, for what no hose could give."""
LEAST_FRICTION = 0.97
"""Of Blasius' friction, what any smooth wall has (Colebrook's, between Re 4000 and 100 000)."""


class Climate(Frozen):
    """Air temperatures of the place and the brewing date, for the mains temperature [K]."""

    mean: AirTemperature
    """Yearly mean of the air."""
    swing: Annotated[float, Quantity("temperature_difference", 0.0, 80.0)]
    """Warmest less coldest monthly mean of the air."""
    date: Date
    """The brewing day."""
    hemisphere: Annotated[str, Choice(("north", "south"))] = "north"
    """Which half of the year is summer."""

    @property
    def mains(self) -> float:
        """Mains temperature on the date [K]."""
        day = self.date.timetuple().tm_yday
        return mains_temperature(self.mean, self.swing, day, southern=self.hemisphere == "south")


class Tap(Frozen):
    """The cold tap [K, m3/s, Pa, m].

    temperature is always known: given, or the warm season's, or that of climate on its date (then
    cold_season, warm_season or climate are kept beside it). open_flow and static_pressure are None when
    they were not measured.
    """

    temperature: WaterTemperature = UNSET
    """Tap water at the END of the hose after two minutes; or a table of two seasons."""
    cold_season: WaterTemperature | None = None
    """Tap water in the cold season, with warm_season in place of temperature."""
    warm_season: WaterTemperature | None = None
    """Tap water in the warm season, for which the limits hold."""
    climate: Climate | None = None
    """In place of temperature: the mains' is estimated for a date."""
    open_flow: Flow | None = None
    """Flow out of the open hose, by bucket and clock; estimated when left out."""
    static_pressure: Annotated[float, Quantity("pressure", 2e4, 1.2e6)] | None = None
    """Gauge on the closed tap; 3 bar is assumed when left out."""
    hose_bore: Annotated[float, Quantity("length", 0.004, 0.060)] = 0.0125
    """Inside diameter of the hose."""
    hose_length: Annotated[float, Quantity("length", 0.2, 200.0)] = 10.0
    """Length of the hose."""
    hose_rating: Annotated[float, Quantity("temperature", KELVIN + 20.0, KELVIN + 200.0)] | None = None
    """What the outlet hose may carry."""

    @model_validator(mode="before")
    @classmethod
    def _two_seasons(cls, data: Any) -> Any:
        """`temperature = { cold_season = "6 degC", warm_season = "18 degC" }`."""
        if not isinstance(data, dict) or not isinstance(data.get("temperature"), dict):
            return data
        seasons = data["temperature"]
        for key in seasons:
            if key not in ("cold_season", "warm_season"):
                raise refusal("unknown key", "cold_season, warm_season", f"temperature.{key}")
        return {**{key: value for key, value in data.items() if key != "temperature"}, **seasons}

    @model_validator(mode="after")
    def _settle(self) -> Self:
        if (self.cold_season is None) != (self.warm_season is None):
            missing = "cold_season" if self.cold_season is None else "warm_season"
            raise refusal("missing", "both seasons", f"temperature.{missing}")
        ways = [not math.isnan(self.temperature), self.warm_season is not None, self.climate is not None]
        if sum(ways) != 1:
            allowed = "temperature, two seasons, or climate"
            raise refusal("missing" if not any(ways) else "given more than once", allowed, "temperature")
        if self.warm_season is not None and self.cold_season is not None:
            if self.cold_season > self.warm_season:
                raise refusal("warmer than warm_season", "the colder one", "temperature.cold_season")
            settle(self, temperature=self.warm_season)
        elif self.climate is not None:
            settle(self, temperature=self.climate.mains)
        return self

    @property
    def pressure(self) -> float:
        """Static pressure [Pa], ASSUMED_PRESSURE when there is no gauge."""
        return ASSUMED_PRESSURE if self.static_pressure is None else self.static_pressure

    def refuse_more_than_flows(self) -> None:
        """Refuse a measured flow that hose and pressure cannot give, were tap and mouth to take nothing; a
        pressure nobody read is taken high, a hose nobody measured short."""
        if self.open_flow is None:
            return
        pressure = HIGHEST_PRESSURE if self.static_pressure is None else self.static_pressure
        length = self.hose_length if "hose_length" in self.model_fields_set else SHORT_HOSE
        most = open_flow_of_hose(
            static_pressure=pressure,
            hose_bore=self.hose_bore,
            hose_length=LEAST_FRICTION * length,
            T=self.temperature,
            K_tap=0.0,
        )
        if self.open_flow <= most:
            return
        bore, long = show(self.hose_bore, "tube", "metric"), show(length, "long_length", "metric")
        flow, given = show(most, "flow", "metric"), show(self.open_flow, "flow", "metric")
        reason = (
            f"{given} does not come out of {long} of {bore} hose, which gives at most {flow} "
            f"at {show(pressure, 'pressure', 'metric')}: a gallon for a litre, an hour for a minute?"
        )
        raise refusal(reason, MEANT.format(f"at most {flow}, or a wider `hose_bore`"), "tap.open_flow")
