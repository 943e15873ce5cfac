"""Wort: the range of its data, its density over temperature, and its expansion where water has none.

Density at 20 degC is held against the CRC Handbook, and over temperature against Plato's hydrometer table
(NBS Circular C440), in tests/world/test_reference_checks.py.
"""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from oracle import sucrose_density
from usual import ZERO

from optichill.errors import PropertyRange
from optichill.properties import water, wort


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


STRENGTHS = [5.0, 8.0, 12.0, 14.0, 16.0, 20.0, 25.0]
FROM, TO = 96.0, 18.0  # degC: after the boil; pitched


def contraction(density_hot: float, density_cold: float) -> float:
    """Share of its volume that wort loses on the way from hot to cold."""
    return 1.0 - density_hot / density_cold


def of_wort(hot: float, cold: float, P: float) -> float:
    return contraction(float(wort.density(hot + ZERO, P)), float(wort.density(cold + ZERO, P)))


@pytest.mark.parametrize("P", STRENGTHS)
def test_density_over_temperature_is_icumsas(P: float) -> None:
    """ICUMSA SPS-4's polynomial (from memory): ratio to 20 degC within 1.5e-4 from 0 to 80 degC, where its
    tables go, and on to 100. Sugar of one volume would be off by 1.2e-3 at 5 % and 6.4e-3 at 25 %."""
    for T in np.arange(0.0, 100.5, 5.0) + ZERO:
        ours = float(wort.density(T, P) / wort.density(293.15, P))
        assert ours == pytest.approx(sucrose_density(T, P) / sucrose_density(293.15, P), abs=1.5e-4), T


@pytest.mark.parametrize("P", STRENGTHS)
def test_wort_contracts_no_less_than_water(P: float) -> None:
    """The level of cold wort is told from it, and too high is the unsafe side.

    ICUMSA SPS-4 (from memory): from 96 to 18 degC water and sugar solutions up to 25 % all lose 3.75 to
    3.77 %. With sugar of one volume it would be 3.42 % at 14 %.
    """
    water_alone = of_wort(FROM, TO, 0.0)
    icumsa = contraction(sucrose_density(FROM + ZERO, P), sucrose_density(TO + ZERO, P))
    assert of_wort(FROM, TO, P) == pytest.approx(icumsa, abs=2e-4)
    assert water_alone <= of_wort(FROM, TO, P) < water_alone + 5e-4


@pytest.mark.parametrize("P", STRENGTHS)
def test_wort_contracts_more_than_with_choi_and_okos(P: float) -> None:
    """Choi & Okos 1986, carbohydrates of all kinds in food, 1599.1 - 0.31046 T_C, as CoolProp has it.

    Starch and fibre are in it, and it expands by half of what dissolved sugar does: a floor, up to 16 % less
    than 0.3 points below ours (25 %: half a point).
    """
    x = P / 100.0

    def density(T_C: float) -> float:
        T = T_C + ZERO
        sugar = PropsSI("D", "T", T, "P", 2e5, "INCOMP::FoodCarbohydrate")
        assert sugar == pytest.approx(1599.1 - 0.31046 * T_C, rel=2e-3)
        return 1.0 / ((1.0 - x) / float(water.density(T)) + x / sugar)

    theirs = contraction(density(FROM), density(TO))
    assert theirs < of_wort(FROM, TO, P) < theirs + (3e-3 if P <= 16.0 else 5e-3)


@pytest.mark.parametrize("P", STRENGTHS)
def test_density_at_cellar_temperatures_is_barbers(P: float) -> None:
    """Barber 1966, National Cancer Institute Monograph 21, sucrose below 30 degC (from memory).

    From 30 to 5 degC within 2.2e-4 of the volume; its water is off by 2.0e-4. With sugar of one volume wort
    of 14 % would lose 2.0e-3 too little.
    """
    y = P / 100.0

    def density(t: float) -> float:
        return (
            (1.0003698 + 3.9680504e-5 * t - 5.8513271e-6 * t**2)
            + (0.38982371 - 1.0578919e-3 * t + 1.2392833e-5 * t**2) * y
            + (0.17097594 + 4.7530081e-4 * t - 8.9239737e-6 * t**2) * y**2
        )

    assert of_wort(30.0, 5.0, P) == pytest.approx(contraction(density(30.0), density(5.0)), abs=2.2e-4)


@pytest.mark.parametrize("P", [8.0, 12.0, 16.0])
def test_boiling_wort_loses_four_hundredths(P: float) -> None:
    """Hot wort to 20 degC: factor 0.96 (Kunze, Technology Brewing and Malting, from memory), to 0.1 points.
    With sugar of one volume 8 % would lose 3.80."""
    assert of_wort(100.0, 20.0, P) == pytest.approx(0.040, abs=1e-3)


def test_dissolved_sucrose_has_its_molar_volume() -> None:
    """At infinite dilution 211.5 cm3/mol at 25 degC, 0.15 to 0.20 more by each kelvin (densimetry, from
    memory). Ours serves 0 to 30 degP and is up to 1 % above that of a thin solution."""
    molar = 0.3423e6 * wort.sugar_volume(np.array([15.0, 25.0, 35.0]) + ZERO)
    assert molar[1] == pytest.approx(211.5, rel=0.01)
    assert 0.14 < (molar[2] - molar[0]) / 20.0 < 0.21
