"""The words of the screens, one by one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

from optichill.model.coil import Coil
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import QuickRating, quick_rating
from optichill.report import words
from optichill.report.screen import plan_lines
from optichill.report.warnings import of_plan

COLD_ROOM = {"wort": {"ambient_temperature": "5 degC"}}
TAP = {"source": "tap", "until": "40 degC"}
HOLD = {"hold": "20 h"}
"""Below 20 degC in a room of 5: 23 L lose the 20 K from 40 degC on within it."""
ICE = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "5 kg", "ice_price": 2.0}


def bucket(refills: int) -> dict[str, Any]:
    return {"source": "bucket", "pump": "small", "water": "10 L", "refills": refills, "return": "bucket"}


def planned(folder: Path, *stages: dict[str, Any], **house: Any) -> tuple[DesignBasis, QuickRating]:
    basis = small_stock.of(folder, {**house, "cooling": list(stages)})
    return basis, quick_rating(basis, Coil(**SIZES))


def stage_lines(basis: DesignBasis, seen: QuickRating) -> list[str]:
    lines = seen.prediction.stages
    begins = [basis.scenario.T_start, *(line.until or 0.0 for line in lines)]
    return [words.stage_line(line, T, basis) for line, T in zip(lines, begins, strict=False)]


@pytest.mark.parametrize("last", [ICE, bucket(50)])
def test_a_stage_that_has_nothing_left_to_do_uses_nothing(tmp_path: Path, last: dict[str, Any]) -> None:
    basis, seen = planned(tmp_path, TAP, HOLD, last, **COLD_ROOM)
    line, told = seen.prediction.stages[-1], stage_lines(basis, seen)[-1]
    assert "nothing left to do" in told and "filling" not in told and " of " not in told
    assert (line.time, line.water, line.ice, line.missing, line.bath) == (0.0, 0.0, 0.0, 0.0, None)
    assert seen.prediction.ice == 0.0 and not any(
        line.startswith("ICE") for line in plan_lines(seen.prediction, basis)
    )
    assert {limit.value for limit in seen.limits if limit.name == "ice"} <= {0.0}
    assert not [text for text in of_plan(seen.prediction, basis) if "ice runs out" in text]


@pytest.mark.parametrize(
    ("refills", "told"), [(6, "when the wort is at"), (9, "9 times, first with the wort at")]
)
def test_many_changes_of_water_are_told_by_first_last_and_number(
    tmp_path: Path, refills: int, told: str
) -> None:
    said = stage_lines(*planned(tmp_path, {**bucket(refills), "until": "30 degC"}, ICE))[0]
    assert f"{refills + 1} fillings of 10 L: fresh water {told}" in said
    assert said.count("°C") == 2 + (refills if refills <= 6 else 2)
