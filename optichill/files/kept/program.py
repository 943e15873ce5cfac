"""Which program it is that answers: its files, its Python, and the libraries that it stands on."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Iterator

_INSTALLED = (".dist-info", ".egg-info")


def stamp() -> list[str]:
    """What differs wherever another program may answer: name, size and times of every file of ours; version
    and build of Python; names, which hold the versions, of all that is installed beside it.

    A file that is changed gets another time, also where its size stays and the time of its text is set back
    (ctime). To read them all, or to ask importlib.metadata, would take longer than all else in telling an
    answer again.

    Raises
    ------
    OSError
        The program's own files cannot be looked at.
    """
    python = [sys.version, sys.platform, *_machine(), os.environ.get("PYTHONPATH", "")]
    ours = [line for room in ("optichill", "optichill.catalogs") for line in _files(_folder(room))]
    return [*python, *sorted(ours), *sorted(_installed())]


def _machine() -> list[str]:
    """What processor it runs on: folders of a user may be shared by several."""
    return [os.uname().machine] if hasattr(os, "uname") else []


def _folder(room: str) -> str:
    return str(importlib.import_module(room).__path__[0])


def _files(folder: str) -> Iterator[str]:
    """Every file in a folder and those in it; what Python compiles of them follows from them."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                if entry.name != "__pycache__":
                    yield from _files(entry.path)
                continue
            found = entry.stat()
            yield f"{entry.path} {found.st_size} {found.st_mtime_ns} {found.st_ctime_ns}"


def _installed() -> Iterator[str]:
    for place in dict.fromkeys(sys.path):
        try:
            names = os.listdir(place or ".")
        except OSError:  # an archive, or a folder that is not there
            continue
        yield from (f"{place} {name}" for name in names if name.endswith(_INSTALLED))
