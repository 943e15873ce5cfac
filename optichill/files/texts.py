"""The text of a file that somebody wrote: UTF-8, an ordinary file, and no larger than a workshop's.

What a program writes for its inputs is read here and nowhere else, so that an answer knows what it rests on.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from optichill.errors import InputFault

LARGEST = 8_000_000  # bytes: a list of a workshop is thousands of times smaller
LARGEST_TOML = 1_000_000  # bytes: a brewhouse has a few thousand, and its reader takes its time

_listening: list[set[Path]] = []


@contextmanager
def noted() -> Iterator[set[Path]]:
    """The files whose texts are asked for meanwhile, also those that are not there."""
    files: set[Path] = set()
    _listening.append(files)
    try:
        yield files
    finally:
        _listening.pop()


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
    for files in _listening:
        files.add(path)
    try:
        raw = bytes_of(path, largest)
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


def bytes_of(path: Path, largest: int) -> bytes | None:
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
