"""`optichill init`: a brewhouse file from eight answers, and the five lists to edit."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optichill.display import show
from optichill.units import QuantityError, parse

if TYPE_CHECKING:  # the rooms behind the door are loaded only when the command runs
    from optichill.files import starter_kit

Check = Callable[[str], str]


@click.command("init")
@click.argument("folder", metavar="[DIR]", default=".", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Take every default and ask nothing.")
@click.option("--force", is_flag=True, help="Replace files that are there already.")
@click.option("--units", type=click.Choice(["metric", "us"]), default=None, help="Units of the new file.")
def command(folder: Path, yes: bool, force: bool, units: str | None) -> None:
    """Write brewhouse.toml and five stock lists into DIR (here).

    On a terminal eight questions are asked; Enter takes the value in brackets. Files that exist are kept
    and named; --force replaces them.
    """
    from optichill import api
    from optichill.files import starter_kit
    from optichill.files.reading import DEFAULT_NAME

    answers = starter_kit.defaults(units or "metric")
    asked = not yes and sys.stdin.isatty() and (force or not (folder / DEFAULT_NAME).exists())
    if asked:
        answers = _ask(units)
    outcome = api.init(folder, answers=answers, force=force)
    for path in outcome.written:
        click.echo(f"written  {path}")
    for path in outcome.kept:
        click.echo(f"kept     {path} (was there; --force replaces it)")
    if outcome.written:
        click.echo("The prices in the lists are invented: put in those of your shop, and mark what you own.")
    click.echo(f"Next: edit them, then  optichill check {folder / DEFAULT_NAME}")


def _ask(units: str | None) -> starter_kit.Answers:
    """The eight answers."""
    from optichill.files import starter_kit

    click.echo("Eight questions; Enter takes the value in brackets.")
    name = _prompt("1 Name of the brewhouse", starter_kit.DEFAULT_BREWHOUSE, _name)
    chosen = _prompt("2 Units for results, metric or us", units or "metric", _units)
    usual = starter_kit.defaults(chosen)
    size = _within("length", 0.10, 3.0, chosen)
    diameter = _prompt("3 Kettle, inside diameter", usual.inside_diameter, size)
    height = _prompt("4 Kettle, inside height", usual.inside_height, size)
    brim = math.pi / 4 * parse(diameter, "length") ** 2 * parse(height, "length")
    volume = usual.volume if parse(usual.volume, "volume") < 0.9 * brim else f"{0.8e3 * brim:.0f} L"
    volume = _prompt("5 Hot wort in the kettle at flame-out", volume, _within("volume", 1e-4, brim, chosen))
    cold = _within("temperature", 273.15, 333.15, chosen)
    target = _prompt("6 Chill down to", usual.target_temperature, cold)
    tap = _prompt("7 Tap water, at the end of the hose", usual.temperature, cold)
    flow = _prompt(
        f"8 Open tap, bucket and clock at the end of your hose, or {starter_kit.UNKNOWN}",
        usual.open_flow,
        _flow,
    )
    return replace(
        usual,
        name=name,
        inside_diameter=diameter,
        inside_height=height,
        volume=volume,
        target_temperature=target,
        temperature=tap,
        open_flow=flow,
    )


def _prompt(question: str, default: str, check: Check) -> str:
    return str(click.prompt(question, default=default, value_proc=check))


def _name(text: str) -> str:
    plain = " ".join(text.split())
    if not plain or not plain.isprintable() or len(plain) > 200:
        raise click.BadParameter("a name of one line")
    return plain


def _units(text: str) -> str:
    from optichill.files.starter_kit import EXAMPLES

    if text.strip() not in EXAMPLES:
        raise click.BadParameter("metric or us")
    return text.strip()


def _within(kind: str, least: float, most: float, units: str = "metric") -> Check:
    def check(text: str) -> str:
        value = _parsed(text, kind)
        if not least <= value <= most:
            shown = {"volume": "exact_volume"}.get(kind, kind)
            raise click.BadParameter(f"{show(least, shown, units)} to {show(most, shown, units)}")
        return text.strip()

    return check


def _flow(text: str) -> str:
    from optichill.files.starter_kit import UNKNOWN

    if text.strip() == UNKNOWN:
        return UNKNOWN
    return _within("flow", 0.1 / 6e4, 500 / 6e4)(text)


def _parsed(text: str, kind: str) -> float:
    try:
        return parse(text, kind)
    except QuantityError as error:
        raise click.BadParameter(str(error)) from None
