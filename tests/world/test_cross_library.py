"""Our formulas against the same formulas of general-purpose libraries, named one against one, over grids.

Where both write down the same closed form only rounding may differ (1e-12). Water is CoolProp's own
(IAPWS-95 and its transport formulas), tabulated by us: the table may cost 1e-5.
"""

from __future__ import annotations

import csv
from collections.abc import Callable

import fluids
import ht
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from where import DATA

from optichill.correlations import friction, inside_film, outside_film
from optichill.properties import water, wort

ROUNDING = 1e-12
TABLE = 1e-5
RE = np.geomspace(50.0, 60_000.0, 25)[:, None, None]
D_I = np.array([4e-3, 7.9e-3, 14e-3])[:, None]
D_C = np.array([0.12, 0.25, 0.45])
PR = np.geomspace(1.5, 15.0, 9)


def each(function: Callable[..., float], *arrays: np.ndarray) -> np.ndarray:
    """A scalar library function over broadcast arrays."""
    return np.vectorize(function, otypes=[float])(*arrays)


# --- named formula against named formula ----------------------------------------------------------------


def test_critical_reynolds_Schmidt() -> None:
    theirs = each(fluids.helical_transition_Re_Schmidt, D_I, D_C)
    np.testing.assert_allclose(inside_film.Re_crit_helical_Schmidt(D_I, D_C), theirs, rtol=ROUNDING)


def test_friction_White() -> None:
    theirs = each(fluids.helical_laminar_fd_White, RE, D_I, D_C)
    np.testing.assert_allclose(friction.f_laminar_helical_White(RE, D_I, D_C), theirs, rtol=ROUNDING)


def test_friction_straight_Blasius() -> None:
    Re = np.geomspace(5_000.0, 90_000.0, 30)
    theirs = each(fluids.friction.Blasius, Re)
    # Both print Blasius' constant, one as 0.3164 and the other as 0.316455 = 4 x 0.0791
    np.testing.assert_allclose(friction.f_straight_smooth(Re), theirs, rtol=5e-4)
    Re = np.geomspace(1.0, 1_000.0, 10)
    np.testing.assert_allclose(
        friction.f_straight_smooth(Re), each(fluids.friction.friction_laminar, Re), rtol=ROUNDING
    )


def test_still_Churchill_Chu() -> None:
    Ra = np.geomspace(1e2, 1e9, 29)[:, None]
    theirs = each(lambda Ra, Pr: ht.Nu_horizontal_cylinder_Churchill_Chu(Pr=Pr, Gr=Ra / Pr), Ra, PR)
    np.testing.assert_allclose(
        outside_film.Nu_horizontal_cylinder_Churchill_Chu(Ra, PR), theirs, rtol=ROUNDING
    )


def test_moving_Churchill_Bernstein() -> None:
    Re = np.geomspace(1.0, 1e5, 26)[:, None]
    theirs = each(ht.Nu_cylinder_Churchill_Bernstein, Re, PR)
    np.testing.assert_allclose(outside_film.Nu_crossflow_Churchill_Bernstein(Re, PR), theirs, rtol=ROUNDING)


def test_yaw_ESDU() -> None:
    degrees = np.linspace(5.0, 90.0, 18)
    theirs = each(ht.ESDU_tube_angle_correction, degrees)
    np.testing.assert_allclose(outside_film.yaw_factor_ESDU(np.radians(degrees)), theirs, rtol=ROUNDING)


def test_straight_limit_of_turbulent_film_is_Gnielinski_with_Blasius() -> None:
    """In a straight tube (r -> 0) ours is the Petukhov-type form of ht with Blasius' factor.

    ht's own form subtracts 1000 from Re (Gnielinski 1976); the helical one (1986) does not: undone here.
    """
    Re = np.geomspace(22_000.0, 90_000.0, 12)[:, None]
    f = 0.3164 / Re**0.25
    theirs = each(lambda Re, Pr, f: ht.conv_internal.turbulent_Gnielinski(Re=Re, Pr=Pr, fd=f), Re, PR, f)
    ours = inside_film.Nu_turbulent_helical_Gnielinski(Re, PR, 1e-12, 1e6)
    np.testing.assert_allclose(ours, theirs * Re / (Re - 1000.0), rtol=1e-8)


# --- other published forms: how far they spread ---------------------------------------------------------


def test_published_turbulent_films_spread_by_13_percent() -> None:
    """Re 30 000, Pr 7: Mori & Nakayama 1967, Xin & Ebadian 1997 (both from ht, V), Rogers & Mayhew 1964 (M).

    With ours they lie within a factor of 1.13 of their middle; ours, the newest, is the highest.
    """
    Re, Pr, d_i, D_c = 30_000.0, 7.0, 7.9e-3, 0.25
    others = [
        ht.conv_internal.helical_turbulent_Nu_Mori_Nakayama(Re, Pr, Di=d_i, Dc=D_c),
        ht.conv_internal.helical_turbulent_Nu_Xin_Ebadian(Re, Pr, Di=d_i, Dc=D_c),
        0.023 * Re**0.85 * Pr**0.4 * (d_i / D_c) ** 0.1,
    ]
    ours = float(inside_film.Nu_turbulent_helical_Gnielinski(Re, Pr, d_i, D_c))
    assert max(others) < ours
    assert (ours / min(others)) ** 0.5 == pytest.approx(1.13, abs=0.015)


OTHER_FRICTION = [
    fluids.helical_turbulent_fd_Mori_Nakayama,
    fluids.helical_turbulent_fd_Schmidt,
    fluids.helical_turbulent_fd_Mandal_Nigam,
    fluids.helical_turbulent_fd_Czop,
]


@pytest.mark.parametrize("other", OTHER_FRICTION)
def test_other_turbulent_friction_within_the_published_spread(other: Callable[..., float]) -> None:
    Re = np.array([12_000.0, 20_000.0, 40_000.0])
    theirs = each(lambda Re: other(Re, 7.9e-3, 0.25), Re)
    ours = friction.f_turbulent_helical_Ito(Re, 7.9e-3, 0.25)
    np.testing.assert_allclose(ours, theirs, rtol=0.15)


# --- water and wort -------------------------------------------------------------------------------------

T_WATER = np.linspace(273.65, 373.0, 173)  # off the table's own points
WATER: dict[str, tuple[Callable[[np.ndarray], np.ndarray], str]] = {
    "density": (water.density, "D"),
    "viscosity": (water.viscosity, "V"),
    "conductivity": (water.conductivity, "L"),
    "heat capacity": (water.heat_capacity, "C"),
    "expansion": (water.expansion, "ISOBARIC_EXPANSION_COEFFICIENT"),
}


def coolprop(key: str, T: np.ndarray, pressure: float) -> np.ndarray:
    return np.asarray(PropsSI(key, "T", T, "P", pressure, "Water"))


@pytest.mark.parametrize("name", WATER)
def test_water(name: str) -> None:
    function, key = WATER[name]
    theirs = coolprop(key, T_WATER, 2e5)
    # Expansion crosses zero at 4 degC: compared on its own scale there.
    np.testing.assert_allclose(
        function(T_WATER), theirs, rtol=TABLE, atol=1e-9 if name == "expansion" else 0.0
    )


def test_water_pressure_does_not_matter() -> None:
    """At one atmosphere, as in an open hose, water is within 1.5e-4 (cold viscosity) of the table's 2 bar."""
    T = T_WATER[T_WATER < 372.0]
    for name in ("density", "viscosity", "conductivity", "heat capacity"):
        function, key = WATER[name]
        np.testing.assert_allclose(function(T), coolprop(key, T, 101_325.0), rtol=1.5e-4)


def test_water_enthalpy_differences() -> None:
    """Only differences count; the origin is free."""
    theirs = coolprop("H", T_WATER, 2e5)
    ours = water.enthalpy(T_WATER)
    np.testing.assert_allclose(ours - ours[0], theirs - theirs[0], rtol=TABLE, atol=0.01)


def test_water_prandtl() -> None:
    np.testing.assert_allclose(water.prandtl(T_WATER), coolprop("PRANDTL", T_WATER, 2e5), rtol=3e-5)


def test_water_saturation_pressure() -> None:
    theirs = np.asarray(PropsSI("P", "T", T_WATER, "Q", 0.0, "Water"))
    np.testing.assert_allclose(water.saturation_pressure(T_WATER), theirs, rtol=TABLE)


def test_sugar_free_wort_is_water() -> None:
    for wort_of, water_of in (
        (wort.density, water.density),
        (wort.heat_capacity, water.heat_capacity),
        (wort.conductivity, water.conductivity),
        (wort.viscosity, water.viscosity),
    ):
        np.testing.assert_allclose(wort_of(T_WATER, 0.0), water_of(T_WATER), rtol=ROUNDING)


def sucrose(quantity: str) -> tuple[np.ndarray, np.ndarray]:
    """Strength and value of the CRC Handbook's rows at 20 degC (verified, see data/checks.csv)."""
    with (DATA / "checks.csv").open(newline="", encoding="utf-8") as stream:
        rows = [r for r in csv.DictReader(stream) if r["quantity"] == f"{quantity} sucrose soln 20 C"]
    return np.array([float(r["inputs"].split()[0]) for r in rows]), np.array(
        [float(r["value"]) for r in rows]
    )


def test_wort_against_sucrose_in_one_sweep() -> None:
    """CRC Handbook, 5 to 24 % at 20 degC: density to 0.5 kg/m3, viscosity to 1 %, each in one array call."""
    strength, density = sucrose("density")
    assert strength.size == 8
    np.testing.assert_allclose(wort.density(293.15, strength), density, rtol=0.0, atol=0.5)
    strength, viscosity = sucrose("viscosity")
    assert strength.size == 8
    np.testing.assert_allclose(wort.viscosity(293.15, strength) * 1e3, viscosity, rtol=0.01)


def test_plato_inverts_the_sugar_density() -> None:
    """The ASBC cubic, SG 20/20, against the density of sugar solutions: 0.1 degP up to 25 degP.

    The two come from different tables (ASBC; CRC), so this checks each against the other.
    """
    P = np.linspace(2.0, 25.0, 24)
    SG = wort.density(293.15, P) / water.density(293.15)
    np.testing.assert_allclose(wort.plato_from_SG(SG), P, rtol=0.0, atol=0.1)
