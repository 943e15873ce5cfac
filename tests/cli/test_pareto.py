"""The command `pareto`: its files, and that the committed sample is what it writes today."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
import small_stock
from where import ROOT

from optichill.cli.main import run

SAMPLE = ROOT / "reports" / "sample"


def written(folder: Path, out: Path, *more: str) -> tuple[int, Path]:
    status = run(["pareto", str(folder), "--out", str(out), *more])
    return status, out / "small-kettle"


def data_of(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.DOTALL)
    assert found is not None
    data: dict[str, Any] = json.loads(found[1])
    return data


def test_three_files_that_tell_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    house = small_stock.write(tmp_path / "house")
    status, folder = written(house, tmp_path / "out", "--seed", "3")
    assert status == 0
    said = capsys.readouterr().out
    assert all(name in said for name in ("tradeoff.html", "front.csv", "result.json"))
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


def test_same_input_same_bytes_whatever_the_order_of_the_lists(tmp_path: Path) -> None:
    house = small_stock.write(tmp_path / "a")
    turned = small_stock.lists()
    for rows in turned.values():
        rows.reverse()
    other = small_stock.write(tmp_path / "b", None, turned)
    first, second = (written(h, tmp_path / n)[1] for h, n in ((house, "one"), (other, "two")))
    for name in ("tradeoff.html", "front.csv"):
        assert (first / name).read_bytes() == (second / name).read_bytes()


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
    assert written(small_stock.write(tmp_path / "house"), tmp_path / "taken")[0] == status


@pytest.mark.slow
@pytest.mark.parametrize("demo", [".", "us", "wide", "stove"])
def test_the_pages_of_all_examples_are_small(tmp_path: Path, demo: str) -> None:
    """At most 1.5 MB, of which the script of the charts is 0.9 MB."""
    assert run(["pareto", str(ROOT / "catalogs" / demo), "--out", str(tmp_path)]) == 0
    (page,) = tmp_path.glob("*/tradeoff.html")
    assert page.stat().st_size <= 1.5e6


# --- the committed sample ----------------------------------------------------------------------------------

NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")


def alike(old: str, new: str) -> None:
    """The same words, and numbers within a millionth."""
    assert NUMBER.sub("#", old) == NUMBER.sub("#", new)
    before, after = ([float(x) for x in NUMBER.findall(text)] for text in (old, new))
    assert after == pytest.approx(before, rel=1e-6, abs=1e-9)


def told(page: str) -> str:
    """What a page says: no library script, no versions."""
    without = re.sub(r"<script>.*?</script>", "", page, flags=re.DOTALL)
    return re.sub(r"<[^>]*versions[^>]*>.*?</[a-z]+>", "", without, flags=re.DOTALL)


def test_the_sample_is_what_the_example_gives_today(tmp_path: Path) -> None:
    """Structure, text and numbers to a millionth. After a wanted change: optichill pareto catalogs --out
    reports, then move its folder to reports/sample."""
    assert run(["pareto", str(ROOT / "catalogs"), "--out", str(tmp_path)]) == 0
    (folder,) = tmp_path.iterdir()
    assert {p.name for p in folder.iterdir()} == {p.name for p in SAMPLE.iterdir()}
    for name in ("front.csv", "result.json", "tradeoff.html"):
        old, new = ((where / name).read_text(encoding="utf-8") for where in (SAMPLE, folder))
        if name == "result.json":
            old, new = (json.dumps({**json.loads(t), "versions": None}) for t in (old, new))
        elif name == "tradeoff.html":
            old, new = told(old), told(new)
        alike(old, new)
