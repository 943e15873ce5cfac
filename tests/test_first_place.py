"""The short way to the first place comes to what the whole answer has."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock
from first_place import first_of, totals

from optichill.search.designs import as_coil
from optichill.search.recommend import recommendation_of, search_space
from optichill.search.tradeoff import weigh


@pytest.mark.parametrize(
    "house", [{"workshop": {"flow_settings": ["full", "half"]}}, {"limits": {"budget": 1}}]
)
def test_it_is_that_of_the_answer(tmp_path: Path, house: dict[str, Any]) -> None:
    few = small_stock.lists()
    few["tubing"], few["forms"] = few["tubing"][:1], few["forms"][:2]
    searched = search_space(small_stock.of(tmp_path, house, few))
    answer, front = recommendation_of(searched, top=1), weigh(searched, in_full=1)
    costs = {} if front.life is None else dict(zip(front.ids, front.life.total.tolist(), strict=True))
    assert totals(searched) == costs
    first = first_of(searched)
    if first is None:
        assert not answer.designs and "limits" in house
        return
    best = answer.designs[0]
    assert (first.id, first.rank, first.bill, as_coil(first)) == (best.id, 1, best.bill, as_coil(best))
    # Nodes follow from all coils that are worked out at once.
    assert float(first.life.total) == pytest.approx(float(best.life.total), rel=1e-4)
    assert first.told == pytest.approx(best.told, rel=1e-4)
