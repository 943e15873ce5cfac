"""A process that works beside others on one study: `python -m optichill.search.explore.study_worker`.

Its order comes through standard input, and so does the end: when the run that began it closes that, or is
gone, it finishes the population that it has in hand and stops. What it did goes to standard output.
"""

from __future__ import annotations

import json
import os
import pickle
import signal
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Event, Thread

from optichill.errors import OptichillError
from optichill.search.explore import study
from optichill.search.explore.knobs import Setting
from optichill.search.explore.storage import Address, quiet
from optichill.search.explore.study import Judge
from optichill.search.explore.study_run import Budget, Ran, run


@dataclass(frozen=True)
class Order:
    """What a process is to do: all that `run` is asked."""

    judge: Judge
    at: Address
    brewhouse: str
    starts: Sequence[Setting]
    budget: Budget
    seed: tuple[int, ...]


def obey(order: Order, ended: Event) -> Ran:
    """Run it, until its budget is used or somebody says that it ends."""
    with quiet():
        found = study.opened(order.at, order.judge, order.brewhouse)
        return run(order.judge, found, order.starts, order.budget, seed=order.seed, stop=ended.is_set)


def _until_closed(ended: Event) -> None:
    # Not through the buffer: a thread that waits in it keeps the program from ending.
    while os.read(0, 4096):
        pass
    ended.set()


def main() -> int:
    """Do what standard input says."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the run that began this one says when it ends
    order, ended = pickle.load(sys.stdin.buffer), Event()
    Thread(target=_until_closed, args=(ended,), daemon=True).start()
    try:
        ran = obey(order, ended)
    except OptichillError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    print(json.dumps(vars(ran)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
