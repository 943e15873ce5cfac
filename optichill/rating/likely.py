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
from optichill.problem.basis import DesignBasis
from optichill.problem.draws import Draws, TapClass
from optichill.problem.limits import LIMITS
from optichill.rating.prediction import Likely, Span, known
from optichill.rating.vessels import borne
from optichill.thermal.coil_performance import SEARCH, Coils
from optichill.thermal.cooldown import LONGEST, chill
from optichill.thermal.deviates import DRAWS
from optichill.thermal.sources import GIVEN_OUT

BLOCK, OF_NODES = 8192, 4096
"""Coils times draws that are chilled at once, step by step and in closed nodes: so many of these stay in a
processor's own memory."""

AT_ONCE = 64
"""Coils whose draws are told at once, each with all shares of what it has of its own: memory stays flat."""

TENTHS = (0.1, 0.5, 0.9)
HAIR = 1e-9  # of a draw, by which rounding must not reach the next


@dataclass(frozen=True)
class Samples:
    """Coils in all draws: time [s], water down the drain and in vessels [m3], ice [kg]; arrays of shape
    (draws, designs). ice is what melts, iced what is put in. As shares of their bounds: bucket_load (water
    that it hands on), pump_load and gone (ice melted), in the stage that comes nearest, 0 without one.
    Where a draw does not come to the target time is inf; drained, ice and shares NaN: what a chill takes
    that is broken off says nothing. own : as in `Draws`."""

    time: Array
    drained: Array
    filled: Array
    ice: Array
    iced: Array
    bucket_load: Array
    pump_load: Array
    gone: Array
    own: Array

    LOADS: ClassVar = ("bucket_load", "pump_load", "gone")
    COLUMNS: ClassVar = ("time", "drained", "filled", "ice", "iced", *LOADS)
    OF_ARRIVING: ClassVar = ("drained", "ice", *LOADS)

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
        return replace(
            found,
            time=found.time * time,
            drained=found.drained * drained,
            bucket_load=found.bucket_load * drained,
            ice=found.ice * ice,
            gone=found.gone * ice,
        )

    def as_built(self) -> Samples:
        """With what kettle and coil have of their own, each draw for every share of its spread."""
        by = np.repeat(self.own, len(self.time))[:, None]
        columns = {n: np.tile(getattr(self, n), (self.own.size, 1)) for n in self.COLUMNS}
        time = columns["time"] * by
        arrives = time <= LONGEST
        columns |= {"drained": columns["drained"] * by, "bucket_load": columns["bucket_load"] * by}
        told = {n: np.where(arrives, columns[n], np.nan) for n in self.OF_ARRIVING}
        columns |= {"time": np.where(arrives, time, np.inf), **told}
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

    def held(self, water: float | None) -> dict[str, Array]:
        """Chance of each limit that draws move but the time's, over those that come to the target: water at
        most so much [m3], a bucket that holds what is drawn, a pump that stands its bath, ice that lasts; NaN
        where none comes, shape (designs,). Only limits that there are."""
        loads = {name: getattr(self, name) for name in self.LOADS}
        loads |= {"used": self.water / (water or np.inf), "gone": self.gone / GIVEN_OUT}
        shares = {name: loads[limit.drawn] for name, limit in LIMITS.items() if limit.drawn}
        told = np.isfinite(self.drained)
        of = np.maximum(told.sum(axis=0), 1)
        return {
            name: np.where(told.any(axis=0), (told & (share <= 1.0 + HAIR)).sum(axis=0) / of, np.nan)
            for name, share in shares.items()
            if np.nanmax(share, initial=0.0) > 0.0
        }

    def likely(self, within: float | None, water: float | None = None) -> list[Likely]:
        """Each coil as it is built, with its chances to be done within a time [s], with at most so much water
        [m3], and that its vessels bear it."""
        found = []
        for start in range(0, self.time.shape[1], AT_ONCE):
            built = self.take(np.arange(start, min(start + AT_ONCE, self.time.shape[1]))).as_built()
            time, all_water, ice = (built.quantile(name, TENTHS).T for name in ("time", "water", "ice"))
            chances, held = built.in_time(within), built.held(water)
            found += [
                Likely(
                    _span(time[i]),
                    _span(all_water[i]),
                    _span(ice[i]),
                    None if within is None else float(chances[i]),
                    {name: chance for name in held if (chance := known(held[name][i])) is not None},
                )
                for i in range(chances.size)
            ]
        return found


MOSTLY, HARDLY_LESS = 0.5, 0.05
"""Chance that ice, bucket or pump bear a batch, from which on they mostly do; and by how much less often than
now nobody notices (OWN)."""


def wears_out(was: Likely, then: Likely, sure: float) -> tuple[str, ...]:
    """Names of what would fail in most batches, which bear more now: bucket, pump, or ice.

    Ice that is gone early still cools, as a bath that warms, and the times of all draws count that. So it
    fails by nothing but what it does to the time: not where the chill keeps its limit as often as it is asked
    to, and comes to its end as surely as now; nor where even the slow batches take no longer than now. sure :
    chance with which the limit on time is to be kept, where there is one.
    """
    failing = [
        name
        for name, chance in then.held.items()
        if LIMITS[name].lasts and chance < min(MOSTLY, was.held.get(name, 1.0) - HARDLY_LESS)
    ]
    in_time = _still_in_time(was, then, sure)
    return tuple(name for name in failing if not (LIMITS[name].gone and in_time))


def _still_in_time(was: Likely, then: Likely, sure: float) -> bool:
    """Whether the chill keeps its time as it should, or is as quick as now where that goes slowly."""
    slow, slow_now = (np.inf if x.time.p90 is None else x.time.p90 for x in (then, was))
    if slow <= slow_now:
        return True
    kept, kept_now = (x.in_time is not None and x.in_time >= sure - HAIR for x in (then, was))
    return kept and (np.isfinite(slow) or not kept_now)


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
    block = BLOCK if draws.classes[0].scenario.in_steps else OF_NODES
    most = max(1, block // (DRAWS // len(draws.classes)))
    for part in draws.classes:
        for start in range(0, n, most):
            _chill(out, draws.basis, part, coils, np.arange(start, min(start + most, n)))
    return out


def _chill(out: Samples, basis: DesignBasis, part: TapClass, coils: Coils, some: Index) -> None:
    """Fill in some coils in the draws of one class."""
    many, scenario = part.of_coils(coils, some, basis.chilled_volume)
    found = chill(many, scenario, SEARCH)
    in_reach = np.isfinite(found.time)
    drained = np.where(in_reach, np.maximum(found.water - found.filled, 0.0), np.nan)
    ice = np.where(in_reach, found.ice, np.nan)
    place = np.ix_(part.draws, some)
    share = {name: value / bound for name, (value, bound) in borne(basis, found).items()}
    limits = {limit.drawn: name for name, limit in LIMITS.items()}
    bears = [np.where(in_reach, share.get(limits[load], 0.0), np.nan) for load in Samples.LOADS]
    columns = (found.time, drained, found.filled, ice, found.iced, *bears)
    for name, values in zip(Samples.COLUMNS, columns, strict=True):
        getattr(out, name)[place] = values.reshape(some.size, -1).T
