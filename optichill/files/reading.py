"""Reading it all: brewhouse, stock lists and a coil, with every fault of every file at once."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from optichill.errors import InputFault, InputFaults
from optichill.files.calibration_file import read_calibration
from optichill.files.coil_file import DEMO_BANNER, CoilFile
from optichill.files.faults import Findings, Location, from_validation, key_text
from optichill.files.lists import read_stock
from optichill.files.places import DEFAULT_NAME as DEFAULT_NAME  # which file is meant is asked here as well
from optichill.files.places import calibration_of, lists_folder
from optichill.files.places import find as find
from optichill.files.places import is_packaged as is_packaged
from optichill.files.places import packaged as packaged
from optichill.files.places import shown as shown
from optichill.files.places import sources as sources
from optichill.files.texts import read_text
from optichill.files.toml_lines import key_lines, line_of
from optichill.files.toml_tables import parse_toml as parse_toml
from optichill.model import cooling_checks, remarks
from optichill.model.brewhouse import Brewhouse, StockRef
from optichill.model.calibration import Calibration
from optichill.model.coil import Coil, absent
from optichill.model.frozen import settle
from optichill.model.heard import FROM_TEXT, Heard, listening
from optichill.model.measured import Room
from optichill.model.mismatches import room_of
from optichill.model.stands import hung, hung_fault
from optichill.model.stock import Stock

Model = TypeVar("Model", bound=BaseModel)

# Shorthands of the file are unfolded before validation; a fault is shown where the value stands.
_STANDS_AT: dict[Location, Location] = {
    ("wort", "smallest_volume"): ("wort", "volume", 0),
    ("wort", "volume"): ("wort", "volume", 1),
    ("limits", "chill_time"): ("limits", "chill_time", "within"),
    ("limits", "chance"): ("limits", "chill_time", "chance"),
    ("tap", "cold_season"): ("tap", "temperature", "cold_season"),
    ("tap", "warm_season"): ("tap", "temperature", "warm_season"),
}


@dataclass(frozen=True)
class Inputs:
    """What a command works on.

    warnings : what the reader should know before believing an answer.
    notes : assumptions made because the file left something out.
    coil : the given coil, when one was asked for.
    heard : what was understood though not written as it should be, or left out; the first of the notes.
    calibration : what measured batches have taught, where its file stands beside the brewhouse file.
    """

    brewhouse: Brewhouse
    stock: Stock
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    coil: Coil | None = None
    heard: tuple[str, ...] = ()
    calibration: Calibration | None = None

    @property
    def first_line(self) -> str:
        """Which brewhouse file was used, as the first line of every command."""
        path = self.brewhouse.path
        said = f"{self.brewhouse.name} ({shown(path) if path is not None else 'built in Python'})"
        return f"{DEMO_BANNER}. {said}" if self.brewhouse.demo else f"Brewhouse: {said}"


def stands_at(brewhouse: Brewhouse, *where: str | int) -> tuple[str, int, str]:
    """File, line and key of something in the brewhouse file; line 0 where it was built in Python."""
    path = brewhouse.path
    text = None if path is None else read_text(path, shown(path), [])
    line = line_of(key_lines(text), where) if text else 0
    return "in Python" if path is None else shown(path), line, key_text(where)


def load(
    path: str | Path | None = None, coil: str | Path | None = None, *, units: str | None = None
) -> Inputs:
    """Read everything.

    Parameters
    ----------
    path : brewhouse file or its folder; None: ./brewhouse.toml, else the packaged metric demo.
    coil : coil file, or None.
    units : "metric" or "us" instead of what the file says; None keeps it.

    Raises
    ------
    InputFaults
        All faults of all files.
    """
    file = find(path)
    faults = Findings()
    raw, lines, brewhouse = _brewhouse(file, faults)
    stock = _stock(file, raw, faults) if raw is not None else Stock()
    shown_in = str(units or (raw or {}).get("units") or "metric")
    calibration = read_calibration(calibration_of(file), faults)
    room = None if brewhouse is None else room_of(brewhouse)
    found_coil = read_coil(Path(coil), faults, shown_in, room) if coil is not None else None
    if brewhouse is not None:
        check_plan(brewhouse, stock, shown(file), lines, faults)
    if faults or brewhouse is None:
        raise InputFaults(faults)
    if units is not None:
        brewhouse = brewhouse.model_copy(update={"units": units})
    inputs = Inputs(brewhouse, stock, coil=found_coil, heard=tuple(faults.remarks), calibration=calibration)
    return with_remarks(inputs, None if coil is None else Path(coil))


def with_remarks(inputs: Inputs, coil_file: Path | None = None) -> Inputs:
    """With what is assumed and warned of; a coil is stood in its kettle.

    coil_file : where the coil was read, None in Python.

    Raises
    ------
    InputFaults
        A coil that would hang lower than its kettle's floor.
    """
    if inputs.coil is not None:
        _stand(inputs.coil, inputs.brewhouse, coil_file)
    warnings = remarks.warnings(inputs.brewhouse, inputs.stock, inputs.coil)
    return replace(inputs, warnings=warnings, notes=(*inputs.heard, *remarks.notes(inputs.brewhouse)))


def _stand(coil: Coil, brewhouse: Brewhouse, coil_file: Path | None) -> None:
    """Settle how high a coil stands whose own file does not tell it: hung from its kettle's rim, else on feet
    as high as the kettle's clearance, or on the floor as the kettle has it."""
    kettle, told, d_o = brewhouse.kettle, coil.standing, coil.outer_diameter
    rim, climb = kettle.inside_height, coil.height - d_o
    fault = hung_fault(told, rim, climb, d_o, brewhouse.units)
    if fault is not None:
        reason, allowed, key = fault
        raise InputFaults([InputFault(*_in_coil(coil_file, key), "", reason, allowed)])
    if told.below_rim is not None and told.lowest is None:
        settle(coil, lowest_turn_height=hung(told.below_rim, rim, climb, d_o))
    elif told.stands == "floor" and told.lowest is None:  # or on what lies there
        under = max((part.height for part in kettle.part if part.where == "floor"), default=0.0)
        settle(coil, lowest_turn_height=under + d_o / 2)
    elif told.alone(d_o) is None:
        feet = 0.0 if kettle.coil_rests == "floor" and told.stands is None else kettle.floor_clearance
        settle(coil, lowest_turn_height=feet + d_o / 2)


def _in_coil(coil_file: Path | None, key: str) -> tuple[str, int, str]:
    """File, line and key of something in a coil file."""
    where = ("coil", key)
    text = None if coil_file is None else read_text(coil_file, str(coil_file), [])
    line = line_of(key_lines(text), where) if text else 0
    return "in Python" if coil_file is None else str(coil_file), line, key_text(where)


def _brewhouse(
    file: Path, faults: Findings
) -> tuple[dict[str, Any] | None, dict[Location, int], Brewhouse | None]:
    text = read_text(file, shown(file), faults)
    raw = parse_toml(text, shown(file), faults) if text is not None else None
    if raw is None or text is None:
        return None, {}, None
    lines = key_lines(text)
    brewhouse = validated(raw, Brewhouse, shown(file), lines, faults, currency=currency_of(raw))
    if brewhouse is None:
        add_absent(raw, shown(file), lines, faults)
    else:
        brewhouse._path = file
    return raw, lines, brewhouse


def validated(
    raw: dict[str, Any],
    model: type[Model],
    name: str,
    lines: dict[Location, int],
    faults: Findings,
    **told: Any,
) -> Model | None:
    """A model from the tables of a file, or None and its faults; told : more of the context."""

    def place_of(where: Location) -> Location:
        spot = _STANDS_AT.get(where, where)
        return spot if spot in lines else where

    heard: list[Heard] = []
    try:
        return model.model_validate(raw, context=listening(heard, **FROM_TEXT, **told))
    except ValidationError as error:
        faults += from_validation(error, model, name, lambda where: line_of(lines, where), place_of)
        return None
    finally:
        faults.tell(name, [(_only_line(lines, said.field), said) for said in heard])


def _only_line(lines: dict[Location, int], key: str) -> int:
    """Line of a key that stands in one place only, else 0."""
    found = {line for where, line in lines.items() if where[-1:] == (key,)}
    return found.pop() if len(found) == 1 else 0


def add_absent(raw: dict[str, Any], name: str, lines: dict[Location, int], faults: list[InputFault]) -> None:
    """Missing things that a faulty neighbour would hide until the next run."""

    def add(key: Location, allowed: str, reason: str = "missing") -> None:
        where = key_text(key)
        if not any(fault.file == name and fault.key == where for fault in faults):
            faults.append(InputFault(name, line_of(lines, key), where, "", reason, allowed))

    wort, tap = raw.get("wort"), raw.get("tap")
    if isinstance(wort, dict) and not {"volume", "depth", "into_fermenter"} & set(wort):
        add(("wort", "volume"), "volume, depth, or into_fermenter with left_behind")
    if isinstance(tap, dict) and not {"temperature", "climate"} & set(tap):
        if not {"cold_season", "warm_season"} & set(tap):
            add(("tap", "temperature"), "temperature, two seasons, or climate")
    plan = raw.get("cooling")
    for place, stage in enumerate(plan if isinstance(plan, list | tuple) else ()):
        small = stage.get("precooler") if isinstance(stage, dict) else None
        for needed, allowed in absent(small).items() if isinstance(small, dict) else ():
            add(("cooling", place, "precooler", needed), allowed)
    if tap is None and not raw.get("cooling"):
        add(("tap",), "[tap], or [[cooling]] with a pump", "missing: nothing cools the wort")


def _stock(file: Path, raw: dict[str, Any], faults: Findings) -> Stock:
    folder = lists_folder(file, raw)
    units = str(raw.get("units", "metric"))
    return read_stock(folder, os.path.normpath(folder), faults, units, currency_of(raw))


def currency_of(raw: dict[str, Any]) -> str:
    """The currency that a brewhouse file states, or the usual one."""
    table = raw.get("stock")
    return str(table.get("currency", USUAL_CURRENCY) if isinstance(table, dict) else USUAL_CURRENCY)


USUAL_CURRENCY = str(StockRef.model_fields["currency"].default)


def read_coil(file: Path, faults: Findings, units: str = "metric", room: Room | None = None) -> Coil | None:
    """The coil of a coil file, or None and its faults, told in these units; room : of its kettle, by which
    the cause of a fault is found."""
    text = read_text(file, str(file), faults, "optichill recommend --save-coil or init --coil")
    raw = parse_toml(text, str(file), faults) if text is not None else None
    if raw is None or text is None:
        return None
    found = validated(raw, CoilFile, str(file), key_lines(text), faults, units=units, room=room)
    return found.coil if found is not None else None


def check_plan(
    brewhouse: Brewhouse,
    stock: Stock,
    name: str,
    lines: dict[Location, int],
    faults: list[InputFault],
) -> None:
    """Add what makes the cooling plan impossible; name and lines as in `validated`."""
    found = brewhouse.plan_findings()
    # A list that cannot be read is a fault already; its pumps are not missing besides.
    if not any(f.file.endswith("pumps.csv") or f.key.startswith("stock.pumps") for f in faults):
        tap = brewhouse.tap.temperature if brewhouse.tap else None
        found += cooling_checks.pump_findings(brewhouse.cooling, stock.pumps, tap, brewhouse.units)
    for key, reason, allowed in found:
        where = tuple(int(part) if part.isdigit() else part for part in key.split("."))
        faults.append(InputFault(name, line_of(lines, where), key_text(where), "", reason, allowed))
