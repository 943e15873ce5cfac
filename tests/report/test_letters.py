"""Names in letters that the print has not: on paper a list's line and size, on the page the name itself."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
import small_stock

import optichill as oc
from optichill.errors import InputFaults
from optichill.model.fields import seen
from optichill.report.sheet.fonts import INSTEAD, lacking, printable

NAMES = {"CJK": "軟銅管", "Hebrew": "צינור", "Arabic": "أنبوب", "emoji": "🍺"}


@pytest.mark.parametrize("name", NAMES.values(), ids=list(NAMES))
def test_the_typeface_lacks_them_and_a_word_stands_in(name: str) -> None:
    assert lacking(name) and not lacking("Größe 10 × 1 mm, ½, Łódź, Δελφοί, ☐")
    assert printable(f"{name} 10 mm") == f"{INSTEAD} 10 mm"


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """Text of the PDF, and the page."""
    folder = tmp_path_factory.mktemp("letters")
    lists = small_stock.lists()
    for row in lists["tubing"]:
        row["description"] = NAMES["CJK"]
    for row in lists["forms"]:
        row["form_id"], row["description"] = f"鍋-{row['form_id']}", NAMES["Hebrew"]
    small_stock.write(folder, {"name": "ビール 🍺"}, lists)
    problem = oc.read(folder)
    best = oc.recommend(problem, top=1, tube="cu-10-10").best
    assert best is not None
    work = oc.plan_work(best, problem)
    pages = pdfplumber.open(work.save(folder / "sheet.pdf")).pages[:6]  # then come templates
    page = work.save(folder / "sheet.html").read_text(encoding="utf-8")
    return "\n".join(page.extract_text() for page in pages), page


def test_paper_names_the_line_of_the_list(sheets: tuple[str, str]) -> None:
    text, _ = sheets
    assert "forms.csv line " in text
    assert not any(name in text for name in NAMES.values()) and "\0" not in text
    assert INSTEAD not in " ".join(text.split())


def test_the_page_keeps_the_names(sheets: tuple[str, str]) -> None:
    _, page = sheets
    assert NAMES["Hebrew"] in page and "ビール 🍺" in page and "forms.csv line" not in page


def test_a_row_knows_its_line(tmp_path: Path) -> None:
    folder = tmp_path / "kit"
    folder.mkdir()
    small_stock.write(folder)
    text = next(folder.rglob("forms.csv")).read_text(encoding="utf-8").splitlines()
    for form in oc.read(folder).stock.forms:
        assert form.form_id in text[form.line - 1]


@pytest.mark.parametrize(("text", "count"), [("👨‍👩‍👧", 1), ("👍🏽", 1), ("pot", 3), ("e\u0301", 1), ("", 0)])
def test_what_is_joined_counts_as_one(text: str, count: int) -> None:
    assert seen(text) == count


def test_a_name_of_200_joined_emoji_is_taken_and_of_201_is_not(tmp_path: Path) -> None:
    family = "👨‍👩‍👧"
    small_stock.write(tmp_path, {"name": 200 * family})
    assert oc.read(tmp_path).brewhouse.name == 200 * family
    small_stock.write(tmp_path, {"name": 201 * family})
    with pytest.raises(InputFaults, match="longer than 200 characters"):
        oc.read(tmp_path)
