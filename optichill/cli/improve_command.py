"""`optichill improve`: what helps a coil that is there, and the lines that make it so."""

from __future__ import annotations

import click

from optichill.cli.common import (
    NOTHING_FITS,
    brewhouse_argument,
    check_places,
    coil_option,
    columns,
    read_with,
    shared_options,
)
from optichill.cli.kept import Outcome, answered, cache_option
from optichill.cli.progress import progress


@click.command("improve")
@brewhouse_argument
@coil_option(required=True)
@cache_option
@shared_options
def command(
    brewhouse: str | None,
    coil: str,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Whether the coil COIL is good enough for BREWHOUSE, and what helps it most.

    Each change is worked out by itself and told with the lines that make it so.
    """
    check_places(brewhouse, out, json_file, force=force, coil=coil)

    def work() -> Outcome:
        from optichill import api

        problem, given = read_with(brewhouse, coil, units)
        with progress("Searching") as tell:
            found = api.improve(given if api.is_id(coil) else coil, problem, tell)
        status = 0 if found.reached else NOTHING_FITS
        return Outcome(status, found.lines(columns()), api.dumps(found.to_dict()) if json_file else None)

    return answered(work, [brewhouse], coil)
