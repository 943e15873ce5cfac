"""What a batch may really be like: draws of all that is uncertain about it, the same for every coil.

The tap's temperature shifts every source of a plan, so it is drawn in a few classes, each with a plan of its
own; everything else is drawn for each draw alone (`Factors`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from optichill.arrays import Array, Index
from optichill.problem.basis import DesignBasis, plan_stages
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.deviates import deviates
from optichill.thermal.priors import PRIORS, Factors, Prior

TAP_CLASSES = 8
"""Temperatures of the tap, each the mean of an equal share of its spread."""

COLUMNS = (
    "still", "phi", "moving", "inner", "friction", "fouling", "exchange", "loss", "speed", "share", "ice",
    "pressure", "open_flow", "mass", "tap",
)  # fmt: skip
"""What each dimension of the deviates stands for."""

EQUAL_SHARES = 8
"""Into which the spread of a factor that only multiplies is cut: each draw stands for all of them, and a
percentile is known better than by twice as many draws."""


@dataclass(frozen=True)
class TapClass:
    """Draws with one temperature of the water: the plan with the factors of these draws, and which."""

    scenario: Scenario
    draws: Index

    def of_coils(self, coils: Coils, some: Index) -> tuple[Coils, Scenario]:
        """The chosen coils and their scenario, each coil in all of these draws before the next."""
        each, m = np.repeat(some, self.draws.size), self.draws.size
        stages = tuple(
            replace(s, until=s.until[each]) if isinstance(s.until, np.ndarray) else s
            for s in self.scenario.stages
        )
        factors = self.scenario.factors.take(np.tile(np.arange(m), some.size))
        return coils.take(each), replace(self.scenario, stages=stages, factors=factors)


@dataclass(frozen=True)
class Draws:
    """All draws of one basis. own : multipliers on the time, as likely as each other, of the whole kettle and
    of one coil beside another of the same sizes; shape (EQUAL_SHARES,)."""

    basis: DesignBasis
    classes: tuple[TapClass, ...]
    own: Array

    @classmethod
    def of(cls, basis: DesignBasis, scenario: Scenario | None = None) -> Draws:
        """Of a basis, or of another scenario on it (a change-over, another way to stir)."""
        scenario = scenario or basis.scenario
        z = dict(zip(COLUMNS, deviates().T, strict=True))
        factors = _factors(basis, scenario, z)
        warmer = tap_prior(basis).at(z["tap"])
        classes = tuple(
            TapClass(_warmer(basis, scenario, float(warmer[some].mean()), factors.take(some)), some)
            for some in np.argsort(warmer, kind="stable").reshape(TAP_CLASSES, -1)
        )
        return cls(basis, classes, own_shares())


def tap_prior(basis: DesignBasis) -> Prior:
    """What is known of the tap's temperature, as it was measured or estimated."""
    tap = basis.brewhouse.tap
    return PRIORS["tap" if tap is None or tap.climate is None else "climate"]


def flow_prior(basis: DesignBasis) -> Prior:
    """What is known of the hose's open flow, timed or not."""
    tap = basis.brewhouse.tap
    return PRIORS["open_flow" if tap is None or tap.open_flow is not None else "assumed flow"]


def own_shares() -> Array:
    """What kettle and coil have of their own, in equal shares of both spreads together.

    Returns
    -------
    Array [-], shape (EQUAL_SHARES,)
        Multipliers on the time.

    Examples
    --------
    8 % and 6 % together are 10 %:

    >>> float(np.log(own_shares()).std().round(3))
    0.1
    """
    bell = NormalDist()
    z = np.array([bell.inv_cdf((i + 0.5) / EQUAL_SHARES) for i in range(EQUAL_SHARES)])
    sd = np.hypot(PRIORS["tank"].sd, PRIORS["own"].sd)
    return np.asarray(np.exp(sd * z / z.std()))


def _factors(basis: DesignBasis, scenario: Scenario, z: dict[str, Array]) -> Factors:
    """What each draw makes of films, dirt, stirring, kettle and supply; arrays of shape (draws,)."""
    tap = basis.brewhouse.tap
    gauge = tap is None or tap.static_pressure is not None
    films = ("still", "moving", "inner")
    return Factors(
        **{n: PRIORS[n].at(z[n]) for n in (*films, "friction", "exchange", "loss", "ice", "mass")},
        phi_still=PRIORS["phi_still"].at(z["phi"]),
        phi_moving=PRIORS["phi_moving"].at(z["phi"]),
        fouling=scenario.factors.fouling * PRIORS[basis.brewhouse.wort.dirt_prior].relative(z["fouling"]),
        speed=PRIORS[scenario.mixing.speed_prior].relative(z["speed"]),
        share=PRIORS[scenario.mixing.share_prior].relative(z["share"]),
        pressure=PRIORS["pressure" if gauge else "assumed pressure"].at(z["pressure"]),
        open_flow=flow_prior(basis).at(z["open_flow"]),
        pump=PRIORS["pump"].at(z["pressure"]),
    )


def _warmer(basis: DesignBasis, scenario: Scenario, by: float, factors: Factors) -> Scenario:
    """The scenario with all water that much warmer [K], its stages ending where they did."""
    tap = basis.brewhouse.tap
    temperature = None if tap is None else tap.temperature
    shifted, _ = plan_stages(basis.brewhouse, basis.stock, temperature, scenario.T_target, by)
    stages = tuple(replace(new, until=old.until) for new, old in zip(shifted, scenario.stages, strict=True))
    return replace(scenario, stages=stages, factors=factors)
