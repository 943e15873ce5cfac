"""The trade-off page in a real browser: two coils side by side, a view that is kept, what leaves the page."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

import pytest
import tradeoff_data
from browser import browser, complaints, requests
from tradeoff_hand import at_most, names, pick, rounded, settle, show, state, text_of

from optichill.report.tradeoff import charts
from optichill.report.tradeoff.page import page

__all__ = ["browser"]
DATA = tradeoff_data.data(60, 60)


def with_valves() -> dict[str, Any]:
    """The same with the first coil at two more settings of its valve: slower, and thriftier."""
    data = tradeoff_data.data(60, 60)
    first = data["designs"][0]
    for n, (words, slower, less) in enumerate([("half open", 1.2, 0.8), ("a quarter open", 1.5, 0.2)]):
        other = {**first, "id": f"valve{n}", "rank": None, "roles": [], "setting": f"valve {words}"}
        other |= {"time": first["time"] * slower, "water": first["water"] * less}
        data["designs"].insert(20 + n, other)
        data["details"][other["id"]] = tradeoff_data.detail(other)
    return data


VALVES = with_valves()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("kept")
    for name, data in (("plain", DATA), ("valves", VALVES)):
        (folder / f"{name}.html").write_text(page(data), encoding="utf-8")
    return folder


@pytest.fixture
def shown(browser: Any, folder: Path) -> Iterator[Any]:
    complaints(browser), requests(browser)
    show(browser, folder / "plain.html")
    yield browser
    assert complaints(browser) == []


def press(driver: Any, name: str) -> None:
    driver.execute_script("document.getElementById(arguments[0]).click()", name)
    settle(driver)


def saved(driver: Any, name: str) -> tuple[str, str]:
    """Name and text of what a button would put among the downloads."""
    return tuple(
        driver.execute_async_script(
            "const [name, done] = arguments, make = URL.createObjectURL;"
            "const click = HTMLAnchorElement.prototype.click;"
            "let blob; URL.createObjectURL = (b) => { blob = b; return make.call(URL, b); };"
            "HTMLAnchorElement.prototype.click = function () { URL.createObjectURL = make;"
            " HTMLAnchorElement.prototype.click = click;"
            " blob.text().then((text) => done([this.download, text])); };"
            "document.getElementById(name).click();",
            name,
        )
    )


# --- two side by side --------------------------------------------------------------------------------------


def test_two_coils_stand_side_by_side_to_one_scale_with_their_difference_in_words(shown: Any) -> None:
    one, other = DATA["designs"][0], DATA["designs"][4]
    press(shown, "pin")
    pick(shown, "short", 4)
    assert (state(shown, "chosen"), state(shown, "beside")) == (other["id"], one["id"])
    said = text_of(shown, "#against")
    gap = rounded(other["time"], 0) - rounded(one["time"], 0)
    assert f"{abs(gap):.0f} min {'slower' if gap > 0 else 'quicker'}" in said
    dear = rounded(other["cost"], 0) - rounded(one["cost"], 0)
    assert f"{abs(dear):.0f} EUR {'dearer' if dear > 0 else 'cheaper'}" in said
    scales = shown.execute_script(
        "return [...document.querySelectorAll('#drawing svg')].map((s) => s.dataset.k)"
    )
    assert len(scales) == 2 and scales[0] == scales[1]
    curves = shown.execute_script("return tradeoff.curve")
    assert [len(curves[name]) for name in ("chosen", "beside")] == [17, 17]
    lines = (
        "return [...document.querySelectorAll('#curve .cooling')].map((p) => p.getAttribute('d').length > 20)"
    )
    assert shown.execute_script(lines) == [True, True]
    rows = shown.execute_script(
        "return [...document.querySelectorAll('.pair tbody tr')]"
        ".map((r) => [...r.cells].map((c) => c.textContent))"
    )
    assert rows[0][1:] == [f"{rounded(d['time'], 0):.0f} min" for d in (other, one)]
    press(shown, "swap")
    assert (state(shown, "chosen"), state(shown, "beside")) == (one["id"], other["id"])
    press(shown, "unpin")
    assert state(shown, "beside") is None
    assert shown.execute_script("return document.querySelectorAll('#drawing svg').length") == 1


def test_likely_times_that_overlap_are_said_so(shown: Any) -> None:
    press(shown, "pin")
    first = DATA["designs"][0]
    for at, other in enumerate(DATA["designs"][:12]):
        pick(shown, "short", at)
        (a, b), (c, d) = first["span"], other["span"]
        overlap = a <= d and c <= b and rounded(first["time"], 0) != rounded(other["time"], 0)
        assert ("likely times overlap" in text_of(shown, "#against")) == (overlap and at > 0)


def test_the_settings_of_one_valve_are_one_mark_and_one_row(browser: Any, folder: Path) -> None:
    show(browser, folder / "valves.html")
    first = VALVES["designs"][0]
    assert text_of(browser, "#left") == "60 of 60 left"
    marks = browser.execute_script("return tradeoff.fields.map((f) => f.drawn().length)")
    assert marks == [60, 60]
    buttons = browser.execute_script(
        "return [...document.querySelectorAll('#settings button')].map((b) => b.textContent)"
    )
    assert [b.split(":")[0] for b in buttons] == ["fully open", "valve half open", "valve a quarter open"]
    browser.execute_script("document.querySelectorAll('#settings button')[2].click()")
    assert state(browser, "chosen") == "valve1"
    assert "valve a quarter open" in text_of(browser, "#c-what")
    assert "--coil valve1" in text_of(browser, "#sheet-command")
    # For water each setting counts: the line of steps has them, as Python's does.
    for key, pool in (("cost", VALVES["designs"]), ("water", VALVES["designs"])):
        pool = charts.firsts(pool) if key == "cost" else pool
        line = [d["id"] for d in charts.steps(pool, key)]
        assert browser.execute_script("return tradeoff.steps(arguments[0])", key) == line
    assert {"valve0", "valve1"} & set(line)
    # A limit that only a throttled setting holds leaves the coil, at that setting.
    at_most(browser, "water", str(int(rounded(first["water"] * 0.2, 0))))
    assert "valve1" in state(browser, "left") and first["id"] not in state(browser, "left")


# --- kept --------------------------------------------------------------------------------------------------


def test_the_view_is_in_the_address_and_reload_opens_the_same(shown: Any, folder: Path) -> None:
    press(shown, "pin")
    pick(shown, "short", 3)
    at_most(shown, "cost", "120")
    shown.execute_script("document.querySelector('[data-layout=\"2\"]').click()")
    shown.execute_script("document.querySelector('#all th[data-key=water] button').click()")
    settle(shown)
    before = [state(shown, name) for name in ("chosen", "beside", "left")], names(shown, "all")
    kept = parse_qs(shown.execute_script("return location.hash.slice(1)"))
    assert kept == {
        "coil": [DATA["designs"][3]["id"]],
        "beside": [DATA["designs"][0]["id"]],
        "cost": ["120"],
        "without": ["parallel"],
        "order": ["water"],
    }
    shown.refresh()
    settle(shown)
    assert ([state(shown, name) for name in ("chosen", "beside", "left")], names(shown, "all")) == before
    assert shown.execute_script("return document.querySelector('#most-cost').value") == "120"
    press(shown, "unpin")
    shown.execute_script("document.querySelector('#narrow [type=reset]').click()")
    settle(shown)
    assert "cost" not in shown.execute_script("return location.hash")


def test_another_address_in_the_same_window_is_followed(shown: Any) -> None:
    name = DATA["designs"][7]["id"]
    shown.execute_script("location.hash = arguments[0]", f"coil={name}&time=40")
    settle(shown)
    settle(shown)
    assert state(shown, "chosen") == name
    assert shown.execute_script("return document.querySelector('#most-time').value") == "40"


def test_a_view_that_names_what_is_not_here_says_so(browser: Any, folder: Path) -> None:
    browser.get("about:blank")
    browser.get(f"{(folder / 'plain.html').as_uri()}#coil=nobody&cost=abc&order=beauty&beside=__proto__")
    settle(browser)
    said = text_of(browser, "#done")
    assert "the coil nobody" in said and "the order beauty" in said and "the coil __proto__" in said
    assert state(browser, "chosen") == DATA["designs"][0]["id"]
    assert "Not a number" in text_of(browser, "#odd-cost")
    assert complaints(browser) == []


def test_a_saved_view_is_the_page_with_its_choice_inside(shown: Any, folder: Path) -> None:
    press(shown, "pin")
    pick(shown, "short", 2)
    at_most(shown, "cost", "150")
    name, text = saved(shown, "save-view")
    assert name.endswith(".html") and text.startswith("<!doctype html>")
    before = [state(shown, one) for one in ("chosen", "beside", "left")]
    (folder / "mailed.html").write_text(text, encoding="utf-8")
    shown.get((folder / "mailed.html").as_uri())
    settle(shown)
    assert [state(shown, one) for one in ("chosen", "beside", "left")] == before
    again = saved(shown, "save-view")[1]
    assert len(again) == pytest.approx(len(text), abs=200)  # it does not grow from copy to copy


# --- what leaves the page ----------------------------------------------------------------------------------


def test_what_is_left_goes_into_a_table(shown: Any) -> None:
    at_most(shown, "cost", "90")
    name, text = saved(shown, "export")
    assert name.endswith(".csv")
    rows = list(csv.reader(io.StringIO(text)))
    kept = [d for d in DATA["designs"] if rounded(d["cost"], 0) <= 90]
    assert rows[0][5:9] == ["time to chill, min", "cost, EUR", "water, L", "work, of 10"]
    assert [row[1] for row in rows[1:]] == [d["id"] for d in kept]
    assert [float(row[6]) for row in rows[1:]] == [rounded(d["cost"], 0) for d in kept]


def test_no_cell_runs_as_a_formula(browser: Any, folder: Path) -> None:
    data = tradeoff_data.hostile()
    (folder / "hostile.html").write_text(page(data), encoding="utf-8")
    show(browser, folder / "hostile.html")
    cells = [cell for row in csv.reader(io.StringIO(saved(browser, "export")[1])) for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@")]


def test_the_coil_file_and_the_command_are_those_of_the_chosen_coil(shown: Any) -> None:
    pick(shown, "short", 5)
    design = DATA["designs"][5]
    assert text_of(shown, "#sheet-command") == f"optichill sheet kettle.toml --coil {design['id']}"
    name, text = saved(shown, "save-coil")
    assert name == f"coil-{design['id']}.toml"
    assert text.splitlines() == DATA["details"][design["id"]]["file"]
    press(shown, "copy")
    settle(shown)
    assert text_of(shown, "#done") in ("Copied.", "Marked: copy it with the keyboard.")


def test_nothing_moves_while_one_chooses_and_narrows(shown: Any) -> None:
    """Cumulative layout shift, as web.dev defines it: at most 0.05."""
    shown.execute_script(
        "window.shift = 0; new PerformanceObserver((list) => {"
        " for (const e of list.getEntries()) window.shift += e.value; })"
        ".observe({type: 'layout-shift', buffered: true});"
    )
    for value in ("100", "60", "1", "80"):
        at_most(shown, "cost", value)
    for at in range(3):
        pick(shown, "short", at)
    assert shown.execute_script("return window.shift") <= 0.05


def test_a_coil_is_found_by_its_id_or_by_words(shown: Any) -> None:
    def seek(words: str) -> list[str]:
        shown.execute_script(
            "const f = document.getElementById('find'); f.value = arguments[0];"
            "f.dispatchEvent(new Event('input', {bubbles: true}));",
            words,
        )
        return names(shown, "all")

    design = DATA["designs"][33]
    assert seek(design["id"]) == [design["what"]]
    assert seek("TEES 8") == [
        d["what"] for d in DATA["designs"] if d["layout"] == "parallel" and "8" in d["id"] + d["what"]
    ]
    assert seek("no such coil") == [] and text_of(shown, "#where") == "none"
    press(shown, "find-row")
    assert DATA["designs"][0]["what"] in names(shown, "all")


def test_each_way_to_build_tells_its_best(shown: Any) -> None:
    said = shown.execute_script(
        "return [...document.querySelectorAll('#narrow fieldset label')].map((l) => l.innerText)"
    )
    for layout, words in zip(DATA["layouts"], said, strict=True):
        best = next(d for d in DATA["designs"] if d["layout"] == layout)
        assert f"best: {rounded(best['time'], 0):.0f} min, {rounded(best['cost'], 0):.0f} EUR" in words
