"""What a command line gives, looked at before its command runs: nothing twice, nothing empty, and where the
faults of its input go."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import click

from optichill.cli.common import FAULTS_GO_TO
from optichill.errors import OptichillError

ALLOWED = {
    "COIL": "a coil file or an id",
    "DIR": "a folder",
    "FILE": "the name of a file",
    "FILE-or-URL": "a file, or postgresql://HOST/DATABASE",
    "ID": "an id",
    "LOG": "a CSV file, or readings such as 0:98 5:60 10:38",
    "NAME": "a name",
    "VOLUME": "such as 21 L",
}
"""What takes a text may be, by what --help calls it."""

HOUSES = ("brewhouse", "new", "old", "also", "next_kettle")
"""Parameters that name a brewhouse, the one that is asked about first."""

A_BREWHOUSE = "a brewhouse file, or a folder with one"


def look_at(command: click.Command, context: click.Context, args: list[str]) -> None:
    """Raise UsageError where an option that takes one value stands there more than once, and OptichillError
    where a text is empty: a path or a name of nothing would be another than was meant."""
    try:
        values, _, given = command.make_parser(context).parse_args(list(args))
    except click.UsageError:
        return  # said by the command itself
    if any(option.is_eager for option in given):  # --help
        return
    _refuse_twice(given, context)
    _faults_go_to(values, context)
    for parameter in dict.fromkeys(given):
        if not isinstance(parameter.type, click.types.StringParamType | click.Path):
            continue  # click says what is no number and no choice
        if any(not text.strip() for text in _texts(values.get(str(parameter.name)))):
            called, allowed = _called(parameter)
            raise OptichillError(f"{called}: empty (allowed: {allowed})")


def _refuse_twice(given: list[click.Parameter], context: click.Context) -> None:
    for option in given:
        if not isinstance(option, click.Option) or option.multiple or option.is_flag or option.count:
            continue
        if given.count(option) > 1:
            times = "twice" if given.count(option) == 2 else f"{given.count(option)} times"
            raise click.UsageError(f"{option.opts[0]}: given {times}, and it takes one value", context)


def _texts(value: Any) -> Iterator[str]:
    """The texts of one parameter, as they were typed."""
    for one in value if isinstance(value, list | tuple) else [value]:
        if isinstance(one, str):
            yield one


def _called(parameter: click.Parameter) -> tuple[str, str]:
    """A parameter as a person types it, and what it takes."""
    named = str(parameter.metavar or parameter.name).strip("[]")
    if isinstance(parameter, click.Argument):
        return named.upper(), ALLOWED.get(named, A_BREWHOUSE)
    beside = ", or - for standard output" if parameter.name == "json_file" else ""
    return " or ".join(parameter.opts), f"{ALLOWED.get(named, A_BREWHOUSE)}{beside}"


def _faults_go_to(values: dict[str, Any], context: click.Context) -> None:
    """Note where JSON goes, for the faults of what is refused before its command looks: not where it is a
    file that is read, or of others."""
    from pathlib import Path

    from optichill.files.ownership import refuse_foreign_json, refuse_input, refuse_place
    from optichill.files.places import is_id, sources

    target = values.get("json_file")
    if not isinstance(target, str) or not target.strip():
        return
    houses = [text for name in HOUSES for text in _texts(values.get(name)) if text.strip()]
    if target != "-":
        every = [text for value in values.values() for text in _texts(value) if text.strip()]
        every.remove(target)
        try:
            refuse_place(Path(target))
            read = [file for house in houses for file in sources(house)] or sources(None)
            refuse_input(Path(target), read)
            refuse_input(Path(target), [Path(text) for text in every if not is_id(text)])
            refuse_foreign_json(Path(target))
        except (OptichillError, OSError, ValueError):
            return
    context.meta[FAULTS_GO_TO] = houses[0] if houses else None, target
