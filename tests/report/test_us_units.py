"""A brewhouse in US units is answered in US units, wherever a person reads: no metric figure anywhere.

Only the CSV's times stay in seconds, and JSON is SI by contract.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import kits
import pdfplumber
import pytest
import small_stock
from hypothesis import given
from hypothesis import strategies as st

from optichill.cli import main as cli
from optichill.display import show
from optichill.errors import InputFaults
from optichill.files.reading import load, packaged
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import by_hand
from optichill.units import parse, plato

METRIC = re.compile(
    r"(?<![\w.])[0-9][0-9.,/ ]*[½⅓¼]?\s?"
    r"(?:mm|cm|m|L|mL|kg|g|bar|mbar|kPa|Pa|degC|°C|K|°P|degP|m/s|cm/s|L/min|L/h|m3)(?![\w²³'])"
)
HOUSE: dict[str, Any] = {
    "kettle": {
        "inside_diameter": "14 in",
        "inside_height": "16 in",
        "part": [{"what": "well", "where": "wall", "height": "4 in", "size": "2 in"}],
    },
    "wort": {"volume": "6 gal", "gravity": "1.050 SG", "mixing": "0.3 ft/s"},
    "tap": {"temperature": "55 degF", "open_flow": "5 gal in 90 s"},
}
# Every source of water, and a top-up; `check` reads it all.
PLAN = """
[[cooling]]
source = "precooled tap"
until = "100 degF"
water = "2 gal"
ice = "9 lb"
[cooling.precooler]
material = "copper"
outer_diameter = "3/8 in"
wall = "0.032 in"
mean_diameter = "9 in"
pitch = "1/2 in"
turns = 6
riser_length_in = "20 in"
riser_length_out = "14 in"
[[cooling]]
source = "bucket"
until = "80 degF"
pump = "small"
[[cooling]]
source = "ice bath"
pump = "small"
water = "2 gal"
ice = "9 lb"
return_under_water = false
"""


def metric_in(text: str) -> set[str]:
    return {text[max(0, m.start() - 40) : m.end()] for m in METRIC.finditer(text)}


def seen(file: Path) -> str:
    """What a person sees of a file."""
    if file.suffix == ".pdf":
        with pdfplumber.open(file) as pages:
            return "\n".join(page.extract_text() or "" for page in pages.pages)
    text = file.read_text(encoding="utf-8")
    if file.suffix == ".html":  # the data block of the page is what its script shows
        data = re.findall(r"(?s)<script[^>]*application/json[^>]*>(.*?)</script>", text)
        plain = re.sub(r"(?s)<(style|script).*?</\1>", "", text)
        # Lines of the coil file that a button saves: in millimetres, with inches beside them.
        shown = re.sub(r'"[a-z_]+ = \\"[^"]* mm\\"  # [0-9.]+ in[^"]*"', "", "".join(data))
        return unescape(re.sub("<[^>]*>", " ", plain)) + shown
    return text


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """All that is told of one small brewhouse, by command or file."""
    folder = tmp_path_factory.mktemp("us")
    stock = small_stock.lists()
    stock["tubing"] = stock["tubing"][:1]
    house = small_stock.write(folder / "house", {**HOUSE, "units": "us"}, stock)
    tight = small_stock.write(folder / "tight", {**HOUSE, "units": "us", "limits": {"water": "5 gal"}}, stock)
    out, coil = folder / "reports", folder / "coil.toml"
    runs = {
        "recommend": ["recommend", house, "--top", 2, "--save-coil", coil],
        "predict": ["predict", house, "--coil", coil],
        "sheet": ["sheet", house, "--coil", coil, "--paper", "letter"],
        "pareto": ["pareto", house],
        "nothing fits": ["recommend", tight],
    }
    told: dict[str, str] = {}
    for name, arguments in runs.items():
        with pytest.MonkeyPatch.context() as patch:
            screen = io.StringIO()
            patch.setattr("sys.stdout", screen)
            status = cli.run([str(a) for a in (*arguments, "--out", out)])
        assert status == (3 if name == "nothing fits" else 0), screen.getvalue()
        told[name] = screen.getvalue()
    files = [file for file in out.rglob("*") if file.suffix in (".html", ".pdf", ".csv")]
    assert len(files) == 4
    return told | {file.name: seen(file) for file in files}


@pytest.mark.slow
def test_nothing_is_said_in_metric_units(said: dict[str, str]) -> None:
    for name, text in said.items():
        assert len(text) > 200 and not metric_in(text), name


@pytest.mark.parametrize(
    "text",
    ["36 cm", "9.5 mm wall", "of 10 m", "24 L", "3 bar", "98 °C", "12 °P", "0.1 m/s", "8 L/min ", "2 kg."],
)
def test_the_search_finds_metric_units(text: str) -> None:
    assert metric_in(f"about {text}, and so on")


@pytest.mark.slow
def test_the_csv_names_its_units(said: dict[str, str]) -> None:
    rows = list(csv.DictReader(io.StringIO(said["front.csv"])))
    assert rows and not [name for name in rows[0] if name.endswith(("_m", "_m3"))]
    for row in rows:  # wound in a kettle of 14 in, from a roll of 10 m
        assert 5 < float(row["mean_diameter_in"]) < 14 and 10 < float(row["tube_length_ft"]) < 33
        assert 0 <= float(row["gap_in"]) < 2 and 1 < float(row["water_gal"]) < 500


def test_a_plan_and_its_faults_are_in_us_units(tmp_path: Path, optichill: Callable[..., Any]) -> None:
    text = f'units = "us"\n{kits.BREWHOUSE}{PLAN}'
    done = optichill("check", kits.write_kit(tmp_path, brewhouse=text))
    assert done.status == 0 and not metric_in(done.out), done.err
    for wrong in (
        text.replace('water = "2 gal"', 'water = "20 gal"'),
        text.replace('until = "80 degF"', 'until = "110 degF"'),
        text.replace('until = "100 degF"\n', ""),
        text.replace('pump = "small"\n', "", 1),
        text.replace('"23 L"', '"6.1 gal"').replace('"36 cm"', '"10 in"').replace('"40 cm"', '"10 in"'),
        text.replace('"12 degC"', '"300 degF"'),
        text.replace('"36 cm"', '"1 in"'),
        text.replace('"23 L"', '"23000 gal"'),
    ):
        assert wrong != text
        with pytest.raises(InputFaults) as caught:
            load(kits.write_kit(tmp_path, brewhouse=wrong))
        assert not metric_in(str(caught.value)), str(caught.value)


def test_a_measured_coil_is_told_off_in_us_units(tmp_path: Path) -> None:
    coil = tmp_path / "coil.toml"
    odd = '\noutside_across = "12 in"\noverall_height = "9 in"\nbought_length = "50 ft"\nweight = "19 lb"\n'
    coil.write_text(kits.COIL + odd, encoding="utf-8")
    said = load(kits.write_kit(tmp_path), coil, units="us").warnings
    assert len([text for text in said if "measure again" in text]) == 4
    assert not metric_in(" ".join(said)), said


def test_the_us_kit_describes_its_goods_in_us_units() -> None:
    for name in ("fittings.csv", "forms.csv", "tubing.csv"):
        rows = csv.DictReader(io.StringIO(packaged(f"us/{name}").read_text(encoding="utf-8")))
        assert not [row["description"] for row in rows if metric_in(row["description"])]


@given(st.floats(1.0, 1.129))
def test_a_gravity_is_shown_as_it_was_written(gravity: float) -> None:
    """From SG to degrees Plato (ASBC table by a cubic) and back is right to a point."""
    shown = show(float(plato(gravity)), "gravity", "us")
    assert parse(shown, "gravity") == pytest.approx(
        float(plato(gravity)), abs=0.132
    )  # half a point, 0.1295 degP at most, and the cubic there and back
    assert abs(float(shown.removesuffix(" SG")) - gravity) < 1.0001e-3


def test_a_speed_is_in_feet() -> None:
    assert show(0.3048, "speed", "us") == "1 ft/s"  # NIST SP 811


@given(st.floats(0.003, 2.9))
def test_a_size_is_the_same_on_screen_and_sheet(metres: float) -> None:
    """Coil, room and height are told by both: one rounding, to sixteenths."""
    assert by_hand.rough(metres, "us") == Sizes("us", 0.0).length(metres) == show(metres, "gap", "us")
