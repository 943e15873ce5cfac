"""The grammar of quantities, against exact definitions and hostile text."""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.unit_table import KINDS, UNITS, allowed, in_si
from optichill.units import QuantityError, number, parse, plato, read

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
    ("60 gph", "flow", 231 * Fraction("0.0254") ** 3 / 60),
    ("60 gal/h", "flow", 231 * Fraction("0.0254") ** 3 / 60),
    ("5 gal in 1 min 30 s", "flow", 5 * 231 * Fraction("0.0254") ** 3 / 90),
    ("5 gal in 1 1/2 min", "flow", 5 * 231 * Fraction("0.0254") ** 3 / 90),
    ("1 lb", "mass", Fraction("0.45359237")),
    ("16 oz", "mass", Fraction("0.45359237")),
    ("1 ft 1 in", "length", 13 * Fraction("0.0254")),
    ("5 ft 6 1/2 in", "length", Fraction("66.5") * Fraction("0.0254")),
    ("1 m 20 cm", "length", Fraction("1.2")),
    ("2 min 30 s", "time", Fraction(150)),
    ("1 h 2 min 3.5 s", "time", Fraction("3723.5")),
    ("1 h 5 s", "time", Fraction(3605)),
    ("1 m 50 mm", "length", Fraction("1.05")),
    ("6 lb 4 oz", "mass", Fraction("6.25") * Fraction("0.45359237")),
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


# What can mean one thing only, as it would be written here. Symbols and their case by the SI brochure, 9th
# edition, tables 2, 7 and 8 (M): no prefix and no other unit makes Kg, Cm, Min or °c anything else.
UNDERSTOOD = [
    ("98 °c", "temperature", "98 degC"),
    ("98 degc", "temperature", "98 degC"),
    ("98 ºC", "temperature", "98 degC"),
    ("98 Celsius", "temperature", "98 degC"),
    ("68F", "temperature", "68 degF"),
    ("12 C", "temperature", "12 degC"),
    ("5 C", "temperature_difference", "5 degC"),
    ("4 Kg", "mass", "4 kg"),
    ("4 KG", "mass", "4 kg"),
    ("3 lbs", "mass", "3 lb"),
    ("1 hrs", "time", "1 h"),
    ("25 Minutes", "time", "25 min"),
    ("500 ml/min", "flow", "500 mL/min"),
    ("8 litres per minute", "flow", "8 L/min"),
    ("8 LPM", "flow", "8 L/min"),
    ("10 liters in 45 seconds", "flow", "10 L in 45 s"),
    ("50 cl", "volume", "50 cL"),
    ("20 liters", "volume", "20 L"),
    ("5 UK gal", "volume", "5 imp gal"),
    ("5 Gallons", "volume", "5 gal"),
    ("40 Cm", "length", "40 cm"),
    ("400 MM", "length", "400 mm"),
    ('15"', "length", "15 in"),
    ('1 1/2"', "length", "1 1/2 in"),
    ("3/8 in.", "length", "3/8 in"),
    ("13.5 inches", "length", "13.5 in"),
    ("0.3 KPA", "pressure", "0.3 kPa"),
    ("1.048 sg", "gravity", "1.048 SG"),
    ("20 gph", "flow", "20 gal/h"),
    ("5' 6\"", "length", "5 ft 6 in"),
    ("5'6 1/2''", "length", "5 ft 6 1/2 in"),
    ("1 hr 30 min", "time", "1 h 30 min"),
    ("1h30min", "time", "1 h 30 min"),
    ("6 lbs. 4 oz.", "mass", "6 lb 4 oz"),
    ("12 °Plato", "gravity", "12 degP"),
    ("0.1 m/sec", "speed", "0.1 m/s"),
]


@pytest.mark.parametrize(("text", "kind", "meant"), UNDERSTOOD)
def test_a_unit_written_otherwise_is_read_and_said(text: str, kind: str, meant: str) -> None:
    value, heard = read(text, kind)
    assert heard == meant
    assert value == parse(text, kind) == parse(meant, kind)
    assert read(meant, kind) == (value, "")


@pytest.mark.parametrize(
    ("text", "kind", "exact"),
    [
        ("0.3 MPa", "pressure", 3e5),
        ("50 cL", "volume", 5e-4),
        ("500 mL/min", "flow", 5e-4 / 60),
        ("5 gal 2 qt", "volume", 5.5 * 231 * 0.0254**3),
        ("23 L 500 mL", "volume", 0.0235),
        ("1.000 SG", "gravity", 0.0),  # water
        ("1.130 SG", "gravity", 30.0),  # ASBC table: 30 degP is 1.1290 (M)
    ],
)
def test_more_units(text: str, kind: str, exact: float) -> None:
    assert parse(text, kind) == pytest.approx(exact, rel=1e-14)


# US or imperial, of which scale, of which size: whatever a hint said, half of those who obey would be wrong.
@pytest.mark.parametrize(
    ("text", "kind"),
    [("98 deg", "temperature"), ("8 pt", "mass"), ("5 UK gal/min", "flow"), ("1 d", "time"),
     ("3 mPa", "pressure"), ("3 Mpa", "pressure"), ("3 Mbar", "pressure"), ("20 ML", "volume"),
     ("4 Mg", "mass"), ("400 Mm", "length"), ("400 M", "length"), ("12 fl oz", "volume"), ("5 gr", "mass"),
     ("12 Brix", "gravity"), ("2 mph", "speed"), ("5 zoll", "length")],
)  # fmt: skip
def test_what_can_mean_two_things_gets_the_list_and_no_guess(text: str, kind: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, kind)
    assert caught.value.reason == f"unknown unit '{text.split(' ', 1)[1]}'"
    assert caught.value.allowed == allowed(kind)


@pytest.mark.parametrize("kind", KINDS)
def test_every_unit_allowed_is_read_and_every_unit_read_is_allowed(kind: str) -> None:
    listed = allowed(kind).partition("; units ")[2].split(", ")
    values = {parse(f"1 {unit}", kind) for unit in UNITS[kind][1]}
    assert {parse(f"1 {unit}", kind) for unit in listed} == values


def test_pounds_are_allowed() -> None:
    assert allowed("mass") == "6 kg or 13 lb; units kg, g, lb, oz"


REFUSED = [
    ("9,5 mm", "length", "write 9.5 mm with a point"),
    ("1,200 mm", "length", "can be 1.2 or 1200: write 1.2 mm or 1200 mm"),
    ("-12,345 mm", "length", "can be -12.345 or -12345: write -12.345 mm or -12345 mm"),
    ("0,125 in", "length", "write 0.125 in with a point"),
    ("1,20 m", "length", "write 1.20 m with a point"),
    ("1,200.5 mm", "length", "write 1200.5 mm"),
    ("1.200,5 mm", "length", "write 1200.5 mm"),
    ("1,200,000 mm", "length", "write 1200000 mm"),
    ("1,2,3 mm", "length", "commas and points are mixed"),
    ("9.5", "length", "add a unit: mm, cm, m, in, ft"),
    ("42", "volume", "add a unit: L"),
    ("", "length", "empty"),
    ("   ", "length", "empty"),
    ("nan mm", "length", "not a finite number"),
    ("inf mm", "length", "not a finite number"),
    ("-inf degC", "temperature", "not a finite number"),
    ("NaN", "length", "not a finite number"),
    ("5 galls", "volume", "unknown unit 'galls'"),
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
    ("5 mm 3 mm", "length", "each less than one of the unit before, such as 1 "),
    ("1 in 1 ft", "length", "each less than one of the unit before, such as 1 "),
    ("1 ft 1 ft", "length", "each less than one of the unit before, such as 1 "),
    ("1 ft 14 in", "length", "each less than one of the unit before, such as 1 "),
    ("1.5 ft 2 in", "length", "each less than one of the unit before, such as 1 "),
    ("1 m 1 in", "length", "unknown unit"),
    ("1 m 30 s", "time", "unknown unit"),
    ("1 h 30", "time", "as a sum write 1 h 30 min"),
    ("1:30 h", "time", "as a sum write 1 h 30 min"),
    ("1 hr and 30 min", "time", "as a sum write 1 h 30 min"),
    ("1 ft, 1 in", "length", "as a sum write 1 ft 1 in"),
    ("1 ft 6", "length", "as a sum write 1 ft 6 in"),
    ("5 gal 5 qt", "volume", "such as 1 gal 2 qt"),
    ("-1 ft 1 in", "length", "unknown unit"),
    ("1 ft 1/0 in", "length", "unknown unit"),
    # US and imperial pint: 1/8 of 3.785411784 L and of 4.54609 L
    ("8 pt", "volume", "write 3.79 L or 4.55 L"),
    ("40 Pints", "volume", "US pints, 18.9 L, or imperial pints, 22.7 L"),
    ("3 pt/min", "flow", "write 1.42 L/min or 1.7 L/min"),
    ("3 pints per minute", "flow", "US pints, 1.42 L/min, or imperial pints, 1.7 L/min"),
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


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1,200", "can be 1.2 or 1200: write 1.2 or 1200"),
        ("59,90", "write 59.90 with a point"),
        ("1,200.50", "write 1200.50"),
        ("1.200,50", "write 1200.50"),
    ],
)
def test_a_bare_number_with_a_comma(text: str, said: str) -> None:
    """The hint, when it is obeyed, is a number that was meant."""
    with pytest.raises(QuantityError, match=said):
        number(text)


def _loaded(statement: str) -> str:
    after = "print(*sorted({'numpy', 'pint'} & set(sys.modules)))"
    code = f"import sys, optichill.display, optichill.units as u; {statement}; {after}"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_loads_neither_numpy_nor_pint() -> None:
    assert _loaded("optichill.display.show(1.0, 'length'), u.number('3')") == ""
    assert _loaded("u.parse('12 degF', 'temperature')") == ""


def test_every_unit_is_what_pint_has_it_in_its_own_list() -> None:
    import pint

    theirs = pint.UnitRegistry()
    for kind, (si, units) in UNITS.items():
        for unit in units.values() if kind != "gravity" else ():
            for value in (1.0, 37.5):
                assert in_si(value, unit) == pytest.approx(
                    theirs.Quantity(value, unit).to(si).magnitude, rel=1e-14
                ), unit
