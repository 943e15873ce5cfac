"""What one coil is predicted to do, in numbers that every page shows alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from optichill.model.wishes import Limits
from optichill.problem.basis import DesignBasis
from optichill.problem.checks import Checks
from optichill.problem.limits import LIMITS
from optichill.rating.otherwise import Earlier, earlier_of
from optichill.thermal.coil_performance import Numerics
from optichill.thermal.cooldown import LONGEST, Chill, Ends, StageEnd
from optichill.thermal.march import March

FINE = Numerics(nodes=12, segments=4, sweeps=2, exact=True, steps=6.0, solve_flow=False)
"""For what is shown: within 0.06 % of a converged run, and as the march in time computes it."""


AGREES = 0.005
"""Share within which quadrature and march must agree: past it the march is told, and the answer says so."""


@dataclass(frozen=True)
class LimitLine:
    """One limit of one design, SI."""

    name: str
    value: float
    limit: float
    margin: float
    holds: bool

    def holding(self, value: float) -> LimitLine:
        """The same limit, not to be exceeded, for another value [SI]."""
        return replace(self, value=value, margin=self.limit - value, holds=value <= self.limit)


HAIR = 1e-9
"""By which rounding must break no limit on a build."""


def of_a_build(limits: Limits, cost: float, difficulty: float | None) -> tuple[LimitLine, ...]:
    """Budget [money] and difficulty [0-10], of those that the brewer limits and that are known."""
    values = (("budget", cost, limits.budget), ("difficulty", difficulty, limits.difficulty))
    return tuple(
        LimitLine(name, value, bound, bound - value, value <= bound + HAIR)
        for name, value, bound in values
        if value is not None and bound is not None
    )


@dataclass(frozen=True)
class StageLine:
    """One stage of the plan as one coil goes through it, SI; None where it is not known. number : from 1, as
    the brewhouse file has them. until : wort (mass mean) at its end, bath : its vessel's temperature then;
    ice melted, and missing to keep the bath cold to the end; passed : after how long a hold went below the
    target. One that is `idle` used nothing; one that is not `done` never came to its end."""

    number: int
    time: float
    until: float | None
    water: float
    bath: float | None
    ice: float
    missing: float
    passed: float | None = None
    done: bool = True

    @property
    def idle(self) -> bool:
        """Whether the wort was past its end when it began: there was nothing left to do."""
        return self.time == 0.0


@dataclass(frozen=True)
class MoreIce:
    """What is missing of a stage's ice, as it is told [kg], and the chill time with it [s], None where it
    does not lead to the target either. Ice that would not be worth it is not told."""

    stage: int
    ice: float
    time: float | None


@dataclass(frozen=True)
class ChangeOver:
    """When to change to the next stage, where the plan left that open [K], and what does as well."""

    at: float
    low: float
    high: float


@dataclass(frozen=True)
class Span:
    """10th, 50th and 90th percentile of what is likely, SI; None where it is out of reach."""

    p10: float | None
    p50: float | None
    p90: float | None


@dataclass(frozen=True)
class Likely:
    """What is likely of one coil, water and ice where it comes to the target; in_time : the chance to keep
    the limit on time, None without one; held : that to keep each other limit that draws move."""

    time: Span
    water: Span
    ice: Span
    in_time: float | None
    held: Mapping[str, float] = field(default_factory=dict)


class Told(NamedTuple):
    """Time [s], water [m3] and ice [kg] of a chill as every page tells them: what is most likely."""

    time: float | None
    water: float | None
    ice: float

    def beside(self, likely: Likely | None) -> Told:
        """Of one run, with what all draws say: their medians; the run itself where more than half of them do
        not get there."""
        if self.time is None or likely is None or likely.time.p50 is None:
            return self
        return Told(likely.time.p50, likely.water.p50, likely.ice.p50 or 0.0)


@dataclass(frozen=True)
class Prediction:
    """The chill of one design, SI; None where it is not known or out of reach.

    Time, water, ice and stages are those of one run with all that is uncertain at its median: curves are
    drawn from it, and designs compared by it; what is most likely is `told`. `marched_time` is that of the
    march in time; top : what a thermometer in the wort above the coil reads at the end, top_left_alone : if
    nothing stirs; winter : time and water on the colder season's tap; steady : stirred all along; dirt : what
    the next cleaner wort would save [s]; earlier : where to stop, if the last degrees take long; loose_ice :
    the chill time with all ice in small cubes, where it comes in larger lumps; more_ice : where some is
    missing.
    """

    chill_time: float | None
    left_alone: float | None
    steady: float | None
    water: float | None
    flow: float
    pressure_drop: float
    outlet_start: float
    U_start: float
    U_end: float
    limit_time: float | None
    limit_water: float | None
    ice: float = 0.0
    top: float | None = None
    top_left_alone: float | None = None
    stages: tuple[StageLine, ...] = ()
    switch: ChangeOver | None = None
    winter: tuple[float | None, float | None] | None = None
    marched_time: float | None = None
    quadrature_time: float | None = None
    checked: bool = False
    likely: Likely | None = None
    loose_ice: float | None = None
    more_ice: MoreIce | None = None
    dirt: float | None = None
    earlier: Earlier | None = None

    @property
    def told(self) -> Told:
        """The medians of all draws; the run itself where more than half of them do not get there, or where
        its own check shows the draws to be wrong."""
        run = Told(self.chill_time, self.water, self.ice)
        return run.beside(self.likely) if self.agrees else run

    def told_otherwise(self, time: float | None) -> float | None:
        """A time of one run with one thing changed [s] as it stands beside what is told of this one: so much
        more or less of it as the run is of its own; None of one that never ends."""
        mine, told = self.chill_time, self.told.time
        return time * told / mine if time is not None and mine and told is not None else time

    @property
    def told_alone(self) -> float | None:
        """The time in wort that is left alone, as it is told [s]."""
        return self.told_otherwise(self.left_alone)

    @property
    def told_steady(self) -> float | None:
        """The same in wort that is stirred all along [s]."""
        return self.told_otherwise(self.steady)

    def stopped_early(self, likely: Likely) -> Prediction:
        """With what all draws say of the chill stopped before its last degrees."""
        assert self.earlier is not None
        return replace(self, earlier=replace(self.earlier, likely=likely.time.p50))

    @property
    def difference(self) -> float | None:
        """By what share the march's time differs from the quadrature's; None where either has none."""
        if self.marched_time is None or self.quadrature_time is None:
            return None
        return self.marched_time / max(self.quadrature_time, 1e-9) - 1.0

    @property
    def agrees(self) -> bool:
        """Whether the two tell the same time, as far as both were worked out."""
        if not self.checked or self.marched_time is self.quadrature_time is None:
            return True
        return self.difference is not None and abs(self.difference) <= AGREES

    def beside(self, run: March, i: int) -> Prediction:
        """With the march of coil number i beside it; where the two do not agree, the march, which follows the
        chill as it goes, is what is told."""
        both = replace(self, marched_time=known(run.time[i]), quadrature_time=self.chill_time, checked=True)
        if both.agrees:
            return both
        lasts = {line.number: 0.0 for line in self.stages}
        for piece in run.pieces:
            lasts[piece.number] += float(piece.time[i])
        return replace(
            both,
            chill_time=both.marched_time,
            water=known(run.water[i]),
            ice=float(run.ice[i]),
            top=None if both.marched_time is None else float(run.T_top[i]),
            dirt=None,
            earlier=None,
            stages=tuple(
                replace(
                    line,
                    time=lasts[line.number],
                    done=both.marched_time is not None or line is not self.stages[-1],
                )
                for line in self.stages
            ),
        )

    def told_in(self, lines: tuple[LimitLine, ...]) -> tuple[LimitLine, ...]:
        """The limits held against what is told: whether the target is reached, time and water; of a chill
        that never ends only the target is broken."""
        if self.agrees:
            return lines
        if self.chill_time is None or self.water is None:
            kept = tuple(line for line in lines if not LIMITS[line.name].of_chill)
            return tuple(line.holding(np.inf) if line.name == "target" else line for line in kept)
        by = self.chill_time / max(self.quadrature_time or self.chill_time, 1e-9)
        # What does not get there often enough is no quicker by being told otherwise.
        told = {n.name: n.value * by for n in lines if n.name == "chill_time" and n.value <= LONGEST}
        told["water"] = self.water
        # What the march alone reaches breaks its target no more.
        told |= {line.name: line.limit for line in lines if line.name == "target"}
        return tuple(line.holding(told[line.name]) if line.name in told else line for line in lines)


def prediction(
    basis: DesignBasis,
    result: Chill,
    others: Mapping[str, Chill],
    ends: Ends,
    i: int,
) -> Prediction:
    """The chill of coil number i, from its result as it is and those with one thing changed
    (`otherwise.chills`)."""
    alone, steady = others["alone"], others["steady"]
    cleaner = known(others["cleaner"].time[i]) if "cleaner" in others else None
    time = known(result.time[i])
    stages = tuple(_stage_line(n, end, i) for n, end in enumerate(result.stages))
    if time is None:  # what a stage takes that never ends says nothing
        stages = (*stages[:-1], replace(stages[-1], done=False))
    return Prediction(
        chill_time=time,
        left_alone=known(alone.time[i]),
        steady=known(steady.time[i]),
        water=known(result.water[i]),
        flow=float(ends.flow_start[i]),
        pressure_drop=float(ends.pressure_drop[i]),
        outlet_start=float(ends.outlet_start[i]),
        U_start=float(ends.U_start[i]),
        U_end=float(ends.U_end[i]),
        limit_time=known(result.limit_time[i]),
        limit_water=known(result.limit_water[i]),
        ice=sum(line.ice for line in stages) if np.isfinite(result.time[i]) else 0.0,
        top=known(result.T_top[i]),
        top_left_alone=known(alone.T_top[i]),
        stages=stages,
        dirt=None if time is None or cleaner is None else time - cleaner,
        earlier=earlier_of(basis, others, result.time[i], i),
    )


def _stage_line(n: int, end: StageEnd, i: int) -> StageLine:
    time, until = float(end.time[i]), known(end.T[i])
    if time == 0.0:  # its vessel was not even filled
        return StageLine(n + 1, time, until, water=0.0, bath=None, ice=0.0, missing=0.0)
    return StageLine(
        number=n + 1,
        time=time,
        until=until,
        water=float(end.water[i]),
        bath=known(end.T_bath[i]),
        ice=float(end.melted[i]),
        missing=float(end.missing[i]),
        passed=known(end.passed[i]),
    )


def known(value: float | np.floating) -> float | None:
    """The number, or None where it is out of reach or unknown."""
    return float(value) if np.isfinite(value) else None


def limit_lines(checks: Checks) -> list[tuple[LimitLine, ...]]:
    """The limits of each design, in the order of LIMITS; those without any meaning for it, and rooms that
    nobody asks for, are left out."""
    columns = [
        (name, check.value, np.broadcast_to(check.bound, checks.shape), check.margin, ~check.broken)
        for name, check in ((name, checks.rows[name]) for name in checks.names)
    ]
    return [
        tuple(
            LimitLine(name, float(value[i]), float(bound[i]), float(margin[i]), bool(holds[i]))
            for name, value, bound, margin, holds in columns
            if not (np.isinf(value[i]) and holds[i]) and not _off(name, float(bound[i]))
        )
        for i in range(checks.shape[0])
    ]


def _off(name: str, bound: float) -> bool:
    """Whether a room may be less than nothing: then none is asked for."""
    return LIMITS[name].at_least and bound < 0.0
