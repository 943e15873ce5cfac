"""Ice that is bought: less of it is told where the minutes that it saves are not worth its price."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock
from first_place import first_place

from optichill.files.reading import load
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.worth import worth_of
from optichill.report.choice import less_ice_text
from optichill.search.recommend import recommend

pytestmark = pytest.mark.slow


def iced(folder: Path, ice: float, price: float, **wishes: Any) -> DesignBasis:
    """A small kettle with a tap of 18 degC, then so much ice [kg] at a price."""
    house = {
        "tap": {"temperature": "18 degC"},
        "workshop": {"marking_increment": "10 mm"},
        "wishes": {"hour": 6, "water_price": 4, **wishes},
    }
    small_stock.write(folder, house)
    plan = small_stock.TAP_THEN_ICE.replace('"8 kg"', f'"{ice:g} kg"') + f"ice_price = {price:g}\n"
    with open(folder / "brewhouse.toml", "a", encoding="utf-8") as file:
        file.write(plan)
    return design_basis(load(folder))


def test_what_is_told_is_saved_when_it_is_done(tmp_path: Path) -> None:
    basis = iced(tmp_path / "much", 8.0, 1.5)
    answer = recommend(basis, top=1)
    less = answer.less_ice
    assert less is not None and less.ice < less.had == 8.0
    (text,) = less_ice_text(answer)
    assert text.startswith(f"{less.ice:g} kg instead of 8 kg in stage 2: ") and "EUR less over 60" in text
    done = first_place(iced(tmp_path / "less", less.ice, 1.5))
    assert done is not None
    saved = float(answer.designs[0].life.total - done.life.total)
    # Another coil may do still better with it, never worse by a tie.
    assert saved > less.saves - worth_of(basis).minute
    if done.id == answer.designs[0].id:
        assert saved == pytest.approx(less.saves, abs=worth_of(basis).minute)
        assert done.told["chill_time"] == pytest.approx(less.time, abs=60.0)


@pytest.mark.parametrize("price", [0.0, 0.01])
def test_cheap_ice_is_never_spared(tmp_path: Path, price: float) -> None:
    assert recommend(iced(tmp_path, 3.0, price, hour=30), top=1).less_ice is None
