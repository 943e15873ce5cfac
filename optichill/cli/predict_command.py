"""`optichill predict`: how one given coil cools a batch."""

from __future__ import annotations

import click

from optichill.cli.common import NOTHING_FITS, brewhouse_argument, shared_options, write_json


@click.command("predict")
@brewhouse_argument
@click.option(
    "--coil", "coil_file", metavar="COIL", required=True, help="A coil file (recommend --save-coil)."
)
@shared_options
def command(
    brewhouse: str | None, coil_file: str, json_file: str | None, units: str | None, seed: int, out: str
) -> int:
    """Time, water and cool-down of the coil in COIL, in the kettle of BREWHOUSE.

    Any coil that exists is taken: what it breaks is only told.
    """
    from optichill.files.reading import load
    from optichill.problem.basis import design_basis
    from optichill.rating.coil_rating import rate
    from optichill.report import jsonout
    from optichill.report.prediction import screen

    inputs = load(brewhouse, coil_file, units=units)
    assert inputs.coil is not None
    basis = design_basis(inputs)
    rating = rate(basis, inputs.coil)
    click.echo("\n".join(screen(rating, inputs, basis)), err=json_file == "-")
    if json_file:
        write_json(jsonout.dumps(jsonout.predict(rating, inputs, basis)), json_file)
    return 0 if rating.prediction.chill_time is not None else NOTHING_FITS
