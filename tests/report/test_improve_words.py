"""What is said of a change to a coil that somebody owns: which lines go, how hot the water leaves, why what
does not pay is told."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import own_sizes, two_layers

from optichill.fabrication.work_plan import plan_work
from optichill.files.reading import Inputs, load, with_remarks
from optichill.model.coil import Coil
from optichill.owned.improve.changes import BREWHOUSE, COIL, Change, Edit, changed
from optichill.owned.improve.of_place import of_the_place
from optichill.owned.improve.ranked import Found, Improvement, needless
from optichill.owned.improve.seen import Seen
from optichill.rating.coil_rating import quick_rating
from optichill.report.improve.effects import bears_less, hot_outlet, takes, together, why_here
from optichill.report.improve.lines import written
from optichill.report.improve.screen import verdict
from optichill.report.improve.words import SHAKY, what_to_do
from optichill.report.warnings import does_not_go_in


def owner(folder: Path, house: dict[str, Any] | None = None, **coil: Any) -> Inputs:
    return with_remarks(replace(load(small_stock.write(folder, house)), coil=Coil(**own_sizes(**coil))))


def found(inputs: Inputs, change: Change) -> Found:
    now, then = Seen(inputs), changed(inputs, change.edits)
    assert then is not None
    return Found(now, change, Seen(then))


def of_place(inputs: Inputs, kind: str) -> list[Found]:
    ways = of_the_place(Seen(inputs))
    return [found(inputs, change) for some in ways for change in some if change.kind == kind]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_two_layers_pulled_open_stand_whole_in_the_file(tmp_path: Path, units: str) -> None:
    """Both old tables go out, and it says so; what is told is what the lines make, by hand set."""
    layers = two_layers(0.2682, 0.1932, turns=6.0, pitch=0.011)
    inputs = owner(tmp_path, {"units": units}, layout="nested", riser_length_out=0.5, **layers)
    for way in of_place(inputs, "pull open"):
        lines = written(way, "mine.toml", inputs)
        assert lines[0] == "mine.toml, both [[coil.layer]] go out, and in their place stand:"
        assert lines.count("[[coil.layer]]") == 2 and sum(line.startswith("turns") for line in lines) == 2
        opened = way.then.coil
        pitches = [line for line in lines if line.startswith("pitch")]
        whole = r'pitch = "\d+ mm"' if units == "metric" else r'pitch = "(?:\d+ )?\d+/(?:2|4|8|16) in"'
        assert len(pitches) == 2 and all(re.fullmatch(whole, line) for line in pitches), pitches
        assert way.change.told["gap"] == pytest.approx(opened.pitch - opened.outer_diameter, abs=1e-9)
        assert way.change.told["tall"] == pytest.approx(opened.height, abs=1e-9)
    assert of_place(inputs, "pull open")


def test_what_makes_water_hotter_than_its_hose_says_so(tmp_path: Path) -> None:
    """Less flow: the caution is there where 60 degC are passed, or what the hose is rated for, and as hot as
    `predict` has it; open again, or with a hose for boiling water, it is not."""
    inputs = owner(tmp_path, {"wort": {"mixing": "steady"}}, turns=12.0)
    less = Change("shut the valve", (Edit(COIL, "coil", "flow", "2.5 L/min"),), {"share": 0.3, "flow": 4e-5})
    shut = found(inputs, less)
    assert shut.now.outlet < 333.15 < shut.then.outlet
    predicted = quick_rating(shut.then.basis, shut.then.coil).prediction.outlet_start
    assert shut.then.outlet == pytest.approx(predicted, abs=0.1)
    (said,) = hot_outlet(shut)
    assert f"water leaves at {predicted - 273.15:.0f} °C at first: too hot for a plain hose" in said
    opened = found(shut.then.inputs, Change("open the valve", (Edit(COIL, "coil", "flow", None),)))
    assert hot_outlet(opened) == []
    rated = changed(inputs, [Edit(BREWHOUSE, "tap", "hose_rating", "100 degC")])
    assert rated is not None and hot_outlet(found(rated, less)) == []
    weak = changed(inputs, [Edit(BREWHOUSE, "tap", "hose_rating", "45 degC")])
    assert weak is not None and "more than the hose's 45 °C" in hot_outlet(found(weak, less))[0]


def test_ends_that_come_out_at_a_loss_say_why_and_only_the_cheapest_is_told(tmp_path: Path) -> None:
    """Both risers end in the kettle: higher by the least that brings them out, or turns unwound."""
    inputs = owner(tmp_path, riser_length_in=0.53, riser_length_out=0.36, turns=7.0)
    (higher,), (unwound,) = (of_place(inputs, kind) for kind in ("stand", "longer risers"))
    lack = max(higher.now.ends_short)
    assert 0.02 < lack <= higher.change.told["by"] < lack + 0.001
    for way in (higher, unwound):
        assert way.brings_out and way.net < 0.0
        assert why_here(way) == "it is here because then its ends come out of the kettle"
    cheap, dear = sorted((higher, unwound), key=lambda f: -f.net)
    assert cheap.helps and needless(dear, [cheap, dear]) and not needless(cheap, [cheap, dear])
    assert "off the floor" in what_to_do(higher)


def test_what_pays_gives_no_excuse(tmp_path: Path) -> None:
    inputs = owner(tmp_path, turns=6.0)
    mixing = Edit(BREWHOUSE, "wort", "mixing", {"with": "paddle", "motion": "slow"})
    stirred = found(inputs, Change("stir", (mixing,), {"with": "paddle", "motion": "slow"}))
    assert stirred.net > 0.0 and why_here(stirred) == ""


def test_a_coil_that_does_not_pass_the_mouth_is_not_good_enough(tmp_path: Path) -> None:
    """Turns of 27 cm, a mouth of 27.4, risers that nobody has measured: it says what to measure first."""
    inputs = owner(tmp_path, {"kettle": {"mouth": "27.4 cm"}}, riser_bend_radius=None)
    now = Seen(inputs)
    assert now.coil.mean_diameter + now.coil.outer_diameter < 0.274 and not now.goes_in
    said = verdict(Improvement(now, (), (), None))
    assert said.startswith("Not good enough: with its risers it is wider than the kettle's mouth")
    assert "measured: do that first" in said
    plan = plan_work(now.basis, now.coil)
    outside = does_not_go_in(plan.rating, plan)
    assert outside is not None and "27.4 cm of kettle mouth" in outside and "riser_bend_radius" in outside
    wide = Seen(owner(tmp_path / "wide", {"kettle": {"mouth": "30 cm"}}, riser_bend_radius=None))
    assert wide.goes_in and does_not_go_in(plan_work(wide.basis, wide.coil).rating, plan) is None


def test_feet_so_tall_that_they_shake_say_so(tmp_path: Path) -> None:
    """A hand's height and more of wire: the same words as for a new kettle."""
    house = {"kettle": {"inside_height": "60 cm"}, "wort": {"volume": "45 L"}}
    (higher,) = of_place(
        owner(tmp_path, house, turns=6.0, riser_length_in=0.9, riser_length_out=0.9), "stand"
    )
    assert higher.change.told["under"] > SHAKY and "shaky" in what_to_do(higher)
    (low,) = of_place(owner(tmp_path / "low", turns=6.0), "stand")
    assert low.change.told["under"] < SHAKY and "shaky" not in what_to_do(low)


def test_a_paddle_that_is_not_there_costs_something(tmp_path: Path) -> None:
    """Who stirs with one has it."""
    for mixing, said in (("steady", "for nothing, if you have a paddle"), (WITH_PADDLE, "for nothing")):
        inputs = owner(tmp_path / said, {"wort": {"mixing": mixing}}, turns=6.0)
        brisk = {"with": "paddle", "motion": "brisk"}
        change = Change("stir", (Edit(BREWHOUSE, "wort", "mixing", brisk),), brisk)
        told = takes(found(inputs, change))
        assert told.startswith(f"surely, {said}, saves")


WITH_PADDLE = {"with": "paddle", "motion": "slow"}


def test_ice_that_runs_short_is_told_of_what_is_done_together_too(tmp_path: Path) -> None:
    """A change-over sooner and a paddle: quicker, and the ice lasts in fewer batches; alone and together."""
    folder = small_stock.write(tmp_path)
    file = folder / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + small_stock.TAP_THEN_ICE, encoding="utf-8")
    inputs = with_remarks(replace(load(folder), coil=Coil(**own_sizes(turns=8.0))))
    stir = Edit(BREWHOUSE, "wort", "mixing", {"with": "paddle", "motion": "brisk"})
    sooner = Edit(BREWHOUSE, "cooling[1]", "until", "50 degC")
    way = found(inputs, Change("change over", (stir, sooner), {"until": "50 degC", "later": False}))
    short = [text for text in bears_less(way) if "lasts to the end" in text]
    assert way.quicker and short
    both = replace(way, parts=(0, 1))
    assert short[0] in together(both) and short[0] in takes(way)
    assert "surely," not in takes(way)


def test_together_that_costs_more_than_it_saves_says_so(tmp_path: Path) -> None:
    """No negative savings: what it costs, and that it is here for the water that is then kept."""
    inputs = owner(tmp_path, {"limits": {"water": "90 L"}, "wort": {"mixing": "steady"}}, turns=12.0)
    less = (Edit(COIL, "coil", "flow", "1.5 L/min"),)
    way = found(inputs, Change("together", less, {"share": 0.2, "flow": 2.5e-5}))
    both = replace(way, parts=(0, 1))
    assert both.saves < 0.0 and both.mends == {"water"}
    said = together(both)
    assert "saves about" not in said and "-" not in said
    assert re.search(
        r"costs more than it saves \(about \d+ EUR over \d+ batches\); it is here because then", said
    )
    assert "your 90 L of water are kept" in said


def test_a_coil_in_time_that_stands_dry_is_not_good_enough(tmp_path: Path) -> None:
    """Turns out of the wort, and nearer to the wall than is wanted: its verdict names both."""
    house = {"wort": {"volume": "8 L"}, "kettle": {"wall_clearance": "60 mm"}, "wishes": {"good_time": "2 h"}}
    now = Seen(owner(tmp_path, house, turns=12.0))
    assert now.goes_in and not now.hangs_in and {"submergence", "wall"} <= now.broken
    judged = Improvement(now, (), (), None)
    assert judged.in_time and not judged.good_enough
    said = verdict(judged)
    assert said.startswith("In time, but turns stand dry, and the room to the kettle wall"), said
    assert "Good enough" not in said
    free = Seen(owner(tmp_path / "free", {"wishes": {"good_time": "2 h"}}, turns=6.0))
    assert not free.broken and Improvement(free, (), (), None).good_enough
