"""`optichill calibrate`: what your own batches say of your own cellar."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optichill.cli.common import (
    answer,
    brewhouse_argument,
    check_apart,
    check_places,
    columns,
    complain,
    say,
    shared_options,
)
from optichill.cli.progress import progress

if TYPE_CHECKING:
    from optichill.api import Calibrated


@click.command("calibrate")
@brewhouse_argument
@click.option(
    "--coil",
    "coils",
    metavar="COIL",
    multiple=True,
    required=True,
    help="The coil it was brewed with: a coil file, or an id. One for all logs, or one for each.",
)
@click.option(
    "--log",
    "--points",
    "logs",
    metavar="LOG",
    multiple=True,
    required=True,
    help='A measured cool-down: a CSV file, or the readings, minutes:temperature: "0:98 5:60 10:38". '
    "Again for every batch.",
)
@click.option("--volume", "volumes", metavar="VOLUME", multiple=True, help="Hot wort of that batch: 21 L.")
@click.option(
    "--name",
    "names",
    metavar="NAME",
    multiple=True,
    help='What the batch is called  [default: the date in its log, its file, else "batch 1"]',
)
@click.option(
    "--volume-by",
    type=click.Choice(["eye", "stick"]),
    multiple=True,
    help="How the volume is known: to a tenth by eye, to a hundredth by a stick or a scale  [default: eye]",
)
@click.option(
    "--thermometer",
    type=click.Choice(["coil", "top", "stirred"]),
    multiple=True,
    help="Where it hung: beside the turns, near the surface, or in wort stirred before each reading  "
    "[default: coil]",
)
@click.option(
    "--with-earlier",
    is_flag=True,
    help="Also with batches that were put aside before: the calibration file holds them.",
)
@click.option(
    "--anew", is_flag=True, help="Put aside what was measured before; else the new batch counts with it."
)
@click.option("--look-only", is_flag=True, help="Say what would be learnt, and keep nothing.")
@shared_options
def command(
    brewhouse: str | None,
    coils: tuple[str, ...],
    logs: tuple[str, ...],
    volumes: tuple[str, ...],
    names: tuple[str, ...],
    volume_by: tuple[str, ...],
    thermometer: tuple[str, ...],
    with_earlier: bool,
    anew: bool,
    look_only: bool,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> None:
    """Fit the model to measured cool-downs of BREWHOUSE, so that every answer is about your own kettle.

    Six readings of a kitchen thermometer will do: minutes since the water was turned on, and degrees. What is
    learnt is kept beside the brewhouse file, where every command uses it, until you delete it. What was
    measured before counts with it. Where the plan has a hop stand its minutes may be in the times, or left
    out: which of the two it is shows, and is said.
    """
    from optichill import api
    from optichill.api.calibration import calibrate_by_options, check_place
    from optichill.report.calibration.page import NAME
    from optichill.report.paper import entry, folded

    if anew and with_earlier:
        raise click.UsageError(
            "--anew with --with-earlier: the one puts aside what was measured before, the other counts it "
            "too (allowed: one of the two)"
        )
    _check_inputs(json_file, coils, logs)
    check_places(brewhouse, out, json_file, force=force)
    problem = api.read(brewhouse, units=units)
    folder = Path(out) / problem.brewhouse.slug
    if not look_only:
        check_place(problem)
        check_apart(json_file, folder / NAME)
    with progress("Fitting", counts=False):
        found = calibrate_by_options(
            problem,
            list(coils),
            list(logs),
            volume=list(volumes) or None,
            volume_by=list(volume_by) or None,
            thermometer=list(thermometer) or None,
            name=list(names) or None,
            with_earlier=with_earlier,
            anew=anew,
        )
        lines = found.lines(width=columns())
    kept, files = _where(found, folder / NAME, look_only=look_only)

    def keep() -> None:
        """What is kept is said once it is."""
        if not look_only:
            if found.place is None:
                found.report(folder, force=force)
            else:
                complain(f"wrote {found.keep(folder, force=force)}")
        say(folded(entry("KEPT", *kept), columns()), json_file)

    answer(lines, lambda: found.to_dict(files), json_file, force=force, before=keep)


def _check_inputs(json_file: str | None, coils: tuple[str, ...], logs: tuple[str, ...]) -> None:
    """Refuse JSON in a file that is read as a coil or a log."""
    from optichill.files.ownership import refuse_input

    if json_file not in (None, "-"):
        refuse_input(Path(str(json_file)), [Path(one) for one in (*coils, *logs) if os.path.exists(one)])


def _where(found: Calibrated, page: Path, *, look_only: bool) -> tuple[list[str], list[str]]:
    """What is said of where it is kept, and the files that are written."""
    if look_only:
        return ["nothing: you asked to look only"], []
    if found.place is None:
        return [
            "nowhere: this is the packaged example. optichill init writes your own files; then measure yours",
            f"{page}: measured and fitted, to look at",
        ], [str(page)]
    said = [
        f"{found.place}: every command uses it from now on; delete it to be rid of it",
        f"{page}: measured and fitted, to look at",
    ]
    others = [batch for batch in found.aside if not any(batch is one for one in found.corrected)]
    for batches, text in (
        (found.earlier, "counted with what was measured before: {}; --anew would put that aside"),
        (found.corrected, "taken for corrected: {}, nearly the same readings"),
        (others, "not counted: {}, measured before and put aside; with --with-earlier it counts too"),
    ):
        if batches:
            said.append(text.format(", ".join(batch.log.name for batch in batches)))
    return said, [str(found.place), str(page)]
