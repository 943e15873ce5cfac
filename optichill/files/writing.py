"""Writing: whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from optichill import temporary
from optichill.errors import CannotWrite


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Read and write a file anew while no other run does the same.

    Raises
    ------
    CannotWrite
        Where another run does not let go of it, or there is no place for it.
    """
    hold = temporary.alone(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        hold.__enter__()
    except OSError as error:
        raise CannotWrite(f"{path}: cannot be written: {error.strerror or error}") from error
    try:
        yield
    finally:
        hold.__exit__(None, None, None)


def write_whole(path: Path | str, text: str | bytes) -> None:
    """Write a file so that a reader sees the old or the new one, never a part.

    Raises
    ------
    CannotWrite
        Nothing is left behind.
    """
    write_together([(path, text)])


def write_together(files: Sequence[tuple[Path | str, str | bytes]]) -> None:
    """The same of several files, in this order: a full disk changes none of them."""
    ready, path = [], files[0][0]
    try:
        for path, text in files:
            # What is not of Unicode, from the bytes of a file's name, is written as JSON writes it.
            data = text.encode("utf-8", "backslashreplace") if isinstance(text, str) else text
            path = Path(path)
            if path.exists() and not path.is_file():
                raise CannotWrite(f"{path}: cannot be written: not an ordinary file")
            path.parent.mkdir(parents=True, exist_ok=True)
            ready.append((path, data))
        temporary.write_together(ready)
    except (OSError, TypeError, ValueError) as error:  # the disk's no, or a name that no file can have
        raise CannotWrite(
            f"{path!s}: cannot be written: {getattr(error, 'strerror', None) or error}"
        ) from error
