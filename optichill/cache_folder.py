"""Where the program keeps what it could work out again: the user's own cache folder, by the custom of the
system."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def cache_folder() -> Path | None:
    """OPTICHILL_CACHE, else a folder of ours in the user's cache folder: XDG_CACHE_HOME (XDG Base Directory
    Specification: a relative one does not count) or ~/.cache, ~/Library/Caches on a Mac, LOCALAPPDATA on
    Windows. None where the user has no home."""
    named = os.environ.get("OPTICHILL_CACHE")
    if named:
        return Path(named)
    said = os.environ.get("LOCALAPPDATA" if sys.platform == "win32" else "XDG_CACHE_HOME", "")
    if os.path.isabs(said):
        return Path(said) / "optichill"
    try:
        home = Path.home()
    except RuntimeError:  # HOME is unset, and the system does not know this user
        return None
    custom = "Library/Caches" if sys.platform == "darwin" else ".cache"
    return home / custom / "optichill" if home.is_absolute() else None
