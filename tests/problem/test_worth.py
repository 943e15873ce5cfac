"""What an hour and a litre are worth: stated, or by the list's copper."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_stock
from first_place import first_place

from optichill.errors import InputFaults
from optichill.problem.worth import worth_of

ICED = [
    {"source": "tap", "until": "40 degC"},
    {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "8 kg", "ice_price": 0.6},
]


def test_an_hour_and_a_cubic_metre_follow_the_price_of_copper(tmp_path: Path) -> None:
    """41 for 10 m and 71 for 15 m of annealed copper, 20 for 5 m of hard: the median is 4.10 a metre."""
    worth = worth_of(small_stock.of(tmp_path))
    assert (worth.hour, worth.water, worth.ice) == pytest.approx((1.3 * 4.1, 0.9 * 4.1, 0.0))
    assert set(worth.assumed) == {"hour", "water_price", "ice_price", "batches", "good_time", "coils_wound"}


def test_what_is_stated_counts(tmp_path: Path) -> None:
    stated = {
        "batches": 25, "hour": 12, "water_price": 5.5, "ice_price": 0.9,
        "good_time": "15 min", "coils_wound": 2,
    }  # fmt: skip
    worth = worth_of(small_stock.of(tmp_path, {"wishes": stated, "cooling": ICED}))
    assert (worth.batches, worth.hour, worth.water, worth.ice) == (25, 12.0, 5.5, 0.9)
    assert (worth.good_time, worth.practised, worth.assumed) == (900.0, True, ())


def test_ice_that_is_not_priced_costs_what_the_plan_says(tmp_path: Path) -> None:
    assert worth_of(small_stock.of(tmp_path, {"cooling": ICED})).ice == 0.6


@pytest.mark.parametrize(
    ("key", "value"),
    [("batches", 0), ("batches", 2.5), ("hour", -1), ("good_time", "10 L"), ("coils_wound", -1)],
)
def test_a_wish_that_cannot_be_is_refused_by_name(tmp_path: Path, key: str, value: object) -> None:
    with pytest.raises(InputFaults, match=f"wishes.{key}"):
        small_stock.of(tmp_path, {"wishes": {key: value}})


def with_prices(times: float) -> small_stock.Lists:
    lists = small_stock.lists()
    for rows in lists.values():
        for row in rows:
            if row.get("price"):
                row["price"] = f"{float(row['price']) * times:.2f}"
    return lists


@pytest.mark.parametrize("times", [25.0, 160.0])
def test_prices_of_another_currency_rank_the_same(tmp_path: Path, times: float) -> None:
    """The front tells money in whole units: small money leaves more coils apart, the first stays."""
    here, there = (first_place(small_stock.of(tmp_path / str(t), {}, with_prices(t))) for t in (1.0, times))
    assert here is not None and there is not None
    assert here.life.total * times == pytest.approx(there.life.total, rel=0.002)
    assert here.winding.tube.stock_id == there.winding.tube.stock_id
