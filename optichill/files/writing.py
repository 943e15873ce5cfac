"""Writing: whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from optichill.errors import CannotWrite


def write_whole(path: Path | str, text: str | bytes) -> None:
    """Write a file so that a reader sees the old or the new one, never a part.

    Raises
    ------
    CannotWrite
        Nothing is left behind.
    """
    data = text.encode("utf-8") if isinstance(text, str) else text
    temporary = None
    try:
        path = Path(path)
        if path.exists() and not path.is_file():
            raise CannotWrite(f"{path}: cannot be written: not an ordinary file")
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(path))
        os.replace(temporary, path)
    except (OSError, TypeError, ValueError) as error:  # the disk's no, or a name that no file can have
        if temporary is not None and os.path.exists(temporary):
            os.unlink(temporary)
        raise CannotWrite(
            f"{path!s}: cannot be written: {getattr(error, 'strerror', None) or error}"
        ) from error


def _mode(path: Path) -> int:
    """Permissions of the file that is replaced, else an ordinary file's."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
