"""One measured batch by the model, for many sets of what is uncertain at once: the march in time, read where
and when the thermometer was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from optichill.arrays import Array
from optichill.model.brewhouse import Brewhouse
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.problem.draws import warmer_by
from optichill.problem.uncertain import factors_at, prior_names, tap_prior
from optichill.properties import water
from optichill.rating.coil_rating import in_kettle, switched
from optichill.thermal.batch import Mixing, Scenario
from optichill.thermal.coil_performance import Coils, Numerics
from optichill.thermal.filled import filled
from optichill.thermal.march import STATES, March, march
from optichill.thermal.performance_curve import drawn
from optichill.thermal.priors import PRIORS, Factors, Prior

QUICK = Numerics(segments=3, sweeps=1)
CLOSE = 3e-5
"""How finely a batch is marched: within a tenth of a kelvin of a converged run, and smooth in all that is
uncertain, as every set goes by the same steps."""

POINTS = 160
"""Of a curve between which it is read, denser where it is steep: within 0.01 K."""

LATEST = 4.0
"""Standard deviations that a clock may have been started too early."""

COLDER = 5.0
"""Below the coldest water [K]: where a plan's last stage is aimed at, so that it lasts as long as the log."""

RUNS = 0.5
"""Share of the fastest that water ever runs, above which it runs, and is not held."""

THINNEST = 0.01
"""Share of the wort that waits above a coil, below which none does: a film of it would follow at once."""


@dataclass(frozen=True)
class Trial:
    """One batch as it is worked out.

    number, coil : which batch and which of the coils it is; basis : its own, calibrated by nothing;
    scenario : its plan, with no end; coils : the one coil, in the volume as told; horizon : of the clock
    [s]; inlet : whether the tap was measured with it; volume : what is known of the wort's volume; stops :
    whether the clock stands during hop stands.
    """

    number: int
    coil: int
    basis: DesignBasis
    scenario: Scenario
    coils: Coils
    place: str
    horizon: float
    inlet: bool
    volume: Prior
    stops: bool = False
    by_tap: dict[str, Array] = field(default_factory=dict, init=False, repr=False, compare=False)
    """How all states move with the tap's temperature, once a walk has looked."""

    @classmethod
    def of(
        cls,
        number: int,
        coil: tuple[int, Coil],
        basis: DesignBasis,
        mixing: Mixing,
        *,
        horizon: float,
        place: str = "coil",
        inlet: bool = False,
        volume: Prior = PRIORS["eye"],
        stops: bool = False,
    ) -> Trial:
        """basis : of this very batch; mixing : how its wort moved."""
        one = in_kettle(basis, coil[1])[2]
        scenario = endless(replace(switched(basis, one)[0], mixing=mixing))
        return cls(
            number,
            coil[0],
            basis,
            scenario,
            one,
            place,
            horizon + LATEST * PRIORS["start"].sd,
            inlet,
            volume,
            stops,
        )

    @cached_property
    def priors(self) -> Mapping[str, str]:
        """Of each column the name of its prior in this batch."""
        return prior_names(self.basis.brewhouse, self.scenario.mixing)

    @property
    def stranded(self) -> float:
        """Share of the wort above the coil that waits, at the volume as told."""
        return float(self.coils.of_design("stranded")[0]) if self.scenario.mixing.still else 0.0

    @property
    def brim(self) -> float:
        """How many times as much wort as was told the kettle holds [-]."""
        return max(self.basis.brewhouse.kettle.capacity / self.basis.hot_volume, 1.0)

    def share_of_wort(self, mass: Array) -> Array:
        """How many times the wort that was told there is, no more than the kettle holds [-]."""
        return np.minimum(self.volume.at(mass), self.brim)

    def coils_at(self, share: Array) -> Coils:
        """The coil in so many times the wort that was told."""
        told = self.coils.take(np.zeros(share.size, dtype=np.int64))
        there = filled(told, share, self.basis.chilled_volume, self.scenario.kettle_area)
        return replace(there, stranded=np.where(there.stranded < THINNEST, 0.0, there.stranded))

    def walked(self, z: Mapping[str, Array]) -> Walk:
        """The batch with each of some sets of deviates; z : of COLUMNS, and of "tank", "own", "mass" and
        "inlet", each of shape (sets,)."""
        own = np.exp(PRIORS["tank"].sd * z["tank"] + PRIORS["own"].sd * z["own"])
        factors = factors_at(self.basis.brewhouse, self.scenario.mixing, z, own)
        share = self.share_of_wort(z["mass"])
        factors, coils = replace(factors, mass=share), self.coils_at(share)
        warmer = PRIORS["inlet"].at(z["inlet"]) if self.inlet else self._tap(z)
        apart = coils.of_design("stranded") if self.scenario.mixing.still else np.zeros(warmer.size)
        return Walk(*self._marched(coils, factors, warmer), apart, self.place)

    def _marched(self, coils: Coils, factors: Factors, warmer: Array) -> tuple[Array, Array]:
        """Clock [s] and states of all sets, each with its water so much `warmer` [K].

        All are marched with the first one's water. Where the tap is all of the plan, what is left between
        wort and water goes down alike at any water, and wort follows warmer water by what it has come down;
        else they follow as the first one did when it was first looked at. That is within 0.1 K for a tap off
        by 1 K, and spares a march for every tap.
        """
        base, by = float(warmer[0]), (warmer - warmer[0])[:, None]
        clock, states = self._at_one_tap(coils, factors, base)
        if not by.any():
            return clock, states
        if self.plain:
            T_0, T_in = self.scenario.T_start, self.scenario.T_in + base
            for zone in states[:2]:
                zone += by * (T_0 - zone) / (T_0 - T_in)
            return clock, states
        if "slope" not in self.by_tap:  # a march of its own for one set takes as long as that of all
            far, first = int(np.abs(by).argmax()), np.zeros(1, dtype=np.int64)
            _, other = self._at_one_tap(coils.take(first), factors.take(first), float(warmer[far]))
            self.by_tap["slope"] = (other[:, 0] - states[:, 0]) / by[far]
        return clock, states + self.by_tap["slope"][:, None, :] * by

    def taking(self, other: Trial) -> Trial:
        """The same, which takes its states to move with the tap as those of another batch do, at the
        same shares of the clock: near enough where nothing is fitted."""
        self.by_tap.update(other.by_tap)
        return self

    def _at_one_tap(self, coils: Coils, factors: Factors, by: float) -> tuple[Array, Array]:
        scenario = warmer_by(self.basis, self.scenario, by, factors)
        run = march(coils, scenario, QUICK, rtol=CLOSE, longest=self.horizon, ask=drawn)
        return _by_the_clock(run, self.horizon, len(coils), stops=self.stops)

    @property
    def plain(self) -> bool:
        """Whether the tap is all of the plan."""
        return len(self.scenario.stages) == 1 and self.scenario.sources[0].steady

    def _tap(self, z: Mapping[str, Array]) -> Array:
        return tap_prior(self.basis.brewhouse).at(z["tap"])


@dataclass(frozen=True)
class Walk:
    """A batch by the clock. clock [s], shape (points,); states : as in march.STATES, shape (states, sets,
    points)."""

    clock: Array
    states: Array
    stranded: Array
    place: str

    @cached_property
    def mean(self) -> Array:
        """Mass mean of the wort [K]; shape (sets, points)."""
        T_1, T_top = self.states[:2]
        return np.asarray((1.0 - self.stranded[:, None]) * T_1 + self.stranded[:, None] * T_top)

    @property
    def read(self) -> Array:
        """What the thermometer reads [K]; shape (sets, points)."""
        if self.place == "stirred":
            return self.mean
        return np.asarray(self.states[STATES.index("T_top" if self.place == "top" else "T_1")])

    def at(self, time: Array, start: Array) -> Array:
        """Readings [K] at times [s] of clocks that were started `start` [s] before the water, one of each
        set; shape (sets, times)."""
        # Every set has a clock of its own.
        rows = zip(self.read, start, strict=True)
        return np.array([np.interp(time - late, self.clock, row) for row, late in rows])

    def flow(self, until: float) -> Array:
        """Mean flow of the water that went through up to a time, while any ran [m3/s]; shape (sets,)."""
        times = np.append(self.clock[self.clock < until], until)
        used = [np.interp(times, self.clock, row) for row in self.states[STATES.index("water")]]
        through, lasts = np.diff(used, axis=1), np.diff(times)
        runs = through / lasts > RUNS * (through / lasts).max(axis=1, keepdims=True)
        return np.asarray((runs * through).sum(axis=1) / (runs * lasts).sum(axis=1))

    def time_to(self, T: float) -> Array:
        """When the mass mean is at T [K]; the last of the clock where it is not [s]; shape (sets,)."""
        return np.array([np.interp(-T, -row, self.clock) for row in self.mean])


def endless(scenario: Scenario) -> Scenario:
    """The same plan, its last stage for as long as anybody reads a thermometer. A vessel that is filled anew
    is changed at the temperatures of the plan, and so keeps its end."""
    last = max(i for i, stage in enumerate(scenario.stages) if stage.source is not None)
    stage = scenario.stages[last]
    if stage.source is not None and stage.source.fills > 1:
        return scenario
    coldest = min(source.coldest for source in scenario.sources)
    stages = list(scenario.stages)
    stages[last] = replace(stage, until=None)
    return replace(scenario, stages=tuple(stages), T_target=max(coldest - COLDER, water.T_MIN))


def with_volume(brewhouse: Brewhouse, volume: float) -> Brewhouse:
    """The same with so much hot wort [m3]."""
    wort = brewhouse.wort.model_copy(update={"volume": volume, "smallest_volume": volume})
    return brewhouse.model_copy(update={"wort": wort})


def _by_the_clock(run: March, horizon: float, sets: int, *, stops: bool) -> tuple[Array, Array]:
    """Times [s] and states of all pieces of a march in a row; shape (states, sets, points). stops : in holds
    the clock stands."""
    clock = horizon * np.linspace(0.0, 1.0, POINTS) ** 1.5
    out = np.empty((len(STATES), sets, POINTS))
    begins = np.zeros(sets)
    for piece in run.pieces:
        if stops and piece.source is None:
            continue
        lasts = np.minimum(piece.time, horizon)
        local = float(lasts.max()) * np.linspace(0.0, 1.0, POINTS) ** 1.5
        states = piece.at(local)
        # Each set comes to a stage at a time of its own.
        for i in np.flatnonzero(begins < horizon):
            span = clock >= begins[i]
            within = np.minimum(clock[span] - begins[i], lasts[i])
            out[:, i, span] = [np.interp(within, local, row) for row in states[:, i]]
        begins = begins + lasts
    return clock, out


def stretched(coils: Coils, by: float) -> Coils:
    """Of so many times as thick a tube, so many times as long, wound on the same diameter."""
    tube = ("d_o", "d_i", "pitch", "wetted_length", "tube_length")
    metal = {"metal_capacity": by**3 * coils.metal_capacity}
    return replace(coils, **{name: by * getattr(coils, name) for name in tube}, **metal)
