"""What spreadsheets and hurried people write: understood with one remark, or refused with both readings."""

from __future__ import annotations

import datetime
import os
import time
from pathlib import Path

import kits
import pytest
from kits import faults_of

from optichill.errors import InputFault, InputFaults, shown
from optichill.files import tables, texts
from optichill.files.in_python import inputs_of
from optichill.files.reading import Inputs, load
from optichill.model.dates import readings


def read(folder: Path, **texts: str) -> Inputs:
    return load(kits.write_kit(folder, **texts))


def heard(inputs: Inputs, folder: Path) -> list[str]:
    return [line.replace(f"{folder}/", "") for line in inputs.heard]


# --- numbers ----------------------------------------------------------------------------------------------

EUROPEAN = kits.TUBING.replace(",", ";").replace("0.032", "0,032").replace(";59;", ";59,90;")


def test_semicolons_and_decimal_commas_of_a_whole_file(tmp_path: Path) -> None:
    inputs = read(tmp_path, tubing=EUROPEAN)
    first, second = inputs.stock.tubing
    assert (first.wall, second.price) == (pytest.approx(0.032 * 0.0254), 59.9)
    said = "tubing.csv: read with semicolons between cells and commas before decimals"
    assert heard(inputs, tmp_path) == [said] and inputs.notes[0].endswith(said)


def test_a_pump_curve_with_semicolons_of_its_own(tmp_path: Path) -> None:
    text = kits.PUMPS.replace(",", ";").replace("3.4 m", "3,4 m")
    own = "0 L/min @ 3.5 m; 5 L/min @ 3.0 m; 12 L/min @ 0 m"
    assert own in text
    text = text.replace(own, f'"{own.replace(".", ",")}"')
    assert read(tmp_path, pumps=text).stock.pumps == read(tmp_path).stock.pumps


def test_commas_and_points_in_one_file_are_refused(tmp_path: Path) -> None:
    (fault,) = faults_of(kits.write_kit(tmp_path, tubing=EUROPEAN.replace("0,032", "0.032")))
    assert fault.startswith("tubing.csv:2: price: 59,90: a comma, but line 3 has a point in 0.032 in")


@pytest.mark.parametrize("innocent", ["9.525 mm", "9.52 mm"])
def test_a_number_with_both_signs_is_the_odd_one_out(tmp_path: Path, innocent: str) -> None:
    """And not the sizes, however few of them have a sign."""
    head = kits.TUBING.splitlines()[0].replace(",", ";")
    rows = [(innocent, "41"), ("10 mm", "1.092,00"), ("10 mm", "1.192,00")]
    rolls = [
        f"r{n};soft;copper;annealed;{size};1 mm;15 m;{price};no;2026-11-01;s"
        for n, (size, price) in enumerate(rows)
    ]
    (fault,) = faults_of(kits.write_kit(tmp_path, tubing="\n".join([head, *rolls]) + "\n"))
    assert fault.startswith(f"tubing.csv:3: price: 1.092,00: a comma, but line 2 has a point in {innocent}")


# (price cells of the two rows, the fault or the prices)
PRICES = [
    ("1.200", "61", "price: 1.200: can be 1.2 or 1200 (allowed: 1.2 or 1200)"),
    ('"1,200"', "61", "price: 1,200: can be 1.2 or 1200: write 1.2 or 1200"),
    ('"1,200.50"', "61", "price: 1,200.50: commas between thousands are not read: write 1200.50"),
    ("1.200", "61.50", (61.5, 1.2)),
    ("1.2", "61", (61.0, 1.2)),
    ("0.125", "61", (61.0, 0.125)),
]


@pytest.mark.parametrize(("one", "other", "wanted"), PRICES)
def test_a_price_that_can_be_both(
    tmp_path: Path, one: str, other: str, wanted: str | tuple[float, float]
) -> None:
    text = kits.TUBING.replace(",59,", f",{one},").replace(",61,", f",{other},")
    if isinstance(wanted, str):
        (fault,) = faults_of(kits.write_kit(tmp_path, tubing=text))
        assert fault.startswith(f"tubing.csv:2: {wanted}")
    else:
        assert tuple(tube.price for tube in read(tmp_path, tubing=text).stock.tubing) == wanted


def test_between_semicolons_both_readings_have_the_files_own_comma(tmp_path: Path) -> None:
    text = kits.TUBING.replace(",", ";").replace("0.032", "0,032").replace(";59;", ";1,200;")
    (fault,) = faults_of(kits.write_kit(tmp_path, tubing=text))
    assert fault == "tubing.csv:2: price: 1,200: can be 1,2 or 1200 (allowed: 1,2 or 1200)"


MANY = kits.TUBING.rstrip().rpartition("\n")[0].replace(",", ";").replace(";59;", ";109,20;") + "\n"


def list_of_prices(*prices: str) -> str:
    """A list with a row for each price, ids a0, a1, ..."""
    header, row = MANY.splitlines()
    rows = [row.replace("b-roll", f"a{n}").replace("109,20", price) for n, price in enumerate(prices)]
    return "\n".join([header, *rows, ""])


@pytest.mark.parametrize(
    ("prices", "read_as", "taken"),
    [
        (("109,20", "1.092,00", "98,50"), (109.2, 1092.0, 98.5), "commas before decimals and points between"),
        (("109.20", "1,092.00", "98.50"), (109.2, 1092.0, 98.5), "points before decimals and commas between"),
        (("109,20", "1.092.000.000,5"), (109.2, 1092000000.5), None),
    ],
)
def test_a_price_with_both_signs_is_understood(
    tmp_path: Path, prices: tuple[str, ...], read_as: tuple[float, ...], taken: str | None
) -> None:
    """The later of two signs stands before the decimals, in every country (CLDR number patterns, M)."""
    text = list_of_prices(*prices)
    if taken is None:
        (fault,) = faults_of(kits.write_kit(tmp_path, tubing=text))
        assert fault.startswith("tubing.csv:3: price: 1.092.000.000,5: out of range")
        return
    inputs = read(tmp_path, tubing=text)
    assert tuple(tube.price for tube in inputs.stock.tubing) == read_as
    assert any(f"{taken} thousands" in said for said in inputs.heard)


@pytest.mark.parametrize(
    ("prices", "fault"),
    [
        (
            ("109,20", "98,50", "77.30"),
            "tubing.csv:4: price: 77.30: a point, but line 2 has a comma in 109,20",
        ),
        (("109,20", "1.092", "98,50"), "tubing.csv:3: price: 1.092: can be 1,092 or 1092"),
        (("109.20", "1,092", "98.50"), "tubing.csv:3: price: 1,092: can be 1.092 or 1092"),
        (("109,20", "1.2,3.4"), "tubing.csv:3: price: 1.2,3.4: commas and points are mixed"),
        (("109,20", "71,50 $"), "tubing.csv:3: price: 71,50 $: '$': the currency here is EUR"),
    ],
)
def test_the_price_that_does_not_agree_is_blamed_as_it_stands(
    tmp_path: Path, prices: tuple[str, ...], fault: str
) -> None:
    (found,) = faults_of(kits.write_kit(tmp_path, tubing=list_of_prices(*prices)))
    assert found.startswith(fault)


def test_a_remark_quotes_the_cell_as_it_stands(tmp_path: Path) -> None:
    inputs = read(tmp_path, tubing=list_of_prices("109,20").replace("1 mm", "1,5 MM"))
    assert "tubing.csv:2: wall: 1,5 MM read as 1.5 mm" in heard(inputs, tmp_path)


def test_a_price_far_below_its_neighbours_is_remarked(tmp_path: Path) -> None:
    """By hand: 5 EUR for 15 m is 0.33 a metre, a tenth of 61 EUR for 50 ft (15.24 m, 4.0 a metre) is 0.40."""
    said = read(tmp_path, tubing=kits.TUBING.replace(",59,", ",5,")).warnings
    assert said == (
        "tubing.csv: price of b-roll is 0.33 EUR a metre, the others cost 4 EUR: "
        "is it the price of the whole roll?",
    )
    assert read(tmp_path, tubing=kits.TUBING.replace(",59,", ",6.5,")).warnings == ()


# --- units ------------------------------------------------------------------------------------------------


def test_units_written_otherwise_get_one_remark_each(tmp_path: Path) -> None:
    text = kits.TUBING.replace("3/8 in", '3/8"').replace("0.032 in", "0.032 inches")
    text = text.replace("50 ft", "50 feet")
    house = kits.BREWHOUSE.replace('"36 cm"', '"36 Cm"').replace('"12 degC"', '"53.6F"')
    inputs = read(tmp_path, tubing=text, brewhouse=house)
    assert heard(inputs, tmp_path) == [
        "brewhouse.toml:4: inside_diameter: 36 Cm read as 36 cm",
        "brewhouse.toml:11: temperature: 53.6F read as 53.6 degF",
        'tubing.csv:3: outer_diameter: 3/8" read as 3/8 in (and 1 more)',
        "tubing.csv:3: length: 50 feet read as 50 ft",
    ]
    assert inputs.stock == read(tmp_path).stock
    assert inputs.brewhouse.kettle.inside_diameter == 0.36 and heard(load(tmp_path), tmp_path) == []


# --- dates, and what acts on nothing ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("2026-11-01", ["2026-11-01"]),
        ("2026/11/1", ["2026-11-01"]),
        ("2026-11-01 00:00:00", ["2026-11-01"]),
        (
            "01.11.2026",
            ["2026-11-01"],
        ),  # points: day first (CLDR short dates, M)
        ("1 Nov 2026", ["2026-11-01"]),
        ("November 1, 2026", ["2026-11-01"]),
        ("01-Nov-2026", ["2026-11-01"]),
        ("13/11/2026", ["2026-11-13"]),
        ("11/13/2026", ["2026-11-13"]),
        ("11/11/2026", ["2026-11-11"]),
        ("01/11/2026", ["2026-11-01", "2026-01-11"]),
        ("01/11/26", []),
        ("31.02.2026", []),
        ("2026-13-01", []),
        ("46327", []),
        ("", []),
    ],
)
def test_dates(text: str, days: list[str]) -> None:
    assert [str(day) for day in readings(text).values()] == days


@pytest.mark.parametrize(
    ("units", "day", "order"), [("metric", "2026-11-01", "day first"), ("us", "2026-01-11", "month first")]
)
def test_an_unclear_date_of_a_list_is_read_as_the_units_country_does(
    tmp_path: Path, units: str, day: str, order: str
) -> None:
    house = f'units = "{units}"\n{kits.BREWHOUSE}'
    inputs = read(tmp_path, brewhouse=house, tubing=kits.TUBING.replace("2026-11-01", "01/11/2026"))
    assert {tube.checked for tube in inputs.stock.tubing} == {datetime.date.fromisoformat(day)}
    place = "tubing.csv:2: checked: 01/11/2026"
    assert heard(inputs, tmp_path) == [
        f"{place} read as {day}, {order}, as where units are {units} (and 1 more)"
    ]


def test_an_unclear_date_that_acts_is_refused_with_both_readings(tmp_path: Path) -> None:
    climate = 'climate = { mean = "10 degC", swing = "18 K", date = "04/05/2026" }'
    house = kits.BREWHOUSE.replace('temperature = "12 degC"', climate)
    (fault,) = faults_of(kits.write_kit(tmp_path, brewhouse=house))
    assert "tap.climate.date: 04/05/2026: can be 2026-05-04 or 2026-04-05 (allowed: year-month-day" in fault


def test_what_acts_on_nothing_never_blocks(tmp_path: Path) -> None:
    text = kits.TUBING.replace("2026-11-01", "last week").replace(",soft,", f",{'x' * 300},")
    inputs = read(tmp_path, tubing=text)
    assert [tube.checked for tube in inputs.stock.tubing] == [None, None]
    one, other = heard(inputs, tmp_path)
    assert one.startswith("tubing.csv:2: description: 'xxx") and one.endswith("not printable (and 1 more)")
    assert (
        other
        == "tubing.csv:2: checked: 'last week' left out, for it acts on nothing: not a date (and 1 more)"
    )
    rows = [row.split(",") for row in kits.TUBING.splitlines()]
    bare = "\n".join(",".join(cell for n, cell in enumerate(row) if n not in (1, 9, 10)) for row in rows)
    stock = read(tmp_path, tubing=bare).stock
    assert [(tube.description, tube.checked, tube.source) for tube in stock.tubing] == [("", None, "")] * 2


def test_nor_does_it_in_python(tmp_path: Path) -> None:
    stock = read(tmp_path).stock
    row = {"stock_id": "a", "material": "copper", "temper": "annealed", "outer_diameter": '3/8"',
           "wall": 1e-3, "length": 15.0, "price": 60, "checked": "some day"}  # fmt: skip
    tables = {"name": "K", "kettle": {"inside_diameter": 0.36, "inside_height": 0.4},
              "wort": {"volume": 0.023}, "tap": {"temperature": "12 degC"}}  # fmt: skip
    found = inputs_of(tables, {"tubing": [row], "forms": list(stock.forms)})
    assert found.stock.tubing[0].checked is None
    assert found.notes[:2] == (
        'in Python: outer_diameter: 3/8" read as 3/8 in',
        "in Python: checked: 'some day' left out, for it acts on nothing: not a date",
    )


# --- size, and what is no file ----------------------------------------------------------------------------


def test_fifty_faults_in_full_then_counts_by_kind(tmp_path: Path) -> None:
    header, row = kits.TUBING.splitlines()[:2]
    rows = [
        row.replace("b-roll", f"r{n}").replace("1 mm", f"{n} zoll").replace(",59,", ",x,") for n in range(100)
    ]
    kits.write_kit(tmp_path, tubing="\n".join([header, *rows]))
    with pytest.raises(InputFaults) as caught:
        load(tmp_path)
    lines = str(caught.value).replace(f"{tmp_path}/", "").splitlines()
    assert len(caught.value.faults) == 200 and len(lines) == 52
    assert lines[50:] == [
        "and 75 more: tubing.csv: price: not a bare number",
        "and 75 more: tubing.csv: wall: unknown unit ...",
    ]


LIMITS = [
    ("tubing", "x" * (texts.LARGEST + 1), "tubing.csv: file: larger than 8 MB"),
    ("brewhouse", "#" * (texts.LARGEST_TOML + 1), "brewhouse.toml: file: larger than 1 MB"),
    (
        "tubing",
        kits.TUBING + "\n" * tables.MOST_ROWS,
        "tubing.csv: file: 20003 lines (allowed: at most 20000 rows",
    ),
    (
        "tubing",
        kits.TUBING + "," * 200_000,
        "tubing.csv:4: file: too many columns (allowed: at most 20000 rows",
    ),
]


@pytest.mark.parametrize(("name", "text", "said"), LIMITS, ids=["bytes", "toml", "rows", "columns"])
def test_what_is_too_large_is_refused_by_its_size(tmp_path: Path, name: str, text: str, said: str) -> None:
    began = time.perf_counter()
    assert [fault[: len(said)] for fault in faults_of(kits.write_kit(tmp_path, **{name: text}))] == [said]
    assert time.perf_counter() - began < 2.0


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_pipes_devices_and_folders_are_refused_at_once(tmp_path: Path) -> None:
    """Opening a pipe that nobody writes to would wait for ever."""
    kits.write_kit(tmp_path)
    for name in ("tubing.csv", "forms.csv", "pumps.csv"):
        (tmp_path / name).unlink()
    os.mkfifo(tmp_path / "tubing.csv")
    (tmp_path / "forms.csv").symlink_to("/dev/zero")
    (tmp_path / "pumps.csv").mkdir()
    assert faults_of(tmp_path) == [
        "forms.csv: file: cannot be read: not a file but a pipe or a device",
        "pumps.csv: file: cannot be read: Is a directory",
        "tubing.csv: file: cannot be read: not a file but a pipe or a device",
    ]


# --- hostile text in messages -----------------------------------------------------------------------------


def test_messages_hold_nothing_that_a_terminal_obeys(tmp_path: Path) -> None:
    escape = "\x1b]8;;http://x\x07"
    header = kits.TUBING.replace("wall", f"{escape}wall", 1)
    cell = kits.FORMS.replace("22 cm,yes", f"22 {escape}{'y' * 500},yes")
    house = kits.BREWHOUSE.replace("[tap]", '[tap]\n"a\\u001b[31m" = 1')
    said = faults_of(kits.write_kit(tmp_path, tubing=header, forms=cell, brewhouse=house))
    assert len(said) >= 4 and all(line.isprintable() and len(line) < 500 for line in said), said
    assert any(r"\u001b]8;;http://x\u0007" in line for line in said) and any(
        r"a\u001b[31m" in line for line in said
    )


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("10\u00a0mm\r\n wide", "10 mm wide"),
        ("\x1b[2J\u202egpj", r"\u001b[2J\u202egpj"),
        ("\udcff", r"\udcff"),
        ("a" * 61, "a" * 57 + "..."),
    ],
)
def test_shown(text: str, wanted: str) -> None:
    assert shown(text) == wanted
    assert wanted in str(InputFault("f", 1, "k", text, "why"))


@pytest.mark.parametrize(("gravity", "degP"), [("1.000 SG", 0.0), ("1.130 SG", 30.0)])
def test_both_ends_of_the_scale_of_gravity_are_read(tmp_path: Path, gravity: str, degP: float) -> None:
    house = kits.BREWHOUSE.replace("[wort]", f'[wort]\ngravity = "{gravity}"')
    assert read(tmp_path, brewhouse=house).brewhouse.wort.gravity == degP


def test_a_chill_of_forty_seconds_is_refused(tmp_path: Path) -> None:
    house = kits.BREWHOUSE + '[limits]\nchill_time = "40 s"\n'
    (fault,) = faults_of(kits.write_kit(tmp_path, brewhouse=house))
    assert "limits.chill_time: 40 s: too small (allowed: 60 s to 6 h)" in fault


def test_a_list_as_long_as_is_allowed_is_read_soon(tmp_path: Path) -> None:
    """Half as many rows as are allowed; what grows with their square would take minutes."""
    header, row = kits.TUBING.splitlines()[:2]
    rows = [row.replace("b-roll", f"r{n}") for n in range(tables.MOST_ROWS // 2)]
    began = time.perf_counter()
    found = read(tmp_path, tubing="\n".join([header, *rows]))
    assert len(found.stock.tubing) == tables.MOST_ROWS // 2 and time.perf_counter() - began < 20.0
