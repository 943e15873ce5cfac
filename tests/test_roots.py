"""Roots by halving, against scipy's."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from optichill.roots import root


@given(st.floats(-0.9, 0.9), st.floats(0.1, 5.0), st.booleans())
def test_as_scipy_finds_it(a: float, b: float, falls: bool) -> None:
    def of(x: float) -> float:
        return (-1.0 if falls else 1.0) * (math.tanh(b * x) - a)

    low, high = -30.0, 40.0
    assert root(of, low, high) == pytest.approx(brentq(of, low, high, xtol=1e-14), abs=1e-10)


@pytest.mark.parametrize(("low", "high"), [(0.0, 3.0), (-3.0, 0.0)])
def test_a_root_at_a_bound_is_found(low: float, high: float) -> None:
    assert root(lambda x: x, low, high) == 0.0


@pytest.mark.parametrize("of", [lambda x: x * x + 1.0, lambda x: math.nan])
def test_without_a_change_of_sign_there_is_none(of: object) -> None:
    with pytest.raises(ValueError, match="no change of sign"):
        root(of, -1.0, 1.0)  # type: ignore[arg-type]
