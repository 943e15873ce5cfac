"""A layout is one record: register another of known traits, and every part of the program knows it.

The toys are no coils that anybody should wind: they are the three kinds of layout under other words.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import small_stock
from own_coil import own_bench, two_layers
from where import ROOT

from optichill.fabrication.scene import scene_of
from optichill.files.reading import load
from optichill.layouts import LAYOUTS, Layout, numbered, trait
from optichill.model.brewhouse import Workshop
from optichill.model.coil import Coil
from optichill.problem.basis import design_basis
from optichill.report.sheet import work
from optichill.report.sheet.content import sheet
from optichill.report.sheet.sizes import Sizes
from optichill.report.tradeoff.data import page_data
from optichill.search.evaluate import rows
from optichill.search.recommend import search_space
from optichill.search.space import space
from optichill.search.tradeoff import weigh
from optichill.workshop.difficulty import WEIGHTS


def toy(layers: int, tubes: int) -> Layout:
    """A layout of these traits that nobody has heard of."""
    return Layout(
        name=f"toy-{layers}-{tubes}",
        layers=layers,
        tubes=tubes,
        hardness=0.45,
        called="a toy coil",
        short="toy layers",
        full="laid out as a toy: for tests alone",
        mark="~",
        legend="a toy",
        hard_part="the layers of a toy",
    )


TOYS = {"single": toy(1, 1), "nested": toy(2, 1), "parallel": toy(2, 2)}
"""By the layout that has the same traits."""

both = pytest.mark.parametrize("like", TOYS)
layered = pytest.mark.parametrize("like", ["nested", "parallel"])


@pytest.fixture
def toys(monkeypatch: pytest.MonkeyPatch) -> None:
    """The registry with one record more for each kind: all that is done to add a layout."""
    for one in TOYS.values():
        monkeypatch.setitem(LAYOUTS, one.name, one)


def kettle(folder: Path, *layouts: str) -> Path:
    """The small kettle, on a coarse marking increment, for these layouts alone."""
    shop = {"layouts": list(layouts), "marking_increment": "5 mm", "riser_sides": "same"}
    return small_stock.write(folder, {"workshop": shop})


# --- the registry -----------------------------------------------------------------------------------------


def test_the_order_and_the_traits_of_the_three() -> None:
    assert [numbered(n).name for n in range(3)] == list(LAYOUTS) == ["single", "nested", "parallel"]
    assert trait("layers").tolist() == [1, 2, 2] and trait("tubes").tolist() == [1, 1, 2]
    assert trait("crossing").tolist() == [False, True, False]
    assert trait("tees").tolist() == [False, False, True]
    assert trait("riser_bends").tolist() == [4, 4, 8]


@pytest.mark.parametrize(("layers", "tubes"), [(3, 1), (3, 3), (1, 2), (0, 0), (2, 0)])
def test_a_layout_that_no_part_could_work_out_is_refused(layers: int, tubes: int) -> None:
    with pytest.raises(ValueError, match=f"toy-{layers}-{tubes}: must be one layer"):
        toy(layers, tubes)


def test_files_may_name_what_is_registered_when_they_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    one = TOYS["nested"]
    with pytest.raises(ValueError, match="not known"):
        Workshop(layouts=[one.name])
    assert Workshop().layouts == ("single", "nested", "parallel")
    monkeypatch.setitem(LAYOUTS, one.name, one)
    assert Workshop(layouts=[one.name]).layouts == (one.name,)
    assert Workshop().layouts == ("single", "nested", "parallel", one.name)


# --- a new one, from the search to the bench ----------------------------------------------------------------


@both
def test_the_search_makes_of_it_what_its_traits_say(tmp_path: Path, toys: None, like: str) -> None:
    """Row by row as the layout of the same traits; only harder or easier, by its own share of that term."""
    one = TOYS[like]
    of = space(design_basis(load(kettle(tmp_path, like, one.name))), prune=False)
    r = rows(of, np.arange(of.size))
    laid = of.setups.layout[r.setup]
    mine, its = (np.flatnonzero(laid == list(LAYOUTS).index(name)) for name in (one.name, like))
    assert mine.size == its.size == of.size / 2 > 100
    for column in ("gap", "turns", "cost", "rolls", "height"):
        np.testing.assert_array_equal(getattr(r, column)[mine], getattr(r, column)[its], err_msg=column)
    np.testing.assert_array_equal(r.placement.tube_length[mine], r.placement.tube_length[its])
    np.testing.assert_array_equal(r.checks.broken()[:, mine], r.checks.broken()[:, its])
    easier = [1.0 - WEIGHTS["layers"] * LAYOUTS[name].hardness for name in (one.name, like)]
    np.testing.assert_allclose(
        (10.0 - r.difficulty[mine]) / (10.0 - r.difficulty[its]), easier[0] / easier[1], rtol=1e-12
    )


@pytest.mark.parametrize(
    "like", [pytest.param(kind, marks=() if kind == "nested" else pytest.mark.slow) for kind in TOYS]
)
def test_it_goes_from_recommend_by_way_of_its_file_to_a_sheet(
    tmp_path: Path, toys: None, like: str, optichill: Callable[..., Any]
) -> None:
    one, two = TOYS[like], TOYS[like].layers == 2
    folder, coil, out = kettle(tmp_path, one.name), tmp_path / "coil.toml", tmp_path / "out.json"
    done = optichill("recommend", folder, "--top", 2, "--full", "--json", out, "--save-coil", coil)
    assert done.status == 0
    screen = " ".join(done.out.split())
    assert (one.full in screen) == (f"{one.short}, " in screen) == two
    assert ("~" in screen) == ("~ a toy" in screen) == two
    found = json.loads(out.read_text())["designs"]
    assert {d["layout"] for d in found} == {one.name}
    assert any(one.hard_part in d["difficulty"]["reasons"] for d in found)

    done = optichill("predict", folder, "--coil", coil, "--json", out)
    assert done.status == 0 and ("a toy coil; copper" in " ".join(done.out.split())) == two
    told = json.loads(out.read_text())
    assert told["coil"]["layout"] == one.name
    assert told["prediction"]["chill_time_s"] == pytest.approx(
        found[0]["prediction"]["chill_time_s"], rel=0.01
    )

    done = optichill("sheet", folder, "--coil", coil, "--out", tmp_path / "reports")
    assert done.status == 0
    (html,) = (tmp_path / "reports").rglob("*.html")
    assert (", a toy coil; " in html.read_text(encoding="utf-8")) == two


@layered
def test_its_sheet_draws_and_orders_the_work_as_its_traits_do(tmp_path: Path, toys: None, like: str) -> None:
    plans = []
    for name in (TOYS[like].name, like):
        plan, inputs = own_bench(tmp_path, layout=name, **two_layers(0.2604, 0.1904))
        assert [section.title for section in sheet(plan, inputs, "a4").sections]
        plans.append(plan)
    scenes = [scene_of(plan) for plan in plans]
    steps = [work.steps(p, s, Sizes("metric", p.step)) for p, s in zip(plans, scenes, strict=True)]
    assert scenes[0] == scenes[1] and steps[0] == steps[1]
    said = " ".join(text for step in steps[0] for text in step)
    assert scenes[0].crossing == ("Lead the tube from mark" in said) == (like == "nested")
    assert (len(plans[0].pieces) == 2) == ("with one tee" in said) == (like == "parallel")


@layered
def test_the_page_names_it(tmp_path: Path, toys: None, like: str) -> None:
    one = TOYS[like]
    inputs = load(kettle(tmp_path, one.name))
    data = page_data(weigh(search_space(design_basis(inputs)), in_full=2), inputs, {})
    assert data["layouts"][one.name] == "a toy coil"
    assert data["designs"] and {d["layout"] for d in data["designs"]} == {one.name}
    assert all("toy layers, " in d["what"] for d in data["designs"])
    drawn = [len(data["details"][name]["scene"]["coil"]["layers"]) for name in data["shortlist"]]
    assert set(drawn) == {2}


def test_a_coil_file_of_it_needs_its_layers(toys: None) -> None:
    sizes = {"material": "copper", "outer_diameter": 0.01, "wall": 0.001}
    sizes |= {"riser_length_in": 0.5, "riser_length_out": 0.4}
    turns = {"mean_diameter": 0.26, "pitch": 0.016, "turns": 8.0}
    for like, one in TOYS.items():
        layers = two_layers(0.26, 0.19) if one.layers == 1 else turns
        for name in (like, one.name):
            with pytest.raises(ValueError) as refused:
                Coil(**sizes, layout=name, **layers)
            assert str(refused.value).count("more than one layer" if one.layers == 1 else "needs two") == 1


# --- nobody else tells them apart by name -------------------------------------------------------------------


def told_apart(source: str) -> list[str]:
    """Where a module has a layout's name as a value, or holds a layout's number against one of its own."""

    def last_name(node: ast.expr) -> str:
        if isinstance(node, ast.Subscript):
            return last_name(node.value)
        return getattr(node, "attr", getattr(node, "id", ""))

    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Constant) and node.value in tuple(LAYOUTS):
            found.append(f"{node.lineno}: {node.value}")
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            numbers = [x for x in sides if isinstance(x, ast.Constant) and isinstance(x.value, int)]
            if numbers and any(last_name(x) in ("layout", "layouts") for x in sides):
                found.append(f"{node.lineno}: {ast.unparse(node)}")
    return found


@pytest.mark.parametrize(
    "source",
    [
        'd.layout == "nested"',
        'x = {"single": "", "other": ", "}[layout]',
        'if words["parallel"]: pass',
        'match layout:\n    case "nested": pass',
        "two = setups.layout[setup] == 2",
        "many = self.layout > 0",
    ],
)
def test_telling_them_apart_would_be_found(source: str) -> None:
    assert len(told_apart(source)) == 1
    assert not told_apart('"""Of a single tube, nested."""\nplan.layout.tubes == 2\ncoils.parallel or single')


def test_no_other_module_tells_layouts_apart_by_name_or_number() -> None:
    modules = [path for path in (ROOT / "optichill").rglob("*.py") if path.name != "layouts.py"]
    assert len(modules) > 100
    found = {str(path): told_apart(path.read_text(encoding="utf-8")) for path in modules}
    assert not {path: places for path, places in found.items() if places}
