"""What is said of a coil that is stated: by every command the same, and nothing that cannot be."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from own_coil import SIZES, own_bench, own_sizes

import optichill as oc
from optichill.model.coil import Coil
from optichill.model.remarks import about_coil
from optichill.rating.coil_rating import rate
from optichill.report import coil_read
from optichill.report.prediction import screen
from optichill.report.sheet import measure
from optichill.report.sheet.notes import notes
from optichill.report.sheet.refusal import stops, warned
from optichill.report.sheet.sizes import Sizes

SHORT = {"riser_length_in": 0.05, "riser_length_out": 0.04}


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """The documents of check, predict and sheet about one coil whose risers are shorter than their bends."""
    folder = small_stock.write(tmp_path_factory.mktemp("short"))
    sizes = {k: v for k, v in {**SIZES, **SHORT}.items() if k != "material"}
    lines = [f'{k} = "{v * 1e3:g} mm"' if k != "turns" else f"turns = {v}" for k, v in sizes.items()]
    (folder / "coil.toml").write_text("\n".join(["[coil]", 'material = "copper"', *lines]), encoding="utf-8")
    problem = oc.read(folder, coil=folder / "coil.toml")
    answers = {
        "check": problem,
        "predict": oc.rate(problem.coil, problem),
        "sheet": oc.plan_work(problem.coil, problem),
    }
    screens = {name: " ".join(" ".join(answer.lines()).split()) for name, answer in answers.items()}
    return {name: {**answer.to_dict(), "screen": screens[name]} for name, answer in answers.items()}


def test_check_predict_and_sheet_say_the_same_of_a_riser_that_is_too_short(
    said: dict[str, dict[str, Any]],
) -> None:
    stops = said["sheet"]["stops"]
    assert {stop["name"] for stop in stops} == {"leg_below_rim"}
    for document in said.values():
        assert (document["buildable"], document["stops"]) == (False, stops)
        assert all(stop["text"] in document["screen"] for stop in stops)
    for name in ("check", "predict"):
        assert all(any(stop["text"] in text for text in said[name]["warnings"]) for stop in stops)


def test_no_length_of_a_riser_is_printed_that_is_less_than_nothing(tmp_path: Path) -> None:
    plan, _ = own_bench(tmp_path, **SHORT)
    cells = [cell for row in measure.riser_table(plan, Sizes("metric", plan.step)).rows for cell in row]
    assert "too short" in cells and not [cell for cell in cells if cell.startswith(("-", "−"))]


@pytest.mark.parametrize("named", [None, "cu-10-10"])
def test_a_wall_that_is_not_the_lists_is_told_with_both(tmp_path: Path, named: str | None) -> None:
    for wall, told in ((0.00099, False), (0.00092, True)):
        plan, _ = own_bench(tmp_path, wall=wall, stock_id=named)
        said = [text for text in notes(plan) if "0.92 mm" in text and "1 mm" in text]
        assert plan.tube.wall == 0.001 and bool(said) is told


def test_more_tube_than_turns_and_risers_can_use_is_told(tmp_path: Path) -> None:
    """Ten turns of 26 cm take 8.2 m; a tube of 20 m would leave 5.9 m for each riser of a 40 cm kettle."""
    problem = oc.read(small_stock.write(tmp_path))
    sizes = {k: v for k, v in SIZES.items() if not k.startswith("riser")}
    coils = {m: Coil(**sizes, bought_length=m) for m in (9.4, 20.0)}
    said = {m: " ".join(about_coil(c, problem.stock, problem.brewhouse)) for m, c in coils.items()}
    assert "measure length" not in said[9.4]
    assert "the turns take 8.2 m: 5.9 m would be left for each riser" in said[20.0]
    assert said[20.0].endswith("write riser_length_in and riser_length_out")
    ends = Coil(**sizes, bought_length=20.0, riser_length_in=5.0, riser_length_out=5.0)
    assert "riser_length" not in " ".join(about_coil(ends, problem.stock, problem.brewhouse))


def test_a_hold_that_cools_past_the_target_is_told_with_its_line(tmp_path: Path) -> None:
    """A day's hold at 5 degC: the wort goes below 20 degC by itself, when the march goes there too."""
    folder = small_stock.write(tmp_path, {"wort": {"ambient_temperature": "5 degC"}})
    tap = '\n[[cooling]]\nsource = "tap"\n'
    plan = f'{tap}until = "80 degC"\n\n[[cooling]]\nhold = "23 h"\n{tap}'
    file = folder / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8") + plan, encoding="utf-8")
    line = file.read_text(encoding="utf-8").splitlines().index('hold = "23 h"') + 1
    rating = oc.rate(SIZES, oc.read(folder))
    (said,) = [text for text in rating.warnings if "below the target of 20 °C" in text]
    assert said.startswith(f"{file}:{line}: cooling[2].hold: the wort falls to ")
    curve, stage = rating.rated.curve, rating.prediction.stages[1]
    assert stage.until is not None and stage.until < 293.15 and stage.passed is not None
    of_hold = curve.stage == 2
    crossing = float(curve.time[of_hold][curve.wort[of_hold] <= 293.15][0] - curve.time[of_hold][0])
    assert stage.passed == pytest.approx(crossing, abs=0.03 * 23 * 3600.0)


def test_turns_over_the_rim_are_told_with_one_figure(tmp_path: Path) -> None:
    """Lowest turn 3 cm up, 23 turns of 16 mm and half a tube: 40.3 cm, the rim stands at 40."""
    plan, inputs = own_bench(tmp_path, turns=23.0)
    said = " ".join(" ".join(screen(rate(plan.basis, plan.coil), inputs, plan)).split())
    (stop,) = [stop["text"] for stop in stops(plan) if stop["name"] == "rim"]
    assert f"DOES NOT GO IN {stop} The rest is worked out" in said
    assert set(re.findall("turns reach (.*?) up", said)) == {"403 mm"}


@pytest.mark.parametrize(("water", "told"), [("2 L", True), ("20 L", False)])
def test_a_filling_that_lasts_no_longer_than_its_change_is_told(
    tmp_path: Path, water: str, told: bool
) -> None:
    """Two litres of warmed water are poured away every few seconds, 20 L every minute or two."""
    folder = small_stock.write(tmp_path)
    file, refills = folder / "brewhouse.toml", 50 if told else 3
    plan = (
        f'\n[[cooling]]\nsource = "bucket"\npump = "small"\nwater = "{water}"\nbucket = "25 L"\n'
        f'refills = {refills}\nreturn = "bucket"\nuntil = "70 degC"\n\n[[cooling]]\nsource = "tap"\n'
    )
    file.write_text(file.read_text(encoding="utf-8") + plan, encoding="utf-8")
    rating = oc.rate(SIZES, oc.read(folder))
    stage = rating.prediction.stages[0]
    assert (stage.time / (1 + refills) < 30.0) is told
    assert any("less than it takes to change it" in text for text in rating.warnings) is told


@pytest.mark.parametrize(("litres", "told"), [(None, False), (2.0, False), (400.0, True)])
def test_a_flow_that_the_tap_does_not_give_is_told(tmp_path: Path, litres: float | None, told: bool) -> None:
    """The valve holds water back; what is more than runs with it open is taken as open, and told."""
    plan, _ = own_bench(tmp_path, flow=None if litres is None else litres / 6e4)
    said = [text for text in warned(plan) if text.startswith("coil: flow is")]
    assert len(said) == told and (not told or "400 L/min, but " in said[0])
    if litres == 2.0:
        assert 6e4 * plan.rating.prediction.flow == pytest.approx(2.0, rel=1e-3)


@pytest.mark.parametrize(
    ("turns", "said"),
    [(11.3, "11.3 turns, 6 mm open"), (10.5, "10 1/2 turns, 6 mm open"), (0.5, "1/2 turn;")],
)
def test_turns_are_told_as_they_are(tmp_path: Path, turns: float, said: str) -> None:
    """By check and predict; half a turn has no other beside it."""
    problem = oc.read(small_stock.write(tmp_path))
    coil = Coil(**{**SIZES, "turns": turns})
    rating = oc.rate(coil, problem)
    for lines in (coil_read.lines(coil, "metric"), rating.lines()):
        assert said in " ".join(" ".join(lines).split())


@pytest.mark.parametrize(
    ("stands", "turns", "helps"),
    [
        ({"feet_height": 0.30}, 10.0, "Shorter feet would do, of 25 mm instead of 300 mm."),
        ({"lowest_turn_height": 0.31}, 10.0, "It would do to set the coil lower, 25 mm above the floor."),
        ({"feet_height": 0.05}, 24.0, "Fewer turns would do."),
    ],
)
def test_what_helps_a_coil_above_the_rim_is_what_put_it_there(
    tmp_path: Path, stands: dict[str, float], turns: float, helps: str
) -> None:
    """Turns of 170 mm on feet of 300 stand over a rim of 400 mm, on feet of 25 not; those of 394 mm do."""
    plan, _ = own_bench(tmp_path, **{"lowest_turn_height": None, "turns": turns, **stands})
    said = {stop["name"]: stop["text"] for stop in stops(plan)}
    assert said["rim"].endswith(f"the rim is at 400 mm. {helps}")
    if turns == 10.0:
        assert all(said[name].endswith(helps) for name in said if name in ("rim", "riser_height"))
        low, _ = own_bench(tmp_path / "low", lowest_turn_height=0.030, turns=turns)
        assert not {"rim", "riser_height"} & {stop["name"] for stop in stops(low)}


@pytest.mark.parametrize("d_o", [0.00995, 0.010, 0.01005])
def test_a_coil_on_the_floor_is_not_in_it(tmp_path: Path, d_o: float) -> None:
    """Its tube measures a little more or less than the list's 10 mm: that lifts nothing off the floor."""
    sizes = {"outer_diameter": d_o, "lowest_turn_height": None, "stands": "floor"}
    problem = oc.read(small_stock.write(tmp_path))
    rating = oc.rate(Coil(**own_sizes(**sizes)), problem)
    assert not [text for text in rating.warnings if "floor" in text]


def test_sizes_are_told_by_predict_as_by_check_and_the_gap_as_in_its_warning(tmp_path: Path) -> None:
    """17.5 cm are 17.5, not 18; a gap of 4.6 mm that should be 5 is not told as 5."""
    problem = oc.read(small_stock.write(tmp_path, {"workshop": {"smallest_gap": "5 mm"}}))
    coil = Coil(**{**SIZES, "pitch": 0.0146, "turns": 11.3})
    checked = " ".join(" ".join(coil_read.lines(coil, "metric")).split())
    rated = " ".join(" ".join(oc.rate(coil, problem).lines()).split())
    assert "27 cm across, 17.5 cm tall" in checked and "27 cm across, 17.5 cm tall" in rated
    assert "4.6 mm open between turns" in rated and "The gap between turns: 4.6 mm, wanted 5 mm." in rated
