"""The command `optichill`: runs a command line, and turns whatever happens into an exit status.

Nothing is loaded before `main` has said what an interruption does, not even typing: loading takes most of a
short run.
"""

from __future__ import annotations

import os
import signal
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import FrameType
    from typing import NoReturn

    import click

CANNOT_WRITE = 5
USAGE = 2
FAULT_OF_OURS = 70
INTERRUPTED = 128 + signal.SIGINT


def run(arguments: Sequence[str] | None = None) -> int:
    """Run a command line and return its exit status.

    0 done; 2 usage; 3 nothing fits or target unreachable; 4 bad or missing input; 5 could not write;
    70 a fault of the program; 130 interrupted.
    """
    if sys.stdout is None:  # nothing could be said
        return CANNOT_WRITE
    # Nothing that others install may change how our files are read, and to look for it takes its time.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from optichill.cli.group import group

    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        outcome = group.main(args=given, prog_name="optichill", standalone_mode=False)
        sys.stdout.flush()
    except (Exception, KeyboardInterrupt, SystemExit) as error:
        return _status(error, given)
    return outcome if isinstance(outcome, int) else 0


def _status(error: BaseException, given: Sequence[str]) -> int:
    """Say what ended a command line, in as many words as it needs; its exit status."""
    import click

    from optichill.cli.common import complain
    from optichill.errors import OptichillError

    match error:
        case click.ClickException():
            complain(*_usage(error))
            return USAGE
        case click.Abort() | KeyboardInterrupt():
            complain("interrupted")
            return INTERRUPTED
        case OptichillError():
            complain(*error.lines())
            return error.exit_code
        case BrokenPipeError() | SystemExit():  # the reader of a pipe has seen enough; click makes it an exit
            _silence()
            return 0
        case OSError():  # a full disk behind standard output; files have their own message
            _silence()
            complain(f"could not write: {error.strerror or error}")
            return CANNOT_WRITE
    from optichill.cli.fault_report import reported

    complain(reported(error, given))
    return FAULT_OF_OURS


def _usage(error: click.ClickException) -> list[str]:
    """What click says of a wrong command line."""
    import io

    said = io.StringIO()
    error.show(file=said)
    return said.getvalue().rstrip("\n").split("\n")


def _silence() -> None:
    """Keep the interpreter from flushing a dead standard output once more at exit."""
    sys.stdout = open(os.devnull, "w")  # noqa: SIM115


def _open_what_is_closed() -> None:
    """Give each standard stream that was closed before we began an end of its own: the next file that is
    opened would get its number, and what is meant for a screen.

    Standard input is empty then, standard error is lost, and standard output cannot be written, as on a full
    disk: what goes into files is still done.
    """
    for number, (name, mode) in enumerate((("stdin", "r"), ("stdout", "w"), ("stderr", "w"))):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_WRONLY if name == "stderr" else os.O_RDONLY)
            setattr(sys, name, os.fdopen(number, mode, closefd=False))


def _end_at_once(number: int, frame: FrameType | None) -> NoReturn:
    """Interrupted or told to stop: nothing half written stays, one line at most is said.

    Not an exception, which loading a library, or a callback, would swallow or turn into another.
    """
    try:
        if "optichill.temporary" in sys.modules:
            sys.modules["optichill.temporary"].remove_all()
        os.write(2, b"interrupted\n")
    finally:
        os._exit(128 + number)


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Entry point of the installed command."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):  # the last is not everywhere
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _end_at_once)
    _open_what_is_closed()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without a degree sign still gets its answer
    sys.exit(run(arguments))


if __name__ == "__main__":
    main()
