"""Springback and the two states of a coil, against limits, integrals and the trade."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from optichill.geometry import helix, kinking, springback
from optichill.materials import COPPER, STAINLESS_304, STAINLESS_316, handbook_lever_minimum

INCH, FOOT = 0.0254, 0.3048


tubes = st.tuples(st.floats(0.006, 0.022), st.floats(0.04, 0.2))


def growth_on_203_mm(Y, E):
    d_o, t = 0.009525, 0.00081
    d_i = helix.inside_diameter(d_o, t)
    return springback.growth(springback.springback_ratio(d_o, d_i, (0.203 + d_o) / 2, Y, E))


def copper_three_eighths_on(D_f):
    d_o, d_i = 0.375 * INCH, (0.375 - 0.064) * INCH
    k = springback.springback_ratio(d_o, d_i, (D_f + d_o) / 2, COPPER.yield_effective, COPPER.youngs_modulus)
    return d_o, k


def test_how_much_a_coil_grows():
    # Common practice, no source: 3/8 x .032 on 203 mm, copper 1.9 to 3.8 %, stainless 304 5 to 7 %.
    low, high = growth_on_203_mm(np.array(COPPER.yield_band), COPPER.youngs_modulus)
    assert (low, high) == pytest.approx((0.019, 0.038), abs=0.0006)
    for metal in (STAINLESS_304, STAINLESS_316):
        low, high = growth_on_203_mm(np.array(metal.yield_band), metal.youngs_modulus)
        assert 0.05 <= low < high <= 0.07


def test_elastic_bend_springs_straight():
    R = np.array([20.0, 1e3, 1e6])  # Y R / E > d_o / 2 beyond 5.6 m
    k = springback.springback_ratio(0.009525, 0.0079, R, 100e6, 117e9)
    assert k == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)


def test_tight_bend_reaches_the_full_plastic_moment():
    M = springback.bending_moment(0.009525, 0.0079, 1e-4, 100e6, 117e9)
    assert M == pytest.approx(springback.full_plastic_moment(0.009525, 0.0079, 100e6), rel=1e-6)


def test_full_plastic_moment_is_the_area_times_its_lever():
    # Y times the first moment of both half rings, textbook: 2 (2/3)(r_o^3 - r_i^3) Y.
    r_o, r_i = 0.0127 / 2, 0.0111 / 2
    expected = 4 / 3 * (r_o**3 - r_i**3) * 100e6
    assert springback.full_plastic_moment(2 * r_o, 2 * r_i, 100e6) == pytest.approx(expected)


@pytest.mark.parametrize("R", [0.05, 0.11, 0.5, 2.0, 4.0, 5.3, 9.0])
def test_bending_moment_equals_the_stress_integrated_over_the_section(R):
    d_o, d_i, Y, E = 0.009525, 0.0079, 100e6, 117e9

    def chord(d, y):
        return np.sqrt(max(d * d / 4 - y * y, 0.0))

    def moment_density(y):
        return min(E * y / R, Y) * y * 2 * (chord(d_o, y) - chord(d_i, y))

    breaks = sorted({d_i / 2, min(Y * R / E, d_o / 2)})
    expected, _ = quad(moment_density, 0, d_o / 2, points=breaks, limit=200)
    assert springback.bending_moment(d_o, d_i, R, Y, E) == pytest.approx(2 * expected, rel=1e-6)


def test_the_two_states_hold_the_same_tube():
    D_f, d_o, k, p, N = 0.2191, 0.009525, 0.9716, 0.019, 9.5
    D = springback.relaxed_mean_diameter(D_f, d_o, k)
    on_form = springback.turns_on_form(N, k) * springback.turn_length_on_form(D_f, d_o, p, k)
    assert on_form == pytest.approx(helix.helix_length(D, p, N), rel=1e-12)
    assert springback.turns_on_form(N, k) * springback.pitch_on_form(p, k) == pytest.approx(N * p)
    assert springback.relaxed_turns(springback.turns_on_form(N, k), k) == pytest.approx(N)
    assert springback.form_diameter(D, d_o, k) == pytest.approx(D_f)
    assert springback.form_height_needed(N, k, d_o) == pytest.approx((N / k + 1.5) * d_o)


def test_nineteen_turns_on_a_ten_inch_pipe_unwind_240_degrees():
    # Common practice, no source: about 240 deg on a 10.75 in form (NPS 10, ASME B36.10).
    _, k = copper_three_eighths_on(10.75 * INCH)
    assert 360 * (19 - springback.relaxed_turns(19, k)) == pytest.approx(240, abs=5)


def test_25_ft_on_an_8_in_pipe():
    # Common practice, no source: 8.625 in pipe (NPS 8), 9.5 turns on the form, 9.2 once relaxed.
    d_o, k = copper_three_eighths_on(8.625 * INCH)
    wound = helix.turns_in_length(25 * FOOT - 32 * INCH, 8.625 * INCH + d_o, d_o)
    assert wound == pytest.approx(9.5, abs=0.05)
    assert springback.relaxed_turns(wound, k) == pytest.approx(9.2, abs=0.05)


def test_50_ft_on_a_keg():
    # Common practice, no source: 9 in keg, two risers of 20 in, 18.5 to 19.5 turns on the form.
    d_o = 0.375 * INCH
    assert 18.5 <= helix.turns_in_length(50 * FOOT - 40 * INCH, 9 * INCH + d_o, d_o) <= 19.5


@given(tubes, st.floats(0.02, 10.0), st.floats(60e6, 600e6))
def test_springback_lies_between_none_and_all_and_grows_with_stress(tube, R, Y):
    d_o, d_i = tube[0], tube[0] * (1 - 2 * tube[1])
    k = springback.springback_ratio(d_o, d_i, R, Y, 117e9)
    assert -1e-9 <= k < 1.0
    assert springback.springback_ratio(d_o, d_i, R, 1.1 * Y, 117e9) <= k + 1e-9
    assert springback.springback_ratio(d_o, d_i, 1.1 * R, Y, 117e9) <= k + 1e-9


def test_vector_equals_loop_nan_stays_and_inputs_are_left_alone():
    d_o = np.array([0.009525, np.nan, 0.0127])
    before = d_o.copy()
    d_i = helix.inside_diameter(d_o, 0.0008)
    k = springback.springback_ratio(d_o, d_i, 0.12, 100e6, 117e9)
    free = kinking.free_winding_radius(d_o, 0.0008, 0.34)
    for values in (k, free, handbook_lever_minimum(d_o, 0.0008)):
        assert np.isnan(values).tolist() == [False, True, False]
    for i in (0, 2):
        assert k[i] == springback.springback_ratio(d_o[i], d_i[i], 0.12, 100e6, 117e9)
        assert free[i] == kinking.free_winding_radius(d_o[i], 0.0008, 0.34)
    np.testing.assert_array_equal(d_o, before)
