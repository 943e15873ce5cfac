"""Riser bends by lever, spring and hand, against the handbook and the trade."""

from fractions import Fraction

import numpy as np
import pytest
from tables import rows

from optichill.geometry import riser_bends
from optichill.materials import COPPER, STAINLESS_304

INCH, FOOT = 0.0254, 0.3048

BENDS = rows("bend_radius.csv")


@pytest.mark.parametrize("row", [r for r in BENDS if "Copper Tube Handbook" in r["tool_source"]],
                         ids=lambda r: r["tube"])  # fmt: skip
def test_lever_minimum_of_the_copper_tube_handbook(row):
    # Copper Tube Handbook, bending guide for annealed tube in mechanical benders (V).
    d_o = float(row["od_in"]) * INCH
    assert COPPER.lever_minimum(d_o, 0.001) / INCH == pytest.approx(float(row["tool_min_radius_in"]))


@pytest.mark.parametrize("row", [r for r in BENDS if r["material"] == "304 annealed"],
                         ids=lambda r: r["tube"])  # fmt: skip
def test_lever_minimum_of_stainless(row):
    # 3 OD, 4 OD if OD/t > 17: common practice, no source.
    d_o, t = float(row["od_in"]) * INCH, float(row["wall_in"]) * INCH
    minimum = riser_bends.riser_bend_minimum(d_o, t, STAINLESS_304, "lever")
    assert minimum / INCH == pytest.approx(float(row["tool_min_radius_in"]))


@pytest.mark.parametrize("row", [r for r in BENDS if r["material"] == "Cu annealed"], ids=lambda r: r["tube"])
def test_ordinary_lever_benders_are_allowed_for_soft_copper(row):
    # Centre line radii of ordinary hand benders (M), whole inches and fractions; the smaller of a range.
    radius = sum(
        float(Fraction(part))
        for part in row["lever_bender_clr_in"].replace("11/16-15/16", "11/16").split("-")
    )
    d_o, t = float(row["od_in"]) * INCH, float(row["wall_in"]) * INCH
    minimum = riser_bends.riser_bend_minimum(d_o, t, COPPER, "lever")
    assert riser_bends.riser_bend_radius(d_o, t, COPPER.poisson, "lever", radius * INCH) >= minimum - 1e-12


def test_metric_benders_of_three_diameters_are_allowed():
    # 3 d_o former for metric copper: classification rule (V), the ordinary tool (M).
    d_o = np.array([0.010, 0.012, 0.015, 0.022])
    assert (3 * d_o >= COPPER.lever_minimum(d_o, 0.001)).all()


def test_riser_bends_by_tool():
    d_o, t, nu = 0.009525, 0.0008128, COPPER.poisson
    kinds = np.array(["lever", "spring", "hand", "teeth"])
    R = riser_bends.riser_bend_radius(d_o, t, nu, kinds, tool_radius=15 / 16 * INCH)
    assert R[0] == pytest.approx(0.0238125)
    assert R[1] == pytest.approx(0.0381)
    assert R[2] == pytest.approx(0.0511, abs=5e-4)
    assert np.isnan(R[3])
    minimum = riser_bends.riser_bend_minimum(d_o, t, COPPER, kinds)
    assert (R[:3] >= minimum[:3]).all() and np.isnan(minimum[3])
    assert riser_bends.riser_bend_minimum(d_o, t, STAINLESS_304, "hand") == np.inf
