"""Riser lengths and sides: worked examples, limits, invariants."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.geometry import riser_bends, risers
from optichill.materials import COPPER

RIGHT = np.pi / 2


def test_offset_of_risers_bent_by_hand():
    # Common practice, no source: 10 mm for 3/8 x .032 and 43 mm for 1/2 x .032, on a coil of 10 in.
    d_o = np.array([0.009525, 0.0127])
    R_b = riser_bends.riser_bend_radius(d_o, 0.0008128, COPPER.poisson, "hand")
    offset = risers.riser_axis_radius(0.127, R_b) - 0.127
    assert offset * 1000 == pytest.approx([10, 43], abs=1.0)
    axis = risers.passing_riser_axis_radius(0.127, R_b, d_o)  # the upright part alone
    assert axis - 0.127 == pytest.approx(np.maximum(offset, d_o + 0.005))


def test_a_riser_from_the_lowest_turn_clears_the_turns_above_it():
    # A bender of 24 mm on a 10 in coil leaves the tube 2.2 mm outside the turns' centre line: inside the
    # next turn. Points along the riser and along a turn above, as far apart as a tube is thick.
    R_c, R_b, d_o = 0.127, 0.024, 0.009525
    natural = np.hypot(R_c, R_b)
    assert natural - R_c == pytest.approx(0.00225, abs=5e-5)
    assert natural - R_c < d_o
    axis = risers.passing_riser_axis_radius(R_c, R_b, d_o)
    angles = np.linspace(0.0, 2.0 * np.pi, 721)
    turn = R_c * np.stack([np.cos(angles), np.sin(angles)])
    nearest = np.hypot(*(turn - np.array([[axis], [0.0]]))).min()
    assert nearest - d_o == pytest.approx(0.005, abs=1e-6)
    assert axis == pytest.approx(R_c + 0.014525)
    # So far out must the foot stand for that: its own tangent brings it to the axis.
    assert np.hypot(R_c + risers.pulled_out(R_c, R_b, d_o), R_b) == pytest.approx(axis)
    # A wide bend by hand stands clear by itself once it is upright.
    assert risers.pulled_out(R_c, 0.11, 0.0127) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.06, 0.25), st.floats(1.8, 9.0), st.floats(0.006, 0.018), st.floats(0.0, 1.5))
def test_the_bend_passes_the_next_turn(R_c, bend, d_o, gap):
    """The tube of the bend and of the turn above, point by point: never nearer than a tube and about 2 mm."""
    R_b, pitch = min(bend * d_o, 0.9 * R_c), (1.0 + gap) * d_o
    foot = R_c + float(risers.pulled_out(R_c, R_b, d_o, pitch))
    theta = np.linspace(0.0, np.pi / 2.0, 400)[:, None]
    along, z = R_b * np.sin(theta), R_b * (1.0 - np.cos(theta))
    r, behind = np.hypot(foot, along), np.arctan2(along, foot)
    # The turn above goes down towards the riser: it is met at a pitch less the climb of that angle.
    angles = np.linspace(-0.5, 0.5, 201)[None, :]
    above = pitch - pitch * (behind + angles) / (2.0 * np.pi)
    x, y = r, np.zeros_like(r)
    apart = np.sqrt((x - R_c * np.cos(angles)) ** 2 + (y - R_c * np.sin(angles)) ** 2 + (z - above) ** 2)
    nearest = apart.min() - d_o
    assert nearest > 0.0012 or pitch < d_o + 0.0012
    assert nearest > -1e-4


def test_riser_length_against_pieces_laid_end_to_end():
    # Arc up, straight, arc outwards, straight: added up piece by piece.
    R, low, rim = 0.024, 0.03, 0.40
    straight = risers.riser_straight_height(low, rim, R)
    pieces = R * RIGHT + straight + R * RIGHT + (0.05 + 0.15 - R)
    assert risers.riser_length(low, rim, R, 0.15, to_wall=0.05) == pytest.approx(pieces)
    assert straight == pytest.approx(0.40 + 0.03 - 0.03 - 0.048)


def test_top_riser_is_shorter_by_the_climb_of_the_turns():
    bottom, top = risers.riser_length(np.array([0.03, 0.03 + 10 * 0.019]), 0.4, 0.024, 0.15)
    assert bottom - top == pytest.approx(0.19)


def test_submerged_riser():
    R, levels = 0.03, [0.0, 0.05, 0.05 + 0.03, 0.25]
    wet = risers.submerged_riser_length(0.05, levels, R)
    assert wet == pytest.approx([0.0, 0.0, R * RIGHT, R * RIGHT + 0.17])


@given(st.floats(0.0, 0.3), st.floats(0.0, 0.4), st.floats(0.01, 0.15))
def test_submerged_riser_is_at_least_as_long_as_it_is_deep(start, level, R):
    wet = risers.submerged_riser_length(start, level, R)
    depth = max(level - start, 0.0)
    assert depth - 1e-12 <= wet
    assert risers.submerged_riser_length(start, level + 0.01, R) >= wet
    # A riser that stays in its bend is longest for its depth there; above it only adds what it climbs.
    assert wet <= R * RIGHT + depth


def test_cut_tube_has_trim_at_both_ends():
    assert risers.tube_length(7.0, 1.2) == pytest.approx(8.3)


def test_turns_by_the_side_of_the_risers():
    assert risers.turn_choices("same", 8.2, 11.0).tolist() == [9, 10, 11]
    assert risers.turn_choices("opposite", 8.2, 11.0).tolist() == [8.5, 9.5, 10.5]
    assert risers.turn_choices("any", 8.2, 10.0 - 1e-12).tolist() == [8.5, 9, 9.5, 10]
    assert risers.turn_choices("same", 3.2, 3.8).size == 0
    with pytest.raises(KeyError):
        risers.turn_choices("left", 1, 2)


def test_inside_riser_clears_the_turns():
    assert risers.inside_riser_axis_radius(0.12, 0.01) == pytest.approx(0.12 - 0.01 - 0.005)


def test_vector_equals_loop_nan_stays_and_inputs_are_left_alone():
    start = np.array([0.02, np.nan, 0.2])
    before = start.copy()
    length = risers.riser_length(start, 0.4, 0.03, 0.15)
    wet = risers.submerged_riser_length(start, 0.22, 0.03)
    for i in (0, 2):
        assert length[i] == risers.riser_length(start[i], 0.4, 0.03, 0.15)
        assert wet[i] == risers.submerged_riser_length(start[i], 0.22, 0.03)
    assert np.isnan([length[1], wet[1]]).all()
    np.testing.assert_array_equal(start, before)
