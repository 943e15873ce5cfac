"""The physics' small parts: the water table's cache, ranges, mixing, supply, kettle loss, validity."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from usual import LPM, ZERO, batch, coil

from optichill.correlations import kettle_losses
from optichill.errors import PropertyRange
from optichill.properties import water, wort
from optichill.thermal import hydraulics, validity
from optichill.thermal.batch import MIXING_WORDS, Mixing, Scenario
from optichill.thermal.coil_performance import CoilPerformance, Coils
from optichill.thermal.cooldown import chill
from optichill.thermal.hydraulics import Circuit, Supply

# --- the water table and its cache ----------------------------------------------------------------------


@pytest.fixture
def fresh() -> Iterator[None]:
    """The table forgotten before and after, so that each test reads the cache it has set up."""
    water.table.cache_clear()
    yield
    water.table.cache_clear()


def cache_files(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def assert_water_is_right() -> None:
    """Water at 25 degC and 1 atm: 997.05 kg/m3 and 0.890 mPa s (IAPWS, V)."""
    assert float(water.density(25.0 + ZERO)) == pytest.approx(997.05, abs=0.06)
    assert float(water.viscosity(25.0 + ZERO)) == pytest.approx(0.890e-3, rel=1e-3)


def test_missing_cache_is_made(fresh: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "not" / "there"
    monkeypatch.setenv("OPTICHILL_CACHE", str(folder))
    assert_water_is_right()
    (name,) = cache_files(folder)  # no half-written file is left beside it
    assert name.startswith("water-") and name.endswith(".npz")


def spoil_text(path: Path) -> None:
    path.write_text("not an archive")


def spoil_truncated(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def spoil_empty(path: Path) -> None:
    path.write_bytes(b"")


def rewrite(path: Path, change: dict[str, np.ndarray], drop: str = "") -> None:
    with np.load(path) as stored:
        columns = {name: stored[name] for name in stored.files if name != drop}
    np.savez(path, **(columns | change))


def spoil_column_missing(path: Path) -> None:
    rewrite(path, {}, drop="viscosity")


def spoil_column_short(path: Path) -> None:
    rewrite(path, {"density": np.ones(7)})


def spoil_column_infinite(path: Path) -> None:
    with np.load(path) as stored:
        density = stored["density"].copy()
    density[5] = np.inf
    rewrite(path, {"density": density})


SPOILS = [
    spoil_text,
    spoil_truncated,
    spoil_empty,
    spoil_column_missing,
    spoil_column_short,
    spoil_column_infinite,
]


@pytest.mark.parametrize("spoil", SPOILS)
def test_damaged_cache_is_made_again(
    fresh: None,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    spoil,  # type: ignore[no-untyped-def]
) -> None:
    monkeypatch.setenv("OPTICHILL_CACHE", str(tmp_path))
    water.table()
    (name,) = cache_files(tmp_path)
    spoil(tmp_path / name)
    damaged = (tmp_path / name).read_bytes()
    water.table.cache_clear()
    assert_water_is_right()
    assert cache_files(tmp_path) == [name]
    assert (tmp_path / name).read_bytes() != damaged


def test_cache_folder_that_cannot_be_made_costs_nothing_but_time(
    fresh: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder's place is taken by a file: nobody, not even an administrator, can write into it."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    monkeypatch.setenv("OPTICHILL_CACHE", str(blocked))
    assert_water_is_right()
    assert blocked.read_text() == "in the way"


def test_replacing_the_cache_may_fail(fresh: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError("held open by another program")

    monkeypatch.setenv("OPTICHILL_CACHE", str(tmp_path))
    monkeypatch.setattr(water.os, "replace", refuse)
    assert_water_is_right()


ONE_CHILL = """
import sys
from optichill.properties import water
first = float(water.density(300.0))
print(any(name.split(".")[0] == "CoolProp" for name in sys.modules), repr(first))
"""


def test_second_run_never_imports_coolprop(tmp_path: Path) -> None:
    environment = os.environ | {"OPTICHILL_CACHE": str(tmp_path)}
    answers = []
    for _ in range(2):
        run = subprocess.run(
            [sys.executable, "-c", ONE_CHILL], env=environment, capture_output=True, text=True, check=True
        )
        answers.append(run.stdout.split())
    assert [imported for imported, _ in answers] == ["True", "False"]
    assert answers[0][1] == answers[1][1]


def test_cache_goes_to_the_users_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("OPTICHILL_CACHE", raising=False)
    monkeypatch.setattr(water.sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert water._cache_file().parent == tmp_path / "optichill"
    monkeypatch.setattr(water.sys, "platform", "win32")
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "local"))
    assert water._cache_file().parent == tmp_path / "local" / "optichill"


# --- ranges ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("T", [272.9, 393.2, 400.0, 25.0])
def test_water_outside_its_range_is_refused(T: float) -> None:
    """A temperature in degC given as kelvin is far below the range: it is refused, not extrapolated."""
    for function in (
        water.density,
        water.viscosity,
        water.conductivity,
        water.heat_capacity,
        water.enthalpy,
        water.expansion,
        water.saturation_pressure,
        water.prandtl,
    ):
        with pytest.raises(PropertyRange, match="degC"):
            function(np.array([300.0, T]))


def test_water_at_the_ends_of_its_range() -> None:
    """Steam tables (IAPWS, M): 999.8 kg/m3, 1.79 mPa s at 0 degC; 943.1 kg/m3, 198.67 kPa at 120 degC."""
    ends = np.array([0.0, 120.0]) + ZERO
    np.testing.assert_allclose(water.density(ends), [999.8, 943.1], rtol=0.0, atol=0.15)
    assert float(water.viscosity(ends)[0]) == pytest.approx(1.791e-3, rel=2e-3)
    assert float(water.saturation_pressure(ends)[1]) == pytest.approx(198.67e3, rel=1e-3)


@pytest.mark.parametrize("P", [-0.1, 30.1, 1.048])
def test_strength_outside_the_data_is_refused(P: float) -> None:
    inside = 0.0 <= P <= 30.0
    for function in (wort.density, wort.heat_capacity, wort.conductivity, wort.viscosity, wort.expansion):
        if inside:
            assert np.isfinite(function(300.0, P))
        else:
            with pytest.raises(PropertyRange, match="degP"):
                function(300.0, np.array([12.0, P]))


def test_wort_expands_even_where_water_does_not() -> None:
    """Water's own coefficient is -68e-6 1/K at 0 degC and 207e-6 at 20 (steam tables)."""
    assert float(water.expansion(0.0 + ZERO)) == pytest.approx(-68e-6, rel=0.02)
    assert float(wort.expansion(0.0 + ZERO, 12.0)) == wort.EXPANSION_FLOOR
    assert float(wort.expansion(20.0 + ZERO, 12.0)) == pytest.approx(207e-6, rel=0.01)


# --- mixing ---------------------------------------------------------------------------------------------


def test_mixing_words_and_numbers() -> None:
    assert Mixing.of("left alone").states == ((0.0, 1.0),)
    assert Mixing.of("now and then").states == ((0.0, 0.75), (0.05, 0.25))
    assert Mixing.of(0.08).states == ((0.08, 1.0),)
    assert Mixing.of("left alone", 0.3).swirl == 0.3
    for states in MIXING_WORDS.values():
        assert sum(share for _, share in states) == 1.0
    with pytest.raises(KeyError):
        Mixing.of("furiously")


def test_now_and_then_averages_heat_rates() -> None:
    def heat(mixing: str) -> np.ndarray:
        kernel = CoilPerformance(coil(), replace(batch(), mixing=Mixing.of(mixing)))
        return kernel.at(np.array([[330.0], [360.0]])).Q

    expected = 0.75 * heat("left alone") + 0.25 * heat("steady")
    np.testing.assert_allclose(heat("now and then"), expected, rtol=1e-12)


def test_swirl_runs_along_the_turns() -> None:
    """0.3 m/s at 20 degrees is more than left alone and less than the same speed straight across."""
    still, swirl, across = (
        chill(coil(), replace(batch(), mixing=m)).time[0]
        for m in (Mixing.of("left alone"), Mixing.of("left alone", 0.3), Mixing.of(0.3))
    )
    assert across < swirl < still


# --- supply ---------------------------------------------------------------------------------------------


def test_open_hose_gives_the_open_flow() -> None:
    """The bucket test holds tap and supply hose: with nothing behind them the flow is its own again."""
    tap = replace(
        Supply.tap(static_pressure=2.6e5, open_flow=13.0 * LPM, hose_bore=1.0), hose_length=0.0
    )  # an outlet so wide that its exit costs nothing
    nothing = Circuit(
        tap,
        d_i=np.array([8e-3]),
        K=np.zeros(1),
        length_ratio=np.zeros(1),
        curvature=np.array([0.03]),
    )
    np.testing.assert_allclose(nothing.flow(np.array([288.15])), 13.0 * LPM, rtol=1e-9)
    assert tap.pressure - tap.resistance * (13.0 * LPM) ** 2 == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("bore", [9.5e-3, 12.7e-3, 19e-3])
@pytest.mark.parametrize("pressure", [0.5e5, 3e5])
@pytest.mark.parametrize("length", [0.5, 15.0, 60.0])
def test_open_flow_of_a_hose(bore: float, pressure: float, length: float) -> None:
    """Blasius, Hagen-Poiseuille, tap 8 and exit 1 as a plain root in the flow, water of 15 degC by hand."""
    rho, mu = 999.1, 1.138e-3  # steam tables, 15 degC

    def excess(V: float) -> float:
        v = V / (np.pi / 4.0 * bore**2)
        Re = rho * v * bore / mu
        f = max(64.0 / Re, 0.3164 / Re**0.25)
        return pressure - 0.5 * rho * v * v * (9.0 + f * length / bore)

    ours = hydraulics.open_flow_of_hose(
        static_pressure=pressure, hose_bore=bore, hose_length=length, T=15.0 + ZERO
    )
    assert ours == pytest.approx(brentq(excess, 1e-7, 1e-1), rel=1e-3)


@pytest.mark.parametrize("d_i", [3e-3, 7.905e-3, 11.1e-3, 20e-3])
@pytest.mark.parametrize("hose", [9.5e-3, 12.7e-3, 19e-3])
@pytest.mark.parametrize("length", [3.0, 15.0, 30.0])
def test_flow_is_the_root_of_supply_and_losses(d_i: float, hose: float, length: float) -> None:
    """Every loss written out in pascal; the root by Brent. Promised: 1e-4, and 1e-6 with six rounds."""
    p, V_open, r, T = 3e5, 12.0 * LPM, d_i / 0.25, 30.0 + ZERO
    rho, mu = float(water.density(T)), float(water.viscosity(T))

    def head(V: float, d: float) -> float:
        return 0.5 * rho * (4.0 * V / (np.pi * d * d)) ** 2

    def excess(V: float) -> float:
        Re, Re_hose = (4.0 * rho * V / (np.pi * d * mu) for d in (d_i, hose))
        De = Re * r**0.5
        curved = 1.0 / (1.0 - (1.0 - (11.6 / De) ** 0.45) ** (1.0 / 0.45)) if De > 11.6 else 1.0
        f = max(64.0 / Re * curved, 0.304 / Re**0.25 + 0.029 * r**0.5)
        f_hose = max(64.0 / Re_hose, 0.3164 / Re_hose**0.25)
        b2 = (min(d_i, hose) / max(d_i, hose)) ** 2
        joints = (0.5 * (1.0 - b2) + (1.0 - b2) ** 2) * head(V, min(d_i, hose))
        tube = (f * length / d_i + 4 * 0.25 + 2 * 0.08) * head(V, d_i)
        outlet = (f_hose * 3.0 / hose + 1.0) * head(V, hose)
        return p * (1.0 - (V / V_open) ** 2) - joints - tube - outlet

    root = brentq(excess, 1e-9, V_open, xtol=1e-16, rtol=1e-12)
    tap = Supply.tap(static_pressure=p, open_flow=V_open, hose_bore=hose)
    circuit = Circuit.of(tap, np.array([d_i]), np.array([0.25]), np.array([length]))
    assert circuit.flow(np.array([T]))[0] == pytest.approx(root, rel=1e-4)
    assert circuit.flow(np.array([T]), rounds=6)[0] == pytest.approx(root, rel=1e-6)


def test_friction_factor_scales_the_coil_alone() -> None:
    tap = Supply.tap(static_pressure=3e5, open_flow=12.0 * LPM, hose_bore=12.7e-3)
    one, more = (Circuit.of(tap, np.array([8e-3]), np.array([0.25]), np.array([15.0]), f) for f in (1.0, 1.2))
    V, T = np.array([8.0 * LPM]), np.array([288.15])
    np.testing.assert_allclose(more.pressure_drop(V, T), 1.2 * one.pressure_drop(V, T), rtol=1e-12)
    np.testing.assert_array_equal(more.K, one.K)


# --- kettle ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("lid", [True, False])
def test_loss_changes_its_sign_with_the_room(lid: bool) -> None:
    """Cold wort in a warm room takes up heat; below 1.2 kPa (9.7 degC) nothing evaporates any more."""
    cold, room = 5.0 + ZERO, 25.0 + ZERO
    s = batch(T_start=cold, T_ambient=room, volume=np.pi / 4.0 * 0.36**2 * 0.19, lid=lid)
    taken_up = float(s.loss(np.asarray(cold)))
    assert taken_up < 0.0
    floor, wall = np.pi / 4.0 * 0.36**2, np.pi * 0.36 * 0.19
    convection = 1.42 * (20.0 / 0.19) ** 0.25 * -20.0
    radiation = 0.25 * 5.670374e-8 * (cold**4 - room**4)
    by_hand = floor * (8.0 if lid else 14.0) * -20.0 + wall * (convection + radiation)
    assert taken_up == pytest.approx(by_hand, rel=1e-9)


def test_no_difference_no_dry_loss() -> None:
    assert float(batch(T_ambient=300.0, lid=True).loss(np.asarray(300.0))) == 0.0
    assert float(kettle_losses.wall_loss(300.0, 300.0, 0.19)) == 0.0


def test_default_kettle_is_a_millimetre_of_stainless() -> None:
    """0.36 m wide, 0.19 m deep: 0.1018 + 0.2149 m2 of 7.93 kg/m2 at 500 J/kgK."""
    assert kettle_losses.kettle_heat_capacity(0.36, 0.19) == pytest.approx(0.31667 * 7.93 * 500.0, rel=1e-4)
    assert kettle_losses.kettle_heat_capacity(0.36, 0.19, 4.0) == 2000.0


# --- validity -------------------------------------------------------------------------------------------


def used(c: Coils, s: Scenario) -> dict[str, validity.Use]:
    T = np.linspace(s.T_target, s.T_start, 5)[:, None]
    return {use.formula: use for use in validity.uses(CoilPerformance(c, s), T)}


def test_an_ordinary_coil_stays_inside_every_range() -> None:
    found = used(coil(), batch())
    assert all(use.inside for use in found.values())
    assert "Churchill & Bernstein 1977, moving wort" in found
    assert found["Schmidt 1967, inside film"].least == pytest.approx(7.905 / 250.0)
    # About 7 L/min at some 40 degC: 4 m/(pi d mu) = 4 x 0.117/(pi x 0.0079 x 0.00065) = 29 000 (M)
    assert 15_000.0 < found["Gnielinski 1986, inside film"].most < 60_000.0


def test_still_wort_uses_no_cross_flow() -> None:
    assert not any("Bernstein" in name for name in used(coil(), batch(mixing=Mixing.of("left alone"))))
    assert any("Bernstein" in name for name in used(coil(), batch(mixing=Mixing.of("left alone", swirl=0.2))))


def test_a_tight_coil_of_wide_tube_is_said_to_be_outside() -> None:
    found = used(coil(d_o=30e-3, d_i=28e-3, D_c=0.10), batch())
    assert not found["Schmidt 1967, inside film"].inside


def test_laminar_and_turbulent_friction_are_told_apart() -> None:
    weak = Supply.tap(static_pressure=0.2e5, open_flow=12.0 * LPM, hose_bore=12.7e-3)
    narrow = used(coil(d_o=4e-3, d_i=2.5e-3, tube_length=20.0, wetted_length=2.0), batch(supply=weak))
    assert any("White" in name for name in narrow) and not any("Ito" in name for name in narrow)
    wide = used(coil(), batch())
    assert any("Ito" in name for name in wide) and not any("White" in name for name in wide)


def test_use_is_inside_up_to_its_ends() -> None:
    use = validity.Use("a formula", "Re", 1.0, 2.0, 1.0, 2.0)
    assert use.inside
    assert not replace(use, most=2.1).inside
    assert not replace(use, least=0.9).inside
