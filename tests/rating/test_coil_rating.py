"""One coil rated: what is said of it agrees with itself, with finer numerics and with what is asked of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import SIZES, own_bench

from optichill.display import show
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import PRECISE, quick_rating, rate
from optichill.report.prediction import screen
from optichill.thermal.march import march

pytestmark = pytest.mark.marched

MIXINGS = ("left alone", "now and then", "steady")


def stated(folder: Path, mixing: str = "now and then", **house: Any) -> DesignBasis:
    return small_stock.of(folder, {"wort": {"mixing": mixing}, **house})


@pytest.fixture(scope="module")
def rated(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The same coil in wort that is moved in three ways."""
    folder = tmp_path_factory.mktemp("rated")
    return {word: rate(stated(folder / word.replace(" ", "-"), word), Coil(**SIZES)) for word in MIXINGS}


def test_the_top_is_that_of_the_run_that_is_told(rated: dict[str, Any]) -> None:
    """Stirred wort is one zone, at the target; left alone its top stays warmer, and that is told beside."""
    alone, stirred = rated["left alone"].prediction, rated["steady"].prediction
    assert alone.top == alone.top_left_alone == pytest.approx(stirred.top_left_alone, abs=0.5)
    assert stirred.top == pytest.approx(293.15, abs=1e-6) and alone.top > stirred.top + 1.0


@pytest.mark.parametrize("word", MIXINGS)
def test_the_march_beside_it_agrees(rated: dict[str, Any], word: str) -> None:
    assert abs(rated[word].prediction.difference) < 2e-4
    assert rated[word].energy.closure == pytest.approx(0.0, abs=1e-4)


@pytest.mark.slow
def test_the_tolerance_of_the_march_is_not_seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A hundred times closer, the same to a hundred-thousandth."""
    from optichill.rating import coil_rating

    basis, coil = stated(tmp_path), Coil(**SIZES)
    as_told = rate(basis, coil).prediction.marched_time
    monkeypatch.setattr(coil_rating, "march", lambda *of, rtol, **more: march(*of, rtol=1e-8, **more))
    assert as_told == pytest.approx(rate(basis, coil).prediction.marched_time, rel=1e-5)


def test_the_other_words_beside_it_are_those_words_themselves(rated: dict[str, Any]) -> None:
    """The time it would take left alone or stirred steadily, as when just that is stated."""
    alone, steady = (rated[word].prediction.chill_time for word in ("left alone", "steady"))
    assert alone > rated["now and then"].prediction.chill_time > steady
    for word in MIXINGS:
        told = rated[word].prediction
        near = {"left alone": 1e-3, "steady": 1e-3, word: 1e-12}
        assert told.left_alone == pytest.approx(alone, rel=near["left alone"])
        assert told.steady == pytest.approx(steady, rel=near["steady"])


def test_the_curve_runs_from_boiling_to_the_target(rated: dict[str, Any]) -> None:
    for word in MIXINGS:
        curve = rated[word].curve
        assert curve.wort[-1] == pytest.approx(293.15, abs=0.05)
        assert (np.diff(curve.time) > 0.0).all() and (np.diff(curve.wort) < 0.0).all()
        assert (curve.outlet < curve.wort).all() and (curve.outlet > curve.source).all()
        assert curve.time[-1] == pytest.approx(rated[word].prediction.chill_time, rel=1e-3)


def test_a_quick_rating_is_the_rating_without_its_march(tmp_path: Path, rated: dict[str, Any]) -> None:
    quick = quick_rating(stated(tmp_path, "steady"), Coil(**SIZES))
    slow = rated["steady"]
    assert quick.prediction == replace(
        slow.prediction, marched_time=None, quadrature_time=None, checked=False
    )
    assert (quick.limits, quick.wet_share) == (slow.limits, slow.wet_share)


def test_heat_goes_into_water_and_room_and_nowhere_else(rated: dict[str, Any]) -> None:
    """23 L of 12 degP wort from 98 to 20 degC give up about 23 x 1.01 kg x 4.0 kJ/kgK x 78 K = 7.3 MJ (own
    arithmetic; heat capacity of a 12 % sugar solution about 4.0, M)."""
    energy = rated["steady"].energy
    assert energy.wort == pytest.approx(7.3e6, rel=0.06)
    assert energy.wort + energy.metal == pytest.approx(energy.coolant + energy.ambient, rel=1e-4)
    assert energy.coolant > 20.0 * energy.ambient


WARM_BATH = [{"source": "ice bath", "pump": "small", "water": "10 L", "ice": "1 kg"}]


@pytest.mark.parametrize("cooling", [None, pytest.param(WARM_BATH, marks=pytest.mark.slow)])
def test_limits_on_a_chill_that_never_ends_have_no_value(tmp_path: Path, cooling: Any) -> None:
    """A tap of 22 degC, or a kilogram of ice, brings no wort to 20 degC: no time, water or bath is told."""
    house = {"tap": {"temperature": "22 degC"}, "limits": {"chill_time": "30 min", "water": "60 L"}}
    basis = stated(tmp_path, "steady", **house, **({"cooling": cooling} if cooling else {}))
    found = quick_rating(basis, Coil(**SIZES))
    lines = {line.name: line for line in found.limits}
    assert found.prediction.chill_time is None and not lines["target"].holds
    assert not lines.keys() & {"chill_time", "water", "bucket", "pump_rating", "ice"}
    assert "wall" in lines  # what needs no chill is told as ever


@pytest.mark.parametrize("reached", [True, False])
def test_limits_follow_the_march_where_the_two_do_not_agree(
    rated: dict[str, Any], tmp_path: Path, reached: bool
) -> None:
    seen = quick_rating(stated(tmp_path, limits={"chill_time": "30 min"}), Coil(**SIZES))
    time = 60.0 if reached else None
    told = replace(seen.prediction, chill_time=time, marched_time=time, quadrature_time=900.0, checked=True)
    before, lines = ({line.name: line for line in of} for of in (seen.limits, told.told_in(seen.limits)))
    assert lines["target"].holds == reached and ("chill_time" in lines) == reached
    if reached:  # the time that is kept with its chance moves with the time told
        kept = before["chill_time"].value * 60.0 / 900.0
        assert lines["chill_time"].value == pytest.approx(kept)


@pytest.mark.slow
def test_numerics_of_a_rating_are_converged(tmp_path: Path) -> None:
    """Twice as fine in everything: the same within a hundredth of a per cent, as its docstring says."""
    basis = stated(tmp_path, "left alone")
    told = quick_rating(basis, Coil(**SIZES)).prediction.chill_time
    finer = replace(PRECISE, nodes=32, segments=16, steps=24.0)
    with pytest.MonkeyPatch.context() as patch:
        from optichill.rating import coil_rating

        patch.setattr(coil_rating, "PRECISE", finer)
        assert quick_rating(basis, Coil(**SIZES)).prediction.chill_time == pytest.approx(told, rel=2e-4)


@pytest.mark.slow
def test_a_bath_that_warms_the_wort_again_does_not_hide_how_cold_it_was(tmp_path: Path) -> None:
    """The coldest is told with its minute, as the curve has it; not what is left after six hours."""
    bath = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "13 kg", "bucket": "40 L"}
    plan = [{"source": "tap", "until": "45 degC"}, bath]
    plan_of_work, inputs = own_bench(
        tmp_path, {"wort": {"mixing": "steady", "target_temperature": "2 degC"}, "cooling": plan}
    )
    rating = rate(plan_of_work.basis, Coil(**SIZES))
    curve, place = rating.curve, int(rating.curve.wort.argmin())
    assert rating.prediction.chill_time is None and rating.end > rating.closest + 1.0
    assert rating.closest == pytest.approx(curve.wort[place], abs=0.5) and rating.closest <= curve.wort[place]
    said = " ".join(screen(rating, inputs, plan_of_work))
    assert f"at best {show(rating.closest, 'temperature', 'metric')} after" in said
    assert "the bath warms it again" in said and "still at" not in said
