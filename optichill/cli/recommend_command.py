"""`optichill recommend`: which coil to build, before buying anything."""

from __future__ import annotations

import click

from optichill.cli.common import (
    NOTHING_FITS,
    answer,
    brewhouse_argument,
    check_places,
    columns,
    complain,
    shared_options,
)
from optichill.cli.progress import progress

USUAL = 5
"""Builds that are worked out where nothing else is asked for."""


@click.command("recommend")
@brewhouse_argument
@click.option(
    "--top",
    type=click.IntRange(1, 50),
    help="Show so many builds, not only those with a reason of their own.",
)
@click.option("--tube", metavar="ID", help="Only this stock_id of tubing.csv.")
@click.option("--form", metavar="ID", help="Only this form_id of forms.csv.")
@click.option("--save-coil", metavar="FILE", help="Write the first build as a coil file.")
@click.option("--coil", metavar="ID", help="With --save-coil: the coil of this id instead of the first.")
@click.option("--full", is_flag=True, help="Also how it was found, all cautions, and more of each build.")
@shared_options
def command(
    brewhouse: str | None,
    top: int | None,
    tube: str | None,
    form: str | None,
    save_coil: str | None,
    coil: str | None,
    full: bool,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Ranked coils that can really be built for BREWHOUSE, with time, cost, water and work.

    BREWHOUSE is a file or a folder with brewhouse.toml; without it ./brewhouse.toml, else the packaged
    example.
    """
    from optichill import api

    if coil is not None and save_coil is None:
        raise click.UsageError("--coil ID goes with --save-coil FILE: predict and sheet take it alone")
    check_places(brewhouse, out, json_file, force=force, save_coil=save_coil)
    problem = api.read(brewhouse, units=units)
    with progress("Searching") as tell:
        found = api.recommend(problem, top=top or USUAL, tube=tube, form=form, tell=tell)
        chosen = found.find(coil) if coil is not None else None
    lines = found.lines(columns(), full=full, first=top, asked=top or USUAL)
    if found.designs:
        lines += [
            "",
            *_next(brewhouse, save_coil, demo=problem.brewhouse.demo, full=full),
        ]

    def keep() -> None:
        if save_coil and chosen is not None:
            found.save_coil(save_coil, coil=chosen)
            complain(f"saved {save_coil}: coil {chosen.id}")
        elif save_coil and found.to_keep is not None:
            found.save_coil(save_coil, anyway=True)
            complain(found.kept(save_coil))
        elif save_coil:
            complain(f"{save_coil}: not written: no coil fits")

    answer(lines, found.to_dict, json_file, force=force, before=keep)
    return 0 if found.designs else NOTHING_FITS


def _next(brewhouse: str | None, save_coil: str | None, *, demo: bool, full: bool) -> list[str]:
    """The commands that go on from here; full : all of them."""
    from optichill.report.paper import entry, folded

    name = f" {brewhouse}" if brewhouse else ""
    coil = save_coil or "coil.toml"
    mine = ["optichill init   your own brewhouse file and lists, to edit"] if demo else []
    sheet = f"optichill sheet{name} --rank 1   to the bench: marks, order of work, a template to print"
    steps = [*(mine or [sheet]), f"optichill recommend{name} --full   all there is to say"]
    if full:
        keep = f"optichill recommend{name} --save-coil {coil}   keeps build 1 in a file"
        steps = [] if save_coil else [keep]
        steps.append(f"optichill predict{name} --coil {coil}   its cool-down")
        steps.append(sheet)
        steps.append(f"optichill pareto{name}   a page with all coils that nothing beats, to compare")
        steps += mine
    return folded(entry("NEXT", *steps), columns())
