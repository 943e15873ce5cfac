"""A coil of the answer is told with the figures that `predict` has of it, whoever stands beside it."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_stock

from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import quick_rating
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend

pytestmark = pytest.mark.marched

PLAN = small_stock.TAP_THEN_ICE.replace('"40 degC"', '"best"')
"""Walked in steps, and free where it changes over: coils in one block share both."""

CLOSE = 1e-7
"""In one block with others they were 2e-3 off: "32 min" on one screen and "31 min" on the next."""


def house(folder: Path) -> DesignBasis:
    small_stock.write(folder, {"wort": {"target_temperature": "17 degC"}})
    file = folder / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + PLAN, encoding="utf-8")
    return small_stock.design_basis(small_stock.load(folder))


@pytest.mark.slow
def test_an_answer_and_predict_tell_one_time(tmp_path: Path) -> None:
    basis = house(tmp_path)
    told = recommend(basis, top=2).designs
    assert told
    for d in told:
        answered, alone = (p.prediction.likely for p in (d, quick_rating(basis, as_coil(d))))
        assert answered is not None and alone is not None
        for name in ("p10", "p50", "p90"):
            for goal in ("time", "water", "ice"):
                mine, its = (getattr(getattr(x, goal), name) for x in (answered, alone))
                assert mine == pytest.approx(its, rel=CLOSE, abs=1e-9), (d.id, goal, name)
