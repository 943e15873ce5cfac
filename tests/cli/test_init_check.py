"""The command line: what it loads, init, check, exit statuses."""

from __future__ import annotations

import contextlib
import io
import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import click
import kits
import pytest
from where import ROOT

from optichill import errors, units
from optichill.api import init
from optichill.cli import group, questions
from optichill.cli import main as cli
from optichill.files import starter_kit
from optichill.files.reading import load

HEAVY = ("numpy", "scipy", "CoolProp", "optuna", "pandas", "pydantic", "pint", "jinja2", "rich", "moocore")


def command(*arguments: str, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
    """The command line in this process, in a folder, without a terminal."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with contextlib.chdir(folder or Path.cwd()), pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", io.StringIO())
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", err)
        status = cli.run(list(arguments))
    said = []
    for stream in (out, err):
        stream.flush()
        stream.seek(0)
        said.append(stream.read())
    return subprocess.CompletedProcess(arguments, status, *said)


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["nonsense"]])
def test_help_loads_nothing_heavy(arguments: list[str]) -> None:
    code = (
        f"import sys; from optichill.cli.main import run; run({arguments!r});"
        f"print('LOADED', *[m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "LOADED"


def test_help_names_the_commands() -> None:
    text = command("--help").stdout
    for name in ("init", "check", "recommend", "predict"):
        assert f"  {name} " in text


def test_every_registered_command_exists() -> None:
    context = click.Context(group.group)
    for name in group.COMMANDS:
        found = group.group.get_command(context, name)
        assert isinstance(found, click.Command) and found.name == name


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (errors.InputFaults([errors.InputFault("f", 1, "k", "g", "r")]), 4),
        (errors.CannotWrite("no room"), 5),
        (errors.PropertyRange("too hot"), 4),
        (KeyboardInterrupt(), 130),
        (click.UsageError("no"), 2),
        (BrokenPipeError(), 0),
    ],
)
def test_exit_statuses(
    error: BaseException, status: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(*args: object, **kwargs: object) -> None:
        raise error

    monkeypatch.setattr(group.group, "invoke", fails)
    monkeypatch.setattr(sys, "stdout", sys.stdout)
    assert cli.run(["check"]) == status
    assert capsys.readouterr().out == ""


def test_a_command_hands_its_own_status_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(group.group, "invoke", lambda ctx: 3)
    assert cli.run(["check"]) == 3


def test_usage_error() -> None:
    done = command("check", "--nonsense")
    assert done.returncode == 2 and "--nonsense" in done.stderr


# --- check ------------------------------------------------------------------------------------------------


def test_check_says_what_was_understood(tmp_path: Path) -> None:
    kits.write_kit(tmp_path)
    done = command("check", folder=tmp_path)
    assert done.returncode == 0 and done.stderr == ""
    assert done.stdout.splitlines()[0] == "Brewhouse: Test kettle (brewhouse.toml)"
    for part in (
        "36 cm wide, 40 cm tall inside; 40.7 L to the brim",
        "23 L hot = 22.6 cm deep",  # 23 L over pi/4 36 cm squared
        "98 °C down to 20 °C",
        "12 °C, measured 13.3 L/min",
        "tap pressure assumed 3 bar",
        "tubing 2, forms 2 (1 owned)",
        "No faults.",
    ):
        assert part in done.stdout


def test_check_in_us_units(tmp_path: Path) -> None:
    done = command("check", str(kits.write_kit(tmp_path)), "--units", "us")
    assert "14 3/16 in wide" in done.stdout and "208 °F down to 68 °F" in done.stdout


def test_check_estimates_the_flow_that_was_not_measured(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace('open_flow = "10 L in 45 s"\n', "")
    kits.write_kit(tmp_path, brewhouse=text)
    done = command("check", str(tmp_path), "--json", "-")
    tap = json.loads(done.stdout)["understood"]["tap"]
    assert not tap["open_flow_measured"] and 5 / 6e4 < tap["open_flow_m3_s"] < 60 / 6e4
    assert "estimated, about" in done.stderr


def test_check_without_a_brewhouse_uses_the_packaged_example(tmp_path: Path) -> None:
    done = command("check", folder=tmp_path)
    assert done.returncode == 0 and done.stdout.startswith("EXAMPLE KETTLE, NOT YOURS")
    assert list(tmp_path.iterdir()) == []


def test_check_writes_every_fault_and_ends_with_4(tmp_path: Path) -> None:
    kits.write_kit(
        tmp_path, brewhouse=kits.BREWHOUSE.replace("36 cm", "36"), tubing=kits.TUBING.replace("1 mm", "1")
    )
    done = command("check", "--json", "out.json", folder=tmp_path)
    assert done.returncode == 4 and done.stdout == ""
    lines = done.stderr.splitlines()
    assert lines.pop(0) == "wrote out.json"
    assert lines[0] == "Brewhouse: brewhouse.toml: 2 faults"
    assert lines[1].startswith("brewhouse.toml:4: kettle.inside_diameter: 36: add a unit")
    assert lines[2].startswith("tubing.csv:2: wall: 1: add a unit")
    found = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    assert not found["ok"] and found["understood"] is None
    assert [(fault["file"], fault["line"], fault["key"]) for fault in found["faults"]] == [
        ("brewhouse.toml", 4, "kettle.inside_diameter"),
        ("tubing.csv", 2, "wall"),
    ]


def test_check_json_on_standard_output_is_alone(tmp_path: Path) -> None:
    kits.write_kit(tmp_path)
    done = command("check", "--json", "-", folder=tmp_path)
    found = json.loads(done.stdout)
    assert found["schema_version"] == 1 and found["ok"] and found["brewhouse"] == "Test kettle"
    assert found["understood"]["wort"]["volume_m3"] == 0.023  # ten digits
    (stage,) = found["understood"]["cooling"]
    assert {key: value for key, value in stage.items() if value is not None} == {
        "source": "tap",
        "water_temperature_K": 285.15,
    }
    assert found["understood"]["stock"] == {"tubing": 2, "forms": 2, "benders": 1, "fittings": 4, "pumps": 2}
    assert "No faults." in done.stderr
    shuffled = kits.TUBING.splitlines()
    again = kits.write_kit(tmp_path, tubing="\n".join([shuffled[0], *reversed(shuffled[1:])]) + "\n")
    assert command("check", "--json", "-", folder=again).stdout == done.stdout


PLAN = """
[[cooling]]
source = "tap"
until = "80 degC"
[[cooling]]
hold = "20 min"
[[cooling]]
source = "bucket"
until = "40 degC"
pump = "small"
refills = 1
water_temperature = "14 degC"
[[cooling]]
source = "bucket"
until = "best"
pump = "big"
water = "15 L"
return = "drain"
return_under_water = false
lift = "80 cm"
[[cooling]]
source = "precooled tap"
until = "28 degC"
water = "8 L"
ice = "4 kg"
ice_stirred = true
[cooling.precooler]
material = "copper"
outer_diameter = "10 mm"
wall = "1 mm"
mean_diameter = "26 cm"
pitch = "17 mm"
turns = 10.5
riser_length_in = "50 cm"
riser_length_out = "35 cm"
[[cooling]]
source = "ice bath"
pump = "small"
water = "10 L"
ice = "6 kg"
bucket = "25 L"
[workshop]
layouts = ["single", "parallel"]
flow_settings = ["full", "two thirds"]
"""


def planned() -> str:
    text = kits.BREWHOUSE.replace('"23 L"', '["19 L", "23 L"]')
    text = text.replace("[tap]", 'top_up = { volume = "5 L", temperature = "4 degC" }\n[tap]')
    seasons = '{ cold_season = "6 degC", warm_season = "18 degC" }'
    return text.replace('"12 degC"', seasons) + PLAN


def test_check_says_the_plan_in_plain_words(tmp_path: Path) -> None:
    done = command("check", str(kits.write_kit(tmp_path, brewhouse=planned())))
    assert done.returncode == 0, done.stderr
    said = " ".join(done.stdout.split())
    for line in (
        "1 tap water at 18 °C; until the wort has 80 °C",
        "2 hold 20 min without water, not counted",
        "3 bucket of 20 L: 20 L of water at 14 °C, pumped by small and back into it, 2 fillings; "
        "until the wort has 40 °C",
        "4 bucket of 20 L: 15 L of water at 18 °C, pumped by big and down the drain, lifted 80 cm; "
        "until the switch that proves best",
        "5 tap water at 18 °C through 8.6 m of 10 mm tube, in a bucket of 20 L: 8 L of water at 18 °C and "
        "4 kg of ice (small cubes), stirred; until the wort has 28 °C",
        "6 ice bath in a bucket of 25 L: 10 L of water at 18 °C and 6 kg of ice (small cubes), pumped by "
        "small and back into it; to the target of 20 °C",
        # 19 and 23 L over pi/4 36 cm squared
        "WORT      19 L and 23 L hot = 18.7 cm and 22.6 cm deep without the coil, 12 °P",
        "TOP-UP    5 L of water at 4 °C afterwards: chilled so far that the mix has 20 °C",
        "LAYOUTS   single, parallel",
        "VALVE     full, two thirds of the flow, where water runs away",
    ):
        assert " ".join(line.split()) in said, done.stdout
    assert "TAP       6 °C in the cold season and 18 °C in the warm one, measured" in done.stdout


def test_check_says_the_climate_and_where_a_valve_would_do_nothing(tmp_path: Path) -> None:
    climate = 'climate = { mean = "52 degF", swing = "50 degF", date = 2026-04-15 }'
    bath = '[[cooling]]\nsource = "ice bath"\npump = "small"\nwater = "10 L"\nice = "6 kg"\n'
    text = kits.BREWHOUSE.replace('temperature = "12 degC"', climate) + bath
    done = command("check", str(kits.write_kit(tmp_path, brewhouse=text)), "--units", "us")
    assert "TAP       52 °F by the climate on 2026-04-15" in done.stdout
    assert "VALVE     full flow, for all water comes back" in done.stdout
    said = " ".join(done.stdout.split())
    assert "1 ice bath in a bucket of 5.28 gal: 2.64 gal of water at 52 °F and 13.2 lb of ice" in said


def test_check_json_holds_the_plan(tmp_path: Path) -> None:
    kits.write_kit(tmp_path, brewhouse=planned())
    found = json.loads(command("check", str(tmp_path), "--json", "-").stdout)["understood"]
    assert found["wort"]["batches_m3"] == [0.019, 0.023]
    assert found["wort"]["top_up"] == {"volume_m3": 0.005, "temperature_K": 277.15}
    tap = found["tap"]
    assert (tap["cold_season_K"], tap["warm_season_K"], tap["temperature_K"]) == (279.15, 291.15, 291.15)
    assert not tap["from_climate"]
    assert found["workshop"] == {
        "layouts": ["single", "parallel"],
        "flow_settings": ["full", "two thirds"],
        "flow_shares": [1.0, 0.6666666667],
    }
    stages = [{key: v for key, v in stage.items() if v is not None} for stage in found["cooling"]]
    assert stages[1] == {"hold_s": 1200.0}
    assert stages[3] == {
        "source": "bucket",
        "until_K": "best",
        "pump": "big",
        "water_temperature_K": 291.15,
        "water_m3": 0.015,
        "bucket_m3": 0.02,
        "refills": 0,
        "return": "drain",
        "lift_m": 0.8,
    }
    assert stages[4]["ice_stirred"] and stages[4]["ice_lumps"] == "small cubes"
    assert stages[4]["precooler"] == {"outer_diameter_m": 0.01, "length_m": pytest.approx(8.578, abs=1e-3)}
    assert (stages[5]["ice_kg"], stages[5]["lift_m"], stages[5]["return"]) == (6.0, 0.0, "bucket")
    assert all(set(stage) == set(found["cooling"][0]) for stage in found["cooling"])


def test_check_json_of_a_batch_without_a_tap(tmp_path: Path) -> None:
    done = command("check", str(ROOT / "catalogs" / "stove"), "--json", "-")
    found = json.loads(done.stdout)["understood"]
    assert found["tap"] is None and found["wort"]["top_up"] is None
    assert [stage["water_temperature_K"] for stage in found["cooling"]] == [287.15, 287.15]
    assert [stage["refills"] for stage in found["cooling"]] == [1, None]


def test_check_json_that_cannot_be_written(tmp_path: Path) -> None:
    kits.write_kit(tmp_path)
    done = command("check", "--json", "tubing.csv/out.json", folder=tmp_path)
    assert done.returncode == 5 and "cannot be written" in done.stderr


# --- init -------------------------------------------------------------------------------------------------

KIT = ["benders.csv", "brewhouse.toml", "fittings.csv", "forms.csv", "pumps.csv", "tubing.csv"]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_init_writes_a_kit_that_can_be_read(tmp_path: Path, units: str) -> None:
    done = command("init", str(tmp_path / "mine"), "--yes", "--units", units)
    assert done.returncode == 0
    assert sorted(path.name for path in (tmp_path / "mine").iterdir()) == KIT
    inputs = load(tmp_path / "mine")
    assert not inputs.brewhouse.demo and inputs.brewhouse.units == units and inputs.warnings == ()
    assert set(vars(inputs.brewhouse.limits).values()) == {None}
    assert not any(form.owned for form in inputs.stock.forms)
    metric = [tube for tube in inputs.stock.tubing if "mm" in tube.stock_id or "x1-" in tube.stock_id]
    assert bool(metric) == (units == "metric")
    assert "EXAMPLE" not in (tmp_path / "mine" / "brewhouse.toml").read_text(encoding="utf-8")


def test_init_without_a_terminal_asks_nothing(tmp_path: Path) -> None:
    assert command("init", folder=tmp_path).returncode == 0
    assert load(tmp_path).brewhouse.name == starter_kit.DEFAULT_BREWHOUSE


def test_init_keeps_what_exists_unless_forced(tmp_path: Path) -> None:
    (tmp_path / "forms.csv").write_text("mine", encoding="utf-8")
    done = command("init", "--yes", folder=tmp_path)
    assert done.returncode == 0 and "kept     forms.csv" in done.stdout
    assert (tmp_path / "forms.csv").read_text(encoding="utf-8") == "mine"
    assert "kept" not in command("init", "--yes", "--force", folder=tmp_path).stdout
    assert load(tmp_path).stock.forms


def test_init_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    done = command("init", str(tmp_path / "file" / "below"), "--yes")
    assert done.returncode == 5 and "cannot be written" in done.stderr


class Terminal(io.StringIO):
    """A person at the keyboard."""

    def isatty(self) -> bool:
        return True


def answered(folder: Path, answers: list[str], *arguments: str) -> str:
    """Run init on a terminal, answering its questions."""
    out = io.StringIO()
    keys = Terminal("".join(f"{answer}\n" for answer in answers))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", keys)
        patch.setattr(sys, "stdout", out)
        assert cli.run(["init", str(folder), *arguments]) == 0, out.getvalue()
    assert keys.read() == "", "an answer was not asked for"
    return out.getvalue()


def asked(out: str) -> list[str]:
    """The questions, each once."""
    return list(dict.fromkeys(re.findall(r"(?m)(?:^|\]: ) ?([0-9]+ [A-Z].*)$", out)))


def test_ten_enters_give_the_defaults(tmp_path: Path) -> None:
    out = answered(tmp_path / "asked" / "mine", [""] * 10)
    assert len(asked(out)) == 10
    command("init", str(tmp_path / "yes" / "mine"), "--yes")
    for name in KIT:
        assert (tmp_path / "asked/mine" / name).read_bytes() == (tmp_path / "yes/mine" / name).read_bytes()


def test_answers_are_what_check_reads(tmp_path: Path) -> None:
    kettle = ["metric", "36 x 40 cm", "23 L", "9 degC", "10 L in 45 s", "Steady", "35 min", "120"]
    out = answered(tmp_path, [*kettle, "2, pot-25, 24 x 22 cm", "3"])
    for way in ("tape", "thermometer", "bucket and clock"):  # how to measure stands beside the question
        assert way in out
    done = command("check", str(tmp_path))
    for part in (
        "36 cm wide, 40 cm tall inside",
        "23 L hot",
        "98 °C down to 20 °C, stirring: steady",
        "TAP       9 °C, measured 13.3 L/min",  # 10 L in 45 s
        "LIMITS    35 min, 120 EUR",
        "tubing 30 (1 owned), forms 19 (3 owned)",
    ):
        assert part in done.stdout
    stock = load(tmp_path).stock
    assert {form.form_id for form in stock.forms if form.owned} == {"pipe-160", "pot-25", "own-1"}
    (own,) = (form for form in stock.forms if form.form_id == "own-1")
    assert (own.outer_diameter, own.height, own.open_end) == (pytest.approx(0.24), pytest.approx(0.22), True)
    assert [tube.stock_id for tube in stock.tubing if tube.owned] == ["cu-10x1-15m"]


def test_stirring_is_answered_by_tool_motion_and_seconds(tmp_path: Path) -> None:
    stirred = ["paddle, fast", "ladle, slow", "Paddle, slow, 15 s a minute"]
    out = answered(tmp_path, ["metric", *[""] * 4, *stirred, *[""] * 4])
    assert "not known (allowed: slow, brisk)" in out
    assert 'a speed in quotes such as 0.1 m/s, or "paddle, slow, 15 s a minute"' in out
    file = tmp_path / "brewhouse.toml"
    file.write_text(file.read_text().replace("# dirt =", "dirt ="), encoding="utf-8")
    done = command("check", str(tmp_path), "--json", str(tmp_path / "check.json"))
    said = " ".join(done.stdout.split())
    assert "stirring: paddle, slow, 15 s a minute; room 20 °C; dirt on the tube: hop bag" in said
    wort = json.loads((tmp_path / "check.json").read_text())["understood"]["wort"]
    assert wort["mixing"] == {"with": "paddle", "motion": "slow", "seconds_a_minute": 15.0}
    assert wort["moves"] == {"speed_m_s": 0.05, "share_of_time": 0.25}
    assert (wort["dirt"], wort["fouling_m2K_W"]) == ("hop bag", 1.2e-4)


def test_wrong_answers_are_asked_again_with_what_is_allowed(tmp_path: Path) -> None:
    answers = [
        "imperial", "US",
        "14", "14 x 16", "36,5 x 40 cm", "1 x 2 in", '14 x 15"',
        "12 gal", "6 gal",
        "57", "400 degF", "57 degF",
        "5 gal", "unknown",
        "shaken", "left alone",
        "30", "-3 min", "none",
        "much", "0", "99.5",
        "19", "2,5 x 8 in", "9 x 8 in",
        "pot-25", "none",
    ]  # fmt: skip
    out = answered(tmp_path / 'Shed "2"', answers)
    for said in (
        "metric or us",
        "two lengths are wanted, such as 36 x 40 cm or 14 x 16 in",
        "add the unit: ",
        "write 36.5",
        "at most 10 gal, the brim",  # pi/4 14^2 15 in3 / 231 = 10.0 gal
        "add a unit: degC, degF",
        "too hot",
        "left alone, now and then, steady",
        "add a unit: s, min, h",
        "too small",
        "not a bare number",
        "more than 0 to",
        "'19' is not in the list: numbers 1 to 18",
        "a comma between two digits can be read two ways",
        "'pot-25' is not in the list",
    ):
        assert said in out, said
    house = load(tmp_path / 'Shed "2"').brewhouse
    assert (house.name, house.units, house.stock.currency) == ('Shed "2"', "us", "USD")
    assert house.kettle.inside_diameter == pytest.approx(14 * 0.0254)
    assert house.kettle.inside_height == pytest.approx(15 * 0.0254)
    assert house.wort.volume == pytest.approx(6 * 3.785411784e-3)
    assert house.tap is not None and house.tap.open_flow is None
    assert house.tap.temperature == pytest.approx((57 + 459.67) / 1.8)
    assert (house.wort.mixing, house.limits.chill_time, house.limits.budget) == ("left alone", None, 99.5)


@pytest.mark.parametrize(
    ("text", "across", "tall"),
    [
        ("36 x 40 cm", 0.36, 0.40),
        ("36x40cm", 0.36, 0.40),
        ("36 cm × 400 mm", 0.36, 0.40),
        ("14 x 16 in", 14 * 0.0254, 16 * 0.0254),
        ('15" x 15 1/2"', 15 * 0.0254, 15.5 * 0.0254),
        ("15 by 15 1/2 in", 15 * 0.0254, 15.5 * 0.0254),
    ],
)
def test_a_kettle_is_one_answer(tmp_path: Path, text: str, across: float, tall: float) -> None:
    answered(tmp_path, ["metric", text, "10 L", *[""] * 7])
    kettle = load(tmp_path).brewhouse.kettle
    assert (kettle.inside_diameter, kettle.inside_height) == (pytest.approx(across), pytest.approx(tall))


@pytest.mark.parametrize("text", ["57 degF", "13.5 degC", "57 F", "68F", "12", "12 °c", "286 K"])
def test_an_answer_is_right_when_the_files_can_say_it(tmp_path: Path, text: str) -> None:
    """One grammar: what init takes is what a brewhouse file takes."""
    try:
        wanted = units.parse(text, "temperature")
    except units.QuantityError:
        assert "Error" in answered(tmp_path, ["metric", "", "", text, "", *[""] * 6])
    else:
        answered(tmp_path, ["metric", "", "", text, *[""] * 6])
        tap = load(tmp_path).brewhouse.tap
        assert tap is not None and tap.temperature == pytest.approx(wanted)


def test_lists_that_are_kept_are_not_asked_for(tmp_path: Path) -> None:
    (tmp_path / "forms.csv").write_text("mine", encoding="utf-8")
    out = answered(tmp_path, [""] * 8, "--units", "metric")
    assert len(asked(out)) == 8 and "Round things" not in out


def test_a_kit_is_called_as_its_folder(tmp_path: Path) -> None:
    for name in ("shed", "cellar"):  # two kits of one name would share a report folder
        command("init", name, "--yes", folder=tmp_path)
        assert load(tmp_path / name).brewhouse.name == name


def test_a_kit_that_could_not_be_read_is_not_written(tmp_path: Path) -> None:
    usual = starter_kit.defaults("us")
    for junk in (
        {"volume": "6"},
        {"name": "a\nb"},
        {"budget": "cheap"},
        {"forms": ("no such",)},
        {"own_forms": (("9 in", "tall"),)},
        {"mixing": 3},
        {"units": "imperial"},
    ):
        with pytest.raises(errors.InputFaults):
            init(tmp_path, answers=replace(usual, **junk))  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_the_page_of_keys_stands_alone() -> None:
    assert cli.run(["check", "--keys", "--json", "-"]) == 2
    assert cli.run(["check", "--keys", "catalogs"]) == 2


def test_a_closed_standard_output_ends_with_five() -> None:
    done = subprocess.run(
        f"exec {sys.executable} -m optichill.cli.main check --keys >&-",
        shell=True,
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stderr) == (5, "could not write: Bad file descriptor\n")


def test_two_sizes_without_a_unit_are_given_back_with_one() -> None:
    for system, told in (("metric", "26 x 24 cm"), ("us", "26 x 24 in")):
        with pytest.raises(click.BadParameter, match=f"add the unit: {told}"):
            questions.sizes("26 x 24", system)


@pytest.mark.parametrize(("system", "budget", "told"), [("us", "$1,200", "1200"), ("metric", "150 €", "150")])
def test_a_budget_may_carry_the_sign_of_its_currency(system: str, budget: str, told: str) -> None:
    answers = replace(starter_kit.defaults(system), budget=budget)
    assert f"\nbudget = {told}\n" in re.sub(" *#.*", "", starter_kit.brewhouse_text(answers))
    other = replace(answers, budget="£5")
    assert ["budget" in fault.key for fault in starter_kit.faults_of(other)] == [True]


def test_a_form_of_ones_own_reads_well_behind_an_article() -> None:
    answers = replace(starter_kit.defaults("metric"), own_forms=(("26 cm", "24 cm"),))
    assert "own-1,round form 1;" in starter_kit.list_text("forms.csv", answers)
