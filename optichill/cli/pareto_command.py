"""`optichill pareto`: the page to compare on, before buying."""

from __future__ import annotations

from pathlib import Path

import click

from optichill.cli.common import (
    NOTHING_FITS,
    answer,
    brewhouse_argument,
    check_places,
    check_report,
    columns,
    shared_options,
    study_option,
)
from optichill.cli.progress import progress


@click.command("pareto")
@brewhouse_argument
@study_option
@shared_options
def command(
    brewhouse: str | None,
    study: str | None,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Trade-off report for BREWHOUSE: every coil that no other beats in time, cost, water and work together.

    Writes a page that opens in any browser, a CSV for a spreadsheet and a JSON with everything that was read
    and found.
    """
    from optichill import api

    check_places(brewhouse, out, json_file, force=force)
    problem = api.read(brewhouse, units=units)
    folder = Path(out) / problem.brewhouse.slug
    check_report(json_file, folder)
    with progress("Searching") as tell:
        front = api.front(problem, tell=tell, study=study)
    files = front.save(folder, seed=seed, force=force)
    answer(front.lines(files, width=columns()), lambda: front.to_dict(seed=seed), json_file, force=force)
    return 0 if len(front) else NOTHING_FITS
