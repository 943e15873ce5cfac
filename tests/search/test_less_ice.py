"""Ice that is bought: less of it is told where the minutes that it saves are not worth its price."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from first_place import first_place

from optichill.files.reading import load
from optichill.owned.improve import ranked
from optichill.owned.improve.seen import Seen
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.worth import worth_of
from optichill.rating.likely import wears_out
from optichill.report.choice import less_ice_text
from optichill.report.improve.not_worth import reason_against
from optichill.search.designs import as_coil
from optichill.search.less_ice import amount_that_does
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
    for lasts, now, said in (
        (0.7, 1.0, "; it lasts to the end in 7 of 10 batches, surely now"),
        (0.7, 0.88, "; it lasts to the end in 7 of 10 batches, 9 of 10 now"),
        (0.7, 0.72, "; it lasts to the end in 7 of 10 batches ("),
        (0.97, 1.0, None),
    ):
        (told,) = less_ice_text(replace(answer, less_ice=replace(less, lasts=lasts, lasts_now=now)))
        assert said in told if said else "lasts" not in told
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


@pytest.mark.parametrize("least", [1.0, 3.0, 5.5, 8.5])
@pytest.mark.parametrize("best", [0.5, 2.0, 6.0, 7.5])
def test_the_amount_is_the_best_of_all_that_last(least: float, best: float) -> None:
    """Against every amount; what an amount saves has one summit, and below `least` it does not last."""

    def saves(ice: float) -> float:
        return -np.inf if ice < least else 10.0 - abs(ice - best)

    every = 0.5 * np.arange(1, 18)
    assert amount_that_does(9.0, "metric", saves) == max(every.tolist(), key=saves)


def test_what_does_not_last_is_no_amount() -> None:
    assert amount_that_does(9.0, "metric", lambda ice: -np.inf) is None
    assert amount_that_does(9.0, "metric", lambda ice: -1.0) is None
    assert amount_that_does(0.5, "metric", lambda ice: 1.0) is None


def test_a_search_and_the_owner_of_its_coil_hear_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same amount, saving the same, lasting as often; never so little that it fails in most batches."""
    monkeypatch.setattr(ranked, "another_coil", lambda *_: None)
    basis = iced(tmp_path, 8.0, 1.5)
    answer = recommend(basis, top=1)
    less = answer.less_ice
    assert less is not None
    inputs = replace(load(tmp_path), coil=as_coil(answer.designs[0]))
    found = ranked.improve(inputs)
    (told,) = [f for f in (*found.helps, *found.not_worth) if f.change.kind == "less ice"]
    assert told in found.helps
    assert told.change.told["ice"] == pytest.approx(less.ice)
    minute = worth_of(basis).minute
    assert told.net == pytest.approx(less.saves, abs=0.25 * minute)
    assert told.then.likely.held["ice"] == pytest.approx(less.lasts, abs=0.03)
    assert not wears_out(found.now.likely, told.then.likely, basis.brewhouse.limits.sure)
    # One step less saves more, and does not last: or saves less.
    lines = [replace(e, value=f"{less.ice - 0.5:g} kg") for e in told.change.edits if e.key == "ice"]
    then = Seen(ranked.changed(inputs, lines))  # type: ignore[arg-type]
    one_less = ranked.Found(found.now, replace(told.change, edits=tuple(lines)), then)
    assert one_less.wears_out or one_less.net <= told.net
    assert all(reason_against(f) for f in found.not_worth if f.net < 0.0 and f.quicker)
