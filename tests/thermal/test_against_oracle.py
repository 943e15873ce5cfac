"""Whole chills: optichill's arrays against the scalar march of oracle.py, over random coils.

The two share no code, no numerics and no property table; they agree on the model alone. 1 % is far below
what the model itself may claim (its priors add up to some 10 to 20 %) and above what the coarse numerics of
a search may cost; fully converged they come within 0.6 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import oracle
import pytest
from oracle import Case
from tiers import count

from optichill.thermal.batch import Mixing, Scenario, one_tap
from optichill.thermal.coil_performance import CONVERGED, SEARCH, Coils, Numerics
from optichill.thermal.cooldown import chill, ends
from optichill.thermal.supply import Supply

LITRE, ZERO = 1e-3, 273.15
LPM = LITRE / 60.0
COPPER = {"k_tube": 339.0, "tube_density": 8940.0, "tube_heat_capacity": 385.0}
STAINLESS = {"k_tube": 15.0, "tube_density": 7930.0, "tube_heat_capacity": 500.0}
WORDS = ("left alone", "now and then", "steady", "whirlpool pump", "vigorous")


def ours(cases: Sequence[Case], numerics: Numerics = CONVERGED) -> dict[str, np.ndarray]:
    """optichill's answer for the oracle's cases, one scenario each: the one place that translates."""
    answers: list[tuple[np.ndarray, ...]] = []
    for case in cases:
        section = np.pi / 4.0 * (case.d_o**2 - case.d_i**2)
        coils = Coils.of(
            d_o=case.d_o,
            d_i=case.d_i,
            k=case.k_tube,
            D_c=case.D_c,
            pitch=case.pitch,
            wetted_length=case.wetted_length,
            tube_length=case.tube_length,
            metal_capacity=case.tube_density * section * case.tube_length * case.tube_heat_capacity,
        )
        scenario = Scenario(
            volume=case.volume_hot,
            plato=case.plato,
            T_start=case.T_start,
            T_target=case.T_target,
            T_ambient=case.T_ambient,
            kettle_diameter=case.kettle_diameter,
            stages=one_tap(
                case.T_in,
                Supply.tap(static_pressure=case.p_static, open_flow=case.V_open, hose_bore=case.hose_bore),
            ),
            mixing=Mixing.of(case.mixing),
            lid=case.lid,
            kettle_metal_mass=case.kettle_metal_mass,
        )
        whole, start = chill(coils, scenario, numerics), ends(coils, scenario)
        answers.append((whole.time, whole.water, start.outlet_start, start.flow_start, start.U_start))
    names = ("time_s", "water_m3", "T_out_start", "flow_start", "U_start")
    return dict(zip(names, np.array(answers)[:, :, 0].T, strict=True))


def theirs(cases: Sequence[Case]) -> dict[str, np.ndarray]:
    answers = [oracle.chill(case) for case in cases]
    return {name: np.array([a[name] for a in answers]) for name in answers[0]}


def random_cases(rng: np.random.Generator, count: int) -> list[Case]:
    """Coils, batches and taps over the whole range a home brewer meets; every mixing word in turn."""
    cases = []
    for i in range(count):
        d_o = rng.uniform(6e-3, 16e-3)
        length = rng.uniform(5.0, 25.0)
        wall = rng.uniform(0.05, 0.09) * d_o
        T_in = rng.uniform(5.0, 22.0)
        cases.append(
            Case(
                d_o=d_o,
                d_i=d_o - 2.0 * wall,
                **(COPPER if rng.random() < 0.6 else STAINLESS),
                D_c=rng.uniform(0.15, 0.35),
                pitch=rng.uniform(1.0, 2.5) * d_o,
                wetted_length=rng.uniform(0.6, 1.0) * length,
                tube_length=length,
                plato=rng.uniform(8.0, 20.0),
                volume_hot=rng.uniform(10.0, 50.0) * LITRE,
                T_start=rng.uniform(75.0, 99.0) + ZERO,
                T_target=rng.uniform(max(18.0, T_in + 4.0), 30.0) + ZERO,
                T_in=T_in + ZERO,
                T_ambient=rng.uniform(5.0, 30.0) + ZERO,
                mixing=WORDS[i % len(WORDS)] if i % 7 else float(rng.uniform(0.01, 0.3)),
                p_static=rng.uniform(2e5, 5e5),
                V_open=rng.uniform(5.0, 15.0) * LPM,
                hose_bore=rng.uniform(10e-3, 19e-3),
                kettle_diameter=rng.uniform(0.28, 0.50),
                lid=bool(rng.random() < 0.3),
                kettle_metal_mass=None if rng.random() < 0.5 else float(rng.uniform(2.0, 8.0)),
            )
        )
    return cases


def within_reach(cases: Sequence[Case]) -> list[tuple[Case, dict[str, float]]]:
    """Those that the oracle cools within six hours."""
    done = []
    for case in cases:
        try:
            done.append((case, oracle.chill(case)))
        except oracle.OutOfReach:
            continue
    return done


def assert_agree(count: int, seed: int) -> None:
    pairs = within_reach(random_cases(np.random.default_rng(seed), count))
    assert len(pairs) >= 0.9 * count, "the random coils should nearly all reach their target"
    cases = [case for case, _ in pairs]
    true = {name: np.array([answer[name] for _, answer in pairs]) for name in pairs[0][1]}
    for numerics, rtol in ((CONVERGED, 0.006), (SEARCH, 0.01)):
        mine = ours(cases, numerics)
        for name in ("time_s", "water_m3"):
            np.testing.assert_allclose(mine[name], true[name], rtol=rtol, err_msg=name)
    np.testing.assert_allclose(mine["T_out_start"], true["T_out_start"], rtol=0.0, atol=0.5)
    # A volume at the mean water temperature or as the cold tap gives it: 1.2 % apart at the hottest outlet.
    np.testing.assert_allclose(mine["flow_start"], true["flow_start"], rtol=0.015)
    # Means of U along the tube, over equal lengths or by the log-mean difference: alike, not the same.
    np.testing.assert_allclose(mine["U_start"], true["U_start"], rtol=0.10)


# --- the oracle itself ----------------------------------------------------------------------------------

FEW = [
    replace(case, mixing=mixing)
    for case, mixing in zip(
        random_cases(np.random.default_rng(1), 3), ("left alone", "steady", 0.3), strict=True
    )
]


@pytest.mark.long
@pytest.mark.parametrize("case", FEW, ids=lambda case: str(case.mixing))
def test_oracle_is_converged(case: Case) -> None:
    """Twice the segments and a hundredth of the time step's error change the answer by less than 0.1 %."""
    coarse, fine = oracle.chill(case), oracle.chill(case, segments=16, rtol=1e-7)
    for name in ("time_s", "water_m3"):
        assert coarse[name] == pytest.approx(fine[name], rel=1e-3)


@pytest.mark.parametrize("case", FEW, ids=lambda case: str(case.mixing))
def test_oracle_keeps_the_energy(case: Case) -> None:
    """Heat marched along against the heat that wort and metal gave up by their own heat capacities."""
    answer = oracle.chill(case)
    assert answer["heat_coil_J"] + answer["heat_loss_J"] == pytest.approx(answer["stored_J"], rel=1e-5)


def test_oracle_properties_follow_coolprop() -> None:
    """The oracle's own interpolation costs nothing."""
    for T in (274.33, 290.07, 331.91, 371.99):
        for key in ("D", "V", "L", "C"):
            exact = oracle.PropsSI(key, "T", T, "P", oracle.PRESSURE, "Water")
            assert oracle.water(key, T) == pytest.approx(exact, rel=1e-6)


# --- optichill against it -------------------------------------------------------------------------------


def test_a_few_random_coils() -> None:
    assert_agree(3, seed=20)


@pytest.mark.slow
def test_many_random_coils() -> None:
    assert_agree(count(6, 120), seed=2024)


def test_mixing_words_order_and_common_practice() -> None:
    """19.9 kg of wort, 98 to 25 degC, 15 m of 3/8 in copper all wetted, tap 12 degC at about 8 L/min.

    Bands in minutes as brewers know them; common practice, no source, wide on purpose.
    """
    base = Case(
        wetted_length=15.0, volume_hot=19.9 / 1006.0, pitch=1.2 * 9.525e-3, p_static=3.5e5, V_open=10.5 * LPM
    )
    bands = {"left alone": (14, 30), "now and then": (7, 18), "steady": (5, 13)}
    mine = ours([replace(base, mixing=word) for word in bands])
    assert 6.0 < mine["flow_start"][0] / LPM < 10.0
    minutes = mine["time_s"] / 60.0
    for (word, (low, high)), took in zip(bands.items(), minutes, strict=True):
        assert low < took < high, f"{word}: {took:.1f} min"
    assert 1.6 < minutes[0] / minutes[2] < 3.0
    litres_each = mine["water_m3"] / 19.8e-3
    assert 3.0 < litres_each[0] < 12.0 and 2.0 < litres_each[2] < 5.0


def test_longer_tube_at_a_weak_tap_can_be_slower() -> None:
    """A real optimum, seen by both models: 6 mm tube on 2 bar, stirred, 12 m beats 25 m."""
    base = Case(d_o=6e-3, d_i=4.4e-3, pitch=12e-3, mixing="vigorous", p_static=2e5)
    short, long = (replace(base, wetted_length=L, tube_length=L) for L in (12.0, 25.0))
    for answer in (ours([short, long]), theirs([short, long])):
        assert answer["time_s"][1] > answer["time_s"][0]
