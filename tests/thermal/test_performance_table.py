"""Coils behind a vessel that is filled many times: looked up, against asking the coils themselves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import SIZES

from optichill.arrays import Array
from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.problem.draws import Draws
from optichill.rating import coil_rating
from optichill.rating.coil_rating import PRECISE
from optichill.thermal import cooldown, fillings, performance_curve, sources, stepping
from optichill.thermal.batch import Scenario
from optichill.thermal.coil_performance import ROUGH, CoilPerformance, Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.exchanger import Exchange
from optichill.thermal.hot_risers import Draw, drawing, of_zones
from optichill.thermal.performance_curve import Heat, PerformanceCurve, PerformanceTable, asked

pytestmark = pytest.mark.marched


def bucket(folder: Path, refills: int, size: str, mixing: str = "now and then") -> Path:
    small_stock.write(folder, {"wort": {"mixing": mixing}})
    with (folder / "brewhouse.toml").open("a", encoding="utf-8") as file:
        file.write(
            f'\n[[cooling]]\nsource = "bucket"\npump = "small"\nrefills = {refills}\nbucket = "{size}"\n'
        )
    return folder


@pytest.mark.parametrize("mixing", ["left alone", "steady"])
def test_the_table_is_within_a_tenth_of_a_percent(tmp_path: Path, mixing: str) -> None:
    basis = design_basis(load(bucket(tmp_path, 3, "10 L", mixing)))
    coil = Coils.of(
        d_o=0.010, d_i=0.008, k=339.0, D_c=0.25, pitch=0.016, wetted_length=9.0, tube_length=10.0,
        metal_capacity=900.0,
    )  # fmt: skip
    kernel = CoilPerformance(coil, basis.scenario, PRECISE)
    bath, table = kernel.source.bath, PerformanceTable(kernel)
    assert bath is not None
    rng = np.random.default_rng(3)
    T = rng.uniform(290.0, 371.0, 200)
    T_in = bath.T_water + rng.uniform(0.0, 0.97, T.size) * (T - bath.T_water)
    E = bath.water_mass * (sources.liquid_heat(T_in) - sources.liquid_heat(bath.T_water))
    exact = kernel.at(T[:, None], E[:, None])
    Q, V, _, inlet = (
        np.concatenate(c)
        for c in zip(*(table.at(t[None], e[None]) for t, e in zip(T, E, strict=True)), strict=True)
    )
    np.testing.assert_allclose(Q, exact.Q[:, 0], rtol=2e-3)
    np.testing.assert_allclose(V, exact.V[:, 0], rtol=2e-3)
    np.testing.assert_allclose(inlet, T_in, atol=1e-3)


@pytest.mark.parametrize("mixing", ["left alone", "now and then"])
def test_one_curve_of_all_fillings_chills_every_draw_as_the_table_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mixing: str
) -> None:
    """And the coils are looked at fifteen times, however many fillings there are."""
    coil = Coils.of(
        d_o=0.010, d_i=0.008, k=339.0, D_c=0.25, pitch=0.016, wetted_length=9.0, tube_length=10.0,
        metal_capacity=900.0, stranded=0.1,
    )  # fmt: skip
    basis = design_basis(load(bucket(tmp_path, 50, "1.3 L", mixing)))
    draws = Draws.of(basis).classes[3]
    many, scenario = draws.of_coils(coil, np.zeros(1, np.intp), basis.chilled_volume)
    looks, mixed = [], CoilPerformance.with_inlet

    def counted(self: CoilPerformance, T: Array, T_in: Array) -> Exchange:
        looks.append(T.size)
        return mixed(self, T, T_in)

    monkeypatch.setattr(CoilPerformance, "with_inlet", counted)
    drawn = chill(many, scenario).time
    assert sum(looks) == 15

    def table(kernel: CoilPerformance, *_: object) -> Draw:
        return drawing(kernel, performance_curve.asked(kernel))

    monkeypatch.setattr(fillings, "in_all", table)
    looked_up = chill(many, scenario).time
    np.testing.assert_allclose(drawn, looked_up, rtol=3e-3)
    assert np.median(drawn) == pytest.approx(np.median(looked_up), rel=1e-3)


@pytest.mark.parametrize(
    ("refills", "size", "mixing"), [(26, "3 L", "now and then"), (50, "1.3 L", "left alone")]
)
def test_fillings_on_their_mean_are_each_worked_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refills: int, size: str, mixing: str
) -> None:
    """Against each filling walked through in fine steps: what they add up to, what the last one leaves, and
    the warmest. However many there are, three runs tell of all."""
    scenario = design_basis(load(bucket(tmp_path, refills, size, mixing))).scenario
    coils = Coils.of(
        d_o=0.010, d_i=0.008, k=339.0, D_c=0.25, pitch=0.016, wetted_length=[9.0, 3.0],
        tube_length=[10.0, 4.0], metal_capacity=[900.0, 400.0], stranded=[0.1, 0.3], riser_share=0.1,
    )  # fmt: skip
    runs, down = [], stepping.down

    def counted(*given: Any) -> Any:
        runs.append(1)
        return down(*given)

    monkeypatch.setattr(stepping, "down", counted)
    monkeypatch.setattr(cooldown, "FEWEST_STEPS", 24.0)
    few = chill(coils, scenario, PRECISE)
    assert len(runs) == 3
    monkeypatch.setattr(fillings, "MOST_WALKED", 99)
    every = chill(coils, scenario, replace(PRECISE, steps=24.0))
    assert len(runs) == 3 + refills + 1
    np.testing.assert_allclose(few.time, every.time, rtol=2e-3)
    np.testing.assert_allclose(few.water, every.water, rtol=1e-9)
    np.testing.assert_allclose(few.limit_time, every.limit_time, rtol=1.5e-2)
    np.testing.assert_allclose(few.T_top, every.T_top, atol=0.05)
    for name in ("T_bath", "T_hottest"):
        # These two are walked in half the steps of the reference.
        np.testing.assert_allclose(getattr(few.stages[0], name), getattr(every.stages[0], name), atol=0.4)


@pytest.mark.slow
def test_many_fillings_take_as_long_as_when_the_coils_are_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the coils are asked a hundred times less: that bounds the work of any number of fillings."""
    basis = design_basis(load(bucket(tmp_path, 2, "40 L", "steady")))
    coil, asked = Coil(**SIZES), []
    at = CoilPerformance.at

    def counted(self: CoilPerformance, *given: object) -> object:
        asked.append(1)
        return at(self, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(CoilPerformance, "at", counted)
    looked_up = coil_rating.quick_rating(basis, coil).prediction
    few = len(asked)
    monkeypatch.setattr(performance_curve, "MANY_FILLS", 99)
    anew = coil_rating.quick_rating(basis, coil).prediction
    assert looked_up.chill_time is not None
    assert looked_up.chill_time == pytest.approx(anew.chill_time, rel=5e-3)
    assert len(asked) - few > 5 * few


@pytest.mark.slow
def test_looked_up_wort_and_a_curve_drawn_at_once_are_those_of_the_formulas(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wort asked by its formulas, as for a single filling, is the reference: the same within a thousandth.
    The coil is asked for its tables, its ends and its curve, not filling by filling."""
    basis, asked = design_basis(load(bucket(tmp_path, 8, "10 L"))), []
    at, of_scenario = CoilPerformance.at, Scenario.at

    def counted(self: CoilPerformance, *given: object) -> object:
        asked.append(1)
        return at(self, *given)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(CoilPerformance, "at", counted)
        told = coil_rating.rate(basis, Coil(**SIZES))
    assert len(asked) < 12
    monkeypatch.setattr(Scenario, "at", lambda self, T, *, exact: of_scenario(self, T, exact=True))
    reference = coil_rating.rate(basis, Coil(**SIZES))
    assert reference.prediction.chill_time is not None
    for name in ("chill_time", "quadrature_time", "marched_time", "water", "left_alone", "steady"):
        assert getattr(told.prediction, name) == pytest.approx(getattr(reference.prediction, name), rel=1e-3)
    np.testing.assert_allclose(told.curve.wort, reference.curve.wort, atol=0.02)
    assert abs(told.energy.closure) < 1e-5


ICE = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "6 kg"}


@pytest.mark.parametrize("mixing", ["left alone", "steady"])
def test_a_bath_of_ice_is_looked_up_as_closely(tmp_path: Path, mixing: str) -> None:
    """As the ice is spent, from a bath of 0 degC to one a kelvin below the wort."""
    basis = small_stock.of(tmp_path, {"wort": {"mixing": mixing}, "cooling": [ICE]})
    coil = Coils.of(
        d_o=0.010, d_i=0.008, k=339.0, D_c=0.25, pitch=0.016, wetted_length=9.0, tube_length=10.0,
        metal_capacity=900.0,
    )  # fmt: skip
    kernel = CoilPerformance(coil, basis.scenario, PRECISE)
    bath, table = kernel.source.bath, PerformanceTable(kernel)
    assert bath is not None
    rng = np.random.default_rng(5)
    T = rng.uniform(290.0, 371.0, 200)
    spent = bath.ice * sources.ICE_MELTING_HEAT + bath.water_mass * sources.liquid_heat(T - 1.0)
    E = rng.uniform(0.0, 1.0, T.size) * (spent - bath.water_mass * sources.liquid_heat(bath.T_water))
    exact = kernel.at(T[:, None], E[:, None])
    Q, _, _, inlet = (
        np.concatenate(c)
        for c in zip(*(table.at(t[None], e[None]) for t, e in zip(T, E, strict=True)), strict=True)
    )
    np.testing.assert_allclose(Q, exact.Q[:, 0], rtol=3e-3)
    np.testing.assert_allclose(inlet, exact.T_in[:, 0], atol=0.03)


def curve(kernel: CoilPerformance) -> Heat:
    T = np.array([290.0, kernel.T_hot])
    return PerformanceCurve(kernel, kernel.T_hot, 290.0, (T, np.full(2, kernel.source.coldest))).at


@pytest.mark.parametrize("of", [curve, asked, lambda kernel: asked(kernel, often=True)])
@pytest.mark.parametrize("stage", [{}, {"refills": 3}, {"ice": "6 kg"}])
def test_both_zones_asked_at_once_are_each_asked_alone(
    tmp_path: Path, of: Callable[[CoilPerformance], Heat], stage: dict[str, object]
) -> None:
    """In different draws, from curve, table and coil; of a bath of ice, which is settled to a
    ten-thousandth of a kelvin, that close."""
    bucket_or_ice = {"source": "ice bath" if "ice" in stage else "bucket", "pump": "small", "water": "10 L"}
    basis = small_stock.of(
        tmp_path,
        {"wort": {"mixing": "left alone"}, "cooling": [{"return": "bucket"} | bucket_or_ice | stage]},
    )
    coil = Coils.of(
        d_o=0.010, d_i=0.008, k=339.0, D_c=0.25, pitch=0.016, wetted_length=9.0, tube_length=10.0,
        metal_capacity=900.0, stranded=0.3, riser_share=0.1,
    )  # fmt: skip
    many, scenario = Draws.of(basis).classes[0].of_coils(coil, np.zeros(1, np.intp), basis.chilled_volume)
    heat = of(CoilPerformance(many, scenario, ROUGH))
    rng = np.random.default_rng(7)
    below, E = rng.uniform(300.0, 330.0, len(many)), rng.uniform(1e4, 3e5, len(many))
    top = below + rng.uniform(0.0, 40.0, len(many))
    Q, *others = heat(of_zones(below, top), E)
    for zone, T in enumerate((below, top)):
        alone, *told = heat(T, E)
        np.testing.assert_allclose(Q[zone], alone, rtol=1e-4 if "ice" in stage else 1e-12)
        for both, one in zip(others, told, strict=True):
            np.testing.assert_allclose(np.broadcast_to(both, Q.shape)[zone], one, rtol=1e-6)


def test_a_step_asks_the_curve_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """For both zones: where wort is left alone and a small vessel comes near to it, a prediction takes
    20 000 looks, and each costs as much as the number of times that numpy is called."""
    basis = small_stock.of(
        tmp_path,
        {
            "wort": {"mixing": "left alone"},
            "cooling": [
                {"source": "bucket", "pump": "small", "water": "1 L", "refills": 5, "return": "bucket"}
            ],
        },
    )
    coil = Coils.of(
        d_o=0.010, d_i=0.008, k=339.0, D_c=0.25, pitch=0.016, wetted_length=3.0, tube_length=4.0,
        metal_capacity=300.0, stranded=0.5, riser_share=0.1,
    )  # fmt: skip
    counts: Counter[str] = Counter()

    def counted(of: Any, name: str) -> None:
        real = getattr(of, name)

        def one_more(*given: Any) -> Any:
            counts[name] += 1
            return real(*given)

        monkeypatch.setattr(of, name, one_more)

    counted(stepping, "_look")
    counted(PerformanceCurve, "at")
    chill(coil, basis.scenario)
    assert counts["at"] == counts["_look"] > 50
