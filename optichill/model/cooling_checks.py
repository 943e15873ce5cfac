"""What makes a cooling plan impossible, told before anything is worked out."""

from __future__ import annotations

from collections.abc import Iterator

from optichill.display import US_GALLON, show, trim
from optichill.model.coil import NEEDED
from optichill.model.cooling import ICED, PUMPED, SOURCES, CoolingStage, last_cooling
from optichill.model.fields import KELVIN
from optichill.model.refusals import near
from optichill.model.stock import Pump
from optichill.thermal.sources import ICE_DENSITY

# (key, what is wrong, what would do); the key's path starts at the brewhouse.
Finding = tuple[str, str, str]

# Keys that mean nothing to a source are refused there: a plan with ice on the tap is a mistake, not a wish.
_FOREIGN = {
    "tap": ("pump", "water", "ice", "bucket", "refills", "return_", "lift", "return_under_water",
            "water_temperature", "ice_lumps", "ice_price", "ice_stirred", "precooler"),
    "bucket": ("ice", "ice_lumps", "ice_price", "ice_stirred", "precooler"),
    "ice bath": ("ice_stirred", "precooler"),
    "precooled tap": ("pump", "refills", "return_", "lift", "return_under_water"),
}  # fmt: skip


def findings(
    stages: tuple[CoolingStage, ...], *, tap: float | None, start: float, target: float, units: str
) -> list[Finding]:
    """What makes a plan impossible, from the brewhouse file alone.

    Parameters
    ----------
    stages : in order.
    tap : tap temperature [K], None without a tap.
    start, target : wort temperatures [K].
    units : metric or us: how figures are said.
    """
    u = units
    last = last_cooling(stages)
    if last < 0:
        return [("cooling", "only holds, nothing cools", "a stage with a source")]
    found: list[Finding] = []
    # The most that the wort can have where a stage begins: a hold, or a switch to be sought, ends below it.
    level = start
    for place, stage in enumerate(stages):
        where = f"cooling.{place}"
        if stage.is_hold:
            found += _about_hold(stage, where, place > last)
            continue
        found += _about_source(stage, where, tap, u)
        warming = list(_about_warming(stage, where, level, tap, u))
        about_until = [] if warming else list(_about_until(stages, place, level, target, tap, u))
        found += warming + about_until
        # What follows a switch that is wrong is judged from the last one that was right.
        if isinstance(stage.until, float) and not warming and not about_until:
            level = stage.until
    return found


def pump_findings(
    stages: tuple[CoolingStage, ...], pumps: tuple[Pump, ...], tap: float | None, u: str
) -> list[Finding]:
    """What the pumps of the list cannot do for a plan; tap : tap temperature [K], None without one; u : units
    of the figures."""
    found: list[Finding] = []
    listed = {pump.pump_id: pump for pump in pumps}
    for place, stage in enumerate(stages):
        where = f"cooling.{place}"
        if stage.pump is None or stage.source not in PUMPED:
            continue
        if stage.pump not in listed:
            reason = f"no pump '{stage.pump}' in pumps.csv{near(stage.pump, list(listed))}"
            found.append((f"{where}.pump", reason, ", ".join(listed) or "a row of pumps.csv"))
            continue
        found += _about_pump(stage, where, listed[stage.pump], tap, u)
    return found


def _about_pump(stage: CoolingStage, where: str, pump: Pump, tap: float | None, u: str) -> Iterator[Finding]:
    filled, head = stage.filled_at(tap), pump.curve[0][1]
    if filled is not None and filled > pump.max_temperature:
        reason = (
            f"water at {_degrees(filled, u)} is hotter than {_degrees(pump.max_temperature, u)}, its rating"
        )
        yield f"{where}.pump", reason, "colder water, or a pump that is rated for it"
    lift = 0.0 if stage.return_under_water else stage.lift
    if lift >= head:
        key = "pump" if lift == 0.0 else "lift"
        has, wanted = show(head, "head", u), show(lift, "head", u)
        reason = f"'{pump.pump_id}' lifts {has} at no flow, wanted more than {wanted}"
        yield f"{where}.{key}", reason, "a stronger pump, or return_under_water = true"


def _about_hold(stage: CoolingStage, where: str, at_end: bool) -> Iterator[Finding]:
    others = sorted(stage.model_fields_set - {"hold"})
    if others:
        yield f"{where}.{_written(others[0])}", "a hold is an entry of its own", "only hold"
    if at_end:
        yield f"{where}.hold", "a hold after the last cooling stage", "first, or after a stage with until"


def _about_source(stage: CoolingStage, where: str, tap: float | None, u: str) -> Iterator[Finding]:
    if stage.source is None:
        yield f"{where}.source", "missing", ", ".join(SOURCES)
        return
    for name in _FOREIGN[stage.source]:
        if name in stage.model_fields_set:
            yield f"{where}.{_written(name)}", f"means nothing to the source '{stage.source}'", "leave it out"
    if stage.source in ("tap", "precooled tap") and tap is None:
        yield f"{where}.source", f"'{stage.source}' needs a [tap] table", "add [tap]"
    if stage.source in PUMPED:
        yield from _about_pumped(stage, where, tap, u)
    if stage.source == "precooled tap" and stage.precooler is None:
        yield f"{where}.precooler", "missing", f"[cooling.precooler] with {', '.join(NEEDED)}"
    if stage.source != "tap":
        yield from _about_vessel(stage, where, u)


def _about_pumped(stage: CoolingStage, where: str, tap: float | None, u: str) -> Iterator[Finding]:
    if stage.pump is None:
        yield f"{where}.pump", f"the source '{stage.source}' needs a pump", "a pump_id of pumps.csv"
    if tap is None and stage.water_temperature is None:
        yield (
            f"{where}.water_temperature",
            "missing, and there is no [tap] to take it from",
            _degrees(KELVIN + 12.0, u),
        )
    if stage.refills and stage.source == "ice bath":
        yield f"{where}.refills", "an ice bath is not refilled", "leave it out"


def _about_vessel(stage: CoolingStage, where: str, u: str) -> Iterator[Finding]:
    """What is in the vessel: water and ice where they are needed, and room for them."""
    if stage.source in ICED:
        for name in ("water", "ice"):
            if getattr(stage, name) is None:
                example = show(0.01, "exact_volume", u) if name == "water" else show(6.0, "mass", u)
                yield f"{where}.{name}", "missing", example
    parts = {"ice": (stage.ice or 0.0) / ICE_DENSITY, "water": stage.water or 0.0}
    filled = sum(parts.values()) + _displaced(stage)
    if filled > stage.bucket * (1.0 + 1e-9):  # full to the brim is full, not over
        there = [name for name, volume in parts.items() if volume > 0.0]
        said = [*there, "the coil"] if _displaced(stage) else there
        needed, held = _volume(filled, u), _volume(stage.bucket, u)
        reason = f"{' and '.join(said)} take{'s' if len(said) == 1 else ''} {needed} of a bucket of {held}"
        yield f"{where}.{there[0]}", reason, f"less {' or '.join(there)}, or a larger `bucket`"


def _displaced(stage: CoolingStage) -> float:
    """Volume that the turns of a pre-cooling coil take up under water [m3]."""
    coil = stage.precooler if stage.source == "precooled tap" else None
    return 0.0 if coil is None else coil.turns_volume


def _about_warming(
    stage: CoolingStage, where: str, level: float, tap: float | None, u: str
) -> Iterator[Finding]:
    coldest = stage.coldest(tap)
    if coldest is not None and coldest >= level:
        reason = f"would warm the wort: water at {_degrees(coldest, u)}, wort at {_degrees(level, u)}"
        yield f"{where}.source", reason, "colder water"


def _about_until(
    stages: tuple[CoolingStage, ...], place: int, level: float, target: float, tap: float | None, u: str
) -> Iterator[Finding]:
    stage, key = stages[place], f"cooling.{place}.until"
    if place == last_cooling(stages):
        if stage.until is not None:
            yield key, "the last stage runs to the target", "leave until out on the last stage"
        return
    if stage.until is None:
        yield key, "missing: only the last stage runs to the target", f"{_degrees(KELVIN + 35.0, u)} or best"
        return
    if stage.until == "best":
        yield from _about_best(stages, place, u)
        return
    coldest = stage.coldest(tap)
    if coldest is not None and stage.until <= coldest:
        yield key, f"not above what this stage cools with ({_degrees(coldest, u)})", "a warmer switch"
    elif stage.until <= target:
        yield key, "not above the target: the stages after it would have nothing to do", "a warmer switch"
    if stage.until >= level:
        yield key, "not below where this stage begins", f"below {_degrees(level, u)}"


def _about_best(stages: tuple[CoolingStage, ...], place: int, u: str) -> Iterator[Finding]:
    key, allowed = f"cooling.{place}.until", f"a temperature, such as {_degrees(KELVIN + 35.0, u)}"
    if any(earlier.until == "best" for earlier in stages[:place]):
        yield key, "one switch of a plan can be best, and an earlier stage has it", allowed
    elif stages[place + 1].is_hold:
        yield key, "best is sought between two cooling stages, and a hold follows", allowed


def _volume(volume: float, u: str) -> str:
    """To hundredths: what is over the brim must look so."""
    return f"{trim(volume / US_GALLON, 2)} gal" if u == "us" else f"{trim(volume * 1e3, 2)} L"


def _degrees(T: float, u: str) -> str:
    """As it is written in the file."""
    return f"{T * 1.8 - 459.67:.3g} degF" if u == "us" else f"{T - KELVIN:.3g} degC"


def _written(name: str) -> str:
    return "return" if name == "return_" else name
