"""Strips between two layers of one tube count in how hard a coil is: none for none, more for thick and many.

Ours is only the order (OWN): that no strips are less work than some is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import small_stock

import optichill as oc
from optichill.fabrication.purse import how_hard
from optichill.geometry.strips import how_many, strips, thick_ones, thickest
from optichill.layouts import LAYOUTS
from optichill.problem.windings import PACKING
from optichill.report.design_json import design as design_json
from optichill.search.designs import designs
from optichill.search.evaluate import Rows, rows
from optichill.search.space import Space, space
from optichill.workshop.difficulty import TERMS, WEIGHTS, difficulty_terms, score

LAYERS = ["single", "nested", "parallel"]


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> tuple[Space, Rows]:
    """Every row of a list whose forms lie a little and far apart."""
    stock = small_stock.lists()
    like = dict(stock["forms"][0])
    stock["forms"] = [
        {**like, "form_id": f"f{mm}", "outer_diameter": f"{mm} mm"} for mm in (150, 178, 184, 190, 205)
    ]
    shop = {"layouts": LAYERS, "marking_increment": "5 mm", "riser_sides": "same"}
    of = space(small_stock.of(tmp_path_factory.mktemp("strips"), {"workshop": shop}, stock), prune=False)
    return of, rows(of, np.arange(0, of.size, len(of.valve_shares)))


def of_layout(of: Space, r: Rows, name: str) -> np.ndarray:
    return np.flatnonzero(of.setups.layout[r.setup] == list(LAYOUTS).index(name))


def counted(of: Space, setup: np.ndarray) -> np.ndarray:
    return difficulty_terms(of.setups.job(setup, 5.0, 0.0, False))[TERMS.index("strips")]


def test_only_a_coil_with_strips_pays_for_them(found: tuple[Space, Rows]) -> None:
    of, r = found
    for name in ("single", "parallel"):
        assert (counted(of, r.setup[of_layout(of, r, name)]) == 0.0).all()
    nested = counted(of, r.setup[of_layout(of, r, "nested")])
    assert (nested > 0.0).all() and (nested <= WEIGHTS["strips"]).all() and np.unique(nested).size == 3


def test_thicker_strips_on_one_form_are_harder(found: tuple[Space, Rows]) -> None:
    """Difficulty did not tell strips of 4 mm from those of 20: all else alike, the outer form decided nothing
    of the kind."""
    of, _ = found
    s = of.setups.take(np.flatnonzero(of.setups.layout == list(LAYOUTS).index("nested")))
    D_in, D_out, d_o = s.inside("D_form"), s.get("D_form"), s.get("d_o")
    thick = strips(D_in, D_out, d_o, PACKING)[0]
    share = thick / thickest(D_in, d_o)
    assert (how_many(D_in, D_out, d_o) == 12).all()  # forms of this size take a dozen: thickness decides
    term = difficulty_terms(s.job(slice(None), 5.0, 0.0, False))[TERMS.index("strips")]
    order = np.argsort(share)
    assert (np.diff(term[order]) >= 0.0).all() and term[order[-1]] > 2.0 * term[order[0]]
    np.testing.assert_allclose(term, WEIGHTS["strips"] * np.minimum(share, 1.0))  # a dozen, by hand


def test_more_strips_of_one_thickness_are_harder() -> None:
    """Strips of 12 mm under the same width of step: on a form of 29 cm there are more of them than on 14."""
    few, many = thick_ones([0.140, 0.290], [0.190, 0.340], 0.010, 0.003).tolist()
    assert how_many([0.140, 0.290], [0.190, 0.340], 0.010).tolist() == [12.0, 16.0]
    assert many == pytest.approx(16.0 * 0.012 / 0.0225) and few < many


def test_the_terms_of_a_document_make_up_its_score(found: tuple[Space, Rows]) -> None:
    of, r = found
    places = of_layout(of, r, "nested")
    place = places[np.argmax(counted(of, r.setup[places]))]
    (design,) = designs(of, r.number[[place]], None, np.zeros(1, np.intp))
    told = design_json(design, of.basis)["difficulty"]
    assert list(told["terms"]) == list(TERMS) and told["terms"]["strips"] > 0.03
    assert float(score(list(told["terms"].values()))) == pytest.approx(told["score"]) == r.difficulty[place]
    without = {name: share for name, share in told["terms"].items() if name != "strips"}
    assert float(score(list(without.values()))) < told["score"]
    assert any("strips" in reason for reason in told["reasons"])


def test_the_sheet_has_the_figure_of_the_search(tmp_path: Path) -> None:
    """Of a coil of two layers, whose strips are told by its sizes alone."""
    kettle = oc.read(small_stock.write(tmp_path, {"workshop": {"layouts": ["nested"]}}))
    design = oc.recommend(kettle, top=1).designs[0]
    assert design.hard_terms["strips"] > 0.0
    plan = oc.plan_work(design, kettle).plan
    assert how_hard(plan) == pytest.approx(design.difficulty, abs=1e-3)
