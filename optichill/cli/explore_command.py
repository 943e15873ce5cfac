"""`optichill explore`: coils beyond the lists, in a study that goes on where it was left."""

from __future__ import annotations

import math
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from optichill.cli.common import (
    NOTHING_FITS,
    answer,
    brewhouse_argument,
    check_apart,
    check_places,
    columns,
    complain,
    shared_options,
)
from optichill.cli.progress import progress


@dataclass
class Asked:
    """Whether somebody asked to stop; heard : by which signal. The first time, once the study is open, that
    is heard between two populations; before, and the second time, the program ends at once."""

    heard: int = 0
    open: bool = False

    def __call__(self) -> bool:
        self.open = True
        return self.heard > 0


@contextmanager
def stoppable() -> Iterator[Asked]:
    """While this lasts an interruption stops the study, not the program."""
    asked = Asked()
    usual: dict[int, Any] = {}

    def listen(number: int, frame: Any) -> None:
        end = usual[number]
        if asked.open and not asked.heard or not callable(end):
            asked.heard = number
            with suppress(OSError):  # not through a buffer, which may be in the middle of a line
                os.write(2, b"stopping: what was found is kept (once more ends at once)\n")
        else:
            end(number, frame)

    for one in (signal.SIGINT, signal.SIGTERM):
        if signal.getsignal(one) is not signal.SIG_IGN:
            usual[one] = signal.signal(one, listen)
    try:
        yield asked
    finally:
        for number, handler in usual.items():
            signal.signal(number, handler)


def _finite(context: click.Context, option: click.Parameter, minutes: float | None) -> float | None:
    """A time that ends."""
    if minutes is not None and not math.isfinite(minutes):
        raise click.BadParameter(f"{minutes}: not a time (allowed: more than 0)")
    return minutes


@click.command("explore")
@brewhouse_argument
@click.option(
    "--study",
    metavar="FILE-or-URL",
    help="Where all that was tried is kept: a file, or postgresql://HOST/DATABASE for several machines. "
    "Default: study.journal in the report folder.",
)
@click.option(
    "--minutes",
    type=click.FloatRange(0.0, min_open=True),
    callback=_finite,
    help="How long to try; 1 where nothing is said.",
)
@click.option("--trials", type=click.IntRange(1, 10_000_000), help="How many coils to try.")
@click.option(
    "--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes side by side."
)
@shared_options
def command(
    brewhouse: str | None,
    study: str | None,
    minutes: float | None,
    trials: int | None,
    workers: int,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Coils that the lists of BREWHOUSE do not hold: forms of any diameter that have still to be made, for
    each layer its own.

    Every coil that was tried is kept in the study: the same command goes on with it, also beside another
    that works on it. recommend and pareto take the study as --study. Ctrl-C stops it and keeps what was
    found.
    """
    from optichill import api

    check_places(brewhouse, out, json_file, force=force)
    problem = api.read(brewhouse, units=units)
    kept_in = _study(problem, study, out, json_file)
    with progress("Searching") as tell:
        before = api.recommend(problem, tell=tell)
    with stoppable() as stop, progress("Exploring") as tell:
        found = api.explore(
            problem,
            kept_in,
            minutes=minutes,
            trials=trials,
            workers=workers,
            seed=seed,
            before=before,
            tell=tell,
            stop=stop,
            wait=complain,
        )
    answer(found.lines(columns()), found.to_dict, json_file, force=force)
    if found.found.stopped:
        return 128 + (stop.heard or signal.SIGINT)
    return 0 if found.after.designs else NOTHING_FITS


def _study(problem: Any, study: str | None, out: str, json_file: str | None) -> str:
    """Where the study is; a file that could not be made, or is another's, is refused before any work."""
    from optichill import api
    from optichill.files.ownership import refuse_place

    kept_in = str(api.usual_study(problem, out)) if study is None else study
    path = api.study_file(problem, kept_in)
    if path is not None:
        if study is None:
            for folder in (path.parent.parent, path.parent):
                _refuse_file(folder)
        else:
            refuse_place(path)
        check_apart(json_file, path)
    return kept_in


def _refuse_file(folder: Path) -> None:
    from optichill.files.ownership import refuse_file

    refuse_file(folder)
