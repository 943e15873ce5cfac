"""Commands as they are typed: a name with blanks, or with signs that a shell would obey, stands in quotes."""

from __future__ import annotations

import shlex
from pathlib import Path

from optichill.files.places import DEFAULT_NAME, is_packaged


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


def asked_by(file: Path | None) -> str | None:
    """The shortest that a command takes for a brewhouse file: its folder's name where it has the usual one;
    None for the packaged example, and for what stands in the folder at hand.

    Examples
    --------
    >>> asked_by(Path("my-kettle/brewhouse.toml")), asked_by(Path("cellar/big.toml"))
    ('my-kettle', 'cellar/big.toml')
    """
    if file is None or is_packaged(file) or file == Path(DEFAULT_NAME):
        return None
    return str(file.parent if file.name == DEFAULT_NAME else file)
