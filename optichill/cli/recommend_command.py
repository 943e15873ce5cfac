"""`optichill recommend`: which coil to build, before buying anything."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optichill.cli.common import NOTHING_FITS, brewhouse_argument, shared_options, write_json

if TYPE_CHECKING:  # the heavy rooms are loaded only when the command runs
    from optichill.files.reading import Inputs
    from optichill.search.recommend import Answer


@click.command("recommend")
@brewhouse_argument
@click.option("--top", type=click.IntRange(1, 50), default=5, show_default=True, help="Builds in the table.")
@click.option("--tube", metavar="ID", help="Only this stock_id of tubing.csv.")
@click.option("--form", metavar="ID", help="Only this form_id of forms.csv.")
@click.option("--save-coil", metavar="FILE", help="Write the first build as a coil file.")
@click.option("--force", is_flag=True, help="Let --save-coil replace a file.")
@shared_options
def command(
    brewhouse: str | None,
    top: int,
    tube: str | None,
    form: str | None,
    save_coil: str | None,
    force: bool,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
) -> int:
    """Ranked coils that can really be built for BREWHOUSE, with time, cost, water and work.

    BREWHOUSE is a file or a folder with brewhouse.toml; without it ./brewhouse.toml, else the packaged
    example.
    """
    from optichill.files.reading import load
    from optichill.problem.basis import design_basis
    from optichill.report import jsonout
    from optichill.report.screen import first_screen
    from optichill.report.table import ranked_table
    from optichill.search.recommend import recommend
    from optichill.search.space import known_id

    if save_coil and Path(save_coil).exists() and not force:
        raise click.UsageError(f"{save_coil} exists: give another name, or --force to replace it")
    inputs = load(brewhouse, units=units)
    known_id(inputs.stock, tube=tube, form=form)
    answer = recommend(design_basis(inputs), top=top, tube=tube, form=form)
    lines = first_screen(answer, inputs)
    if answer.designs:
        lines += ["", ranked_table(answer), *_no_more(len(answer.designs), top), ""]
        lines += _next(brewhouse, save_coil, inputs.brewhouse.demo)
    # The answer is said before anything is written: a full disk must not lose it.
    click.echo("\n".join(lines), err=json_file == "-")
    if save_coil:
        _save(answer, inputs, save_coil)
    if json_file:
        write_json(jsonout.dumps(jsonout.recommend(answer, inputs)), json_file)
    return 0 if answer.designs else NOTHING_FITS


def _no_more(shown: int, top: int) -> list[str]:
    """Why the table is shorter than asked for."""
    return [] if shown >= top else ["No more rows: all else is a near variant of these, or beaten by one."]


def _next(brewhouse: str | None, save_coil: str | None, demo: bool) -> list[str]:
    from optichill.report.screen import entry

    name = f" {brewhouse}" if brewhouse else ""
    coil = save_coil or "coil.toml"
    steps = [] if save_coil else [f"optichill recommend{name} --save-coil {coil}   keeps build 1 in a file"]
    steps.append(f"optichill predict{name} --coil {coil}   its cool-down")
    steps.append(f"optichill sheet{name} --rank 1   to the bench: marks, order of work, a template to print")
    steps.append(f"optichill pareto{name}   a page with all coils that nothing beats, to compare")
    if demo:
        steps.append("optichill init   writes a brewhouse file and stock lists of your own to edit")
    return entry("NEXT", *steps)


def _save(answer: Answer, inputs: Inputs, path: str) -> None:
    from optichill.files.coil_file import coil_text
    from optichill.files.writing import write_whole
    from optichill.search.designs import as_coil

    if not answer.designs:
        click.echo(f"{path}: not written: no coil fits", err=True)
        return
    brewhouse = inputs.brewhouse
    coil = as_coil(answer.designs[0])
    write_whole(path, coil_text(coil, demo=brewhouse.demo, brewhouse=brewhouse.name, units=brewhouse.units))
    click.echo(f"saved {path}", file=sys.stderr)
