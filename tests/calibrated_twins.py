"""Twins that are measured with one coil and asked about it and another: the logs that a person would write,
and what came true."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import twin_kettles as tk
from kits import BREWHOUSE, write_kit
from own_coil import SIZES
from twin_kettles import Array

from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.fit import MeasuredBatch
from optichill.owned.calibrate.fitting import calibration_of, fitted
from optichill.owned.calibrate.forward import with_volume
from optichill.owned.calibrate.question import Question
from optichill.problem.basis import DesignBasis, basis_of, design_basis
from optichill.problem.draws import Draws
from optichill.rating.coil_rating import in_kettle
from optichill.rating.likely import samples
from optichill.thermal.priors import PRIORS

MINE = Coil(**SIZES)
OTHER = Coil(**SIZES | {"outer_diameter": 0.0127, "mean_diameter": 0.27, "pitch": 0.020, "turns": 8.0})
SHARES = (0.05, 0.5, 0.95)
SEED = 20261129
"""Set before the first run, and never changed to please a test."""

PLAIN = ("still", "moving", "inner", "friction", "fouling", "exchange", "loss", "open_flow")
SIX = np.array([0.0, 0.1, 0.25, 0.45, 0.7, 1.0])
"""Of the time until the wort is cold: when somebody looks at the thermometer."""


def brewhouse(mixing: str) -> str:
    """The kit's, stirred so."""
    return BREWHOUSE.replace("[tap]", f'mixing = "{mixing}"\n\n[tap]')


def drawn(name: str, z: Array) -> Array:
    """Of a prior, two half bells, by its three numbers alone."""
    p = PRIORS[name]
    steps = np.abs(z) / 1.2815515655446004
    ends = np.where(z < 0.0, p.p10, p.p90)
    if p.log:
        return np.asarray(p.median * (ends / p.median) ** steps)
    return np.asarray(p.median + (ends - p.median) * steps)


@dataclass
class Twins:
    """n kettles of one brewhouse with all that is theirs. own : what kettle, coil and day have of their own
    is drawn too; by_eye : so is how full the kettle was."""

    folder: Path
    mixing: str
    n: int
    own: bool = True
    by_eye: bool = True
    basis: DesignBasis = field(init=False)

    def __post_init__(self) -> None:
        self.basis = design_basis(load(write_kit(self.folder, brewhouse=brewhouse(self.mixing))))
        self.rng = np.random.default_rng([SEED, ("left alone", "now and then", "steady").index(self.mixing)])
        z = {
            name: self.rng.standard_normal(self.n)
            for name in (*PLAIN, "phi", "speed", "share", "tap", "tank")
        }
        self.lasting = {name: drawn(name, z[name]) for name in PLAIN}
        self.lasting |= {p: drawn(p, z["phi"]) for p in ("phi_still", "phi_moving")}
        self.lasting["tap"] = drawn("tap", z["tap"])
        self.lasting["pressure"] = drawn("assumed pressure", self.rng.standard_normal(self.n))
        self.tank = np.exp(0.08 * z["tank"]) if self.own else np.ones(self.n)
        self.usual, self.share = z["speed"], drawn("now and then", z["share"])

    def own_of_coil(self) -> Array:
        return np.exp(0.06 * self.rng.standard_normal(self.n)) if self.own else np.ones(self.n)

    def brewed(self, coil: Coil, own: Array, mass: Array, *, breaks: bool) -> tuple[Array, Array, Array]:
        """One batch of each kettle: times [s], wort round the coil and mass mean [K]."""
        rng, n = self.rng, self.n
        today = 0.25 / PRIORS["steady"].sd if self.own else 0.0
        z = np.sqrt(1.0 - today**2) * self.usual + today * rng.standard_normal(n)
        still = self.mixing == "left alone"
        share = self.share if self.mixing == "now and then" else 1.0
        speed = np.zeros(n) if still else drawn("steady", z)
        stirring = tk.wandering(rng, n, speed, share, breaks=breaks and not still)
        truth = self.lasting | {
            "mass": mass,
            "own": self.tank * own,
            "still_all_along": np.full(n, float(still)),
        }
        tube = self.tube(coil, mass)
        return tk.cool(tube, self.cellar(), truth, stirring)

    def cellar(self) -> tk.Cellar:
        s, tap = self.basis.scenario, self.basis.brewhouse.tap
        assert tap is not None and tap.open_flow is not None
        return tk.Cellar(
            s.mass, s.plato, s.T_start, s.T_ambient, s.kettle_diameter, s.kettle_capacity, s.T_in,
            tap.pressure, tap.open_flow, tap.hose_bore,
        )  # fmt: skip

    def tube(self, coil: Coil, mass: Array) -> tk.Tube:
        """As it stands, in as much wort as there really is: geometry alone is the program's."""
        fills = np.linspace(0.7, 1.4, 8)
        levels = [
            in_kettle(
                basis_of(with_volume(self.basis.brewhouse, f * self.basis.hot_volume), self.basis.stock), coil
            )[2]
            for f in fills
        ]
        one = in_kettle(self.basis, coil)[2]
        wet, stranded = (
            np.interp(mass, fills, [float(getattr(c, name)[0]) for c in levels])
            for name in ("wetted_length", "stranded")
        )
        sizes = (float(getattr(one, name)[0]) for name in ("d_o", "d_i", "k", "D_c", "pitch"))
        return tk.Tube(*sizes, wet, float(one.tube_length[0]), float(one.metal_capacity[0]), stranded)

    def logs(self, time: Array, T: Array, mean: Array, way: str) -> list[CooldownLog]:
        """What was written down, until the wort was cold: a thermometer that is off by half a degree, in two
        equal parts, once and for all and from reading to reading."""
        ends = np.minimum(tk.time_to(time, mean, self.basis.scenario.T_target), time[-1])
        off = self.rng.normal(0.0, 0.35, self.n)
        write = six_points if way == "six" else every_ten_seconds
        return [write(self.rng, time, T[i] + off[i], ends[i], self.by_eye) for i in range(self.n)]


def six_points(rng: np.random.Generator, time: Array, T: Array, end: float, by_eye: bool) -> CooldownLog:
    """Minutes to the half, whole degrees; one in three misses a point."""
    at = SIX * end
    wort = np.round(np.interp(at, time, T) + rng.normal(0.0, 0.35, at.size))
    if rng.random() < 1.0 / 3.0:
        wort[rng.integers(1, 5)] = np.nan
    told = np.round(at / 30.0) * 30.0
    return CooldownLog("six", told, wort, clock=30.0, thermometer=1.0, volume_by="eye" if by_eye else "stick")


def every_ten_seconds(
    rng: np.random.Generator, time: Array, T: Array, end: float, by_eye: bool
) -> CooldownLog:
    """A logger that drops one reading in five, and once all of three minutes."""
    at = np.arange(0.0, end, 10.0)
    wort = np.round(np.interp(at, time, T) + rng.normal(0.0, 0.35, at.size), 1)
    gap = rng.uniform(120.0, max(end - 180.0, 121.0))
    wort[(rng.random(at.size) < 0.2) | ((at > gap) & (at < gap + 180.0))] = np.nan
    return CooldownLog("dense", at, wort, clock=1.0, thermometer=0.1, volume_by="eye" if by_eye else "stick")


def predicted(basis: DesignBasis, coil: Coil) -> Array:
    """Time [s] of a coil: 5th percentile, median, 95th."""
    asked = basis.of_measured(coil)
    one = in_kettle(asked, coil)[2]
    return samples(Draws.of(asked), one).as_built().quantile("time", SHARES)[:, 0]


@dataclass(frozen=True)
class Told:
    """true [s] and predicted, of another coil and of the same one again: shape (twins,) and (twins, 3)."""

    other: Array
    other_told: Array
    same: Array
    same_told: Array
    before: Array
    same_before: Array

    @staticmethod
    def errors(true: Array, told: Array) -> Array:
        return np.abs(np.broadcast_to(told, (true.size, 3))[:, 1] / true - 1.0)

    @staticmethod
    def covered(true: Array, told: Array) -> float:
        low, _, high = np.broadcast_to(told, (true.size, 3)).T
        return float(((true >= low) & (true <= high)).mean())


def measured_and_asked(twins: Twins, way: str, fuller: float | None = None) -> Told:
    """Each twin's log is fitted, and what it says is held against what comes true. fuller : so many times as
    much wort as was told, drawn where None."""
    rng, n = twins.rng, twins.n
    own = twins.own_of_coil()
    mass = np.exp((0.10 if twins.by_eye else 0.01) * rng.standard_normal(n))
    mass = mass if fuller is None else np.full(n, fuller)
    logs = twins.logs(*twins.brewed(MINE, own, mass, breaks=True), way)
    aim, again = twins.basis.scenario.T_target, np.exp(0.02 * rng.standard_normal(n))
    time, _, mean = twins.brewed(OTHER, twins.own_of_coil(), again, breaks=False)
    other = tk.time_to(time, mean, aim)
    time, _, mean = twins.brewed(MINE, own, again, breaks=False)
    same = tk.time_to(time, mean, aim)
    each = []
    for log in logs:
        question, found = fitted(Question.of(twins.basis, [MeasuredBatch(log, MINE, "mine")]))
        law = calibration_of(twins.basis, question, found)
        taught = replace(twins.basis, calibration=law)
        taught = basis_of(taught.brewhouse, taught.stock, law)
        each.append((predicted(taught, OTHER), predicted(taught, MINE)))
    before = predicted(twins.basis, OTHER), predicted(twins.basis, MINE)
    others, sames = (np.array(one) for one in zip(*each, strict=True))
    return Told(other, others, same, sames, *before)
