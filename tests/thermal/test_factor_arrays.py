"""Factors that are each coil's own: many coils in one go as each of them alone."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from plans import random_plans
from usual import LPM

from optichill.thermal.batch import MIXING_WORDS, Mixing
from optichill.thermal.coil_performance import SEARCH
from optichill.thermal.cooldown import chill
from optichill.thermal.priors import Factors
from optichill.thermal.supply import Supply

COILS = 5


def spread(rng: np.random.Generator) -> Factors:
    """Every factor an array, 20 % about its median."""
    return Factors(
        **{f.name: f.default * np.exp(rng.uniform(-0.2, 0.2, COILS)) for f in fields(Factors)}  # type: ignore[operator]
    )


PLANS = random_plans(24, seed=3)


@pytest.mark.parametrize("place", range(24))
def test_many_coils_are_as_each_alone(place: int) -> None:
    """All kinds of plans, layouts and mixing words in turn. Coils that share steps differ by up to 0.25 %
    (`cooldown`), here with factors 20 % apart; others by rounding, and where one temperature of all is worked
    out instead of looked up (1e-6)."""
    one, mixing = PLANS[place], tuple(MIXING_WORDS)[place % len(MIXING_WORDS)]
    coils = one.coils.take(np.zeros(COILS, np.intp))
    factors = spread(np.random.default_rng(4))
    scenario = replace(one.scenario, mixing=Mixing.of(mixing), factors=factors)
    whole = chill(coils, scenario, SEARCH)
    alone = [chill(coils.take([i]), scenario.take(np.array([i])), SEARCH) for i in range(COILS)]
    within = 5e-3 if scenario.in_steps else 1e-6
    assert np.isfinite(whole.time).all()
    for name in ("time", "water", "ice"):
        told = np.concatenate([getattr(a, name) for a in alone])
        assert getattr(whole, name) == pytest.approx(told, rel=within, abs=1e-9), name
    assert np.ptp(whole.time) > 0.02 * whole.time.mean()


def test_a_pump_s_curve_stays_in_one_piece_when_it_is_stronger() -> None:
    """Pieces that are stretched alike meet where the curve bends: no jump anywhere, to 1e-6 of the head."""
    pump = Supply.curve([(0.0, 3.5e4), (5 * LPM, 3.0e4), (12 * LPM, 0.0)], hose_bore=0.0127)
    for stronger in (0.8, 1.0, 1.25):
        V = np.linspace(0.0, 15 * LPM, 20_001)
        p, k = replace(pump, stronger=stronger).at(V)
        left = np.asarray(p) - k * V**2
        assert np.abs(np.diff(left)).max() < 2.0 * np.abs(np.gradient(left)).mean() + 5.0
        assert np.interp(0.0, -left, V) == pytest.approx(12 * LPM * stronger**0.5, rel=1e-3)
