"""Commas and points in the numbers of a list: what a spreadsheet's country writes, and what can be both."""

from __future__ import annotations

import re
from dataclasses import replace

from pydantic import BaseModel

from optichill.errors import InputFault
from optichill.files.faults import Findings
from optichill.files.tables import Cells, Table
from optichill.model.described import ways_written
from optichill.model.fields import Number
from optichill.spellings import both_readings

_WORDS = {"text", "year-month-day"}  # written so, a column holds commas and points of its own
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_POINT = re.compile(r"(?<=[0-9])\.(?=[0-9])")


def with_points(table: Table, model: type[BaseModel], name: str, faults: Findings) -> list[Cells]:
    """Rows whose decimals stand behind points; where the file leaves two readings, faults.

    Between semicolons a comma is a decimal comma, when no number of the whole file has a point.
    """
    columns = {
        column: ways_written(field)
        for column, field in model.model_fields.items()
        if not _WORDS & {one.written for one in ways_written(field)}
    }
    rows = table.rows
    if table.separator == ";":
        if not _agrees(rows, set(columns), name, faults):
            return []
        rows = [_pointed(row, set(columns)) for row in rows]
        faults.remarks.append(f"{name}: read with semicolons between cells" + _decimals(table.rows, rows))
    bare = [column for column, said in columns.items() if any(isinstance(one, Number) for one in said)]
    for column in bare:
        _refuse_both(table.rows, rows, column, name, faults)
    return rows


def _decimals(before: list[Cells], after: list[Cells]) -> str:
    return " and commas before decimals" if before != after else ""


def _agrees(rows: list[Cells], columns: set[str], name: str, faults: Findings) -> bool:
    """Whether the decimals of a whole file stand behind one sign."""
    numbers = [(row.line, col, cell) for row in rows for col, cell in row.by_column.items() if col in columns]
    comma = next((place for place in numbers if _COMMA.search(place[2])), None)
    point = next((place for place in numbers if _POINT.search(place[2])), None)
    if comma is None or point is None:
        return True
    (line, column, cell), (other, _, pointed) = comma, point
    reason = (
        f"a comma, but line {other} has a point in {pointed}: either can stand before decimals or thousands"
    )
    faults.append(InputFault(name, line, column, cell, reason, "one sign before decimals in the whole file"))
    return False


def _pointed(row: Cells, columns: set[str]) -> Cells:
    cells = row.by_column.items()
    return replace(row, by_column={col: _COMMA.sub(".", x) if col in columns else x for col, x in cells})


def _refuse_both(before: list[Cells], rows: list[Cells], column: str, name: str, faults: Findings) -> None:
    """1.200 is 1.2 only where another number of the column has decimals that no thousands could be."""
    cells = [
        (old, row.by_column[column]) for old, row in zip(before, rows, strict=True) if column in row.by_column
    ]
    if any(re.fullmatch(r"[0-9]*\.[0-9]+", cell) and not both_readings(cell) for _, cell in cells):
        return
    for old, cell in cells:
        readings = both_readings(cell)
        if readings and "." in cell:
            given = old.by_column[column]
            one, other = readings[0].replace(".", "," if "," in given else "."), readings[1]
            faults.append(
                InputFault(name, old.line, column, given, f"can be {one} or {other}", f"{one} or {other}")
            )
