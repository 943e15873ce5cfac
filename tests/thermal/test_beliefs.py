"""How draws are spread once batches were measured: against a plain sampler of the same joint normal law."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal
from usual import LPM, ZERO

from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.beliefs import Beliefs
from optichill.thermal.coil_performance import CONVERGED, Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.deviates import COLUMNS, deviates
from optichill.thermal.march import march
from optichill.thermal.priors import PRIORS, Factors
from optichill.thermal.supply import Supply

N = len(COLUMNS)
SUPPLY = Supply.tap(static_pressure=3e5, open_flow=12.0 * LPM, hose_bore=0.0127)
COIL = Coils.of(
    d_o=0.010, d_i=0.008, k=339.0, D_c=0.22, pitch=0.016, wetted_length=6.5, tube_length=7.5,
    metal_capacity=700.0, stranded=0.2,
)  # fmt: skip


def test_nothing_measured_is_the_prior() -> None:
    prior = Beliefs.prior()
    assert np.array_equal(prior.deviates(deviates()), deviates())
    assert np.array_equal(prior.own(deviates()), np.ones(len(deviates())))
    assert np.log(prior.shares()).std() == pytest.approx(np.hypot(0.08, 0.06))


def test_draws_of_a_joint_law_are_those_of_a_plain_sampler() -> None:
    """Time as an exponential of all of it: mean and spread as a sampler of the whole law has them."""
    rng = np.random.default_rng(4)
    A = rng.normal(size=(N + 1, N + 1)) / 4.0
    mean, cov = rng.normal(size=N + 1) / 3.0, np.eye(N + 1) / 4.0 + A @ A.T
    mean[-1], cov[-1], cov[:, -1] = 0.05, 0.08 * cov[-1], 0.08 * cov[:, -1]
    acts = rng.normal(size=N) / 10.0
    beliefs = Beliefs.of(mean, cov)
    z = beliefs.deviates(deviates())
    mine = np.log(np.exp(z @ acts) * beliefs.own(z))[:, None] + np.log(beliefs.shares())
    drawn = multivariate_normal(mean, cov, seed=5).rvs(200_000)
    theirs = drawn[:, :N] @ acts + drawn[:, N]
    assert mine.mean() == pytest.approx(theirs.mean(), abs=0.01)
    assert mine.std() == pytest.approx(theirs.std(), rel=0.03)


@pytest.mark.parametrize("mixing", ["left alone", "now and then", "steady"])
def test_what_kettle_and_coil_have_of_their_own_is_time_and_water(mixing: str) -> None:
    """By quadrature and by march: so many times the time, and the water that runs in it."""
    usual = Scenario(
        volume=0.020, plato=12.0, T_start=98.0 + ZERO, T_target=25.0 + ZERO, T_ambient=20.0 + ZERO,
        kettle_diameter=0.33, stages=one_tap(12.0 + ZERO, SUPPLY), mixing=Mixing.of(mixing),
    )  # fmt: skip
    longer = replace(usual, factors=Factors(own=1.2))
    one, other = (chill(COIL, s, CONVERGED) for s in (usual, longer))
    assert other.time == pytest.approx(1.2 * one.time)
    assert other.water == pytest.approx(1.2 * one.water)
    assert march(COIL, longer).time == pytest.approx(other.time, rel=2e-3)


def test_spread_in_the_priors_own_sides() -> None:
    """A deviate that is known to half a unit about 1 spreads on the far side of the median alone."""
    cov = np.eye(N + 1)
    cov[0, 0], cov[N, N] = 0.25, 0.01
    mean = np.zeros(N + 1)
    mean[0] = 1.0
    z = Beliefs.of(mean, cov).deviates(deviates())[:, 0]
    low, mid, high = np.quantile(PRIORS["still"].at(z), [0.1, 0.5, 0.9])
    step = np.log(1.19 / 0.85) / 1.2815515655446004
    assert np.log(mid) == pytest.approx(np.log(0.85) + step, abs=0.02)
    assert np.log(high / low) == pytest.approx(2 * 1.2816 * 0.5 * step, rel=0.05)
