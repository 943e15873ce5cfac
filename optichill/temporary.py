"""Files that stand half written beside the one they will become, and are gone on every exit but a kill.

Every such file bears a name of ours, so that one left over by a kill or a power cut can be told from what
belongs to somebody else, and is taken away when its folder is next written to.
"""

from __future__ import annotations

import hashlib
import os
import re
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

_OURS = re.compile(r"\.optichill-[0-9a-f]{16}\.part")
OLD = 3600.0
"""Age [s] from which a file left over is nobody's work in progress."""

DEAD, PATIENCE = 20.0, 30.0
"""Age [s] from which a file is held by a run that was killed: writing takes some hundredths of a second; and
for how long [s] it is waited for."""

_written_now: set[str] = set()


def write_whole(path: Path, data: bytes, *, lasting: bool = True) -> None:
    """Put bytes into a file so that a reader sees the old or the new one, never a part. lasting : also when
    the machine fails a moment later; what can be made again need not wait for the disk.

    Raises
    ------
    OSError, ValueError
        Nothing is left behind.
    """
    write_together([(path, data)], lasting=lasting)


def write_together(files: Sequence[tuple[Path, bytes]], *, lasting: bool = True) -> None:
    """The same of several files: all of them lie on the disk before the first one takes its place, in the
    order given, so that a full disk changes none."""
    parts = []
    try:
        for path, data in files:
            _sweep(path.parent)
            parts.append(str(path.parent / f".optichill-{os.urandom(8).hex()}.part"))
            _written_now.add(parts[-1])  # before it exists: whatever ends the program now, it is known
            _write_part(parts[-1], data, path, lasting=lasting)
        for part, (path, _) in zip(parts, files, strict=True):
            os.replace(part, path)
    finally:
        for part in parts:
            _gone(part)


def _write_part(part: str, data: bytes, path: Path, *, lasting: bool) -> None:
    """What is to become a file, with that one's rights where it is there."""
    mode = path.stat().st_mode & 0o777 if path.exists() else None
    with open(part, "xb", opener=lambda name, flags: os.open(name, flags, mode or 0o666)) as file:
        file.write(data)
        file.flush()
        if lasting:
            os.fsync(file.fileno())
    if mode is not None:
        os.chmod(part, mode)  # whole, where the user's mask has taken some of it


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Hold a file that is read and written anew, against every other run of ours that would do the same: a
    file beside it says so, and is gone afterwards.

    Raises
    ------
    OSError
        TimeoutError where another run does not let go of it.
    """
    name = hashlib.sha256(path.name.encode("utf-8", "surrogatepass")).hexdigest()[:16]
    mark = str(path.parent / f".optichill-{name}.part")
    until = time.monotonic() + PATIENCE
    while not _marked(mark):
        if time.monotonic() > until:
            raise TimeoutError("another run of optichill is writing there")
        time.sleep(0.02)
    _written_now.add(mark)
    try:
        yield
    finally:
        _gone(mark)


def _marked(mark: str) -> bool:
    """Whether the mark is now ours; that of a run that was killed is taken away."""
    try:
        os.close(os.open(mark, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        return True
    except FileExistsError:
        pass
    try:
        if time.time() - os.stat(mark).st_mtime > DEAD:
            os.unlink(mark)
    except OSError:
        pass  # let go of meanwhile
    return False


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
