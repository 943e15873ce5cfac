"""`optichill sheet`: from a coil to the bench, as a page and a PDF to print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from optichill.cli.common import NOTHING_FITS, brewhouse_argument, shared_options, write_json

if TYPE_CHECKING:
    from optichill.files.reading import Inputs
    from optichill.model.coil import Coil
    from optichill.problem.basis import DesignBasis


@click.command("sheet")
@brewhouse_argument
@click.option("--coil", "coil_file", metavar="COIL", help="A coil file (recommend --save-coil).")
@click.option("--rank", type=click.IntRange(1, 50), help="Or the build of this rank in recommend.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    help="Paper of the PDF  [default: a4; us: letter]",
)
@shared_options
def command(
    brewhouse: str | None,
    coil_file: str | None,
    rank: int | None,
    paper: str | None,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
) -> int:
    """Build sheet of one coil for BREWHOUSE: marks, order of work, sizes, template at true size.

    Any coil that exists is taken; one that cannot be built still gets its page, headed NOT BUILDABLE.
    """
    from optichill.fabrication.work_plan import plan_work
    from optichill.files.reading import load
    from optichill.problem.basis import design_basis
    from optichill.report.sheet.content import sheet
    from optichill.report.sheet.write import json_of, screen, write

    if (coil_file is None) == (rank is None):
        raise click.UsageError("give one of --coil COIL and --rank N")
    inputs = load(brewhouse, coil_file, units=units)
    basis = design_basis(inputs)
    coil = inputs.coil or _ranked(basis, inputs, rank or 1)
    if coil is None:
        return NOTHING_FITS
    made = plan_work(basis, coil)
    paper = paper or ("letter" if inputs.brewhouse.units == "us" else "a4")
    content = sheet(made, inputs, paper)
    name = Path(coil_file).stem if coil_file else f"rank-{rank}"
    files = write(content, made, Path(out), name)
    click.echo("\n".join(screen(content, inputs, files)), err=json_file == "-")
    if json_file:
        write_json(json_of(content, made, inputs, files), json_file)
    return 0


def _ranked(basis: DesignBasis, inputs: Inputs, rank: int) -> Coil | None:
    """The coil of a rank, searched for; None, and said, where there is none."""
    from optichill.files.coil_file import as_written
    from optichill.report.screen import first_screen
    from optichill.search.designs import as_coil
    from optichill.search.recommend import recommend

    answer = recommend(basis, top=max(rank, 5))
    if not answer.designs:
        click.echo("\n".join(first_screen(answer, inputs)))
        return None
    if rank > len(answer.designs):
        raise click.UsageError(f"--rank {rank}: the search keeps {len(answer.designs)} builds that differ")
    return as_written(as_coil(answer.designs[rank - 1]))
