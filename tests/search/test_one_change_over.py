"""A coil that is recommended, saved and read again: the same change-over, time and ice."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_stock
from tiers import count

from optichill.files.coil_file import as_written
from optichill.rating.coil_rating import quick_rating
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend

ICE = {"source": "ice bath", "pump": "small", "water": "10 L", "bucket": "40 L"}


@pytest.mark.parametrize(
    "ice",
    [
        pytest.param("2 kg", marks=pytest.mark.slow),
        pytest.param("3 kg", marks=pytest.mark.long),
        pytest.param("8 kg", marks=pytest.mark.long),
    ],
)
def test_a_saved_coil_changes_over_where_the_search_did(tmp_path: Path, ice: str) -> None:
    """Half a degree, a hundredth of the time, a twentieth of a kilogram of ice melted: nothing that is
    printed differs by more than its last digit."""
    house = {
        "tap": {"temperature": "22 degC"},
        "wort": {"mixing": "steady"},
        "cooling": [{"source": "tap", "until": "best"}, {**ICE, "ice": ice}],
    }
    basis = small_stock.of(tmp_path, house)
    found = recommend(basis, top=count(2, 5)).designs
    assert found
    for design in found:
        told, again = design.prediction, quick_rating(basis, as_written(as_coil(design))).prediction
        assert told.switch and again.switch and told.chill_time and again.chill_time
        for name in ("at", "low", "high"):
            assert getattr(told.switch, name) == pytest.approx(getattr(again.switch, name), abs=0.5)
        assert told.chill_time == pytest.approx(again.chill_time, rel=0.01)
        for one, other in zip(told.stages, again.stages, strict=True):
            assert one.time == pytest.approx(other.time, abs=15.0)
            assert one.ice == pytest.approx(other.ice, abs=0.05)
            assert one.missing == pytest.approx(other.missing, abs=0.1)
