"""What is stated in Python instead of in files: the same keys, checks and faults, without lines."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from optichill.errors import InputFault, InputFaults
from optichill.files.coil_file import CoilFile
from optichill.files.faults import Findings, Location, from_validation
from optichill.files.faults import given as said
from optichill.files.lists import LISTS, REQUIRED_LISTS, read_stock
from optichill.files.reading import Inputs, Model, add_absent, check_plan, read_coil, with_remarks
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil
from optichill.model.heard import Heard, listening
from optichill.model.mismatches import room_of
from optichill.model.refusals import near
from optichill.model.stock import Stock
from optichill.units import is_pint

HERE = "in Python"
"""What a fault names instead of a file."""

NO_LINES: dict[Location, int] = {(): 0}
STOCK = f"a folder with the lists, a Stock, or rows or a DataFrame by name: {', '.join(LISTS)}"
COIL = "a coil file, or the keys of its [coil] table"


def refuse(key: str, given: object, reason: str, allowed: str = "") -> InputFaults:
    """One fault of an argument."""
    return InputFaults([InputFault(HERE, 0, key, said(given), reason, allowed)])


def inputs_of(tables: Mapping[str, Any], stock: Any) -> Inputs:
    """Everything of a brewhouse, checked.

    Parameters
    ----------
    tables : as in a brewhouse file, [stock] left out: dicts, models, or None for what is not given.
    stock : a folder, a Stock, lists of rows by name, or the file's own [stock] table.

    Raises
    ------
    InputFaults
        All faults at once.
    """
    faults = Findings()
    raw = _plain_or_refused("brewhouse", tables)
    lists, currency = _parts_of_stock(stock, faults)
    if currency is not None:
        raw["stock"] = {"currency": plain(currency)}
    brewhouse = _validated(raw, Brewhouse, faults)
    found = _stock(lists, str(raw.get("units")), faults)
    if brewhouse is None:
        add_absent(raw, HERE, NO_LINES, faults)
    else:
        check_plan(brewhouse, found, HERE, NO_LINES, faults)
    if faults or brewhouse is None:
        raise InputFaults(faults)
    return with_remarks(Inputs(brewhouse, found, heard=tuple(faults.remarks)))


def coil_of(given: Any, brewhouse: Brewhouse | None = None) -> Coil:
    """A coil from its file, from the keys of a coil file, or checked again; faults are told in the units of
    its brewhouse, with what its kettle says of their cause.

    Raises
    ------
    InputFaults
        All faults at once.
    """
    faults = Findings()
    units = "metric" if brewhouse is None else brewhouse.units
    room = None if brewhouse is None else room_of(brewhouse)
    if isinstance(given, str | os.PathLike):
        found = read_coil(Path(given), faults, units, room)
    elif isinstance(given, Mapping | Coil):
        whole = isinstance(given, Mapping) and set(given) == {"coil"}  # a coil file as tomllib reads it
        raw = _plain_or_refused("coil", given)
        file = _validated(raw if whole else {"coil": raw}, CoilFile, faults, units=units, room=room)
        found = None if file is None else file.coil
    else:
        raise refuse("coil", given, "not a coil", COIL)
    if faults or found is None:
        raise InputFaults(faults)
    return found


def plain(value: Any) -> Any:
    """Tables and lists alone: a model as the keys that it was given, a DataFrame as its rows, a key with None
    left out.

    What a model settled by itself is settled again, so a copy with a changed value is checked like a new one.
    """
    if hasattr(value, "to_dict") and hasattr(value, "columns"):
        return [_without_gaps(row) for row in value.to_dict("records")]
    if isinstance(value, BaseModel):
        return {
            name: plain(getattr(value, name))
            for name in type(value).model_fields
            if name in value.model_fields_set
        }
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items() if inner is not None}
    return [plain(inner) for inner in value] if isinstance(value, list | tuple) else _leaf(value)


class _Unsaid:
    """Stands in for somebody else's object that cannot be looked at without an error."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def __str__(self) -> str:
        return f"a {self.kind}"


def _leaf(value: Any) -> Any:
    """A value that can be shown and looked at, whatever it is: one that raises is replaced by its name."""
    try:
        str(value), is_pint(value)
    except Exception:
        return _Unsaid(type(value).__name__)
    return value


def _plain_or_refused(key: str, value: Any) -> Any:
    """The same, or a fault of what holds itself or goes on for ever."""
    try:
        return plain(value)
    except RecursionError:
        raise refuse(key, "", "tables in tables without end", "as in a brewhouse file") from None


def _without_gaps(row: Mapping[Any, Any]) -> dict[str, Any]:
    """A row of a DataFrame without its empty cells, which pandas fills with nan."""
    return {str(key): plain(cell) for key, cell in row.items() if cell is not None and cell == cell}


def _validated(raw: Any, model: type[Model], faults: Findings, **told: Any) -> Model | None:
    """A model of tables, or None and its faults; told : more of the context."""
    heard: list[Heard] = []
    try:
        return model.model_validate(raw, context=listening(heard, **told))
    except ValidationError as error:
        faults += from_validation(error, model, HERE, lambda _: 0)
        return None
    finally:
        faults.tell(HERE, [(0, said) for said in heard])


def _parts_of_stock(stock: Any, faults: Findings) -> tuple[Any, Any]:
    """The lists or their folder, and the currency where it is told beside them."""
    if isinstance(stock, Mapping):
        rest = {key: value for key, value in stock.items() if key != "currency"}
        return rest.get("folder") if set(rest) == {"folder"} else rest, stock.get("currency")
    if stock is None:
        faults.append(InputFault(HERE, 0, "stock", "", "missing", STOCK))
    return stock, None


def _stock(lists: Any, units: str, faults: Findings) -> Stock:
    if lists is None:
        return Stock()
    if isinstance(lists, str | os.PathLike):
        try:
            return read_stock(Path(lists), os.path.normpath(lists), faults, units)
        except (OSError, ValueError) as error:  # a name that no folder can have
            faults += refuse(
                "stock", lists, f"no such folder: {getattr(error, 'strerror', None) or error}"
            ).faults
            return Stock()
    if not isinstance(lists, Mapping | Stock):
        faults += refuse("stock", lists, "not a stock", STOCK).faults
        return Stock()
    raw = _plain_or_refused("stock", lists)
    for name in set(raw) - set(LISTS):
        faults.append(
            InputFault(HERE, 0, f"stock.{name}", "", f"unknown key{near(name, list(LISTS))}", STOCK)
        )
    rows = {name: raw[name] for name in LISTS if name in raw}
    for name in REQUIRED_LISTS:
        if name not in rows or (isinstance(rows[name], list | tuple) and not rows[name]):
            faults.append(InputFault(HERE, 0, f"stock.{name}", "", "no rows", "one row or more"))
    found = _validated({"stock": rows}, _StockTable, faults)
    return Stock() if found is None else _by_id(found.stock, faults)


class _StockTable(BaseModel):
    """Gives the keys of a fault the name that they are written under."""

    stock: Stock


def _by_id(stock: Stock, faults: Findings) -> Stock:
    """Each list in the order of its ids; a doubled id is a fault."""
    lists: dict[str, Any] = {}
    for name, (_, column, _) in LISTS.items():
        rows: dict[str, Any] = {}
        for place, row in enumerate(getattr(stock, name), 1):
            key = getattr(row, column)
            if key in rows:
                where = f"stock.{name}[{place}].{column}"
                faults.append(InputFault(HERE, 0, where, key, "already in the list", "an id of its own"))
            rows.setdefault(key, row)
        lists[name] = tuple(rows[key] for key in sorted(rows))
    return Stock.model_construct(**lists)
