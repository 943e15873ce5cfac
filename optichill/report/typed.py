"""Commands as they are typed: a name with blanks, or with signs that a shell would obey, stands in quotes."""

from __future__ import annotations

import shlex
from pathlib import Path


def typed(command: str, brewhouse: str | Path | None = None, *more: str) -> str:
    """A command line of optichill, as a shell takes it.

    Parameters
    ----------
    command : one of optichill.
    brewhouse : as it was given; None where none was.
    more : options and what follows them.

    Examples
    --------
    >>> typed("sheet", "my kettle", "--rank", "1")
    "optichill sheet 'my kettle' --rank 1"
    >>> typed("check", "-new/brewhouse.toml")  # a dash in front would make it an option
    'optichill check ./-new/brewhouse.toml'
    """
    path = [] if brewhouse is None else [str(brewhouse)]
    return shlex.join(["optichill", command, *(f"./{p}" if p.startswith("-") else p for p in path), *more])
