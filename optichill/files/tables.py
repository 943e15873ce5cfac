"""Reading CSV lists as spreadsheets write them: BOM, CRLF, blank rows and quoted newlines survive.

What would be read wrongly is refused instead: another encoding, tabs, ragged rows, doubled headers; and
before it is read what is no file at all, or too large for a workshop's list.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from optichill.errors import InputFault
from optichill.files.faults import Findings, from_validation
from optichill.files.texts import LARGEST as LARGEST  # how a list's text is read, beside how its rows are
from optichill.files.texts import read_text as read_text
from optichill.files.texts import size_of as size_of
from optichill.model.heard import FROM_TEXT, Heard, listening
from optichill.model.refusals import near
from optichill.model.stock import Priced

Row = TypeVar("Row", bound=BaseModel)
MOST_ROWS = 20_000
MOST_COLUMNS = 200


@dataclass(frozen=True)
class Cells:
    """One row of a list: its line in the file, and the cells that are not empty by column."""

    line: int
    by_column: dict[str, str]


@dataclass(frozen=True)
class Table:
    """The rows of a list, and the sign between their cells."""

    rows: list[Cells]
    separator: str


def read_rows(
    text: str, name: str, required: tuple[str, ...], known: tuple[str, ...], faults: list[InputFault]
) -> Table:
    """Rows of a list with their line numbers; faults of its form are added."""
    none = Table([], ",")
    if not _small(text, name, faults):
        return none
    separator = ";" if ";" in _header_line(text) and "," not in _header_line(text) else ","
    records = _records(text, separator, name, faults)
    while records and not any(_plain(cell) for cell in records[0][1]):
        records.pop(0)
    if not records:
        faults.append(InputFault(name, 0, "file", "", "empty", f"a header: {','.join(required)}"))
        return none
    line, header = records[0][0], [_plain(cell) for cell in records[0][1]]
    if len(header) == 1 and "\t" in records[0][1][0]:
        faults.append(InputFault(name, line, "header", "", "separated by tabs", "save it with commas"))
        return none
    while header and not header[-1]:
        header = header[:-1]
    if not _header_holds(header, line, name, required, known, faults):
        return none
    rows = [row for record in records[1:] if (row := _row(record, header, name, faults)) is not None]
    return Table(rows, separator)


def _small(text: str, name: str, faults: list[InputFault]) -> bool:
    """Whether a list has no more rows and columns than are read; told before they are taken apart."""
    lines = text.splitlines()
    wide = next((n for n, line in enumerate(lines, 1) if max(map(line.count, ",;\t")) >= MOST_COLUMNS), 0)
    if len(lines) <= MOST_ROWS and not wide:
        return True
    most = f"at most {MOST_ROWS} rows and {MOST_COLUMNS} columns"
    reason = f"{len(lines)} lines" if len(lines) > MOST_ROWS else "too many columns"
    faults.append(InputFault(name, wide, "file", "", reason, most))
    return False


def _header_line(text: str) -> str:
    """The first line that holds a name."""
    return next((line for line in text.splitlines() if line.strip(" ,;\t")), "")


def _records(text: str, separator: str, name: str, faults: list[InputFault]) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=separator)
    records = []
    before = 0
    try:
        for cells in reader:
            records.append((before + 1, cells))
            before = reader.line_num
    except csv.Error as error:
        faults.append(InputFault(name, before + 1, "row", "", f"not a CSV row: {error}", 'close every "'))
    return records


def _plain(cell: str) -> str:
    """A cell without line breaks and doubled blanks."""
    return " ".join(cell.split())


def _header_holds(
    header: list[str],
    line: int,
    name: str,
    required: tuple[str, ...],
    known: tuple[str, ...],
    faults: list[InputFault],
) -> bool:
    allowed = ", ".join(known)
    before = len(faults)
    for column in header:
        if not column:
            faults.append(InputFault(name, line, "header", "", "a column without a name", allowed))
        elif column not in known:
            hint = near(column, known)
            faults.append(
                InputFault(name, line, column, "", f"unknown column{hint}", "" if hint else allowed)
            )
        elif header.count(column) > 1:
            faults.append(InputFault(name, line, column, "", "the column is there twice", "once"))
    for column in required:
        if column not in header:
            faults.append(InputFault(name, line, column, "", "the column is missing", allowed))
    return len(faults) == before


def _row(
    record: tuple[int, list[str]], header: list[str], name: str, faults: list[InputFault]
) -> Cells | None:
    line, cells = record[0], [_plain(cell) for cell in record[1]]
    if not any(cells):
        return None
    while len(cells) > len(header) and not cells[-1]:
        cells = cells[:-1]
    if len(cells) != len(header):
        reason = f"{len(cells)} cells, the header has {len(header)}"
        faults.append(InputFault(name, line, "row", "", reason, "one value a cell; quote text with commas"))
        return None
    return Cells(line, {column: cell for column, cell in zip(header, cells, strict=True) if cell})


def read_models(
    rows: list[Cells],
    model: type[Row],
    name: str,
    id_column: str,
    units: str,
    faults: Findings,
    currency: str = "",
) -> tuple[Row, ...]:
    """Rows as models sorted by id; a doubled id is a fault on its later line.

    units : "metric" or "us", for the order of an unclear date. currency : of the prices, whose sign is read.
    """
    found: dict[str, Row] = {}
    first_line: dict[str, int] = {}
    heard: list[tuple[int, Heard]] = []
    for cells in rows:
        key = cells.by_column.get(id_column, "")
        if key and key in first_line:
            reason = f"already in line {first_line[key]}"
            faults.append(InputFault(name, cells.line, id_column, key, reason, "an id of its own"))
        first_line.setdefault(key, cells.line)
        here: list[Heard] = []
        try:
            context = listening(here, units=units, currency=currency, **FROM_TEXT)
            row = model.model_validate(cells.by_column, context=context)
            if isinstance(row, Priced):
                row.stands_in(cells.line)
            found.setdefault(key, row)
        except ValidationError as error:
            faults += from_validation(error, model, name, lambda _, line=cells.line: line)  # type: ignore[misc]  # mypy reads no default in a lambda
        heard += [(cells.line, said) for said in here]
    faults.tell(name, heard)
    return tuple(found[key] for key in sorted(found))
