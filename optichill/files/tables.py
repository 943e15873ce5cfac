"""Reading CSV lists as spreadsheets write them: BOM, CRLF, blank rows and quoted newlines survive.

What would be read wrongly is refused instead: another encoding, semicolons, ragged rows, doubled headers.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from optichill.errors import InputFault
from optichill.files.faults import from_validation
from optichill.model.fields import FROM_TEXT, near
from optichill.model.stock import Priced

Row = TypeVar("Row", bound=BaseModel)
LARGEST = 5_000_000  # bytes: a list of a workshop is thousands of times smaller


@dataclass(frozen=True)
class Cells:
    """One row of a list: its line in the file, and the cells that are not empty by column."""

    line: int
    by_column: dict[str, str]


def read_text(path: Path, name: str, faults: list[InputFault], maker: str = "optichill init") -> str | None:
    """Text of a UTF-8 file, or None and a fault; `maker` is the command that writes such a file."""
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        faults.append(InputFault(name, 0, "file", "", "not found", f"{maker} writes one"))
        return None
    except (OSError, ValueError) as error:  # a name that no file can have is a ValueError
        reason = f"cannot be read: {getattr(error, 'strerror', None) or error}"
        faults.append(InputFault(name, 0, "file", "", reason, ""))
        return None
    allowed = "save it as UTF-8"
    if len(raw) > LARGEST:
        faults.append(InputFault(name, 0, "file", "", "larger than 5 MB", "a list of a workshop"))
        return None
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.append(InputFault(name, 1, "file", "", "written as UTF-16", allowed))
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        shown = raw[max(0, error.start - 10) : error.start + 10].decode("latin-1").strip()
        faults.append(InputFault(name, line, "file", " ".join(shown.split()), "not UTF-8", allowed))
        return None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        faults.append(InputFault(name, line, "file", "", "holds a null character", allowed))
        return None
    return text


def read_rows(
    text: str, name: str, required: tuple[str, ...], known: tuple[str, ...], faults: list[InputFault]
) -> list[Cells]:
    """Rows of a list with their line numbers; faults of its form are added."""
    records = _records(text, name, faults)
    while records and not any(_plain(cell) for cell in records[0][1]):
        records.pop(0)
    if not records:
        faults.append(InputFault(name, 0, "file", "", "empty", f"a header: {','.join(required)}"))
        return []
    line, header = records[0][0], [_plain(cell) for cell in records[0][1]]
    if len(header) == 1 and not _separated(records[0][1][0], line, name, faults):
        return []
    while header and not header[-1]:
        header = header[:-1]
    if not _header_holds(header, line, name, required, known, faults):
        return []
    return [row for record in records[1:] if (row := _row(record, header, name, faults)) is not None]


def _records(text: str, name: str, faults: list[InputFault]) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
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


def _separated(header: str, line: int, name: str, faults: list[InputFault]) -> bool:
    for sign, word in ((";", "semicolons"), ("\t", "tabs")):
        if sign in header:
            faults.append(InputFault(name, line, "header", "", f"separated by {word}", "save it with commas"))
            return False
    return True


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
    rows: list[Cells], model: type[Row], name: str, id_column: str, faults: list[InputFault]
) -> tuple[Row, ...]:
    """Rows as models sorted by id; a doubled id is a fault on its later line."""
    found: dict[str, Row] = {}
    first_line: dict[str, int] = {}
    for cells in rows:
        key = cells.by_column.get(id_column, "")
        if key and key in first_line:
            reason = f"already in line {first_line[key]}"
            faults.append(InputFault(name, cells.line, id_column, key, reason, "an id of its own"))
        first_line.setdefault(key, cells.line)
        try:
            row = model.model_validate(cells.by_column, context=FROM_TEXT)
            if isinstance(row, Priced):
                row.stands_in(cells.line)
            found.setdefault(key, row)
        except ValidationError as error:
            faults += from_validation(error, model, name, lambda _, line=cells.line: line)  # type: ignore[misc]  # mypy reads no default in a lambda
    return tuple(found[key] for key in sorted(found))
