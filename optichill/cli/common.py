"""What every command shares: the brewhouse argument, the options, where JSON goes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

NOTHING_FITS = 3
"""Exit status when nothing fits or the target is out of reach; the answer is still written."""

Command = TypeVar("Command", bound=Callable[..., Any])

brewhouse_argument = click.argument("brewhouse", required=False, type=click.Path())


def shared_options(function: Command) -> Command:
    """--json, --units, --out; --seed is taken and changes nothing but its own echo."""
    options = (
        click.option("--json", "json_file", metavar="FILE", help="Write JSON to FILE; - is standard output."),
        click.option("--units", type=click.Choice(["metric", "us"]), help="Show results in these units."),
        click.option("--seed", type=int, default=0, hidden=True),  # nothing draws at random
        click.option(
            "--out", metavar="DIR", default="./reports", show_default=True, help="Folder for reports."
        ),
    )
    for option in reversed(options):
        function = option(function)
    return function


def say(lines: Sequence[str], json_file: str | None = None) -> None:
    """To the screen, or beside it where standard output is for JSON."""
    click.echo("\n".join(lines), err=json_file == "-")


def write_json(text: str, target: str) -> None:
    """To a file, whole or not at all, or to standard output.

    What was JSON before is replaced; anything else, a price list above all, is left alone.
    """
    from optichill.errors import CannotWrite
    from optichill.files.writing import write_whole

    if target == "-":
        click.echo(text, nl=False)
        return
    path = Path(target)
    if path.exists() and not _is_json(path):
        raise CannotWrite(f"{target}: exists and is not JSON: left as it is; give another name")
    write_whole(path.resolve(), text)
    click.echo(f"wrote {target}", err=True)


def _is_json(path: Path) -> bool:
    """Whether a file may be replaced: empty, or a JSON document."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(64).lstrip()[:1] in (b"", b"{")
