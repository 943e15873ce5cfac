"""The command `new-kettle`: its files, its errors, and that nothing is written over an input."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import click
import new_kettles as nk
import pytest
import small_calibration

from optichill.cli.new_kettle_command import command
from optichill.files import calibration_file
from optichill.files.coil_file import coil_text
from optichill.files.ownership import HEAD
from optichill.owned.new_kettle.option import NAMES

Run = Callable[..., Any]


@pytest.fixture
def houses(tmp_path: Path) -> Path:
    """Both kettles and the coil."""
    nk.house(tmp_path / "old", {})
    nk.house(tmp_path / "new", nk.CASES["narrow mouth"])
    (tmp_path / "coil.toml").write_text(coil_text(nk.coil_of(), demo=False), encoding="utf-8")
    return tmp_path


def asked(at: Path, *more: str) -> list[str]:
    coil = [] if "--coil" in more else ["--coil", str(at / "coil.toml")]
    return ["new-kettle", str(at / "old"), str(at / "new"), *coil, "--out", str(at / "out"), *more]


def digests(at: Path) -> dict[str, str]:
    files = [f for f in at.rglob("*") if f.is_file() and "out" not in f.relative_to(at).parts]
    return {str(f): hashlib.sha256(f.read_bytes()).hexdigest() for f in files}


class Tables(HTMLParser):
    """Rows of the tables in one section."""

    def __init__(self, section: str) -> None:
        super().__init__()
        self.section, self.inside, self.rows, self.open = section, False, [], []
        self.cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "section":
            self.inside = dict(attrs).get("id") == self.section
        if self.inside and tag == "tr":
            self.rows.append([])
        if self.inside and tag in ("td", "th"):
            self.cell = True
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        self.cell = self.cell and tag not in ("td", "th")
        self.inside = self.inside and tag != "section"

    def handle_data(self, data: str) -> None:
        if self.cell:
            self.rows[-1][-1] += data


def test_it_answers_and_writes(optichill: Run, houses: Path) -> None:
    """Screen, coil file, JSON and page, with one order of options; the page tells before and after at its
    head, and needs no script for it; the page of `pareto` has none."""
    before = digests(houses)
    done = optichill(
        *asked(houses, "--save-coil", str(houses / "out.toml"), "--json", str(houses / "out.json"))
    )
    assert done.status == 0 and "DO THIS" in done.out
    document = json.loads((houses / "out.json").read_text(encoding="utf-8"))
    assert document["schema_version"] and [o["name"] for o in document["options"]] == ["replace", "precool"]
    page = (houses / "out" / "new" / "tradeoff.html").read_text(encoding="utf-8")
    tables = Tables("before-and-after")
    tables.feed(page)
    told = [row[0] for row in tables.rows]
    assert told[1].startswith("today") and told[2:] == [o["title"] for o in document["options"]]
    for row, option in zip(tables.rows[2:], document["options"], strict=True):
        assert row[1].split()[0] == f"{option['prediction']['chill_time_p50_s'] / 60.0:.0f}"
    assert page.index('id="before-and-after"') < page.index('id="h-charts"')
    after = digests(houses)
    assert {name: after[name] for name in before} == before
    again = optichill("predict", str(houses / "new"), "--coil", str(houses / "out.toml"), "--json", "-")
    told_again = json.loads(again.out)["prediction"]
    assert told_again["chill_time_p50_s"] == pytest.approx(
        document["options"][0]["prediction"]["chill_time_p50_s"], rel=1e-4
    )
    alone = optichill("pareto", str(houses / "new"), "--out", str(houses / "out"))
    page = (houses / "out" / "new" / "tradeoff.html").read_text(encoding="utf-8")
    assert alone.status == 0 and 'id="before-and-after"' not in page


@pytest.mark.parametrize("name", ["old", "new"])
def test_faults_say_whose_they_are(optichill: Run, houses: Path, name: str) -> None:
    file = houses / name / "brewhouse.toml"
    file.write_text(file.read_text(encoding="utf-8").replace(' cm"', ' kg"'), encoding="utf-8")
    done = optichill(*asked(houses))
    assert done.status == 4 and not (houses / "out").exists()
    assert all(line.startswith(f"{name.upper()} ") for line in done.err.splitlines() if line.strip())


def test_faults_of_both_are_told_at_once(optichill: Run, houses: Path) -> None:
    done = optichill("new-kettle", str(houses / "a"), str(houses / "b"), "--coil", str(houses / "coil.toml"))
    assert done.status == 4
    assert re.search(r"^NEW .*b: .*not found", done.err, re.M) and re.search(
        r"^OLD .*a: .*not found", done.err, re.M
    )


@pytest.mark.parametrize(
    ("more", "status", "said"),
    [
        (("--coil", "nowhere.toml"), 4, "nowhere.toml"),
        (("--coil", ""), 4, "--coil: empty"),
        (("--option", "melt"), 2, "'keep', 'hang', 'stand'"),
        (("--save-coil", "{at}/new/tubing.csv"), 5, "never written over"),
        (("--save-coil", "{at}/old/brewhouse.toml"), 5, "never written over"),
        (("--save-coil", "{at}/coil.toml"), 5, "never written over"),
        (("--json", "{at}/old/forms.csv"), 5, "never written over"),
    ],
)
def test_bad_input_is_named_and_nothing_is_lost(
    optichill: Run, houses: Path, more: tuple[str, ...], status: int, said: str
) -> None:
    before = digests(houses)
    done = optichill(*asked(houses, *(text.format(at=houses) for text in more), "--force"))
    assert done.status == status and said in done.err, done.err
    assert digests(houses) == before


def test_one_kettle_in_place_of_two(optichill: Run, houses: Path) -> None:
    old, coil = str(houses / "old"), str(houses / "coil.toml")
    done = optichill("new-kettle", old, f"{old}/brewhouse.toml", "--coil", coil)
    assert done.status == 4 and done.err.startswith(f"NEW {old}/brewhouse.toml: the old kettle once more")


def test_an_option_that_does_not_apply(optichill: Run, houses: Path) -> None:
    """The answer is there all the same, with what the option lacks; its coil is not kept."""
    files = ("--save-coil", str(houses / "out.toml"), "--json", str(houses / "out.json"))
    done = optichill(*asked(houses, "--option", "keep", *files))
    said = " ".join(done.out.split())
    assert done.status == 3 and "DO THIS Build a new coil" in said and "1 a new coil instead" in said
    assert "ASKED FOR keep (as it is) does not apply: " in said and "25 cm" in said
    assert not (houses / "out.toml").exists() and "out.toml: not written: does not apply" in done.err
    assert json.loads((houses / "out.json").read_text(encoding="utf-8"))["options"]
    assert (houses / "out" / "new" / "tradeoff.html").exists()


def test_every_option_may_be_asked_for() -> None:
    taken = next(p for p in command.params if p.name == "option").type
    assert isinstance(taken, click.Choice) and tuple(taken.choices) == NAMES


@pytest.mark.parametrize("place", ["out", "out/new"])
def test_a_file_where_the_reports_go_is_refused_before_the_search(
    optichill: Run, houses: Path, place: str
) -> None:
    (houses / place).parent.mkdir(exist_ok=True)
    (houses / place).write_text("mine", encoding="utf-8")
    done = optichill(*asked(houses))
    assert done.status == 5 and "is no folder" in done.err and "Searching" not in done.err
    assert (houses / place).read_text(encoding="utf-8") == "mine"


def test_the_answer_is_said_also_where_the_page_cannot_be_written(optichill: Run, houses: Path) -> None:
    """A page that somebody changed is left as it is, and the search is not lost."""
    page = houses / "out" / "new" / "tradeoff.html"
    page.parent.mkdir(parents=True)
    page.write_text("mine", encoding="utf-8")
    done = optichill(*asked(houses, "--json", str(houses / "out.json")))
    assert done.status == 5 and "left as it is" in done.err and "DO THIS" in done.out
    assert json.loads((houses / "out.json").read_text(encoding="utf-8"))["options"]
    assert page.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("more", [(), ("--option", "keep")])
def test_where_nothing_applies_the_status_says_so(
    optichill: Run, houses: Path, more: tuple[str, ...]
) -> None:
    """Also where an option was asked for; each kettle is called by one word."""
    nk.house(
        houses / "new", {"kettle": {"inside_diameter": "12 cm", "inside_height": "15 cm"}, "volume": "1 L"}
    )
    done = optichill(*asked(houses, *more))
    assert done.status == 3 and "as it is: " in done.out and "recommend" in done.out.split("NEXT")[1]
    assert re.search(r"^OLD +old\b", done.out, re.M) and "Brewhouse:" not in done.out


def test_a_calibration_of_either_kettle_is_named(optichill: Run, houses: Path) -> None:
    law = calibration_file.document(small_calibration.fitted().calibration)
    (houses / "old" / "brewhouse.calibration.json").write_text(json.dumps(HEAD | law), encoding="utf-8")
    done = optichill(*asked(houses, "--json", str(houses / "told.json")))
    document = json.loads((houses / "told.json").read_text(encoding="utf-8"))
    assert done.status == 0 and document["calibrated_old"]["batches"] == 1
    assert document["calibrated"] is False
    assert f"CALIBRATED   {document['old']}: by 1 batch (brewhouse.calibration.json)" in done.out
