"""A study in one file: a line for each thing that happened, appended under a lock by every process that works
on it.

A kill in the middle of a write leaves half a line, and perhaps the lock. Half a line is cut off under the
lock, on opening and before each write: behind it nothing could be read again. What is read ends at the last
whole line.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Timer
from typing import Any, Protocol

from optichill.errors import CannotWrite, OptichillError, shown
from optichill.search.explore.storage_records import COIL, HEAD, may_begin, record_of

Wait = Callable[[str], None]
"""Hears why nothing goes on."""

PATIENCE = 1.0
"""Seconds to wait for the lock before it is said: a write takes some hundredths of one."""

GRACE = 10
"""Seconds after which a lock that nobody used is taken for that of a stopped run."""

TAIL = 1 << 16
"""Bytes of the end that are looked at for the last whole line, at first."""


class Lock(Protocol):
    """What keeps two processes from writing at once."""

    def acquire(self) -> bool:
        """Wait for it."""

    def release(self) -> None:
        """Give it back."""


class JournalFile:
    """A journal's file, as optuna's storage asks for it. told : its name as a person gave it; study : name
    of the study in it; help : what does where a line is wrong."""

    help = "take this line out of the file and all others are kept, or give another --study name"

    def __init__(self, path: Path, lock: Lock, wait: Wait | None, told: str, study: str) -> None:
        self.path, self._lock, self._wait, self._told = path, lock, wait, told
        self._study, self._coils = study, list[int]()
        self._held = False
        self._read, self._offset = 0, 0

    def read_logs(self, log_number_from: int) -> Iterator[dict[str, Any]]:
        """Whole lines from a number on."""
        if log_number_from != self._read:
            self._read, self._offset, self._coils = 0, 0, []
        try:
            with open(self.path, "rb") as file:
                file.seek(self._offset)
                for line in file:
                    if not line.endswith(b"\n"):
                        return  # being written, or cut short by a kill
                    self._read, self._offset = self._read + 1, self._offset + len(line)
                    found = self._decoded(line)
                    if found["op_code"] == COIL:
                        self._coils.append(self._read)
                    if self._read > log_number_from:
                        yield found
        except FileNotFoundError:
            raise OptichillError(f"{self._told}: the study was taken away while it was worked on") from None

    def _decoded(self, line: bytes) -> dict[str, Any]:
        found, wrong = record_of(line, self._study)
        if wrong:
            help = "give another --study name" if self._read <= HEAD else self.help
            raise OptichillError(f"{self._told}:{self._read}: damaged: {wrong}: {help}")
        return found

    def place(self, coil: int) -> str:
        """Where a coil stands; coil : its number among those that were read."""
        return f"{self._told}:{self._coils[coil]}"

    def append_logs(self, logs: list[dict[str, Any]]) -> None:
        """Append lines, all or none."""
        data = "".join(f"{json.dumps(log, separators=(',', ':'))}\n" for log in logs).encode()
        if self._held:
            self._append(data)
        else:
            with self.at_once():
                self._append(data)

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """Keep the lock over several writes; they are on the disk when it is given back."""
        timer = Timer(PATIENCE, self._say)
        timer.daemon = True
        timer.start()
        try:
            self._lock.acquire()
        except OSError as error:
            raise CannotWrite(f"{self._told}: cannot be written: {error.strerror or error}") from None
        finally:
            timer.cancel()
        try:
            self._held = True
            cut_half_line(self.path)
            yield
            _on_the_disk(self.path)
        finally:
            self._held = False
            try:
                self._lock.release()
            except RuntimeError:
                pass  # taken for a stopped run's: this one slept for longer than GRACE

    def _say(self) -> None:
        if self._wait is not None:
            self._wait(f"waiting for a stopped run: {self.path.name} is locked; {GRACE} s at most")

    def _append(self, data: bytes) -> None:
        before = os.path.getsize(self.path)
        try:
            with open(self.path, "ab", buffering=0) as file:
                written = file.write(data)
            if written != len(data):
                raise OSError(0, "no room left")
        except OSError as error:
            os.truncate(self.path, before)
            raise CannotWrite(f"{self._told}: cannot be written: {error.strerror or error}") from None


def _on_the_disk(path: Path) -> None:
    with open(path, "ab") as file:
        os.fsync(file.fileno())


def cut_half_line(path: Path) -> int:
    """Cut what stands behind the last whole line; the caller holds the lock. Returns the bytes cut."""
    size = os.path.getsize(path)
    keep = _whole(path, size)
    if keep < size:
        os.truncate(path, keep)
    return size - keep


def _whole(path: Path, size: int) -> int:
    """Bytes up to the end of the last whole line."""
    look = TAIL
    with open(path, "rb") as file:
        while size:
            start = max(size - look, 0)
            file.seek(start)
            found = file.read(size - start).rfind(b"\n")
            if found >= 0:
                return start + found + 1
            if start == 0:
                break
            look *= 4
    return 0


def refuse_other_file(path: Path, told: str, study: str) -> None:
    """Raise an error where something stands that is no study, before anything is written. study : its name.

    Raises
    ------
    OptichillError
    """
    if not os.path.lexists(path):
        return
    if not path.is_file():
        raise OptichillError(
            f"{shown(told, 1000)}: {_what(path)} (allowed: a file for the study, or postgresql://HOST/DATABASE)"
        )
    with open(path, "rb") as file:
        first = file.readline(TAIL)
    if not may_begin(first, study):
        raise OptichillError(
            f"{told}: exists and is no study of optichill: left as it is (allowed: another --study name)"
        )


def _what(path: Path) -> str:
    """What stands there that is no file."""
    if not path.exists():
        return f"is a link to {shown(os.readlink(path))}, where nothing is"
    mode = path.stat().st_mode
    if stat.S_ISDIR(mode):
        return "is a folder"
    return "is a pipe, no file" if stat.S_ISFIFO(mode) else "is a device, no file"
