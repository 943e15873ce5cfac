"""How long a search will take, before it begins, and what makes it shorter.

What is short is reckoned by the row, for a quiet machine, and so told alike every time. Of a long list some
rows from all over it are searched, and their time is taken: of this machine, as busy as it is now.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from time import perf_counter, process_time

from optichill.problem.basis import DesignBasis
from optichill.search.enumeration import enumerate_space
from optichill.search.piece_by_piece import goes_piece_by_piece
from optichill.search.space import LeftOut, Sample, Space, space

SECONDS_BESIDES = 1.5
"""Loading, and working out the shortlist finely (OWN)."""

SECONDS_A_ROW = 4e-6
"""Of a coil's row, all valve settings, where the plan has a closed solution: 2 to 5 us measured on the
examples and on a list of 300 tubes and 100 forms, one core (OWN)."""

SECONDS_A_ROW_IN_STEPS = 15e-6
"""The same where wort is left alone or a bath warms: 12 to 18 us measured (OWN)."""

SECONDS_A_PAIR = 1e-7
"""Of two forms that are held against each other, for each tube of a list that goes piece by piece (OWN)."""

LONG = 1.5
"""Seconds of looking at rows, as reckoned, from which on the time is not reckoned but tried out: on rows from
all over the list that take about these two numbers of seconds. What the second takes more is the time of its
rows: the first ones of any search take longer, for nothing is known yet that beats them."""
TRIALS = (0.1, 0.4)


@dataclass(frozen=True)
class Forecast:
    """combinations : of the lists; to_look_at : what is left of them when limits have ruled out what they can
    and a cheaper roll has taken what it does, or is taken of that as a sample; left_out : by proof, and
    whether all these are about; seconds : that this takes, about; measured : on this machine, as busy as it
    is, else reckoned for a quiet one."""

    combinations: int
    to_look_at: int
    sample: Sample | None
    seconds: float
    left_out: LeftOut
    measured: bool


def forecast(basis: DesignBasis) -> Forecast:
    """Of a search through all that the lists allow."""
    began, own = perf_counter(), process_time()
    every = space(basis)
    # By how much longer than its own work the making of the space took.
    busy = max((perf_counter() - began) / max(process_time() - own, 1e-3), 1.0)
    whole, flows = goes_piece_by_piece(every), len(every.valve_shares)
    rows = every.could_hold // flows if whole else every.looked_at
    measured = _reckoned(every) * rows > LONG
    rate = _tried_out(every) if measured else _reckoned(every)
    found = every.windings
    pairs = len(found.ways) * len(found.forms) ** 2 if whole and every.two_layers else 0
    return Forecast(
        every.raw,
        rows * flows,
        None if whole else every.sample,
        rate * rows + (busy if measured else 1.0) * (SECONDS_BESIDES + SECONDS_A_PAIR * pairs),
        every.left_out,
        measured,
    )


def _reckoned(every: Space) -> float:
    """Seconds a row."""
    return SECONDS_A_ROW_IN_STEPS if every.basis.scenario.in_steps else SECONDS_A_ROW


def _tried_out(every: Space) -> float:
    """Seconds a row, measured on a few of them from all over the space."""
    looked_at, took = zip(*(_trial(every, seconds) for seconds in TRIALS), strict=True)
    at_most = took[1] / looked_at[1]
    rate = (took[1] - took[0]) / max(looked_at[1] - looked_at[0], 1)
    return float(min(max(rate, 0.3 * at_most), at_most))


def _trial(every: Space, seconds: float) -> tuple[int, float]:
    """Rows looked at of some that are reckoned to take so long, and the seconds they took."""
    few = replace(every, most=int(seconds / _reckoned(every)))
    began = perf_counter()
    enumerate_space(few)
    return max(few.looked_at, 1), perf_counter() - began
