"""The folder of kept answers: private, of bounded size, and never in the way.

Whatever is wrong with it (it is not there, cannot be written, belongs to somebody else, is full, holds what
is damaged or not ours), the answer is worked out as if there were none.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
from pathlib import Path

from optichill import temporary
from optichill.cache_folder import cache_folder
from optichill.files.kept.question import LAYOUT

MOST, MOST_BYTES = 200, 50_000_000
"""Answers that are kept, and what they take together; the ones not asked for the longest go."""
LARGEST = 8_000_000
"""Bytes of one answer."""
_ENDS = ".answer"


def take(key: str) -> str | None:
    """The answer that is kept under a key; None where there is none, or it is not whole."""
    folder = _folder()
    if folder is None or not _is_private(folder):
        return None
    place = folder / f"{key}{_ENDS}"
    try:
        head, _, text = _read(place).partition(b"\n")
        told = text.decode() if head.decode() == _head(key, text) else None
    except (OSError, ValueError):
        return None
    if told is not None:
        _asked_for(place)
    return told


def put(key: str, text: str) -> None:
    """Keep an answer, or leave it be."""
    folder, data = _folder(), text.encode()
    if folder is None or len(data) > LARGEST:
        return
    try:
        os.makedirs(folder, mode=0o700, exist_ok=True)
        if _is_private(folder):
            whole = b"\n".join((_head(key, data).encode(), data))
            temporary.write_whole(folder / f"{key}{_ENDS}", whole, lasting=False)
            _make_room(folder)
    except (OSError, ValueError):
        return


def _folder() -> Path | None:
    ours = cache_folder()
    return None if ours is None else ours / "answers"


def _is_private(folder: Path) -> bool:
    """Whether it is a folder of this user's that nobody else can look or write into; a link is none."""
    try:
        found = os.lstat(folder)
    except (OSError, ValueError):
        return False
    if not stat.S_ISDIR(found.st_mode):
        return False
    return not hasattr(os, "getuid") or (found.st_uid == os.getuid() and not found.st_mode & 0o077)


def _read(place: Path) -> bytes:
    """An ordinary file's bytes; an OSError for all else, and for what is too large."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    with open(place, "rb", opener=lambda name, _: os.open(name, flags | getattr(os, "O_BINARY", 0))) as file:
        found = os.fstat(file.fileno())
        if not stat.S_ISREG(found.st_mode) or found.st_size > 2 * LARGEST:
            raise OSError(f"{place}: no answer")
        return file.read()


def _asked_for(place: Path) -> None:
    """It goes last, where the folder can be written to."""
    try:
        os.utime(place)
    except OSError:
        return


def _head(key: str, text: bytes) -> str:
    """First line of an answer's file: whose it is, what was asked, and the checksum of the rest."""
    return json.dumps(
        {"optichill_answer": LAYOUT, "question": key, "sha256": hashlib.sha256(text).hexdigest()}
    )


def _make_room(folder: Path) -> None:
    """Let go what was not asked for the longest. Another run may do the same meanwhile."""
    with os.scandir(folder) as entries:
        found = [(entry.stat(follow_symlinks=False), entry.path) for entry in entries if _is_answer(entry)]
    newest = sorted(found, key=lambda one: one[0].st_mtime_ns, reverse=True)
    total = 0
    for place, (about, path) in enumerate(newest):
        total += about.st_size
        if place >= MOST or total > MOST_BYTES:
            os.unlink(path)


def _is_answer(entry: os.DirEntry[str]) -> bool:
    return entry.name.endswith(_ENDS) and entry.is_file(follow_symlinks=False)
