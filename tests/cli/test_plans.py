"""Whole cooling plans at the command line: what is shown, what is refused, what comes out of reach."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from kits import write_kit

Run = Callable[..., Any]

HEAD = """\
name = "Planned"

[kettle]
inside_diameter = "36 cm"
inside_height = "40 cm"

[wort]
volume = {volume}
mixing = "{mixing}"
{more}
"""
TAP = '\n[tap]\ntemperature = {temperature}\nopen_flow = "10 L in 60 s"\n'
FIRST = '\n[[cooling]]\nsource = "tap"\nuntil = "{until}"\n'
ICE = '\n[[cooling]]\nsource = "ice bath"\npump = "small"\nwater = "10 L"\nice = "6 kg"\n'
HOLD = '\n[[cooling]]\nhold = "20 min"\n'
FORMS = """\
form_id,description,outer_diameter,circumference,height,open_end,owned,price
pot,pot,25 cm,,22 cm,yes,yes,
can,can,18 cm,,24 cm,yes,yes,
"""
COIL = """\
[coil]
material = "copper"
outer_diameter = "10 mm"
wall = "1 mm"
mean_diameter = "27 cm"
pitch = "16 mm"
turns = 9
lowest_turn_height = "30 mm"
riser_length_in = "50 cm"
riser_length_out = "35 cm"
"""


def brewhouse(
    folder: Path,
    plan: str = "",
    *,
    volume: str = '"20 L"',
    mixing: str = "steady",
    temperature: str = '"12 degC"',
    more: str = "",
    tail: str = "",
) -> Path:
    """A brewhouse with a plan, and a coil to try in it."""
    head = HEAD.format(volume=volume, mixing=mixing, more=more)
    folder.mkdir(parents=True, exist_ok=True)
    text = head + TAP.format(temperature=temperature) + plan + tail
    write_kit(folder, brewhouse=text, forms=FORMS)
    (folder / "coil.toml").write_text(COIL)
    return folder


def told(optichill: Run, folder: Path, status: int = 0) -> tuple[dict[str, Any], str]:
    """The document and the screen about the coil, of one run."""
    file = folder / "told.json"
    done = optichill("predict", folder, "--coil", folder / "coil.toml", "--json", file)
    assert done.status == status, done.err
    return json.loads(file.read_text(encoding="utf-8")), " ".join(done.out.split())


def predicted(optichill: Run, folder: Path, status: int = 0) -> dict[str, Any]:
    return told(optichill, folder, status)[0]


def test_stages_follow_one_another(optichill: Run, tmp_path: Path) -> None:
    folder = brewhouse(tmp_path, FIRST.format(until="80 degC") + HOLD + FIRST.format(until="36 degC") + ICE)
    data, said = told(optichill, folder)
    stages = data["prediction"]["stages"]
    assert [s["stage"] for s in stages] == [1, 2, 3, 4]
    assert stages[0]["wort_K"] == pytest.approx(353.15) and stages[2]["wort_K"] == pytest.approx(309.15)
    assert stages[1]["time_s"] == 1200.0
    counted = sum(s["time_s"] for s in stages if s["stage"] != 2)
    assert data["prediction"]["chill_time_s"] == pytest.approx(counted, rel=1e-6)
    assert data["prediction"]["ice_kg"] == pytest.approx(stages[3]["ice_melted_kg"])
    curve = data["curve"]
    assert curve["time_s"][-1] == pytest.approx(counted + 1200.0, rel=1e-3)
    placement = [i for i, n in enumerate(curve["stage"]) if n == 2]
    assert all(curve["flow_m3_s"][i] == 0.0 and curve["outlet_K"][i] is None for i in placement)
    assert sorted(curve["stage"]) == curve["stage"] and abs(data["energy"]["closure"]) < 1e-6
    assert abs(data["check"]["difference"]) < 5e-3
    for words in (
        "stand 20 min (not counted)",
        "ice water pumped round",
        "of 6 kg ice melted",
        "comes out near boiling",
    ):
        assert words in said, words


def test_ice_that_runs_out_says_how_much_is_missing(optichill: Run, tmp_path: Path) -> None:
    folder = brewhouse(tmp_path, FIRST.format(until="36 degC") + ICE.replace("6 kg", "3 kg"))
    data, said = told(optichill, folder)
    last = data["prediction"]["stages"][-1]
    # The last hundredth are crumbs; a bath whose ice is gone stands above the 4 °C that ice would keep.
    assert 0.99 * 3.0 <= last["ice_melted_kg"] <= 3.0 and last["ice_missing_kg"] > 0.5
    assert last["bath_K"] > 277.15
    assert "The ice runs out" in said and "of 2 kg in all) would keep the bath cold" in said


@pytest.mark.slow
def test_the_best_switch_is_shown_with_what_is_the_same(optichill: Run, tmp_path: Path) -> None:
    folder = brewhouse(tmp_path, FIRST.format(until="best") + ICE)
    data, said = told(optichill, folder)
    switch = data["prediction"]["switch"]
    assert switch["low_K"] <= switch["at_K"] <= switch["high_K"] and switch["high_K"] - switch["low_K"] > 1.0
    assert "CHANGE AT" in said and "is the same" in said
    best = data["prediction"]["chill_time_s"]
    half_way_to_the_target = 0.5 * (switch["low_K"] + 293.15)
    for until in (half_way_to_the_target, switch["high_K"] + 8.0):
        other = brewhouse(tmp_path, FIRST.format(until=f"{until - 273.15:.2f} degC") + ICE)
        assert predicted(optichill, other)["prediction"]["chill_time_s"] > best


def test_a_partial_boil_is_chilled_only_as_far_as_the_mix_needs(optichill: Run, tmp_path: Path) -> None:
    whole = predicted(optichill, brewhouse(tmp_path, volume='"10 L"'))
    more = 'top_up = { volume = "10 L", temperature = "5 degC" }'
    folder = brewhouse(tmp_path, volume='"10 L"', more=more)
    part, said = told(optichill, folder)
    assert part["prediction"]["chill_time_s"] < 0.6 * whole["prediction"]["chill_time_s"]
    assert 308.15 < part["curve"]["wort_K"][-1] < 310.15
    assert "the kettle need only reach 36 °C" in said


@pytest.mark.slow
def test_two_batches_and_two_seasons(optichill: Run, tmp_path: Path) -> None:
    seasons = '{ cold_season = "6 degC", warm_season = "16 degC" }'
    folder = brewhouse(tmp_path, volume='["15 L", "23 L"]', temperature=seasons)
    data = predicted(optichill, folder)
    large = predicted(optichill, brewhouse(tmp_path / "l", volume='"23 L"', temperature='"16 degC"'))
    assert data["prediction"]["chill_time_s"] == pytest.approx(large["prediction"]["chill_time_s"], rel=1e-9)
    winter = predicted(optichill, brewhouse(tmp_path / "w", volume='"23 L"', temperature='"6 degC"'))
    cold = data["prediction"]["cold_season"]
    assert cold["chill_time_s"] == pytest.approx(winter["prediction"]["chill_time_s"], rel=1e-6)
    assert cold["chill_time_s"] < data["prediction"]["chill_time_s"]
    # The coil must lie under the smallest batch: nine turns of it do not.
    line = next(line for line in data["limits"] if line["name"] == "submergence")
    assert not line["holds"]


@pytest.mark.slow
def test_a_warm_tap_shows_the_three_ways_out(optichill: Run, tmp_path: Path) -> None:
    folder = brewhouse(tmp_path, temperature='"27 degC"')
    done = optichill("recommend", folder, "--json", tmp_path / "out.json")
    said = " ".join(done.out.split())
    assert done.status == 3 and "cannot bring wort to 20 °C" in said
    for way in (
        "ice water pumped round through the coil",
        "a second coil (12 turns of 10 mm copper with a wall of 1 mm",
        "in ice water that is kept moving",
        "let a fridge do the rest",
    ):
        assert way in said, way
    ways = [
        a
        for a in json.loads((tmp_path / "out.json").read_text())["advice"]
        if a["kind"].startswith("too warm")
    ]
    assert [w["kind"].split(": ")[1] for w in ways] == ["ice", "precooling", "fridge"]
    assert 3.0 < ways[0]["change"]["ice_kg"] < 12.0 and ways[2]["change"]["end_K"] == pytest.approx(304.15)
    given = predicted(optichill, folder, status=3)
    assert len(given["ways_out"]) == 3 and given["prediction"]["chill_time_s"] is None
    assert 298.15 < given["closest_K"] < 302.15


def test_a_last_stage_below_its_source_is_out_of_reach_and_no_bad_plan(
    optichill: Run, tmp_path: Path
) -> None:
    folder = brewhouse(
        tmp_path, FIRST.format(until="60 degC") + '\n[[cooling]]\nsource = "tap"\n', temperature='"24 degC"'
    )
    assert optichill("recommend", folder).status == 3


BUCKET = '\n[[cooling]]\nsource = "bucket"\npump = "{pump}"\nwater_temperature = "{T} degC"\n'
BAD = {
    "a stage that warms": BUCKET.format(pump="big", T=99),
    "until below the source": FIRST.format(until="11 degC") + ICE,
    "a pump hotter than its rating": BUCKET.format(pump="small", T=50),
    "a bath without pump": ICE.replace('pump = "small"\n', ""),
    "a bucket that overflows": ICE.replace("10 L", "19 L"),
    "negative ice": ICE.replace("6 kg", "-6 kg"),
    "two free switches": FIRST.format(until="best") + FIRST.format(until="best") + ICE,
}


@pytest.mark.parametrize("plan", BAD.values(), ids=BAD.keys())
@pytest.mark.parametrize("command", ["check", "recommend"])
def test_bad_plans_are_refused_where_they_stand(
    optichill: Run, tmp_path: Path, plan: str, command: str
) -> None:
    done = optichill(command, brewhouse(tmp_path, plan))
    assert done.status == 4
    assert "brewhouse.toml:" in done.err and "cooling" in done.err and "allowed" in done.err


def test_the_valve_is_told_by_bucket_and_clock(optichill: Run, tmp_path: Path) -> None:
    wishes = (
        '\n[limits]\nwater = "110 L"\n\n[workshop]\nlayouts = ["single"]\nflow_settings = ["half", "third"]\n'
    )
    folder = brewhouse(tmp_path, tail=wishes)
    done = optichill(
        "recommend", folder, "--json", tmp_path / "out.json", "--save-coil", tmp_path / "saved.toml"
    )
    best = json.loads((tmp_path / "out.json").read_text())["designs"][0]
    assert done.status == 0 and best["valve_share"] in (0.5, 0.3333333333)
    flow = best["prediction"]["flow_m3_s"]
    assert f"a 10 L bucket fills in {0.010 / flow:.0f} s" in " ".join(done.out.split())
    again = optichill("predict", folder, "--coil", tmp_path / "saved.toml", "--json", "-")
    data = json.loads(again.out)["prediction"]
    assert data["chill_time_s"] == pytest.approx(best["prediction"]["chill_time_s"], rel=0.01)
    assert data["flow_m3_s"] == pytest.approx(flow, rel=0.005)


@pytest.mark.slow
@pytest.mark.parametrize("layout", ["nested", "parallel"])
def test_a_saved_coil_of_two_layers_is_the_design(optichill: Run, tmp_path: Path, layout: str) -> None:
    tail = f'\n[workshop]\nlayouts = ["{layout}"]\nsmallest_gap = "5 mm"\n'
    folder = brewhouse(tmp_path, mixing="left alone", tail=tail)
    done = optichill(
        "recommend", folder, "--json", tmp_path / "out.json", "--save-coil", tmp_path / "saved.toml"
    )
    assert done.status == 0, done.out
    best = json.loads((tmp_path / "out.json").read_text())["designs"][0]
    assert best["layout"] == layout and len(best["layers"]) == 2
    again = optichill("predict", folder, "--coil", tmp_path / "saved.toml", "--json", "-")
    data = json.loads(again.out)
    assert data["coil"]["layout"] == layout
    assert data["coil"]["tube_length_m"] == pytest.approx(best["coil"]["tube_length_m"], abs=0.01)
    assert data["prediction"]["chill_time_s"] == pytest.approx(best["prediction"]["chill_time_s"], rel=0.005)


def test_climate_stands_in_for_a_thermometer(optichill: Run, tmp_path: Path) -> None:
    climate = (
        '\n[tap]\nopen_flow = "10 L in 60 s"\nclimate = {{ mean = "11 degC", swing = "18 K", date = "{}" }}\n'
    )
    times = []
    for date in ("2026-02-01", "2026-08-01"):
        head = HEAD.format(volume='"20 L"', mixing="steady", more='target_temperature = "25 degC"')
        write_kit(tmp_path, brewhouse=head + climate.format(date))
        (tmp_path / "coil.toml").write_text(COIL)
        times.append(predicted(optichill, tmp_path)["prediction"]["chill_time_s"])
    assert times[1] > 1.1 * times[0]
