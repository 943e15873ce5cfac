"""How long a search will take, before it begins, and what makes it shorter."""

from __future__ import annotations

from dataclasses import dataclass

from optichill.problem.basis import DesignBasis
from optichill.search.space import Sample, space

SECONDS_BESIDES = 2.0
"""Loading, and working out the shortlist finely."""

SECONDS_A_ROW = 8e-6
"""Of a coil's row, all valve settings, where the plan has a closed solution: 4 to 7 us measured on the
examples and on a list of 100 tubes and 30 forms, two cores (OWN)."""

SECONDS_A_ROW_IN_STEPS = 20e-6
"""The same where wort is left alone or a bath warms: 14 to 18 us measured (OWN)."""


@dataclass(frozen=True)
class Forecast:
    """combinations : of the lists; to_look_at : what is left of them when limits have ruled out what they
    can, or is taken of that as a sample; seconds : that this takes, about."""

    combinations: int
    to_look_at: int
    sample: Sample | None
    seconds: float


def forecast(basis: DesignBasis) -> Forecast:
    """Of a search through all that the lists allow."""
    every = space(basis)
    rate = SECONDS_A_ROW_IN_STEPS if basis.scenario.in_steps else SECONDS_A_ROW
    return Forecast(
        every.raw,
        every.looked_at * len(every.valve_shares),
        every.sample,
        SECONDS_BESIDES + rate * every.looked_at,
    )
