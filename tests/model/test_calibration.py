"""What measured batches teach: it says something only of what they were brewed with."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optichill.files.reading import load, packaged
from optichill.model.calibration import TANK, Calibration, MeasuredCoil
from optichill.model.coil import Coil
from optichill.model.stirring import MIXING_WORDS
from optichill.problem.basis import DesignBasis, basis_of
from optichill.problem.draws import Draws
from optichill.problem.uncertain import prior_names
from optichill.rating.coil_rating import quick_rating, rate
from optichill.thermal.batch import Mixing
from optichill.thermal.deviates import COLUMNS
from optichill.thermal.priors import PRIORS

INPUTS = load(packaged("brewhouse.toml"))
SIZES: dict[str, Any] = {
    "material": "copper", "outer_diameter": 0.010, "wall": 0.001, "mean_diameter": 0.24, "pitch": 0.016,
    "turns": 10.0, "riser_length_in": 0.6, "riser_length_out": 0.4,
}  # fmt: skip
COIL = Coil(**SIZES)
OTHER = Coil(**{**SIZES, "turns": 8.0})


def basis(mixing: str, calibration: Calibration | None = None, **kettle: float) -> DesignBasis:
    house = INPUTS.brewhouse
    wort = house.wort.model_copy(update={"mixing": mixing})
    changed = house.model_copy(update={"wort": wort, "kettle": house.kettle.model_copy(update=kettle)})
    return basis_of(changed, INPUTS.stock, calibration)


def taught(mixing: str = "steady", **sure: tuple[float, float]) -> Calibration:
    """By one batch with COIL: mean and standard deviation of some deviates."""
    house = basis(mixing).brewhouse
    names = (*COLUMNS, TANK, "mine")
    mean, sd = np.zeros(len(names)), np.ones(len(names))
    for name, (at, give) in sure.items():
        mean[names.index(name)], sd[names.index(name)] = at, give
    return Calibration(
        coils=(MeasuredCoil.of(COIL, "mine"),),
        mean=mean,
        cov=np.diag(sd**2),
        priors=prior_names(house, house.wort.moves),
        kettle=(house.kettle.inside_diameter, house.kettle.inside_height),
        batches=(),
    )


def width(of: DesignBasis, coil: Coil) -> float:
    """Tenth to tenth of the time, in its logarithm."""
    likely = quick_rating(of, coil).prediction.likely
    assert likely is not None
    span = likely.time
    assert span.p10 is not None and span.p90 is not None
    return float(np.log(span.p90 / span.p10))


def test_nothing_learnt_changes_nothing() -> None:
    plain, same = (quick_rating(basis("steady", c), OTHER).prediction for c in (None, taught()))
    assert plain.likely is not None and same.likely is not None
    assert vars(same.likely.time) == pytest.approx(vars(plain.likely.time), rel=1e-9)
    assert same.chill_time == pytest.approx(plain.chill_time, rel=1e-9)


def test_a_known_speed_narrows_the_range_and_moves_the_run() -> None:
    """Faster by a standard deviation, known to a third of one."""
    faster = basis("steady", taught(speed=(1.0, 0.33)))
    assert width(faster, OTHER) < 0.75 * width(basis("steady"), OTHER)
    run, before = (quick_rating(b, OTHER).prediction.chill_time for b in (faster, basis("steady")))
    assert run is not None and before is not None and run < 0.85 * before
    speed = faster.scenario.factors.speed
    assert speed == pytest.approx(PRIORS["steady"].relative(1.0))


@pytest.mark.parametrize("other", ["left alone", "vigorous", "whirlpool pump"])
def test_another_way_to_stir_is_not_taught(other: str) -> None:
    assert other in MIXING_WORDS
    learnt = basis(other, taught(speed=(1.0, 0.2)))
    assert width(learnt, OTHER) == pytest.approx(width(basis(other), OTHER), rel=1e-9)


def test_the_same_paddle_now_and_then_is_taught() -> None:
    learnt = basis("now and then", taught(speed=(1.0, 0.2)))
    assert width(learnt, OTHER) < width(basis("now and then"), OTHER)
    alone = Draws.of(learnt, replace(learnt.scenario, mixing=Mixing.of("left alone")))
    speed = np.concatenate([np.asarray(c.scenario.factors.speed) for c in alone.classes])
    assert np.median(speed) == pytest.approx(1.0, rel=0.02)


def test_what_a_coil_has_of_its_own_is_its_alone() -> None:
    learnt = taught(mine=(1.5, 0.3), tank=(1.0, 0.3))
    house, plain = basis("steady", learnt), basis("steady")
    times = {
        name: quick_rating(b, coil).prediction.chill_time
        for name, b, coil in (
            ("mine", house, COIL), ("before", plain, COIL),
            ("other", house, OTHER), ("other before", plain, OTHER),
        )
    }  # fmt: skip
    mine, before, other, other_before = (float(times[n] or 0.0) for n in times)
    assert mine / before == pytest.approx(np.exp(0.08 + 0.09))
    assert other / other_before == pytest.approx(np.exp(0.08))
    assert width(house, COIL) < width(house, OTHER) < width(plain, OTHER)


def test_pulled_open_it_is_the_coil_it_was() -> None:
    learnt = taught()
    assert learnt.measured(Coil(**{**SIZES, "pitch": 0.019, "lowest_turn_height": 0.06})) == "mine"
    assert learnt.measured(Coil(**{**SIZES, "mean_diameter": 0.26})) is None
    assert learnt.measured(OTHER) is None


def test_another_kettle_has_its_own() -> None:
    learnt = taught(tank=(2.0, 0.1), still=(1.0, 0.2))
    wider = basis("left alone", learnt, inside_diameter=0.40)
    assert wider.scenario.factors.own == pytest.approx(1.0)
    assert wider.scenario.factors.still == pytest.approx(PRIORS["still"].at(1.0))
    assert basis("left alone", learnt).scenario.factors.own == pytest.approx(np.exp(0.16))


def test_a_warmer_tap_is_warmer_everywhere() -> None:
    """Learnt to be half a kelvin warmer than written: of the run, its winter, and all draws."""
    learnt = basis("steady", taught(tap=(1.0, 0.2)))
    assert learnt.scenario.T_in - basis("steady").scenario.T_in == pytest.approx(0.5)
    drawn = [c.scenario.T_in for c in Draws.of(learnt).classes]
    assert np.mean(drawn) - basis("steady").scenario.T_in == pytest.approx(0.5, abs=0.01)
    assert np.ptp(drawn) < 0.4


def test_the_march_goes_with_the_chill() -> None:
    rated = rate(basis("now and then", taught(tank=(1.0, 0.3), speed=(0.5, 0.3))), OTHER)
    told = rated.prediction
    assert told.marched_time is not None and told.quadrature_time is not None
    assert told.marched_time == pytest.approx(told.quadrature_time, rel=2e-3)
    assert abs(rated.energy.closure) < 1e-4


def test_a_joint_law_is_narrower_than_its_margins() -> None:
    """Speed and share of the time, learnt as a product: what one lacks the other has."""
    learnt = taught("now and then")
    i, j = COLUMNS.index("speed"), COLUMNS.index("share")
    cov = learnt.cov.copy()
    cov[i, j] = cov[j, i] = -0.95
    joint = replace(learnt, cov=cov)
    assert width(basis("now and then", joint), OTHER) < 0.9 * width(basis("now and then", learnt), OTHER)
