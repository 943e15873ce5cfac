"""The lines of a cool-down log, however long it is: one after another, never all at once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from optichill.errors import InputFault
from optichill.files.tables import size_of

LARGEST_LOG = 100_000_000  # bytes: a day of four columns ten times a second has 30 million
LONGEST = 4000  # bytes of a line
MAKER = 'a CSV file with time and wort; or --points "0:98 5:60 10:38"'


def lines_of(path: Path, name: str, faults: list[InputFault]) -> Iterator[str]:
    """Lines of a UTF-8 file as text; ends at the first that is none, with a fault."""
    try:
        size = size_of(path)
        if size > LARGEST_LOG:
            reason = f"larger than {LARGEST_LOG / 1e6:g} MB"
            faults.append(InputFault(name, 0, "file", "", reason, "one batch, read once a second or less"))
            return
        with path.open("rb") as file:
            yield from _decoded(iter(lambda: file.readline(LONGEST + 1), b""), name, faults)
    except FileNotFoundError:
        faults.append(InputFault(name, 0, "file", "", "not found", MAKER))
    except (OSError, ValueError) as error:  # a name that no file can have is a ValueError
        reason = f"cannot be read: {getattr(error, 'strerror', None) or error}"
        faults.append(InputFault(name, 0, "file", "", reason, MAKER))


def _decoded(lines: Iterator[bytes], name: str, faults: list[InputFault]) -> Iterator[str]:
    for number, raw in enumerate(lines, 1):
        reason, given = "", ""
        if number == 1 and raw.startswith((b"\xff\xfe", b"\xfe\xff")):
            reason = "written as UTF-16"
        elif len(raw) > LONGEST:
            reason, given = "not the line of a table: too long", raw[:40].decode("latin-1")
        elif b"\0" in raw:
            reason = "holds a null character"
        else:
            try:
                yield raw.decode("utf-8-sig" if number == 1 else "utf-8")
                continue
            except UnicodeDecodeError as error:
                reason = "not UTF-8"
                given = raw[max(0, error.start - 10) : error.start + 10].decode("latin-1").strip()
        faults.append(InputFault(name, number, "file", given, reason, "save it as UTF-8, one reading a line"))
        return
