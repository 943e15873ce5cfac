"""Money as shops and bills print it."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.money import bill_figures, money


@pytest.mark.parametrize("value", [None, math.nan, math.inf])
def test_unknown_is_said(value: float | None) -> None:
    assert money(value, "EUR") == "unknown"


def test_half_goes_up() -> None:
    assert [money(a, "EUR") for a in (70.6, 70.5, 71.5)] == ["71 EUR", "71 EUR", "72 EUR"]


@given(st.lists(st.floats(0.01, 900.0), min_size=1, max_size=12), st.sampled_from([1.0, 40.0, 18000.0, 1e6]))
def test_a_bill_adds_up_as_it_is_printed_at_any_scale(prices: list[float], scale: float) -> None:
    """In a currency of small coins the total lost its cents, and the lines under ten thousand did not; and
    added in another order the total fell on the other side of a half."""
    amounts = [price * scale for price in prices]
    for decimals in (0, 1, 2):
        *lines, total = bill_figures(amounts, sum(sorted(amounts)), decimals)
        assert sum(Decimal(line.replace(",", "")) for line in lines) == Decimal(total.replace(",", ""))
