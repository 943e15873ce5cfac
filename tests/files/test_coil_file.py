"""A coil that is kept in a file: read by a person, and the same coil to every command."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
import small_stock
from tiers import count

from optichill.fabrication.work_plan import plan_work
from optichill.files.coil_file import CoilFile, as_written, coil_text
from optichill.model.coil import Coil
from optichill.model.heard import FROM_TEXT
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import quick_rating
from optichill.report.sheet.refusal import stops, warned
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend

CASES: dict[str, dict[str, Any]] = {
    "hung": {"kettle": {"coil_rests": "hangs"}, "workshop": {"flow_settings": ["full", "half"]}},
    "two layers": {"workshop": {"layouts": ["nested", "parallel"]}},
    "in inches": {"units": "us", "kettle": {"coil_rests": "hangs"}},
    "on the floor": {"kettle": {"coil_rests": "floor"}},
}


def read(text: str) -> Coil:
    return CoilFile.model_validate(tomllib.loads(text), context=FROM_TEXT).coil


@pytest.mark.parametrize(
    "name", ["hung", *(pytest.param(n, marks=pytest.mark.slow) for n in list(CASES)[1:])]
)
def test_a_file_is_the_coil_of_the_screen_and_can_be_read(tmp_path: Path, name: str) -> None:
    """Hundredths of a millimetre at the most, but for sizes drawn in inches; the id, the minutes, what holds
    and what the sheet says are those of all digits: a coil that hangs just deep enough too."""
    house = {**CASES[name], "wort": {"volume": "28 L"}}
    shop = {"marking_increment": "0.25 in" if name == "in inches" else "5 mm"}
    house["workshop"] = {**shop, **house.get("workshop", {})}
    basis = small_stock.of(tmp_path, house)
    designs = recommend(basis, top=count(3, 8)).designs
    assert len(designs) > 1
    for design in designs:
        coil = as_coil(design)
        text = coil_text(coil, demo=False)
        for size in re.findall(r'"([\d.]+) mm"', text):
            inches = float(size) / 25.4 * 64.0
            assert len(size.partition(".")[2]) <= 2 or inches == pytest.approx(round(inches), abs=1e-4), text
        same(basis, read(text), read(coil_text(coil, demo=False, exact=True)), design.id)


def same(basis: DesignBasis, kept: Coil, whole: Coil, name: str) -> None:
    """One coil to every command."""
    plans = [plan_work(basis, coil) for coil in (kept, whole)]
    assert {plan.coil_id for plan in plans} == {name}
    holds = [[(line.name, line.holds) for line in plan.rating.limits] for plan in plans]
    assert holds[0] == holds[1]
    assert [s["name"] for s in stops(plans[0])] == [s["name"] for s in stops(plans[1])]
    assert warned(plans[0]) == warned(plans[1])
    times = [quick_rating(basis, coil).prediction.told.time for coil in (kept, whole)]
    assert times[0] == pytest.approx(times[1], rel=1e-4)


def test_a_flow_is_written_to_a_millilitre() -> None:
    coil = Coil(
        material="copper", outer_diameter=0.01, wall=0.001, mean_diameter=0.25, pitch=0.015, turns=9.25,
        riser_length_in=0.51234567, riser_length_out=0.4, flow=5.1234567e-3 / 60.0,
    )  # fmt: skip
    text = coil_text(coil, demo=False)
    assert 'flow = "5.123 L/min"' in text and 'riser_length_in = "512.35 mm"' in text
    assert as_written(coil).turns == 9.25
