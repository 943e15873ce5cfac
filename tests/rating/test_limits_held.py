"""The chance that water, ice, bucket and pump hold out: over the draws told, on screen as in JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import SIZES

from optichill.model.coil import Coil
from optichill.model.wishes import Limits
from optichill.rating.coil_rating import quick_rating
from optichill.rating.likely import Samples
from optichill.rating.prediction import Prediction
from optichill.report import design_json, ranges, screen

BATH = {"source": "ice bath", "pump": "small", "water": "10 L", "bucket": "40 L"}


def predicted(folder: Path, **house: Any) -> Prediction:
    stated = {"wort": {"mixing": "steady"}, **house}
    return quick_rating(small_stock.of(folder, stated), Coil(**SIZES)).prediction


def test_chances_are_counted_over_the_draws_that_arrive() -> None:
    """Of 256 draws with 1, 2 ... litres 100 keep to 100 L, 64 stay below a quarter of the bucket; none of
    those that never arrive counts (by hand)."""
    count = np.arange(1.0, 513.0)[:, None]
    time = np.where(count <= 256, count, np.inf)
    litres = np.where(count <= 256, count, np.nan)
    none = np.zeros((512, 1))
    one = Samples(time, 1e-3 * litres, none, none, none, litres / 64, none, litres / 200, own=np.ones(1))
    (told,) = one.likely(None, 0.1)
    # Ice counts as gone when 99 % of it has melted: 198 draws have less.
    assert told.held == {"water": 100 / 256, "bucket": 64 / 256, "ice": 198 / 256}
    (free,) = one.likely(None)
    assert "water" not in free.held


def test_water_is_enough_as_often_as_its_percentile_says(tmp_path: Path) -> None:
    water = predicted(tmp_path / "free").likely.water
    for chance, litres in ((0.1, water.p10), (0.5, water.p50), (0.9, water.p90)):
        limit = {"water": f"{1e3 * litres * (1 + 1e-9):.9f} L"}
        p = predicted(tmp_path / f"{chance}", limits=limit)
        assert design_json.prediction(p)["water_probability"] == pytest.approx(chance, abs=1e-3)
        said = ranges.enough_water(p, Limits(**limit), "metric")
        assert said.endswith(f"is enough in {10 * chance:.0f} of 10 batches")


def test_what_is_sure_is_not_said(tmp_path: Path) -> None:
    p = predicted(tmp_path, limits={"water": "2000 L"})
    assert p.likely.held["water"] == 1.0
    assert ranges.enough_water(p, Limits(water="2000 L"), "metric") is None and not ranges.borne(p)


def test_ice_that_may_not_last_is_told(tmp_path: Path) -> None:
    """Ice that just melts lasts in some batches only; five times as much in all of them."""
    plan = [{"source": "tap", "until": "35 degC"}, {**BATH, "ice": "2.6 kg"}]
    basis = small_stock.of(tmp_path, {"wort": {"mixing": "steady"}, "cooling": plan})
    scarce = quick_rating(basis, Coil(**SIZES)).prediction
    assert 0.05 < scarce.likely.held["ice"] < 0.95
    (said,) = ranges.borne(scarce)
    assert said.startswith("the ice lasts to the end in")
    assert f"HOW SURELY   {said}" in screen.plan_lines(scarce, basis)
    assert design_json.prediction(scarce)["bucket_probability"] is None
    plan[1]["ice"] = "13 kg"
    assert predicted(tmp_path / "plenty", cooling=plan).likely.held["ice"] == 1.0


def test_a_bucket_that_may_not_last_is_told(tmp_path: Path) -> None:
    """Fillings enough for half the draws: as often as all water is within the same litres."""
    bucket = {"source": "bucket", "pump": "small", "bucket": "30 L", "refills": 9, "return": "drain"}
    water = predicted(tmp_path / "ample", cooling=[bucket]).likely.water.p50
    bucket |= {"water": f"{1e3 * water / 10:.6f} L"}
    p = predicted(tmp_path / "half", cooling=[bucket])
    assert p.likely.held["bucket"] == pytest.approx(0.5, abs=2e-3)
    assert ranges.borne(p) == ["the water in the bucket is enough in 5 of 10 batches"]
