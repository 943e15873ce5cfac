"""What measured batches have taught about one cellar: it stands beside the brewhouse file, and every command
uses it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from optichill.arrays import Array
from optichill.model.coil import Coil
from optichill.thermal.beliefs import Beliefs
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS

TANK = "tank"
"""What the kettle has of its own, beside COLUMNS and the coils."""

SAME_KETTLE = 0.02
"""By so much may a kettle's size differ and still be taken for the one that was measured (OWN)."""

LEARNT = 0.8
"""Of its prior standard deviation: what is known better counts as learnt."""


def is_learnt(sd: float) -> bool:
    """Whether a deviate with this standard deviation is known better than before by a fifth."""
    return sd < LEARNT


SAME_SIZE, SAME_TURNS = 0.02, 0.05
"""By so much may a coil's diameters (a share) and turns differ and still be taken for the one that was
measured: a tape errs, and a coil that is pulled open stays the coil it was (OWN)."""


@dataclass(frozen=True)
class MeasuredCoil:
    """A coil that batches were brewed with, by what a person does not change; SI."""

    name: str
    material: str
    outer_diameter: float
    bore: float
    mean_diameter: float
    turns: float

    @classmethod
    def of(cls, coil: Coil, name: str) -> MeasuredCoil:
        """As its file has it."""
        turns = sum(layer.turns for layer in coil.layers)
        return cls(name, coil.material, coil.outer_diameter, coil.bore, coil.mean_diameter, turns)

    def is_one_with(self, other: MeasuredCoil) -> bool:
        """Whether it is surely the same piece of work."""
        sizes = ("outer_diameter", "bore", "mean_diameter")
        alike = all(abs(getattr(self, s) / getattr(other, s) - 1.0) <= SAME_SIZE for s in sizes)
        return self.material == other.material and alike and abs(self.turns - other.turns) <= SAME_TURNS


@dataclass(frozen=True)
class Batch:
    """One measured batch: the log's name, that of its coil, readings taken, by how much the fit misses them
    (root mean square) [K], and what of it is doubted, kinds of owned.calibrate.fit.DOUBTS."""

    log: str
    coil: str
    readings: int
    misses: float
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Calibration:
    """A joint normal law of deviates, for a batch on another day.

    mean, cov : of standard normal deviates, of COLUMNS, of TANK and of what each measured coil has of its
    own, in this order; shapes (n,) and (n, n). priors : of each column, the prior under which it was learnt:
    under another it says nothing. kettle : inside diameter and height [m]. brewhouse : name of that which was
    measured, "" where it is not known.
    """

    coils: tuple[MeasuredCoil, ...]
    mean: Array
    cov: Array
    priors: Mapping[str, str]
    kettle: tuple[float, float]
    batches: tuple[Batch, ...]
    brewhouse: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """What each row of mean and cov stands for."""
        return (*COLUMNS, TANK, *(coil.name for coil in self.coils))

    def measured(self, coil: Coil) -> str | None:
        """The name of a measured coil that this one is, None for another."""
        asked = MeasuredCoil.of(coil, "")
        return next((one.name for one in self.coils if one.is_one_with(asked)), None)

    def same_kettle(self, diameter: float, height: float) -> bool:
        """Whether a kettle of this inside [m] is the one that was measured."""
        both = zip(self.kettle, (diameter, height), strict=True)
        return all(abs(now / then - 1.0) <= SAME_KETTLE for then, now in both)

    def beliefs(self, priors: Mapping[str, str], *, same_kettle: bool, coil: str | None) -> Beliefs:
        """For a case with these priors of its columns, in the kettle that was measured or another, with a
        coil that was measured (its name), or another (None)."""
        n = len(COLUMNS)
        of_coil = None if coil is None else self.names.index(coil)
        # Rows of the case: the columns, the kettle, the coil; -1 where nothing was learnt.
        taught = [i if self.priors.get(c) == priors[c] else -1 for i, c in enumerate(COLUMNS)]
        taught += [self.names.index(TANK) if same_kettle else -1, -1 if of_coil is None else of_coil]
        known = np.array([i >= 0 for i in taught])
        mean, cov = np.zeros(n + 2), np.eye(n + 2)
        some = np.array(taught)[known]
        mean[known] = self.mean[some]
        cov[np.ix_(known, known)] = self.cov[np.ix_(some, some)]
        # The logarithm of what kettle and coil multiply all times with.
        both = np.zeros((n + 1, n + 2))
        both[:n, :n] = np.eye(n)
        both[n, n:] = PRIORS[TANK].sd, PRIORS["own"].sd
        return Beliefs.of(both @ mean, both @ cov @ both.T)

    def learnt(self) -> tuple[str, ...]:
        """Names of what is known better than before by a fifth, of COLUMNS and TANK."""
        told = (*COLUMNS, TANK)
        return tuple(name for i, name in enumerate(told) if is_learnt(math.sqrt(self.cov[i, i])))
