"""`optichill predict`: how one given coil cools a batch."""

from __future__ import annotations

import click

from optichill.cli.common import NOTHING_FITS, brewhouse_argument, say, shared_options, write_json


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
    from optichill import api

    problem = api.read(brewhouse, coil=coil_file, units=units)
    rating = api.rate(problem.coil, problem)
    say(rating.lines(), json_file)
    if json_file:
        write_json(api.dumps(rating.to_dict()), json_file)
    return 0 if rating.chill_time is not None else NOTHING_FITS
