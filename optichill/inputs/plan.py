"""The cooling plan: stages in order, and the checks that need only the file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from optichill.inputs.coil import Coil
from optichill.inputs.fields import (
    KELVIN,
    Choice,
    Frozen,
    Gap,
    Mass,
    Money,
    Number,
    Quantity,
    Switch,
    Text,
    Time,
    Volume,
    WaterTemperature,
)

SOURCES = ("tap", "bucket", "ice bath", "precooled tap")
ICE_DENSITY = 917.0  # kg/m3 at 0 degC
BATH_TEMPERATURE = KELVIN + 1.0  # K, the coldest that ice water gives

# (key, what is wrong, what would do); the key's path starts at the brewhouse.
Finding = tuple[str, str, str]


def _until(value: Any) -> Any:
    return value if value == "best" else _UNTIL.read(value, text_only=isinstance(value, str))


_UNTIL = Quantity("temperature", KELVIN, KELVIN + 105.0)


class Stage(Frozen):
    """One stage, in SI. A hop stand has only `hold`; every other one has a source.

    until : wort temperature [K] at which the next stage takes over, "best", or None on the last.
    water : in the bath at the start [m3]; ice [kg]; bucket : what the vessel holds [m3].
    """

    source: Annotated[str, Choice(SOURCES)] | None = None
    until: Annotated[Any, BeforeValidator(_until)] = None
    pump: Text | None = None
    water: Volume | None = None
    ice: Mass | None = None
    bucket: Volume = 0.020
    refills: Annotated[int, Number(0, 50, whole=True)] = 0
    return_: Annotated[str, Choice(("bucket", "drain"))] = Field(default="bucket", alias="return")
    lift: Gap = 0.9
    return_under_water: Switch = True
    water_temperature: WaterTemperature | None = None
    ice_price: Money | None = None
    hold: Time | None = None
    precooler: Coil | None = None

    @property
    def is_hold(self) -> bool:
        """A hop stand: the wort waits, nothing flows."""
        return self.hold is not None


# Keys that mean nothing to a source are refused there: a plan with ice on the tap is a mistake, not a wish.
_FOREIGN = {
    "tap": ("pump", "water", "ice", "bucket", "refills", "return_", "lift", "return_under_water",
            "water_temperature", "ice_price", "precooler"),
    "bucket": ("ice", "ice_price", "precooler"),
    "ice bath": ("precooler",),
    "precooled tap": ("pump", "refills", "return_", "lift", "return_under_water"),
}  # fmt: skip


def findings(stages: tuple[Stage, ...], *, tap: float | None, start: float, target: float) -> list[Finding]:
    """What makes a plan impossible.

    Parameters
    ----------
    stages : in order.
    tap : tap temperature [K], None without a tap.
    start, target : wort temperatures [K].
    """
    found: list[Finding] = []
    last = max((place for place, stage in enumerate(stages) if not stage.is_hold), default=-1)
    if last < 0:
        return [("cooling", "only holds, nothing cools", "a stage with a source")]
    level = start
    for place, stage in enumerate(stages):
        where = f"cooling.{place}"
        if stage.is_hold:
            found += _about_hold(stage, where, place > last)
            continue
        found += _about_source(stage, where, tap)
        found += _about_until(stage, where, place == last, level, target, tap)
        if isinstance(stage.until, float):
            level = stage.until
    return found


def _about_hold(stage: Stage, where: str, at_end: bool) -> Iterator[Finding]:
    others = sorted(stage.model_fields_set - {"hold"})
    if others:
        yield f"{where}.{_written(others[0])}", "a hold is an entry of its own", "only hold"
    if at_end:
        yield f"{where}.hold", "a hold after the last cooling stage", "first, or after a stage with until"


def _about_source(stage: Stage, where: str, tap: float | None) -> Iterator[Finding]:
    if stage.source is None:
        yield f"{where}.source", "missing", ", ".join(SOURCES)
        return
    for name in _FOREIGN[stage.source]:
        if name in stage.model_fields_set:
            yield f"{where}.{_written(name)}", f"means nothing to the source '{stage.source}'", "leave it out"
    if stage.source in ("tap", "precooled tap") and tap is None:
        yield f"{where}.source", f"'{stage.source}' needs a [tap] table", "add [tap]"
    if stage.source in ("bucket", "ice bath"):
        if stage.pump is None:
            yield f"{where}.pump", f"the source '{stage.source}' needs a pump", "a pump_id of pumps.csv"
        if tap is None and stage.water_temperature is None:
            yield f"{where}.water_temperature", "missing, and there is no [tap] to take it from", "12 degC"
    if stage.source in ("ice bath", "precooled tap"):
        yield from _about_ice(stage, where)
    if stage.source == "precooled tap" and stage.precooler is None:
        yield f"{where}.precooler", "missing", "[cooling.precooler] with the keys of a coil file"


def _about_ice(stage: Stage, where: str) -> Iterator[Finding]:
    for name in ("water", "ice"):
        if getattr(stage, name) is None:
            yield f"{where}.{name}", "missing", "10 L" if name == "water" else "6 kg"
    filled = (stage.water or 0.0) + (stage.ice or 0.0) / ICE_DENSITY
    if filled > stage.bucket:
        room = f"ice and water take {filled * 1e3:.1f} L of a bucket of {stage.bucket * 1e3:.3g} L"
        yield f"{where}.ice", room, "less ice or water, or a larger bucket"


def _about_until(
    stage: Stage, where: str, last: bool, level: float, target: float, tap: float | None
) -> Iterator[Finding]:
    key = f"{where}.until"
    if last:
        if stage.until is not None:
            yield key, "the last stage runs to the target", "leave until out on the last stage"
        return
    if stage.until is None:
        yield key, "missing: only the last stage runs to the target", "35 degC or best"
        return
    if stage.until == "best":
        return
    source = _source_temperature(stage, tap)
    if source is not None and stage.until <= source:
        yield key, f"not above what this stage cools with ({source - KELVIN:.3g} degC)", "a warmer switch"
    elif stage.until <= target:
        yield key, "not above the target: the stages after it would have nothing to do", "a warmer switch"
    if stage.until >= level:
        yield key, "not below where this stage begins", f"below {level - KELVIN:.3g} degC"


def _source_temperature(stage: Stage, tap: float | None) -> float | None:
    if stage.source == "ice bath":
        return BATH_TEMPERATURE
    if stage.source == "precooled tap":
        return None
    if stage.source == "bucket" and stage.water_temperature is not None:
        return stage.water_temperature
    return tap


def _written(name: str) -> str:
    return "return" if name == "return_" else name


__all__ = ["BATH_TEMPERATURE", "Finding", "ICE_DENSITY", "SOURCES", "Stage", "findings"]
