"""Writing: whole or not at all."""

from __future__ import annotations

from pathlib import Path

from optichill import temporary
from optichill.errors import CannotWrite


def write_whole(path: Path | str, text: str | bytes) -> None:
    """Write a file so that a reader sees the old or the new one, never a part.

    Raises
    ------
    CannotWrite
        Nothing is left behind.
    """
    try:
        # What is not of Unicode, from the bytes of a file's name, is written as JSON writes it.
        data = text.encode("utf-8", "backslashreplace") if isinstance(text, str) else text
        path = Path(path)
        if path.exists() and not path.is_file():
            raise CannotWrite(f"{path}: cannot be written: not an ordinary file")
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary.write_whole(path, data)
    except (OSError, TypeError, ValueError) as error:  # the disk's no, or a name that no file can have
        raise CannotWrite(
            f"{path!s}: cannot be written: {getattr(error, 'strerror', None) or error}"
        ) from error
