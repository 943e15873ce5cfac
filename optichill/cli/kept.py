"""An answer that was given before is told again, as long as nothing that it rests on has changed.

Fresh or kept, it is told in one and the same way: what is written goes where this command line says, after
the same looks at what stands there.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

import click

from optichill.cli.common import Command, columns, complain, tell

NO_CACHE = "OPTICHILL_NO_CACHE"
_NOT_ASKED = {"json_file", "out", "force"}
"""Options that say what becomes of an answer, and change nothing in it."""


@dataclass(frozen=True)
class Outcome:
    """All that a command has to say.

    status : its exit status.
    lines : the answer as the screen has it.
    document : the same as JSON text, where it was asked for.
    coil : the coil file, where one was asked for and there is a coil.
    ahead : said on standard error before the answer.
    after : said there once the coil file stands, or why there is none.
    goes_on : said on the screen once the coil file stands.
    """

    status: int
    lines: list[str]
    document: str | None = None
    coil: str | None = None
    ahead: list[str] | None = None
    after: list[str] | None = None
    goes_on: list[str] | None = None


def cache_option(function: Command) -> Command:
    """--no-cache, of the commands whose answers are kept."""

    def noted(context: click.Context, option: click.Parameter, given: bool) -> None:
        context.meta[NO_CACHE] = given

    return click.option(
        "--no-cache",
        is_flag=True,
        expose_value=False,
        callback=noted,
        help=f"Work the answer out anew, and keep none.  [also: environment {NO_CACHE}=1]",
    )(function)


def answered(
    work: Callable[[], Outcome], houses: Sequence[str | None], coil: str | None = None, *, keep: bool = True
) -> int:
    """Tell an answer, a kept one or a fresh one, which is kept then; the exit status.

    work : works it out; houses, coil : what it is about, as it was named. All other options are those of the
    command that runs. keep : not where what is asked may grow at any time, as a study does.
    """
    given = click.get_current_context()
    options: dict[str, Any] = given.params
    if not keep or given.meta[NO_CACHE] or os.environ.get(NO_CACHE):
        return _tell(work(), options)
    from optichill.files.kept import shelf
    from optichill.files.kept.question import Question, question
    from optichill.files.texts import noted

    def ask() -> Question | None:
        wanted = {key: value for key, value in options.items() if key not in _NOT_ASKED}
        wanted |= {"json": options["json_file"] is not None, "columns": columns()}
        return question(str(given.info_name), wanted, houses, coil)

    asked = ask()
    kept = None if asked is None else _read(shelf.take(asked.key))
    if kept is not None:
        return _tell(kept, options)
    with noted() as read:
        fresh = work()
    try:
        return _tell(fresh, options)
    finally:
        # What was changed while the answer was worked out may stand in it or not: it is not kept.
        if asked is not None and asked.covers(read) and ask() == asked:
            shelf.put(asked.key, json.dumps(asdict(fresh)))


def _tell(outcome: Outcome, options: dict[str, Any]) -> int:
    """Say it, then write what else was asked for."""
    place = options.get("save_coil")

    def keep() -> None:
        if place and outcome.coil is not None:
            from optichill.files.writing import write_whole

            write_whole(Path(place), outcome.coil)
        if outcome.after:
            complain(*outcome.after)

    if outcome.ahead:
        complain(*outcome.ahead)
    document = outcome.document
    tell(
        outcome.lines,
        lambda: document or "",
        options["json_file"],
        force=options["force"],
        before=keep,
        goes_on=outcome.goes_on or (),
    )
    return outcome.status


_KINDS = {"int": int, "str": str, "list[str]": list}


def _read(text: str | None) -> Outcome | None:
    """An outcome as it was kept; None where it is none."""
    if text is None:
        return None
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return None
    if not isinstance(found, dict) or set(found) != {field.name for field in fields(Outcome)}:
        return None
    return Outcome(**found) if all(_is(found[f.name], str(f.type)) for f in fields(Outcome)) else None


def _is(value: Any, kind: str) -> bool:
    """Whether a value is of a kind, as a field of an outcome states it."""
    plain, _, nothing = kind.partition(" | ")
    if value is None:
        return bool(nothing)
    listed = not isinstance(value, list) or all(isinstance(inner, str) for inner in value)
    return type(value) is _KINDS[plain] and listed
