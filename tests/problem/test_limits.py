"""One limit, one record: a limit made up here is told by every page, and no other room keeps a list."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import small_stock
from conftest import Done
from own_coil import SIZES
from where import ROOT

from optichill.files.coil_file import coil_text
from optichill.files.reading import load
from optichill.geometry import helix, risers
from optichill.materials import MATERIALS
from optichill.model.coil import Coil
from optichill.problem import placement
from optichill.problem.basis import DesignBasis, design_basis
from optichill.problem.checks import Checks
from optichill.problem.limits import LIMITS, MASS, Limit
from optichill.problem.placement import Placement, Shape
from optichill.rating.coil_rating import quick_rating
from optichill.report.tradeoff.data import page_data
from optichill.report.warnings import of_given
from optichill.search.front import GOALS
from optichill.search.recommend import search_space
from optichill.search.tradeoff import weigh

Run = Callable[..., Done]

# --- a limit made up: a record and its check, nothing else -------------------------------------------------

TOY = Limit("toy_mass", "what the tube may weigh", "allow {to} of tube instead of {now}", shown=MASS)
COPPER = MATERIALS["copper"].density


@pytest.fixture
def mass_at_most(monkeypatch: pytest.MonkeyPatch) -> Callable[[float], None]:
    """Limit the mass of the tube [kg], all of it copper."""
    monkeypatch.setitem(LIMITS, TOY.name, TOY)

    def limit(most: float) -> None:
        def check(checks: Checks, basis: DesignBasis, shape: Shape, placed: Placement) -> None:
            made = placed.tube_length - 2.0 * risers.TRIM  # which is cut off
            mass = helix.tube_mass(shape.d_o, shape.d_i, made, COPPER)
            checks.at_most("toy_mass", mass, most)

        monkeypatch.setattr(placement, "FIT_CHECKS", [*CHECKS, check])

    return limit


CHECKS = tuple(placement.FIT_CHECKS)


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    """A stock of two copper rolls and two forms."""
    stock = small_stock.lists()
    stock["tubing"], stock["forms"] = stock["tubing"][:2], stock["forms"][:2]
    return small_stock.write(tmp_path / "kit", {}, stock)


def answer(optichill: Run, kit: Path) -> tuple[Done, dict[str, Any]]:
    done = optichill("recommend", kit, "--top", "2", "--json", kit / "a.json")
    return done, json.loads((kit / "a.json").read_text())


def toy_line(lines: list[dict[str, Any]]) -> dict[str, Any]:
    return next(line for line in lines if line["name"] == "toy_mass")


def paragraph(out: str, label: str) -> str:
    """A labelled paragraph of a screen on one line; all of that label, if there are several."""
    said, inside = [], False
    for line in out.splitlines():
        inside = line.startswith(label) or (inside and line.startswith("  "))
        said += [line.removeprefix(label).strip()] if inside else []
    return " ".join(said)


def test_a_new_limit_that_holds_is_in_the_json_of_every_design(
    optichill: Run, kit: Path, mass_at_most: Callable[[float], None]
) -> None:
    mass_at_most(50.0)
    done, told = answer(optichill, kit)
    assert done.status == 0 and len(told["designs"]) == 2
    for design in told["designs"]:
        line = toy_line(design["limits"])
        assert design["limits"][-1] == line  # records stand in their order, the newest last
        assert line["holds"] and line["limit"] == 50.0
        # The design's own mass is worked out apart from its limits.
        assert line["value"] == pytest.approx(design["coil"]["mass_kg"], rel=1e-9)
        assert line["margin"] == pytest.approx(50.0 - line["value"], rel=1e-9)


def test_a_new_limit_rules_out_what_breaks_it(
    optichill: Run, kit: Path, mass_at_most: Callable[[float], None]
) -> None:
    free = answer(optichill, kit)[1]
    most = min(d["coil"]["mass_kg"] for d in free["designs"]) - 0.1
    mass_at_most(most)
    told = answer(optichill, kit)[1]
    assert told["designs"] and all(d["coil"]["mass_kg"] <= most for d in told["designs"])
    assert told["search"]["feasible"] < free["search"]["feasible"]
    assert told["search"]["enumerated"] == free["search"]["enumerated"]


def test_a_new_limit_in_the_way_is_named_and_its_step_opens_a_coil(
    optichill: Run, kit: Path, mass_at_most: Callable[[float], None]
) -> None:
    mass_at_most(0.3)
    done, told = answer(optichill, kit)
    assert done.status == 3
    assert [c["limits"] for c in told["conflicts"]] == [["toy_mass"]]
    assert paragraph(done.out, "IN THE WAY") == "what the tube may weigh"
    (step,) = told["conflicts"][0]["relax"]
    mass = step["design"]["coil"]["mass_kg"]
    said = re.match(r"allow (\d+) g of tube instead of 300 g opens", paragraph(done.out, "WAY OUT 1"))
    assert said, done.out
    enough = float(said[1]) / 1e3
    assert step["to"] <= enough < step["to"] + 0.1  # rounded to the side on which it suffices
    assert step["from"] == 0.3 and step["to"] * (1.0 - 1e-9) <= mass <= enough  # the best that it opens
    mass_at_most(enough)
    assert answer(optichill, kit)[0].status == 0
    mass_at_most(0.999 * step["to"])
    assert answer(optichill, kit)[0].status == 3


def test_a_step_nobody_can_take_is_no_advice(
    optichill: Run, kit: Path, mass_at_most: Callable[[float], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(LIMITS, TOY.name, Limit("toy_mass", TOY.words, None, shown=MASS))
    mass_at_most(0.3)
    done, told = answer(optichill, kit)
    assert done.status == 3 and "WAY OUT" not in done.out
    assert told["conflicts"] == [{"limits": ["toy_mass"], "relax": []}]


def test_a_new_limit_is_on_the_page(kit: Path, mass_at_most: Callable[[float], None]) -> None:
    mass_at_most(50.0)
    inputs = load(kit)
    found = weigh(search_space(design_basis(inputs)), in_full=1)
    page = page_data(found, inputs, {})
    for name, details in page["details"].items():
        (row,) = [row for row in details["limits"] if row[0] == TOY.words]
        mass = found.full[name].mass
        shown, left = (f"{m:.1f}".removesuffix(".0") for m in (mass, 50.0 - mass))
        assert row == [TOY.words, f"{shown} kg", "50 kg", f"{left} kg", "holds"]
    mass_at_most(0.3)
    page = page_data(weigh(search_space(design_basis(inputs))), inputs, {})
    assert f"In the way: {TOY.words}" in page["answer"]


def test_a_given_coil_that_breaks_a_new_limit_is_warned_of(
    optichill: Run, kit: Path, mass_at_most: Callable[[float], None]
) -> None:
    coil = kit / "coil.toml"
    given = Coil(**SIZES)
    coil.write_text(coil_text(given, demo=False, brewhouse="Small kettle", units="metric"), encoding="utf-8")
    mass_at_most(1.0)
    done = optichill("predict", kit, "--coil", coil, "--json", kit / "p.json")
    line = toy_line(json.loads((kit / "p.json").read_text())["limits"])
    assert done.status == 0 and not line["holds"]
    assert f"{TOY.words.capitalize()}: {line['value']:.1f} kg, wanted 1 kg." in paragraph(done.out, "WARNING")
    mass_at_most(line["value"])
    basis = design_basis(load(kit))
    assert not any(TOY.words in said for said in of_given(quick_rating(basis, given), basis))


# --- every record ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS)
def test_every_record_can_be_said(limit: Limit) -> None:
    sizes = dict.fromkeys(("to", "now", "value", "bound", "part", "short", "needed", "of", "words"), "x")
    for text in (limit.advice, limit.warning, limit.stops):
        assert "{" not in (text or "").format(**sizes)
    if limit.advice is not None and limit.name != "riser_bend":  # a tool to get, whatever its radius
        assert "{to}" in limit.advice
    assert limit.helps or not limit.stops
    assert not limit.collides or limit.stops
    assert LIMITS[limit.name] is limit


@pytest.mark.parametrize(
    ("name", "now", "to", "movable"),
    [
        ("headspace", 0.050, 0.020, True),
        ("headspace", 0.050, 0.019, False),  # wort near boiling
        ("headspace", 0.010, 0.005, False),
        ("wall", 0.030, 0.0, True),
        ("wall", 0.030, -1e-4, False),
        ("submergence", 0.015, -0.017, False),
        ("mouth", 0.22, 0.253, False),  # a kettle is as wide as it is
        ("winding_radius", 0.10, 0.09, False),
        ("riser_bend", 10.0, 0.04, True),
        ("riser_bend", 0.05, 0.04, False),
        ("chill_time", 600.0, 6 * 3600.0, True),
        ("chill_time", 600.0, 7 * 3600.0, False),
        ("budget", 60.0, 6000.0, True),
        ("wall", 0.030, float("nan"), False),
    ],
)
def test_how_far_a_person_can_move_a_limit(name: str, now: float, to: float, movable: bool) -> None:
    assert bool(LIMITS[name].out_of_hand(to, now)) == (not movable)


def test_a_bound_is_a_parts_only_beyond_what_the_brewer_asks_for(tmp_path: Path) -> None:
    kettle = small_stock.of(tmp_path, {"kettle": {"wall_clearance": "20 mm"}}).brewhouse.kettle
    assert not LIMITS["wall"].of_a_part(0.020, kettle)
    assert LIMITS["wall"].of_a_part(0.021, kettle)
    assert not LIMITS["mouth"].of_a_part(99.0, kettle)


# --- no other list of limits -------------------------------------------------------------------------------

FLOORS = ("problem", "rating", "search", "fabrication", "report", "cli")
"""Floors that know limits: on those below, the same words are keys of a file or places in a kettle."""

HOMONYMS = (set(GOALS), {"wall", "floor", "centre"})
"""Goals, and where parts stand in the kettle, share words with limits: a table of just these is theirs."""

FEW = 2
"""So many limits may stand together in another room: it is about them. A list of more is a second record."""


KNOWN = {*LIMITS, *GOALS}


def names_in(node: ast.AST) -> set[str]:
    """Limits named as keys of a dict, or entries of a tuple, list or set, down through what these hold."""
    inner: list[ast.expr | None] = []
    if isinstance(node, ast.Dict):
        inner = [*node.keys, *(v for v in node.values if not isinstance(v, ast.Constant))]
    elif isinstance(node, ast.Tuple | ast.List | ast.Set):
        inner = [*node.elts]
    elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in KNOWN:
        return {node.value}
    return set().union(*(names_in(n) for n in inner if n is not None))


def asked_in(function: ast.AST) -> set[str]:
    """Limits that a function tells apart by name."""
    compared = [node for node in ast.walk(function) if isinstance(node, ast.Compare)]
    return set().union(*(names_in(side) for node in compared for side in (node.left, *node.comparators)))


def works_out(function: ast.AST) -> bool:
    """Whether a function works limits out: there they are named beside value and bound."""
    calls = [n.func for n in ast.walk(function) if isinstance(n, ast.Call)]
    return any(isinstance(f, ast.Attribute) and f.attr in ("at_most", "at_least") for f in calls)


def lists_of_limits(source: str) -> Iterator[set[str]]:
    """Every set of more than FEW limits that a module holds in a literal, or tells apart in one function."""
    tree = ast.parse(source)
    functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]
    computing = [f for f in functions if works_out(f)]
    free = {id(n) for f in computing for n in ast.walk(f)}
    found = [names_in(n) for n in ast.walk(tree) if id(n) not in free]
    found += [asked_in(f) for f in functions if f not in computing]
    for names in found:
        if names not in HOMONYMS and len(names & LIMITS.keys()) > FEW:
            yield names


@pytest.mark.parametrize(
    ("source", "lists"),
    [
        ('ROOMS = ("wall", "mouth", "riser_gap")', True),
        ('WORDS = {"gap": "the gap", "wall": "the wall", "budget": "the budget"}', True),
        ('def f(n):\n    if n == "gap": return 1\n    if n in ("wall", "floor"): return 2', True),
        ('BENT = ("riser_gap", "mouth")', False),
        (f"GOALS = {GOALS!r}", False),
        ('PLACES = {"wall": 1, "floor": 2, "centre": 3}', False),
        ('def f(c):\n    for n in ("ice", "water", "bucket"):\n        c.at_most(n, 1.0, 1.0)', False),
    ],
)
def test_a_list_of_limits_would_be_found(source: str, lists: bool) -> None:
    assert any(lists_of_limits(source)) == lists


def test_only_the_records_list_the_limits() -> None:
    house = ROOT / "optichill"
    paths = {path for floor in FLOORS for path in (house / floor).rglob("*.py")}
    assert len(paths) > 60
    for path in sorted(paths - {house / "problem" / "limits.py"}):
        assert not [*lists_of_limits(path.read_text(encoding="utf-8"))], path
