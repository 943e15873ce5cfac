"""The page of a calibration: what it draws is what was measured, whatever the words in it, on any screen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import kits
import numpy as np
import pytest
from browser import browser, complaints, requests, scriptless, sized
from small_calibration import fitted

from optichill.files.reading import load
from optichill.model.calibration import TANK
from optichill.owned.calibrate.fit import ADVICE, DOUBTS, Advice, Doubt, Fit, Learnt
from optichill.owned.calibrate.meaning import Meaning
from optichill.problem.basis import DesignBasis, design_basis
from optichill.rating.prediction import Span
from optichill.report import ranges
from optichill.report.calibration import charts, words
from optichill.report.calibration.page import page
from optichill.report.calibration.screen import doubt_lines, learnt_lines, means_lines, screen

__all__ = ["browser", "scriptless"]
HOSTILE = "</style><script>alert(1)</script>&\"'{{ 7 * 7 }}"


@pytest.fixture(scope="module")
def basis(tmp_path_factory: pytest.TempPathFactory) -> DesignBasis:
    return design_basis(load(kits.write_kit(tmp_path_factory.mktemp("kit"))))


@pytest.fixture(scope="module")
def inputs(tmp_path_factory: pytest.TempPathFactory) -> Any:
    return load(kits.write_kit(tmp_path_factory.mktemp("kit")))


def text_of(fit: Fit, basis: DesignBasis, inputs: Any) -> str:
    return page(fit, (), basis, inputs)


def test_marks_stand_where_the_readings_are() -> None:
    """Places in percent, taken back by the axes, are minutes and degrees; what is left is measured less
    fitted."""
    batch = fitted().batches[0]
    drawn = charts.chart(batch, "metric")
    end = float(batch.time[-1])
    (low, at_low), (high, at_high) = ((float(w), at) for at, w in (drawn["y_ticks"][0], drawn["y_ticks"][-1]))
    for mark, t, T in zip(drawn["marks"], batch.time, batch.measured, strict=True):
        assert mark["x"] == pytest.approx(100.0 * t / end, abs=0.01)
        degrees = low + (mark["y"] - at_low) * (high - low) / (at_high - at_low)
        assert degrees == pytest.approx(T - 273.15, abs=0.05)
    zero, per = drawn["zero"], drawn["off_ticks"]
    (one, at_one), (two, at_two) = ((float(w), at) for at, w in (per[0], per[-1]))
    for mark, off in zip(drawn["marks"], batch.measured - batch.fitted, strict=True):
        if mark["used"]:
            assert (mark["off"] - zero) * (two - one) / (at_two - at_one) == pytest.approx(off, abs=0.03)


def test_a_slip_has_a_shape_of_its_own(basis: DesignBasis, inputs: Any) -> None:
    whole = fitted()
    batch = whole.batches[0]
    slip = replace(batch, used=np.arange(batch.time.size) != 2)
    body = text_of(replace(whole, batches=(slip,)), basis, inputs)
    assert 'class="slip"' in body and "taken for a slip" in body
    assert "taken for a slip" not in text_of(whole, basis, inputs)
    assert body.count('class="measured"') == 1 + 2 * (batch.time.size - 1)  # the key, and both plots


def test_the_reading_that_the_fit_begins_with_is_drawn_too(basis: DesignBasis, inputs: Any) -> None:
    whole = fitted()
    batch = whole.batches[0]
    rest = replace(
        batch, time=batch.time[1:], measured=batch.measured[1:], fitted=batch.fitted[1:], used=batch.used[1:]
    )
    (begins,) = charts.chart(rest, "metric")["begins"]
    assert begins["x"] == 0.0 and charts.chart(batch, "metric")["begins"] == []
    first, *_ = charts.readings(rest, "metric")
    assert first == ("0", f"{batch.measured[0] - 273.15:.1f}", "", "where it begins")
    assert len(charts.readings(rest, "metric")) == len(charts.readings(batch, "metric"))
    assert all(
        row[3] != "-0.0" for row in charts.readings(replace(batch, fitted=batch.measured + 0.01), "us")
    )
    assert "wort beside the turns, °C" in text_of(whole, basis, inputs)
    assert "Measured from 98 °C to 16 °C in 25 min." in text_of(
        replace(whole, batches=(rest,)), basis, inputs
    )


def test_a_dense_log_is_drawn_in_part_and_says_so(basis: DesignBasis, inputs: Any) -> None:
    whole = fitted(readings=1000)
    body = text_of(whole, basis, inputs)
    assert "One reading in 7 is drawn." in body and len(body) < 150_000


def test_any_words_are_shown_and_not_obeyed(basis: DesignBasis, inputs: Any) -> None:
    whole = fitted(log=HOSTILE, coil=HOSTILE)
    body = text_of(replace(whole, doubts=(Doubt(HOSTILE, "coil", {"slower": 1.4}),)), basis, inputs)
    assert "<script" not in body and "alert(1)" in body and "{{ 7 * 7 }}" in body


def test_the_same_fit_gives_the_same_page(basis: DesignBasis, inputs: Any) -> None:
    assert text_of(fitted(), basis, inputs) == text_of(fitted(), basis, inputs)


# --- words --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", DOUBTS)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_doubt_has_words_with_all_its_figures(basis: DesignBasis, kind: str, units: str) -> None:
    """Each figure is in the words, in the reader's units: another figure, other words."""
    house = basis.restated(basis.brewhouse.model_copy(update={"units": units}))
    figures = {name: FIGURES[name] for name in DOUBTS[kind]}
    figures |= {"told": 290.0} if kind in ("start", "tap") else {}
    said = words.doubt(Doubt("log.csv", kind, figures), house)
    for name in figures:
        assert words.doubt(Doubt("log.csv", kind, figures | {name: 1.6 * figures[name]}), house) != said, name
    assert ("°C" in said or " K" in said or " L " in said or "L/min" in said) <= (units == "metric")


FIGURES = {
    "holds": 0.04, "times": 3.0,
    "told": 0.023, "likely": 0.03, "misses": 3.0, "expected": 1.0, "elsewhere": 1.0, "took": 600.0,
    "least": 900.0, "began": 350.0, "late": 240.0, "since": 1200.0, "at": 310.0, "inlet": 280.0,
    "first": 310.0, "read_as": 371.0, "outlet": 360.0, "wort": 350.0, "closure": 0.3, "error": 0.08,
    "slower": 1.4, "apart": 1.7, "from": 600.0, "until": 960.0, "read": 5e-5, "through": 1.2e-4,
    "hung": 1.25,  # a number of a place: the whole of it
}  # fmt: skip


def test_faster_and_slower_are_told_apart(basis: DesignBasis) -> None:
    slow, fast = (words.doubt(Doubt("x", "coil", {"slower": s}), basis) for s in (1.4, 1 / 1.3))
    assert "1.4 times as late" in slow and "more wort or less water than stated" in slow
    assert "1.3 times as early" in fast and "less wort than stated" in fast


@pytest.mark.parametrize("kind", ADVICE)
def test_every_advice_has_words(kind: str) -> None:
    said = words.advice(Advice(kind, 0.12, dict.fromkeys(ADVICE[kind], 720.0)), "metric")
    assert "12 % narrower" in said and ("minute 12" in said) == (kind == "reading")


@pytest.mark.parametrize(
    ("one", "metric", "us"),
    [
        (
            Learnt("speed", "", (0.018, 0.05, 0.14), (0.05, 0.08, 0.13), "m/s", True),
            "how fast your stirring moves the wort: 0.08 m/s, 0.05 to 0.13 (was 0.018 to 0.14)",
            "how fast your stirring moves the wort: 0.26 ft/s, 0.16 to 0.43 (was 0.059 to 0.46)",
        ),
        (
            Learnt("share", "", (0.13, 0.25, 0.42), (0.2, 0.25, 0.3), "", True),
            "how much of the time you stir: 25 % of it, 20 to 30 (was 13 to 42)",
            "how much of the time you stir: 25 % of it, 20 to 30 (was 13 to 42)",
        ),
        (
            Learnt("still", "", (0.61, 0.85, 1.19), (0.6, 0.68, 0.8), "", True),
            "film of still wort (how readily it gives heat to the tube): 0.80 times what was thought, "
            "0.71 to 0.94 (was 0.72 to 1.40)",
            "film of still wort (how readily it gives heat to the tube): 0.80 times what was thought, "
            "0.71 to 0.94 (was 0.72 to 1.40)",
        ),
        (
            Learnt("tap", "", (-0.64, 0.0, 0.64), (-1.7, -1.2, -0.6), "K", True),
            "temperature of the tap: -1.2 K from what you state, -1.7 to -0.6 (was -0.6 to 0.6)",
            "temperature of the tap: -2.2 °F from what you state, -3.1 to -1.1 (was -1.2 to 1.2)",
        ),
        (
            Learnt("fouling", "", (1.3e-5, 4e-5, 1.3e-4), (1e-5, 2e-5, 4e-5), "m2K/W", True),
            "dirt on the tube: 0.01 mm of sludge, 0.005 to 0.02 (was 0.0065 to 0.065)",
            "dirt on the tube: 0.00039 in of sludge, 0.0002 to 0.00079 (was 0.00026 to 0.0026)",
        ),
        (
            Learnt("own", "", (0.92, 1.0, 1.08), (1.0, 1.05, 1.1), "", True, "coil.toml"),
            "this coil as a whole (coil.toml): 1.05 times what was thought, 1.00 to 1.10 (was 0.92 to 1.08)",
            "this coil as a whole (coil.toml): 1.05 times what was thought, 1.00 to 1.10 (was 0.92 to 1.08)",
        ),
    ],
    ids=lambda one: one.name if isinstance(one, Learnt) else "",
)  # fmt: skip
def test_what_was_learnt_in_plain_words(one: Learnt, metric: str, us: str) -> None:
    assert (words.learnt(one, "metric"), words.learnt(one, "us")) == (metric, us)


def test_the_same_doubt_of_two_logs_is_said_once(basis: DesignBasis) -> None:
    doubts = tuple(Doubt(log, "coil", {"slower": 1.4}) for log in ("a.csv", "b.csv"))
    (said,) = doubt_lines(replace(fitted(), doubts=doubts), basis)
    assert said.startswith("a.csv, b.csv: its readings came 1.4 times")


def test_more_wort_than_the_kettle_holds_is_not_suggested(basis: DesignBasis) -> None:
    """The kit's kettle holds 40.7 L: pi/4 x 36 cm x 36 cm x 40 cm."""
    some, more = (Doubt("a.csv", "volume", {"told": 0.023, "likely": V}) for V in (0.030, 0.060))
    (said,) = doubt_lines(replace(fitted(), doubts=(some, more)), basis)
    assert "it cools as 30 L of wort would" in said


def test_every_range_before_and_now_stands_in_the_table(basis: DesignBasis, inputs: Any) -> None:
    """Also what a coil, a batch or a day had of its own; a wider range is no narrower one."""
    more = (
        Learnt("own", "", (0.92, 1.0, 1.08), (0.93, 1.01, 1.09), "", False, "coil.toml"),
        Learnt("mass", "", (0.88, 1.0, 1.13), (0.9, 1.0, 1.1), "", False, "log.csv"),
        Learnt("day", "", (0.73, 1.0, 1.38), (0.4, 0.5, 0.6), "", True, "log.csv"),
        Learnt(TANK, "", (0.9, 1.0, 1.11), (0.7, 1.0, 1.4), "", False),
        Learnt("still", "", (0.5, 1.0, 2.0), (2.0, 4.0, 8.0), "", True),
        Learnt("loss", "", (0.7, 1.0, 1.4), (0.53, 0.71, 0.95), "", False),
        Learnt("share", "", (0.13, 0.25, 0.42), (0.33, 0.5, 0.71), "", True),
    )
    rows = dict(re.findall(r'<th scope="row">([^<]*)</th>.*?<td data-of="range">([^<]*)</td>',
                           text_of(replace(fitted(), learnt=more), basis, inputs)))  # fmt: skip
    assert rows["this coil as a whole (coil.toml)"] == "as before"
    assert "wort in the kettle (log.csv)" in rows
    assert rows["how you stirred that day, against your usual (log.csv)"].endswith("% narrower")
    assert rows["your kettle as a whole"] == "wider"
    assert rows["the kettle&#39;s own loss"] == "16 % narrower" and rows["how much of the time you stir"] == (
        "another range"
    )
    assert "-" not in rows["film of still wort"]  # four times as much, and as wide in its logarithm


def _lasting(low: float, high: float) -> Any:
    """A chill that takes so many minutes."""
    span = Span(60.0 * low, 30.0 * (low + high), 60.0 * high)
    return SimpleNamespace(likely=SimpleNamespace(time=span), told=SimpleNamespace(time=span.p50))


def test_two_times_are_told_with_both_before() -> None:
    """A second coil's range is that of the first before anything was measured, and is written out."""
    before, after = (_lasting(low, high) for low, high in ((19.0, 33.0), (22.0, 29.3333333)))
    mine, second = means_lines(Meaning("coil.toml", before, after, after))
    told = ranges.time(before)
    assert mine.endswith(f"(before: {told})") and second.endswith(f"(before: {told})")
    same = Learnt("still", "", (0.61, 0.85, 1.19), (0.61, 0.85, 1.19), "", False)
    said = learnt_lines(replace(fitted(), learnt=(same,)), [Meaning("c", before, after, after)], "metric")
    # by hand: 1 - ln(28/21)/ln(33/19) = 0.48
    assert said[-1] == ("this coil's range is 48 % narrower, no single cause is told apart")


def test_nothing_learnt_is_said() -> None:
    same = Learnt("still", "", (0.61, 0.85, 1.19), (0.61, 0.85, 1.19), "", False)
    assert learnt_lines(replace(fitted(), learnt=(same,)), (), "metric") == [
        "nothing that was not known as well before"
    ]


def test_the_screen_names_slips_and_heads(basis: DesignBasis, inputs: Any) -> None:
    whole = fitted()
    slip = replace(whole.batches[0], used=np.arange(whole.batches[0].time.size) != 2)
    said = "\n".join(screen(replace(whole, batches=(slip,)), (), basis, inputs, ["nowhere"]))
    assert "the reading at minute 10 taken for a slip" in said and "KEPT         nowhere" in said


# --- in a browser -------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def shown(basis: DesignBasis, inputs: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    path = tmp_path_factory.mktemp("page") / "calibration.html"
    whole = fitted()
    long = fitted(readings=300, log="a-log-with-quite-a-long-name-2026-11-29.csv")
    doubts = (Doubt("log.csv", "coil", {"slower": 1.4}),)
    both = replace(whole, batches=(*whole.batches, *long.batches), doubts=doubts)
    path.write_text(text_of(both, basis, inputs), encoding="utf-8")
    yield path


LABELS = """return [...document.querySelectorAll('svg text')].map(t => t.getBoundingClientRect())
  .filter(r => r.width && (r.left < 0 || r.right > document.documentElement.clientWidth + 1)).length"""


@pytest.mark.slow
@pytest.mark.parametrize("width", [390, 760, 1200])
def test_nothing_is_cut_on_any_screen(browser: Any, shown: Path, width: int) -> None:
    sized(browser, width)
    browser.get(shown.as_uri())
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    assert browser.execute_script(LABELS) == 0
    assert not complaints(browser) and all(url.startswith("file:") for url in requests(browser))


def test_no_script_and_no_address_of_another(shown: Path) -> None:
    body = shown.read_text(encoding="utf-8")
    assert "<script" not in body and not re.search(r"(?:src|href)=|url\(", body)
