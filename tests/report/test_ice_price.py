"""What is said of the price of ice: nothing of what is not worth it, and what bought ice would come to."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import quick_rating
from optichill.rating.prediction import Prediction
from optichill.report.lifetime import freezer_ice
from optichill.report.understood import document, screen
from optichill.report.warnings import of_plan


def iced(folder: Path, ice: str, **wishes: Any) -> DesignBasis:
    bath = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": ice, "bucket": "40 L"}
    return small_stock.of(
        folder,
        {
            "wort": {"mixing": "steady"},
            "tap": {"temperature": "24 degC"},
            "cooling": [{"source": "tap", "until": "45 degC"}, bath],
            "wishes": wishes,
        },
    )


def told(basis: DesignBasis) -> tuple[Prediction, str]:
    p = quick_rating(basis, Coil(**SIZES)).prediction
    return p, " ".join(of_plan(p, basis))


@pytest.mark.slow
def test_ice_that_saves_seconds_or_costs_more_than_it_gains_is_not_told(tmp_path: Path) -> None:
    """A few hundred grams too few cost seconds; kilograms cost minutes, not worth 50 a kilogram."""
    few, said = told(iced(tmp_path / "few", "8.5 kg"))
    assert few.stages[-1].missing > 0.1 and few.more_ice is None and "ice runs" not in said
    many, said = told(iced(tmp_path / "many", "5 kg"))
    assert many.more_ice and many.chill_time and many.more_ice.time is not None
    assert many.chill_time - many.more_ice.time > 60.0 and "min instead of" in said
    dear, said = told(iced(tmp_path / "dear", "5 kg", ice_price=50))
    assert dear.stages[-1].missing == pytest.approx(many.stages[-1].missing)
    assert dear.more_ice is None and "ice runs" not in said


def test_ice_without_a_price_is_told_as_it_would_be_bought(tmp_path: Path) -> None:
    """A quarter of a metre of copper at 4.10 a metre is 1.03 a kilogram; 60 times 8 kg are 492."""
    free, bought = freezer_ice(iced(tmp_path / "free", "8 kg"))
    assert free == "The 8 kg of ice a batch count nothing, as from your own freezer."
    assert "at 1.03 EUR a kg" in bought and "492 EUR over 60 batches" in bought
    assert not freezer_ice(iced(tmp_path / "priced", "8 kg", ice_price=0.6))
    assert not freezer_ice(iced(tmp_path / "nothing", "8 kg", ice_price=0))
    assert not freezer_ice(small_stock.of(tmp_path / "tap"))


def test_check_says_what_wishes_it_reckons_with(tmp_path: Path) -> None:
    """Stated and assumed apart; an hour is 1.3 m of copper at 4.10, water 0.9 m."""
    folder = small_stock.write(tmp_path, {"wishes": {"batches": 40, "coils_wound": 1}})
    said = "\n".join(screen(load(folder)))
    assert "WISHES    40 batches, 1 coil wound before\n" in said
    assert "assumed: an hour worth 5.33 EUR, water 3.69 EUR a cubic metre, waiting counts beyond 10" in said
    told = document(load(folder))["understood"]["wishes"]
    assert told["batches"] == 40 and told["hour"] == pytest.approx(5.33)
    assert "hour" in told["assumed"] and "batches" not in told["assumed"]
