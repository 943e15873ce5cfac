"""The words of the screens, one by one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES

from optichill.display import plural, turns
from optichill.model.coil import Coil
from optichill.money import half_up, that_add_up
from optichill.problem.basis import DesignBasis
from optichill.rating.coil_rating import QuickRating, quick_rating, rate
from optichill.report.prediction import _curve, _not_reached
from optichill.report.screen import about, plan_lines, take_care
from optichill.report.warnings import _span, of_plan
from optichill.report.words import limit_words, plan_words
from optichill.report.words.sentences import sentence
from optichill.search.conflicts import Step

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
    return [plan_words.stage_line(line, T, basis) for line, T in zip(lines, begins, strict=False)]


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


@pytest.mark.parametrize(("start", "told"), [("98 degC", "near boiling"), ("72 degC", "at 72 °C")])
def test_the_first_water_is_as_hot_as_the_wort(tmp_path: Path, start: str, told: str) -> None:
    basis = small_stock.of(tmp_path, {"wort": {"start_temperature": start}})
    assert f"comes out {told}, then 60 °C" in plan_words.first_out(333.15, basis)
    care = " ".join(" ".join(take_care(basis)).split())
    assert f"The first water out is {told}: catch it" in care and "Water at 60 °C scalds in seconds" in care


def test_out_of_reach_is_only_what_the_water_can_never_do(tmp_path: Path) -> None:
    for tap, told in (("13 degC", "is out of reach"), ("12 degC", "is not reached in 6 hours")):
        house = {"tap": {"temperature": tap}, "wort": {"target_temperature": "13 degC"}}
        basis = small_stock.of(tmp_path, house)
        said = _not_reached(286.35, 2e4, 286.35, basis)
        assert told in said and said.startswith("13 °C") and said.endswith("still at 13.2 °C")
    assert _not_reached(286.16, 2e4, 286.16, basis).endswith("just above 13 °C")
    # A bath whose ice is gone warms the wort again: 13.4 °C was reached all the same.
    said = _not_reached(286.55, 1320.0, 290.65, basis)
    assert said == "13 °C is not reached: at best 13.4 °C after 22 min, then the bath warms it again"


def test_a_time_is_never_no_minutes() -> None:
    assert [about(s) for s in (12.0, 59.4, 60.0, 1559.0)] == ["12 s", "59 s", "1 min", "26 min"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("running, water leaves at 182 °F at first", "Running, water leaves at 182 °F at first."),
        ("the ice runs out: 1 kg more.", "The ice runs out: 1 kg more."),
        ("is it the price of the whole roll?", "Is it the price of the whole roll?"),
        ("tubing.csv: price of a is low", "tubing.csv: price of a is low."),
        (
            "my kettle/brewhouse.toml:12: cooling[2].hold: too long",
            "my kettle/brewhouse.toml:12: cooling[2].hold: too long.",
        ),
        ("coil: wall is 1 mm", "coil: wall is 1 mm."),
    ],
)
def test_a_warning_is_a_sentence_and_a_file_stays_as_written(text: str, told: str) -> None:
    assert sentence(text) == told


def test_a_bill_adds_up_as_it_is_shown() -> None:
    """71 and 12.50 make 83.50: rounded half up they are 71, 13 and 84; 12.40 twice takes a decimal."""
    for prices, decimals in (([71.0, 12.5], 0), ([12.4, 12.4], 1), ([0.45, 0.45], 2)):
        assert that_add_up(prices) == decimals
        shown = [half_up(price, decimals) for price in prices]
        assert sum(shown) == half_up(sum(prices), decimals)


def test_one_turn_is_no_turns() -> None:
    assert [plural(turns(n)) for n in (0.5, 1.0, 1.5, 9.0)] == [
        "1/2 turn",
        "1 turn",
        "1 1/2 turns",
        "9 turns",
    ]
    assert (_span(0.2591, 0.2594), _span(0.2, 0.31)) == ("0.259", "0.2 to 0.31")


def test_the_last_minutes_of_a_curve_differ(tmp_path: Path) -> None:
    basis = small_stock.of(tmp_path)
    rating = rate(basis, Coil(**SIZES))
    for end in (9.1, 9.4, 9.5, 8.5, 0.4):
        curve = replace(rating.curve, time=rating.curve.time / rating.curve.time[-1] * 60.0 * end)
        rows = _curve(replace(rating, curve=curve), basis)[1:]
        minutes = [row.split()[0] for row in rows]
        assert len(set(minutes)) == len(minutes), minutes


def test_a_limit_of_next_to_nothing_is_not_told_as_nothing(tmp_path: Path) -> None:
    basis = small_stock.of(tmp_path)
    step = Step("budget", 0.001, 67.2)
    assert limit_words.advice(step, basis) == "allow 68 EUR instead of 0.001 EUR"
    assert "instead of 0.3 EUR" in limit_words.advice(replace(step, now=0.3), basis)
    assert "instead of 60 EUR" in limit_words.advice(replace(step, now=60.0), basis)
