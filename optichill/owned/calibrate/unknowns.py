"""What a fit of measured batches looks for, each a standard normal deviate of its prior.

What lasts: the columns that draws have, and what the kettle and each coil have of their own. What a batch has
for itself: how much wort there really was, how it was stirred that day, when the clock was started. The
wort's speed is both: a person's usual way, and today's. Both together are spread as the prior is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optichill.arrays import Array
from optichill.model.calibration import TANK
from optichill.owned.calibrate.forward import Trial
from optichill.problem.uncertain import NOTHING, tap_prior
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS, Prior

OWN, MASS, DAY, START, INLET = "own", "mass", "day", "start", "inlet"
OF_A_BATCH = (MASS, DAY, START, INLET)

LASTING = tuple(column for column in COLUMNS if column != MASS)
"""Columns that batches teach: each has its own wort in the kettle."""

_MANY = {"phi": "phi_still"}
"""Columns that move several priors together: the one that is told."""


@dataclass(frozen=True)
class Unknown:
    """name : of COLUMNS, "tank", "own", or of OF_A_BATCH; prior : whose deviate it is; number : of the coil
    or the batch that it belongs to, None where it is the cellar's."""

    name: str
    prior: Prior
    number: int | None = None


def day_share(speed_prior: str) -> float:
    """How much of the deviate of a speed is today's [-]; the squares of it and of the rest make one.

    Examples
    --------
    Of a spread of 80 % in the logarithm 25 % are another day's:

    >>> round(day_share("steady"), 2)
    0.31
    """
    return min(PRIORS["day"].sd / PRIORS[speed_prior].sd, 1.0)


@dataclass(frozen=True)
class Unknowns:
    """All of them, in the order of a vector of deviates."""

    all: tuple[Unknown, ...]

    @classmethod
    def of(cls, trials: Sequence[Trial]) -> Unknowns:
        """Of some batches together."""
        found: dict[tuple[str, str, int | None], Unknown] = {}

        def add(name: str, prior: Prior, number: int | None = None) -> None:
            found.setdefault((name, prior.name, number), Unknown(name, prior, number))

        for trial in trials:
            for column in LASTING:
                if trial.priors[column] != NOTHING and not (column == "tap" and trial.inlet):
                    add(column, _prior(trial, column))
            add(TANK, PRIORS[TANK])
            add(OWN, PRIORS[OWN], trial.coil)
            add(MASS, trial.volume, trial.number)
            if trial.priors["speed"] != NOTHING:
                add(DAY, PRIORS["day"], trial.number)
            add(START, PRIORS["start"], trial.number)
            if trial.inlet:
                add(INLET, PRIORS["inlet"], trial.number)
        return cls(tuple(found.values()))

    def __len__(self) -> int:
        return len(self.all)

    @cached_property
    def places(self) -> Mapping[tuple[str, str, int | None], int]:
        """Where each stands, by name, prior and number."""
        return {(u.name, u.prior.name, u.number): i for i, u in enumerate(self.all)}

    def of_batch(self, trial: Trial, z: Array) -> dict[str, Array]:
        """The deviates of one batch by name, as `Trial.walked` takes them; z : shape (sets, unknowns)."""
        sets = len(z)
        at = {name: np.zeros(sets) for name in (*COLUMNS, TANK, OWN, *OF_A_BATCH)}
        for place, unknown in enumerate(self.all):
            if self.belongs(unknown, trial):
                at[unknown.name] = z[:, place]
        if trial.priors["speed"] != NOTHING:
            today = day_share(trial.priors["speed"])
            at["speed"] = np.sqrt(1.0 - today**2) * at["speed"] + today * at[DAY]
        return at

    @staticmethod
    def belongs(unknown: Unknown, trial: Trial) -> bool:
        """Whether an unknown acts in a batch."""
        if unknown.name == OWN:
            return unknown.number == trial.coil
        if unknown.name in OF_A_BATCH:
            return unknown.number == trial.number
        if unknown.name == TANK:
            return True
        return _prior(trial, unknown.name).name == unknown.prior.name


def _prior(trial: Trial, column: str) -> Prior:
    """Of a column in a batch."""
    if column == "tap":
        return tap_prior(trial.basis.brewhouse)
    return PRIORS[_MANY.get(column, trial.priors[column])] if trial.priors[column] != NOTHING else _NONE


_NONE = Prior(NOTHING, "", 1.0, 1.0, 1.0, "", "", "OWN")
