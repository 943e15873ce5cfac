"""The committed sample of a trade-off page is what the example gives today."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from where import ROOT

from optichill.cli.main import run

SAMPLE = ROOT / "reports" / "sample"
pytestmark = [pytest.mark.marched, pytest.mark.slow]

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
    assert {p.name for p in folder.iterdir()} - {"index.json"} == {p.name for p in SAMPLE.iterdir()}
    for name in ("front.csv", "result.json", "tradeoff.html"):
        old, new = ((where / name).read_text(encoding="utf-8") for where in (SAMPLE, folder))
        if name == "result.json":
            old, new = (json.dumps({**json.loads(t), "versions": None}) for t in (old, new))
        elif name == "tradeoff.html":
            old, new = told(old), told(new)
        alike(old, new)
    assert (folder / "tradeoff.html").stat().st_size <= 1.5e6
