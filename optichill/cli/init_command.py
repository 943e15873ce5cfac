"""`optichill init`: a brewhouse file from at most ten answers, and the five lists to edit; or a coil file."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optichill.cli.common import say

if TYPE_CHECKING:
    from optichill.files.starter_kit import Written

INVENTED = "The prices in the lists are invented: put in those of your shop, and mark what you own."


ONLY_COIL = "An example, every size invented: measure your own coil, line by line. Nothing else is written."


@click.command("init")
@click.argument("folder", metavar="[DIR]", default=".", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Take every default and ask nothing.")
@click.option("--force", is_flag=True, help="Replace files that are there already.")
@click.option("--units", type=click.Choice(["metric", "us"]), default=None, help="Units of the new files.")
@click.option("--coil", is_flag=True, help="Only coil.toml: a coil you own, to be measured by tape.")
def command(folder: Path, yes: bool, force: bool, units: str | None, coil: bool) -> None:
    """Write brewhouse.toml and five stock lists into DIR (here).

    On a terminal at most ten questions are asked: units, the kettle's size, hot wort, tap temperature and
    flow, stirring, the longest chill, the budget, and which forms and rolls you own. Enter takes the value
    in brackets. Files that exist are kept and named; --force replaces them.

    With --coil only coil.toml is written, and nothing is asked: an example of a coil as measured by tape,
    string and scales, which says at each line how to measure it. Its units are those of the brewhouse.toml
    there, or --units. check, predict and sheet read it with --coil.
    """
    from optichill.files.starter_kit import LISTS, defaults, exists, refuse_no_folder

    refuse_no_folder(folder)
    if coil:
        _coil_file(folder, units, force=force)
        return
    from optichill import api
    from optichill.cli import questions
    from optichill.files.reading import DEFAULT_NAME
    from optichill.report.typed import typed

    kept = () if force else tuple(name for name in LISTS if exists(folder / name))
    if not yes and sys.stdin.isatty() and (force or not exists(folder / DEFAULT_NAME)):
        answers = questions.ask(units, lists_kept=kept)
    else:
        answers = defaults(units or "metric")
    answers = replace(answers, name=questions.name_of(folder.name))
    outcome = api.init(folder, answers=answers, force=force)
    say(
        [
            *_told(outcome),
            *([INVENTED] if outcome.written else []),
            f"Next: edit them, then  {typed('check', folder / DEFAULT_NAME)}",
        ]
    )


def _coil_file(folder: Path, units: str | None, *, force: bool) -> None:
    """Write the coil file alone."""
    from optichill import api
    from optichill.files.reading import DEFAULT_NAME
    from optichill.files.starter_kit import COIL_NAME, exists, units_there
    from optichill.report.typed import typed

    outcome = api.init_coil(folder, units=units or units_there(folder), force=force)
    kettle = folder / DEFAULT_NAME
    check = typed("check", kettle if exists(kettle) else None, "--coil", str(folder / COIL_NAME))
    say(
        [
            *_told(outcome),
            *([ONLY_COIL] if outcome.written else []),
            f"Next: edit it, then  {check}",
        ]
    )


def _told(outcome: Written) -> list[str]:
    return [
        *(f"written  {path}" for path in outcome.written),
        *(f"kept     {path} (was there; --force replaces it)" for path in outcome.kept),
    ]
