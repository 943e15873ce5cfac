"""The committed sample, and the pictures that README opens with, are what the example gives today."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

import pytest
import sample
from where import ROOT

from optichill.cli.main import run

SAMPLE = sample.SAMPLE
pytestmark = [pytest.mark.marched, pytest.mark.slow]

NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")


def alike(old: str, new: str) -> None:
    """The same words, and numbers within a millionth."""
    assert NUMBER.sub("#", old) == NUMBER.sub("#", new)
    before, after = ([float(x) for x in NUMBER.findall(text)] for text in (old, new))
    assert after == pytest.approx(before, rel=1e-6, abs=1e-9)


def test_the_sample_is_what_the_example_gives_today(tmp_path: Path) -> None:
    """Structure, text and numbers to a millionth. After a wanted change: the command of tests/sample.py."""
    assert run(["pareto", str(ROOT / "catalogs"), "--out", str(tmp_path)]) == 0
    (folder,) = tmp_path.iterdir()
    assert {p.name for p in folder.iterdir()} - {"index.json"} == set(sample.PAGE_FILES)
    for name in sample.PAGE_FILES:
        old, new = ((where / name).read_text(encoding="utf-8") for where in (SAMPLE, folder))
        if name == "result.json":
            old, new = (json.dumps({**json.loads(t), "versions": None}) for t in (old, new))
        elif name == "tradeoff.html":
            old, new = sample.told(old), sample.told(new)
        alike(old, new)
    assert (folder / "tradeoff.html").stat().st_size <= 1e6


def test_the_picture_of_the_screen_is_what_it_says_today() -> None:
    svg = (SAMPLE / "screen.svg").read_text(encoding="utf-8")
    assert sample.read_back(svg) == sample.screen()
    assert re.findall(r"\bhref|https?://(?!www\.w3\.org/2000/svg)|<script|<image", svg) == []


def test_the_sheet_in_the_sample_is_today_s(tmp_path: Path) -> None:
    assert run(["sheet", str(ROOT / "catalogs"), "--rank", "1", "--out", str(tmp_path)]) == 0
    (made,) = tmp_path.rglob("*.pdf")
    assert sample.first_page(made) == sample.first_page(SAMPLE / sample.SHEET)


def test_the_photographs_are_of_what_lies_beside_them() -> None:
    """Each picture's own fingerprint, and that of the words of the file which it is a picture of."""
    behind = json.loads((SAMPLE / sample.BEHIND).read_text(encoding="utf-8"))
    page = (SAMPLE / "tradeoff.html").read_text(encoding="utf-8")
    shows = {"page.png": sample.told(page), "sheet.png": sample.first_page(SAMPLE / sample.SHEET)}
    for name, words in shows.items():
        picture = hashlib.sha256((SAMPLE / name).read_bytes()).hexdigest()
        assert behind[name] == {"shows": sample.fingerprint(words), "picture": picture}


def test_readme_opens_with_the_pictures_and_they_are_small() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"!\[[^\]]{20,}\]\((reports/sample/[^)]+)\)", readme.split("## Your own kettle")[0])
    assert [Path(name).name for name in shown] == list(sample.PICTURES)
    assert all((ROOT / name).stat().st_size < 400_000 for name in shown)
