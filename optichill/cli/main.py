"""The command `optichill`: finds a command's module when called, and turns errors into exit statuses."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

import click

from optichill.errors import CannotWrite, OptichillError
from optichill.version import __version__

INTERRUPTED = 130
USAGE = 2

# name: (module with a click command called `command`, what --help says). Nothing is imported before use.
COMMANDS: dict[str, tuple[str, str]] = {
    "init": ("optichill.cli.init_command", "Write a brewhouse file and stock lists to start from."),
    "check": ("optichill.cli.check_command", "Read everything, say what was understood and every fault."),
    "recommend": ("optichill.cli.recommend_command", "Which coil to build, before buying anything."),
    "pareto": ("optichill.cli.pareto_command", "The page to compare on: time, cost, water, work."),
    "sheet": ("optichill.cli.sheet_command", "From a coil to the bench: marks, order of work, template."),
    "predict": ("optichill.cli.predict_command", "How one given coil cools: time, water, flow."),
}


class LazyGroup(click.Group):
    """A group that knows its commands by name and imports one only when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name, from its module."""
        if cmd_name not in COMMANDS:
            return None
        found = importlib.import_module(COMMANDS[cmd_name][0]).command
        if not isinstance(found, click.Command):
            raise TypeError(f"{COMMANDS[cmd_name][0]}.command is not a command")
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands in --help, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="optichill")
def group() -> None:
    """Immersion wort chillers that can really be built, from your kettle, tap and stock list."""


def run(arguments: Sequence[str] | None = None) -> int:
    """Run a command line and return its exit status.

    0 done; 2 usage; 3 nothing fits or target unreachable; 4 bad or missing input; 5 could not write;
    130 interrupted.
    """
    if sys.stdout is None:  # closed before we began: nothing could be said
        return CannotWrite.exit_code
    try:
        outcome = group.main(
            args=list(arguments) if arguments is not None else None,
            prog_name="optichill",
            standalone_mode=False,
        )
        sys.stdout.flush()
    except click.ClickException as error:
        error.show(file=sys.stderr)
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted", err=True)
        return INTERRUPTED
    except OptichillError as error:
        click.echo(str(error), err=True)
        return error.exit_code
    except BrokenPipeError:  # the reader of a pipe has seen enough
        _silence()
        return 0
    except OSError as error:  # a full disk behind standard output; files have their own message
        _silence()
        click.echo(f"could not write: {error.strerror or error}", err=True)
        return CannotWrite.exit_code
    return outcome if isinstance(outcome, int) else 0


def _silence() -> None:
    """Keep the interpreter from flushing a dead standard output once more at exit."""
    sys.stdout = open(os.devnull, "w")  # noqa: SIM115


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Entry point of the installed command."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without a degree sign still gets its answer
    sys.exit(run(arguments))


if __name__ == "__main__":
    main()
