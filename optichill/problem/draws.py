"""What a batch may really be like: draws of all that is uncertain about it, the same for every coil.

The tap's temperature shifts every source of a plan, so it is drawn in a few classes, each with a plan of its
own; everything else is drawn for each draw alone (`Factors`). The wort's volume moves its level too: a coil
that hangs low has more or less wort above it (`thermal.filled`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optichill.arrays import Array, Index, as_float
from optichill.problem.basis import DesignBasis, plan_stages
from optichill.problem.uncertain import factors_at, tap_prior
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import Coils
from optichill.thermal.deviates import COLUMNS, deviates
from optichill.thermal.filled import filled
from optichill.thermal.priors import Factors

WELL_UNDER = 0.07
"""Share of the level above the top turn that no draw of the volume takes away: over three deviations."""

TAP_CLASSES = 8
"""Temperatures of the tap, each the mean of an equal share of its spread."""


@dataclass(frozen=True)
class TapClass:
    """Draws with one temperature of the water: the plan with the factors of these draws, and which."""

    scenario: Scenario
    draws: Index

    def of_coils(self, coils: Coils, some: Index, volume: float) -> tuple[Coils, Scenario]:
        """The chosen coils and their scenario, each coil in all of these draws before the next; the wort
        stands as high as its draw of the volume has it, which is told as `volume` when chilled [m3]."""
        each, m = np.repeat(some, self.draws.size), self.draws.size
        stages = tuple(
            replace(s, until=s.until[each]) if isinstance(s.until, np.ndarray) else s
            for s in self.scenario.stages
        )
        factors = self.scenario.factors.take(np.tile(np.arange(m), some.size))
        there = coils.take(each)
        # Stirred wort is one zone: well under it a level wets two risers, 0.05 % of time a per cent of
        # volume.
        moved = there.of_design("over") < (np.inf if self.scenario.mixing.still else WELL_UNDER)
        if moved.any():
            share = np.where(moved, as_float(factors.mass), 1.0)
            there = filled(there, share, volume, self.scenario.kettle_area)
        return there, replace(self.scenario, stages=stages, factors=factors)


@dataclass(frozen=True)
class Draws:
    """All draws of one basis. own : multipliers on the time, as likely as each other, of the whole kettle and
    of one coil beside another of the same sizes, as far as no batch has measured them; shape
    (beliefs.EQUAL_SHARES,)."""

    basis: DesignBasis
    classes: tuple[TapClass, ...]
    own: Array

    @classmethod
    def of(cls, basis: DesignBasis, scenario: Scenario | None = None) -> Draws:
        """Of a basis, or of another scenario on it (a change-over, another way to stir)."""
        scenario = scenario or basis.scenario
        beliefs = basis.beliefs(scenario.mixing)
        drawn = beliefs.deviates(deviates())
        z = dict(zip(COLUMNS, drawn.T, strict=True))
        dirtier = float(scenario.factors.fouling / basis.scenario.factors.fouling)
        factors = factors_at(basis.brewhouse, scenario.mixing, z, beliefs.own(drawn), dirtier)
        warmer = tap_prior(basis.brewhouse).at(z["tap"])
        classes = tuple(
            TapClass(warmer_by(basis, scenario, float(warmer[some].mean()), factors.take(some)), some)
            for some in np.argsort(warmer, kind="stable").reshape(TAP_CLASSES, -1)
        )
        return cls(basis, classes, beliefs.shares())


def warmer_by(basis: DesignBasis, scenario: Scenario, by: float, factors: Factors) -> Scenario:
    """The scenario with all water that much warmer [K], its stages ending where they did."""
    tap = basis.brewhouse.tap
    temperature = None if tap is None else tap.temperature
    shifted, _ = plan_stages(basis.brewhouse, basis.stock, temperature, scenario.T_target, by)
    stages = tuple(replace(new, until=old.until) for new, old in zip(shifted, scenario.stages, strict=True))
    return replace(scenario, stages=stages, factors=factors)
