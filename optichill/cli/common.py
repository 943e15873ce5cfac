"""What every command shares: the brewhouse argument, the options, where JSON goes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

NOTHING_FITS = 3
"""Exit status when nothing fits or the target is out of reach; the answer is still written."""

Command = TypeVar("Command", bound=Callable[..., Any])

brewhouse_argument = click.argument("brewhouse", required=False, type=click.Path())


def shared_options(function: Command) -> Command:
    """--json, --units, --seed, --out."""
    options = (
        click.option("--json", "json_file", metavar="FILE", help="Write JSON to FILE; - is standard output."),
        click.option("--units", type=click.Choice(["metric", "us"]), help="Show results in these units."),
        click.option("--seed", type=int, default=0, show_default=True, help="Seed of random draws."),
        click.option(
            "--out", metavar="DIR", default="./reports", show_default=True, help="Folder for reports."
        ),
    )
    for option in reversed(options):
        function = option(function)
    return function


def write_json(text: str, target: str) -> None:
    """To a file, whole or not at all, or to standard output."""
    from optichill.inputs.files import write_whole

    if target == "-":
        click.echo(text, nl=False)
    else:
        write_whole(target, text)
