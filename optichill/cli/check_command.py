"""`optichill check`: what was understood, what was assumed, and every fault at once."""

from __future__ import annotations

import click

from optichill.cli.common import (
    answer,
    brewhouse_argument,
    check_places,
    coil_option,
    columns,
    complain,
    say,
    shared_options,
    write_faults,
)
from optichill.cli.progress import progress


@click.command("check")
@brewhouse_argument
@click.option("--keys", is_flag=True, help="Print a page of all keys and columns, and read nothing.")
@coil_option("A coil file to check besides.", metavar="FILE")
@shared_options
def command(
    brewhouse: str | None,
    keys: bool,
    coil: str | None,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> None:
    """Read BREWHOUSE and its stock lists; say what was understood and every fault at once.

    BREWHOUSE is a file or a folder with brewhouse.toml; without it ./brewhouse.toml, else the packaged
    example. Nothing is random here and nothing goes into the report folder.
    """
    from optichill import api

    if keys:
        if brewhouse or coil or json_file or units:
            raise click.UsageError("--keys prints its page alone: no BREWHOUSE, --coil, --json or --units")
        say(api.keys())
        return
    check_places(brewhouse, out, json_file, force=force, coil=coil)
    try:
        problem = api.read(brewhouse, coil=coil, units=units)
    except api.InputFaults as error:
        write_faults(click.get_current_context(), error)
        complain(error.heading(api.faulty(brewhouse, error)["file"]))
        raise
    with progress(
        "Counting", counts=False
    ):  # what a search would look at: of the longest lists that takes seconds
        lines = problem.lines(columns())
    answer(lines, problem.to_dict, json_file, force=force)
