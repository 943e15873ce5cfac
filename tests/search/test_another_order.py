"""Where less time is asked for than any coil could do on the tap alone: what ice behind it brings is as told
when it is written into the file."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

from optichill.files.reading import load
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.rating.another_order import ice_behind
from optichill.rating.coil_rating import quick_rating
from optichill.rating.floor import shortest_time
from optichill.report.advice import advice
from optichill.report.no_fit import nothing_fits
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend
from optichill.search.ways_out import slow_of

WARM: dict[str, Any] = {
    "tap": {"temperature": "17 degC"},
    "workshop": {"riser_sides": "same", "marking_increment": "5 mm"},
}
"""Three kelvin below the target: the last degrees take the tap half of the time."""


@pytest.mark.slow
@pytest.mark.parametrize(("units", "asked"), [("metric", "5 min"), ("us", "4.5 min")])
def test_what_is_told_holds_when_its_lines_are_written(tmp_path: Path, units: str, asked: str) -> None:
    house = {**WARM, "units": units, "limits": {"chill_time": asked}}
    answer = recommend(small_stock.of(tmp_path / "tap", house))
    said = " ".join(nothing_fits(answer))
    said = " ".join(said.split())
    (told,) = (a for a in advice(answer) if a["kind"] == "another order")
    assert "IMPOSSIBLE" in said and told["text"] in said
    first, second = re.split(r"under \[\[cooling\]\];", told["text"])
    lines = [re.findall(r'\w+ = "[^"]*"', table) for table in (first, second)]
    folder = small_stock.write(tmp_path / "ice", house)
    with (folder / "brewhouse.toml").open("a", encoding="utf-8") as file:
        file.writelines("\n".join(["\n[[cooling]]", *table, ""]) for table in lines)
    iced, coil = design_basis(load(folder)), slow_of(answer.opened)
    limit = iced.brewhouse.limits.chill_time
    assert coil is not None and limit is not None and answer.shortest is not None
    least = shortest_time(iced)
    assert least == pytest.approx(told["change"]["least_s"], rel=1e-9)
    assert least is not None and least < limit < answer.shortest
    time = quick_rating(iced, as_coil(coil)).prediction.told.time
    assert time == pytest.approx(told["change"]["chill_time_s"], rel=1e-9)
    # A coil that is to be had takes longer than one without end, and gains by the ice.
    assert time is not None and least < time < 0.9 * coil.told["chill_time"]
    assert ("still more than you ask for" in said) == (time > limit)
    assert "IMPOSSIBLE" not in " ".join(nothing_fits(recommend(iced)))


@pytest.mark.parametrize("why", ["it helps", "no pump", "ice is there", "too soon for it", "hardly quicker"])
def test_it_is_told_where_it_helps(tmp_path: Path, why: str) -> None:
    """Of the same kettle: without a pump, with ice in the plan, below what ice can do either, and for a coil
    that would gain nothing, nothing is said."""
    stock = small_stock.lists()
    if why == "no pump":
        stock["pumps"] = []
    folder = small_stock.write(tmp_path, WARM, stock)
    if why == "ice is there":
        with (folder / "brewhouse.toml").open("a", encoding="utf-8") as file:
            file.write(small_stock.TAP_THEN_ICE)
    basis, coil = design_basis(load(folder)), Coil(**SIZES)
    least, now = shortest_time(basis), quick_rating(basis, coil).prediction.told.time
    assert least is not None and now is not None
    asked = 60.0 if why == "too soon for it" else 0.99 * least
    way = ice_behind(basis, asked, coil, 300.0 if why == "hardly quicker" else now)
    assert (way is not None) == (why == "it helps")
