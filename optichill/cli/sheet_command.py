"""`optichill sheet`: from a coil to the bench, as a page and a PDF to print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from optichill.cli.common import (
    NOTHING_FITS,
    answer,
    brewhouse_argument,
    check_places,
    check_report,
    coil_option,
    columns,
    read_with,
    say,
    shared_options,
    study_option,
)
from optichill.cli.progress import progress

if TYPE_CHECKING:
    from optichill.api import Problem
    from optichill.search.designs import Design


@click.command("sheet")
@brewhouse_argument
@coil_option()
@click.option("--rank", type=click.IntRange(1, 50), help="Or the build of this rank in recommend.")
@study_option
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    help="Paper of the PDF  [default: a4; us: letter]",
)
@click.option(
    "--for-machines",
    is_flag=True,
    help="Also comb, feet, template (DXF, SVG), tube and form (STL), in a folder of their own.",
)
@shared_options
def command(
    brewhouse: str | None,
    coil: str | None,
    rank: int | None,
    study: str | None,
    paper: str | None,
    for_machines: bool,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Build sheet of one coil for BREWHOUSE: marks, order of work, sizes, template at true size.

    Any coil that exists is taken; one that cannot be built still gets its page, headed NOT BUILDABLE.
    """
    from optichill import api

    if (coil is None) == (rank is None):
        raise click.UsageError("give one of --coil COIL and --rank N")
    check_places(brewhouse, out, json_file, force=force, coil=coil)
    if coil is not None:
        problem, given = read_with(brewhouse, coil, units, study)
    else:
        problem = api.read(brewhouse, units=units)
        first = _ranked(problem, rank or 1, study)
        if first is None:
            return NOTHING_FITS
        given = first
    work = api.plan_work(given, problem)
    folder, name = Path(out) / problem.brewhouse.slug, f"rank-{rank}"
    if coil is not None:
        name = work.plan.coil_id if api.is_id(coil) else Path(coil).stem
    check_report(json_file, folder, sheet=name)
    files = work.report(folder, name, paper=paper, for_machines=for_machines, force=force)
    lines = work.lines(files, paper=paper, width=columns(), for_machines=for_machines)
    answer(lines, lambda: work.to_dict(files), json_file, force=force)
    return 0


def _ranked(problem: Problem, rank: int, study: str | None) -> Design | None:
    """The design of a rank, searched for; None, and said, where there is none."""
    from optichill import api

    with progress("Searching") as tell:
        answer = api.recommend(problem, top=max(rank, 5), tell=tell, study=study)
    if not answer.designs:
        say(answer.lines(columns()))
        return None
    if rank > len(answer.designs):
        raise click.UsageError(f"--rank {rank}: the search keeps {len(answer.designs)} builds that differ")
    return answer.designs[rank - 1]
