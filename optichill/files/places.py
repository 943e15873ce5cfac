"""Where what is read stands: the brewhouse file that is meant, the lists and the calibration beside it, a
coil file. Nothing heavy is loaded to know it."""

from __future__ import annotations

import importlib
import os
from functools import lru_cache
from pathlib import Path
from typing import Any

from optichill.errors import InputFault
from optichill.files.texts import read_text
from optichill.files.toml_tables import parse_toml

DEFAULT_NAME = "brewhouse.toml"
LIST_NAMES = ("tubing", "forms", "benders", "fittings", "pumps")
_CALIBRATED = ".calibration.json"


def find(path: str | Path | None) -> Path:
    """The brewhouse file that is meant: the one given, a folder's, ./brewhouse.toml, or the packaged demo."""
    if path is None:
        here = Path(DEFAULT_NAME)
        return here if here.exists() else packaged(DEFAULT_NAME)
    return Path(path) / DEFAULT_NAME if os.path.isdir(path) else Path(path)


def packaged(name: str) -> Path:
    """A file of the starter kit."""
    return _starter_kit() / name


@lru_cache(maxsize=1)
def _starter_kit() -> Path:
    # Not importlib.resources, which takes longer to load than a kept answer to be told again.
    return Path(str(importlib.import_module("optichill.catalogs").__path__[0]))


def shown(path: Path) -> str:
    """A file as a screen names it: as it was given, or "packaged ..." for the starter kit's."""
    return f"packaged {path.relative_to(packaged('')).as_posix()}" if is_packaged(path) else str(path)


def is_packaged(path: Path) -> bool:
    """Whether a file is one of the starter kit: it needs no naming."""
    return path.is_relative_to(packaged(""))


def is_id(coil: Any) -> bool:
    """Whether text stands for the id of a coil and not for a file: no file is there, and it is not written as
    one, with a / or \\ or ending in .toml.

    Examples
    --------
    >>> from optichill.files.places import is_id
    >>> is_id("tcf4"), is_id("my/tcf4"), is_id("tcf4.toml")
    (True, False, False)
    """
    if not isinstance(coil, str):
        return False
    written = "/" in coil or "\\" in coil or coil.lower().endswith(".toml")
    return not (written or os.path.lexists(coil))  # a link that leads nowhere is no id


def lists_folder(file: Path, raw: dict[str, Any]) -> Path:
    """The folder of the lists of a brewhouse file; raw : its tables."""
    table = raw.get("stock")
    folder = table.get("folder", ".") if isinstance(table, dict) else "."
    return file.parent / (folder if isinstance(folder, str) and "\0" not in folder else ".")


def calibration_of(brewhouse: Path) -> Path:
    """Where the calibration of a brewhouse file stands."""
    return brewhouse.with_name(brewhouse.stem + _CALIBRATED)


def sources(path: str | Path | None) -> tuple[Path, ...]:
    """Files that reading a brewhouse takes: its own, and the lists and the calibration that are there."""
    file, faults = find(path), list[InputFault]()
    text = read_text(file, "", faults)
    folder = lists_folder(file, parse_toml(text or "", "", faults) or {})
    beside = (*(folder / f"{name}.csv" for name in LIST_NAMES), calibration_of(file))
    return (file, *(path for path in beside if os.path.isfile(path)))
