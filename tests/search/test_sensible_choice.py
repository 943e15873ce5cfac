"""Whether the first place is one that a sensible person would take: what does not matter moves nothing, and
what matters moves it the way it should."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from first_place import first_place, totals
from kettles import kettle
from tiers import count

from optichill.problem.worth import worth_of
from optichill.search.designs import Design
from optichill.search.recommend import search_space


def first(folder: Path, house: dict[str, Any], stock: small_stock.Lists | None = None) -> Design | None:
    folder.mkdir(parents=True)
    return first_place(small_stock.of(folder, house, stock))


def with_junk(kind: str) -> small_stock.Lists:
    """The lists with a row that nobody would buy."""
    lists = small_stock.lists()
    tube, form = lists["tubing"][0], lists["forms"][0]
    if kind == "a form too wide":
        lists["forms"].append({**form, "form_id": "drum", "outer_diameter": "70 cm", "owned": "no"})
    else:
        length, price = {"a short cheap roll": ("2 m", "8.2"), "a dear roll": ("10 m", "410")}[kind]
        lists["tubing"].append({**tube, "stock_id": "junk", "length": length, "price": price})
    return lists


JUNK = ("a short cheap roll", "a dear roll", "a form too wide")


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(count(3, 50)))
def test_rows_that_nobody_would_buy_change_nothing(tmp_path: Path, seed: int) -> None:
    house = kettle(np.random.default_rng([20261128, seed]))
    house["wishes"] = {"hour": 6, "water_price": 4}  # else the dear roll makes an hour dearer
    found = first(tmp_path / "without", house)
    for kind in JUNK:
        other = first(tmp_path / kind.replace(" ", "-"), house, with_junk(kind))
        assert (found and found.id) == (other and other.id), kind


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(count(3, 50)))
def test_dearer_water_never_makes_the_coil_thirstier_nor_more_batches_dearer_to_run(
    tmp_path: Path, seed: int
) -> None:
    """The least of sums of money moves one way when one of its prices does."""
    house = kettle(np.random.default_rng([20261129, seed]))
    water, running = [], []
    for price in (0.5, 4, 30):
        found = first(tmp_path / f"water-{price}", {**house, "wishes": {"hour": 6, "water_price": price}})
        if found is None:
            return
        water.append(round(float(found.life.water) / price, 9))
    for batches in (10, 60, 400):
        wishes = {"hour": 6, "water_price": 4, "batches": batches}
        found = first(tmp_path / f"batches-{batches}", {**house, "wishes": wishes})
        assert found is not None
        running.append(round(float(found.life.waiting + found.life.water + found.life.ice) / batches, 9))
    assert water == sorted(water, reverse=True)
    assert running == sorted(running, reverse=True)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(count(4, 40)))
def test_a_limit_that_the_first_holds_already_changes_nothing(tmp_path: Path, seed: int) -> None:
    house = kettle(np.random.default_rng([20261130, seed]))
    found = first(tmp_path / "without", house)
    if found is None:
        return
    spare = 1.02
    held = {
        "budget": round(spare * found.bill.total, 2),
        "water": f"{1e3 * spare * found.goals['water']:.1f} L",
        "difficulty": round(spare * found.difficulty, 2),
    }
    other = first(tmp_path / "with", {**house, "limits": {**house["limits"], **held}})
    assert other is not None and other.id == found.id


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(count(2, 20)))
def test_a_hundredth_more_or_less_on_prices_keeps_the_first_within_its_tie(tmp_path: Path, seed: int) -> None:
    rng = np.random.default_rng([20261201, seed])
    house = kettle(rng)
    basis = small_stock.of(tmp_path / "as-it-is", house)
    total = totals(search_space(basis))
    if not total:
        return
    for i in range(count(3, 10)):
        lists = small_stock.lists()
        for row in lists["tubing"]:
            row["price"] = f"{float(row['price']) * rng.uniform(0.99, 1.01):.2f}"
        other = first(tmp_path / str(i), house, lists)
        assert other is not None
        assert total[other.id] <= min(total.values()) + worth_of(basis).minute
