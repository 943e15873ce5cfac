"""The command `pareto`: its files."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import math
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import small_stock
from where import ROOT

from optichill.cli.main import run


def written(folder: Path, out: Path, *more: str) -> tuple[int, Path]:
    status = run(["pareto", str(folder), "--out", str(out), *more])
    return status, out / "small-kettle"


@dataclass(frozen=True)
class Told:
    """The report on the small kettle, and what was said."""

    house: Path
    status: int
    folder: Path
    said: str


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    house, screen = small_stock.write(tmp_path_factory.mktemp("house")), io.StringIO()
    with contextlib.redirect_stdout(screen):
        status, folder = written(house, tmp_path_factory.mktemp("out"), "--seed", "3")
    return Told(house, status, folder, screen.getvalue())


def data_of(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.DOTALL)
    assert found is not None
    data: dict[str, Any] = json.loads(found[1])
    return data


def test_three_files_that_tell_the_same(told: Told) -> None:
    house, folder = told.house, told.folder
    assert told.status == 0
    assert all(name in told.said for name in ("tradeoff.html", "front.csv", "result.json"))
    result = json.loads((folder / "result.json").read_text(encoding="utf-8"))
    rows = list(csv.DictReader(io.StringIO((folder / "front.csv").read_text(encoding="utf-8"))))
    assert [row["id"] for row in rows] == result["front"]["id"] and len(rows) == result["search"]["front"]
    assert [float(row["cost"]) for row in rows] == pytest.approx(result["front"]["cost"])
    page = (folder / "tradeoff.html").read_text(encoding="utf-8")
    for row in rows:
        assert row["id"] in page
    assert result["seed"] == 3 and set(result["versions"]) >= {"optichill", "Python", "numpy"}
    assert result["inputs"]["brewhouse.toml"] == (house / "brewhouse.toml").read_text(encoding="utf-8")
    assert set(result["inputs"]) >= {"tubing.csv", "forms.csv", "fittings.csv"}
    assert result["designs"][0]["id"] == result["front"]["id"][result["front"]["rank"].index(1)]


@pytest.mark.afresh
def test_same_input_same_bytes_whatever_the_order_of_the_lists(told: Told, tmp_path: Path) -> None:
    turned = small_stock.lists()
    for rows in turned.values():
        rows.reverse()
    _, other = written(small_stock.write(tmp_path / "b", None, turned), tmp_path / "two")
    for name in ("tradeoff.html", "front.csv"):
        mine, its = (
            (folder / name)
            .read_text(encoding="utf-8")
            .replace(str(house), "")  # in the command to go on with
            for folder, house in ((told.folder, told.house), (other, tmp_path / "b"))
        )
        assert mine == its


def test_nothing_fits_still_writes_its_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    house = small_stock.write(tmp_path / "house", {"limits": {"chill_time": "1 min"}})
    status, folder = written(house, tmp_path / "out")
    assert status == 3 and "NO COIL FITS" in capsys.readouterr().out
    assert "No coil fits:" in (folder / "tradeoff.html").read_text(encoding="utf-8")
    assert json.loads((folder / "result.json").read_text(encoding="utf-8"))["designs"] == []


def test_text_that_a_spreadsheet_would_run_is_kept_from_it(tmp_path: Path) -> None:
    """Formulas as text, numbers as numbers; markup harmless in the page."""
    stock = small_stock.lists()
    evil = [
        '=HYPERLINK("http://example.invalid","x")',
        "+1+1",
        "-2+3",
        "@SUM(1)",
        "<script>alert(1)</script>",
    ]
    for row, text in zip(stock["tubing"], evil, strict=False):
        row["description"] = text
    stock["forms"][0]["description"] = "</script><b>" + "x" * 180
    house = small_stock.write(tmp_path / "house", {"name": "Small kettle"}, stock)
    _, folder = written(house, tmp_path / "out")
    rows = list(csv.DictReader(io.StringIO((folder / "front.csv").read_text(encoding="utf-8"))))
    assert any(row["tube"].startswith("'=") for row in rows)
    for row in rows:
        for name, cell in row.items():
            if cell and cell[0] in "=+-@":
                assert math.isfinite(float(cell)), (name, cell)
    page = (folder / "tradeoff.html").read_text(encoding="utf-8")
    assert "<script>alert(1)" not in page and "</script><b>" not in page


@pytest.mark.parametrize("status", [5])
def test_a_folder_that_cannot_be_written(tmp_path: Path, status: int) -> None:
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    house = small_stock.write(tmp_path / "house", {"limits": {"chill_time": "1 min"}})
    assert written(house, tmp_path / "taken")[0] == status


@pytest.mark.parametrize(
    "demo",
    [
        pytest.param("stove", marks=pytest.mark.slow),
        *(pytest.param(demo, marks=pytest.mark.long) for demo in ("us", "wide")),
    ],
)
def test_the_pages_of_all_examples_are_small(tmp_path: Path, demo: str) -> None:
    """At most 1.5 MB, of which the script of the charts is 0.9 MB."""
    assert run(["pareto", str(ROOT / "catalogs" / demo), "--out", str(tmp_path)]) == 0
    (page,) = tmp_path.glob("*/tradeoff.html")
    assert page.stat().st_size <= 1.5e6
