"""What was understood of a brewhouse: on a screen, and for other programs.

The document (SI, the suffix says the unit; also written when there are faults, file is null in Python):
`{schema_version, made_by, file, brewhouse, demo, ok, understood, assumptions: [...], coil: {material,
outer_diameter_m, wall_m, layout, layers: [{mean_diameter_m, pitch_m, turns}], riser_length_in_m,
riser_length_out_m, stands, lowest_turn_height_m} or null, not_counted: [...],
buildable, stops: as the sheet has them of a coil, warnings: [...],
faults: [{file, line, key, given, reason, allowed}]}`; with faults brewhouse, demo and understood are null.
understood: `{units, kettle: {inside_diameter_m, inside_height_m, mouth_m, brim_m3, parts: [...]},
wort: {volume_m3, smallest_volume_m3, batches_m3: [...], depth_m, gravity_degP, start_K, target_K, ambient_K,
mixing: word, speed in m/s, or {with, motion, seconds_a_minute}, moves: {speed_m_s, share_of_time}, dirt,
fouling_m2K_W, top_up: {volume_m3, temperature_K} or null},
tap: {temperature_K, cold_season_K, warm_season_K, from_climate, open_flow_m3_s, open_flow_measured,
static_pressure_pa, static_pressure_measured, hose_bore_m, hose_length_m} or null,
cooling: [{source, until_K, hold_s, pump, water_temperature_K, water_m3, ice_kg, bucket_m3, refills, return,
lift_m, ice_stirred, ice_lumps, ice_water_K, precooler: {outer_diameter_m, length_m} or null}],
workshop: {layouts: [...], flow_settings: [...], flow_shares: [...]},
limits: {chill_time_s, chance, budget, water_m3, difficulty},
wishes: {batches, hour, water_per_m3, ice_per_kg, good_time_s, wound_before, assumed: [...]},
stock: {tubing, forms, benders, fittings, pumps}}` (numbers of rows). until_K is null on the last stage and
"best" where the file says so; of a hop stand only hold_s is not null; what a stage's source does not use is
null; ice_water_K always is: ice water has no one temperature; lift_m is 0 where the return ends under water.
flow_settings act only where a stage's water runs away.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from optichill.display import show, trim
from optichill.errors import InputFault, InputFaults, OptichillError
from optichill.fabrication.work_plan import WorkPlan
from optichill.files.ownership import HEAD
from optichill.files.reading import Inputs, shown
from optichill.model.brewhouse import Brewhouse, Kettle
from optichill.model.cooling import ICED, PUMPED, CoolingStage
from optichill.model.stirring import Stirring
from optichill.model.stock import Stock
from optichill.model.tap import Tap
from optichill.model.wishes import DIFFICULTY_WORDS
from optichill.model.wort import TopUp
from optichill.money import money
from optichill.problem.basis import design_basis
from optichill.problem.worth import worth_of
from optichill.report import calibrated, coil_read, lifetime
from optichill.report.left_out import wire_not_counted
from optichill.report.sheet.refusal import stops, warned
from optichill.report.words import plan_words
from optichill.report.words.sentences import sentence
from optichill.thermal.priors import PRIORS
from optichill.thermal.supply import open_flow_of_hose


def open_flow(tap: Tap | None) -> float | None:
    """Flow out of the open hose [m3/s]: measured, else worked out from the hose; None without a tap."""
    if tap is None or tap.open_flow is not None:
        return tap.open_flow if tap else None
    return open_flow_of_hose(
        static_pressure=tap.pressure, hose_bore=tap.hose_bore, hose_length=tap.hose_length, T=tap.temperature
    )


def screen(inputs: Inputs, plan: WorkPlan | None = None) -> list[str]:
    """The lines on the screen; plan: of the work that a coil takes, where one was read besides."""
    brewhouse, flow = inputs.brewhouse, open_flow(inputs.brewhouse.tap)
    lines = [inputs.first_line, "", *_kettle_and_wort(brewhouse)]
    if brewhouse.tap is not None:
        lines.append(_line("TAP", _tap(brewhouse.tap, flow, brewhouse.units)))
    lines += [_line("PLAN" if not n else "", f"{n + 1} {text}") for n, text in enumerate(_plan(brewhouse))]
    lines.append(_line("LAYOUTS", ", ".join(brewhouse.workshop.layouts)))
    lines.append(_line("VALVE", _valve(brewhouse)))
    lines.append(_line("LIMITS", _limits(brewhouse)))
    told = lifetime.wishes(design_basis(inputs))
    lines += [_line("WISHES" if not place else "", text) for place, text in enumerate(told)]
    lines.append(_line("STOCK", _stock(inputs.stock)))
    lines += [_line("", text) for text in wire_not_counted(brewhouse, inputs.stock)]
    if inputs.coil is not None:
        told = coil_read.lines(inputs.coil, brewhouse.units)
        lines += [_line("COIL" if not place else "", text) for place, text in enumerate(told)]
    lines += [_line("ASSUMED" if not place else "", note) for place, note in enumerate(inputs.notes)]
    said = (*(warned(plan) if plan is not None else ()), *inputs.warnings)
    lines += [_line("WARNING", sentence(warning)) for warning in said]
    taught = calibrated.sentences(brewhouse, inputs.calibration)
    lines += [
        _line("" if place else "MEASURED", text if place else f"calibrated {text}")
        for place, text in enumerate(taught)
    ]
    return [*lines, "", "No faults."]


def lines(head: str, texts: list[str]) -> list[str]:
    """Lines under one head."""
    return [_line(head if not place else "", text) for place, text in enumerate(texts)]


def _line(head: str, text: str) -> str:
    return f"{head:<9} {text}"


def _kettle_and_wort(brewhouse: Brewhouse) -> list[str]:
    kettle, wort, u = brewhouse.kettle, brewhouse.wort, brewhouse.units
    mouth = "" if kettle.mouth == kettle.inside_diameter else f", mouth {show(kettle.mouth, 'length', u)}"
    size = f"{show(kettle.inside_diameter, 'length', u)} wide, {show(kettle.inside_height, 'length', u)} tall"
    brim = show(kettle.capacity, "exact_volume", u)
    volumes = " and ".join(show(batch, "exact_volume", u) for batch in wort.batches)
    depth = " and ".join(show(batch / kettle.area, "length", u) for batch in wort.batches)
    start, target = (show(T, "temperature", u) for T in (wort.start_temperature, wort.target_temperature))
    mixing = plan_words.mixing(wort.mixing, u)
    room = show(wort.ambient_temperature, "temperature", u)
    dirt = f"; dirt on the tube: {wort.dirt}" if wort.cleaner else ""
    parts = [
        _line(
            "IN IT", f"{p.what}: {p.where}, {show(p.size, 'length', u)}, up to {show(p.height, 'length', u)}"
        )
        for p in kettle.part
    ]
    return [
        _line("KETTLE", f"{size} inside{mouth}; {brim} to the brim; {'lid on' if kettle.lid else 'no lid'}"),
        _line("STANDS", _rests(kettle, u)),
        *parts,
        _line("WORT", f"{volumes} hot = {depth} deep without the coil, {show(wort.gravity, 'gravity', u)}"),
        _line("CHILL", f"{start} down to {target}, stirring: {mixing}; room {room}{dirt}"),
        *_top_up(brewhouse),
    ]


def _rests(kettle: Kettle, units: str) -> str:
    """How coils stand in the kettle, and which rooms they keep."""
    wall, floor, top = (
        show(room, "length", units)
        for room in (kettle.wall_clearance, kettle.floor_clearance, kettle.top_clearance)
    )
    how = {"feet": f"on feet, {floor} off the floor", "hangs": f"hung, at least {floor} off the floor"}
    return f"{how.get(kettle.coil_rests, 'on the floor')}; {wall} to the wall, {top} under the cold wort"


def _top_up(brewhouse: Brewhouse) -> list[str]:
    top_up, u = brewhouse.wort.top_up, brewhouse.units
    if top_up is None:
        return []
    volume, cold = show(top_up.volume, "exact_volume", u), show(top_up.temperature, "temperature", u)
    target = show(brewhouse.wort.target_temperature, "temperature", u)
    return [
        _line("TOP-UP", f"{volume} of water at {cold} afterwards: chilled so far that the mix has {target}")
    ]


def _tap(tap: Tap, flow: float | None, u: str) -> str:
    hose = f"{show(tap.hose_length, 'long_length', u)} of {show(tap.hose_bore, 'tube', u)} hose"
    how = "measured" if tap.open_flow is not None else "estimated, about"
    flow_text = f"{how} {show(flow, 'flow', u)} out of the open end of {hose}"
    return f"{_season(tap, u)}, {flow_text}; {show(tap.pressure, 'pressure', u)}"


def _season(tap: Tap, u: str) -> str:
    """The tap's temperature, and where it comes from when it was not measured on the day."""
    temperature = show(tap.temperature, "temperature", u)
    if tap.cold_season is not None:
        cold = show(tap.cold_season, "temperature", u)
        return f"{cold} in the cold season and {temperature} in the warm one"
    return f"{temperature} by the climate on {tap.climate.date}" if tap.climate is not None else temperature


def _plan(brewhouse: Brewhouse) -> list[str]:
    """The plan in plain words, one line a stage."""
    u, lines = brewhouse.units, []
    for stage in brewhouse.cooling:
        if stage.hold is not None:
            lines.append(f"hold {show(stage.hold, 'minutes')} without water, not counted")
            continue
        if stage.until == "best":
            until = "until the switch that proves best"
        elif stage.until is None:
            until = f"to the target of {show(brewhouse.wort.target_temperature, 'temperature', u)}"
        else:
            until = f"until the wort has {show(stage.until, 'temperature', u)}"
        lines.append(f"{_source(stage, brewhouse)}; {until}")
    return lines


def _source(stage: CoolingStage, brewhouse: Brewhouse) -> str:
    """What one stage cools with."""
    u, tap = brewhouse.units, brewhouse.tap.temperature if brewhouse.tap else None
    if stage.source == "tap":
        return f"tap water at {show(tap, 'temperature', u)}"
    filled = stage.bucket if stage.water is None else stage.water
    cold = show(stage.filled_at(tap), "temperature", u)
    held = f"{show(filled, 'exact_volume', u)} of water at {cold}"
    if stage.source in ICED:
        held += f" and {show(stage.ice, 'mass', u)} of ice ({stage.ice_lumps})"
    size = f"of {show(stage.bucket, 'exact_volume', u)}"
    if stage.source in PUMPED:
        name = f"bucket {size}" if stage.source == "bucket" else f"ice bath in a bucket {size}"
        return f"{name}: {held}, {_pumped(stage, u)}"
    moved = "stirred" if stage.ice_stirred else "not stirred"
    runs = f"tap water at {show(tap, 'temperature', u)} through {_precooler(stage, u)}"
    return f"{runs}, in a bucket {size}: {held}, {moved}"


def _pumped(stage: CoolingStage, u: str) -> str:
    """How the water of a vessel goes round."""
    where = "back into it" if stage.return_ == "bucket" else "down the drain"
    end = "" if stage.return_under_water else f", lifted {show(stage.lift, 'length', u)}"
    fillings = f", {1 + stage.refills} fillings" if stage.refills else ""
    return f"pumped by {stage.pump} and {where}{end}{fillings}"


def _precooler(stage: CoolingStage, u: str) -> str:
    coil = stage.precooler
    assert coil is not None
    return f"{show(coil.helix_length, 'long_length', u)} of {show(coil.outer_diameter, 'tube', u)} tube"


def _drains(brewhouse: Brewhouse) -> bool:
    """Whether any stage's water runs away: only there a valve saves water."""
    cooling = [stage for stage in brewhouse.cooling if not stage.is_hold]
    return any(stage.source not in PUMPED or stage.return_ == "drain" for stage in cooling)


def _valve(brewhouse: Brewhouse) -> str:
    if not _drains(brewhouse):
        return "full flow, for all water comes back"
    return f"{', '.join(brewhouse.workshop.flow_settings)} of the flow, where water runs away"


def _limits(brewhouse: Brewhouse) -> str:
    limits, said = brewhouse.limits, []
    if limits.chill_time is not None:
        chance = f" with a chance of {limits.chance:g}" if limits.chance is not None else ""
        said.append(f"{show(limits.chill_time, 'minutes')}{chance}")
    if limits.budget is not None:
        said.append(money(limits.budget, brewhouse.stock.currency))
    if limits.water is not None:
        said.append(f"{show(limits.water, 'volume', brewhouse.units)} of water")
    if limits.difficulty is not None:
        words = {score: word for word, score in DIFFICULTY_WORDS.items()}
        said.append(words.get(limits.difficulty, f"difficulty {trim(limits.difficulty)} of 10"))
    return ", ".join(said) or "none"


def _stock(stock: Stock) -> str:
    said = []
    for name, rows in _lists(stock).items():
        owned = sum(row.owned for row in rows)
        said.append(f"{name} {len(rows)}" + (f" ({owned} owned)" if owned else ""))
    prices = "; example prices, not a shop's" if stock.example_prices else ""
    return ", ".join(said) + prices


def _lists(stock: Stock) -> dict[str, tuple[Any, ...]]:
    return {name: getattr(stock, name) for name in ("tubing", "forms", "benders", "fittings", "pumps")}


def document(inputs: Inputs, plan: WorkPlan | None = None) -> dict[str, Any]:
    """What was understood, for other programs; plan as in `screen`."""
    found = stops(plan) if plan is not None else []
    path = inputs.brewhouse.path
    return {
        **_HEAD,
        "file": shown(path) if path is not None else None,
        "brewhouse": inputs.brewhouse.name,
        "demo": inputs.brewhouse.demo,
        "ok": True,
        "calibrated": calibrated.in_use(inputs.brewhouse, inputs.calibration),
        "understood": _understood(inputs, open_flow(inputs.brewhouse.tap)),
        "assumptions": list(inputs.notes),
        "coil": None if inputs.coil is None else coil_read.document(inputs.coil),
        "not_counted": wire_not_counted(inputs.brewhouse, inputs.stock),
        "buildable": not found if plan is not None else None,
        "stops": found,
        "warnings": [*(warned(plan) if plan is not None else ()), *inputs.warnings],
    }


def faulty(file: Path, error: OptichillError) -> dict[str, Any]:
    """The same document of a brewhouse that could not be understood, or of what cannot be done with it."""
    whole = [InputFault(shown(file), 0, "", "", line) for line in error.lines()]
    faults = error.faults if isinstance(error, InputFaults) else whole
    return {**_HEAD, "file": shown(file), "faults": [vars(fault) for fault in faults]}


_HEAD: dict[str, Any] = {
    **HEAD,
    "file": None,
    "brewhouse": None,
    "demo": None,
    "ok": False,
    "calibrated": False,
    "understood": None,
    "assumptions": [],
    "coil": None,
    "buildable": None,
    "stops": [],
    "warnings": [],
    "faults": [],
}


def _understood(inputs: Inputs, flow: float | None) -> dict[str, Any]:
    brewhouse = inputs.brewhouse
    kettle, wort, limits = brewhouse.kettle, brewhouse.wort, brewhouse.limits
    return {
        "units": brewhouse.units,
        "kettle": {
            "inside_diameter_m": kettle.inside_diameter,
            "inside_height_m": kettle.inside_height,
            "mouth_m": kettle.mouth,
            "brim_m3": kettle.capacity,
            "parts": [p.model_dump() for p in kettle.part],
        },
        "wort": {
            "volume_m3": wort.volume,
            "smallest_volume_m3": wort.smallest_volume,
            "batches_m3": list(wort.batches),
            "depth_m": wort.volume / kettle.area,
            "gravity_degP": wort.gravity,
            "start_K": wort.start_temperature,
            "target_K": wort.target_temperature,
            "ambient_K": wort.ambient_temperature,
            "mixing": wort.mixing.table if isinstance(wort.mixing, Stirring) else wort.mixing,
            "moves": {"speed_m_s": wort.moves.speed, "share_of_time": wort.moves.share},
            "dirt": wort.dirt,
            "fouling_m2K_W": PRIORS[wort.dirt_prior].median,
            "top_up": _top_up_understood(wort.top_up),
        },
        "tap": _tap_understood(brewhouse.tap, flow) if brewhouse.tap else None,
        "cooling": [_stage_understood(stage, brewhouse) for stage in brewhouse.cooling],
        "workshop": {
            "layouts": list(brewhouse.workshop.layouts),
            "flow_settings": list(brewhouse.workshop.flow_settings),
            "flow_shares": list(brewhouse.workshop.valve_shares),
        },
        "limits": {
            "chill_time_s": limits.chill_time,
            "chance": limits.chance,
            "budget": limits.budget,
            "water_m3": limits.water,
            "difficulty": limits.difficulty,
        },
        "wishes": _wishes_understood(inputs),
        "stock": {name: len(rows) for name, rows in _lists(inputs.stock).items()},
    }


def _wishes_understood(inputs: Inputs) -> dict[str, Any]:
    worth = worth_of(design_basis(inputs))
    return {
        "batches": worth.batches,
        "hour": worth.hour,
        "water_per_m3": worth.water,
        "ice_per_kg": worth.ice,
        "good_time_s": worth.good_time,
        "wound_before": worth.practised,
        "assumed": list(worth.assumed),
    }


def _top_up_understood(top_up: TopUp | None) -> dict[str, Any] | None:
    if top_up is None:
        return None
    return {"volume_m3": top_up.volume, "temperature_K": top_up.temperature}


def _stage_understood(stage: CoolingStage, brewhouse: Brewhouse) -> dict[str, Any]:
    pumped, iced, coil = stage.source in PUMPED, stage.source in ICED, stage.precooler
    vessel = pumped or iced
    tap = brewhouse.tap.temperature if brewhouse.tap else None
    return {
        "source": stage.source,
        "until_K": stage.until,
        "hold_s": stage.hold,
        "pump": stage.pump,
        "water_temperature_K": None if stage.is_hold else stage.filled_at(tap),
        "water_m3": stage.water,
        "ice_kg": stage.ice,
        "bucket_m3": stage.bucket if vessel else None,
        "refills": stage.refills if stage.source == "bucket" else None,
        "return": stage.return_ if pumped else None,
        "lift_m": (0.0 if stage.return_under_water else stage.lift) if pumped else None,
        "ice_stirred": stage.ice_stirred if stage.source == "precooled tap" else None,
        "ice_lumps": stage.ice_lumps if iced else None,
        "ice_water_K": None,
        "precooler": coil and {"outer_diameter_m": coil.outer_diameter, "length_m": coil.helix_length},
    }


def _tap_understood(tap: Tap, flow: float | None) -> dict[str, Any]:
    return {
        "temperature_K": tap.temperature,
        "cold_season_K": tap.cold_season,
        "warm_season_K": tap.warm_season,
        "from_climate": tap.climate is not None,
        "open_flow_m3_s": flow,
        "open_flow_measured": tap.open_flow is not None,
        "static_pressure_pa": tap.pressure,
        "static_pressure_measured": tap.static_pressure is not None,
        "hose_bore_m": tap.hose_bore,
        "hose_length_m": tap.hose_length,
    }
