"""SI as a person reads it: metric, and as a US workshop has it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill import display
from optichill.display import inch_fraction, show, turns
from optichill.units import parse

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
    (0.1 / 6e4, "flow", "0.1 L/min", "0.026 gal/min"),
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


def test_turns_to_the_half() -> None:
    assert [turns(n) for n in (10.5, 10.2, 0.5, 9.76)] == ["10 1/2", "10", "1/2", "10"]


@given(st.integers(0, 800))
def test_inch_fractions_read_back(sixteenths: int) -> None:
    metres = sixteenths / 16 * 0.0254
    assert parse(inch_fraction(metres), "length") == pytest.approx(metres, abs=1e-12)
