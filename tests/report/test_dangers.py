"""Words of taps where a tap runs, and of pumps where a pump does; nowhere the other's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import small_stock
from own_coil import own_bench

from optichill.model.cooling import CoolingStage
from optichill.report.dangers import in_a_line_each, not_called_for, on_screen
from optichill.report.screen import kettle_text, take_care
from optichill.report.several.screen import cautions as several_cautions
from optichill.report.sheet.card import brew_day, cautions
from optichill.report.sheet.document import Steps
from optichill.report.tradeoff.data import page_data
from optichill.search.recommend import search_space
from optichill.search.tradeoff import weigh
from optichill.workshop.cautions import CAUTIONS
from optichill.workshop.cautions import PUMP as SHORT

PUMP = {"source": "bucket", "pump": "small", "water": "20 L", "refills": 4}
TAP_WORDS = ("open the water slowly", "hose tap", "vacuum breaker", "at the tap", "tap pressure")
PUMP_WORDS = ("pump",)


def said_of(folder: Path, *stages: dict[str, object], flow: str | None = None) -> dict[str, str]:
    """What screen and sheet say of a plan."""
    house = {"cooling": list(stages)} if stages else None
    plan, inputs = own_bench(folder, house, **({"flow": flow} if flow else {}))
    steps = [b for b in brew_day(plan).blocks if isinstance(b, Steps)]
    return {
        "screen": " ".join(" ".join(take_care(plan.basis)).split()),
        "kettle": kettle_text(plan.basis),
        "notes": " ".join(inputs.notes),
        "sheet": " ".join(cautions(plan).items),
        "card": " ".join(text for block in steps for text, _ in block.items),
    }


def test_a_plan_of_a_pump_alone_is_told_without_a_tap(tmp_path: Path) -> None:
    """`predict` said "open the water slowly", and put a vacuum breaker on a tap that does not run."""
    for where, text in said_of(tmp_path, PUMP).items():
        assert not [word for word in TAP_WORDS if word in text.lower()], (where, text)
        if where in ("screen", "sheet"):
            assert "keep clear of the outlet hose when the pump is plugged in" in text
            assert "Never shut the outlet of a filled coil" in text and "drip loop" in text


def test_a_plan_of_the_tap_alone_is_told_without_a_pump(tmp_path: Path) -> None:
    for where, text in said_of(tmp_path).items():
        assert not [word for word in PUMP_WORDS if word in text.lower()], (where, text)
        if where in ("screen", "sheet"):
            assert "open the water slowly" in text and "vacuum breaker" in text


def test_a_pump_that_is_held_back_is_set_as_it_runs(tmp_path: Path) -> None:
    """Its valve was set by "open the water fully" and shut, and nobody opened it again on the day."""
    drained = {**PUMP, "return": "drain"}
    card = said_of(tmp_path, drained, flow="3 L/min")["card"]
    assert "open the water" not in card and "shut it" not in card
    assert re.search(r"plug the pump in, then close the valve until .* Leave it there", card)


@pytest.mark.parametrize("order", [("tap", "bucket"), ("bucket", "tap"), ("tap",), ("bucket",)])
def test_each_plan_calls_for_one_way_to_begin_and_for_what_runs_in_it(
    tmp_path: Path, order: tuple[str, ...]
) -> None:
    house = small_stock.of(tmp_path).brewhouse
    stages = tuple(
        CoolingStage(source="tap")
        if source == "tap"
        else CoolingStage.model_validate({"source": "bucket", "pump": "small", "water": 0.02, "bucket": 0.03})
        for source in order
    )
    house = house.model_copy(update={"cooling": stages})
    left = {name for name, _ in CAUTIONS} - not_called_for(house)
    assert {"valves", "pump start"} & left == {"valves" if order[0] == "tap" else "pump start"}
    assert ("backflow" in left) == ("tap" in order) and ("electricity" in left) == ("bucket" in order)
    assert ("mains" in left) != ("electricity" in left) and ("frost" in left) != ("frost, pump" in left)
    assert set(on_screen(house)) <= left


def test_the_page_to_compare_on_has_the_cautions_of_the_screen(tmp_path: Path) -> None:
    """It spoke of the tap's vacuum breaker whatever drives the water."""
    plan, inputs = own_bench(tmp_path, {"cooling": [PUMP]})
    page = page_data(weigh(search_space(plan.basis), in_full=0), inputs, {})
    screen = " ".join(" ".join(take_care(plan.basis)).split())
    assert page["cautions"] and all(text in screen for text in page["cautions"])


@pytest.mark.parametrize(
    "mixing", ["whirlpool pump", {"with": "whirlpool pump"}, "whirlpool pump, 20 s a minute"]
)
def test_a_whirlpool_pump_is_a_pump_too(tmp_path: Path, mixing: object) -> None:
    """It moves hot wort by mains, and neither screen, sheet nor card had a word of it."""
    plan, _ = own_bench(tmp_path, {"wort": {"mixing": mixing}})
    steps = [b for b in brew_day(plan).blocks if isinstance(b, Steps)]
    said = {
        "screen": " ".join(" ".join(take_care(plan.basis)).split()),
        "first screen": " ".join(in_a_line_each(plan.basis)),
        "sheet": " ".join(cautions(plan).items),
        "card": " ".join(text for block in steps for text, _ in block.items),
    }
    for where, text in said.items():
        assert "GFCI" in text and "drip loop" in text and "hoses" in text and "clamped" in text, where
        assert re.search(r"pump off and unplugged; only then lift|unplug it before .*lift", text), where
    assert "hot wort pump" not in not_called_for(plan.basis.brewhouse)


def test_a_in_a_line_each_names_the_pumps_of_its_plan(tmp_path: Path) -> None:
    assert SHORT in in_a_line_each(own_bench(tmp_path / "bucket", {"cooling": [PUMP]})[0].basis)
    tap = in_a_line_each(own_bench(tmp_path / "tap")[0].basis)
    assert not [line for line in tap if "pump" in line]


def test_one_coil_for_two_kettles_has_the_cautions_of_both(tmp_path: Path) -> None:
    """The whirlpool pump of the second kettle was not spoken of."""
    tap = own_bench(tmp_path / "tap")[0].basis
    pumped = own_bench(tmp_path / "pumped", {"wort": {"mixing": "whirlpool pump"}})[0].basis
    for full in (True, False):
        said = " ".join(several_cautions((tap, pumped), full=full))
        assert "whirlpool pump" in said and said.count("first water out") == 1
        assert "pump" not in " ".join(several_cautions((tap, tap), full=full))
