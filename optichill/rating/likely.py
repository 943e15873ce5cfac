"""What is likely: time, water and ice of coils over all draws of what is not known.

The draws are the same for every coil, so that what they share cancels where coils are compared. What kettle
and coil have of their own widens spans and chances (`as_built`), and compares nothing: it only multiplies,
so that each draw stands for all of its spread.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.draws import Draws, TapClass
from optichill.rating.prediction import Likely, Span, known
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import LONGEST, chill
from optichill.thermal.deviates import DRAWS

BLOCK = 8192
"""Coils times draws that are chilled at once."""

AT_ONCE = 64
"""Coils whose draws are told at once, each with all shares of what it has of its own: memory stays flat."""

TENTHS = (0.1, 0.5, 0.9)
HAIR = 1e-9  # of a draw, by which rounding must not reach the next


@dataclass(frozen=True)
class Samples:
    """Coils in all draws: time [s], water down the drain and in vessels [m3], ice [kg]; arrays of shape
    (draws, designs). ice is what melts, iced what is put in. Where a draw does not come to the target time is
    inf, drained and ice NaN: what a chill takes that is broken off says nothing. own : as in `Draws`."""

    time: Array
    drained: Array
    filled: Array
    ice: Array
    iced: Array
    own: Array

    COLUMNS: ClassVar = ("time", "drained", "filled", "ice", "iced")

    @property
    def water(self) -> Array:
        """All water [m3]."""
        return self.drained + self.filled

    @classmethod
    def woven(cls, parts: list[Samples], places: list[Index]) -> Samples:
        """Samples of different coils as one, in the coils' own order."""
        order = np.argsort(np.concatenate(places))
        whole = {n: np.concatenate([getattr(p, n) for p in parts], axis=1)[:, order] for n in cls.COLUMNS}
        return cls(**whole, own=parts[0].own)

    def take(self, some: Index) -> Samples:
        """The chosen coils."""
        return replace(self, **{n: getattr(self, n)[:, some] for n in self.COLUMNS})

    def like(self, near: Index, time: Array, drained: Array, ice: Array) -> Samples:
        """Other coils, each like one of these, with so many times its time, water drained and ice."""
        found = self.take(near)
        return replace(found, time=found.time * time, drained=found.drained * drained, ice=found.ice * ice)

    def as_built(self) -> Samples:
        """With what kettle and coil have of their own, each draw for every share of its spread."""
        by = np.repeat(self.own, len(self.time))[:, None]
        columns = {n: np.tile(getattr(self, n), (self.own.size, 1)) for n in self.COLUMNS}
        time = columns["time"] * by
        arrives = time <= LONGEST
        columns |= {
            "time": np.where(arrives, time, np.inf),
            "drained": np.where(arrives, columns["drained"] * by, np.nan),
            "ice": np.where(arrives, columns["ice"], np.nan),
        }
        return Samples(**columns, own=np.ones(1))

    def quantile(self, name: str, share: float | tuple[float, ...]) -> Array:
        """Quantiles of time over all draws, or of water or ice over those that come to the target, NaN where
        none does; each that of a draw; shape (designs,) or (shares, designs)."""
        ordered = np.sort(getattr(self, name), axis=0)  # NaN last
        told = np.count_nonzero(~np.isnan(ordered), axis=0)
        place = np.ceil(np.multiply.outer(share, told) - HAIR).astype(np.intp) - 1
        return np.take_along_axis(ordered, np.atleast_2d(np.maximum(place, 0)), axis=0).reshape(place.shape)

    def in_time(self, within: float | None) -> Array:
        """Chance to be done within a time [s], of any end without one; shape (designs,)."""
        return np.asarray((self.time <= (LONGEST if within is None else within)).mean(axis=0))

    def likely(self, within: float | None) -> list[Likely]:
        """Each coil as it is built, with its chance to be done within a time [s]."""
        found = []
        for start in range(0, self.time.shape[1], AT_ONCE):
            built = self.take(np.arange(start, min(start + AT_ONCE, self.time.shape[1]))).as_built()
            time, water, ice = (built.quantile(name, TENTHS).T for name in ("time", "water", "ice"))
            chances = built.in_time(within)
            found += [
                Likely(_span(t), _span(w), _span(i), None if within is None else float(chance))
                for t, w, i, chance in zip(time, water, ice, chances, strict=True)
            ]
        return found


def _span(values: Array) -> Span:
    """A span of tenths."""
    p10, p50, p90 = (known(value) for value in values)
    return Span(p10, p50, p90)


def samples(draws: Draws, coils: Coils) -> Samples:
    """Coils in all draws.

    Parameters
    ----------
    draws : Draws
        Stages may end where each coil has them, arrays of shape (designs,).
    coils : Coils
        Shape (designs,), or (2, designs) of two tubes in parallel.

    Returns
    -------
    Samples
        Without what kettle and coil have of their own.
    """
    n = len(coils)
    out = Samples(**{name: np.empty((DRAWS, n)) for name in Samples.COLUMNS}, own=draws.own)
    most = max(1, BLOCK // (DRAWS // len(draws.classes)))
    for part in draws.classes:
        for start in range(0, n, most):
            _chill(out, part, coils, np.arange(start, min(start + most, n)))
    return out


def _chill(out: Samples, part: TapClass, coils: Coils, some: Index) -> None:
    """Fill in some coils in the draws of one class."""
    many, scenario = part.of_coils(coils, some)
    found = chill(many, scenario, SEARCH)
    in_reach = np.isfinite(found.time)
    drained = np.where(in_reach, np.maximum(found.water - found.filled, 0.0), np.nan)
    ice = np.where(in_reach, found.ice, np.nan)
    place = np.ix_(part.draws, some)
    columns = (found.time, drained, found.filled, ice, found.iced)
    for name, values in zip(Samples.COLUMNS, columns, strict=True):
        getattr(out, name)[place] = values.reshape(some.size, -1).T
