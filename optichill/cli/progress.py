"""A bar with the time left, for what takes longer than a person likes to wait in the dark."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Timer

PATIENCE = 2.0
"""Seconds before it shows."""


@contextmanager
def progress(what: str, *, counts: bool = True) -> Iterator[Callable[[int, int], None] | None]:
    """Gives what is to be told how much is done, and of how much; None where standard error is no terminal.

    counts : whether it will be told; else the bar has the time that went by in place of what is left, which
    nobody knows.

    The bar stands on standard error from PATIENCE on, and is gone when the work is done.
    """
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

    when, said = (TimeRemainingColumn(), "left") if counts else (TimeElapsedColumn(), "so far")
    columns = (TextColumn("{task.description}"), BarColumn(), when, TextColumn(said))
    bar = Progress(*columns, console=Console(file=sys.stderr), transient=True)
    task = bar.add_task(what, total=None)
    timer = Timer(PATIENCE, bar.start)
    timer.start()
    try:
        yield lambda done, of: bar.update(task, completed=done, total=of)
    finally:
        timer.cancel()
        timer.join()
        bar.stop()
