"""`optichill recommend`: which coil to build, before buying anything."""

from __future__ import annotations

import click

from optichill.cli.common import (
    NOTHING_FITS,
    answer,
    brewhouse_argument,
    check_places,
    coil_option,
    columns,
    complain,
    read_all,
    shared_options,
    study_option,
    to_type,
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
@click.option("--also", metavar="OTHER", multiple=True, help="One coil that serves this kettle too.")
@click.option(
    "--next-kettle", metavar="NEW", multiple=True, help="With regard for the kettle that is planned."
)
@click.option("--save-coil", metavar="FILE", help="Write the first build as a coil file.")
@coil_option("With --save-coil: the coil of this id instead of the first.", metavar="ID")
@study_option
@click.option("--full", is_flag=True, help="Also how it was found, all cautions, and more of each build.")
@shared_options
def command(
    brewhouse: str | None,
    top: int | None,
    tube: str | None,
    form: str | None,
    also: tuple[str, ...],
    next_kettle: tuple[str, ...],
    save_coil: str | None,
    coil: str | None,
    study: str | None,
    full: bool,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Ranked coils that can really be built for BREWHOUSE, with time, cost, water and work.

    BREWHOUSE is a file or a folder with brewhouse.toml; without it ./brewhouse.toml, else the packaged
    example. OTHER and NEW are such files or folders: kettle, wort, tap, plan, limits and batches are theirs;
    tube, forms and prices are those of BREWHOUSE's lists.
    """
    from optichill import api

    if coil is not None and save_coil is None:
        raise click.UsageError("--coil ID goes with --save-coil FILE: predict and sheet take it alone")
    if also and next_kettle:
        raise click.UsageError("--also and --next-kettle do not go together: give one of the two")
    if len(next_kettle) > 1:
        raise click.UsageError("--next-kettle twice: give the one kettle that comes next (--also takes many)")
    if study is not None and (tube or form or also or next_kettle):
        raise click.UsageError(
            "--study goes with none of --tube, --form, --also, --next-kettle: a study is of the whole lists "
            "and of one kettle"
        )
    besides = [*also, *next_kettle]
    check_places(brewhouse, out, json_file, force=force, save_coil=save_coil, besides=besides)
    problem, *others = read_all((brewhouse, *besides), units)
    with progress("Searching") as tell:
        found = api.recommend(
            problem,
            top=top or USUAL,
            tube=tube,
            form=form,
            tell=tell,
            also=[] if next_kettle else others,
            next_kettle=others[0] if next_kettle else None,
            study=study,
        )
        chosen = found.find(coil) if coil is not None else None
    lines = found.lines(columns(), full=full, first=top, asked=top or USUAL)
    several = isinstance(found, api.ForSeveral)
    regarded = found.others if isinstance(found, api.ForSeveral) else ()
    for name, other in zip(besides, others, strict=True):
        if not any(other is one for one in regarded):
            complain(_left_out(name, planned=bool(next_kettle), nothing=not (several or found.designs)))
    if found.designs and isinstance(found, api.ForSeveral):
        named = [part for other in besides for part in ("--also" if also else "--next-kettle", other)]
        at = next(
            name
            for name, read in zip((brewhouse, *besides), (problem, *others), strict=True)
            if read is found.bench
        )
        lines += ["", *_keep(brewhouse, named, save_coil, at, found.bench_file)]
    elif found.designs:
        explored = None if isinstance(found, api.ForSeveral) else found.explored
        more = () if explored is None else ("--study", explored.typed)
        lines += ["", *_next(brewhouse, more, save_coil, demo=problem.brewhouse.demo, full=full)]

    def keep() -> None:
        if save_coil and chosen is not None:
            found.save_coil(save_coil, coil=chosen)
            complain(f"saved {save_coil}: coil {chosen.id}")
        elif save_coil and found.to_keep is not None:
            found.save_coil(save_coil, anyway=True)
            complain(found.kept(save_coil))
        elif save_coil:
            complain(f"{save_coil}: not written: no coil {'serves all kettles' if several else 'fits'}")

    answer(lines, found.to_dict, json_file, force=force, before=keep)
    return 0 if found.designs else NOTHING_FITS


def _left_out(name: str, *, planned: bool, nothing: bool) -> str:
    """Why another kettle that was named changes nothing; nothing : that no coil fits today."""
    if nothing:
        return f"{name}: left out, for nothing fits today: what helps comes first"
    if planned:
        return f"{name}: the same kettle but for its name: it changes nothing"
    return f"{name}: the same brewhouse once more: it counts once"


def _keep(
    brewhouse: str | None, named: list[str], save_coil: str | None, at: str | None, otherwise: tuple[str, ...]
) -> list[str]:
    """How to go on with a coil for several kettles: by its file, for a search for one kettle alone need not
    find it again. named : the other kettles as they were asked for; at : whose rim the risers are bent
    for, otherwise : what the file must say for it."""
    from optichill.report.paper import entry, folded

    coil = save_coil or "coil.toml"
    keep = to_type("recommend", brewhouse, *named, "--save-coil", coil)
    steps = [] if save_coil else [f"{keep}   keeps build 1 in a file"]
    copy = f", in a copy with {', '.join(otherwise)}" if otherwise else ""
    steps.append(f"{to_type('sheet', at, '--coil', coil)}   to the bench{copy}")
    return folded(entry("NEXT", *steps), columns())


def _next(
    brewhouse: str | None, study: tuple[str, ...], save_coil: str | None, *, demo: bool, full: bool
) -> list[str]:
    """The commands that go on from here; study : with which they are asked; full : all of them."""
    from optichill.report.paper import entry, folded

    def step(what: str, command: str, *more: str) -> str:
        study_too = () if command == "predict" else study  # its coil stands in a file
        return f"{to_type(command, brewhouse, *study_too, *more)}   {what}"

    mine = [f"{to_type('init')}   your own brewhouse file and lists, to edit"] if demo else []
    sheet = step("to the bench: marks, order of work, a template to print", "sheet", "--rank", "1")
    steps = [*(mine or [sheet]), step("all there is to say", "recommend", "--full")]
    if full:
        coil = save_coil or "coil.toml"
        keep = step("keeps build 1 in a file", "recommend", "--save-coil", coil)
        steps = [] if save_coil else [keep]
        steps.append(step("its cool-down", "predict", "--coil", coil))
        steps.append(sheet)
        steps.append(step("a page with all coils that nothing beats, to compare", "pareto"))
        steps += mine
    return folded(entry("NEXT", *steps), columns())
