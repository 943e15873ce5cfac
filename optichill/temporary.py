"""Files that stand half written beside the one they will become, and are gone on every exit but a kill.

Every such file bears a name of ours, so that one left over by a kill or a power cut can be told from what
belongs to somebody else, and is taken away when its folder is next written to.
"""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

_OURS = re.compile(r"\.optichill-[0-9a-f]{16}\.part")
OLD = 3600.0
"""Age [s] from which a file left over is nobody's work in progress."""

_written_now: set[str] = set()


def write_whole(path: Path, data: bytes, *, lasting: bool = True) -> None:
    """Put bytes into a file so that a reader sees the old or the new one, never a part. lasting : also when
    the machine fails a moment later; what can be made again need not wait for the disk.

    Raises
    ------
    OSError, ValueError
        Nothing is left behind.
    """
    _sweep(path.parent)
    mode = path.stat().st_mode & 0o777 if path.exists() else None
    part = str(path.parent / f".optichill-{os.urandom(8).hex()}.part")
    _written_now.add(part)  # before it exists: whatever ends the program now, it is known
    try:
        with open(part, "xb", opener=lambda name, flags: os.open(name, flags, mode or 0o666)) as file:
            file.write(data)
            file.flush()
            if lasting:
                os.fsync(file.fileno())
        if mode is not None:
            os.chmod(part, mode)  # whole, where the user's mask has taken some of it
        os.replace(part, path)
    finally:
        _gone(part)


def remove_all() -> None:
    """Take away what is half written, when the program must end at once."""
    for part in tuple(_written_now):
        _gone(part)


def _gone(part: str) -> None:
    try:
        os.unlink(part)
    except OSError:
        pass  # become what it was for, or never made
    _written_now.discard(part)


def _sweep(folder: Path) -> None:
    """Take away what a killed run of ours left in a folder."""
    try:
        with os.scandir(folder) as entries:
            old = [e.path for e in entries if _OURS.fullmatch(e.name) and _is_old(e)]
        for part in old:
            os.unlink(part)
    except OSError:
        return  # no folder yet, or another's: no fault of what is written now


def _is_old(entry: os.DirEntry[str]) -> bool:
    return entry.is_file(follow_symlinks=False) and time.time() - entry.stat().st_mtime > OLD
