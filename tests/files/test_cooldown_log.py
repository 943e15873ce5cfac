"""Logs of all kinds, good and bad: each is read as it is meant, or refused with its place."""

from __future__ import annotations

import math
import random
import resource
import time
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from where import ROOT

from optichill.errors import InputFault
from optichill.files.log.checks import Expected
from optichill.files.log.table import read_log
from optichill.model.cooldown_log import CooldownLog

COLD, HALF = 12.0, 330.0


def cooled(t: float) -> float:
    """Wort after t seconds of water [degC], by Newton's law of cooling: half of it gone every 5.5 minutes."""
    return COLD + 86.0 * 0.5 ** (t / HALF)


def table(rows: Iterable[tuple[float, float]], head: str = "time_s,wort_degC") -> str:
    return head + "\n" + "".join(f"{t:g},{T:.2f}\n" for t, T in rows)


EVERY_10 = [(float(t), cooled(t)) for t in range(0, 1500, 10)]
GOOD = table(EVERY_10)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "log.csv"


def read(path: Path, text: str | bytes | None = None, **of: float) -> tuple[CooldownLog | None, list[str]]:
    if text is not None:
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    faults: list[InputFault] = []
    expected = Expected(coldest=of.get("coldest", COLD + 273.15), holds=bool(of.get("holds")))
    found = read_log(str(path), expected, faults)
    assert (found is None) == bool(faults)
    return found, [str(f).replace(f"{path.parent}/", "") for f in faults]


def taken(path: Path, text: str | bytes, **of: float) -> CooldownLog:
    found, faults = read(path, text, **of)
    assert found is not None, faults
    return found


def degrees(log: CooldownLog) -> list[float]:
    return [round(T - 273.15, 2) for T in log.wort.tolist()]


def test_a_plain_log(log: Path) -> None:
    found = taken(log, GOOD)
    assert found.time.tolist() == [t for t, _ in EVERY_10]
    assert degrees(found) == pytest.approx([T for _, T in EVERY_10], abs=0.011)
    assert (found.clock, found.thermometer, found.remarks, found.outlet) == (10.0, 0.1, (), None)


SAME = [98.5, 60.25, 38.1]
AS_WRITTEN = {
    "commas": "time_min,wort_degC\n0,98.5\n5.5,60.25\n10,38.1\n",
    "semicolons": "time_min;wort_degC\n0;98,5\n5,5;60,25\n10;38,1\n",
    "semicolons and points": "time_min;wort_degC\n0;98.5\n5.5;60.25\n10;38.1\n",
    "tabs": "time_min\twort_degC\n0\t98,5\n5,5\t60,25\n10\t38,1\n",
    "three decimals": "time_min;wort_degC\n0;98,500\n5,5;60,250\n10;38,100\n",
    "quoted": 'time_min,wort_degC\n0,"98,5"\n"5,5","60,25"\n10,"38,1"\n',
    "CRLF, BOM and blank rows": "\ufefftime_min,wort_degC\r\n\r\n0,98.5\r\n5.5,60.25\r\n,\r\n10,38.1\r\n",
    "remarks": "# from the kitchen\n\ntime_min,wort_degC\n0,98.5\n# steam\n5.5,60.25\n10,38.1\n",
    "names with brackets": "Time (min),Wort [°C]\n0,98.5\n5.5,60.25\n10,38.1\n",
    "other columns": "note,wort_degC,time_min,lid\nhot,98.5,0,off\n,60.25,5.5,\ncold,38.1,10,\n",
    "Fahrenheit": "time_min,wort_degF\n0,209.3\n5.5,140.45\n10,100.58\n",
    "seconds": "time_s,wort_degC\n0,98.5\n330,60.25\n600,38.1\n",
    "clock": "clock,wort_degC\n18:00:00,98.5\n18:05:30,60.25\n18:10:00,38.1\n",
    "clock over midnight": "clock,wort_degC\n23:55:00,98.5\n00:00:30,60.25\n00:05:00,38.1\n",
    "clock of noon": "clock,wort_degC\n11:55:00 AM,98.5\n12:00:30 pm,60.25\n12:05:00 PM,38.1\n",
    "ISO": "clock,wort_degC\n2026-11-28T23:55:00Z,98.5\n"
    "2026-11-29T00:00:30Z,60.25\n2026-11-29T00:05:00Z,38.1\n",
    "ISO, the clock put back": "clock,wort_degC\n2026-10-25T02:55:00+02:00,98.5\n"
    "2026-10-25T02:00:30+01:00,60.25\n2026-10-25T02:05:00+01:00,38.1\n",
    "two times": "clock,time_min,wort_degC\n18:00,0,98.5\n18:05,5.5,60.25\n18:10,10,38.1\n",
    "cut short": "time_min,wort_degC\n0,98.5\n5.5,60.25\n10,38.1\n1",
}


@pytest.mark.parametrize("kind", AS_WRITTEN)
def test_the_same_log_in_many_hands(log: Path, kind: str) -> None:
    found = taken(log, AS_WRITTEN[kind])
    assert found.time.tolist() == [0.0, 330.0, 600.0]
    assert degrees(found) == pytest.approx(SAME, abs=0.011)
    said = {
        "semicolons": "semicolons between cells and commas",
        "tabs": "tabs between cells",
        "other columns": "columns that are not read: note, lid",
        "names with brackets": "Wort [°C] as wort_degC",
        "two times": "clock is not",
        "cut short": "the last row, which is not whole",
        "CRLF, BOM and blank rows": "",
    }.get(kind, "")
    assert said in " ".join(found.remarks)


BAD = {
    "empty": ("", "log.csv: file: empty"),
    "blank": ("\n \n", "log.csv: file: empty"),
    "header only": ("time_s,wort_degC\n", "log.csv: wort_degC: no reading"),
    "one row": ("time_s,wort_degC\n0,98\n", "a single reading tells of no cooling"),
    "time backwards": (
        "time_s,wort_degC\n0,98\n60,90\n50,80\n",
        "log.csv:4: time_s: 50: earlier than line 3",
    ),
    "clock backwards": (
        "clock,wort_degC\n18:10,98\n18:05,60\n",
        "log.csv:3: clock: 18:05: earlier than line 2",
    ),
    "time twice": (
        "time_s,wort_degC\n0,98\n60,90\n60,80\n99,70\n",
        "log.csv:4: time_s: 60: the time of line 3 again",
    ),
    "Fahrenheit as Celsius": (
        "time_min,wort_degC\n0,208\n5,140\n10,100\n",
        "log.csv:2: wort_degC: 208: hotter than wort can boil, but 208 degF is 97.8 °C: is it degF? "
        "(allowed: wort_degF in the header)",
    ),
    "Celsius as Fahrenheit": (
        "time_min,wort_degF\n0,98\n5,60\n10,38\n",
        "98 degF is 36.7 °C; is it 98 degC?",
    ),
    "two signs": (
        "time_min;wort_degC\n0;98,5\n5;60.2\n",
        "log.csv:3: wort_degC: 60.2: a point, but line 2 has 98,5",
    ),
    "thousands": ('time_s,wort_degC\n0,98\n"1,200",20\n', "log.csv:3: time_s: 1,200: can be 1.2 or 1200"),
    "text": ("time_min,wort_degC\n0,98\n5,hot\n", "log.csv:3: wort_degC: hot: not a number"),
    "unit in the cell": ("time_min,wort_degC\n0,98 C\n5,60 C\n", "log.csv:2: wort_degC: 98 C: not a number"),
    "infinite": ("time_min,wort_degC\n0,98\n5,1e999\n", "log.csv:3: wort_degC: 1e999: not a finite number"),
    "no units": (
        "time,wort\n0,98\n5,60\n",
        "log.csv:1: wort: its unit is missing or not known (allowed: wort_degC",
    ),
    "no time": ("wort_degC,lid\n98,on\n", "log.csv:1: time: the column is missing"),
    "no wort": ("time_s,beer\n0,98\n", "log.csv:1: wort: the column is missing"),
    "three worts": ("time_s,wort_degC,wort_degC,wort_degF\n0,9,9,9\n", "wort stands in 3 columns"),
    "one column": (
        "wort_degC\n98\n",
        "log.csv:1: header: wort_degC: one column: no time with its temperature",
    ),
    "ragged": ("time_s,wort_degC\n0\n60,90\n90,80\n", "log.csv:2: row: 1 cells, the header has 2"),
    "too many cells": ("time_s,wort_degC\n0,98,5\n60,90\n", "log.csv:2: row: 3 cells, the header has 2"),
    "open quote": ('time_s,wort_degC\n0,"98\n60,90\n', "not a CSV row"),
    "not UTF-8": ("time_min,wort_°C\n0,98\n".encode("latin-1"), "log.csv:1: file: "),
    "UTF-16": ("time_min,wort_degC\n0,98\n".encode("utf-16"), "log.csv:1: file: written as UTF-16"),
    "null": ("time_min,wort_degC\n0,9\x008\n", "log.csv:2: file: holds a null character"),
    "one endless line": ("x" * 9000, "not the line of a table"),
    "more than a day": ("time_min,wort_degC\n0,98\n5,60\n2000,20\n", "33.3 h: more than a day"),
    "no such time": ("clock,wort_degC\n25:00,98\n", "log.csv:2: clock: 25:00: no such time of day"),
    "no such day": ("clock,wort_degC\n2026-02-30T10:00,98\n", "no such day"),
    "level": ("time_s,wort_degC\n0,98\n100,98\n200,97\n300,98\n", "the wort hardly falls"),
    "cold": ("time_min,wort_degC\n0,30\n5,25\n10,20\n", "the hottest reading, the chill begins at 98 °C"),
    "flow": (
        "time_s,wort_degC,flow_L_min\n0,98,900\n60,80,8\n",
        "log.csv:2: flow_L_min: 900: no flow of a hose",
    ),
    "stirred": (
        "time_s,wort_degC,stirred\n0,98,maybe\n60,80,no\n",
        "log.csv:2: stirred: maybe: neither yes nor no",
    ),
    "outlet": ("time_s,wort_degC,outlet_degC\n0,98,180\n60,80,60\n", "outlet_degC: 180: hotter"),
}


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_log_is_refused_with_its_place(log: Path, kind: str) -> None:
    text, said = BAD[kind]
    _, faults = read(log, text)
    assert said in " | ".join(faults) and all("\n" not in fault for fault in faults)


def test_other_files_are_no_logs(tmp_path: Path) -> None:
    for path, said in (
        (ROOT / "catalogs" / "brewhouse.toml", "a brewhouse or coil file, not a cool-down log"),
        (ROOT / "catalogs" / "tubing.csv", "time: the column is missing"),
        (tmp_path, "Is a directory"),
        (tmp_path / "none.csv", 'not found (allowed: a CSV file with time and wort; or --points "0:98'),
        (Path("/dev/zero"), "not a file but a pipe or a device"),
        (Path("a" * 3000), "cannot be read"),
    ):
        found, faults = read(path)
        assert found is None and said in faults[0]


def test_many_faults_are_not_all_kept(log: Path) -> None:
    _, faults = read(log, "time_s,wort_degC\n" + "x,y\n" * 5000)
    assert 50 < len(faults) < 1000


# --- what is left out, and said -----------------------------------------------------------------------------


def test_readings_before_the_water_ran(log: Path) -> None:
    """Five minutes at the top, heating up and wandering as a boil does: time counts from where it falls."""
    before = [(float(t), 95.0 + 0.03 * min(t, 100) + 0.4 * math.sin(t)) for t in range(0, 300, 10)]
    found = taken(log, table([*before, *((t + 300.0, T) for t, T in EVERY_10)]))
    assert abs(found.time.size - len(EVERY_10)) <= 3 and found.time[0] == 0.0
    off = [T - cooled(t) for t, T in zip(found.time.tolist(), degrees(found), strict=True)]
    assert max(map(abs, off)) < 6.0 and "the first 5 min left out" in found.remarks[0]


@pytest.mark.parametrize("pace", [0.0, -0.002, 0.005], ids=["level", "by the kettle's own loss", "warms"])
def test_readings_after_the_water_was_shut(log: Path, pace: float) -> None:
    end = cooled(900.0)
    after = [(t, end + pace * (t - 900.0)) for t in range(900, 1800, 10)]
    found = taken(log, table([*((t, T) for t, T in EVERY_10 if t < 900.0), *after]))
    assert abs(found.time[-1] - 900.0) <= 60.0
    assert "the water is taken to have been shut" in found.remarks[-1]


@pytest.mark.parametrize("noise", [0.0, 0.3])
@pytest.mark.parametrize("place", [COLD, COLD + 4.0], ids=["to the tap", "short of it"])
def test_a_chill_that_slows_by_itself_is_kept(log: Path, noise: float, place: float) -> None:
    """An exponential that has come near its end is no water shut, with noise or without."""
    draw = random.Random(4)
    rows = [(float(t), place + 86.0 * 0.5 ** (t / HALF) + draw.gauss(0.0, noise)) for t in range(0, 3600, 10)]
    found = taken(log, table(rows), coldest=COLD + 273.15)
    assert found.time[-1] > 2400.0 and found.time[0] == 0.0


def test_a_plan_that_lets_the_wort_stand_is_not_cut(log: Path) -> None:
    stand = [(t, cooled(200.0)) for t in np.arange(200.0, 1400.0, 10.0)]
    rows = [*((t, T) for t, T in EVERY_10 if t < 200.0), *stand]
    assert taken(log, table(rows), holds=1).time[-1] > 1300.0
    assert taken(log, table(rows)).time[-1] < 300.0


def test_six_points_with_the_water_late_and_shut(log: Path) -> None:
    rows = [(0, 98), (3, 98), (8, 60), (13, 38), (18, 30), (23, 30), (28, 30.5), (33, 31)]
    found = taken(log, table([(60.0 * t, T) for t, T in rows]))
    assert found.time.tolist() == [0.0, 300.0, 600.0, 900.0] and len(found.remarks) == 2


def test_a_flow_column_says_when_water_ran(log: Path) -> None:
    head = "time_s,wort_degC,flow_L_min,outlet_degC,inlet_degC,stirred"
    rows = [
        f"{t:g},{T:.2f},{8 if 100 <= t <= 900 else 0},{T - 5:.1f},12,{'yes' if t % 60 < 20 else 'no'}"
        for t, T in EVERY_10
    ]
    found = taken(log, "\n".join([head, *rows]))
    assert (found.time[0], found.time[-1]) == (0.0, 820.0)
    assert (
        found.flow is not None
        and found.outlet is not None
        and found.inlet is not None
        and found.stirred is not None
    )
    assert found.flow[5] == pytest.approx(8.0 / 6e4) and found.inlet[5] == pytest.approx(285.15)
    assert set(found.stirred.tolist()) == {0.0, 1.0}


@pytest.mark.parametrize(
    ("first", "T", "kept"),
    [(120.0, 98.0, False), (120.0, 80.0, True), (7200.0, 80.0, False), (10.0, 97.0, True)],
)
def test_from_when_minutes_count(log: Path, first: float, T: float, kept: bool) -> None:
    """A first reading as hot as the start, or hours late, is the water's beginning; another is not."""
    rows = [(first, T), (first + 300.0, 50.0), (first + 600.0, 30.0)]
    found = taken(log, table(rows))
    assert found.time[0] == (first if kept else 0.0)
    assert bool(found.remarks) != kept


def test_a_log_that_counts_down(log: Path) -> None:
    found = taken(log, table([(t - 100.0, 98.0 if t < 100.0 else cooled(t - 100.0)) for t, _ in EVERY_10]))
    assert found.time[0] == 0.0 and degrees(found)[0] == 98.0


def test_a_gap_is_said(log: Path) -> None:
    found = taken(log, table((t, T) for t, T in EVERY_10 if not 400.0 < t < 900.0))
    assert found.remarks == ("nothing was read from minute 7 to 15",)


def test_what_was_not_read_is_left_out(log: Path) -> None:
    cells = ["nan", "", "NaN", "n/a", "-"]
    rows = [f"{t:g},{cells[int(t // 10) % 5] if t % 50 == 10 else f'{T:.2f}'}" for t, T in EVERY_10]
    found = taken(log, "\n".join(["time_s,wort_degC", *rows]))
    assert found.time.size == 120 and "30 rows without a time or a temperature left out" in found.remarks


@pytest.mark.parametrize("slip", [850.0, -127.0])
def test_a_loose_wire_now_and_then_is_left_out(log: Path, slip: float) -> None:
    rows = [(t, slip if t == 500.0 else T) for t, T in EVERY_10]
    found = taken(log, table(rows))
    assert found.time.size == 149 and "line 52" in found.remarks[0]
    _, faults = read(log, table((t, slip if t % 50 == 0 else T) for t, T in EVERY_10))
    assert len(faults) == 30 and "log.csv:2: wort_degC" in faults[0]


def test_degrees_celsius_under_the_other_unit(log: Path) -> None:
    """26 and 21 degC, read as degF, are ice: the header is doubted, not each reading."""
    _, faults = read(log, "time_min,wort_degF\n0,98\n5,67\n10,47\n15,34\n20,26\n25,21\n")
    assert len(faults) == 1 and "log.csv:6: wort_degF: 26: colder than ice water in degF" in faults[0]
    assert "is it degC? (allowed: wort_degC in the header)" in faults[0]


# --- long ones ----------------------------------------------------------------------------------------------


def test_slips_of_a_dense_log_go_with_their_block(log: Path) -> None:
    """Ten readings a second: one in fifty 20 K off does not move the medians."""
    draw = random.Random(1)
    rows = [(n / 10.0, cooled(n / 10.0) + (20.0 if draw.random() < 0.02 else 0.0)) for n in range(12_000)]
    found = taken(log, table(((t, min(T, 104.0)) for t, T in rows)))
    off = [T - cooled(t) for t, T in zip(found.time.tolist(), degrees(found), strict=True)]
    assert found.time.size == 240 and max(map(abs, off)) < 0.6


def test_readings_that_share_their_minute(log: Path) -> None:
    rows = [f"18:{t // 60:02d},{cooled(float(t)):.2f}" for t in range(0, 1500, 2)]
    found = taken(log, "\n".join(["clock,wort_degC", *rows]))
    off = [T - cooled(t) for t, T in zip(found.time.tolist(), degrees(found), strict=True)]
    assert found.time.size == 25 and max(map(abs, off)) < 0.6 and found.clock == 60.0


@pytest.mark.slow
def test_a_million_rows(log: Path) -> None:
    """Under 5 s of this process, and in no more room than a short one."""
    with log.open("w") as file:
        file.write("time_s,wort_degC,outlet_degC\n")
        file.writelines(f"{n * 0.0018:.4f},{cooled(n * 0.0018):.2f},40.0\n" for n in range(1_000_000))
    read(log.with_name("short.csv"), GOOD)
    room, began = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
    found, faults = read(log)
    assert found is not None, faults
    assert time.process_time() - began < 5.0
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - room < 30_000  # kB
    assert found.time.size == 360


def test_a_log_too_large_is_not_read(log: Path) -> None:
    with log.open("wb") as file:
        file.truncate(100_000_001)
    assert "larger than 100 MB" in read(log)[1][0]
