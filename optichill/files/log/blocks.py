"""Readings as they come in, thinned to blocks of a few seconds: a day of them takes no more room than that.

A block is told by its medians, so that a slip of a dense log is gone; a log that is read now and then keeps
every reading as it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from optichill.arrays import Array

BLOCK = 5.0
"""Seconds of a block: a chill takes hundreds of them."""

STEPS = (60.0, 30.0, 20.0, 15.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.1)
"""What a time may be read to [s]; and a temperature, in its own degrees, from 1 down."""

LOOKED_AT = 2000
"""Readings from which it is told how finely clock and thermometer were read."""


@dataclass
class Blocks:
    """Rows of numbers by time. width : numbers of a row, besides its time [s]."""

    width: int
    times: list[float] = field(default_factory=list)
    rows: list[tuple[float, ...]] = field(default_factory=list)
    count: int = 0
    shared: int = 0  # blocks of several readings that have one time
    _key: float = math.nan
    _t: list[float] = field(default_factory=list)
    _of: list[tuple[float, ...]] = field(default_factory=list)

    def add(self, time: float, row: tuple[float, ...]) -> None:
        """One more reading; times never go back."""
        self.count += 1
        key = time // BLOCK
        if key != self._key:
            self.close()
            self._key = key
        self._t.append(time)
        self._of.append(row)

    def close(self) -> None:
        """The block that is being filled is whole."""
        if len(self._t) == 1:
            self.times.append(self._t[0])
            self.rows.append(self._of[0])
        elif self._t:
            self.shared += self._t[0] == self._t[-1]
            self.times.append(sum(self._t) / len(self._t))
            self.rows.append(tuple(_median(values) for values in zip(*self._of, strict=True)))
        self._t, self._of = [], []

    def arrays(self) -> tuple[Array, Array]:
        """Times and rows; shapes (blocks,) and (width, blocks)."""
        self.close()
        return np.array(self.times), np.array(self.rows).reshape(-1, self.width).T


def _median(values: Sequence[float]) -> float:
    """Of the numbers that are some; the middle one."""
    some = sorted(v for v in values if v == v)
    return some[len(some) // 2] if some else math.nan


def read_to(values: Sequence[float], coarsest: float, finest: float) -> float:
    """The coarsest step of which all values are multiples."""
    some = np.array(values[:LOOKED_AT])
    some = some[np.isfinite(some)]
    for step in STEPS:
        if finest < step <= coarsest and np.all(np.abs(some / step - np.round(some / step)) < 1e-6 / step):
            return step
    return finest
