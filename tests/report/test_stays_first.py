"""Of a coil for today and the next kettle: why it is number 1 where another costs less in both together."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from optichill.report.several.next_kettle import _stays_first


def regard(*totals: float, tie: float = 21.0) -> Any:
    coils = [
        SimpleNamespace(total=total, design=SimpleNamespace(rank=n)) for n, total in enumerate(totals, 1)
    ]
    stock = SimpleNamespace(brewhouse=SimpleNamespace(stock=SimpleNamespace(currency="USD")))
    return SimpleNamespace(coils=coils, kettles=(stock, stock), tie=tie)


def test_what_costs_less_by_less_than_a_minute_a_batch_is_said_to_be_as_good() -> None:
    (said,) = _stays_first(regard(528.0, 509.0, 510.0, 533.0))
    assert said.startswith("It stays number 1 though numbers 2 and 3 cost up to 19 USD less in all: ")
    assert "a minute with every batch of both (21 USD)" in said
    (said,) = _stays_first(regard(528.0, 509.0))
    assert "though number 2 costs up to 19 USD less" in said


def test_nothing_is_said_where_nothing_costs_less() -> None:
    assert _stays_first(regard(509.0, 509.2, 528.0)) == []
