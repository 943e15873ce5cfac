"""More ice where a tap is too warm: within what its vessel holds, told with its line, checked by doing it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock

from optichill.files.reading import load
from optichill.problem.basis import design_basis
from optichill.rating.coil_rating import quick_rating
from optichill.report.no_fit import nothing_fits
from optichill.search.answer import Answer
from optichill.search.designs import as_coil
from optichill.search.more_ice import larger_amounts
from optichill.search.recommend import recommend
from optichill.thermal.sources import ICE_DENSITY


def warm(ice: str, minutes: int, bucket: str = "30 L") -> dict[str, Any]:
    """A tap of 23 degC, wort to 19 degC, and a bath."""
    bath = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": ice, "bucket": bucket}
    return {
        "wort": {"target_temperature": "19 degC", "mixing": "steady"},
        "tap": {"temperature": "23 degC"},
        "cooling": [{"source": "tap", "until": "best"}, bath],
        "limits": {"chill_time": f"{minutes} min"},
        "wishes": {"ice_price": 0.3},
    }


def answer_of(folder: Path, house: dict[str, Any]) -> Answer:
    return recommend(small_stock.of(folder, house), top=1)


@pytest.mark.slow
def test_more_ice_opens_a_coil_with_no_limit_moved(tmp_path: Path) -> None:
    """With 3 kg no coil keeps 20 min; so much as is told does, in the file as written, and
    for the coil that is told by itself."""
    answer = answer_of(tmp_path / "scarce", warm("3 kg", MINUTES))
    assert not answer.designs
    (way,) = [way for way in answer.done_otherwise if way.kind == "more ice"]
    ((place, ice),) = way.written.items()
    assert place == "cooling[2].ice" and 3.0 < ice <= 20.0 and all(line.holds for line in way.design.limits)
    said = " ".join(nothing_fits(answer))
    assert f"put in {ice:g} kg of ice instead of 3 kg" in said
    assert f'ice = "{ice:g} kg" under [[cooling]] number 2' in said
    written = small_stock.write(tmp_path / "then", warm(f"{ice:g} kg", MINUTES))
    basis = design_basis(load(written))
    assert recommend(basis, top=1).designs
    p = quick_rating(basis, as_coil(way.design)).prediction
    assert p.likely is not None and p.likely.in_time is not None
    assert p.likely.in_time >= basis.brewhouse.limits.sure


def test_a_vessel_that_holds_no_more_offers_none(tmp_path: Path) -> None:
    """10 L of water and 3 kg of ice, 3.3 L, fill 14 L but for a pound."""
    answer = answer_of(tmp_path, warm("3 kg", MINUTES, "13.7 L"))
    assert not answer.designs and not [w for w in answer.done_otherwise if w.kind == "more ice"]


MINUTES = 20


@pytest.mark.parametrize("bucket", [13.4, 15.0, 30.0, 200.0])
def test_amounts_are_weighed_out_and_fit_the_vessel(tmp_path: Path, bucket: float) -> None:
    house = small_stock.of(tmp_path, warm("3 kg", 20, f"{bucket} L")).brewhouse
    place, amounts = larger_amounts(house)
    assert place == 1 and amounts == sorted(amounts)
    for ice in amounts:
        assert ice > 3.0 and ice % 0.5 == 0.0 and ice <= 20.0
        assert 0.010 + ice / ICE_DENSITY <= bucket / 1e3 + 1e-9
    assert bool(amounts) == (bucket > 14.0)
