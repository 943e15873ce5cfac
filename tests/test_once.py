"""What the tests work out once is what they would work out again, and is asked anew of anything else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from once import Searches, once
from usual import batch, coil

from optichill.materials import COPPER, MATERIALS
from optichill.thermal.coil_performance import ROUGH, SEARCH
from optichill.thermal.cooldown import Chill, chill
from optichill.thermal.priors import Factors


def test_only_the_same_question_gets_the_same_answer() -> None:
    asked = []

    def counted(*given: Any) -> Chill:
        asked.append(given)
        return chill(*given)

    ask, s = once(counted), batch()
    first = ask(coil(), s, SEARCH)
    assert ask(coil(), batch(), replace(SEARCH)) is first and len(asked) == 1
    others = (
        (coil(pitch=13e-3), s, SEARCH),
        (coil(pitch=np.array([14e-3, 13e-3])), s, SEARCH),
        (coil(), replace(s, volume=21e-3), SEARCH),
        (coil(), replace(s, factors=Factors(inner=np.array([0.9]))), SEARCH),
        (coil(), replace(s, stages=(replace(s.stages[0], until=300.0), *s.stages)), SEARCH),
        (coil(), s, ROUGH),
    )
    for number, other in enumerate(others, 2):
        np.testing.assert_array_equal(ask(*other).time, chill(*other).time)
        assert ask(*other).time is not first.time and len(asked) == number
    with pytest.raises(ValueError, match="read-only"):
        first.time[0] = 0.0


def test_only_the_same_brewhouse_gets_the_same_search(tmp_path: Path) -> None:
    searches = Searches(lambda *_, **__: object(), lambda *_, **__: object())  # type: ignore[arg-type,return-value]
    lists = small_stock.lists()
    basis = small_stock.of(tmp_path / "one", {}, lists)
    first = searches.search(basis)
    assert searches.search(small_stock.of(tmp_path / "same", {}, lists), tell=print) is first
    answer = searches.answer(first)
    assert searches.answer(first) is answer is not searches.answer(first, top=2)
    lists["tubing"][0]["price"] = "41.01"
    others = (
        (small_stock.of(tmp_path / "price", {}, lists), {}),
        (small_stock.of(tmp_path / "limit", {"limits": {"budget": 90}}), {}),
        (basis, {"tube": "cu-10-10"}),
        (basis, {"form": "pot"}),
    )
    found = [searches.search(other, **only) for other, only in others]
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(MATERIALS, "copper", replace(COPPER, conductivity=300.0))
        found.append(searches.search(basis))
    searches.afresh = True
    found.append(searches.search(basis))
    assert len({id(first), *map(id, found)}) == 7 and searches.answer(first) is not answer
