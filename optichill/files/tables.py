"""Reading CSV lists as spreadsheets write them: BOM, CRLF, blank rows and quoted newlines survive.

What would be read wrongly is refused instead: another encoding, tabs, ragged rows, doubled headers; and
before it is read what is no file at all, or too large for a workshop's list.
"""

from __future__ import annotations

import csv
import errno
import io
import os
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from optichill.errors import InputFault
from optichill.files.faults import Findings, from_validation
from optichill.model.heard import FROM_TEXT, Heard, listening
from optichill.model.refusals import near
from optichill.model.stock import Priced

Row = TypeVar("Row", bound=BaseModel)
LARGEST = 8_000_000  # bytes: a list of a workshop is thousands of times smaller
LARGEST_TOML = 1_000_000  # bytes: a brewhouse has a few thousand, and its reader takes its time
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


def read_text(
    path: Path,
    name: str,
    faults: list[InputFault],
    maker: str = "optichill init",
    largest: int = LARGEST_TOML,
) -> str | None:
    """Text of a UTF-8 file, or None and a fault.

    maker : the command that writes such a file; largest : bytes that are read.
    """
    try:
        raw = _bytes(path, largest)
    except FileNotFoundError:
        faults.append(InputFault(name, 0, "file", "", "not found", f"{maker} writes one"))
        return None
    except (OSError, ValueError) as error:  # a name that no file can have is a ValueError
        reason = f"cannot be read: {getattr(error, 'strerror', None) or error}"
        faults.append(InputFault(name, 0, "file", "", reason, ""))
        return None
    allowed = "save it as UTF-8"
    if raw is None:
        size = f"larger than {largest / 1e6:g} MB"
        faults.append(InputFault(name, 0, "file", "", size, "what one workshop needs"))
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


def _bytes(path: Path, largest: int) -> bytes | None:
    """A file's bytes, None where they are too many."""
    if size_of(path) > largest:
        return None
    with path.open("rb") as file:
        raw = file.read(largest + 1)  # it may have grown
    return raw if len(raw) <= largest else None


def size_of(path: Path) -> int:
    """Bytes of an ordinary file; an OSError for anything else: a pipe would wait for a writer and a device
    never end."""
    found = os.stat(path)
    if stat.S_ISDIR(found.st_mode):
        raise OSError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "not a file but a pipe or a device")
    return found.st_size


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
