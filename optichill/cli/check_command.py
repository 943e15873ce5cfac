"""`optichill check`: what was understood, what was assumed, and every fault at once.

JSON of `--json` (SI, the suffix says the unit; also written when there are faults):
`{schema_version, file, brewhouse, demo, ok, understood, assumptions: [...], warnings: [...],
faults: [{file, line, key, given, reason, allowed}]}`; with faults brewhouse, demo and understood are null.
understood: `{units, kettle: {inside_diameter_m, inside_height_m, mouth_m, brim_m3}, wort: {volume_m3,
smallest_volume_m3, depth_m, gravity_degP, start_K, target_K, ambient_K, mixing}, tap: {temperature_K,
open_flow_m3_s, open_flow_measured, static_pressure_pa, static_pressure_measured, hose_bore_m, hose_length_m}
or null, cooling: [{source, until_K, hold_s}], limits: {chill_time_s, chance, budget, water_m3, difficulty},
stock: {tubing, forms, benders, fittings, pumps}}` (numbers of rows); until_K is null on the last stage and
"best" where the file says so.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from optichill.cli.common import brewhouse_argument, shared_options, write_json
from optichill.errors import InputFaults
from optichill.inputs.brewhouse import Brewhouse, Tap
from optichill.inputs.load import Inputs, find, load, shown
from optichill.inputs.stock import Stock
from optichill.inputs.wishes import DIFFICULTY_WORDS
from optichill.physics.supply import open_flow_of_hose
from optichill.report.jsonout import dumps
from optichill.units import money, show, trim

SCHEMA_VERSION = 1


@click.command("check")
@brewhouse_argument
@shared_options
def command(brewhouse: str | None, json_file: str | None, units: str | None, seed: int, out: str) -> None:
    """Read BREWHOUSE and its stock lists; say what was understood and every fault at once.

    BREWHOUSE is a file or a folder with brewhouse.toml; without it ./brewhouse.toml, else the packaged
    example. Nothing is random here and nothing goes into the report folder.
    """
    try:
        inputs = load(brewhouse, units=units)
    except InputFaults as error:
        if json_file:
            write_json(dumps(_findings(find(brewhouse), None, error)), json_file)
        count = len(error.faults)
        click.echo(f"Brewhouse: {shown(find(brewhouse))}: {count} fault{'s' if count > 1 else ''}", err=True)
        raise
    flow = open_flow(inputs.brewhouse.tap)
    to_stderr = json_file == "-"
    for line in screen(inputs, flow):
        click.echo(line, err=to_stderr)
    if json_file:
        write_json(dumps(_findings(find(brewhouse), inputs, None, flow)), json_file)


def open_flow(tap: Tap | None) -> float | None:
    """Flow out of the open hose [m3/s]: measured, else worked out from the hose; None without a tap."""
    if tap is None or tap.open_flow is not None:
        return tap.open_flow if tap else None
    return open_flow_of_hose(
        static_pressure=tap.pressure, hose_bore=tap.hose_bore, hose_length=tap.hose_length, T=tap.temperature
    )


def screen(inputs: Inputs, flow: float | None) -> list[str]:
    """The lines on the screen."""
    house = inputs.brewhouse
    lines = [inputs.first_line, "", *_kettle_and_wort(house)]
    if house.tap is not None:
        lines.append(_line("TAP", _tap(house.tap, flow, house.units)))
    lines.append(_line("PLAN", _plan(house)))
    lines.append(_line("LIMITS", _limits(house)))
    lines.append(_line("STOCK", _stock(inputs.stock)))
    lines += [_line("ASSUMED" if not place else "", note) for place, note in enumerate(inputs.notes)]
    lines += [_line("WARNING", warning) for warning in inputs.warnings]
    return [*lines, "", "No faults."]


def _line(head: str, text: str) -> str:
    return f"{head:<9} {text}"


def _kettle_and_wort(house: Brewhouse) -> list[str]:
    kettle, wort, u = house.kettle, house.wort, house.units
    mouth = "" if kettle.mouth == kettle.inside_diameter else f", mouth {show(kettle.mouth, 'length', u)}"
    size = f"{show(kettle.inside_diameter, 'length', u)} wide, {show(kettle.inside_height, 'length', u)} tall"
    brim = show(kettle.capacity, "exact_volume", u)
    volumes = " and ".join(show(batch, "exact_volume", u) for batch in wort.batches)
    depth = show(wort.volume / kettle.area, "length", u)
    start, target = (show(T, "temperature", u) for T in (wort.start_temperature, wort.target_temperature))
    mixing = wort.mixing if isinstance(wort.mixing, str) else show(wort.mixing, "speed", u)
    room = show(wort.ambient_temperature, "temperature", u)
    parts = [
        _line(
            "IN IT", f"{p.what}: {p.where}, {show(p.size, 'length', u)}, up to {show(p.height, 'length', u)}"
        )
        for p in kettle.part
    ]
    return [
        _line("KETTLE", f"{size} inside{mouth}; {brim} to the brim; {'lid on' if kettle.lid else 'no lid'}"),
        *parts,
        _line("WORT", f"{volumes} hot = {depth} deep without the coil, {show(wort.gravity, 'gravity', u)}"),
        _line("CHILL", f"{start} down to {target}, stirring: {mixing}; room {room}"),
    ]


def _tap(tap: Tap, flow: float | None, u: str) -> str:
    hose = f"{show(tap.hose_length, 'long_length', u)} of {show(tap.hose_bore, 'tube', u)} hose"
    how = "measured" if tap.open_flow is not None else "estimated, about"
    flow_text = f"{how} {show(flow, 'flow', u)} out of the open end of {hose}"
    return f"{show(tap.temperature, 'temperature', u)}, {flow_text}; {show(tap.pressure, 'pressure', u)}"


def _plan(house: Brewhouse) -> str:
    steps = []
    for stage in house.cooling:
        if stage.hold is not None:
            steps.append(f"hold {show(stage.hold, 'minutes')}")
            continue
        until = stage.until if isinstance(stage.until, str) else show(stage.until, "temperature", house.units)
        steps.append(f"{stage.source} to {'the target' if stage.until is None else until}")
    return ", then ".join(steps)


def _limits(house: Brewhouse) -> str:
    limits, said = house.limits, []
    if limits.chill_time is not None:
        chance = f" with a chance of {limits.chance:g}" if limits.chance is not None else ""
        said.append(f"{show(limits.chill_time, 'minutes')}{chance}")
    if limits.budget is not None:
        said.append(money(limits.budget, house.stock.currency))
    if limits.water is not None:
        said.append(f"{show(limits.water, 'volume', house.units)} of water")
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


def _findings(
    file: Path, inputs: Inputs | None, error: InputFaults | None, flow: float | None = None
) -> dict[str, Any]:
    return {
        "schema_version": SCHEMA_VERSION,
        "file": shown(file),
        "brewhouse": inputs.brewhouse.name if inputs else None,
        "demo": inputs.brewhouse.demo if inputs else None,
        "ok": error is None,
        "understood": _understood(inputs, flow) if inputs else None,
        "assumptions": list(inputs.notes) if inputs else [],
        "warnings": list(inputs.warnings) if inputs else [],
        "faults": [vars(fault) for fault in error.faults] if error else [],
    }


def _understood(inputs: Inputs, flow: float | None) -> dict[str, Any]:
    house = inputs.brewhouse
    kettle, wort, limits = house.kettle, house.wort, house.limits
    return {
        "units": house.units,
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
            "depth_m": wort.volume / kettle.area,
            "gravity_degP": wort.gravity,
            "start_K": wort.start_temperature,
            "target_K": wort.target_temperature,
            "ambient_K": wort.ambient_temperature,
            "mixing": wort.mixing,
        },
        "tap": _tap_understood(house.tap, flow) if house.tap else None,
        "cooling": [{"source": s.source, "until_K": s.until, "hold_s": s.hold} for s in house.cooling],
        "limits": {
            "chill_time_s": limits.chill_time,
            "chance": limits.chance,
            "budget": limits.budget,
            "water_m3": limits.water,
            "difficulty": limits.difficulty,
        },
        "stock": {name: len(rows) for name, rows in _lists(inputs.stock).items()},
    }


def _tap_understood(tap: Tap, flow: float | None) -> dict[str, Any]:
    return {
        "temperature_K": tap.temperature,
        "open_flow_m3_s": flow,
        "open_flow_measured": tap.open_flow is not None,
        "static_pressure_pa": tap.pressure,
        "static_pressure_measured": tap.static_pressure is not None,
        "hose_bore_m": tap.hose_bore,
        "hose_length_m": tap.hose_length,
    }
