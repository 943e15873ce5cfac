"""The first of an answer against every row of the unpruned product, on kettles drawn at random, with ice that
is bought and without: none costs less over its life by what a person could see."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from first_place import first_place
from kettles import kettle
from tiers import count

from optichill.files.reading import load
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.worth import worth_of
from optichill.search.evaluate import chilled, rows
from optichill.search.least import lifetime_by_medians
from optichill.search.lifetime import lifetime_of
from optichill.search.sampled import samples_of
from optichill.search.space import space

RIVALS = 200
"""Rows of the product that are looked at in all draws: those of least cost by the medians."""

pytestmark = pytest.mark.slow


def drawn(folder: Path, seed: int) -> DesignBasis:
    """A random household with wishes of its own; of three, one buys ice."""
    rng = np.random.default_rng([13, seed])
    house: dict[str, Any] = kettle(rng)
    house["wishes"] = {
        "batches": int(rng.integers(10, 200)),
        "hour": round(float(rng.uniform(1.0, 20.0)), 1),
        "water_price": round(float(rng.uniform(0.0, 20.0)), 1),
    }
    small_stock.write(folder, house)
    if rng.random() < 0.35:
        plan = small_stock.TAP_THEN_ICE.replace('"8 kg"', f'"{rng.uniform(4.0, 9.0):.1f} kg"')
        with open(folder / "brewhouse.toml", "a", encoding="utf-8") as file:
            file.write(f"{plan}ice_price = {rng.uniform(0.2, 2.0):.2f}\n")
    return design_basis(load(folder))


def least(basis: DesignBasis) -> float:
    """Cost over its life of the best row there is, valve open; inf where none holds every limit."""
    whole = space(basis, prune=False)
    numbers = np.arange(0, whole.size, len(whole.valve_shares))
    r = rows(whole, numbers)
    result, physical = chilled(whole, r, np.arange(len(r)))
    r.checks.merge(physical)
    holds = np.flatnonzero(~r.checks.broken().any(axis=0))
    if not holds.size:
        return np.inf
    roughly = lifetime_by_medians(whole, r, result)[holds]
    some = rows(whole, numbers[holds[np.argsort(roughly, kind="stable")[:RIVALS]]])
    life = lifetime_of(whole, some, samples_of(whole, some, np.arange(len(some)), basis.scenario))
    return float(life.total.min())


@pytest.mark.parametrize("seed", range(count(4, 200)))
def test_none_costs_less_by_a_quarter_of_a_tie(tmp_path: Path, seed: int) -> None:
    basis = drawn(tmp_path, seed)
    best, found = least(basis), first_place(basis)
    first = float(found.life.total) if found is not None else np.inf
    assert first <= best + 0.25 * worth_of(basis).minute
