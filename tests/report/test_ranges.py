"""One number a thing: what is most likely lies in its range, and every place tells the same; a chance reads
as less than the one asked for exactly where it is."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.fabrication.work_plan import plan_work
from optichill.files.reading import load
from optichill.model.wishes import Limits
from optichill.problem.basis import design_basis
from optichill.rating.coil_rating import quick_rating
from optichill.rating.prediction import Likely, Prediction, Span
from optichill.report import design_json, ranges, screen, table
from optichill.report.sheet.card import brew_day
from optichill.report.tradeoff import data, write
from optichill.search.designs import as_coil
from optichill.search.recommend import search_space
from optichill.search.tradeoff import weigh

NOTHING = Span(0.0, 0.0, 0.0)


def of_likely(run: float, time: Span, in_time: float | None = None) -> Prediction:
    """A prediction of which only times matter."""
    known = dict.fromkeys(("flow", "pressure_drop", "outlet_start", "U_start", "U_end"), 1.0)
    none = dict.fromkeys(("left_alone", "steady", "limit_time", "limit_water"))
    return Prediction(
        chill_time=run, water=0.1, **known, **none, likely=Likely(time, NOTHING, NOTHING, in_time)
    )


@settings(max_examples=count(200, 3000))
@given(st.floats(60.0, 8e3), st.tuples(*[st.floats(1.0, 1.6)] * 2), st.floats(0.9, 1.1))
def test_the_middle_lies_in_the_range_and_is_one_number(
    low: float, wider: tuple[float, float], run: float
) -> None:
    half = low * wider[0]
    p = of_likely(run * half, Span(low, half, half * wider[1]), in_time=0.5)
    said = re.fullmatch(r"(?:(\d+) to (\d+) min, most likely|about) (\d+)(?: min)?", ranges.time(p))
    assert said
    middle = int(said[3])
    assert middle == pytest.approx(half / 60.0, abs=0.5001)
    assert said[1] is None or int(said[1]) <= middle <= int(said[2])
    assert ranges.minutes(p).split()[0] == str(middle)
    in_time = ranges.in_time(p, Limits.model_validate({"chill_time": {"within": half, "chance": 0.7}}))
    assert in_time and f"5 times in 10 it takes {middle} min at most" in in_time
    assert said[2] is None or in_time.endswith(f"9 in 10 {said[2]} min")


@settings(max_examples=count(300, 5000))
@given(st.integers(0, 2048), st.integers(51, 99))
@example(1392, 68)  # 0.6797: thousandths do not tell
def test_a_chance_reads_as_less_than_asked_for_exactly_where_it_is(kept: int, asked: int) -> None:
    chance, sure = kept / 2048, asked / 100
    p = of_likely(1500.0, Span(1000.0, 1500.0, 2000.0), in_time=chance)
    said = ranges.in_time(p, Limits.model_validate({"chill_time": {"within": 1500.0, "chance": sure}}))
    assert said
    told = re.search(r"kept (?:(more than) )?(\d+) times? in (\d+) \(you ask for ([\d.]+) in \3\)", said)
    if not told:
        assert "hardly ever" in said or chance > max(sure, ranges.SURE)
        return
    of = int(told[3])
    reads_as_less = 0 if told[1] and chance >= sure else int(told[2]) < float(told[4])
    assert reads_as_less == (chance < sure), said
    assert abs(int(told[2]) / of - chance) <= 0.5 / of + (0.1 if told[1] else 1e-9)


KITS: dict[str, dict[str, Any]] = {
    "pellets": {"wort": {"dirt": "loose pellets"}, "limits": {"chill_time": "60 min"}},
    "left alone": {"wort": {"mixing": "left alone"}, "units": "us"},
    "ice last": {
        "cooling": [
            {"source": "tap", "until": "40 degC"},
            {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "8 kg"},
        ]
    },
}


@pytest.mark.slow
@pytest.mark.parametrize("name", KITS)
def test_every_place_tells_the_same_middle(tmp_path: Path, name: str) -> None:
    coarse = {"marking_increment": "10 mm", "riser_sides": "same"}
    inputs = load(small_stock.write(tmp_path, {**KITS[name], "workshop": coarse}))
    found = weigh(search_space(design_basis(inputs)), in_full=8)
    answer, first = found.answer, found.answer.designs[0]
    p = first.prediction
    minutes = round(p.told.time / 60.0)
    said = " ".join(screen.first_screen(answer, inputs))
    assert f"most likely {minutes}," in said
    assert design_json.prediction(p)["chill_time_p50_s"] == p.told.time
    place = found.ids.index(first.id)
    page = data.page_data(found, inputs, {})
    assert page["designs"][place]["time"] == pytest.approx(p.told.time / 60.0, abs=0.006)
    assert write.table(found)[place]["chill_time_p50_s"] == pytest.approx(p.told.time, rel=1e-9)
    for d, row in zip(answer.designs, table.rows(answer), strict=True):
        assert any(cell.startswith(f"{round(d.prediction.told.time / 60.0)} (") for cell in row), row
    if len(answer.designs) > 1:
        minutes_of_second = round(answer.designs[1].prediction.told.time / 60.0)
        assert re.search(rf"(?m)^ *2 .* {minutes_of_second} \(", "\n".join(table.choices(answer, 100)))
    plan = plan_work(answer.basis, as_coil(first))
    assert f"most likely {minutes}" in str(brew_day(plan))
    again = quick_rating(answer.basis, as_coil(first)).prediction
    assert again.told.time == pytest.approx(p.told.time, rel=1e-3)
