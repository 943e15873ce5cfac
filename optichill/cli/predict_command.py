"""`optichill predict`: how one given coil cools a batch."""

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
    study_option,
)
from optichill.cli.kept import Outcome, answered, cache_option


@click.command("predict")
@brewhouse_argument
@coil_option(required=True)
@study_option
@cache_option
@shared_options
def command(
    brewhouse: str | None,
    coil: str,
    study: str | None,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Time, water and cool-down of the coil COIL, in the kettle of BREWHOUSE.

    Any coil that exists is taken: what it breaks is only told.
    """
    check_places(brewhouse, out, json_file, force=force, coil=coil)

    def work() -> Outcome:
        from optichill import api

        problem, given = read_with(brewhouse, coil, units, study)
        rating = api.rate(given, problem)
        status = 0 if rating.chill_time is not None else NOTHING_FITS
        return Outcome(status, rating.lines(columns()), api.dumps(rating.to_dict()) if json_file else None)

    return answered(work, [brewhouse], coil, keep=study is None)
