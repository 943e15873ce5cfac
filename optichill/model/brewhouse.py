"""The brewhouse file as models in SI: names are the keys of the file, defaults are the contract's.

Built from a file the values are text with units; built in Python they are SI floats. What follows from
other keys (mouth, volume, smallest_volume) is settled once, so every reader sees the same number.
"""

from __future__ import annotations

import hashlib
import math
import re
import unicodedata
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import AfterValidator, Field, PrivateAttr, ValidationInfo, model_validator

from optichill import display
from optichill.display import show
from optichill.layouts import LAYOUTS
from optichill.model import cooling_checks
from optichill.model.coil import UNSET
from optichill.model.cooling import CoolingStage
from optichill.model.fields import (
    KELVIN,
    AirTemperature,
    Choice,
    Date,
    Flag,
    Flow,
    Frozen,
    Gap,
    Mass,
    Quantity,
    Size,
    Speed,
    Temperature,
    Text,
    Volume,
    WaterTemperature,
    refusal,
    settle,
)
from optichill.model.slips import LEAST_FILL, SMALLEST_BATCH, no_batch
from optichill.model.wishes import Limits, Wishes
from optichill.properties.mains import mains_temperature
from optichill.thermal.batch import MIXING_WORDS
from optichill.thermal.hydraulics import open_flow_of_hose

ASSUMED_PRESSURE = 3e5  # Pa, of a tap without a gauge; said wherever it is used
_SPELLED = str.maketrans({"ł": "l", "Ł": "L", "ø": "o", "Ø": "O", "đ": "d", "Đ": "D", "æ": "ae", "Æ": "Ae"})
HIGHEST_PRESSURE = 1e6
"""Most that a house's pipes are made for [Pa] (EN 806-2, M): taken where the tap has no gauge."""
MEASURED_OFF = 1.25
"""How far a bucket and a clock may stand above what the hose is worked out to give (OWN)."""
SHRINKAGE = 0.96  # volume cold over volume hot (common practice, no source)


class Part(Frozen):
    """Something in the way inside the kettle: up to `height`, reaching `size` into the room [m]."""

    what: Text
    """Name of the thing, for drawings and messages."""
    where: Annotated[str, Choice(("wall", "floor", "centre"))]
    """Where it is fixed."""
    height: Gap
    """How high above the floor it reaches."""
    size: Size
    """How far it reaches in from the wall; of a centre part its diameter."""


class Kettle(Frozen):
    """The kettle [m, kg]."""

    inside_diameter: Annotated[float, Quantity("length", 0.10, 3.0)]
    """Inside diameter of the kettle."""
    inside_height: Annotated[float, Quantity("length", 0.10, 3.0)]
    """Inside height, floor to rim."""
    mouth: Size = UNSET
    """Smallest opening that the coil must pass; the inside diameter when left out."""
    wall_clearance: Gap = 0.030
    """Least room between turns and wall."""
    floor_clearance: Gap = 0.025
    """Least room under the lowest turn."""
    top_clearance: Gap = 0.015
    """How deep the top turn must stay under the cold surface."""
    coil_rests: Annotated[str, Choice(("feet", "floor", "hangs"))] = "feet"
    """How the coil stands: on wire feet, on the floor, or hung from the rim."""
    lid: Flag = False
    """Whether a lid is on while chilling."""
    metal_mass: Mass | None = None
    """Weight of the empty kettle; 1 mm of stainless steel is taken when left out."""
    part: tuple[Part, ...] = ()
    """Things in the way inside the kettle, each a table."""

    @model_validator(mode="after")
    def _settle(self) -> Self:
        if math.isnan(self.mouth):
            settle(self, mouth=self.inside_diameter)
        if self.mouth > self.inside_diameter:
            raise refusal(
                "wider than the kettle: the smallest opening is meant", "at most inside_diameter", "mouth"
            )
        for place, part in enumerate(self.part):
            room = self.inside_diameter / (2.0 if part.where == "wall" else 1.0)
            if part.where != "floor" and part.size >= room:
                key = f"part.{place}.size"
                raise refusal("larger than the kettle has room for", "how far it reaches in", key)
            if part.height > self.inside_height:
                raise refusal("above the rim", "at most inside_height", f"part.{place}.height")
        if 2 * self.wall_clearance >= self.inside_diameter:
            raise refusal("leaves no room for a coil", "less than half of inside_diameter", "wall_clearance")
        return self

    @property
    def area(self) -> float:
        """Floor area [m2]."""
        return math.pi / 4 * self.inside_diameter**2

    @property
    def capacity(self) -> float:
        """Volume to the brim [m3]."""
        return self.area * self.inside_height


class TopUp(Frozen):
    """Cold water added after chilling a partial boil [m3, K]."""

    volume: Volume
    """Cold water added after chilling."""
    temperature: WaterTemperature
    """Its temperature."""


MIXING_ALLOWED = ", ".join(MIXING_WORDS) + ', or a speed such as "0.1 m/s"'


WARMEST_PITCH = KELVIN + 45.0
"""Warmest wort that any yeast or culture is pitched into [K] (common practice, no source)."""

_MEANT = "{}; or `unusual = true` under [wort] if it is meant"


def _too_warm_to_pitch(T: float) -> str:
    """Why a target is taken for a slip; the same number in °F may be the one that was meant."""
    said = f"{show(T, 'temperature', 'metric')} is no wort to pitch yeast into"
    read = (T - KELVIN - 32.0) / 1.8
    if 0.0 <= read <= WARMEST_PITCH - KELVIN:
        said += f" ({T - KELVIN:.3g} °F would be {read:.3g} °C)"
    return said


class Wort(Frozen):
    """The wort [m3 hot in the kettle without the coil, degP, K].

    volume is the largest batch and smallest_volume the smallest; depth, into_fermenter and left_behind are
    kept as they were given. mixing is one of MIXING_WORDS or a cross-flow speed [m/s].
    """

    volume: Volume = UNSET
    """Hot wort in the kettle, before the coil goes in; two in a list: smallest and largest batch."""
    smallest_volume: Volume = UNSET
    """The smallest batch, which must cover the coil; volume when left out."""
    depth: Size | None = None
    """Or how deep the hot wort stands, in place of volume."""
    into_fermenter: Volume | None = None
    """Or the cold wort wanted in the fermenter, in place of volume."""
    left_behind: Annotated[float, Quantity("volume", 0.0, 1.0)] = 0.0
    """Cold wort that stays in the kettle; goes with into_fermenter."""
    gravity: Annotated[float, Quantity("gravity", 0.0, 30.0)] = 12.0
    """Strength of the wort."""
    start_temperature: Temperature = KELVIN + 98.0
    """Wort temperature when chilling begins."""
    target_temperature: Temperature = KELVIN + 20.0
    """Wort temperature wanted; of a partial boil that of the mix."""
    top_up: TopUp | None = None
    """Cold water added afterwards to a partial boil."""
    mixing: Annotated[Any, Quantity("speed", 0.0, 2.0, words=MIXING_WORDS)] = "now and then"
    """How the wort is stirred, in words or as its speed past the coil."""
    swirl: Speed | None = None
    """Speed of a whirlpool besides the stirring."""
    ambient_temperature: AirTemperature = KELVIN + 20.0
    """Air round the kettle."""
    unusual: Flag = False
    """Lets pass what is taken for a slip: a target outside 0 to 45 °C, a tap above its hose, a tiny batch."""

    @model_validator(mode="before")
    @classmethod
    def _two_batches(cls, data: Any) -> Any:
        """`volume = ["19 L", "23 L"]`: smallest and largest batch."""
        if not isinstance(data, dict) or not isinstance(data.get("volume"), list):
            return data
        if len(data["volume"]) != 2:
            raise refusal("needs two entries", "the smallest and the largest batch", "volume")
        smallest, largest = data["volume"]
        return {**data, "smallest_volume": smallest, "volume": largest}

    @model_validator(mode="after")
    def _settle(self) -> Self:
        ways = [name for name in ("volume", "depth", "into_fermenter") if name in self.model_fields_set]
        if len(ways) > 1:
            raise refusal(f"given besides {ways[0]}", "one way to say how much wort", ways[1])
        if not ways:
            raise refusal("missing", "volume, depth, or into_fermenter with left_behind", "volume")
        if "left_behind" in self.model_fields_set and self.into_fermenter is None:
            raise refusal("goes with into_fermenter", "leave it out", "left_behind")
        if self.into_fermenter is not None:
            if self.top_up is not None:
                raise refusal("not with a top_up", "volume or depth, before the top-up", "into_fermenter")
            settle(self, volume=(self.into_fermenter + self.left_behind) / SHRINKAGE)
        if self.target_temperature >= self.start_temperature:
            raise refusal("not below start_temperature", "colder than the start", "target_temperature")
        if self.target_temperature > WARMEST_PITCH and not self.unusual:
            raise refusal(
                _too_warm_to_pitch(self.target_temperature),
                _MEANT.format("0 °C to 45 °C"),
                "target_temperature",
            )
        self._settle_smallest()
        return self

    def _settle_smallest(self) -> None:
        if math.isnan(self.smallest_volume):
            settle(self, smallest_volume=self.volume)
        if self.smallest_volume > self.volume:
            raise refusal("larger than the largest batch", "smallest first", "smallest_volume")

    @property
    def batches(self) -> tuple[float, ...]:
        """Batch sizes [m3], one or two, the smallest first."""
        return tuple(sorted({self.smallest_volume, self.volume}))


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
        """Refuse a measured flow that hose and pressure cannot give; a pressure nobody read is taken high."""
        pressure = HIGHEST_PRESSURE if self.static_pressure is None else self.static_pressure
        most = MEASURED_OFF * open_flow_of_hose(
            static_pressure=pressure,
            hose_bore=self.hose_bore,
            hose_length=self.hose_length,
            T=self.temperature,
        )
        if self.open_flow is None or self.open_flow <= most:
            return
        bore, length = show(self.hose_bore, "tube", "metric"), show(self.hose_length, "long_length", "metric")
        flow, given = show(most, "flow", "metric"), show(self.open_flow, "flow", "metric")
        reason = (
            f"{given} does not come out of {length} of {bore} hose, which gives at most {flow} "
            f"at {show(pressure, 'pressure', 'metric')}: a gallon for a litre, an hour for a minute?"
        )
        raise refusal(reason, _MEANT.format(f"at most {flow}, or a wider `hose_bore`"), "tap.open_flow")


VALVE_SETTINGS = {
    "full": 1.0,
    "three quarters": 3.0 / 4.0,
    "two thirds": 2.0 / 3.0,
    "half": 1.0 / 2.0,
    "third": 1.0 / 3.0,
    "quarter": 1.0 / 4.0,
    "fifth": 1.0 / 5.0,
}
"""How far the valve is open, as a share of the full flow."""


class Workshop(Frozen):
    """How the brewer builds [m]."""

    marking_increment: Annotated[float, Quantity("length", 0.0005, 0.05)] = 0.001
    """To what marks on the tube are rounded."""
    forms_owned_only: Flag = False
    """Wind only on forms that are owned."""
    layouts: tuple[Annotated[str, Choice(LAYOUTS)], ...] = Field(default_factory=lambda: tuple(LAYOUTS))
    """Layouts to look at: one layer; two layers of one tube; two tubes on tees."""
    flow_settings: tuple[Annotated[str, Choice(tuple(VALVE_SETTINGS))], ...] = ("full", "half", "third")
    """Valve positions worth trying, where water runs away."""
    riser: Annotated[str, Choice(("outside", "inside"))] = "outside"
    """Whether the riser from the lowest turn climbs outside or inside the turns."""
    riser_sides: Annotated[str, Choice(("same", "opposite", "any"))] = "any"
    """Whether both risers come up on the same side."""
    smallest_gap: Gap = 0.005
    """Least gap between turns; 0 mm lets them touch."""
    headspace: Gap = 0.020
    """Least free rim with the coil in the hot wort."""
    over_the_rim: Gap = 0.15
    """Tube beyond the rim, to the ends."""

    @model_validator(mode="after")
    def _some_layout(self) -> Self:
        if not self.layouts:
            raise refusal("empty", ", ".join(LAYOUTS), "layouts")
        if not self.flow_settings:
            raise refusal("empty", ", ".join(VALVE_SETTINGS), "flow_settings")
        return self

    @property
    def valve_shares(self) -> tuple[float, ...]:
        """Valve settings as shares of the full flow, the fullest first."""
        return tuple(sorted({VALVE_SETTINGS[word] for word in self.flow_settings}, reverse=True))


def _currency(text: str) -> str:
    """Letters and signs of money; what a failed figure looks like is none."""
    kinds = ["Sc" if unicodedata.category(c) == "Sc" else unicodedata.category(c)[0] for c in text]
    odd = any(kind not in ("L", "M", "Sc") and c not in "./" for c, kind in zip(text, kinds, strict=True))
    if odd or not {"L", "Sc"} & set(kinds) or len(text) > 8 or text.lower() in ("nan", "inf", "infinity"):
        raise refusal("not a currency", "letters and signs of money, at most 8, such as EUR, US$ or zł")
    return text


class StockRef(Frozen):
    """Where the lists are, and in which currency."""

    folder: Text = "."
    """Folder of the five lists, from the brewhouse file."""
    currency: Annotated[Text, AfterValidator(_currency)] = "EUR"
    """Currency of all prices, as it is printed."""


class Brewhouse(Frozen):
    """Everything of one brewhouse file."""

    name: Text
    """Name of the brewhouse; reports lie in a folder of that name."""
    units: Annotated[str, Choice(("metric", "us"))] = "metric"
    """How results are shown."""
    demo: Flag = False
    """Marks the packaged example, so that nobody builds it."""
    kettle: Kettle
    """The kettle."""
    wort: Wort
    """The wort."""
    tap: Tap | None = None
    """The cold tap; leave it out where a pump does all."""
    cooling: tuple[CoolingStage, ...] = ()
    """Stages of the cooling plan in order; the tap to the target when left out."""
    workshop: Workshop = Workshop()
    """How the brewer builds."""
    limits: Limits = Limits()
    """What must hold."""
    wishes: Wishes = Wishes()
    """What ranks the coils that hold the limits."""
    stock: StockRef = StockRef()
    """Where the lists are."""
    _path: Path | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _settle(self, info: ValidationInfo) -> Self:
        if self.wort.depth is not None:
            volume = self.kettle.area * self.wort.depth
            wort = self.wort.model_copy()  # it may be the caller's own
            settle(wort, volume=volume, smallest_volume=volume)
            settle(self, wort=wort)
        if not self.cooling:
            if self.tap is None:
                raise refusal("missing: nothing cools the wort", "[tap], or [[cooling]] with a pump", "tap")
            settle(self, cooling=(CoolingStage(source="tap"),))
        if self.tap is not None and not self.wort.unusual:
            self.tap.refuse_more_than_flows()
        if self.wort.volume > self.kettle.capacity:
            brim = f"at most {display.show(self.kettle.capacity, 'exact_volume', self.units)}, the brim"
            raise refusal("does not fit the kettle", brim, f"wort.{self._amount_key(self.wort.volume)}")
        if not self.wort.unusual:
            self._refuse_no_batch()
        return self

    def _refuse_no_batch(self) -> None:
        """Refuse a batch that is a slip: 24.000 mL for 24 L."""
        slip = no_batch(self.wort.smallest_volume, self.kettle.capacity, self.units)
        if slip:
            least = max(SMALLEST_BATCH, LEAST_FILL * self.kettle.capacity)
            allowed = _MEANT.format(f"{display.show(least, 'exact_volume', self.units)} or more")
            raise refusal(slip, allowed, f"wort.{self._amount_key(self.wort.smallest_volume)}")

    def _amount_key(self, volume: float) -> str:
        """Key that says how much wort; of two batches the one of that volume."""
        if volume != self.wort.volume:
            return "smallest_volume"
        return next(k for k in ("depth", "into_fermenter", "volume") if k in self.wort.model_fields_set)

    @property
    def path(self) -> Path | None:
        """The file it was read from, None when built in Python."""
        return self._path

    @property
    def slug(self) -> str:
        """Name of the report folder: lower-case letters, digits and hyphens. Where letters had to be dropped
        or cut, a few digits that follow from the whole name keep two brewhouses apart."""
        spelled = unicodedata.normalize("NFKD", self.name.translate(_SPELLED).casefold())
        letters = [c for c in spelled if not unicodedata.combining(c)]
        plain = re.sub("[^a-z0-9]+", "-", "".join(letters)).strip("-")
        lost = any(c.isalnum() and not c.isascii() for c in letters) or len(plain) > 60 or not plain
        mark = hashlib.sha256(self.name.encode()).hexdigest()[:6] if lost else ""
        return "-".join(part for part in (plain[:60].strip("-"), mark) if part)

    def plan_findings(self) -> list[cooling_checks.Finding]:
        """What makes the cooling plan impossible, all at once."""
        found = cooling_checks.findings(
            self.cooling,
            tap=self.tap.temperature if self.tap else None,
            start=self.wort.start_temperature,
            target=self.wort.target_temperature,
            units=self.units,
        )
        if "cooling" in self.model_fields_set:
            return found
        # The plan was left out: it is the tap to the target, and only the tap can be at fault.
        return [("tap.temperature", reason, allowed) for _, reason, allowed in found]
