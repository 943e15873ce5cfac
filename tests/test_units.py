"""The grammar of quantities, against exact definitions and hostile text."""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill import display
from optichill.display import inch_fraction, money, show, turns
from optichill.units import KINDS, QuantityError, number, parse, plato

# NIST SP 811 appendix B (V): inch 25.4 mm, foot 12 in, US gallon 231 in3, pound 0.45359237 kg, psi = lbf/in2
# with g_n 9.80665 m/s2, degF = 1.8 degC + 32; imperial gallon 4.54609 L (UK Weights and Measures Act, V).
EXACT = [
    ("1 in", "length", Fraction("0.0254")),
    ("1 ft", "length", Fraction("0.3048")),
    ("3/8 in", "length", Fraction("0.009525")),
    ("1 1/2 in", "length", Fraction("0.0381")),
    ("14 1/2 in", "length", Fraction("0.3683")),
    ("9.5 mm", "length", Fraction("0.0095")),
    ("36 cm", "length", Fraction("0.36")),
    (".5 m", "length", Fraction("0.5")),
    ("1 gal", "volume", 231 * Fraction("0.0254") ** 3),
    ("1 qt", "volume", Fraction(231, 4) * Fraction("0.0254") ** 3),
    ("1 imp gal", "volume", Fraction("0.00454609")),
    ("20 L", "volume", Fraction("0.020")),
    ("20 l", "volume", Fraction("0.020")),
    ("0 degC", "temperature", Fraction("273.15")),
    ("-40 degF", "temperature", Fraction("233.15")),
    ("212 °F", "temperature", Fraction("373.15")),
    ("9 degF", "temperature_difference", Fraction(5)),
    ("9 °C", "temperature_difference", Fraction(9)),
    ("1 psi", "pressure", Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2),
    ("3 bar", "pressure", Fraction(300000)),
    ("25 min", "time", Fraction(1500)),
    ("1 1/2 h", "time", Fraction(5400)),
    ("1 gpm", "flow", 231 * Fraction("0.0254") ** 3 / 60),
    ("1 gal/min", "flow", 231 * Fraction("0.0254") ** 3 / 60),
    ("6 L/min", "flow", Fraction(1, 10000)),
    ("10 L in 45 s", "flow", Fraction("0.010") / 45),
    ("5 gal in 1 1/2 min", "flow", 5 * 231 * Fraction("0.0254") ** 3 / 90),
    ("1 lb", "mass", Fraction("0.45359237")),
    ("16 oz", "mass", Fraction("0.45359237")),
    ("10 cm/s", "speed", Fraction("0.1")),
    ("12 degP", "gravity", Fraction(12)),
    ("10 ft", "head", Fraction("3.048")),
]


@pytest.mark.parametrize(("text", "kind", "exact"), EXACT)
def test_conversion_is_exact_to_rounding(text: str, kind: str, exact: Fraction) -> None:
    assert parse(text, kind) == pytest.approx(float(exact), rel=1e-14)


def test_the_conversion_library_would_misread_what_the_grammar_reads() -> None:
    """Why it never parses: it takes the product of 1 and 1/2 (seen in its version 0.25)."""
    import pint

    assert pint.UnitRegistry().parse_expression("1 1/2 in").magnitude == pytest.approx(0.5)
    assert parse("1 1/2 in", "length") == pytest.approx(0.0381)


# The ASBC cubic at table points, values by the cubic in several public codes (V); 1.04838 for 12 degP and
# 1.08 region by the ASBC table (M).
@pytest.mark.parametrize(("S", "P"), [(1.03, 7.55823), (1.05, 12.3876), (1.06, 14.7414), (1.08, 19.331)])
def test_plato_from_specific_gravity(S: float, P: float) -> None:
    assert plato(S) == pytest.approx(P, abs=0.001)
    assert parse(f"{S} SG", "gravity") == plato(S)


def test_water_has_no_extract() -> None:
    assert abs(plato(1.0)) < 0.01


REFUSED = [
    ("9,5 mm", "length", "write 9.5 mm with a point"),
    ("1,200 mm", "length", "with a point"),
    ("9.5", "length", "add a unit: mm, cm, m, in, ft"),
    ("42", "volume", "add a unit: L"),
    ("", "length", "empty"),
    ("   ", "length", "empty"),
    ("nan mm", "length", "not a finite number"),
    ("inf mm", "length", "not a finite number"),
    ("-inf degC", "temperature", "not a finite number"),
    ("NaN", "length", "not a finite number"),
    ("9.5 inches", "length", "write in"),
    ('9.5"', "length", "write in"),
    ("20 liters", "volume", "write L"),
    ("5 galls", "volume", "write gal"),
    ("12 C", "temperature", "write degC"),
    ("12 L", "length", "unit of volume, not of length"),
    ("12 mm", "volume", "unit of length, not of volume"),
    ("1e3 mm", "length", "exponent"),
    ("1.5e-3 m", "length", "exponent"),
    ("1/0 in", "length", "fraction over 0"),
    ("2 1/0 in", "length", "fraction over 0"),
    ("1-1/2 in", "length", "write 1 1/2 in"),
    ("\N{MINUS SIGN}5 degC", "temperature", "write -"),
    ("-300 degC", "temperature", "below absolute zero"),
    ("mm", "length", "not a number and a unit"),
    ("1.2.3 mm", "length", "not a number and a unit"),
    ("5 mm 3 mm", "length", "unknown unit"),
    ("5 mm * 3", "length", "unknown unit"),
    ("10**10**10 mm", "length", "unknown unit"),
    ("__import__('os')", "length", "not a number and a unit"),
    ("1" * 400 + " mm", "length", "longer than 60"),
    ("٣ mm", "length", "not a number and a unit"),
    ("10 L in 0 s", "flow", "larger than 0"),
    ("10 L in 45", "flow", "add a unit: s, min, h"),
    ("10 in 45 s", "flow", "add a unit: L"),
    ("8 L", "flow", "unit of volume, not of flow"),
    ("1.048", "gravity", "add a unit: degP, SG"),
]


@pytest.mark.parametrize(("text", "kind", "fragment"), REFUSED)
def test_refused_with_a_hint(text: str, kind: str, fragment: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, kind)
    assert fragment in f"{caught.value.reason}"
    assert isinstance(caught.value, ValueError)
    assert caught.value.allowed


@pytest.mark.parametrize("value", [9.5, 3, None, True, ["1 mm"], {"a": 1}])
def test_only_text_is_a_quantity(value: object) -> None:
    with pytest.raises(QuantityError, match="add a unit"):
        parse(value, "length")  # type: ignore[arg-type]


@given(st.text(max_size=80), st.sampled_from(KINDS))
def test_any_text_is_a_finite_number_or_refused(text: str, kind: str) -> None:
    try:
        value = parse(text, kind)
    except QuantityError as error:
        assert error.reason
    else:
        assert math.isfinite(value)


_PIECES = ["1", "0", "9", ".", ",", "/", " ", "-", "+", "e", "in", "mm", "L", "s", "nan", "degC", "imp gal"]


@given(st.lists(st.sampled_from(_PIECES), max_size=12), st.sampled_from(KINDS))
def test_near_misses_are_a_finite_number_or_refused(pieces: list[str], kind: str) -> None:
    text = "".join(pieces)
    try:
        value = parse(text, kind)
    except QuantityError:
        return
    assert math.isfinite(value)
    assert "," not in text and "nan" not in text


@given(
    st.decimals(min_value=0, max_value=10_000, places=3),
    st.sampled_from(["mm", "cm", "m", "in", "ft"]),
    st.sampled_from(["", " ", "  ", "\u00a0", "\u202f"]),
)
def test_every_decimal_with_a_unit_is_read(value: object, unit: str, blank: str) -> None:
    metres = {"mm": "0.001", "cm": "0.01", "m": "1", "in": "0.0254", "ft": "0.3048"}[unit]
    exact = Fraction(str(value)) * Fraction(metres)
    assert parse(f"{value}{blank}{unit}", "length") == pytest.approx(float(exact), rel=1e-13)


@given(st.integers(0, 40), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_every_workshop_fraction_is_read(whole: int, top: int, bottom: int) -> None:
    exact = (whole + Fraction(top, bottom)) * Fraction("0.0254")
    assert parse(f"{whole} {top}/{bottom} in", "length") == pytest.approx(float(exact), rel=1e-13)


@given(st.integers(0, 800))
def test_inch_fractions_read_back(sixteenths: int) -> None:
    metres = sixteenths / 16 * 0.0254
    assert parse(inch_fraction(metres), "length") == pytest.approx(metres, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "value"), [("42", 42.0), ("-3.5", -3.5), (".5", 0.5), (7, 7.0), (2.5, 2.5), ("+1", 1.0)]
)
def test_bare_numbers(text: object, value: float) -> None:
    assert number(text) == value


@pytest.mark.parametrize(
    "text", ["nan", "inf", "1e3", "42 EUR", "3,5", "", "1/2", True, None, float("nan"), float("inf"), 10**30]
)
def test_what_is_not_a_bare_number(text: object) -> None:
    with pytest.raises(QuantityError):
        number(text)


# One line a kind: an SI value, its metric text, its US text (own arithmetic from the definitions above).
SHOWN = [
    (0.278, "length", "27.8 cm", "10 15/16 in"),
    (0.0095, "length", "9.5 mm", "3/8 in"),
    (12.0, "length", "12 m", "39.4 ft"),
    (7.62, "long_length", "7.6 m", "25 ft"),
    (0.007, "gap", "7 mm", "1/4 in"),
    (0.009525, "tube", "9.5 mm", "3/8 in"),
    (0.010, "tube", "10 mm", "0.394 in"),
    (0.000813, "wall", "0.81 mm", "0.032 in"),
    (0.2118, "volume", "210 L", "56 gal"),
    (0.0144, "volume", "14 L", "4 gal"),
    (0.0233, "exact_volume", "23.3 L", "6.16 gal"),
    (293.15, "temperature", "20 °C", "68 °F"),
    (273.1499, "temperature", "0 °C", "32 °F"),
    (5.0, "temperature_difference", "5 K", "9 °F"),
    (1559.0, "minutes", "26 min", "26 min"),
    (45.0, "time", "45 s", "45 s"),
    (8 / 6e4, "flow", "8 L/min", "2.1 gal/min"),
    (2.5, "mass", "2.5 kg", "5.5 lb"),
    (0.25, "mass", "250 g", "0.6 lb"),
    (3e5, "pressure", "3 bar", "44 psi"),
    (0.1, "speed", "0.1 m/s", "0.33 ft/s"),
    (12.0, "gravity", "12 °P", "1.048 SG"),
    (3.5, "head", "3.5 m", "11.5 ft"),
]


@pytest.mark.parametrize(("value", "kind", "metric", "us"), SHOWN)
def test_shown(value: float, kind: str, metric: str, us: str) -> None:
    assert show(value, kind) == metric
    assert show(value, kind, "us") == us


def test_every_kind_on_screens_has_an_example_here() -> None:
    assert {kind for _, kind, _, _ in SHOWN} == set(display._METRIC)


@pytest.mark.parametrize("value", [None, math.nan, math.inf])
def test_unknown_is_said(value: float | None) -> None:
    assert show(value, "minutes") == "unknown"
    assert money(value, "EUR") == "unknown"


def test_money_and_turns() -> None:
    assert money(70.6, "EUR") == "71 EUR"
    assert [turns(n) for n in (10.5, 10.2, 0.5, 9.76)] == ["10 1/2", "10", "1/2", "10"]


def _loaded(statement: str) -> str:
    after = "print(*sorted({'numpy', 'pint'} & set(sys.modules)))"
    code = f"import sys, optichill.display, optichill.units as u; {statement}; {after}"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_loads_neither_numpy_nor_pint_before_a_conversion() -> None:
    assert _loaded("optichill.display.show(1.0, 'length'), u.number('3')") == ""
    assert "pint" in _loaded("u.parse('1 mm', 'length')")
