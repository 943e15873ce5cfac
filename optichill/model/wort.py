"""The wort of a brewhouse file: how much, how strong, from what to what, and how it is stirred."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any, Self

from pydantic import model_validator

from optichill.display import show
from optichill.model.coil import UNSET
from optichill.model.fields import (
    KELVIN,
    AirTemperature,
    Choice,
    Flag,
    Size,
    Speed,
    Temperature,
    Volume,
    WaterTemperature,
)
from optichill.model.frozen import Frozen, settle
from optichill.model.quantity import Quantity
from optichill.model.refusals import refusal
from optichill.model.stirring import Mixed, Stirring
from optichill.thermal.batch import Mixing

SHRINKAGE = 0.96  # volume cold over volume hot (common practice, no source)


class TopUp(Frozen):
    """Cold water added after chilling a partial boil [m3, K]."""

    volume: Volume
    """Cold water added after chilling."""
    temperature: WaterTemperature
    """Its temperature."""


DIRT: Mapping[str, str] = MappingProxyType(
    {"clean": "fouling", "hop bag": "hop bag", "loose pellets": "loose pellets"}
)
"""What lies on the tube: the prior of its resistance, the cleanest first."""


WARMEST_PITCH = KELVIN + 45.0
"""Warmest wort that any yeast or culture is pitched into [K] (common practice, no source)."""

MEANT = "{}; or `unusual = true` under [wort] if it is meant"


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
    kept as they were given. mixing is one of MIXING_WORDS, a cross-flow speed [m/s], or a table.
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
    mixing: Mixed = "now and then"
    """How the wort is stirred: a word, its speed, or a table; also told as "paddle, slow, 15 s a minute"."""
    dirt: Annotated[str, Choice(DIRT)] = "clean"
    """What of the hops lies on the tube: none, what comes through a hop bag, or pellets thrown in loose."""
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
                MEANT.format("0 °C to 45 °C"),
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
    def moves(self) -> Mixing:
        """How the wort moves."""
        m = self.mixing
        return self._stirred(m.share) if isinstance(m, Stirring) else Mixing.of(m, self.swirl)

    @property
    def all_along(self) -> Mixing:
        """How it moves if it is stirred all the time: as stated, or steadily where a word says how."""
        return self._stirred(1.0) if isinstance(self.mixing, Stirring) else Mixing.of("steady")

    def _stirred(self, share: float) -> Mixing:
        assert isinstance(self.mixing, Stirring)
        return Mixing.stirred(self.mixing.with_, self.mixing.motion, share, self.swirl)

    @property
    def dirt_prior(self) -> str:
        """Name of what is known of the dirt on the tube."""
        return DIRT[self.dirt]

    @property
    def cleaner(self) -> str | None:
        """The next cleaner kind of wort; None of clean wort."""
        place = list(DIRT).index(self.dirt)
        return list(DIRT)[place - 1] if place else None

    @property
    def batches(self) -> tuple[float, ...]:
        """Batch sizes [m3], one or two, the smallest first."""
        return tuple(sorted({self.smallest_volume, self.volume}))
