"""Every way to write something wrong, with what the message must say."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import kits
import pytest
from conftest import Done
from kits import faults_of

from optichill.files.reading import load

# (what is replaced in the brewhouse file, by what, fragments of the one message)
BREWHOUSE = [
    ('"36 cm"', '"36,5 cm"', ["brewhouse.toml:4", "kettle.inside_diameter", "write 36.5 cm with a point"]),
    ('"36 cm"', "36", ["kettle.inside_diameter: 36", "add a unit: mm, cm, m, in, ft"]),
    ('"36 cm"', '"36 zoll"', ["unknown unit 'zoll'"]),
    ('"36 cm"', '"nan cm"', ["not a finite number"]),
    ('"36 cm"', "nan", ["add a unit"]),
    ('"36 cm"', '"0 cm"', ["too small", "10 cm to 3 m"]),
    ('"36 cm"', '"-36 cm"', ["too small"]),
    ('"36 cm"', '"36 L"', ["unit of volume, not of length"]),
    ("inside_height", "inside_hight", ["brewhouse.toml:5", "did you mean inside_height?"]),
    ('"40 cm"', '"40 cm"\nmouth = "37 cm"', ["brewhouse.toml:", "kettle.mouth", "wider than the kettle"]),
    ('"40 cm"', '"40 cm"\nwall_clearance = "18 cm"', ["kettle.wall_clearance", "no room"]),
    ('"40 cm"', '"40 cm"\ncoil_rests = "feets"', ["did you mean feet?", "feet, floor, hangs"]),
    ('"40 cm"', '"40 cm"\nlid = "yes"', ["brewhouse.toml:6", "kettle.lid: yes", "true or false"]),
    ('"40 cm"', '"40 cm"\npart = "well"', ["kettle.part", "list of tables", "[[kettle.part]]"]),
    (
        '"40 cm"',
        '"40 cm"\npart = [\n {what = "a", where = "wall", height = "1 cm", size = "2"}]',
        ["brewhouse.toml:7", "kettle.part[1].size", "add a unit"],
    ),
    ("[wort]", "[wort]\ngravity = 12", ["wort.gravity", "add a unit: degP, SG"]),
    ("[wort]", '[wort]\ngravity = "31 degP"', ["too large", "0 °P to 30 °P"]),
    ("[wort]", '[wort]\ngravity = "1.160 SG"', ["too large", "1.000 SG to 1.129 SG"]),
    ("[wort]", '[wort]\nstart_temperature = "106 degC"', ["too hot", "0 °C to 105 °C"]),
    ("[wort]", '[wort]\ntarget_temperature = "99 degC"', ["wort.target_temperature", "not below"]),
    ("[wort]", '[wort]\nmixing = "now or then"', ["wort.mixing", "left alone, now and then"]),
    ("[wort]", '[wort]\nmixing = "0.1 mph"', ["wort.mixing", "unknown unit"]),
    ("[wort]", '[wort]\ndepth = "20 cm"', ["wort.depth", "given besides volume"]),
    ('volume = "23 L"', "", ["brewhouse.toml:7", "wort.volume: missing"]),
    ('"23 L"', '"41 L"', ["brewhouse.toml:8", "wort.volume", "does not fit", "40.7 L, the brim"]),
    ('volume = "23 L"', 'depth = "41 cm"', ["wort.depth", "does not fit"]),
    ('"23 L"', '["23 L", "19 L"]', ["wort.volume[1]", "larger than the largest"]),
    ('"23 L"', '["23 L"]', ["wort.volume", "two entries"]),
    ('"23 L"', '["19 L", "23"]', ["brewhouse.toml:8", "wort.volume[2]: 23", "add a unit"]),
    (
        'volume = "23 L"',
        'into_fermenter = "20 L"\ntop_up = { volume = "5 L", temperature = "5 degC" }',
        ["wort.into_fermenter", "top_up"],
    ),
    ('"12 degC"', '"70 degC"', ["tap.temperature", "too hot", "60 °C"]),
    ('"12 degC"', '{ cold_season = "5 degC" }', ["tap.temperature.warm_season", "missing"]),
    (
        '"12 degC"',
        '{ cold_season = "18 degC", warm_season = "5 degC" }',
        ["tap.temperature.cold_season", "warmer than warm_season"],
    ),
    ('temperature = "12 degC"\n', "", ["brewhouse.toml:10", "tap.temperature", "missing"]),
    (
        'temperature = "12 degC"',
        'climate = { mean = "10 degC", swing = "18 K", date = "2026-02-30" }',
        ["tap.climate.date", "not a date", "2026-11-01"],
    ),
    ('"10 L in 45 s"', '"10 L in 0 s"', ["tap.open_flow", "larger than 0"]),
    (
        '"10 L in 45 s"',
        '"120 gpm"\nstatic_pressure = "3 bar"\nhose_bore = "12.5 mm"\nhose_length = "10 m"',
        [
            "brewhouse.toml:12: tap.open_flow",
            "454.2 L/min does not come out of 10 m",
            "at most",
            "unusual = true",
        ],
    ),
    ('"10 L in 45 s"', '"120 gpm"', ["tap.open_flow", "at 10 bar"]),  # nobody read the gauge
    (
        "[wort]",
        '[wort]\ntarget_temperature = "68 degC"',
        [
            "brewhouse.toml:8: wort.target_temperature",
            "68 °F would be 20 °C",
            "0 °C to 45 °C",
            "unusual = true",
        ],
    ),
    (
        "[wort]",
        '[wort]\ntarget_temperature = "46 degC"',
        ["wort.target_temperature", "46 °F would be 7.78 °C"],
    ),
    (
        '[tap]\ntemperature = "12 degC"\nopen_flow = "10 L in 45 s"\n',
        "",
        ["tap: missing: nothing cools the wort"],
    ),
    ("[tap]", "[limits]\ndifficulty = 'easy'\n[tap]", ["limits.difficulty", "careful beginner"]),
    ("[tap]", "[limits]\nbudget = '120 EUR or so'\n[tap]", ["limits.budget", "not a bare number"]),
    ("[tap]", '[wishes]\nhour = "6 USD"\n[tap]', ["wishes.hour", "'USD': the currency here is EUR"]),
    ("[tap]", "[wishes]\nhour = 1e300\n[tap]", ["wishes.hour", "out of range (allowed: 0 to 1e+09)"]),
    ('"23 L"', "23", ["wort.volume: 23: add a unit: L", "it could be '23 L' or '23 mL'"]),
    ("[wort]", '[wort]\nmixing = ["steady"]', ["wort.mixing", "write 'steady' without brackets"]),
    ("[tap]", "[limits]\nbudget = inf\n[tap]", ["limits.budget", "not a finite number"]),
    (
        "[wort]",
        "[wort]\nmixing = 0.5",
        ["wort.mixing: 0.5: add a unit", "left alone, now and then", "0.1 m/s"],
    ),
    ("[wort]", '[wort]\nmixing = "0.5"', ["wort.mixing: 0.5: add a unit", "steady", "0.1 m/s"]),
    (
        "[wort]",
        '[wort]\nmixing = ["steady"]',
        [
            "wort.mixing",
            "a list is not taken here",
            "now and then, steady, ",
            "a speed in quotes such as 0.1 m/s",
        ],
    ),
    ("[wort]", '[wort]\nmixing = "stedy"', ["did you mean steady?", "0.1 m/s"]),
    (
        "[wort]",
        "[wort]\ngravity = {a = 1}",
        ["wort.gravity", "a table is not taken here", "12 degP or 1.048 SG"],
    ),
    ("[wort]", "[wort]\ngravity = 2026-11-01", ["wort.gravity", "a date or a time of day is not taken here"]),
    ("[wort]", "[wort]\ngravity = true", ["wort.gravity: true: true or false is not taken here", "12 degP"]),
    ("[tap]", "[limits]\nbudget = [1]\n[tap]", ["limits.budget", "a list is not taken here", "0 to 1e+09"]),
    (
        "[tap]",
        "[limits]\nchill_time = 30\n[tap]",
        ["add a unit: s, min, h", "a time in quotes such as 25 min"],
    ),
    (
        'volume = "23 L"',
        'volume = "24.000 mL"',
        [
            "brewhouse.toml:8: wort.volume",
            "24 mL of hot wort is no batch",
            "a thousand times as much would be 24 L",
            "unusual = true",
        ],
    ),
    (
        'volume = "23 L"',
        'volume = "999 mL"',
        ["999 mL of hot wort is no batch to chill (allowed: 1 L or more"],
    ),
    (
        'volume = "23 L"',
        'volume = ["19.000 mL", "23 L"]',
        ["wort.volume[1]", "19 mL of hot wort", "would be 19 L"],
    ),
    ('volume = "23 L"', 'depth = "2 mm"', ["wort.depth", "203.6 mL of hot wort is no batch"]),
    (
        'volume = "23 L"',
        'into_fermenter = "20.000 mL"',
        ["wort.into_fermenter", "20.8 mL", "would be 20.8 L"],
    ),
    ("[tap]", "[limits]\nbudget = 0\n[tap]", ["limits.budget", "more than 0"]),
    (
        "[tap]",
        "[limits]\nbudget = 1.200\n[tap]",
        ["brewhouse.toml:11: limits.budget: 1.200: can be 1.2 or 1200: write 1.2 or 1200"],
    ),
    ("[tap]", "[limits]\nbudget = '1.200'\n[tap]", ["limits.budget: 1.200: can be 1.2 or 1200"]),
    (
        "[tap]",
        "[wishes]\ncost = { good = 1.200, acceptable = 1500 }\n[tap]",
        ["wishes.cost.good: 1.200: can be 1.2 or 1200"],
    ),
    ("[tap]", "[limits]\nbudget = -12.50\n[tap]", ["limits.budget: -12.50: out of range"]),
    ("[tap]", "[limits]\nchill_time = { chance = 0.9 }\n[tap]", ["limits.chill_time.within", "missing"]),
    (
        "[tap]",
        '[limits]\nchill_time = { within = "30 min", chance = 90 }\n[tap]',
        ["limits.chill_time.chance: 90", "0 to 0.999"],
    ),
    ("[tap]", "[wishes]\ncost = { good = 9, acceptable = 9 }\n[tap]", ["wishes.cost.good", "not below"]),
    ("[tap]", "[wishes]\ncost = { good = 9, acceptable = 19, wieght = 2 }\n[tap]", ["did you mean weight?"]),
    ("[tap]", "[workshop]\nlayouts = ['neste']\n[tap]", ["workshop.layouts[1]", "did you mean nested?"]),
    ("[tap]", "[workshop]\nlayouts = []\n[tap]", ["workshop.layouts", "empty"]),
    ("[tap]", "[workshop]\nflow_settings = []\n[tap]", ["workshop.flow_settings", "empty", "fifth"]),
    (
        "[tap]",
        "[workshop]\nflow_settings = ['full', 'haf']\n[tap]",
        ["brewhouse.toml:11", "workshop.flow_settings[2]: haf", "did you mean half?", "three quarters"],
    ),
    ("[tap]", "[workshop]\nflow_settings = [0.5]\n[tap]", ["workshop.flow_settings[1]: 0.5", "quarter"]),
    ("[tap]", "[workshop]\nflow_settings = 'half'\n[tap]", ["workshop.flow_settings", "square brackets"]),
    ("[tap]", "[kitchen]\nx = 1\n[tap]", ["kitchen: unknown key"]),
    ('"Test kettle"', '""', ["name", "empty"]),
    ('"Test kettle"', "3", ["name: 3", "text in quotes"]),
    ("name = ", "path = 'x'\nname = ", ["path", "unknown key"]),
    ('"36 cm"', "36 cm", ["brewhouse.toml:4", "not TOML", "in quotes"]),
    ("[tap]", "[kettle]\n[tap]", ["brewhouse.toml:10", "not TOML"]),
    ('"36 cm"', "1" * 5000, ["brewhouse.toml:4", "at most 2000 characters a line"]),
    ('"36 cm"', "0x" + "f" * 1500, ["a huge number", "add a unit"]),
]


@pytest.mark.parametrize(("old", "new", "fragments"), BREWHOUSE)
def test_brewhouse_fault(tmp_path: Path, old: str, new: str, fragments: list[str]) -> None:
    assert old in kits.BREWHOUSE
    found = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE.replace(old, new, 1)))
    if "did you mean inside_height?" in fragments:
        assert (
            found.pop(0) == "brewhouse.toml:3: kettle.inside_height: missing (allowed: length, 10 cm to 3 m)"
        )
    assert len(found) == 1, found
    for fragment in fragments:
        assert fragment in found[0]


@pytest.mark.parametrize(
    "line",
    ['[wort]\nunusual = true\ntarget_temperature = "68 degC"', '[wort]\ntarget_temperature = "45 degC"'],
)
def test_what_is_meant_passes(tmp_path: Path, line: str) -> None:
    kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE.replace("[wort]", line, 1))
    load(tmp_path)


@pytest.mark.parametrize("budget", ["1200", "1.2", "1.20", "0.125", "1200.000", "1_200.0"])
def test_money_that_can_be_one_thing_passes(tmp_path: Path, budget: str) -> None:
    text = kits.BREWHOUSE.replace("[tap]", f"[limits]\nbudget = {budget}\n[tap]")
    assert load(kits.write_kit(tmp_path, brewhouse=text)).brewhouse.limits.budget == float(budget)


def test_a_stronger_tap_than_the_hose_passes_where_it_is_meant(tmp_path: Path) -> None:
    text = kits.BREWHOUSE.replace('"10 L in 45 s"', '"120 gpm"').replace("[wort]", "[wort]\nunusual = true")
    kits.write_kit(tmp_path, brewhouse=text)
    assert load(tmp_path).brewhouse.tap is not None


def test_more_than_a_household_boils_is_told(tmp_path: Path) -> None:
    big = kits.BREWHOUSE.replace('"36 cm"', '"1 m"').replace('"40 cm"', '"1 m"').replace("23 L", "230 L")
    (said,) = load(kits.write_kit(tmp_path, brewhouse=big)).warnings
    assert said == "wort: 230 L of hot wort is no household's batch: is a point missing, as in 23 L?"
    meant = big.replace("[wort]", "[wort]\nunusual = true")
    assert not load(kits.write_kit(tmp_path, brewhouse=meant)).warnings


def test_a_batch_below_a_hundredth_of_its_kettle(tmp_path: Path) -> None:
    """By hand: 1 m across and 1 m tall holds 785 L; 7.8 L is less than a hundredth of it, 7.9 L is not."""
    big = kits.BREWHOUSE.replace('"36 cm"', '"1 m"').replace('"40 cm"', '"1 m"')
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=big.replace("23 L", "7.8 L")))
    assert "7.8 L of hot wort is no batch to chill (allowed: 7.9 L or more" in found
    assert load(kits.write_kit(tmp_path, brewhouse=big.replace("23 L", "7.9 L")))


@pytest.mark.parametrize("amount", ['volume = "24.000 mL"\nunusual = true', 'volume = "1.000 L"'])
def test_a_tiny_batch_passes_where_it_is_meant(tmp_path: Path, amount: str) -> None:
    text = kits.BREWHOUSE.replace('volume = "23 L"', amount)
    assert load(kits.write_kit(tmp_path, brewhouse=text)).brewhouse.wort.volume <= 1e-3


def test_a_tiny_batch_is_told_in_the_units_of_the_brewhouse(tmp_path: Path) -> None:
    text = 'units = "us"\n' + kits.BREWHOUSE.replace("23 L", "0.006 gal")
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=text))
    assert "0.006 gal of hot wort" in found and "would be 6 gal" in found and "0.26 gal or more" in found


@pytest.mark.parametrize(
    "currency", ["inf L", "nan", "INF", "12", "E2", "$5", ".", "US $", "thousands", "a\u202eb", "\u0301"]
)
def test_what_is_no_currency(tmp_path: Path, currency: str) -> None:
    text = f'{kits.BREWHOUSE}[stock]\ncurrency = "{currency}"\n'
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=text))
    assert found.startswith("brewhouse.toml:14: stock.currency")


@pytest.mark.parametrize("currency", ["EUR", "€", "US$", "R$", "zł", "Kč", "Fr.", "S/", "лв.", "円", "रु"])
def test_currencies_of_the_world(tmp_path: Path, currency: str) -> None:
    """Codes of ISO 4217 and signs as CLDR lists them (M)."""
    text = f'{kits.BREWHOUSE}[stock]\ncurrency = "{currency}"\n'
    assert load(kits.write_kit(tmp_path, brewhouse=text)).brewhouse.stock.currency == currency


def test_a_hold_without_a_unit_says_what_is_taken(tmp_path: Path) -> None:
    plan = '\n[[cooling]]\nhold = 24\n[[cooling]]\nsource = "tap"\n'
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + plan))
    said = (
        "add a unit: s, min, h; it could be '24 min' or '24 h' "
        "(allowed: a time in quotes such as 25 min; units s, min, h)"
    )
    assert found.endswith(f"cooling[1].hold: 24: {said}")


def test_a_switch_without_a_unit_is_asked_for_one(tmp_path: Path) -> None:
    plan = '\n[[cooling]]\nsource = "tap"\nuntil = 36\n[[cooling]]\nsource = "tap"\n'
    (found,) = faults_of(kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + plan))
    assert "cooling[1].until: 36" in found and "unit" in found and "cold" not in found
    assert "best, or a temperature in quotes such as 12 degC" in found


def test_a_hop_stand_far_above_any_pitching_temperature_is_normal(tmp_path: Path) -> None:
    plan = (
        '\n[[cooling]]\nsource = "tap"\nuntil = "80 degC"\n[[cooling]]\nhold = "20 min"\n'
        '[[cooling]]\nsource = "tap"\n'
    )
    kits.write_kit(tmp_path, brewhouse=kits.BREWHOUSE + plan)
    assert len(load(tmp_path).brewhouse.cooling) == 3


# (list, old, new, fragments)
ROWS = [
    ("tubing", "10 mm,1 mm", "10 mm,5 mm", ["tubing.csv:2", "wall", "leaves no bore"]),
    ("tubing", "10 mm,1 mm", "10 mm,-1 mm", ["wall: -1 mm"]),
    ("tubing", "10 mm,1 mm", "10 mm,1", ["wall: 1", "add a unit: mm"]),
    ("tubing", "10 mm,1 mm", '"9,5 mm",1 mm', ["outer_diameter: 9,5 mm", "9.5 mm with a point"]),
    ("tubing", "10 mm,1 mm", "1/2,1 mm", ["outer_diameter: 1/2", "add a unit"]),
    ("tubing", "10 mm,1 mm", "nan mm,1 mm", ["not a finite number"]),
    ("tubing", "15 m,59", "15 mtr,59", ["length: 15 mtr", "unknown unit"]),
    ("tubing", "15 m,59", "15 m,59 EUR or so", ["price: 59 EUR or so", "not a bare number"]),
    ("tubing", "15 m,59", '15 m,"59,90"', ["price", "59.90 with a point"]),
    ("tubing", "15 m,59", "15 m,", ["price", "missing", "owned = yes"]),
    ("tubing", "b-roll,soft,copper", "b-roll,soft,cooper", ["material: cooper", "did you mean copper?"]),
    ("tubing", "copper,annealed", "copper,soft", ["temper: soft", "annealed, half hard, hard"]),
    ("tubing", "no,2026-11-01", "maybe,2026-11-01", ["owned: maybe", "yes, no"]),
    ("tubing", "b-roll", "a-roll", ["tubing.csv:3", "stock_id: a-roll", "already in line 2"]),
    ("tubing", "b-roll", "", ["tubing.csv:2", "stock_id: missing"]),
    ("tubing", ",wall,", ",wal,", ["tubing.csv:1", "did you mean wall?"]),
    ("tubing", "price,owned", "price,price", ["price", "the column is there twice"]),
    ("tubing", "wall,length", "wall,", ["length", "the column is missing"]),
    ("tubing", "59,no,", "59,no,extra,", ["tubing.csv:2", "12 cells, the header has 11"]),
    ("tubing", "59,no,2026-11-01,invented", "59,no", ["9 cells, the header has 11"]),
    ("forms", "25 cm,,22", ",,22", ["forms.csv:2", "outer_diameter", "missing"]),
    ("forms", "25 cm,,22", "25 cm,78 cm,22", ["given besides circumference"]),
    ("forms", "no,6", "no,0", ["forms.csv:3", "price", "0 for something to be bought"]),
    ("forms", "22 cm,yes", "22 cm,maybe", ["open_end: maybe", "yes, no"]),
    ("benders", "lever,lever", "lever,crank", ["benders.csv:2", "kind: crank", "lever, spring, hand"]),
    ("benders", "30 mm", "0 mm", ["bend_radius: 0 mm", "too small"]),
    ("fittings", "compression,,,", "compresion,,,", ["joint: compresion", "did you mean compression?"]),
    ("fittings", "turns,m", "turns,metre", ["per: metre", "piece, m"]),
    ("pumps", "5 L/min @ 3.0 m", "5 L/min @ 3.9 m", ["pumps.csv:2", "curve", "not a falling curve"]),
    ("pumps", "5 L/min @ 3.0 m", "5 L/min 3.0 m", ["is not flow @ head"]),
    ("pumps", "5 L/min @ 3.0 m", "5 @ 3.0 m", ["add a unit: L/min"]),
    ("pumps", "19 L/min,3.4 m", "19 L/min,", ["pumps.csv:3", "curve", "missing", "max_flow and max_head"]),
    ("pumps", ",19 L/min", "0 L/min @ 1 m; 1 L/min @ 0 m,19 L/min", ["given besides max_flow"]),
]


@pytest.mark.parametrize(("name", "old", "new", "fragments"), ROWS)
def test_list_fault(tmp_path: Path, name: str, old: str, new: str, fragments: list[str]) -> None:
    text = kits.FILES[f"{name}.csv"]
    assert old in text
    found = faults_of(kits.write_kit(tmp_path, **{name: text.replace(old, new, 1)}))
    if "the column is there twice" in fragments:
        found = sorted(set(found))[:1]
    for fragment in fragments:
        assert any(fragment in fault for fault in found), found


NUMERIC = [
    ("tubing", "10 mm", "outer_diameter", " mm"),
    ("tubing", "1 mm", "wall", " mm"),
    ("tubing", "15 m,", "length", " m,"),
    ("tubing", "59", "price", ""),
    ("forms", "25 cm", "outer_diameter", " cm"),
    ("forms", "72.5 cm", "circumference", " cm"),
    ("forms", "22 cm", "height", " cm"),
    ("forms", "no,6", "price", "no,"),
    ("benders", "10 mm", "outer_diameter", " mm"),
    ("benders", "30 mm", "bend_radius", " mm"),
    ("benders", "28", "price", ""),
    ("fittings", "10 mm", "outer_diameter", " mm"),
    ("fittings", "0.8", "price", ""),
    ("fittings", "12.5 mm", "bore", " mm"),
    ("pumps", "19 L/min", "max_flow", " L/min"),
    ("pumps", "3.4 m", "max_head", " m"),
    ("pumps", "45 degC", "max_temperature", " degC"),
    ("pumps", "95", "price", ""),
]


@pytest.mark.parametrize("bad", ["0", "-3", "nan", "inf", "1e3"])
@pytest.mark.parametrize(("name", "old", "column", "unit"), NUMERIC)
def test_every_numeric_column_refuses(
    tmp_path: Path, name: str, old: str, column: str, unit: str, bad: str
) -> None:
    text = kits.FILES[f"{name}.csv"]
    new = f"no,{bad}" if unit == "no," else f"{bad}{unit}"
    last = name in ("fittings", "pumps") and not unit
    head, mark, tail = text.rpartition(old) if last else text.partition(old)
    assert mark
    found = faults_of(kits.write_kit(tmp_path, **{name: head + new + tail}))
    assert len(found) == 1 and f": {column}" in found[0], found


def test_every_numeric_column_is_in_the_table_above() -> None:
    """Guard: a new column of a number comes with its refusals."""
    from optichill.files.lists import LISTS

    numeric = {
        (name, field)
        for name, (model, _, _) in LISTS.items()
        for field, info in model.model_fields.items()
        if "float" in str(info.annotation) and field != "curve"
    }
    assert numeric == {(name, column) for name, _, column, _ in NUMERIC}


COILS = [
    ("turns = 10.5", "", ["coil.turns", "missing"]),
    ("turns = 10.5", 'turns = "10 1/2"', ["coil.turns", "not a bare number"]),
    ("turns = 10.5", "turns = 0", ["coil.turns", "out of range"]),
    ('"17 mm"', '"9 mm"', ["coil.pitch", "turns would overlap"]),
    ('"1 mm"', '"5 mm"', ["coil.wall", "leaves no bore"]),
    ('wall = "1 mm"\n', "", ["coil.wall", "weight as measured"]),
    ('mean_diameter = "26 cm"\n', "", ["coil.mean_diameter", "outside_across"]),
    ('riser_length_in = "50 cm"\n', "", ["coil.riser_length_in", "bought_length"]),
    ('"copper"', '"brass"', ["coil.material", "copper, stainless 304, stainless 316"]),
    ("pitch", "picth", ["coil.picth", "did you mean pitch?"]),
    ("turns = 10.5", 'turns = 10.5\nlayout = "nested"', ["coil.layout", "two [[coil.layer]]"]),
    ("[coil]", "[koil]", ["coil"]),
]

LAYER = """
[[coil.layer]]
turns = 8
outside_across = "26 cm"
overall_height = "14 cm"
"""
LAYERED = """[coil]
material = "copper"
outer_diameter = "10 mm"
wall = "1 mm"
layout = "nested"
bought_length = "9 m"
"""


@pytest.mark.parametrize(
    ("text", "line", "fragments"),
    [
        (
            LAYERED + 'turns = 3\noverall_height = "5 cm"\n' + 2 * LAYER,
            7,
            ["coil.turns: told here, as is overall_height, and again by each [[coil.layer]]", "left out"],
        ),
        (LAYERED + "turns = 8\n" + 2 * LAYER, 7, ["coil.turns", "told here, and again"]),
        # Short of tube besides: the count of layers is what is told.
        (LAYERED + 3 * LAYER, 18, ["coil.layer[3]: 3 layers (allowed: one or two"]),
        (
            LAYERED + LAYER + LAYER.replace("14 cm", "5 cm"),
            16,
            ["coil.layer[2].overall_height: turns would overlap: 8 turns of 10 mm tube stand 90 mm"],
        ),
        (LAYERED + LAYER + "[[coil.layer]]\n", 12, ["coil.layer[2].turns: missing (allowed: number, 0.5 to"]),
        (
            LAYERED + 'layer = "two"\n',
            7,
            ["coil.layer: two", "a list of tables, in a file each under a line [[coil.layer]]"],
        ),
    ],
)
def test_layers_are_told_once_and_are_two(tmp_path: Path, text: str, line: int, fragments: list[str]) -> None:
    file = tmp_path / "coil.toml"
    file.write_text(text, encoding="utf-8")
    (found,) = faults_of(kits.write_kit(tmp_path), file)
    assert found.startswith(f"coil.toml:{line}: "), found
    for fragment in fragments:
        assert fragment in found, found


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('wall = "1 mm"', 'wall = "1 mm"\nflow = "0 L/min"', "too small (allowed: 0.1 L/min to 500 L/min)"),
        ('"26 cm"', '"0 mm"', "too small (allowed: 30 mm to 200 cm)"),
        ('wall = "1 mm"', 'weight = "0 kg"', "must be larger than 0 (allowed: more than 0 g to 500 kg)"),
        ('"50 cm"', '"-50 cm"', "must not be below 0 (allowed: 0 mm to 5 m)"),
        (
            'material = "copper"\n',
            "",
            "material: missing (allowed: copper, stainless 304, stainless 316)",
        ),
        ('"17 mm"', '"-1 in"', "too small (allowed: "),
    ],
)
def test_what_is_allowed_is_told_as_it_is(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in kits.COIL
    file = tmp_path / "coil.toml"
    file.write_text(kits.COIL.replace(old, new, 1), encoding="utf-8")
    (found,) = faults_of(kits.write_kit(tmp_path), file)
    assert said in found and ("-1 in" not in new or found.endswith(" in)")), found


@pytest.mark.parametrize(("old", "new", "fragments"), COILS)
def test_coil_fault(tmp_path: Path, old: str, new: str, fragments: list[str]) -> None:
    assert old in kits.COIL
    file = tmp_path / "coil.toml"
    file.write_text(kits.COIL.replace(old, new, 1), encoding="utf-8")
    found = faults_of(kits.write_kit(tmp_path), file)
    for fragment in fragments:
        assert any(fragment in fault for fault in found), found


def test_all_faults_of_all_files_at_once(tmp_path: Path) -> None:
    house = kits.BREWHOUSE.replace('"36 cm"', "36").replace('volume = "23 L"', "gravity = 12")
    kits.write_kit(
        tmp_path,
        brewhouse=house,
        tubing=kits.TUBING.replace("1 mm", "1").replace("copper,annealed,3/8", "iron,annealed,3/8"),
        forms=kits.FORMS.replace("22 cm", "22"),
        pumps=kits.PUMPS.replace("45 degC", "45"),
    )
    (tmp_path / "coil.toml").write_text(kits.COIL.replace("10.5", "-1"), encoding="utf-8")
    found = faults_of(tmp_path, tmp_path / "coil.toml")
    places = [fault.split(": ")[0] + " " + fault.split(": ")[1] for fault in found]
    assert places == [
        "brewhouse.toml:4 kettle.inside_diameter",
        "brewhouse.toml:7 wort.volume",
        "brewhouse.toml:8 wort.gravity",
        "coil.toml:7 coil.turns",
        "forms.csv:2 height",
        "pumps.csv:2 max_temperature",
        "tubing.csv:2 wall",
        "tubing.csv:3 material",
    ]


@pytest.mark.parametrize("name", ["tubing", "forms"])
def test_required_lists(tmp_path: Path, name: str) -> None:
    kits.write_kit(tmp_path)
    (tmp_path / f"{name}.csv").unlink()
    assert faults_of(tmp_path) == [f"{name}.csv: file: not found (allowed: optichill init writes one)"]


@pytest.mark.parametrize("name", ["benders", "fittings", "pumps"])
def test_optional_lists(tmp_path: Path, name: str) -> None:
    kits.write_kit(tmp_path)
    (tmp_path / f"{name}.csv").unlink()
    assert getattr(load(tmp_path).stock, name) == ()


def test_absent_brewhouse(tmp_path: Path) -> None:
    assert faults_of(tmp_path) == ["brewhouse.toml: file: not found (allowed: optichill init writes one)"]


def test_absent_coil(tmp_path: Path) -> None:
    kits.write_kit(tmp_path)
    hint = "(allowed: optichill recommend --save-coil or init --coil writes one)"
    assert faults_of(tmp_path, tmp_path / "coil.toml") == [f"coil.toml: file: not found {hint}"]


def test_a_reading_that_its_key_refuses_is_not_offered(tmp_path: Path) -> None:
    for text, told in (
        ('gravity = "1,050 SG"', "write 1.05 SG (allowed: 1.000 SG to 1.1"),
        ('gravity = "9,500 SG"', "neither 9.5 SG nor 9500 SG is allowed (allowed: 1.000 SG to"),
    ):
        house = kits.BREWHOUSE.replace("[wort]", f"[wort]\n{text}")
        (said,) = faults_of(kits.write_kit(tmp_path, brewhouse=house))
        assert told in said and "1050 SG or" not in said, said


MONEY_KIT = [
    ("USD", "$84.97", 84.97),
    ("USD", '"$1,124.50"', 1124.5),
    ("EUR", "84.97 €", 84.97),
    ("GBP", "£59", 59.0),
]


@pytest.mark.parametrize(("currency", "price", "read"), MONEY_KIT)
def test_a_price_with_the_sign_of_the_files_own_currency_is_read(
    tmp_path: Path, currency: str, price: str, read: float
) -> None:
    budget = price.strip('"')
    house = f'{kits.BREWHOUSE}\n[limits]\nbudget = "{budget}"\n[stock]\ncurrency = "{currency}"\n'
    tubing = kits.TUBING.replace(",59,no", f",{price},no")
    inputs = load(kits.write_kit(tmp_path, brewhouse=house, tubing=tubing))
    assert inputs.stock.tube("b-roll").price == inputs.brewhouse.limits.budget == read  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("price", "told"),
    [
        ("$59", "'$': the currency here is EUR (allowed: a number such as 42.5)"),
        ("1.200 €", "can be 1.2 or 1200"),
    ],
)
def test_a_price_in_other_money_or_of_two_readings_is_refused(tmp_path: Path, price: str, told: str) -> None:
    tubing = kits.TUBING.replace(",59,no", f",{price},no")
    (said,) = faults_of(kits.write_kit(tmp_path, tubing=tubing))
    assert said.startswith("tubing.csv:2: price: ") and told in said, said


@pytest.mark.parametrize(("units", "told"), [("metric", " m of tube"), ("us", " ft of tube")])
def test_faults_of_a_coil_are_told_in_the_units_of_the_brewhouse(
    optichill: Callable[..., Done], tmp_path: Path, units: str, told: str
) -> None:
    kits.write_kit(tmp_path, brewhouse=f'units = "{units}"\n{kits.BREWHOUSE}')
    coil = tmp_path / "bench.toml"
    coil.write_text(kits.COIL + 'bought_length = "25 ft"\n')
    done = optichill("check", tmp_path, "--coil", coil)
    assert done.status == 4 and told in done.err
    assert f"brewhouse.toml: 1 fault in {coil}" in done.err.splitlines()[0]
