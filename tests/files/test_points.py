"""Readings in one line, as people write them: they are read as they are meant, or it is said why not."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.errors import InputFault
from optichill.files.log.checks import Expected
from optichill.files.log.points import looks_like_points, short
from optichill.files.log.table import read_log
from optichill.model.cooldown_log import CooldownLog

SIX = "0:98 5:60 10:38 15:28 20:23 25:21"


def read(text: str, units: str = "metric") -> tuple[CooldownLog | None, list[str]]:
    faults: list[InputFault] = []
    log = read_log(text, Expected(units=units), faults)
    assert (log is None) == bool(faults)
    return log, [str(f) for f in faults]


def taken(text: str, units: str = "metric") -> list[tuple[float, float]]:
    """Minutes and degrees Celsius as they were read."""
    log, faults = read(text, units)
    assert log is not None, faults
    return [
        (round(t / 60.0, 3), round(T - 273.15, 2))
        for t, T in zip(log.time.tolist(), log.wort.tolist(), strict=True)
    ]


THREE = [(0.0, 98.0), (5.0, 60.0), (10.0, 38.0)]


@pytest.mark.parametrize(
    "text",
    [
        "0:98 5:60 10:38",
        "0:98,5:60,10:38",
        "0:98, 5:60, 10:38",
        "0:98;5:60;10:38",
        "0:98 ; 5:60 ; 10:38",
        "  0: 98  5 :60 10 : 38  ",
        "0:98 5:60 10:38 degC",
        "0:98 5:60 10:38C",
        "0:98 5:60 10:38 °C.",
        "0:98 C, 5:60 C, 10:38 C",
        "0:98°C 5:60°C 10:38°C",
        "0m:98 5m:60 10m:38",
        "0 min:98 5 min:60 10 min:38",
        "0s:98 300s:60 600 s:38",
        "0:98.0 5.0:60 10:38,",
        "0:208.4 5:140 10:100.4 degF",
        "0:208.4F 5:140F 10:100.4F",
        "0:98\t5:60\t10:38",
    ],
)
def test_one_line_in_many_hands(text: str) -> None:
    assert taken(text) == THREE


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("0:98,5 5:60,25 10:38,0", [(0.0, 98.5), (5.0, 60.25), (10.0, 38.0)]),
        ("0:98,5;5,5:60;10:38", [(0.0, 98.5), (5.5, 60.0), (10.0, 38.0)]),
        ("0:98,5,5,5:60,0,10:38", [(0.0, 98.5), (5.5, 60.0)]),
        ("0:98.5,5.5:60,10:38", [(0.0, 98.5), (5.5, 60.0), (10.0, 38.0)]),
        ("0:98 5m30:60 10:38", [(0.0, 98.0), (5.5, 60.0), (10.0, 38.0)]),
        ("0:98 5:30 10:20", [(0.0, 98.0), (5.0, 30.0), (10.0, 20.0)]),  # degrees, never seconds
        ("0:98 5m6s:60 10:38", [(0.0, 98.0), (5.1, 60.0), (10.0, 38.0)]),
    ],
)
def test_halves_and_commas(text: str, meant: list[tuple[float, float]]) -> None:
    if text.count(",") > 4:  # three numbers between colons can be cut in two ways
        _, faults = read(text)
        assert "60.0 degrees then minute 10, or 60 degrees then minute 0.10" in faults[0]
    else:
        assert taken(text) == meant


def test_the_unit_is_the_displays_where_none_is_said() -> None:
    assert taken("0:208 5:140 10:100", "us")[1] == (5.0, 60.0)
    assert taken("0:98 5:60 10:38 degC", "us") == THREE


@pytest.mark.parametrize(
    ("text", "units", "said"),
    [
        (
            "0:208 5:140 10:100",
            "metric",
            "reading 1: 0:208: hotter than wort can boil, but 208 degF is 97.8 °C",
        ),
        ("0:98 5:60 10:38", "us", "98 degF is 36.7 °C; is it 98 degC?"),
        ("0:98 5:600 10:38", "metric", "reading 2: 5:600: hotter than wort can boil"),
        ("5:30:60 6:50", "metric", "reading 1: 5:30:60: a colon too many"),
        ("0:98 5: 10:38", "metric", "a colon too many"),
        ("0:98,5,5:60", "metric", "can be 98.5 degrees then minute 5, or 98 degrees then minute 5.5"),
        ("0:98 5:60 4:50", "metric", "reading 3: 4:50: earlier than the reading before"),
        ("0:98 5:60 5:50", "metric", "reading 3: 5:50: the same minute twice"),
        ("0:98", "metric", "a single reading tells of no cooling"),
        ("0:98 5:abc", "metric", "reading 2: 5:abc: the temperature is not a number"),
        ("0:98 5:60 x:38", "metric", "reading 3: x:38: the time is not in minutes"),
        ("0:98C 5:60F", "metric", "two units"),
        ("0:98 5:98 10:97", "metric", "the wort hardly falls"),
        ("0:98 5:60 2000:20", "metric", "more than a day"),
        ("0:40 5:30 10:20", "metric", "the hottest reading, the chill begins at 98 °C"),
        ("0:98 " * 5000, "metric", "too long"),
    ],
)
def test_what_is_no_reading_is_said_with_its_place(text: str, units: str, said: str) -> None:
    log, faults = read(text, units)
    assert log is None and len(faults) == 1 and said in faults[0]
    assert faults[0].startswith("points: ") and "allowed: " in faults[0]


def test_the_second_of_two_lines_is_named() -> None:
    faults: list[InputFault] = []
    read_log("0:98 5:x", Expected(), faults, 2)
    assert str(faults[0]).startswith("points 2: reading 2: 5:x:")


def test_how_finely_they_were_read() -> None:
    """Whole minutes and whole degrees are known to a half; Fahrenheit's degrees are smaller."""
    six, us = read(SIX)[0], read("0:208 5m30:140 10:100 F")[0]
    assert six is not None and us is not None
    assert (six.clock, six.thermometer) == (60.0, 1.0)
    assert us.clock == 30.0 and us.thermometer == pytest.approx(1.0 / 1.8)
    assert (six.name, six.place, six.volume) == (SIX, "coil", None)


def test_a_long_line_is_named_by_its_ends() -> None:
    line = " ".join(f"{m}:{98 - 2 * m}" for m in range(40))
    assert short(line).startswith("0:98 1:96") and short(line).endswith("39:20") and len(short(line)) <= 50


@pytest.mark.parametrize("name", ["log.csv", "C:/logs/batch.csv", "2026-11-29.csv", "5:60.csv/x", "a 0:98"])
def test_a_file_is_no_line_of_readings(name: str) -> None:
    assert looks_like_points(name) == name.startswith("5:")


NUMBERS = st.integers(0, 40).flatmap(lambda n: st.sampled_from([str(n), f"{n}.5", f"{n},5", f"{n}m30"]))
LINES = st.lists(
    st.one_of(
        NUMBERS, st.sampled_from([":", " ", ",", ";", "C", "degF", "98", "min", "-", "é", "\N{MINUS SIGN}"])
    ),
    max_size=20,
).map("".join)


@settings(max_examples=count(200, 5000), deadline=None)
@example("0:")
@example(":98")
@given(st.one_of(LINES, st.text(max_size=20).map(lambda t: f"0:98 {t}")))
def test_whatever_is_typed_is_read_or_refused(text: str) -> None:
    faults: list[InputFault] = []
    log = read_log(f"0:98 5:60 {text}", Expected(), faults)
    assert (log is None) == bool(faults)
    for fault in faults:
        assert fault.reason and "\n" not in str(fault)
    if log is not None:
        assert log.time.size >= 2 and (log.time[1:] > log.time[:-1]).all() and log.time[0] >= 0.0
        assert 271.0 < log.wort.min() <= log.wort.max() < 379.0


@settings(max_examples=count(100, 2000), deadline=None)
@given(
    st.lists(st.integers(1, 120), min_size=2, max_size=12, unique=True).map(sorted),
    st.sampled_from([" ", ",", ", ", ";", " ; "]),
    st.sampled_from(["", " degC", "C"]),
)
def test_what_was_written_down_comes_back(minutes: list[int], between: str, unit: str) -> None:
    """Readings that fall by a tenth of the way each time, and the tap far below."""
    pairs = [(0, 98), *((m, round(20 + 78 * 0.7 ** (n + 1))) for n, m in enumerate(minutes))]
    text = between.join(f"{m}:{T}" for m, T in pairs) + unit
    got = taken(text)
    assert got == [(float(m), float(T)) for m, T in pairs][: len(got)]
    assert len(got) >= min(len(pairs), 6)


@pytest.mark.parametrize(
    ("text", "units", "said"),
    [
        ("0:98 5:60 10:38 15:28 20:23", "us", "reading 4: 15:28: colder than ice water in degF, and all"),
        ("98:0 60:5 38:10", "metric", "reading 1: 98:0: degrees stand before minutes: minutes come first"),
        ("0:00:98 5:00:60", "metric", "a colon too many: are they minutes and seconds?"),
        ("0 98 5 60 10 38", "metric", "no colon between them"),
        ("0=98 5=60 10=38", "metric", "no colon between them"),
        ("0 - 98, 5 - 60", "metric", "no colon between them"),
        ("1h:98", "metric", "reading 1: 1h:98: the time is not in minutes"),
        ("0:30 5:60 10:98", "metric", "30 °C, at last 98 °C: the wort gets warmer: no chill"),
        ("0:98", "metric", "3 readings or more"),
        ("0:98 5:60", "metric", "3 readings or more"),
    ],
)
def test_what_wet_hands_write_is_told_for_what_it_is(text: str, units: str, said: str) -> None:
    log, faults = read(text, units)
    assert log is None and len(faults) == 1 and faults[0].startswith("points: ") and said in faults[0]


def test_halves_as_they_are_written() -> None:
    assert taken("0:98 5½:60 10½:38") == [(0.0, 98.0), (5.5, 60.0), (10.5, 38.0)]
    assert taken("0:98 ½:90 1¼:80½") == [(0.0, 98.0), (0.5, 90.0), (1.25, 80.5)]


@pytest.mark.parametrize(
    "name", ["2026-11-28", "12 batches.csv", "3.csv", "12", "0 98 5 60.csv", "5 pots/1 2"]
)
def test_names_of_files_are_none(name: str) -> None:
    assert not looks_like_points(name)
