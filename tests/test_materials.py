"""One metal, one record: figures, words and choice lists follow the registry; no module asks for a name."""

from __future__ import annotations

import ast
import contextlib
import io
import json
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import SIZES, own_bench
from where import ROOT

from optichill.cli.main import run
from optichill.files.reading import load
from optichill.geometry import risers, springback
from optichill.materials import COPPER, MATERIALS, STAINLESS_304, STAINLESS_316, Material
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.problem.windings import winding_table, windings
from optichill.rating.coil_rating import quick_rating
from optichill.report.sheet.notes import notes
from optichill.report.sheet.refusal import reasons
from optichill.report.sheet.sizes import Sizes
from optichill.report.words import roll_words

TOY = Material(
    name="toy bronze",
    conductivity=62.0,
    density=8800.0,
    heat_capacity=377.0,
    youngs_modulus=88e9,
    poisson=0.31,
    yield_effective=180e6,
    yield_band=(150e6, 210e6),
    yield_rewound=290e6,
    rewound_band=(250e6, 330e6),
    lever_minimum=lambda d_o, t: 2.5 * np.asarray(d_o) + 0.0 * np.asarray(t),
    bent_freehand=True,
    bend_hardness=2.6,
    annealed="dead soft",
    barred="No bleach on bronze",
    barred_because="Bleach dulls it.",
    acid="Vinegar takes the shine.",
)
"""A metal that does not exist, its values unlike those of the others."""

OTHERS = (
    "bare copper or stainless wire",
    "bare stainless or copper wire",
    "bare stainless wire",
    "copper wire",
    "of stainless steel",
    "flat stainless bar",
    "stainless sheet",
)
"""What is not of the tube: wire for lacing and feet, bars for combs, plates for feet, the kettle."""


@dataclass(frozen=True)
class Said:
    """What the three commands answer on a coil of one metal: JSON, screens, and the page of the sheet."""

    recommend: dict[str, Any]
    predict: dict[str, Any]
    sheet: dict[str, Any]
    screens: str
    page: str

    @property
    def of_the_tube(self) -> str:
        """All words, those on other things taken out."""
        text = f"{self.screens} {self.page}".replace("\n", " ")
        text = re.sub(r"\s+", " ", text)
        for phrase in OTHERS:
            text = text.replace(phrase, "")
        return text


def tube_of(metal: Material, outer_diameter: str, wall: str) -> small_stock.Lists:
    """The small lists with one tube."""
    stock = small_stock.lists()
    tube = {"material": metal.name, "outer_diameter": outer_diameter, "wall": wall, "length": "15 m"}
    stock["tubing"] = [{**stock["tubing"][0], "stock_id": "roll", "description": "tube in a roll", **tube}]
    stock["forms"] = stock["forms"][:1]
    return stock


@contextlib.contextmanager
def known(metal: Material) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(MATERIALS, metal.name, metal)
        yield


def ask(folder: Path, metal: Material, outer_diameter: str = "10 mm", wall: str = "1 mm") -> Said:
    """The commands, in this process, with the metal in the registry and its tube in the list."""
    small_stock.write(folder, {"kettle": {"coil_rests": "feet"}}, tube_of(metal, outer_diameter, wall))
    coil, told = folder / "best.toml", {}
    screens = io.StringIO()
    with known(metal), contextlib.redirect_stdout(screens), contextlib.redirect_stderr(io.StringIO()):
        for command, *more in (
            ("recommend", "--save-coil", str(coil)),
            ("predict", "--coil", str(coil)),
            ("sheet", "--coil", str(coil), "--out", str(folder / "out")),
        ):
            file = folder / f"{command}.json"
            assert run([command, str(folder), *more, "--json", str(file)]) == 0
            told[command] = json.loads(file.read_text(encoding="utf-8"))
    page = (folder / "out" / "small-kettle" / "sheet-best.html").read_text(encoding="utf-8")
    text = re.sub(r"<style.*?</style>|<[^>]*>", " ", page, flags=re.DOTALL)
    return Said(**told, screens=screens.getvalue(), page=re.sub(r"\s+", " ", text))


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Said]:
    """Answers by name; light: 3/8 in copper, which one person winds."""
    of = {metal.name: ask(tmp_path_factory.mktemp("of"), metal) for metal in (COPPER, STAINLESS_304, TOY)}
    of["light"] = ask(tmp_path_factory.mktemp("light"), COPPER, "3/8 in", "0.032 in")
    return of


# --- a new metal is one record ----------------------------------------------------------------------------


def test_figures_of_a_new_metal_follow_from_its_record(said: dict[str, Said]) -> None:
    best, sheet = said["toy bronze"].recommend["designs"][0], said["toy bronze"].sheet
    coil, d_o, d_i = best["coil"], 0.010, 0.008
    assert best["form_id"] == "pot" and coil["material"] == "toy bronze"
    on_form = 0.250 + 0.006 * best["lagging"] + d_o
    k, low, high = (
        float(springback.springback_ratio(d_o, d_i, on_form / 2, Y, 88e9)) for Y in (180e6, 210e6, 150e6)
    )
    assert coil["springback"] == pytest.approx(k, rel=1e-9)
    assert coil["mean_diameter_m"] == pytest.approx(on_form / k, rel=1e-9)
    area = math.pi / 4 * (d_o**2 - d_i**2)
    assert coil["mass_kg"] == pytest.approx(
        area * (coil["tube_length_m"] - 2.0 * risers.TRIM) * 8800.0, rel=1e-9
    )
    layer = sheet["layers"][0]
    assert sheet["buildable"] and layer["springback_k"] == pytest.approx(k, rel=1e-6)
    band = layer["mean_diameter_low_m"], layer["mean_diameter_high_m"]
    assert band == pytest.approx((on_form / high, on_form / low), rel=1e-6)
    # Strength and hardness of bends lie between those of the others: so does the work of the easiest coil.
    in_between = [said[name].recommend["designs"] for name in ("copper", "toy bronze", "stainless 304")]
    work = [min(d["difficulty"]["score"] for d in designs) for designs in in_between]
    assert work[0] < work[1] < work[2]


def test_a_new_metal_that_conducts_less_chills_slower(tmp_path: Path) -> None:
    """One coil of three metals: copper, toy bronze with a sixth of its conductivity, stainless steel."""
    times = []
    for metal in (COPPER, TOY, STAINLESS_304):
        with known(metal):
            coil = Coil(**{**SIZES, "material": metal.name})
            basis = design_basis(load(small_stock.write(tmp_path / metal.name)))
            times.append(quick_rating(basis, coil).prediction.chill_time or math.inf)
    assert times[0] < times[1] < times[2]


def test_what_the_search_and_the_bench_reckon_with_is_the_records(tmp_path: Path) -> None:
    with known(TOY):
        basis = design_basis(load(small_stock.write(tmp_path, stock=tube_of(TOY, "10 mm", "1 mm"))))
        found = windings(basis)
        table = winding_table(found, basis)
        assert {w.tool.kind: w.tool.smallest for w in found if w.tool.kind == "lever"} == {"lever": 0.025}
    assert set(table.conductivity) == {62.0}
    assert table.metal_per_length == pytest.approx(math.pi * (0.005**2 - 0.004**2) * 8800.0 * 377.0)
    # F_b = (2 K_r + 0.2 d_o/t + B/180) d_o / R, B 90 degrees, K_r the record's.
    assert table.one_bend == pytest.approx((2 * 2.6 + 0.2 * 10 + 0.5) * 0.010 / table.R_b)


def test_no_word_of_another_metal_is_said_of_a_new_one(said: dict[str, Said]) -> None:
    text = said["toy bronze"].of_the_tube
    assert not re.search("copper|stainless", text, re.IGNORECASE)
    for word in (
        "roll of dead soft toy bronze",
        "roll, dead soft, OUTSIDE diameter",
        "No bleach on bronze, at any time.",
        "Bleach dulls it.",
        "short soak in vinegar. No bleach on bronze.",
        "Vinegar takes the shine.",
    ):
        assert word in text, word
    assert "sour wort" not in text


IDS = r'"files": \[[^]]*\]|"(?:coil_)?id": "\w+"|"tied_with": \[[^]]*\]'


@pytest.mark.parametrize(
    ("metal", "name"),
    [
        pytest.param(COPPER, "cuprum", id="copper", marks=pytest.mark.long),
        pytest.param(STAINLESS_304, "blankless 304", id="stainless"),
    ],
)
def test_a_twin_under_another_name_answers_the_same(
    said: dict[str, Said], tmp_path: Path, metal: Material, name: str
) -> None:
    """Whatever would hang on the name and not on the record would differ here."""
    one, twin = said[metal.name], ask(tmp_path, replace(metal, name=name))
    for document in ("recommend", "predict", "sheet"):
        mine, other = (json.dumps(getattr(s, document)) for s in (one, twin))
        # The coil's id tells metals apart by name, and files are named by it.
        mine, other = (re.sub(IDS, "", text) for text in (mine, other))
        assert other.replace(name, metal.name) == mine, document
    pages = (
        re.sub(r"(?i)coil [b-z2-9]{8}", "Coil", page)
        for page in (twin.page.replace(name, metal.name), one.page)
    )
    assert next(pages) == next(pages)


def test_choice_lists_follow_the_registry_when_they_are_read(
    tmp_path: Path, optichill: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    small_stock.write(tmp_path, stock=tube_of(TOY, "10 mm", "1 mm"))
    refused = optichill("check", tmp_path)
    assert refused.status == 4 and "toy bronze" in refused.err
    assert "copper, stainless 304, stainless 316" in refused.err
    with known(TOY):
        assert optichill("check", tmp_path).status == 0
        wrong = tmp_path / "tubing.csv"
        wrong.write_text(wrong.read_text(encoding="utf-8").replace("toy bronze", "brass"), encoding="utf-8")
        assert "stainless 316, toy bronze" in optichill("check", tmp_path).err
        sizes = {"outer_diameter": 0.01, "wall": 0.001, "mean_diameter": 0.26, "pitch": 0.016, "turns": 9.0}
        coil = Coil(material="toy bronze", riser_length_in=0.5, riser_length_out=0.4, **sizes)
    assert coil.material == "toy bronze"


# --- the metals there are -----------------------------------------------------------------------------------


def test_bending_of_the_metals() -> None:
    """K_r of the published rule for rotary-draw bending: 2 copper, 3 stainless (M). Stainless is never bent
    freehand (common practice, no source)."""
    assert [m.bend_hardness for m in (COPPER, STAINLESS_304, STAINLESS_316)] == [2.0, 3.0, 3.0]
    assert [m.bent_freehand for m in (COPPER, STAINLESS_304, STAINLESS_316)] == [True, False, False]
    # 3/8 in: 0.75 in (Copper Tube Handbook, V); three diameters of the ordinary stainless wall.
    d_o = 0.375 * 0.0254
    assert COPPER.lever_minimum(d_o, 0.0008) == pytest.approx(0.01905)
    assert STAINLESS_316.lever_minimum(d_o, 0.0009) == pytest.approx(3 * d_o)


STIFF = "stiff tube: it takes strength, or a second person, to pull it round the form"


def test_sheet_and_recommendation_say_the_same_of_the_strength_it_takes(said: dict[str, Said]) -> None:
    """By the tube's own flow stress, M_p = Y (d_o^3 - d_i^3) / 6: 10 x 1 mm of 304 takes 28 N m, of copper 8;
    3/8 x 0.032 in of copper 6."""
    for name, strong in (("stainless 304", True), ("copper", True), ("light", False)):
        told = said[name]
        hard = told.recommend["designs"][0]["difficulty"]["reasons"]
        assert (STIFF in told.page) is strong, name
        assert ("a helper to hold the roll is welcome" in told.page) is not strong, name
        assert (STIFF in hard) is strong or (strong and len(hard) == 3), name  # of more, the largest three
    assert said["stainless 304"].recommend["designs"][0]["difficulty"]["reasons"][0] == STIFF


def test_words_of_copper_are_for_copper_alone(said: dict[str, Said]) -> None:
    """No chlorine on either, no hydrogen peroxide on copper, no copper in sour wort (common practice)."""
    copper, steel = said["copper"].of_the_tube, said["stainless 304"].of_the_tube
    for word in (
        "Acid takes the tarnish, then the copper.",
        "No chlorine on copper or stainless, no hydrogen peroxide on copper, at any time.",
        "No copper in sour wort",
        "roll of soft copper",
        "roll, soft, OUTSIDE diameter",
    ):
        assert word in copper and word not in steel, word
    for word in (
        "No chlorine on stainless, at any time.",
        "short soak in vinegar. No chlorine on stainless.",
        "roll of annealed stainless 304",
        "roll, annealed, OUTSIDE diameter",
        "range is that of annealed tube",
    ):
        assert word in steel and word not in copper, word
    assert not re.search("copper|peroxide|sour wort|tarnish|soft ", steel, re.IGNORECASE)


def test_an_unlisted_tube_and_a_half_hard_one_are_called_what_they_are(tmp_path: Path) -> None:
    plan, _ = own_bench(tmp_path, material="stainless 316")
    assert any("it is taken to be annealed." in text for text in notes(plan))
    assert roll_words.temper(plan.tube.model_copy(update={"temper": "half hard"})) == "half hard"


def test_a_tube_that_no_hand_bends_is_told_to_get_a_tool(tmp_path: Path, optichill: Any) -> None:
    """No step of a radius would help: the sheet and the search both ask for a bender."""
    stock = tube_of(STAINLESS_304, "10 mm", "1 mm")
    stock["benders"] = []
    small_stock.write(tmp_path, stock=stock)
    told = optichill("recommend", tmp_path)
    said = " ".join(told.out.split())
    assert told.status == 3 and "IN THE WAY how tightly the risers can be bent" in said
    assert "get a lever bender or a bending spring: this tube is never bent freehand" in said
    assert " 10 m " not in said
    plan, _ = own_bench(tmp_path, None, stock, material="stainless 304", riser_bend_radius=None)
    refused = reasons(plan, Sizes("metric", 1e-3))
    assert any("never bent freehand; a lever bender or a bending spring would do" in text for text in refused)


# --- nobody asks for a name ---------------------------------------------------------------------------------

RECORDS = {"COPPER", "STAINLESS_304", "STAINLESS_316"}


def names_asked_for(source: str) -> list[str]:
    """Where a module decides by a metal's name: a literal that is a name, its family or its grade, compared,
    looked up, matched or handed to a method of text; or a record that is compared."""
    words = {word for name in MATERIALS for word in (name, *name.split())}
    found = []
    for node in ast.walk(ast.parse(source)):
        asked: list[ast.AST] = []
        if isinstance(node, ast.Compare):
            asked = [node.left, *node.comparators]
        elif isinstance(node, ast.Dict):
            asked = [key for key in node.keys if key is not None]
        elif isinstance(node, ast.Subscript):
            asked = [node.slice]
        elif isinstance(node, ast.MatchValue):
            asked = [node.value]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            asked = [*node.args]
        for part in asked:
            for inner in (part, *getattr(part, "elts", ())):
                if isinstance(inner, ast.Constant) and str(inner.value).strip().lower() in words:
                    found.append(str(inner.value))
                if isinstance(node, ast.Compare) and isinstance(inner, ast.Name) and inner.id in RECORDS:
                    found.append(inner.id)
    return found


@pytest.mark.parametrize(
    "source",
    [
        'tube.material != "copper"',
        '"stainless" in tube.material',
        'metal.name in ("brass", "copper")',
        'material.startswith("stainless")',
        '{"copper": 2.0, "brass": 3.0}[name]',
        'MATERIALS["stainless 316"]',
        'MATERIALS.get("copper")',
        "metal is COPPER",
        'match name:\n    case "copper":\n        pass',
    ],
)
def test_a_name_asked_for_would_be_found(source: str) -> None:
    assert names_asked_for(source)


def test_only_the_records_know_the_names_of_metals() -> None:
    modules = sorted((ROOT / "optichill").rglob("*.py"))
    assert len(modules) > 100
    for path in modules:
        if path.name != "materials.py":
            assert not names_asked_for(path.read_text(encoding="utf-8")), path
