"""The sample that lies in reports/sample, and the three pictures that README opens with, made by the program.

    PYTHONPATH=tests .venv/bin/python tests/sample.py

makes all of it again (a Chromium and pdftoppm are needed for the two that are photographs). Beside each
picture stands what it shows, as text or as a fingerprint of it: tests compare that with what the program
gives, never pixels.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re
import shutil
import subprocess
import tempfile
from html import escape, unescape
from pathlib import Path

from where import ROOT

import optichill as oc
from optichill.cli.main import run
from optichill.files.reading import packaged

SAMPLE = ROOT / "reports" / "sample"
PAGE_FILES = ("front.csv", "result.json", "tradeoff.html")
SHEET, PICTURES = "sheet.pdf", ("screen.svg", "page.png", "sheet.png")
BEHIND = "pictures.json"
COLUMNS = 80


def screen() -> str:
    """What `optichill recommend` says of the example, at 80 columns."""
    here = Path.cwd()
    os.chdir(packaged("brewhouse.toml").parent)
    try:
        return "\n".join(oc.recommend(oc.read(None)).lines(COLUMNS))
    finally:
        os.chdir(here)


def drawn(text: str) -> str:
    """A terminal's text as a picture: nothing but lines of text in it, and no address outside."""
    lines, step, left = text.split("\n"), 17, 14
    body = "\n".join(
        f'<text x="{left}" y="{30 + step * i}" xml:space="preserve">{escape(line, quote=False)}</text>'
        for i, line in enumerate(lines)
    )
    width, height = left * 2 + COLUMNS * 8, 34 + step * len(lines)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'role="img" aria-label="What optichill recommend says of the example kettle">\n'
        f'<rect width="{width}" height="{height}" rx="6" fill="#1d2529"/>\n'
        f'<g font-family="ui-monospace, Consolas, Liberation Mono, monospace" font-size="13" '
        f'fill="#e6ecef">\n'
        f"{body}\n</g></svg>\n"
    )


def read_back(svg: str) -> str:
    """The text that was drawn."""
    return "\n".join(unescape(line) for line in re.findall(r"<text[^>]*>(.*?)</text>", svg))


def told(page: str) -> str:
    """What a page says: neither its script nor versions."""
    without = re.sub(r"<script>.*?</script>|<style>.*?</style>", "", page, flags=re.DOTALL)
    return re.sub(r"<h2>Made with</h2>\s*<p>.*?</p>", "", without, flags=re.DOTALL)


def first_page(pdf: Path) -> str:
    """The words of a sheet's first page."""
    import pdfplumber

    with pdfplumber.open(pdf) as read:
        return str(read.pages[0].extract_text())


def fingerprint(text: str) -> str:
    """Of words and of numbers to four digits: machines differ in the last."""
    rounded = re.sub(r"\d+\.\d+", lambda m: f"{float(m[0]):.4g}", text)
    return hashlib.sha256(rounded.encode()).hexdigest()


def make() -> None:
    """All of reports/sample again."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        assert run(["pareto", str(ROOT / "catalogs"), "--out", made]) == 0
        (report,) = folder.iterdir()
        for name in PAGE_FILES:
            shutil.copy(report / name, SAMPLE / name)
        assert run(["sheet", str(ROOT / "catalogs"), "--rank", "1", "--out", str(folder / "sheet")]) == 0
        (pdf,) = (folder / "sheet").rglob("*.pdf")
        shutil.copy(pdf, SAMPLE / SHEET)
        (SAMPLE / "screen.svg").write_text(drawn(screen()), encoding="utf-8")
        photographed(SAMPLE / "tradeoff.html", SAMPLE / "page.png")
        picture = ["pdftoppm", "-r", "70", "-png", "-singlefile", str(SAMPLE / SHEET), str(folder / "one")]
        subprocess.run(picture, check=True)
        shutil.copy(folder / "one.png", SAMPLE / "sheet.png")
    page = (SAMPLE / "tradeoff.html").read_text(encoding="utf-8")
    shows = {"page.png": told(page), "sheet.png": first_page(SAMPLE / SHEET)}
    behind = {
        name: {
            "shows": fingerprint(words),
            "picture": hashlib.sha256((SAMPLE / name).read_bytes()).hexdigest(),
        }
        for name, words in shows.items()
    }
    (SAMPLE / BEHIND).write_text(json.dumps(behind, indent=1) + "\n", encoding="utf-8")


def photographed(page: Path, picture: Path) -> None:
    """The upper part of a page as a browser shows it."""
    from browser import chromium, sized

    with chromium() as driver:
        sized(driver, 1280, 1400)
        driver.get(page.as_uri())
        shot = driver.execute_cdp_cmd("Page.captureScreenshot", {"format": "png"})
        picture.write_bytes(base64.b64decode(shot["data"]))


if __name__ == "__main__":
    make()
