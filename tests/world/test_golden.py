"""The packaged examples' answers, against what was agreed before and against round figures by hand.

The file of agreed answers is there to make a change seen, not to prove it right. When a change of the
models or of the starter lists is meant, write it anew: `python tests/world/test_golden.py`.
"""

from __future__ import annotations

import json
import sys
from typing import Any

import pytest
from where import DATA
from world.test_screens import answered, screens, stored

import optichill as oc
from optichill.files.reading import Inputs
from optichill.problem.worth import worth_of
from optichill.report.paper import folded
from optichill.report.screen import first_screen
from optichill.report.table import ranked_table
from optichill.search.answer import Answer

pytestmark = pytest.mark.marched

AGREED = DATA / "golden_demo.json"
DEMOS = {"metric": "", "us": "us", "wide": "wide", "stove": "stove"}


def short(data: dict[str, Any]) -> list[dict[str, Any]]:
    """What a brewer would act on."""
    return [
        {
            "stock_id": d["stock_id"],
            "form_id": d["form_id"],
            "inner_form_id": d["layers"][1]["form_id"] if d["layers"] else None,
            "lagging": d["lagging"],
            "layout": d["layout"],
            "rolls": d["rolls"],
            "valve_share": d["valve_share"],
            "turns": d["coil"]["turns"],
            "pitch_m": d["coil"]["pitch_m"],
            "chill_time_s": d["prediction"]["chill_time_s"],
            "water_m3": d["prediction"]["water_m3"],
            "cost": d["cost"]["total"],
            "difficulty": d["difficulty"]["score"],
        }
        for d in data["designs"]
    ]


@pytest.fixture(
    scope="module",
    params=[pytest.param(n, marks=pytest.mark.slow if n in ("stove", "wide") else ()) for n in DEMOS],
)
def told(request: pytest.FixtureRequest) -> tuple[str, oc.Recommendation]:
    return request.param, answered(DEMOS[request.param])


SearchResult = tuple[str, Inputs, Answer, dict[str, Any]]


@pytest.fixture(scope="module")
def found(told: tuple[str, oc.Recommendation]) -> SearchResult:
    demo, answer = told
    return demo, answer.problem.inputs, answer.answer, answer.to_dict()


def test_the_first_screen_is_the_one_agreed(told: tuple[str, oc.Recommendation]) -> None:
    demo, answer = told
    for width, said in screens(answer).items():
        assert said == stored(DEMOS[demo], width).read_text(encoding="utf-8").splitlines(), width
        assert max(len(line) for line in said) <= width


def test_as_agreed(found: SearchResult) -> None:
    agreed = json.loads(AGREED.read_text(encoding="utf-8"))[found[0]]
    now = short(found[3])
    for one, other in zip(now, agreed, strict=True):
        for key, value in other.items():
            assert one[key] == (pytest.approx(value, rel=1e-4) if isinstance(value, float) else value), key


def test_builds_that_differ_and_those_with_a_role_hold_every_limit(found: SearchResult) -> None:
    designs = found[3]["designs"]
    assert len(designs) >= 2 and all(d["roles"] for d in designs[5:])
    assert all(line["holds"] for d in designs for line in d["limits"])
    assert found[3]["demo"] is True


def test_prediction_within_bounds_worked_out_by_hand(found: SearchResult) -> None:
    """No coil beats one whose water leaves as hot as the wort: t >= V rho cp / (m cp_w) ln(theta0/theta1)."""
    from math import log

    units, inputs, answer, data = found
    if units == "stove":
        return  # its water comes back warmer: this bound is for a tap
    s = answer.basis.scenario
    ratio = log((s.T_start - s.T_in) / (s.T_target - s.T_in))
    for d in data["designs"]:
        p = d["prediction"]
        # Wort: round figures 1.01 kg/L hot and 3.9 kJ/kgK; water 1 kg/L and 4.19 kJ/kgK.
        least = s.volume * 1010 * 3900 / (p["flow_m3_s"] * 1000 * 4190) * ratio
        assert p["limit_time_s"] == pytest.approx(least, rel=0.06)
        assert p["chill_time_s"] > 0.95 * least
        assert 8 * 60 < p["chill_time_s"] < 60 * 60
        assert 0.5 * s.volume < p["water_m3"] < 20 * s.volume
        assert p["flow_m3_s"] < answer.basis.brewhouse.tap.open_flow  # type: ignore[union-attr]
    assert inputs.stock.example_prices


def test_the_march_in_time_agrees(found: SearchResult) -> None:
    for d in found[3]["designs"]:
        p = d["prediction"]
        assert p["chill_time_marched_s"] == pytest.approx(p["chill_time_s"], rel=1e-3)


def test_the_first_line_says_that_it_is_an_example(found: SearchResult) -> None:
    _, inputs, answer, _ = found
    assert first_screen(answer, inputs)[0].startswith("EXAMPLE KETTLE, NOT YOURS")


def test_shallow_wort_in_a_wide_kettle_gets_two_layers(found: SearchResult) -> None:
    designs, tie = found[2].designs, worth_of(found[2].basis).minute
    assert (designs[0].layout == "single") is (found[0] != "wide")
    if found[0] == "wide":
        assert all(d.layout != "single" for d in designs if d.life.total < designs[0].life.total + 2.0 * tie)


def test_water_of_a_bucket_is_what_its_fillings_hold(found: SearchResult) -> None:
    for d in found[3]["designs"] if found[0] == "stove" else ():
        # Two fillings of 20 L, then 8 L under the ice.
        assert d["prediction"]["water_m3"] == pytest.approx(0.048)


def test_screen_is_plain_and_fits_100_columns(found: SearchResult) -> None:
    import re

    _, inputs, answer, _ = found
    lines = [*folded(first_screen(answer, inputs, full=True)), *folded(ranked_table(answer))]
    assert max(map(len, lines)) <= 100
    assert not re.findall(r"\b(?:U|Re)\b|\b(?i:score|p10|id|front|feasible)\b|\x1b", "\n".join(lines))


def test_saved_example_says_that_it_is_one(found: SearchResult) -> None:
    from optichill.files.coil_file import coil_text
    from optichill.search.designs import as_coil

    _, inputs, answer, _ = found
    house = inputs.brewhouse
    text = coil_text(as_coil(answer.designs[0]), demo=house.demo, brewhouse=house.name, units=house.units)
    assert "EXAMPLE KETTLE, NOT YOURS" in text.splitlines()[0]


if __name__ == "__main__":
    agreed = {name: short(answered(demo).to_dict()) for name, demo in DEMOS.items()}
    AGREED.write_text(json.dumps(agreed, indent=1) + "\n", encoding="utf-8")
    sys.exit(0)
