"""Brewhouses at random: every figure of an answer lies inside its own meaning, on screen and in JSON."""

from __future__ import annotations

import json
import math
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import small_stock
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tiers import count

from optichill import api
from optichill.problem.limits import FREE_RIM

BELOW_NOTHING = re.compile(r"(?<![\w.,:°])-\s?\d")
"""A minus before a figure: hyphens join words and dates, and stand behind a letter or a digit."""

NO_FIGURE = re.compile(r"\b(inf|nan|none)\b", re.IGNORECASE)

SIGNED = {"margin", "score", "difference", "closure", "gain"}
"""What may be below zero: room that is short, the score of a poor build, and how far two ways differ."""

PLANS = (
    "",
    small_stock.TAP_THEN_ICE,
    '\n[[cooling]]\nsource = "bucket"\npump = "small"\nrefills = 3\nbucket = "5 L"\n',
    '\n[[cooling]]\nsource = "bucket"\npump = "small"\nrefills = 1\nbucket = "20 L"\nreturn = "drain"\n',
)
LIMITS: tuple[dict[str, Any], ...] = (
    {},
    {"chill_time": "10 min"},
    {"budget": 30},
    {"water": "20 L"},
    {"chill_time": "15 min", "budget": 60, "water": "60 L", "difficulty": 2},
)


@st.composite
def houses(draw: st.DrawFn) -> tuple[dict[str, Any], str]:
    """Kettles of all proportions, filled little or to the brim, some with a narrow mouth or things in it."""

    def one(*of: Any) -> Any:
        return draw(st.sampled_from(of))

    D, H = one(12, 16, 20, 24, 32, 45, 60), one(12, 18, 25, 36, 60)
    volume = math.pi / 4.0 * D**2 * H / 1e3 * one(0.15, 0.5, 0.8, 0.97, 0.995)
    kettle = {
        "inside_diameter": f"{D} cm",
        "inside_height": f"{H} cm",
        "coil_rests": one("feet", "floor", "hangs"),
        "mouth": f"{D * one(1.0, 1.0, 0.6):g} cm",
    }
    if one(True, False, False):
        part = {"what": "well", "where": one("wall", "floor", "centre"), "height": "10 cm"}
        kettle["part"] = [{**part, "size": f"{0.3 * D:g} cm"}]
    several = ["single", "nested", "parallel"]
    return {
        "units": one("metric", "us"),
        "kettle": kettle,
        "wort": {
            "volume": [f"{0.4 * volume:.3f} L", f"{volume:.3f} L"] if one(True, False) else f"{volume:.3f} L",
            "mixing": one("left alone", "now and then", "steady", "0 m/s"),
            "target_temperature": one("12 degC", "20 degC"),
        },
        "tap": {
            "temperature": one("4 degC", "12 degC", "19.5 degC", "24 degC"),
            "open_flow": one("1 L/min", "13 L/min"),
        },
        "workshop": {
            "marking_increment": "10 mm",
            "riser_sides": one("same", "any"),
            "layouts": one(["single"], several, several[1:]),
            "flow_settings": one(["full"], ["full", "third"]),
            "headspace": one("0 mm", "20 mm", "50 mm"),
            "riser": one("outside", "inside"),
        },
        "limits": one(*LIMITS),
    }, one(*PLANS)


def numbers(value: Any, key: str = "") -> Iterator[tuple[str, float]]:
    """Every number of a document, with the key that it stands under."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from numbers(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner, key)
    elif isinstance(value, float | int) and not isinstance(value, bool):
        yield key, float(value)


FULL = {"kettle": {"inside_diameter": "32 cm", "inside_height": "40 cm"}, "wort": {"volume": "32 L"}}
SHALLOW = {"kettle": {"inside_diameter": "32 cm", "inside_height": "30 cm"}, "wort": {"volume": "3.6 L"}}
NARROW = {"kettle": {"inside_diameter": "16 cm", "inside_height": "60 cm"}, "wort": {"volume": "3.6 L"}}


@example((FULL | {"limits": {"water": "20 L"}}, ""))
@example((SHALLOW | {"limits": {"budget": 30}}, ""))
@example((NARROW, ""))
@settings(max_examples=count(5, 1000))
@given(houses())
def test_every_figure_of_an_answer_is_inside_its_meaning(drawn: tuple[dict[str, Any], str]) -> None:
    house, plan = drawn
    with tempfile.TemporaryDirectory() as folder:
        small_stock.write(Path(folder), house)
        with (Path(folder) / "brewhouse.toml").open("a", encoding="utf-8") as file:
            file.write(plan)
        try:
            problem = api.read(folder)
        except api.InputFaults:
            return  # what cannot be, such as a part that is wider than the kettle
        answer = api.recommend(problem, top=2)
        lines = answer.lines()
        document = json.loads(api.dumps(answer.to_dict()))
    for line in lines:
        assert not BELOW_NOTHING.search(line) and not NO_FIGURE.search(line), line
    text = " ".join(" ".join(lines).split())
    assert not re.search(r"WAY OUT \d [^.]* opens [^.]*: out of reach", text), text
    for key, number in numbers(document):
        assert math.isfinite(number) and (number >= 0.0 or key in SIGNED), (key, number)
    for step in (s for conflict in document["conflicts"] for s in conflict["relax"]):
        assert step["limit"] != "mouth"
        assert step["to"] >= (FREE_RIM if step["limit"] == "headspace" else 0.0), step
        assert step["design"]["prediction"]["chill_time_s"] is not None
