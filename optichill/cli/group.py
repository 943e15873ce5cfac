"""The commands by name; a command's module is imported only when it is called."""

from __future__ import annotations

import importlib
from typing import Any

import click

from optichill.version import __version__

# name: (module with a click command called `command`, what --help says). Nothing is imported before use.
COMMANDS: dict[str, tuple[str, str]] = {
    "init": ("optichill.cli.init_command", "Write a brewhouse file and stock lists to start from."),
    "check": ("optichill.cli.check_command", "Read everything, say what was understood and every fault."),
    "recommend": ("optichill.cli.recommend_command", "Which coil to build, before buying anything."),
    "pareto": ("optichill.cli.pareto_command", "The page to compare on: time, cost, water, work."),
    "sheet": ("optichill.cli.sheet_command", "From a coil to the bench: marks, order of work, template."),
    "predict": ("optichill.cli.predict_command", "How one given coil cools: time, water, flow."),
    "improve": ("optichill.cli.improve_command", "Is a coil good enough, and what helps it most."),
    "calibrate": ("optichill.cli.calibrate_command", "What your measured batches say of your own kettle."),
    "explore": ("optichill.cli.explore_command", "Coils beyond the lists, tried as long as you like."),
    "new-kettle": ("optichill.cli.new_kettle_command", "A new kettle arrives: what becomes of the coil."),
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

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is called; nothing that takes one value is given two, of which one would be
        dropped without a word, and no text is empty."""
        from optichill.cli.given import look_at

        name, command, rest = super().resolve_command(ctx, args)
        if command is not None:
            look_at(command, click.Context(command, ctx, name), rest)
        return name, command, rest

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was called; what it finds wrong in its input, and what it could not write,
        goes where its JSON was to go."""
        from optichill.errors import OptichillError

        try:
            return super().invoke(ctx)
        except OptichillError as error:
            from optichill.cli.common import write_faults

            write_faults(ctx, error)
            raise

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands in --help, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="optichill")
def group() -> None:
    """Immersion wort chillers that can really be built, from your kettle, tap and stock list."""
