"""A bar with the time left, for what takes longer than a person likes to wait in the dark."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Timer
from time import monotonic

PATIENCE = 2.0
"""Seconds before it shows."""

LONG = 10.0
"""Seconds in all from which on it is said, without a terminal too, how long it will take."""

KNOWN = 8
"""It is known well enough from one part in so many on: a search of a long list begins slowly."""


@dataclass
class _SaidOnce:
    """Says once, after PATIENCE, how long a search will take where that is long."""

    what: str
    began: float = field(default_factory=lambda: monotonic())
    done: int = 0
    said: bool = False

    def __call__(self, done: int, of: int) -> None:
        now = monotonic()
        if done < self.done:  # another search begins
            self.began = now
        self.done = done
        if self.said or now - self.began < PATIENCE or not of <= KNOWN * done < KNOWN * of:
            return
        in_all = (now - self.began) * of / done
        self.said = True
        if in_all > LONG:
            print(f"{self.what} all combinations takes about {in_all:.0f} s", file=sys.stderr)


@contextmanager
def progress(what: str, *, counts: bool = True) -> Iterator[Callable[[int, int], None] | None]:
    """Gives what is to be told how much is done, and of how much. Where standard error is no terminal, one
    line there tells of what takes long.

    counts : whether it will be told; else the bar has the time that went by in place of what is left, which
    nobody knows.

    The bar stands on standard error from PATIENCE on, and is gone when the work is done.
    """
    if not sys.stderr.isatty():
        yield _SaidOnce(what) if counts else None
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
