"""The wound tube's geometry against tube tables, worked examples and the trade's rules of thumb."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from optichill.geometry import helix
from optichill.materials import COPPER, STAINLESS_304

INCH, FOOT = 0.0254, 0.3048
TUBES = rows("tube_dimensions.csv")


@pytest.mark.parametrize("row", TUBES, ids=lambda r: f"{r['standard'][:10]} {r['designation']}")
def test_mass_and_bore_of_every_standard_size(row):
    # Sizes: ASTM B280, B88, A269, EN 1057 as the row says (V or M); tables round to 4 decimals of kg/m.
    metric = row["standard"].startswith("EN")
    d_o = float(row["od_mm"]) / 1000 if metric else float(row["od_in"]) * INCH
    t = float(row["wall_mm"]) / 1000 if metric else float(row["wall_in"]) * INCH
    d_i = helix.inside_diameter(d_o, t)
    density = (COPPER if row["material"].startswith("Cu") else STAINLESS_304).density
    assert helix.tube_mass(d_o, d_i, 1.0, density) == pytest.approx(float(row["kg_per_m"]), abs=1.1e-4)
    assert helix.bore_volume(d_i, 1.0) * 1e6 == pytest.approx(float(row["bore_area_mm2"]), abs=0.011)


def test_length_and_height_worked_example():
    # Hand calculation: 10.1 sqrt((pi 234.2)^2 + 19.05^2) = 7434 mm; 10.1 x 19.05 + 9.525 = 201.9 mm.
    assert helix.helix_length(0.2342, 0.01905, 10.1) == pytest.approx(7.434, abs=5e-4)
    assert helix.helix_height(0.01905, 10.1, 0.009525) == pytest.approx(0.2019, abs=5e-5)
    assert helix.turns_in_length(7.434, 0.2342, 0.01905) == pytest.approx(10.1, abs=1e-3)
    assert np.degrees(helix.lead_angle(0.2342, 0.01905)) == pytest.approx(1.483, abs=1e-3)


def test_25_ft_of_3_8_tube_makes_ten_and_a_half_turns_of_8_in():
    # Common practice, no source: less two risers of 16 in, 10.6 to 10.7 turns, 8.4 in tall at twice the OD.
    turns = helix.turns_in_length(25 * FOOT - 32 * INCH, 8 * INCH, 0.75 * INCH)
    assert 10.6 <= turns <= 10.7
    assert helix.helix_height(0.75 * INCH, turns, 0.375 * INCH) / INCH == pytest.approx(8.4, abs=0.05)


@pytest.mark.parametrize(
    ("od", "wall", "mass", "water", "displaced"),
    [(0.375, 0.032, 3.0, 0.75e-3, 1.09e-3), (0.5, 0.032, 4.1, 1.5e-3, 1.9e-3)],
)
def test_fifty_feet_of_soft_copper(od, wall, mass, water, displaced):
    # Common practice, no source; two figures given, hence 3 %.
    d_o, L = od * INCH, 50 * FOOT
    d_i = helix.inside_diameter(d_o, wall * INCH)
    assert helix.tube_mass(d_o, d_i, L, COPPER.density) == pytest.approx(mass, rel=0.03)
    assert helix.bore_volume(d_i, L) == pytest.approx(water, rel=0.03)
    assert helix.outer_volume(d_o, L) == pytest.approx(displaced, rel=0.03)


def test_single_layer_that_fills_20_L_in_a_36_cm_kettle():
    # 20 L stand 0.196 m deep: about 13 m of 3/8 tube touching, half of it at twice the OD.
    D_c, d_o, depth = 0.212, 0.009525, 0.196
    turns = (depth - d_o) / np.array([d_o, 2 * d_o])
    lengths = helix.helix_length(D_c, [d_o, 2 * d_o], turns)
    assert lengths[0] == pytest.approx(13.0, rel=0.03)
    assert lengths[1] == pytest.approx(6.5, rel=0.05)


def test_wetted_turns_by_fraction_and_at_the_ends():
    levels = [0.0, 0.03, 0.03 + 2.5 * 0.02, 0.03 + 10 * 0.02, 1.0]
    assert helix.wetted_turns(0.03, 0.02, 10.0, levels) == pytest.approx([0.0, 0.0, 2.5, 10.0, 10.0])


def test_crossing_lies_between_straight_out_and_the_full_quarter_of_the_outer_layer():
    crossing = helix.nested_crossing_length(0.18, 0.24)
    assert 0.03 < crossing < np.pi / 4 * 0.24 + 0.03
    assert helix.nested_crossing_length(0.2, 0.2) == pytest.approx(np.pi / 4 * 0.2)


@given(st.floats(0.05, 0.5), st.floats(0.004, 0.06), st.floats(0.5, 60))
def test_turns_and_length_are_inverse_and_never_shorter_than_the_flat_ring(D_c, p, N):
    L = helix.helix_length(D_c, p, N)
    assert helix.turns_in_length(L, D_c, p) == pytest.approx(N, rel=1e-12)
    assert L >= N * np.pi * D_c
    assert L * np.cos(helix.lead_angle(D_c, p)) == pytest.approx(N * np.pi * D_c, rel=1e-12)


def test_vector_equals_loop_nan_stays_and_inputs_are_left_alone():
    D_c, p, N = np.array([0.2, np.nan, 0.3]), np.array([0.01, 0.02, 0.03]), np.array([8.0, 9.0, 10.0])
    before = D_c.copy(), p.copy(), N.copy()
    L = helix.helix_length(D_c, p, N)
    assert np.isnan(L[1]) and np.isfinite(L[[0, 2]]).all()
    assert L[[0, 2]] == pytest.approx([helix.helix_length(D_c[i], p[i], N[i]) for i in (0, 2)], rel=1e-15)
    wet = helix.wetted_turns(0.02, p, N, np.array([0.05, np.nan, 0.1]))
    assert np.isnan(wet).tolist() == [False, True, False]
    for array, old in zip((D_c, p, N), before, strict=True):
        np.testing.assert_array_equal(array, old)


def test_integers_are_taken_as_numbers():
    assert helix.helix_length(1, 0, 2).dtype == np.float64
    assert helix.coil_across([1, 2], 1).tolist() == [2.0, 3.0]
    assert helix.clear_gap(0.012, 0.0095) == pytest.approx(0.0025)
    assert helix.top_turn_height(0.03, 0.02, 10) == pytest.approx(0.23)
