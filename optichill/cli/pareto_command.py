"""`optichill pareto`: the page to compare on, before buying."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from optichill.cli.common import NOTHING_FITS, brewhouse_argument, shared_options, write_json


@click.command("pareto")
@brewhouse_argument
@shared_options
def command(brewhouse: str | None, json_file: str | None, units: str | None, seed: int, out: str) -> int:
    """Trade-off report for BREWHOUSE: every coil that no other beats in time, cost, water and work together.

    Writes a page that opens in any browser, a CSV for a spreadsheet and a JSON with everything that was read
    and found.
    """
    from optichill.files.reading import load
    from optichill.problem.basis import design_basis
    from optichill.report import jsonout
    from optichill.report.screen import entry, first_screen
    from optichill.report.tradeoff.write import result_json, versions, write
    from optichill.search.tradeoff import weigh

    inputs = load(brewhouse, units=units)
    found = weigh(design_basis(inputs))

    lines = first_screen(found.answer, inputs) if not len(found) else [inputs.first_line, ""]
    if len(found):
        lines += entry(
            "LEFT", f"{len(found):,} coils that nothing beats, of {found.answer.enumerated:,} weighed"
        )
    paths = write(found, inputs, Path(out) / inputs.brewhouse.slug, seed)
    lines += entry("WROTE", *(str(path) for path in paths))
    click.echo("\n".join(lines), file=sys.stderr if json_file == "-" else sys.stdout)
    if json_file:
        write_json(jsonout.dumps(result_json(found, inputs, seed, versions())), json_file)
    return 0 if len(found) else NOTHING_FITS
