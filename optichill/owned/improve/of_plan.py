"""Changes of the cooling plan with what is there: its order, its change-overs, its ice and its buckets; and
ice behind a tap that is too warm.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from optichill.geometry.risers import TRIM
from optichill.model.coil import Coil
from optichill.model.cooling import ICED, CoolingStage
from optichill.model.stock import MATCH
from optichill.owned.improve import changes
from optichill.owned.improve.changes import BREWHOUSE, Change, Edit, changed, degrees, quantity, table_of
from optichill.owned.improve.of_wort import Ways
from optichill.owned.improve.seen import Seen
from optichill.problem.worth import bagged_ice
from optichill.rating.hours import worked_out
from optichill.rating.likely import wears_out
from optichill.rating.prediction import FINE
from optichill.rating.remedies import Remedy, more_ice, that_lead_there, vessel_of, warm_tap_remedies
from optichill.search.less_ice import STEP as WEIGHED
from optichill.search.less_ice import amount_that_does
from optichill.search.more_ice import larger_amounts
from optichill.thermal.sources import ICE_DENSITY, ICE_LUMPS, SMALL_CUBE
from optichill.units import parse

A_QUARTER_LESS = 0.75
"""Of the ice in a plan that is looked at where less of it saves nothing."""


def of_the_plan(now: Seen) -> list[Ways]:
    """All that there is to do about the plan as it stands."""
    return [
        _order(now),
        *_change_overs(now),
        _small_cubes(now),
        _more_ice(now),
        _less_ice(now),
        _ice_stirred(now),
        _refills(now),
    ]


def _stages(now: Seen) -> tuple[CoolingStage, ...]:
    return now.inputs.brewhouse.cooling


def _plan(stages: list[dict[str, Any]]) -> Edit:
    """The plan written anew."""
    return Edit(BREWHOUSE, "", "cooling", stages)


def _order(now: Seen) -> Ways:
    """Ice last; and where a plan has ice alone though there is a tap, the tap first. The change-over is where
    the coil costs least."""
    stages, units, tap = _stages(now), now.inputs.brewhouse.units, now.inputs.brewhouse.tap
    if any(stage.is_hold for stage in stages):
        return []
    iced = [stage.source in ICED for stage in stages]
    ordered = [s for s, ice in zip(stages, iced, strict=True) if not ice]
    ordered += [s for s, ice in zip(stages, iced, strict=True) if ice]
    if all(iced) and tap is not None:
        ordered = [CoolingStage(source="tap"), *ordered]
    if len(ordered) != 2 or tuple(ordered) == stages:
        return []
    tables = [table_of(stage, units) for stage in ordered]
    tables[1].pop("until", None)
    then = changed(now.inputs, [_plan([{**tables[0], "until": "best"}, tables[1]])])
    found = None if then is None else Seen(then).change_over
    if found is None:
        return []
    until = degrees(found.at, units)
    told = {"until": until, "first": ordered[0].source, "added": len(ordered) > len(stages)}
    return [Change("order", (_plan([{**tables[0], "until": until}, tables[1]]),), told)]


def _change_overs(now: Seen) -> list[Ways]:
    """Each change-over that is stated, where the coil costs least instead."""
    stages, units = _stages(now), now.inputs.brewhouse.units
    ways = []
    for place, stage in enumerate(stages):
        if not isinstance(stage.until, float) or stages[place + 1].is_hold:
            continue
        free = changed(now.inputs, [Edit(BREWHOUSE, f"cooling[{place + 1}]", "until", "best")])
        found = None if free is None else Seen(free).change_over
        if found is None:
            continue
        until = degrees(found.at, units)
        told = {"until": until, "was": stage.until, "later": found.at < stage.until, "stage": place + 1}
        ways.append([Change("change over", (_of_stage(place, "until", until),), told)])
    return ways


def _of_stage(place: int, key: str, value: Any) -> Edit:
    return Edit(BREWHOUSE, f"cooling[{place + 1}]", key, value)


def _small_cubes(now: Seen) -> Ways:
    """Blocks and bags broken or shaken into small cubes."""
    edits = tuple(
        _of_stage(place, "ice_lumps", "small cubes")
        for place, stage in enumerate(_stages(now))
        if stage.source in ICED and ICE_LUMPS[stage.ice_lumps] > SMALL_CUBE
    )
    lumps = next((s.ice_lumps for s in _stages(now) if s.source in ICED), "")
    return [Change("small cubes", edits, {"was": lumps})] if edits else []


def _ice_stirred(now: Seen) -> Ways:
    """The ice water round a pre-cooling coil kept moving."""
    edits = tuple(
        _of_stage(place, "ice_stirred", True)
        for place, stage in enumerate(_stages(now))
        if stage.source == "precooled tap" and not stage.ice_stirred
    )
    return [Change("stir the ice", edits)] if edits else []


def _refills(now: Seen) -> Ways:
    """A bucket's water that comes back into it changed once more."""
    return [
        Change("refill", (_of_stage(place, "refills", stage.refills + 1),), {"fillings": stage.refills + 2})
        for place, stage in enumerate(_stages(now))
        if stage.source == "bucket" and stage.return_ == "bucket" and stage.refills < 50
    ]


# --- ice ----------------------------------------------------------------------------------------------


def _more_ice(now: Seen) -> Ways:
    """What keeps the bath cold to the end, where it is worth its price; and of the amounts that the vessel
    holds, of those that keep the time where any does, the one that saves most."""
    if not np.isfinite(now.run.time[0]):
        return []
    place, amounts = larger_amounts(now.inputs.brewhouse)
    larger = [_with_ice(now, place, ice) for ice in amounts]
    in_time = _in_time(now, larger)
    if in_time:
        return _saves_most(now, in_time)
    short = more_ice(now.worth, now.scenario, now.run, 0, lambda other: worked_out(now.physical, other, FINE))
    if short is not None:
        had = _stages(now)[short.stage - 1].ice or 0.0
        larger.append(_with_ice(now, short.stage - 1, had + short.ice))
    return _saves_most(now, larger)


def _in_time(now: Seen, ways: Ways) -> Ways:
    """Those that keep the limit on time, where it is not kept now."""
    if "chill_time" not in now.broken:
        return []
    seen = ((change, changed(now.inputs, change.edits)) for change in ways)
    return [c for c, then in seen if then is not None and "chill_time" not in Seen(then).broken]


def _saves_most(now: Seen, ways: Ways) -> Ways:
    """The one that saves most by one run, its ice paid for."""
    bagged = 0.0 if now.worth.ice > 0.0 else now.worth.batches * bagged_ice(now.basis)
    costs = {}
    for n, change in enumerate(ways):
        then = changed(now.inputs, change.edits)
        if then is not None:
            costs[n] = Seen(then).idea_of_cost[0] + bagged * (change.told["ice"] - change.told["had"])
    return [ways[min(costs, key=lambda n: costs[n])]] if costs else []


def _with_ice(now: Seen, place: int, mass: float) -> Change:
    """So much ice in all in a stage, in a vessel that holds it."""
    stage, units = _stages(now)[place], now.inputs.brewhouse.units
    written = changes.ice(mass, units)
    mass = parse(written, "mass")  # what is told is what is written
    edits = [_of_stage(place, "ice", written)]
    coil = 0.0 if stage.precooler is None else stage.precooler.turns_volume
    filled = (stage.water or 0.0) + mass / ICE_DENSITY + coil
    vessel = _vessel(filled, units) if filled > stage.bucket else None
    if vessel is not None:
        edits.append(_of_stage(place, "bucket", vessel))
    told = {"ice": mass, "had": stage.ice or 0.0, "vessel": vessel}
    return Change("more ice" if mass > (stage.ice or 0.0) else "less ice", tuple(edits), told)


def _vessel(holds: float, units: str) -> str:
    """A vessel that holds so much [m3]."""
    return quantity(vessel_of(holds, units), "volume", units)


def _less_ice(now: Seen) -> Ways:
    """Less of the ice that is paid for, where less does: the amount that saves most of those that last as
    often as they should, found as a search finds it; where none saves, a quarter less."""
    iced = [place for place, stage in enumerate(_stages(now)) if stage.ice]
    if not iced or not now.worth.ice:
        return []
    place, units = iced[-1], now.inputs.brewhouse.units
    had, step = _stages(now)[place].ice or 0.0, WEIGHED[units]
    ice = amount_that_does(had, units, lambda ice: _saved(now, _with_ice(now, place, ice)))
    some = step * max(round(A_QUARTER_LESS * had / step), 1) if ice is None else ice
    return [_with_ice(now, place, some)] if some < had else []


def _saved(now: Seen, change: Change) -> float:
    """What a change saves over the coil's life [money]; minus infinity where it breaks or wears out what
    holds now, or never comes to the target."""
    inputs = changed(now.inputs, change.edits)
    if inputs is None or now.told.time is None:
        return -math.inf
    then = Seen(inputs)
    sure = now.inputs.brewhouse.limits.sure
    if then.told.time is None or then.broken - now.broken or wears_out(now.likely, then.likely, sure):
        return -math.inf
    return now.running - then.running


# --- ice behind a tap that is too warm ----------------------------------------------------------------


def of_the_cold(now: Seen) -> list[Ways]:
    """What brings the wort to its target where the plan does not, or hardly: more of its ice, ice behind the
    tap, a fridge."""
    ways = that_lead_there(warm_tap_remedies(now.basis, now.physical))
    found = (_remedied(now, way) for way in ways)
    return [[change] for change in found if change is not None]


def _roll_for(now: Seen, small: Coil) -> float | None:
    """Price of the cheapest roll in the lists that makes a small coil [money], None where none does."""
    takes = small.takes + 0.5 * math.pi * small.mean_diameter + 2.0 * TRIM
    rolls = [
        t.cost
        for t in now.inputs.stock.tubing
        if t.windable
        and t.material == small.material
        and abs(t.outer_diameter - small.outer_diameter) <= MATCH
        and t.length >= takes
    ]
    return min(rolls, default=None)


def _remedied(now: Seen, way: Remedy) -> Change | None:
    """A way out as lines of the file."""
    units, stages = now.inputs.brewhouse.units, _stages(now)
    if way.kind == "fridge" and now.told.time is not None:
        return None
    if way.kind == "fridge":
        written = degrees(way.temperature, units)
        return Change("stop", (Edit(BREWHOUSE, "wort", "target_temperature", written),), {"at": written})
    if way.kind == "more ice":
        change = _with_ice(now, len(stages) - 1, way.ice)
        if way.change is None:
            return change
        until = quantity(way.change, "temperature", units)
        return replace(change, edits=(*change.edits, _of_stage(now.basis.switch or 0, "until", until)))
    if way.change is None or way.water is None:
        return None
    tables = behind_the_tap(way, units)
    buys: float | None = None
    if way.pump is not None:
        buys = next(p.cost for p in now.inputs.stock.pumps if p.pump_id == way.pump)
    if way.precooler is not None:
        buys = _roll_for(now, way.precooler)
    until = tables[0]["until"]
    told = {"until": until, "ice": way.ice, "pump": way.pump, "precooler": way.precooler, "water": way.water}
    return Change("ice behind the tap", (_plan(tables),), told, buys, 0.0 if way.precooler is None else 3.0)


def behind_the_tap(way: Remedy, units: str) -> list[dict[str, Any]]:
    """Both [[cooling]] of a way out with ice behind the tap, as a file has them."""
    assert way.change is not None and way.water is not None
    iced: dict[str, Any] = {"source": "ice bath" if way.precooler is None else "precooled tap"}
    if way.pump is not None:
        iced["pump"] = way.pump
    iced |= {"water": quantity(way.water, "volume", units), "ice": changes.ice(way.ice, units)}
    iced["bucket"] = _vessel(way.filled, units)
    if way.precooler is not None:
        iced |= {"ice_stirred": True, "precooler": table_of(way.precooler, units)}
    return [{"source": "tap", "until": degrees(way.change, units)}, iced]
