"""The build sheet as it is printed: measured in the finished PDF, and read out of it and of the page."""

from __future__ import annotations

import io
import itertools
import math
import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pytest
import small_stock
from browser import browser, sized
from filed import tube_off
from own_coil import SIZES, own_bench, two_layers
from pdfminer.layout import LTChar, LTLine
from tiers import count

from optichill.display import INCH
from optichill.fabrication.obstacles import obstacles
from optichill.fabrication.scene import scene_of
from optichill.fabrication.work_plan import WorkPlan, plan_work
from optichill.files.coil_file import as_written
from optichill.files.reading import load, packaged
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.report import ranges
from optichill.report.sheet import marks, measure, otherwise
from optichill.report.sheet.card import brew_day, cautions
from optichill.report.sheet.content import sheet
from optichill.report.sheet.document import Card, Figure, Figures, Points, Sheet, Steps, Table, Text
from optichill.report.sheet.html import html
from optichill.report.sheet.paper.sizes import MM, PENS
from optichill.report.sheet.pdf import pdf
from optichill.report.sheet.sizes import Sizes
from optichill.report.words.by_hand import rough
from optichill.search.designs import as_coil
from optichill.search.recommend import recommend

__all__ = ["browser"]

PAGES = {"a4": (595.2756, 841.8898), "letter": (612.0, 792.0)}  # ISO 216; ANSI/ASME Y14.1
LEGS = ("riser_length_in", "riser_length_out")
CASES: dict[str, dict[str, Any]] = {
    "single": {},
    "touching": {"pitch": 0.010, "turns": 10.0, "riser_length_out": 0.46},
    "nested": {"layout": "nested", **two_layers(0.2682, 0.1932, turns=5.0), **dict.fromkeys(LEGS, 0.50)},
    "parallel": {"layout": "parallel", **two_layers(0.2682, 0.1932), "riser_length_out": 0.46},
    "kinked": {"mean_diameter": 0.040},
    "short riser": {"riser_length_in": 0.30},
    "no height for bends": {"turns": 22.0},
}


def words_and_lines(page: Any) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """What pdfplumber finds on a page, of each letter and line only what is asked of it here."""
    height = float(page.height)
    letters = [
        {"text": o.get_text(), "x0": o.x0, "x1": o.x1, "top": height - o.y1, "doctop": height - o.y1,
         "bottom": height - o.y0, "upright": o.upright}
        for o in page.layout if isinstance(o, LTChar)
    ]  # fmt: skip
    keys = ("x0", "x1", "y0", "y1", "linewidth")
    lines = [{key: getattr(o, key) for key in keys} for o in page.layout if isinstance(o, LTLine)]
    return pdfplumber.utils.extract_words(letters), lines


class Made:
    """One coil's sheet with its PDF read back."""

    def __init__(self, plan: WorkPlan, content: Sheet) -> None:
        self.plan, self.content = plan, content
        self.sizes = Sizes(content.units, plan.step)
        self.bytes = pdf(content, self.sizes.length)
        with pdfplumber.open(io.BytesIO(self.bytes)) as file:
            self.pages = [page for page in file.pages]
            self.words, self.lines = zip(*map(words_and_lines, file.pages), strict=True)
        self.text = " ".join(w["text"] for words in self.words for w in words)
        self.page = html(content, "sheet.pdf")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Made]:
    known: dict[Any, Made] = {}

    def make(case: str, units: str = "metric", paper: str = "a4") -> Made:
        key = case, units, paper
        if key not in known:
            house = {"units": units, "workshop": {"layouts": ["single", "nested", "parallel"]}}
            b, inputs = own_bench(tmp_path_factory.mktemp("sheet"), house, **CASES[case])
            known[key] = Made(b, sheet(b, inputs, paper))
        return known[key]

    return make


BUILDABLE = ("single", "touching", "nested", "parallel")
IN_INCHES = ("single",)
"""Of these the sheet in inches is read in every run, of the others at the gate."""
RARE = ("touching", "parallel")
"""And of these in the long run: each has one of its kind in the gate."""


def gate(case: str, units: str) -> tuple[pytest.MarkDecorator, ...]:
    if units == "metric" or case in IN_INCHES:
        return ()
    return (pytest.mark.long if case in RARE else pytest.mark.slow,)


ALL = [
    pytest.param(case, units, paper, marks=gate(case, units))
    for case in CASES
    for units, paper in (("metric", "a4"), ("us", "letter"))
]
every = pytest.mark.parametrize(("case", "units", "paper"), ALL)
marked = pytest.mark.parametrize(
    ("case", "units"),
    [pytest.param(c, u, marks=gate(c, u)) for c, u in itertools.product(BUILDABLE, ("metric", "us"))],
)


# --- the PDF, measured ------------------------------------------------------------------------------------


@every
def test_every_page_is_the_paper_asked_for(made: Any, case: str, units: str, paper: str) -> None:
    size = sorted(PAGES[paper])
    for page in made(case, units, paper).pages:
        assert sorted((float(page.width), float(page.height))) == pytest.approx(size, abs=1e-3)


@every
def test_no_text_is_cut_or_printed_over_another(made: Any, case: str, units: str, paper: str) -> None:
    no_text_is_cut_or_over_another(made(case, units, paper))


def no_text_is_cut_or_over_another(m: Made) -> None:
    """Every word inside the margins, and no two on top of each other."""
    for page, words in zip(m.pages, m.words, strict=True):
        box = np.array([[w["x0"], w["x1"], w["top"], w["bottom"]] for w in words])
        inside = (box[:, 0] > 20.0) & (box[:, 1] < page.width - 20.0)
        inside &= (box[:, 2] > 20.0) & (box[:, 3] < page.height - 20.0)
        assert inside.all(), [w["text"] for w, good in zip(words, inside, strict=True) if not good]
        wide = np.minimum(box[:, None, 1], box[:, 1]) - np.maximum(box[:, None, 0], box[:, 0])
        high = np.minimum(box[:, None, 3], box[:, 3]) - np.maximum(box[:, None, 2], box[:, 2])
        over = np.argwhere(np.triu((wide > 0.5) & (high > 2.0), k=1))
        assert not over.size, [(page.page_number, words[i]["text"], words[j]["text"]) for i, j in over]


@pytest.mark.parametrize("case", ["single", "nested", "parallel"])
def test_templates_measure_what_they_say(made: Any, case: str) -> None:
    """Check bar 100.0 mm; spacing and lead angle of the lines from the PDF's own vectors."""
    m = made(case)
    papers = [p for p in m.content.papers if p.title.startswith("Wrap")]
    assert len(papers) == len(m.plan.layers)
    for paper, layer in zip(papers, m.plan.layers, strict=True):
        pages = [n for n, page in enumerate(m.pages) if _title(m, n).startswith(paper.title + " Sheet")]
        assert pages
        for n in pages:
            bar = [line for line in m.lines[n] if _pen(line, "bar") and _flat(line)]
            assert [line["x1"] - line["x0"] for line in bar] == pytest.approx([100.0 * MM], abs=0.01 * MM)
            middle = [line for line in m.lines[n] if _pen(line, "centre")]
            slopes = [layer.hand * _climb(line) / (line["x1"] - line["x0"]) for line in middle]
            whole = [s for s, x in zip(slopes, middle, strict=True) if x["x1"] - x["x0"] > 50.0]
            rise, width = layer.k * layer.pitch, math.pi * layer.D_form
            assert whole == pytest.approx([layer.hand * rise / width] * len(whole), abs=0.1 / 1e3 / width)
            # The height at which the lines pass the page's middle, from line to line.
            x = 0.5 * (min(line["x0"] for line in middle) + max(line["x1"] for line in middle))
            start = _low if layer.hand > 0 else _high
            at = sorted(start(line) + s * (x - line["x0"]) for line, s in zip(middle, slopes, strict=True))
            steps = [(b - a) / MM / 1e3 for a, b in itertools.pairwise(at)]
            assert steps == pytest.approx([rise] * len(steps), abs=1e-4)


def _title(m: Made, page: int) -> str:
    return " ".join(w["text"] for w in m.words[page][:8])


def _pen(line: dict[str, Any], name: str) -> bool:
    return bool(abs(line["linewidth"] - PENS[name]) < 1e-6)


def _flat(line: dict[str, Any]) -> bool:
    return bool(abs(line["y1"] - line["y0"]) < 1e-6)


def _low(line: dict[str, Any]) -> float:
    return float(min(line["y0"], line["y1"]))


def _high(line: dict[str, Any]) -> float:
    return float(max(line["y0"], line["y1"]))


def _climb(line: dict[str, Any]) -> float:
    return float(abs(line["y1"] - line["y0"]))


@marked
def test_the_pdf_holds_every_mark_of_both_tables(made: Any, case: str, units: str) -> None:
    m = made(case, units, "letter" if units == "us" else "a4")
    for piece in m.plan.pieces:
        rounded = m.sizes.rounded(piece.marks)
        for end in rounded.ends:
            assert m.sizes.mark(end) in m.text
        for table in (marks.main_table(m.plan, piece, m.sizes), marks.full_table(m.plan, piece, m.sizes)):
            for row in table.rows:
                assert " ".join(" ".join(row).split()) in m.text


def test_the_same_sheet_is_the_same_bytes(made: Any) -> None:
    m = made("nested")
    assert pdf(m.content, m.sizes.length) == m.bytes
    assert html(m.content, "sheet.pdf") == m.page


def test_stops_head_the_first_page(made: Any) -> None:
    for case in ("kinked", "short riser", "no height for bends"):
        m = made(case)
        first = [w["text"] for w in m.words[0]]
        assert first[:2] == ["NOT", "BUILDABLE"]
        assert len(m.content.stops) == len(obstacles(m.plan)) > 0
        whole = "".join(m.text.split())
        for reason in m.content.stops:
            assert "".join(reason.split()) in whole
            assert reason in unescaped(m.page)
        assert "Chills to" not in m.content.lead
        # Nothing to buy, to wind or to brew with.
        assert "TOTAL" not in m.text and "BREW DAY" not in m.text and not m.content.papers
        assert not list(_steps(m.content))
    assert "NOT BUILDABLE" not in made("single").text


# --- what it says -----------------------------------------------------------------------------------------


def numbers(text: str, units: str) -> list[float]:
    """All lengths of a text [m]."""
    if units == "metric":
        return [float(x) / 1e3 for x in re.findall(r"(-?[0-9.]+) mm", text)]
    found = []
    for feet, whole, n, d in re.findall(r"(?:(\d+) ft )?(?:(\d+) )?(?:(\d+)/(\d+) )?in\b", text):
        value = 12.0 * float(feet or 0) + float(whole or 0) + (float(n) / float(d) if n else 0.0)
        found.append(value * INCH)
    return found


@marked
def test_printed_pieces_add_up_to_the_printed_cut_length(made: Any, case: str, units: str) -> None:
    m = made(case, units, "letter" if units == "us" else "a4")
    for piece in m.plan.pieces:
        for table, column in (
            (marks.main_table(m.plan, piece, m.sizes), 2),
            (marks.full_table(m.plan, piece, m.sizes), 1),
        ):
            lengths = [numbers(row[column], units)[0] for row in table.rows]
            assert sum(lengths[:-1]) == pytest.approx(lengths[-1], abs=1e-6)
            assert lengths[-1] == pytest.approx(piece.marks.cut_length, abs=m.sizes.step / 2 + 1e-9)
            ends = [numbers(row[column - 1], units)[0] for row in table.rows]
            assert ends[:-1] == pytest.approx(list(itertools.accumulate(lengths[:-1])), abs=1e-6)


@marked
def test_printed_tolerances_keep_the_limits(made: Any, case: str, units: str) -> None:
    """Planned as printed, plus what it may be off as printed, is no more than planned and allowed in truth;
    and what the limits leave of room is not given twice."""
    m = made(case, units, "letter" if units == "us" else "a4")
    rows = {row[0]: row for row in measure.finished(m.plan, m.sizes).rows}
    outer, placement = m.plan.layers[0], m.plan.placement
    wanted = {
        "across the turns, outside": (outer.diameter + 0.010, 2 * measure.room(m.plan, "wall")),
        "turns, lowest underside to top": (
            float(placement.top[0] - placement.lowest[0]) + 0.010,
            measure.room(m.plan, "submergence"),
        ),
    }
    for name, (planned, room) in wanted.items():
        allowed = min(max(room, measure.LEAST_OFF), measure.SPRING_OFF)
        springs = outer.relaxed(outer.k_low) - outer.diameter if name.startswith("across") else 0.0
        told, off = numbers(rows[name][1], units)[0], numbers(rows[name][2], units)
        assert (
            told + (off[0] if len(off) > 1 or "±" in rows[name][2] else 0.0)
            <= planned + max(allowed, springs) + 1e-6
        )
        assert told - off[-1] >= planned - max(measure.SPRING_OFF, springs) - 1e-6
        if name.startswith("across"):  # what the metal does by itself passes the final check
            assert told + off[0] >= outer.relaxed(outer.k_low) + 0.010 - measure_step(m)
    low, high = 0.020, 0.040  # over the rim (common practice, no source)
    told, off = (numbers(rows["level risers over the rim, tube's middle"][n], units) for n in (1, 2))
    assert low - 1e-6 <= told[0] - off[-1] and told[0] + off[0] <= high + 1e-6


@pytest.mark.parametrize("case", IN_INCHES)
def test_workshop_fractions_are_sixteenths(made: Any, case: str) -> None:
    m = made(case, "us", "letter")
    # A comb's holes are drilled 1/64 in wider than the tube, as drills are sold.
    text = re.sub(r"1/64 in larger|drill \d+/64 in", "", m.text)
    fractions = re.findall(r"(\d+)/(\d+) in\b", text)
    assert fractions and {int(d) for _, d in fractions} <= {2, 4, 8, 16}
    assert all(int(n) % 2 for n, _ in fractions)
    assert " mm" not in m.text.replace("12.5 mm bore", "")  # as the list calls its hose


@pytest.mark.parametrize("case", IN_INCHES)
def test_a_riser_is_as_long_in_its_table_as_between_its_marks(made: Any, case: str) -> None:
    """One number, one sixteenth: in the table of risers, in their drawings' words and between the marks."""
    m = made(case, "us", "letter")
    pieces = {row[3]: row[2] for row in marks.main_table(m.plan, m.plan.pieces[0], m.sizes).rows}
    for name, *_, upright, level, _ in measure.riser_table(m.plan, m.sizes).rows:
        ends = {"IN": ("foot bend starts", "rim bend starts"), "OUT": ("rim bend starts", "trim, cut here")}
        between = [next(v for k, v in pieces.items() if f"{name}: {end}" in k) for end in ends[name]]
        assert [upright, level] == between
        assert f"{upright} straight between the bends, {level} level" in m.page
        assert f"{level} beyond its rim bend" in m.page


def measure_step(m: Made) -> float:
    """What rounding inwards may take from a tolerance [m]."""
    return 1.5 * INCH / 16 if m.content.units == "us" else 2e-3


def test_both_states_are_told_apart(made: Any) -> None:
    m = made("single")
    layer = m.plan.layers[0]
    across, turns, _ = measure.springback(m.plan, m.sizes).rows
    assert numbers(across[1], "metric")[0] == pytest.approx(layer.on_form + 0.010, abs=5e-4)
    assert numbers(across[2], "metric")[0] == pytest.approx(layer.diameter + 0.010, abs=5e-4)
    low, high = numbers(across[3], "metric")
    assert low < numbers(across[2], "metric")[0] < high
    assert float(turns[1]) == pytest.approx(layer.turns_on_form, abs=5e-3)
    assert float(turns[2]) == layer.turns < float(turns[1])


def test_forms_are_measured_bare_and_packed_afterwards(tmp_path: Path) -> None:
    """A pot of 250 mm with two wraps of 3 mm: 250 is measured in the shop, 262 on the bench."""
    plan, inputs = own_bench(tmp_path, mean_diameter=0.2729 + 0.0075)
    (layer,) = plan.layers
    assert layer.form is not None and (layer.form.form_id, layer.wraps) == ("pot", 2)
    content = sheet(plan, inputs, "a4")
    (bare,) = [row for row in measure.before(plan, Sizes("metric", plan.step)).rows if "form" in row[0]]
    assert "bare" in bare[0] and bare[1] == "250 mm"
    said = [what for what, _ in _steps(content)]
    (pack,) = [n for n, text in enumerate(said) if text.startswith("Pack out the form")]
    assert "262 mm across" in said[pack] and f"{math.pi * 262:.0f} mm round" in said[pack]
    assert said[pack + 1].startswith("Wind on")


def test_what_stops_a_purchase_is_what_a_person_can_tell(made: Any) -> None:
    """A tape in a kettle tells 3 mm, and no batch is alike to half a litre: 4.9 mm in a kettle of 36 cm."""
    for case in BUILDABLE:
        rows = {row[0]: row[3] for row in measure.before(made(case).plan, Sizes("metric", 0.001)).rows}
        for name, off in rows.items():
            if name.startswith(("kettle", "form")):
                assert numbers(off, "metric")[0] >= 0.003, (case, name)
        assert min(numbers(rows["depth of hot wort at flame-out, coil out"], "metric")) >= 0.004


def test_a_coil_that_sprang_otherwise_is_pulled_to_another_height(made: Any) -> None:
    """As long a tube in turns of another diameter: their length is counted here by Pythagoras. What was
    expected stays as it was."""
    plan = made("single").plan
    layer = plan.layers[0]
    widths = (-0.010, -0.005, 0.0, 0.005)
    for wider, found in zip(widths, otherwise.sprung(plan, widths), strict=True):
        coil = found.coil
        length = math.hypot(math.pi * coil.mean_diameter * coil.turns, coil.pitch * coil.turns)
        assert length == pytest.approx(layer.tube, rel=1e-9)
        assert coil.mean_diameter == pytest.approx(layer.diameter + wider)
        room = measure.room(plan, "submergence")
        assert coil.height <= layer.turns * layer.pitch + 0.010 + room + 1e-9
        told = plan.rating.prediction.told.time
        assert found.time == pytest.approx(told, rel=0.05 if wider else 1e-9)
    rows = otherwise.table(plan, made("single").sizes).rows
    assert [row[0].endswith("(expected)") for row in rows] == [False, False, True, False]
    assert len({row[1] for row in rows}) > 1


def test_torch_and_solder_are_spoken_of_only_where_something_is_soldered(tmp_path: Path) -> None:
    stock = small_stock.lists()
    stock["fittings"].append({**stock["fittings"][0], "fitting_id": "dear", "joint": "solder", "price": "70"})
    stock["fittings"][-1]["description"] = "solder end"
    for folder, price in (("dear", "70"), ("cheap", "0.5")):
        stock["fittings"][-1]["price"] = price
        plan, _ = own_bench(tmp_path / folder, None, stock)
        said = " ".join(cautions(plan).items)
        assert ("Braze and solder" in said) == (folder == "cheap")


IN_ORDER = (
    *(
        "Bend a scrap",
        "Unroll",
        "Set marks",
        "Wind",
        "Hold the tube",
        "IN riser",
        "OUT riser",
        "Stand ",
        "Lift ",
    ),
    *("Cut the ends", "Fit the ends", "Test ", "Look and feel", "Close the tap FIRST", "Wash it"),
    *("First run", "While it is cold", "Last ten minutes", "Flame out"),
)


def test_order_of_work(made: Any) -> None:
    """What must come before what, whatever the layout."""
    for case in BUILDABLE:
        said = [what for what, _ in _steps(made(case).content)]
        place = {key: next(n for n, text in enumerate(said) if text.startswith(key)) for key in IN_ORDER}
        assert list(place.values()) == sorted(place.values()), case
    nested = " ".join(what for what, _ in _steps(made("nested").content))
    assert (
        nested.index("Wind the inner layer on")
        < nested.index("Now the IN riser")
        < nested.index("wooden strips")
        < nested.index("back over the strips")
        < nested.index("draw the strips out")
    )
    assert "tee" in " ".join(what for what, _ in _steps(made("parallel").content))
    # 180 and 250 mm across, a tube of 10 mm between: strips and the card over them fill the other 25 mm.
    assert "strips 22 mm thick" in nested and "one wrap of 3 mm card" in nested


def _steps(content: Sheet) -> Iterator[tuple[str, str]]:
    for section in content.sections:
        for block in section.blocks:
            for part in block.blocks if isinstance(block, Card) else (block,):
                if isinstance(part, Steps):
                    yield from part.items


@pytest.mark.parametrize(("seconds", "told"), [(15, "Move the wort in every minute"), (60, "Keep the")])
def test_a_quarter_of_a_minute_is_not_all_along(tmp_path: Path, seconds: int, told: str) -> None:
    mixing = {"with": "paddle", "motion": "slow", "seconds_a_minute": seconds}
    plan, _ = own_bench(tmp_path, {"wort": {"mixing": mixing}})
    steps = [text for block in brew_day(plan).blocks if isinstance(block, Steps) for text, _ in block.items]
    assert any(text.startswith(told) for text in steps)


def test_a_valve_part_closed_is_set_by_bucket_and_clock_and_told_beside_the_open_one(tmp_path: Path) -> None:
    """Half the full flow: the sheet, the card and their bucket say so, with time and water fully open."""
    full, _ = own_bench(tmp_path / "open")
    flow = full.rating.prediction.flow
    assert full.fully_open is None and "alve" not in sheet(*own_bench(tmp_path / "open"), "a4").lead
    half, inputs = own_bench(tmp_path / "half", flow=flow / 2.0)
    content = sheet(half, inputs, "a4")
    bucket = f"a 10 L bucket fills in {10e-3 / (flow / 2.0):.0f} s"
    shut = full.rating.prediction
    assert f"Valve half open: {bucket}. Fully open it takes {ranges.time(shut)}" in content.lead
    assert ranges.water(shut, "metric") in content.lead
    steps = [text for block in brew_day(half).blocks if isinstance(block, Steps) for text, _ in block.items]
    places = [next(n for n, s in enumerate(steps) if word in s) for word in (bucket, "mark on the valve")]
    assert places == sorted(places)
    log = next(block for block in brew_day(half).blocks if isinstance(block, Table))
    planned = {row[0]: row[1] for row in log.rows}
    assert ranges.time(shut) in planned["fully open"]
    assert planned["bucket of 10 L fills in"] in bucket


def test_pumped_plans_speak_of_pumps_and_not_of_taps() -> None:
    inputs = load(packaged("stove/brewhouse.toml"))
    house = design_basis(inputs)
    sizes = {"outer_diameter": 9.525e-3, "wall": 0.61e-3, "mean_diameter": 0.2291, "pitch": 0.0155}
    sizes |= {"turns": 8.5, "riser_length_in": 0.42, "riser_length_out": 0.29, "riser_bend_radius": 0.0381}
    content = sheet(plan_work(house, Coil(material="copper", **sizes)), inputs, "a4")
    assert not content.stops
    said = " ".join(what for what, _ in _steps(content))
    assert "Unplug the pump" in said and "Water off at the tap" not in said and "GFCI" in said
    assert "far side from the pump" in said and "hose tap" not in said
    assert "open the water slowly" not in said and "Then plug the pump in" in said
    assert "move the IN hose to the pump" not in said and "pour the warm water away" in said
    take_care = " ".join(next(s for s in content.sections if s.title == "Take care").blocks[0].items)
    assert "comes back to a bucket" in take_care and "vacuum breaker" not in take_care


def test_hoses_are_moved_between_two_sources(tmp_path: Path) -> None:
    """Near-boiling tap water goes to a drain, never into the pump's bucket; then everything is moved."""
    folder = small_stock.write(tmp_path)
    with (folder / "brewhouse.toml").open("a", encoding="utf-8") as file:
        file.write(small_stock.TAP_THEN_ICE)
    inputs = load(folder)
    b = plan_work(design_basis(inputs), Coil(**SIZES))
    said = [what for what, _ in _steps(sheet(b, inputs, "a4"))]
    order = ("While it is cold", "Tap water", "Close the tap. Gloves on", "Ice water", "Stir, then read")
    places = [next(n for n, text in enumerate(said) if text.startswith(start)) for start in order]
    assert places == sorted(places)
    assert "into a bucket or a drain" in said[places[0]] and "far side" not in said[places[0]]
    assert "far side from the pump" in said[places[2]] and "put the ice into the water now" in said[places[2]]
    assert "Unplug the pump" in said[places[4]]
    log = next(block for block in brew_day(b).blocks if isinstance(block, Table))
    planned, p = {row[0]: row[1] for row in log.rows}, b.rating.prediction
    assert planned["water used"] == ranges.water(p, "metric") and planned["ice melted"] == ranges.ice(
        p, "metric"
    )
    assert "most likely" in planned["ice melted"]


@pytest.mark.parametrize(
    ("sides", "turns", "said"),
    [
        ("same", 10.0, ""),
        ("same", 9.5, "10 turns would bring them"),
        ("same", 9.3, "9 turns would bring them"),
        ("opposite", 10.0, "10 1/2 turns would bring them"),
        ("opposite", 9.5, ""),
        ("any", 9.3, ""),
    ],
)
def test_risers_on_another_side_than_asked_for_are_told(
    tmp_path: Path, sides: str, turns: float, said: str
) -> None:
    b, inputs = own_bench(tmp_path, {"workshop": {"riser_sides": sides}}, turns=turns)
    first = " ".join(t for block in sheet(b, inputs, "a4").sections[0].blocks for t in _texts(block))
    assert ("would bring them" in first) == bool(said)
    assert said in first


def test_risers_in_one_place_are_told(tmp_path: Path) -> None:
    into, out = scene_of(own_bench(tmp_path / "apart", None, turns=10.0)[0]).risers
    b, inputs = own_bench(tmp_path, None, turns=10.0 - (out.angle - into.angle) / (2.0 * math.pi))
    first = " ".join(t for block in sheet(b, inputs, "a4").sections[0].blocks for t in _texts(block))
    assert "from middle to middle" in first


def test_a_part_in_the_way_of_a_riser_is_told(tmp_path: Path) -> None:
    part = [{"what": "thermometer well", "where": "wall", "height": "12 cm", "size": "4 cm"}]
    b, inputs = own_bench(tmp_path, {"kettle": {"part": part}})
    content = sheet(b, inputs, "a4")
    first = " ".join(t for block in content.sections[0].blocks for t in _texts(block))
    assert "thermometer well reaches 40 mm in" in first
    assert any("no riser comes before the thermometer well" in what for what, _ in _steps(content))


def test_cautions_are_on_every_sheet(made: Any) -> None:
    for case in CASES:
        text = made(case).text
        for word in (
            "60 °C",
            "vacuum breaker",
            "lead-free",
            "Local codes",
            "GFCI",
            "unplug",
            "gloves",
            "ream",
        ):
            assert word.lower() in text.lower(), (case, word)


def test_shopping_list_is_the_bill(made: Any) -> None:
    m = made("nested")
    table, bill = next(t for t in _tables(m.content) if t.ticks), m.plan.bill
    bought = [item for item in bill.items if not item.owned]
    missing = [row for row in table.rows if row[2] == "not counted"]  # this small list has no wire for feet
    assert m.plan.complete and len(table.rows) == len(bought) + len(missing) + 1
    prices = [float(row[2].split()[0]) for row in table.rows[:-1] if row[2][0].isdigit()]
    assert sum(prices) == pytest.approx(bill.total, abs=0.02)
    assert table.rows[-1][2] == f"{bill.total:.2f} {m.plan.basis.brewhouse.stock.currency}"


def _tables(content: Sheet) -> Iterator[Table]:
    for section in content.sections:
        yield from (block for block in section.blocks if isinstance(block, Table))


# --- the page ----------------------------------------------------------------------------------------------


class Reader(HTMLParser):
    """Checks that tags close in order, and collects text and references."""

    VOID = {"meta", "link", "br", "hr", "img", "input"}

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.references: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.references += [v or "" for k, v in attributes if k in ("src", "href", "xlink:href", "data")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open.pop() == tag


def unescaped(page: str) -> str:
    import html as library

    return library.unescape(page)


@pytest.mark.parametrize("case", CASES)
def test_the_page_needs_nothing_else_and_says_the_same(made: Any, case: str) -> None:
    m = made(case)
    reader = Reader()
    reader.feed(m.page)
    assert not reader.open and not {"script", "link", "img", "iframe"} & set(reader.tags)
    assert [r for r in reader.references if not r.startswith("#")] in ([], ["sheet.pdf"])
    assert "http://" not in re.sub(r'xmlns(:\w+)?="[^"]*"', "", m.page)
    text = unescaped(m.page)
    for section in m.content.sections:
        assert f"<h2>{section.title}</h2>" in text
        for block in section.blocks:
            for said in _texts(block):
                assert said in text
    assert not re.findall(r'<[^>]* id="', m.page)  # none that the two drawings would share
    figures = [f for s in m.content.sections for b in s.blocks for f in getattr(b, "items", (b,))]
    assert (
        reader.tags.count("svg") == sum(isinstance(f, Figure) for f in figures)
        and text.count('aria-label="') >= 2
    )
    assert all('scope="col"' in head for head in re.findall(r"<th\b[^>]*>", m.page))


def _texts(block: Any) -> list[str]:
    if isinstance(block, Text):
        return [block.text]
    if isinstance(block, Points):
        return list(block.items)
    if isinstance(block, Steps):
        return [text for item in block.items for text in item]
    if isinstance(block, Table):
        return [cell for row in (block.head, *block.rows) for cell in row]
    if isinstance(block, Figure):
        return [block.caption, block.words]
    if isinstance(block, Figures):
        return [text for item in block.items for text in _texts(item)]
    return [block.title, *(text for part in block.blocks for text in _texts(part))]


def test_what_people_write_in_their_lists_stays_text(tmp_path: Path) -> None:
    """Markup, quotes, other scripts and long names are printed as they are and run nothing."""
    nasty = '<script>alert(1)</script> & "Łódź" <b>Ø</b> Жук ½'
    stock = small_stock.lists()
    for row in stock["tubing"] + stock["forms"]:
        row["description"] = nasty
    stock["fittings"][0]["description"] = "x" * 200
    house = {
        "name": nasty[:40],
        "kettle": {"part": [{"what": nasty, "where": "wall", "height": "12 cm", "size": "2 cm"}]},
    }
    b, inputs = own_bench(tmp_path, house, stock, mean_diameter=0.26 / 0.9693)
    m = Made(b, sheet(b, inputs, "a4"))
    assert b.complete and "<script" not in m.page and "&lt;script&gt;" in m.page
    reader = Reader()
    reader.feed(m.page)
    assert "script" not in reader.tags and "b" not in reader.tags
    assert "<script>alert(1)</script>" in m.text and "Łódź" in m.text and "Жук" in m.text
    for page, words in zip(m.pages, m.words, strict=True):
        assert all(w["x1"] < page.width - 20.0 for w in words)


@pytest.mark.slow
def test_a_long_sheet_keeps_its_tables_whole(made: Any, tmp_path: Path) -> None:
    """Sixty turns of thin tube: the long table goes over pages, its head repeated, no row lost."""
    changes = {"outer_diameter": 0.006, "pitch": 0.0065, "turns": 42.0, "mean_diameter": 0.2}
    b, inputs = own_bench(tmp_path, None, **changes)
    m = Made(b, sheet(b, inputs, "a4"))
    table = marks.full_table(b, b.pieces[0], m.sizes)
    for row in table.rows:
        assert " ".join(row) in m.text
    assert m.text.count("this piece becomes") >= 2


@pytest.mark.parametrize(
    ("demo", "paper"),
    [
        pytest.param(None, "a4", marks=pytest.mark.long),
        pytest.param("us", "letter", marks=pytest.mark.slow),
        pytest.param("wide", "letter", marks=pytest.mark.long),
        pytest.param("stove", "a4", marks=pytest.mark.long),
    ],
)
def test_sheets_of_all_examples_are_whole(demo: str | None, paper: str) -> None:
    """Every rank of every example that a screen shows: as priced by the search, and as much tube left. The
    best of them: buildable, nothing cut or printed over."""
    inputs = load(packaged(f"{demo}/brewhouse.toml" if demo else "brewhouse.toml"))
    house = design_basis(inputs)
    for design in recommend(house, top=count(8, 50)).designs:
        b = plan_work(house, as_written(as_coil(design)))
        assert b.complete
        assert b.layers[0].form is not None and b.layers[0].form.form_id == design.winding.form.form_id
        assert b.bill.total == pytest.approx(design.bill.total, abs=1e-3)  # wire is sold by the metre
        assert [i.what for i in b.bill.items] == [i.what for i in design.bill.items]
        assert b.cut_length == pytest.approx(design.tube_length, abs=tube_off(b.coil))
        assert b.offcut == pytest.approx(design.offcut, abs=tube_off(b.coil))
        if design.rank <= count(1, 3):
            m = Made(b, sheet(b, inputs, paper))
            assert m.content.stops == ()
            assert rough(design.offcut, house.brewhouse.units) in m.text
            no_page_of_left_overs(m)
            no_text_is_cut_or_over_another(m)


# --- the title block, and pages that are worth their paper --------------------------------------------------

BLOCK_HIGH = 40.0 + 34.1  # of the block and of the white edge under it [pt]


def below(m: Made, n: int) -> str:
    """What stands in the title block of a page."""
    page = m.pages[n]
    return " ".join(w["text"] for w in m.words[n] if w["top"] > page.height - BLOCK_HIGH - 1.0)


@pytest.mark.parametrize(("case", "units"), [("single", "metric"), ("nested", "us")])
def test_every_page_has_its_title_block(made: Any, case: str, units: str) -> None:
    """Fields of ISO 7200; mass and content by hand from the tube's section, trim left out."""
    m = made(case, units, "letter" if units == "us" else "a4")
    tube, trim = m.plan.tube, 0.1 * len(m.plan.pieces)
    length = m.plan.cut_length - trim
    bore = tube.outer_diameter - 2.0 * tube.wall
    kg = math.pi / 4.0 * (tube.outer_diameter**2 - bore**2) * length * 8940.0  # copper, kg/m3
    litres = math.pi / 4.0 * bore**2 * length * 1e3
    told = f"{kg:.2f} kg, holds {litres:.2f} L"
    if units == "us":
        told = f"{kg / 0.45359237:.1f} lb, holds {litres / 3.785411784:.2f} gal"
    for n in range(len(m.pages)):
        text = below(m, n)
        for words in (told, m.content.block.coil_id, f"{n + 1} of {len(m.pages)}", "date", "made by"):
            assert words in text, (n, words, text)
    for paper in m.content.papers:
        of = [n for n in range(len(m.pages)) if paper.title.split(" (")[0] in below(m, n)]
        assert of and all("1:1" in below(m, n) for n in of)
    assert m.content.block.first_angle == (units == "metric")


def test_the_coil_s_id_is_that_of_its_sizes(made: Any, tmp_path: Path) -> None:
    plan, inputs = own_bench(tmp_path, {"name": "another name"}, turns=9.0)
    assert sheet(plan, inputs, "a4").block.coil_id != made("single").content.block.coil_id
    again, inputs = own_bench(tmp_path, {"name": "another name"})
    assert sheet(again, inputs, "a4").block.coil_id == made("single").content.block.coil_id


@pytest.mark.parametrize(
    ("case", "units", "paper"),
    [*((case, "metric", "a4") for case in BUILDABLE), ("single", "us", "letter"), ("nested", "us", "letter")],
)
def test_no_page_has_a_few_lines_left_over(made: Any, case: str, units: str, paper: str) -> None:
    no_page_of_left_overs(made(case, units, paper))
    short_tables_are_whole(made(case, units, paper))


def short_tables_are_whole(m: Made) -> None:
    """A row or two went over to the next page, their head printed again."""
    blocks = [block for section in m.content.sections for block in section.blocks]
    heads = [" ".join(b.head) for b in blocks if isinstance(b, Table) and len(b.rows) <= 12]
    printed = [" ".join(w["text"] for w in words) for words in m.words]
    assert heads
    for head in set(heads):
        assert sum(page.count(head) for page in printed) == heads.count(head), head


def no_page_of_left_overs(m: Made) -> None:
    """Every page of text is filled over a fifth of its height at least, by its lowest word."""
    texts = [n for n in range(len(m.pages)) if "1:1" not in below(m, n)]
    assert len(texts) < len(m.pages) or not m.content.papers
    for n in texts:
        over = [w["bottom"] for w in m.words[n] if w["top"] < m.pages[n].height - BLOCK_HIGH - 20.0]
        told = [w["text"] for w in m.words[n]][:30]
        assert max(over) > 0.27 * m.pages[n].height, (n + 1, told)


@pytest.mark.parametrize(
    ("case", "width"),
    [
        pytest.param("nested", 360, marks=pytest.mark.slow),
        pytest.param("nested", 1200, marks=pytest.mark.long),
        pytest.param("kinked", 900, marks=pytest.mark.slow),
    ],
)
def test_axe_finds_nothing_serious_in_the_page(
    made: Any, browser: Any, tmp_path: Path, case: str, width: int
) -> None:
    """The rules of axe-core (Deque), as WCAG 2.1 A and AA and its best practices."""
    import axe_core_python

    (tmp_path / "sheet.html").write_text(made(case).page, encoding="utf-8")
    sized(browser, width)
    browser.get((tmp_path / "sheet.html").as_uri())
    browser.execute_script((Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8"))
    found = browser.execute_async_script("axe.run(document).then(arguments[0])")
    assert len(found["passes"]) > 10  # it has looked at something
    assert [rule["id"] for rule in found["violations"]] == []
