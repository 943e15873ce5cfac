"""Sound inputs: what the files mean, what survives a spreadsheet, what is assumed and what is said."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import FrozenInstanceError
from pathlib import Path

import kits
import pytest
from pydantic import ValidationError

from optichill.errors import CannotWrite, InputFault, InputFaults
from optichill.fabrication.work_plan import plan_work
from optichill.files.coil_file import coil_text
from optichill.files.reading import Inputs, load, parse_toml
from optichill.files.writing import write_whole
from optichill.model.brewhouse import Brewhouse, Kettle
from optichill.model.coil import Coil, CoilLayer
from optichill.model.cooling import CoolingStage
from optichill.model.mismatches import mismatches
from optichill.model.stock import Pump, Tube
from optichill.model.tap import Tap
from optichill.model.wort import Wort
from optichill.problem.basis import design_basis
from optichill.properties.mains import mains_temperature
from optichill.report import understood
from optichill.report.sheet.notes import notes


def read(folder: Path, **texts: str) -> Inputs:
    return load(kits.write_kit(folder, **texts))


def test_defaults_are_the_documented_ones(tmp_path: Path) -> None:
    house = read(tmp_path).brewhouse
    kettle, wort, tap, shop = house.kettle, house.wort, house.tap, house.workshop
    assert (kettle.mouth, kettle.wall_clearance, kettle.floor_clearance) == (0.36, 0.03, 0.025)
    assert (kettle.top_clearance, kettle.coil_rests, kettle.lid, kettle.part) == (0.015, "feet", False, ())
    assert wort.volume == pytest.approx(0.023, rel=1e-12)
    assert wort.smallest_volume == wort.volume
    assert (wort.gravity, wort.mixing, wort.swirl) == (12.0, "now and then", None)
    assert (wort.start_temperature, wort.target_temperature, wort.ambient_temperature) == (
        371.15,
        293.15,
        293.15,
    )
    assert tap is not None and tap.open_flow == pytest.approx(0.010 / 45)
    assert (tap.hose_bore, tap.hose_length, tap.static_pressure, tap.pressure) == (0.0125, 10.0, None, 3e5)
    assert house.cooling == (CoolingStage(source="tap"),)
    assert (shop.marking_increment, shop.smallest_gap, shop.headspace) == (0.001, 0.005, 0.020)
    assert (shop.over_the_rim, shop.layouts) == (0.15, ("single", "nested", "parallel"))
    assert shop.flow_settings == ("full", "half", "third")
    assert not any(stage.ice_stirred for stage in house.cooling)
    assert (shop.riser, shop.riser_sides, shop.forms_owned_only) == ("outside", "any", False)
    assert (house.units, house.demo, house.stock.folder, house.stock.currency) == (
        "metric",
        False,
        ".",
        "EUR",
    )
    assert house.limits.chill_time is None and house.wishes.cost is None
    assert house.slug == "test-kettle" and house.path == tmp_path / "brewhouse.toml"


@pytest.mark.parametrize(
    ("line", "litres"),
    [
        ('volume = "23 L"', 23.0),
        ('depth = "22.6 cm"', math.pi / 4 * 3.6**2 * 2.26),
        ('into_fermenter = "20 L"\nleft_behind = "2 L"', 22 / 0.96),
        ('into_fermenter = "20 L"', 20 / 0.96),
        ('volume = ["19 L", "23 L"]', 23.0),
        ('volume = "6 gal"', 6 * 3.785411784),
    ],
)
def test_ways_to_say_the_volume(tmp_path: Path, line: str, litres: float) -> None:
    house = read(tmp_path, brewhouse=kits.BREWHOUSE.replace('volume = "23 L"', line)).brewhouse
    assert house.wort.volume * 1e3 == pytest.approx(litres, rel=1e-12)


def test_two_batches(tmp_path: Path) -> None:
    inputs = read(tmp_path, brewhouse=kits.BREWHOUSE.replace('"23 L"', '["19 L", "23 L"]'))
    assert inputs.brewhouse.wort.batches == pytest.approx((0.019, 0.023))
    assert inputs.warnings == ()


def test_two_seasons_use_the_warm_one(tmp_path: Path) -> None:
    seasons = '{ cold_season = "6 degC", warm_season = "18 degC" }'
    inputs = read(tmp_path, brewhouse=kits.BREWHOUSE.replace('"12 degC"', seasons))
    tap = inputs.brewhouse.tap
    assert tap is not None and tap.temperature == 291.15 and tap.cold_season == 279.15
    assert any("warm season's 18 °C" in note for note in inputs.notes)


def test_climate_gives_the_tap_temperature(tmp_path: Path) -> None:
    climate = 'climate = { mean = "52 degF", swing = "50 degF", date = 2026-04-15 }'
    inputs = read(tmp_path, brewhouse=kits.BREWHOUSE.replace('temperature = "12 degC"', climate))
    tap = inputs.brewhouse.tap
    assert tap is not None and tap.climate is not None
    assert tap.temperature * 1.8 - 459.67 == pytest.approx(52.39, abs=0.005)  # day 105
    assert any("climate on 2026-04-15" in note for note in inputs.notes)


# Burch & Christensen 2007 with T_avg 52 degF, dT 50 degF; own arithmetic from the published formula (V).
@pytest.mark.parametrize(("day", "degF"), [(15, 47.27), (105, 52.39), (196, 68.58), (288, 63.53)])
def test_mains_temperature(day: int, degF: float) -> None:
    T = mains_temperature((52 + 459.67) / 1.8, 50 / 1.8, day)
    assert T * 1.8 - 459.67 == pytest.approx(degF, abs=0.005)


# The same check values half a year later: half a turn of 0.986 degrees a day is 182.56 days.
@pytest.mark.parametrize(("day", "degF"), [(15, 47.27), (105, 52.39), (196, 68.58), (288, 63.53)])
def test_mains_temperature_south(day: int, degF: float) -> None:
    later = day + 180.0 / 0.986
    T = mains_temperature((52 + 459.67) / 1.8, 50 / 1.8, later, southern=True)
    assert T * 1.8 - 459.67 == pytest.approx(degF, abs=0.005)


def test_climate_south_of_the_equator(tmp_path: Path) -> None:
    """Day 105 + 183 = 288, 15 October: spring there is as cool as spring here (half a day's drift, 0.1 K)."""
    climate = 'climate = { mean = "52 degF", swing = "50 degF", date = 2026-10-15, hemisphere = "south" }'
    inputs = read(tmp_path, brewhouse=kits.BREWHOUSE.replace('temperature = "12 degC"', climate))
    tap = inputs.brewhouse.tap
    assert tap is not None and tap.temperature * 1.8 - 459.67 == pytest.approx(52.39, abs=0.2)
    wrong = kits.BREWHOUSE.replace('temperature = "12 degC"', climate.replace("south", "souht"))
    with pytest.raises(InputFaults, match=r"brewhouse.toml:11: tap.climate.hemisphere: souht.*mean south"):
        read(tmp_path, brewhouse=wrong)


def test_mains_south_is_half_a_year_later_and_never_ice() -> None:
    mean, swing = 284.0, 20.0
    north = mains_temperature(mean, swing, 30)
    south = mains_temperature(mean, swing, 30 + 183, southern=True)
    assert south == pytest.approx(north, abs=0.1)
    assert mains_temperature(263.15, 40.0, 30) == pytest.approx(273.15)


def test_words_and_numbers_for_difficulty_and_mixing(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace("[wort]", '[wort]\nmixing = "0.1 m/s"\nswirl = "0.3 m/s"')
    text += '\n[limits]\ndifficulty = "practised"\nchill_time = { within = "30 min", chance = 0.9 }\n'
    text += "[wishes]\ndifficulty = { good = 3, acceptable = 'careful beginner', weight = 2 }\n"
    house = read(tmp_path, brewhouse=text).brewhouse
    assert (house.wort.mixing, house.wort.swirl, house.limits.difficulty) == (0.1, 0.3, 7.5)
    assert (house.limits.chill_time, house.limits.chance) == (1800.0, 0.9)
    wish = house.wishes.difficulty
    assert wish is not None and (wish.good, wish.acceptable, wish.weight) == (3.0, 5.5, 2.0)


@pytest.mark.parametrize(
    ("line", "shares"),
    [
        ("", (1.0, 1 / 2, 1 / 3)),
        ('flow_settings = ["third", "full", "third"]', (1.0, 1 / 3)),
        ('flow_settings = ["half"]', (1 / 2,)),
        (
            'flow_settings = ["fifth", "quarter", "third", "half", "two thirds", "three quarters", "full"]',
            (1.0, 3 / 4, 2 / 3, 1 / 2, 1 / 3, 1 / 4, 1 / 5),
        ),
    ],
)
def test_flow_settings(tmp_path: Path, line: str, shares: tuple[float, ...]) -> None:
    house = read(tmp_path, brewhouse=f"{kits.BREWHOUSE}\n[workshop]\n{line}\n").brewhouse
    assert house.workshop.valve_shares == shares


PLAN = """
[[cooling]]
source = "tap"
until = "35 degC"
[[cooling]]
source = "ice bath"
pump = "small"
water = "10 L"
ice = "6 kg"
return = "drain"
lift = "80 cm"
[limits]
chill_time = { within = "30 min", chance = 0.9 }
[workshop]
layouts = ["single", "nested"]
"""


def test_a_plan_and_a_top_up_are_read(tmp_path: Path) -> None:
    partial = 'volume = "23 L"\ntop_up = { volume = "5 L", temperature = "5 degC" }'
    inputs = read(tmp_path, brewhouse=kits.BREWHOUSE.replace('volume = "23 L"', partial) + PLAN)
    bath = inputs.brewhouse.cooling[1]
    assert (bath.pump, bath.return_, bath.lift, bath.ice) == ("small", "drain", 0.8, 6.0)
    assert inputs.brewhouse.cooling[0].until == 308.15
    top_up = inputs.brewhouse.wort.top_up
    assert top_up is not None and (top_up.volume, top_up.temperature) == pytest.approx((0.005, 278.15))


def test_hold_and_precooled_tap_are_read(tmp_path: Path) -> None:
    plan = '[[cooling]]\nsource = "tap"\nuntil = "80 degC"\n[[cooling]]\nhold = "20 min"\n'
    plan += '[[cooling]]\nsource = "precooled tap"\nwater = "8 L"\nice = "4 kg"\n'
    plan += kits.COIL.replace("[coil]", "[cooling.precooler]")
    house = read(tmp_path, brewhouse=kits.BREWHOUSE + plan).brewhouse
    assert house.cooling[1].hold == 1200.0 and house.cooling[1].is_hold
    assert not house.cooling[2].ice_stirred
    stirred = plan.replace('ice = "4 kg"', 'ice = "4 kg"\nice_stirred = true')
    assert read(tmp_path, brewhouse=kits.BREWHOUSE + stirred).brewhouse.cooling[2].ice_stirred
    assert house.cooling[2].precooler is not None and house.cooling[2].precooler.turns == 10.5


def test_best_switch_is_kept(tmp_path: Path) -> None:
    house = read(tmp_path, brewhouse=kits.BREWHOUSE + PLAN.replace('"35 degC"', '"best"')).brewhouse
    assert house.cooling[0].until == "best"


def test_assumptions_are_said(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace('open_flow = "10 L in 45 s"\n', "")
    notes = "; ".join(read(tmp_path, brewhouse=text).notes)
    for part in ("pressure assumed 3 bar", "flow not measured", "start temperature assumed 98 °C", "mixing"):
        assert part in notes
    full = kits.BREWHOUSE + 'static_pressure = "2.5 bar"\n'
    assert "pressure" not in "; ".join(read(tmp_path, brewhouse=full).notes)


def test_units_can_be_asked_for(tmp_path: Path) -> None:
    inputs = load(kits.write_kit(tmp_path), units="us")
    assert inputs.brewhouse.units == "us" and any("44 psi" in note for note in inputs.notes)


# --- lists ------------------------------------------------------------------------------------------------


def test_rows_are_sorted_by_id_and_in_SI(tmp_path: Path) -> None:
    stock = read(tmp_path).stock
    assert [tube.stock_id for tube in stock.tubing] == ["a-roll", "b-roll"]
    first, second = stock.tubing
    assert (first.outer_diameter, first.length) == pytest.approx((0.009525, 15.24), rel=1e-12)
    assert (second.outer_diameter, second.wall, second.price) == pytest.approx((0.010, 0.001, 59.0))
    assert second.checked == datetime.date(2026, 11, 1) and not second.owned
    tin = stock.form("tin")
    assert tin is not None and tin.outer_diameter == pytest.approx(0.725 / math.pi)
    pot = stock.form("pot")
    assert pot is not None and pot.owned and pot.open_end and pot.cost == 0.0
    wire = next(f for f in stock.fittings if f.fitting_id == "wire")
    assert (wire.joint, wire.used_at, wire.per, wire.outer_diameter) == (None, "turns", "m", None)
    small, big = stock.pump("small"), stock.pump("big")
    assert small is not None and small.curve[1] == pytest.approx((5 / 6e4, 3.0))
    assert big is not None and big.curve[0] == pytest.approx((0.0, 3.4)) and big.curve[-1][1] == 0.0
    assert big.curve[8] == pytest.approx((9.5 / 6e4, 3.4 * 0.75))


def _bytes(folder: Path, name: str, data: bytes) -> Inputs:
    kits.write_kit(folder)
    (folder / name).write_bytes(data)
    return load(folder)


PLAIN = kits.TUBING.encode()
SPREADSHEET = {
    "BOM": b"\xef\xbb\xbf" + PLAIN,
    "CRLF": PLAIN.replace(b"\n", b"\r\n"),
    "CR": PLAIN.replace(b"\n", b"\r"),
    "blank rows": PLAIN.replace(b"\nb-roll", b"\n,,,,,,,,,,\n\nb-roll") + b",,,,,,,,,,\n\n,,,\n",
    "blank columns": b"".join(line + b",,\n" for line in PLAIN.splitlines()),
    "no newline at the end": PLAIN.rstrip(b"\n"),
    "blanks around": PLAIN.replace(b",copper,", b" , copper , "),
    "no-break blank": PLAIN.replace(b"10 mm", "10\u00a0mm".encode()),
    "quoted newline": PLAIN.replace(b"b-roll,soft", b'b-roll,"soft\nroll"'),
    "everything quoted": b"\n".join(
        b",".join(b'"' + cell + b'"' for cell in line.split(b",")) for line in PLAIN.splitlines()
    ),
    "semicolons": PLAIN.replace(b",", b";"),
    "semicolons and decimal commas": PLAIN.replace(b",", b";").replace(b".", b","),
    "other column order": b"\n".join(b",".join(reversed(x.split(b","))) for x in PLAIN.splitlines()),
}


@pytest.mark.parametrize("habit", SPREADSHEET)
def test_spreadsheet_habits_survive(tmp_path: Path, habit: str) -> None:
    wanted = _bytes(tmp_path, "tubing.csv", PLAIN).stock.tubing
    found = _bytes(tmp_path, "tubing.csv", SPREADSHEET[habit]).stock.tubing
    if habit == "quoted newline":
        assert found[1].description == "soft roll"
        found = (found[0], found[1].model_copy(update={"description": "soft"}))
    assert found == wanted


REFUSED = [
    (kits.TUBING.encode("utf-16"), "tubing.csv:1: file: written as UTF-16"),
    (
        PLAIN.replace(b"soft,copper,annealed,3/8", b"weich gegl\xfcht,copper,annealed,3/8"),
        "tubing.csv:3: file",
    ),
    (PLAIN.replace(b",", b"\t"), "tubing.csv:1: header: separated by tabs"),
    (b"", "tubing.csv: file: empty"),
    (PLAIN.splitlines()[0], "tubing.csv: file: no rows below the header"),
    (PLAIN.replace(b"b-roll,soft", b'b-roll,"soft'), "tubing.csv:2: row: not a CSV row"),
    (PLAIN.replace(b"soft", b"so\0ft", 1), "tubing.csv:2: file: holds a null character"),
    (
        PLAIN.replace(b"b-roll,soft", b'b-roll,"so\n\nft"').replace(b"50 ft", b"50"),
        "tubing.csv:5: length: 50",
    ),
    (b"\n\n" + PLAIN.replace(b"50 ft", b"50"), "tubing.csv:5: length: 50"),
    (PLAIN.replace(b"\n", b"\r\n").replace(b"50 ft", b"50"), "tubing.csv:3: length: 50"),
]


@pytest.mark.parametrize(("data", "start"), REFUSED)
def test_unreadable_lists_say_where(tmp_path: Path, data: bytes, start: str) -> None:
    with pytest.raises(InputFaults) as caught:
        _bytes(tmp_path, "tubing.csv", data)
    found = [str(fault).replace(f"{tmp_path}/", "") for fault in caught.value.faults]
    assert len(found) == 1 and found[0].startswith(start), found


def test_brewhouse_with_BOM_and_CRLF(tmp_path: Path) -> None:
    data = b"\xef\xbb\xbf" + kits.BREWHOUSE.replace("\n", "\r\n").encode()
    assert _bytes(tmp_path, "brewhouse.toml", data).brewhouse.name == "Test kettle"
    with pytest.raises(InputFaults, match=r"brewhouse.toml:4: kettle.inside_diameter: 36 zoll"):
        _bytes(tmp_path, "brewhouse.toml", data.replace(b"36 cm", b"36 zoll"))


def test_stock_in_another_folder(tmp_path: Path) -> None:
    (tmp_path / "lists").mkdir()
    kits.write_kit(tmp_path / "lists")
    (tmp_path / "kettle.toml").write_text(kits.BREWHOUSE + '[stock]\nfolder = "lists"\n', encoding="utf-8")
    assert len(load(tmp_path / "kettle.toml").stock.tubing) == 2


def test_hard_tube_and_tube_without_ends_are_warned_about(tmp_path: Path) -> None:
    tubing = kits.TUBING.replace("annealed,3/8 in", "hard,3/8 in").replace("10 mm", "12 mm")
    said = " ".join(read(tmp_path, tubing=tubing).warnings)
    assert "hard tube is left out of coils: a-roll" in said
    assert "no ends for tube of 12 mm" in said


def test_warnings_of_a_check_are_sentences_and_short(tmp_path: Path) -> None:
    head, *rolls = kits.TUBING.splitlines()
    hard = [f"roll-{n:02d},{rolls[0].split(',', 1)[1].replace('annealed', 'hard')}" for n in range(30)]
    inputs = read(tmp_path, tubing="\n".join([head, *rolls, *hard]) + "\n")
    (said,) = [line for line in understood.screen(inputs) if "ard tube" in line]
    assert said.startswith("WARNING   Hard tube is left out of coils: roll-00, ")
    assert said.endswith(" and 22 more.")


def test_sizes_match_within_a_tenth_of_a_millimetre(tmp_path: Path) -> None:
    assert not read(tmp_path, tubing=kits.TUBING.replace("10 mm", "10.09 mm")).warnings
    assert read(tmp_path, tubing=kits.TUBING.replace("10 mm", "10.11 mm")).warnings


# --- built in Python --------------------------------------------------------------------------------------


def brewhouse(name: str) -> Brewhouse:
    return Brewhouse(
        name=name,
        kettle=Kettle(inside_diameter=0.36, inside_height=0.4),
        wort=Wort(volume=0.023),
        tap=Tap(temperature=285.15),
    )


def test_models_take_SI_floats_and_keep_their_ranges() -> None:
    house = brewhouse("Äpfel & Birnen")
    assert house.slug == "apfel-birnen" and house.path is None
    with pytest.raises(ValidationError):
        Kettle(inside_diameter=-0.36, inside_height=0.4)
    with pytest.raises(FrozenInstanceError):
        house.kettle.inside_diameter = 1.0  # type: ignore[misc]
    bigger = house.model_copy(update={"wort": house.wort.model_copy(update={"volume": 0.03})})
    assert (bigger.wort.volume, house.wort.volume) == (0.03, 0.023)


@pytest.mark.parametrize(
    ("name", "slug"),
    [("Zażółć Gęś", "zazolc-ges"), ("Groß & Øl", "gross-ol"), ("Kettle No. 2", "kettle-no-2")],
)
def test_folder_names_are_spelled_in_plain_letters(name: str, slug: str) -> None:
    assert brewhouse(name=name).slug == slug


@pytest.mark.parametrize("name", ["CON", "nul", "Aux", "com1", "LPT9", "prn"])
def test_a_name_that_is_a_device_elsewhere_has_a_folder_of_another(name: str) -> None:
    """Windows makes no folder CON, NUL ... (Microsoft: Naming Files, Paths, and Namespaces)."""
    assert re.fullmatch(rf"{name.lower()}-[0-9a-f]{{6}}", brewhouse(name=name).slug)
    assert brewhouse(name=f"{name} kettle").slug == f"{name.lower()}-kettle"


def test_names_in_other_letters_have_folders_of_their_own() -> None:
    slugs = {brewhouse(name=name).slug for name in ("Пивоварня", "Сыроварня", "醸造所", "x" * 80, "x" * 81)}
    assert len(slugs) == 5 and all(s.isascii() and 0 < len(s) < 70 for s in slugs)


def test_pump_and_tube_in_SI() -> None:
    pump = Pump(pump_id="p", max_flow=1e-4, max_head=2.0, max_temperature=330.0, owned=True)
    assert pump.cost == 0.0
    tube = Tube(
        stock_id="t",
        material="copper",
        temper="half hard",
        outer_diameter=0.01,
        wall=0.001,
        length=5,
        price=9,
    )
    assert tube.windable and tube.cost == 9.0


# --- coil -------------------------------------------------------------------------------------------------


def _coil(folder: Path, text: str) -> Inputs:
    kits.write_kit(folder)
    (folder / "coil.toml").write_text(text, encoding="utf-8")
    return load(folder, folder / "coil.toml")


def test_coil_file(tmp_path: Path) -> None:
    coil = _coil(tmp_path, kits.COIL).coil
    assert coil is not None
    assert coil.layers == (CoilLayer(mean_diameter=0.26, pitch=0.017, turns=10.5),)
    assert coil.bore == pytest.approx(0.008)
    assert coil.helix_length == pytest.approx(10.5 * math.hypot(math.pi * 0.26, 0.017))


def test_helix_length_and_height_by_hand() -> None:
    """D 234.2, p 19.05, N 10.1 of 9.525 tube: 7434 mm long, 201.9 mm tall (hand-worked)."""
    coil = Coil(
        material="copper", outer_diameter=0.009525, wall=0.000813, mean_diameter=0.2342, pitch=0.01905,
        turns=10.1, riser_length_in=0.3, riser_length_out=0.3,
    )  # fmt: skip
    assert coil.helix_length == pytest.approx(7.434, abs=5e-4)
    assert coil.height == pytest.approx(0.2019, abs=5e-5)


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("demo", [True, False])
def test_written_coil_reads_back(tmp_path: Path, units: str, demo: bool) -> None:
    coil = Coil(
        material="stainless 304", outer_diameter=0.009525, wall=0.000889, mean_diameter=0.2612345678,
        pitch=0.0171, turns=10.25, lowest_turn_height=0.0298, riser_length_in=0.52, riser_length_out=0.31,
        stock_id='odd "name" \\ here', form_id="pot", flow=8 / 6e4,
    )  # fmt: skip
    text = coil_text(coil, demo=demo, brewhouse="Test kettle", units=units)
    assert ("EXAMPLE KETTLE, NOT YOURS" in text.splitlines()[0]) == demo
    found = _coil(tmp_path, text).coil
    assert found is not None
    for key in ("outer_diameter", "wall", "mean_diameter", "pitch", "turns", "lowest_turn_height", "flow"):
        by = 6.5e-6 if key == "mean_diameter" else 1e-12  # drawn sizes as they are, others to 0.01 mm
        assert getattr(found, key) == pytest.approx(getattr(coil, key), rel=1e-9, abs=by)
    assert (found.stock_id, found.material, found.layers[0].turns) == (coil.stock_id, coil.material, 10.25)


def test_written_layers_read_back(tmp_path: Path) -> None:
    layers = tuple(CoilLayer(mean_diameter=D, pitch=0.017, turns=8) for D in (0.20, 0.27))
    coil = Coil(
        material="copper", outer_diameter=0.01, wall=0.001, layout="nested", layers=layers,
        riser_length_in=0.5, riser_length_out=0.4,
    )  # fmt: skip
    assert coil.mean_diameter == 0.27 and coil.layers[0].mean_diameter == 0.27
    inputs = _coil(tmp_path, coil_text(coil, demo=False))
    assert inputs.coil is not None and inputs.coil.layers == coil.layers
    assert inputs.warnings == ()


MEASURED = """\
[coil]
material = "copper"
outer_diameter = "10 mm"
outside_across = "27 cm"
overall_height = "18.85 cm"
turns = 10.5
bought_length = "10 m"
weight = "2.5275 kg"
"""


def test_coil_on_the_bench(tmp_path: Path) -> None:
    """10 x 1 mm copper weighs 0.2528 kg/m (EN 1057 size, from density 8.94): the wall follows from it."""
    inputs = _coil(tmp_path, MEASURED)
    coil = inputs.coil
    assert coil is not None
    assert coil.wall == pytest.approx(0.001, rel=2e-3)
    assert (coil.mean_diameter, coil.pitch) == pytest.approx((0.26, 0.017))
    rest = 10.0 - coil.helix_length
    assert (coil.riser_length_in, coil.riser_length_out) == pytest.approx((rest / 2, rest / 2))
    assert mismatches(coil) == ()
    assert coil.lowest_turn_height == pytest.approx(0.025 + 0.005)
    assert any("How does the coil stand?" in line for line in notes(plan_work(design_basis(inputs), coil)))


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('mean_diameter = "25 cm"', "outside_across is 270 mm, by mean_diameter and tube it is 260 mm"),
        ('pitch = "15 mm"', "turns of this pitch stand 167.5 mm"),
        ('riser_length_in = "20 cm"\nriser_length_out = "20 cm"', "bought_length is 10.00 m"),
        ('riser_length_in = "1 m"\nriser_length_out = "0.47 m"', "turns and risers take 10.05 m"),
        ('wall = "0.8 mm"', "weight is 2.53 kg, tube of this wall weighs"),
    ],
)
def test_bench_mismatch_is_told(tmp_path: Path, line: str, said: str) -> None:
    inputs = _coil(tmp_path, MEASURED + line + "\n")
    assert any(said in warning for warning in inputs.warnings)
    assert inputs.coil is not None
    plan = plan_work(design_basis(inputs), inputs.coil)
    for shown in (understood.screen(inputs), notes(plan), notes(plan, stopped=True)):
        assert any(said in line for line in shown)


def test_a_weight_that_no_wall_gives_is_refused(tmp_path: Path) -> None:
    """0.2 kg on 10 m of 10 mm copper tube (8.94 g/cm3): pi x 1 cm x 1000 cm x t, so t = 0.07 mm."""
    text = re.sub('weight = ".*"', 'weight = "0.2 kg"', MEASURED)
    with pytest.raises(InputFaults) as refused:
        _coil(tmp_path, text)
    assert "coil.weight" in str(refused.value) and "gives a wall of 0.07 mm" in str(refused.value)
    line = text.splitlines().index('weight = "0.2 kg"') + 1
    assert f"coil.toml:{line}:" in str(refused.value)


@pytest.mark.parametrize(
    ("bought", "risers", "said"),
    [
        ("10 m", 'riser_length_in = "2 m"\nriser_length_out = "2 m"', "turns and risers take 12.58 m"),
        ("3 m", "", "the turns alone take 8.58 m"),
    ],
)
def test_a_coil_of_less_tube_than_it_takes_is_refused(
    tmp_path: Path, bought: str, risers: str, said: str
) -> None:
    """10.5 turns of 26 cm at 17 mm: 10.5 sqrt((pi 260 mm)^2 + (17 mm)^2) = 8.58 m, before any riser."""
    text = MEASURED.replace('"10 m"', f'"{bought}"') + risers
    with pytest.raises(InputFaults) as refused:
        _coil(tmp_path, text)
    line = text.splitlines().index(f'bought_length = "{bought}"') + 1
    assert f"coil.toml:{line}: coil.bought_length: {bought[:-2]}.00 m of tube, but {said} (allowed: " in str(
        refused.value
    )


def test_a_coil_that_stands_on_the_floor(tmp_path: Path) -> None:
    kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE.replace("[wort]", 'coil_rests = "floor"\n[wort]'))
    (tmp_path / "coil.toml").write_text(MEASURED, encoding="utf-8")
    coil = load(tmp_path, tmp_path / "coil.toml").coil
    assert coil is not None and coil.lowest_turn_height == pytest.approx(0.005)


def test_coil_against_the_lists(tmp_path: Path) -> None:
    text = kits.COIL + 'stock_id = "a-roll"\nform_id = "bucket"\n'
    said = " ".join(_coil(tmp_path, text).warnings)
    assert "outer_diameter is 10 mm, tubing.csv says 9.5 mm" in said
    assert "form_id 'bucket' is not in forms.csv" in said


# --- finding and writing ----------------------------------------------------------------------------------


def test_no_brewhouse_means_the_one_here_or_the_packaged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert load().brewhouse.demo
    kits.write_kit(tmp_path)
    assert load().brewhouse.name == "Test kettle"


def test_write_whole(tmp_path: Path) -> None:
    target = tmp_path / "new" / "file.txt"
    write_whole(target, "one\n")
    write_whole(target, b"two\n")
    assert target.read_text() == "two\n" and [p.name for p in target.parent.iterdir()] == ["file.txt"]


def test_write_whole_leaves_nothing_half_done(tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "inside").write_text("x")
    with pytest.raises(CannotWrite) as caught:
        write_whole(tmp_path / "taken", "text")
    assert caught.value.exit_code == 5
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]
    (tmp_path / "file").write_text("x")
    with pytest.raises(CannotWrite):
        write_whole(tmp_path / "file" / "below", "text")


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("x = 1\n[" + "a." * 20_000 + "a]\n", 2, "a line of 40003 characters"),
        ("x = " + "1" * 5_000 + "\n", 1, "at most 2000 characters a line"),
        ("[" + ".".join("a" * 40) + "]\n", 1, "nested too deep"),
        ("x = " + "[" * 40 + "]" * 40, 0, "nested too deep"),
        ("x = " + "[\n" * 3_000 + "]\n" * 3_000, 0, "nested too deep"),
        ("x = " + "{a=" * 300 + "1" + "}" * 300, 0, "nested too deep"),
    ],
    ids=["long name", "long number", "dots", "lists", "lists over lines", "tables"],
)
def test_toml_that_is_no_brewhouse_is_refused_in_our_own_words(text: str, line: int, told: str) -> None:
    """Before the reader of TOML, whose time grows with the square of dotted names, has begun on it."""
    faults: list[InputFault] = []
    assert parse_toml(text, "b.toml", faults) is None
    (fault,) = faults
    assert (fault.file, fault.line) == ("b.toml", line) and told in str(fault)
    assert "recursion" not in str(fault) and "set_int" not in str(fault)


def test_dots_in_texts_and_remarks_nest_nothing() -> None:
    text = f'a = "{"." * 90}"  # {"." * 90}\n# {". " * 90}\nb = [1.5, 2.5, 3.5, {", ".join(["0.5"] * 40)}]\n'
    assert parse_toml(text, "b.toml", []) is not None
