"""`optichill init`: a brewhouse file from at most ten answers, and the five lists to edit."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import click

from optichill.cli.common import say

INVENTED = "The prices in the lists are invented: put in those of your shop, and mark what you own."


@click.command("init")
@click.argument("folder", metavar="[DIR]", default=".", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Take every default and ask nothing.")
@click.option("--force", is_flag=True, help="Replace files that are there already.")
@click.option("--units", type=click.Choice(["metric", "us"]), default=None, help="Units of the new files.")
def command(folder: Path, yes: bool, force: bool, units: str | None) -> None:
    """Write brewhouse.toml and five stock lists into DIR (here).

    On a terminal at most ten questions are asked: units, the kettle's size, hot wort, tap temperature and
    flow, stirring, the longest chill, the budget, and which forms and rolls you own. Enter takes the value
    in brackets. Files that exist are kept and named; --force replaces them.
    """
    from optichill import api
    from optichill.cli import questions
    from optichill.files.reading import DEFAULT_NAME
    from optichill.files.starter_kit import LISTS, defaults, exists
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
            *(f"written  {path}" for path in outcome.written),
            *(f"kept     {path} (was there; --force replaces it)" for path in outcome.kept),
            *([INVENTED] if outcome.written else []),
            f"Next: edit them, then  {typed('check', folder / DEFAULT_NAME)}",
        ]
    )
