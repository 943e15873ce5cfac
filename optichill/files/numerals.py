"""Commas and points in the numbers of a list: what a spreadsheet's country writes, and what can be both."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from pydantic import BaseModel

from optichill.errors import InputFault
from optichill.files.faults import Findings
from optichill.files.tables import Cells, Table
from optichill.model.described import ways_written
from optichill.model.number import Number
from optichill.model.quoted import SettledCell, quote
from optichill.spellings import both_readings, decimal_sign

_WORDS = {"text", "year-month-day"}  # written so, a column holds commas and points of its own
_DIGITS = re.compile("[0-9][0-9.,]*[0-9]")
_NAMES = {",": "comma", ".": "point"}
_OTHER = {",": ".", ".": ","}


def with_points(table: Table, model: type[BaseModel], name: str, faults: Findings) -> list[Cells]:
    """Rows whose decimals stand behind points; where the file leaves two readings, faults.

    Between semicolons a comma is a decimal comma, when no number of the whole file says otherwise.
    """
    said = {column: ways_written(field) for column, field in model.model_fields.items()}
    columns = {column for column, ways in said.items() if not _WORDS & {one.written for one in ways}}
    bare = {column for column, ways in said.items() if any(isinstance(one, Number) for one in ways)}
    sign = ""
    if table.separator == ";":
        before = len(faults)
        sign = _sign_of_all(table.rows, columns, name, faults)
        if len(faults) > before:
            return []
        cells = [cell for _, _, cell in _cells(table.rows, columns)]
        signs = {s for cell in cells if _pointed(cell, sign) != cell for s in cell}
        faults.remarks.append(f"{name}: read with semicolons between cells{_liberties(signs, sign)}")
    rows = [_settled(row, columns, bare, sign) for row in table.rows]
    for column in bare:
        _refuse_both(rows, column, name, faults)
    return rows


def _cells(rows: list[Cells], columns: set[str]) -> Iterator[tuple[int, str, str]]:
    """Line, column and text of every cell of some columns."""
    return (
        (row.line, column, cell)
        for row in rows
        for column, cell in row.by_column.items()
        if column in columns
    )


def _sign_of_all(rows: list[Cells], columns: set[str], name: str, faults: Findings) -> str:
    """The sign before the decimals of a whole file; what does not agree with it is a fault."""
    numbers = [(place, digits) for place in _cells(rows, columns) for digits in _DIGITS.findall(place[2])]
    certain = {sign: [n for n in numbers if decimal_sign(n[1]) == sign] for sign in ",."}
    # A sign that stands only in numbers which have both, 1.092,00, is the odd one out.
    odd = [sign for sign in ",." if certain[sign] and all(_has_both(digits) for _, digits in certain[sign])]
    fewest = min(",.", key=lambda sign: (sign not in odd, len(certain[sign])))
    against = certain[_OTHER[fewest]] or [n for n in numbers if odd and _between(n[1], _OTHER[fewest])]
    if certain[fewest] and against:
        (line, column, cell), _ = certain[fewest][0]
        (other, _, opposed), _ = against[0]
        reason = (
            f"a {_NAMES[fewest]}, but line {other} has a {_NAMES[_OTHER[fewest]]} in {opposed}: "
            "either can stand before decimals or thousands"
        )
        allowed = "one sign before decimals in the whole file"
        faults.append(InputFault(name, line, column, cell, reason, allowed))
        return fewest
    unsure = any("," in digits for _, digits in numbers) and not certain["."]
    sign = "," if certain[","] or unsure else "."
    for (line, column, cell), digits in numbers:
        if _between(digits, _OTHER[sign]):
            _can_be_both(line, column, cell, digits, sign, name, faults)
    return sign


def _has_both(digits: str) -> bool:
    """Whether a number has commas and points."""
    return "," in digits and "." in digits


def _between(digits: str, sign: str) -> bool:
    """Whether a number has only that sign, and either before decimals or between thousands."""
    return sign in digits and not decimal_sign(digits)


def _can_be_both(
    line: int, column: str, given: str, digits: str, sign: str, name: str, faults: Findings
) -> None:
    """A fault of a number with both its readings, the first with the file's own sign, where it has two."""
    readings = both_readings(digits)
    if readings:
        both = f"{readings[0].replace('.', sign)} or {readings[1]}"
        faults.append(InputFault(name, line, column, given, f"can be {both}", both))


def _liberties(signs: set[str], sign: str) -> str:
    """What the signs in numbers that had to be rewritten were taken for."""
    meant = {sign: "before decimals", _OTHER[sign]: "between thousands"}
    return "".join(f" and {_NAMES[s]}s {meant[s]}" for s in meant if s in signs)


def _settled(row: Cells, columns: set[str], bare: set[str], sign: str) -> Cells:
    """A row with its numbers as they are read; each knows how it stands in the file."""
    cells = dict(row.by_column)
    for column in columns & set(cells):
        read = _pointed(cells[column], sign)
        if read != cells[column] or column in bare:
            cells[column] = SettledCell(read, cells[column])
    return replace(row, by_column=cells)


def _pointed(cell: str, sign: str) -> str:
    """A cell whose numbers have points before decimals, and nothing between thousands."""

    def read(found: re.Match[str]) -> str:
        digits = found[0]
        plain = digits.count(sign) == 1 and _OTHER[sign] not in digits
        if plain or decimal_sign(digits) == sign:
            return digits.replace(_OTHER[sign], "").replace(sign, ".")
        return digits

    return _DIGITS.sub(read, cell) if sign else cell


def _refuse_both(rows: list[Cells], column: str, name: str, faults: Findings) -> None:
    """1.200 is 1.2 only where another number of the column has decimals that no thousands could be."""
    cells = [(row.line, row.by_column[column]) for row in rows if column in row.by_column]
    if any(re.fullmatch(r"[0-9]*\.[0-9]+", cell) and not both_readings(cell) for _, cell in cells):
        return
    for line, cell in cells:
        given = str(quote(cell))
        if "." in cell:
            _can_be_both(line, column, given, cell, "," if "," in given else ".", name, faults)
