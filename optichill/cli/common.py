"""What every command shares: the brewhouse argument, the options, where JSON goes."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from optichill.errors import OptichillError, printable, shown

if TYPE_CHECKING:
    from optichill.api import Problem
    from optichill.model.coil import Coil
    from optichill.search.designs import Design

NOTHING_FITS = 3
"""Exit status when nothing fits or the target is out of reach; the answer is still written."""

Command = TypeVar("Command", bound=Callable[..., Any])

brewhouse_argument = click.argument("brewhouse", required=False, type=click.Path())


def coil_option(
    help: str = "A coil file (of recommend --save-coil or init --coil), or a coil's id or its first 4 signs.",
    *,
    metavar: str = "COIL",
    required: bool = False,
) -> Callable[[Command], Command]:
    """--coil; metavar : FILE or ID where one of them alone is taken, else COIL."""

    def checked(context: click.Context, option: click.Parameter, coil: str | None) -> str | None:
        from optichill.files.places import is_id

        if coil is None:
            return None
        if metavar == "ID" and not is_id(coil):
            raise click.ClickException(
                f"--coil {shown(coil, 1000)}: names a file, and {context.info_name} takes only the id of a "
                "coil (predict and sheet take a file)"
            )
        if metavar == "FILE" and is_id(coil):
            raise OptichillError(
                f"--coil {shown(coil, 1000)}: no such file is there, and {context.info_name} takes no id "
                "(recommend --save-coil FILE --coil ID writes the file; predict and sheet take an id)"
            )
        return coil

    return click.option("--coil", metavar=metavar, required=required, callback=checked, help=help)


def shared_options(function: Command) -> Command:
    """--json, --units, --out, --force; --seed is taken and changes nothing but its own echo."""
    options = (
        click.option("--json", "json_file", metavar="FILE", help="Write JSON to FILE; - is standard output."),
        click.option("--units", type=click.Choice(["metric", "us"]), help="Show results in these units."),
        click.option("--seed", type=int, default=0, hidden=True),  # nothing draws at random
        click.option(
            "--out", metavar="DIR", default="./reports", show_default=True, help="Folder for reports."
        ),
        click.option(
            "--force", is_flag=True, help="Replace files that optichill did not write; never inputs."
        ),
    )
    for option in reversed(options):
        function = option(function)
    return function


study_option = click.option(
    "--study", metavar="FILE-or-URL", help="With the coils that explore tried beside those of the lists."
)


NARROWEST, WIDEST = 60, 100
"""Columns that answers are folded to, at least and at most."""


def columns() -> int:
    """Width of the terminal as far as answers follow it; the most where none is known."""
    return min(max(shutil.get_terminal_size((WIDEST, 24)).columns, NARROWEST), WIDEST)


def say(lines: Sequence[str], json_file: str | None = None) -> None:
    """To the screen, or beside it where standard output is for JSON."""
    click.echo("\n".join(map(printable, lines)), err=json_file == "-")


def to_type(command: str, brewhouse: str | None = None, *more: str) -> str:
    """A command that goes on from an answer, to be copied: no width folds it."""
    from optichill.report.paper import whole
    from optichill.report.typed import typed

    return whole(typed(command, brewhouse, *more))


def complain(*lines: str) -> None:
    """To standard error; where nobody listens there, the exit status has to do."""
    try:
        click.echo("\n".join(map(printable, lines)), err=True)
    except OSError:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115


def answer(
    lines: Sequence[str],
    document: Callable[[], dict[str, Any]],
    json_file: str | None,
    *,
    force: bool,
    before: Callable[[], None] | None = None,
    goes_on: Sequence[str] = (),
) -> None:
    """Say an answer, then write what else was asked for: `before`, and the document as JSON.

    The rest as in `tell`.
    """
    from optichill import api

    tell(lines, lambda: api.dumps(document()), json_file, force=force, before=before, goes_on=goes_on)


def tell(
    lines: Sequence[str],
    document: Callable[[], str],
    json_file: str | None,
    *,
    force: bool,
    before: Callable[[], None] | None = None,
    goes_on: Sequence[str] = (),
) -> None:
    """The same of a document that is text already.

    It is said before anything is written, so that a full disk does not lose it; and what was asked for is
    written also where nobody listens any more. goes_on : said once `before` is done, for what goes on from
    here may take a file that it was to write.
    """
    heard = False
    try:
        say(lines, json_file)
        heard = True
    finally:
        if before is not None:
            before()
        try:
            if heard and goes_on:
                say(goes_on, json_file)
        finally:
            if json_file:
                write_json(document(), json_file, force=force)


def write_json(text: str, target: str, *, force: bool = False) -> None:
    """To a file, whole or not at all, or to standard output.

    What was JSON of ours before is replaced; anything else, a price list above all, only with force.
    """
    from optichill.files.ownership import refuse_foreign_json
    from optichill.files.writing import write_whole

    context = click.get_current_context(silent=True)
    if context is not None:  # what is written, or could not be, is no place for faults any more
        context.meta.pop(FAULTS_GO_TO, None)
    if target == "-":
        click.echo(text, nl=False)
        return
    path = Path(os.path.realpath(target))
    if not force:
        refuse_foreign_json(path)
    write_whole(path, text)
    complain(f"wrote {target}")


FAULTS_GO_TO = "optichill.faults_go_to"
"""Of click's meta: the brewhouse as it was named, and where JSON goes, once no input can be hit by it."""


def write_faults(context: click.Context, error: OptichillError) -> None:
    """Of bad input, and of what could not be written, a document with its faults where the answer was to go:
    no script takes the answer of an earlier run for one; once, and not over the answer of this one. What
    others wrote stays, also with --force."""
    from optichill import api

    brewhouse, json_file = context.meta.pop(FAULTS_GO_TO, (None, None))
    if not json_file:
        return
    try:
        write_json(api.dumps(api.faulty(brewhouse, error)), json_file)
    except api.OptichillError as unwritten:
        complain(*unwritten.lines())


def read_with(
    brewhouse: str | None, coil: str, units: str | None, study: str | None = None
) -> tuple[Problem, Coil | Design]:
    """A brewhouse with the coil of a file, or with that of an id, which is searched for; study : whose coils
    are looked at too."""
    from optichill import api
    from optichill.cli.progress import progress

    if not api.is_id(coil):
        if study is not None:
            raise click.UsageError("--study goes with the id of a coil: a file says all of its coil")
        problem = api.read(brewhouse, coil=coil, units=units)
        assert problem.coil is not None
        return problem, problem.coil
    problem = api.read(brewhouse, units=units)
    with progress("Searching") as tell:
        return problem, api.find(coil, problem, tell, study=study)


def read_all(brewhouses: Sequence[str | None], units: str | None) -> list[Problem]:
    """Several brewhouses, with the faults of all of them at once."""
    from optichill import api

    found, faults = [], []
    for brewhouse in brewhouses:
        try:
            found.append(api.read(brewhouse, units=units))
        except api.InputFaults as error:
            faults += error.faults
    if faults:
        raise api.InputFaults(faults)
    return found


def check_places(
    brewhouse: str | None,
    out: str,
    json_file: str | None,
    *,
    force: bool,
    save_coil: str | None = None,
    coil: str | None = None,
    besides: Sequence[str] = (),
) -> None:
    """Refuse at once, before any work, what could not be written in the end, or would destroy an input;
    besides : other brewhouses that are read."""
    from optichill.errors import CannotWrite
    from optichill.files.ownership import refuse_foreign_json, refuse_input, refuse_place
    from optichill.files.places import is_id, sources

    if save_coil == "-":
        raise click.UsageError(
            "--save-coil -: a coil goes into a file (allowed: its name; ./- for one called -)"
        )
    refuse_place(Path(out))
    read = [file for house in (brewhouse, *besides) for file in sources(house)]
    read += [Path(coil)] if coil and not is_id(coil) else []
    for target in (save_coil, None if json_file == "-" else json_file):
        if target is not None:
            refuse_place(Path(target))
            refuse_input(Path(target), read)
    if save_coil is not None:
        check_apart(json_file, Path(save_coil))
    if json_file not in (None, "-") and not force:
        refuse_foreign_json(Path(str(json_file)))
    if save_coil is not None and os.path.lexists(save_coil) and not force:
        raise CannotWrite(f"{save_coil}: exists: left as it is; give another name, or --force to replace it")
    context = click.get_current_context(silent=True)
    if context is not None:
        context.meta[FAULTS_GO_TO] = brewhouse, json_file


def check_apart(json_file: str | None, *others: Path) -> None:
    """Refuse JSON in a file that the same command writes something else into."""
    from optichill.files.ownership import is_one_file

    for other in others:
        if json_file not in (None, "-") and is_one_file(Path(str(json_file)), other):
            raise click.ClickException(
                f"--json {json_file}: this command writes {other.name} there: give another name"
            )


def check_report(json_file: str | None, folder: Path, sheet: str | None = None) -> None:
    """The same of a report folder: of the page to compare on and its tables, or of the sheet of this name;
    and refuse one that cannot be made, for a file stands there."""
    from optichill.files.ownership import INDEX, refuse_file

    for place in (folder.parent, folder):
        refuse_file(place)

    if sheet is None:
        from optichill.report.tradeoff.write import NAMES as names
    else:
        from optichill.report.sheet.write import NAMES as named

        names = tuple(name.format(sheet) for name in named)
    check_apart(json_file, *(folder / name for name in (INDEX, *names)))
