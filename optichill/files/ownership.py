"""What may be replaced: what optichill wrote itself, and never a file that was read."""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optichill.errors import CannotWrite, OptichillError
from optichill.files.places import shown, sources
from optichill.files.writing import alone, write_together
from optichill.version import __version__

if TYPE_CHECKING:
    from optichill.model.brewhouse import Brewhouse

HEAD = {"schema_version": 1, "made_by": f"optichill {__version__}"}
"""How every JSON document of ours begins."""

INDEX = "index.json"
"""Of a report folder: the brewhouse that it belongs to, and what was written into it."""


def refuse_input(path: Path, read: Iterable[Path]) -> None:
    """Raise CannotWrite where a file that is to be written is one of those that were read."""
    for file in read:
        if os.path.exists(file) and os.path.exists(path) and os.path.samefile(file, path):
            raise CannotWrite(f"{path}: was read as input, and is never written over; give another name")


def is_one_file(one: Path, other: Path) -> bool:
    """Whether two possible names are those of one file, also through links and where it is not there yet."""
    there = os.path.exists(one) and os.path.exists(other)
    return os.path.samefile(one, other) if there else os.path.realpath(one) == os.path.realpath(other)


def refuse_place(path: Path) -> None:
    """Raise an error where a file cannot be: a name that none can have, or a folder in a folder that is not
    there. A single missing folder is made."""
    try:
        os.lstat(path)
    except FileNotFoundError:
        folder = Path(os.path.realpath(path)).parent
        if not (folder.exists() or folder.parent.exists()):
            raise CannotWrite(f"{path}: there is no folder {folder.parent}: make it first") from None
    except (OSError, ValueError) as error:
        name = str(path) if len(str(path)) <= 60 else f"{str(path)[:57]}..."
        possible = isinstance(error, OSError) and error.errno != errno.ENAMETOOLONG
        kind = CannotWrite if possible else OptichillError
        raise kind(f"{name}: cannot be written: {getattr(error, 'strerror', None) or error}") from None


def refuse_file(path: Path) -> None:
    """Raise CannotWrite where reports are to go into what is no folder."""
    if os.path.lexists(path) and not path.is_dir():
        raise CannotWrite(f"{path}: is no folder, so no reports can be written there: give another --out")


def refuse_foreign_json(path: Path) -> None:
    """Raise CannotWrite where something stands that is not a JSON document of ours, or nothing at all."""
    if os.path.lexists(path) and not _is_ours(path):
        raise CannotWrite(
            f"{path}: exists and is not JSON that optichill wrote: left as it is; "
            "give another name, or --force to replace it"
        )


def _is_ours(path: Path) -> bool:
    return path.is_file() and (path.stat().st_size == 0 or bool(_document(path)))


def _document(path: Path) -> dict[str, Any]:
    """A JSON document of ours; empty where it is anything else."""
    try:
        found = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    ours = isinstance(found, dict) and "schema_version" in found
    return found if ours and str(found.get("made_by")).startswith("optichill ") else {}


def write_report(
    folder: Path, texts: Mapping[str, str | bytes], brewhouse: Brewhouse, *, force: bool = False
) -> tuple[Path, ...]:
    """Write files into the report folder of a brewhouse, each whole or not at all, and remember them.

    Raises
    ------
    CannotWrite
        Without `force` also where the folder is of another brewhouse, or a file was written by somebody
        else, or was changed since.
    """
    data = {
        name: t.encode("utf-8", "backslashreplace") if isinstance(t, str) else t for name, t in texts.items()
    }
    with alone(folder / INDEX):
        return _written(folder, data, brewhouse, force=force)


def _written(
    folder: Path, data: Mapping[str, bytes], brewhouse: Brewhouse, *, force: bool
) -> tuple[Path, ...]:
    owner = _owner(brewhouse, folder)
    known = _known(folder, owner, force)
    for name in data:
        if not force and os.path.lexists(folder / name) and _digest(folder / name) not in known.get(name, []):
            raise CannotWrite(
                f"{folder / name}: was not written by optichill, or has been changed since: left as it is; "
                "move it away, or --force to replace it"
            )
    # Before the files, with what stood there: a run that is cut short leaves nothing that is not known.
    for name, content in data.items():
        known[name] = [hashlib.sha256(content).hexdigest(), *known.get(name, [])][:2]
    index = {**HEAD, "brewhouse": brewhouse.name, "read_from": owner, "files": known}
    files = {INDEX: (json.dumps(index, indent=2) + "\n").encode(), **data}
    write_together([(folder / name, content) for name, content in files.items()])
    return tuple(folder / name for name in data)


def _known(folder: Path, owner: str, force: bool) -> dict[str, list[str]]:
    """Digests of what was written into a folder, by name; the latest first, and the one before."""
    index = _document(folder / INDEX)
    if not index:
        if os.path.lexists(folder / INDEX) and not force:
            refuse_foreign_json(folder / INDEX)
        return {}
    if index.get("read_from") == owner:
        return dict(index.get("files", {}))
    if not force:
        raise CannotWrite(
            f"{folder}: holds the reports of another brewhouse of this name, read from "
            f"{index.get('read_from')}: left as it is; give another --out or name, or --force to replace it"
        )
    return {}


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def _owner(brewhouse: Brewhouse, folder: Path) -> str:
    """Where a brewhouse was read from, as seen from its report folder: both may move together."""
    path = brewhouse.path
    if path is None or shown(path) != str(path):
        return "Python" if path is None else shown(path)
    try:
        return Path(os.path.relpath(os.path.realpath(path), os.path.realpath(folder))).as_posix()
    except ValueError:  # on another drive
        return path.resolve().as_posix()


def read_for(brewhouse: Brewhouse) -> tuple[Path, ...]:
    """The files that a brewhouse and its lists were read from; none for one built in Python."""
    return () if brewhouse.path is None else sources(brewhouse.path)
