"""The trade-off page's parts without a browser: what is packed comes back, lines of steps, axes."""

from __future__ import annotations

import json
import math

import pytest
import tradeoff_data
from hypothesis import given
from hypothesis import strategies as st

from optichill.report.tradeoff import charts
from optichill.report.tradeoff.packed import packed, unpacked

TREES = st.recursive(
    st.text()
    | st.integers()
    | st.none()
    | st.booleans()
    | st.sampled_from(["a word that comes often", 0.25]),
    lambda inner: (
        st.lists(inner, max_size=5) | st.dictionaries(st.text(min_size=1, max_size=6), inner, max_size=4)
    ),
    max_leaves=40,
)


@given(TREES)
def test_what_is_packed_comes_back(tree: object) -> None:
    shared, left = packed(tree)
    assert unpacked(*json.loads(json.dumps([shared, left]))) == tree


def test_many_coils_take_little_more_than_their_own(record_property: object) -> None:
    details = tradeoff_data.data(200, 200)["details"]
    plain, small = (len(json.dumps(x, separators=(",", ":"))) for x in (details, packed(details)))
    assert small < 0.5 * plain


@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 30)), min_size=1, max_size=40))
def test_steps_are_the_least_that_each_time_costs(points: list[tuple[int, int]]) -> None:
    coils = [{"id": i, "time": t, "cost": c} for i, (t, c) in enumerate(points)]
    line = charts.steps(coils, "cost")
    for time in range(1, 31):
        here = [c for t, c in points if t <= time]
        drawn = [d["cost"] for d in line if d["time"] <= time]
        assert (min(here) if here else None) == (min(drawn) if drawn else None)
    assert all(a["time"] < b["time"] and a["cost"] > b["cost"] for a, b in zip(line, line[1:], strict=False))


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.integers(2, 8))
def test_round_values_are_round_even_and_on_the_axis(low: float, span: float, most: int) -> None:
    values = charts.round_values(low, low + span, most)
    assert len(values) <= most + 1
    gaps = [b - a for (a, _), (b, _) in zip(values, values[1:], strict=False)]
    for gap in gaps:
        digits = gap / 10.0 ** math.floor(math.log10(gap) + 1e-9)
        assert min(abs(digits - d) for d in (1.0, 2.0, 5.0, 10.0)) < 1e-3
    for value, words in values:
        assert low - 1e-6 * span <= value <= low + span * (1.0 + 1e-6)
        assert float(words) == pytest.approx(value, abs=1e-9 * max(1.0, abs(value)))


def test_all_marks_and_limits_stand_inside_their_plot() -> None:
    for field in charts.fields(tradeoff_data.data(300, 20)):
        spots = [(x, y) for _, x, y, _ in field["marks"]]
        assert all(0.0 <= v <= 100.0 for spot in spots for v in spot)
        assert 0.0 <= field["x_least"] <= min(x for x, _ in spots)


def test_a_goal_that_does_not_vary_has_no_chart() -> None:
    data = tradeoff_data.data(20, 5)
    for design in data["designs"]:
        design["water"] = 60.2
    assert [field["key"] for field in charts.fields(data)] == ["cost"]
    for design in data["designs"]:
        design["time"] = 30.1
    assert charts.fields(data) == []


def test_more_marks_than_can_be_drawn_are_thinned_but_never_the_line() -> None:
    data = tradeoff_data.data(3000, 10)
    (cost, _) = charts.fields(data)
    drawn = {d["id"] for d, *_ in cost["marks"]}
    assert cost["one_in"] == 3 and len(drawn) < 1300
    assert {d["id"] for d in charts.steps(data["designs"], "cost")} <= drawn
    assert set(data["shortlist"]) <= drawn


def test_for_water_the_line_counts_every_setting_of_a_valve() -> None:
    data = tradeoff_data.data(40, 5)
    least = min(data["designs"], key=lambda d: d["water"])
    other = {**least, "id": "half", "setting": "valve half open", "water": 0.5 * least["water"]}
    data["designs"].append(other)
    cost, water = charts.fields(data)
    assert cost["shut"] == [] and [d["id"] for d, *_ in water["shut"]] == ["half"]
    assert f"{other['water']:.0f} L" in water["finding"]


def test_of_each_coil_the_setting_that_other_papers_number_is_drawn() -> None:
    """A half-shut valve ranked before the open one, and was shown as number 4 in its place."""
    rows = [
        {"id": "a", "coil": 0, "rank": 1, "setting": ""},
        {"id": "shut", "coil": 1, "rank": None, "setting": "valve half open"},
        {"id": "numbered", "coil": 1, "rank": 4, "setting": ""},
        {"id": "half", "coil": 2, "rank": None, "setting": "valve half open"},
        {"id": "open", "coil": 2, "rank": None, "setting": ""},
    ]
    assert [d["id"] for d in charts.firsts(rows)] == ["a", "numbered", "open"]
