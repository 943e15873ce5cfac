"""Nothing breaks it: whatever stands in brewhouse, lists and coil file, a command ends with a status of the
contract, within 5 s, without a traceback, and every figure it shows is inside its own meaning.

Two kinds of change: values that stay well-formed and become extreme, so that many of them pass the checks
and are worked out; and text of any kind at any place: in brewhouse, lists, coil, log and calibration. A study
joins when there is one.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import re
import tempfile
import time
import traceback
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import kits
import pytest
import small_calibration
import small_stock
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.cli import main as cli
from optichill.errors import InputFault
from optichill.files.calibration_file import document
from optichill.files.log.checks import Expected
from optichill.files.log.table import read_log

STATUSES = {0, 2, 3, 4, 5}  # done, usage, nothing fits, bad input, could not write
LONGEST = 5.0  # s of this process, whatever else the machine does
pytestmark = pytest.mark.afresh  # a run that is timed works everything out

KNOWN: dict[str, str] = {}
"""What is known and not yet mended: a pattern of the finding, and why it is let pass. It may only shrink."""

PLAN = """
[[cooling]]
source = "tap"
until = "40 degC"
[[cooling]]
hold = "5 min"
[[cooling]]
source = "ice bath"
pump = "small"
water = "10 L"
ice = "6 kg"
bucket = "20 L"
lift = "80 cm"
return_under_water = false
"""
MORE = """
[workshop]
layouts = ["single", "nested", "parallel"]
smallest_gap = "5 mm"
headspace = "20 mm"
over_the_rim = "15 cm"
[limits]
chill_time = "30 min"
budget = 120
water = "300 L"
difficulty = "practised"
[wishes]
cost = { good = 50, acceptable = 120 }
chill_time = { good = "12 min", acceptable = "30 min" }
"""
KETTLE = """
wall_clearance = "30 mm"
floor_clearance = "25 mm"
top_clearance = "15 mm"
coil_rests = "feet"
part = [{ what = "well", where = "wall", height = "12 cm", size = "6 cm" }]

[wort]
gravity = "12 degP"
start_temperature = "98 degC"
target_temperature = "20 degC"
ambient_temperature = "20 degC"
mixing = "now and then"
"""
TAP = """
[tap]
static_pressure = "3 bar"
hose_bore = "12.5 mm"
hose_length = "10 m"
"""


def house(plan: str) -> str:
    """A brewhouse file with most of its keys."""
    text = kits.BREWHOUSE.replace("\n\n[wort]\n", KETTLE).replace("\n[tap]\n", TAP)
    return text + plan + MORE


FACTORS = st.sampled_from([0.0, -1.0, 1e-6, 1e-3, 0.1, 0.3, 0.7, 0.95, 1.05, 1.4, 3.0, 10.0, 1e3, 1e6, 1e30])
WORDS = st.sampled_from(
    ['""', "0", "-1", "1e999", "nan", "-inf", "true", "[]", "{}", '["5 L"]', '["4 L", "30 L"]', '"best"',
     '"unknown"', '"36"', '"36 cm', "2026-11-01", '"left alone"', '"0.1 m/s"', '"1/0 in"', '"3/8 in"', '"us"',
     '"floor"', '"hangs"', '"inside"', '"tap"', '"bucket"', '"precooled tap"', '"a" * 9', "9" * 400,
     '"\\u001b[31m"', "'''"]
)  # fmt: skip
ANY_TEXT = st.one_of(
    st.text(max_size=8),
    st.sampled_from(
        ["\n", "\r", "\t", "\0", "\ufeff", "[", "]]", "{", "#", ",", ";", '"', "\\", "=", "é", "𝟗"]
    ),
)
Edits = list[tuple[str, tuple[str, float, Any]]]
"""What is changed: a file, how, where and by what."""

PLACE = st.floats(0.0, 1.0, exclude_max=True)
CHANGE = st.one_of(
    st.tuples(st.just("scale"), PLACE, FACTORS),
    st.tuples(st.just("scale"), PLACE, FACTORS),
    st.tuples(st.just("value"), PLACE, WORDS),
    st.tuples(st.just("drop"), PLACE, st.just("")),
    st.tuples(st.just("twice"), PLACE, st.just("")),
    st.tuples(st.just("insert"), PLACE, ANY_TEXT),
)
_NUMBER = re.compile(r"(?<![\w/.-])[0-9]+(?:\.[0-9]+)?(?![\w/.-])")
_VALUE = re.compile(r"(?<== )[^\n]+|(?<=,)[^,\n]*(?=,)")


def changed(text: str, how: str, place: float, what: Any) -> str:
    """One change: a number scaled, a value or cell replaced, a line dropped or doubled, text put in."""
    if how in ("scale", "value"):
        spots = list((_NUMBER if how == "scale" else _VALUE).finditer(text))
        if not spots:
            return text
        spot = spots[int(place * len(spots))]
        new = f"{float(spot[0]) * what:.12f}".rstrip("0").rstrip(".") if how == "scale" else what
        return text[: spot.start()] + new + text[spot.end() :]
    if how == "insert":
        at = int(place * (len(text) + 1))
        return text[:at] + what + text[at:]
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    at = int(place * len(lines))
    lines[at : at + 1] = [] if how == "drop" else [lines[at], lines[at]]
    return "".join(lines)


def changes(*names: str) -> st.SearchStrategy[Edits]:
    """One to three changes, each of one of the files."""
    return st.lists(st.tuples(st.sampled_from(names), CHANGE), min_size=1, max_size=3)


# --- what may be shown ------------------------------------------------------------------------------------

_NO_FIGURE = re.compile(r"(?<![\w'/.-])[-+]?(?:nan|inf|NaN|Infinity)(?![\w'/.-])")
_NEGATIVE = re.compile(
    r"(?<![\w.,)-])[-\N{MINUS SIGN}][0-9][0-9.,/ ]*(?:mm|cm|m|in|ft|L|gal|kg|g|lb|s|min|h"
    r"|bar|psi|L/min|gal/min|turns|EUR|USD)\b"
)
_NOT_BELOW_0 = re.compile("_(m|m2|m3|s|kg|K|pa|m3_s|W_m2K)$")


def wrong_on_screen(text: str) -> Iterator[str]:
    """Figures without a value, and lengths, times, volumes, masses below 0."""
    for pattern in (_NO_FIGURE, _NEGATIVE):
        for found in pattern.finditer(text):
            yield f"screen: {text[max(0, found.start() - 40) : found.end() + 20]!r}"


def wrong_in_json(value: Any, key: str = "") -> Iterator[str]:
    """The same in a document: the suffix of a key says what its numbers mean."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from wrong_in_json(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from wrong_in_json(inner, key)
    elif isinstance(value, float | int) and not isinstance(value, bool):
        if not math.isfinite(value) or (value < 0.0 and _NOT_BELOW_0.search(key)):
            yield f"json: {key} = {value}"


def findings(*arguments: str | Path) -> list[str]:
    """What is wrong with one run of a command that writes JSON to standard output."""
    out, err = io.StringIO(), io.StringIO()
    began = time.process_time()
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = cli.run([str(a) for a in arguments])
    except Exception as error:
        (*_, last) = traceback.extract_tb(error.__traceback__)
        return [f"traceback: {type(error).__name__}: {error} in {Path(last.filename).name}:{last.lineno}"]
    found = [] if status in STATUSES else [f"status {status}: {err.getvalue()[-200:]}"]
    if (seconds := time.process_time() - began) > LONGEST:
        found.append(f"slow: {arguments[0]} took {seconds:.1f} s")
    if "Traceback" in err.getvalue():
        found.append(f"traceback: {err.getvalue()[-200:]}")
    if status == 4 and not err.getvalue().strip():
        found.append("bad input without a word")
    if status in (0, 3):
        found += [*wrong_on_screen(err.getvalue()), *wrong_in_json(json.loads(out.getvalue()))]
    return [text for text in found if not any(re.search(pattern, text) for pattern in KNOWN)]


@pytest.mark.parametrize(
    "text",
    ["accept -4 mm of free rim", "about -14 min", "a tube of -193 m", "time nan", "-inf L", "by −3 1/2 in"],
)
def test_a_wrong_figure_on_a_screen_is_found(text: str) -> None:
    assert list(wrong_on_screen(text))


@pytest.mark.parametrize(
    "text", ["room -5 °C", "2026-11-02", "cu-10 m", "a 0-5 mm gap", "inflow", "nano", "5 - 3 mm"]
)
def test_a_right_one_is_not(text: str) -> None:
    assert not list(wrong_on_screen(text))


def test_a_wrong_figure_in_json_is_found() -> None:
    assert (
        len([*wrong_in_json({"a": [{"length_m": -1.0, "time_s": math.inf, "margin": -1.0, "wort_K": 3}]})])
        == 2
    )


# --- the runs ---------------------------------------------------------------------------------------------


def checked(edits: Edits) -> list[str]:
    """`check` of the changed files."""
    texts = {**kits.FILES, "brewhouse.toml": house(PLAN)}
    for name, change in edits:
        texts[name] = changed(texts[name], *change)
    with tempfile.TemporaryDirectory() as folder:
        for name, text in texts.items():
            (Path(folder) / name).write_bytes(text.encode("utf-8", "surrogatepass"))
        return findings("check", folder, "--json", "-")


@settings(max_examples=count(60, 60), deadline=None)
@given(changes(*kits.FILES))
def test_check(edits: Edits) -> None:
    assert checked(edits) == []


@pytest.mark.slow
@settings(max_examples=count(250, 9000), deadline=None)
@given(changes(*kits.FILES))
def test_check_of_many(edits: Edits) -> None:
    assert checked(edits) == []


def worked(command: list[str], edits: Edits, plan: str, coil: str = kits.COIL) -> list[str]:
    """A command that works something out, of changed files beside one tube and two forms."""
    stock = small_stock.lists()
    stock["tubing"], stock["forms"] = stock["tubing"][:1], stock["forms"][:2]
    with tempfile.TemporaryDirectory() as name:
        folder = small_stock.write(Path(name), None, stock)
        (folder / "brewhouse.toml").write_text(house(plan), encoding="utf-8")
        (folder / "coil.toml").write_text(coil, encoding="utf-8")
        for file, change in edits:
            path = folder / file
            text = changed(path.read_text(encoding="utf-8"), *change)
            path.write_bytes(text.encode("utf-8", "surrogatepass"))
        out = ["--out", str(folder / "reports"), "--json", "-"]
        return findings(
            command[0], folder, *(a.replace("COIL", str(folder / "coil.toml")) for a in command[1:]), *out
        )


PLANS = st.sampled_from(["", "", PLAN, PLAN.replace('"40 degC"', '"best"')])
GIVEN_COIL = st.sampled_from([["predict", "--coil", "COIL"], ["sheet", "--coil", "COIL"]])


@pytest.mark.slow
@settings(max_examples=count(20, 500), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(changes("brewhouse.toml", "brewhouse.toml", "tubing.csv", "forms.csv"), PLANS)
def test_recommend(edits: Edits, plan: str) -> None:
    assert worked(["recommend", "--top", "1"], edits, plan) == []


@pytest.mark.slow
@settings(max_examples=count(30, 500), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(GIVEN_COIL, changes("coil.toml", "coil.toml", "brewhouse.toml"), PLANS)
def test_a_given_coil(command: list[str], edits: Edits, plan: str) -> None:
    assert worked(command, edits, plan) == []


# --- what was measured ------------------------------------------------------------------------------------

LOG = """\
time_min,wort_degC,outlet_degC,inlet_degC,flow_L_min,stirred
0,98,60,12,13,no
2,84,52,12,13,yes
4,72.5,44,12,13.2,no
6,63,39,,13,no
9,51,33,12,13,yes
12,42,28,12,13,no
16,33,24,12.1,13,no
21,26,20,12,13,no
"""
CLOCKED = """\
clock;wort_degF;lid
23:50;208,4;on
23:53;170;on
23:56;146,5;off
00:01;118;
00:06;98;
00:16;80;
"""
LOGS = st.sampled_from([LOG, CLOCKED])
LAW = json.dumps(document(small_calibration.fitted().calibration), indent=1)


@settings(max_examples=count(150, 9000), deadline=None)
@given(LOGS, st.lists(CHANGE, min_size=1, max_size=4))
def test_a_log(text: str, edits: list[tuple[str, float, Any]]) -> None:
    """It is read as a chill of wort, or refused with its place."""
    for change in edits:
        text = changed(text, *change)
    faults: list[InputFault] = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        log = read_log(str(path), Expected(), faults)
    assert (log is None) == bool(faults) and all(f.reason and "\n" not in str(f) for f in faults)
    if log is not None:
        assert log.time.size >= 2 and (log.time[1:] > log.time[:-1]).all()
        assert 271.0 < log.wort.min() and log.wort.max() < 379.0 and 0.0 <= log.time[-1] <= 86400.0
        assert log.clock > 0.0 and log.thermometer > 0.0


def measured(command: list[str], log: str, law: str, edits: Edits) -> list[str]:
    """A command of the small brewhouse with what was measured beside it, some of it changed."""
    texts = {**kits.FILES, "coil.toml": kits.COIL, "log.csv": log, "brewhouse.calibration.json": law}
    for name, change in edits:
        texts[name] = changed(texts[name], *change)
    with tempfile.TemporaryDirectory() as folder:
        for name, text in texts.items():
            if text:
                (Path(folder) / name).write_bytes(text.encode("utf-8", "surrogatepass"))
        files = (a.replace("IN", folder) for a in command[1:])
        return findings(command[0], folder, *files, "--out", f"{folder}/reports", "--json", "-")


@settings(max_examples=count(30, 3000), deadline=None)
@given(changes("brewhouse.calibration.json", "brewhouse.calibration.json", "brewhouse.toml"))
def test_check_with_a_calibration(edits: Edits) -> None:
    assert measured(["check"], "", LAW, edits) == []


@pytest.mark.slow
@settings(max_examples=count(12, 500), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(changes("brewhouse.calibration.json", "brewhouse.calibration.json", "brewhouse.toml"))
def test_predict_with_a_calibration(edits: Edits) -> None:
    assert measured(["predict", "--coil", "IN/coil.toml"], "", LAW, edits) == []


@pytest.mark.slow
@settings(max_examples=count(6, 300), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(LOGS, changes("log.csv", "log.csv", "coil.toml", "brewhouse.toml"))
def test_calibrate(log: str, edits: Edits) -> None:
    assert measured(["calibrate", "--coil", "IN/coil.toml", "--log", "IN/log.csv"], log, "", edits) == []
