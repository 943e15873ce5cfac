"""A fault of the program's own: one line for the user, and a file with what is needed to find it."""

from __future__ import annotations

import hashlib
import platform
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path

from optichill.version import __version__


def reported(error: BaseException, arguments: Sequence[str]) -> str:
    """What to say of a fault; its report is written to a temporary file.

    The report holds the command line, which names the inputs, and the traceback; of the inputs nothing more.
    """
    number = _number(error)
    said = f"a fault of optichill's own, number {number}; your files are as they were"
    text = "\n".join(
        [
            f"optichill {__version__}, Python {platform.python_version()}, {platform.system()}",
            f"fault {number}",
            f"command line: {ascii(list(arguments))}",
            "",
            *traceback.format_exception(error),
        ]
    )
    try:
        with tempfile.NamedTemporaryFile(
            "wb", prefix=f"optichill-fault-{number}-", suffix=".txt", delete=False
        ) as file:
            file.write(text.encode("utf-8", "backslashreplace"))
    except OSError as full:
        return f"{said}. No report could be written ({full.strerror}): please report the number"
    return f"{said}. Please report the number and send {file.name}"


def _number(error: BaseException) -> str:
    """The same for the same fault in the same place, whoever meets it."""
    frames = traceback.extract_tb(error.__traceback__)
    places = [f"{Path(frame.filename).name} {frame.name} {frame.lineno}" for frame in frames]
    told = [__version__, type(error).__name__, *places]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:8]
