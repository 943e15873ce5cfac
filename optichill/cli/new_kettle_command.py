"""`optichill new-kettle`: a bigger kettle arrives; what becomes of the coil."""

from __future__ import annotations

from pathlib import Path

import click

from optichill.cli.common import (
    NOTHING_FITS,
    answer,
    check_places,
    check_report,
    coil_option,
    columns,
    complain,
    shared_options,
    to_type,
)
from optichill.cli.progress import progress


@click.command("new-kettle")
@click.argument("old", type=click.Path())
@click.argument("new", type=click.Path())
@coil_option("The coil's file, or its id in OLD; its first 4 signs will do.", required=True)
@click.option("--save-coil", metavar="FILE", help="Write the coil of the first option, as NEW takes it.")
@click.option(
    "--option",
    type=click.Choice(["keep", "hang", "stand", "extend", "pair", "precool", "rewind", "replace"]),
    help="Tell, and save, this option instead of the first.",
)
@shared_options
def command(
    old: str,
    new: str,
    coil: str,
    save_coil: str | None,
    option: str | None,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """What becomes of the coil COIL of the kettle OLD when the kettle NEW arrives: every option worked out in
    NEW, the best first.

    OLD and NEW are brewhouse files, or folders with brewhouse.toml. Also writes NEW's page to compare on,
    with before and after at its head.
    """
    from optichill.api import upgrade
    from optichill.api.given import find, is_id

    for brewhouse in (old, new):
        check_places(brewhouse, out, json_file, force=force, save_coil=save_coil, coil=coil)
    stays, arrives = upgrade.read_both(old, new, units=units)
    folder = Path(out) / arrives.brewhouse.slug
    check_report(json_file, folder)
    with progress("Searching") as tell:
        given = find(coil, stays, tell) if is_id(coil) else Path(coil)
        found = upgrade.new_kettle(given, stays, arrives, tell=tell)
    applies = found.reached and (option is None or option in found.options)
    lines = found.lines(columns(), option=option)
    goes_on = _next(new, save_coil, written=found.writes(option)) if applies else []
    if not found.reached:
        lines += _helps(new)

    def keep() -> None:
        if save_coil and applies:
            found.save_coil(save_coil, option=option)
            complain(f"saved {save_coil}: {found.option(option).name}")
        elif save_coil:
            complain(f"{save_coil}: not written: {found.why_not(option)}")

    try:
        answer(lines, found.to_dict, json_file, force=force, before=keep, goes_on=goes_on)
    finally:  # last, for a folder of somebody else's is refused only now
        for file in found.save_page(folder, seed=seed, force=force):
            complain(f"wrote {file}")
    return 0 if applies else NOTHING_FITS


def _helps(new: str) -> list[str]:
    """Where nothing chills the new kettle."""
    from optichill.report.paper import entry, folded

    return folded(
        entry("NEXT", f"{to_type('recommend', new)}   what stands in the way, and helps"), columns()
    )


def _next(new: str, save_coil: str | None, *, written: bool) -> list[str]:
    """The commands that go on from here; written : once lines of the answer stand in NEW's files."""
    from optichill.report.paper import entry, folded

    coil, once = save_coil or "coil.toml", ", once the lines above are written" if written else ""
    steps = [] if save_coil else [f"--save-coil {coil}   added to this command keeps its coil in a file"]
    steps.append(f"{to_type('predict', new, '--coil', coil)}   its cool-down in the new kettle{once}")
    return folded(entry("NEXT", *steps), columns())
