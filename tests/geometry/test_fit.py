"""Levels, heights and rooms in the kettle."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.geometry import fit, helix, levels, risers, standing

INCH, GALLON = 0.0254, 3.785411784e-3
TUBE = levels.SunkTube(lowest_turn_height=0.03, pitch=0.019, turns=10.0, mean_diameter=0.234, d_o=0.009525)


def submerged_volume(level, tube, layers=1):
    """Tube under the level with risers taken as straight up, by adding thin slices of the helix."""
    total = 0.0
    shaped = [np.broadcast_to(np.asarray(v, float).ravel(), layers) for v in
              (tube.lowest_turn_height, tube.pitch, tube.turns, tube.mean_diameter)]  # fmt: skip
    for h_0, p, N, D_c in zip(*shaped, strict=True):
        heights = h_0 + (np.arange(20000) + 0.5) / 20000 * N * p
        total += np.mean(heights < level) * helix.helix_length(D_c, p, N)
        total += np.ravel(tube.bottom_risers)[0] * max(level - h_0, 0)
        total += np.ravel(tube.top_risers)[0] * max(level - h_0 - N * p, 0)
    return np.pi / 4 * tube.d_o**2 * total


def test_twelve_inch_kettle():
    # Common practice, no source: 12 in across fills about 2 in a US gallon and 10 in tall holds 4.9 gal.
    assert levels.bare_level(GALLON, 12 * INCH) / INCH == pytest.approx(2.0, abs=0.05)
    assert 10 * INCH / levels.bare_level(1.0, 12 * INCH) / GALLON == pytest.approx(4.9, abs=0.05)


def test_20_L_in_a_36_cm_kettle():
    # Hand calculation: 0.020 / (pi 0.36^2 / 4) = 0.196 m.
    assert levels.bare_level(0.020, 0.36) == pytest.approx(0.1965, abs=5e-5)


@pytest.mark.parametrize("volume", [0.002, 0.003, 0.0045, 0.012, 0.020, 0.0235, 0.03])
def test_level_balances_the_volume(volume):
    # Kettle up to the level = wort + tube below the level, the tube measured by slices.
    level = float(levels.level_with_coil(volume, 0.36, TUBE))
    expected = volume + submerged_volume(level, TUBE)
    assert np.pi / 4 * 0.36**2 * level == pytest.approx(expected, abs=2e-7)


@given(st.floats(0.004, 0.05), st.floats(0.0096, 0.03), st.floats(2, 20), st.floats(0.12, 0.26))
@settings(max_examples=count(60, 1000))
def test_level_with_two_layers_balances_in_a_narrow_kettle(volume, pitch, turns, outer):
    across, wound = np.array([[outer - 0.05], [outer]]), np.array([[0.8 * turns], [turns]])
    tube = levels.SunkTube(0.03, np.full((2, 1), pitch), wound, across, 0.0095, 0, 1)
    level = levels.level_with_coil(volume, 0.3, tube)
    assert level.shape == (1,)
    expected = volume + submerged_volume(level[0], tube, layers=2)
    assert np.pi / 4 * 0.3**2 * level[0] == pytest.approx(expected, abs=5e-7)


def test_fifty_feet_of_three_eighths_lift_the_level_by_its_volume():
    turns = 12.0
    tube = levels.SunkTube(0.02, 0.0098, turns, 0.26, 0.009525, 0, 0)
    lift = levels.level_with_coil(0.025, 0.36, tube) - levels.bare_level(0.025, 0.36)
    assert lift == pytest.approx(np.pi / 4 * 0.009525**2 * turns * np.hypot(np.pi * 0.26, 0.0098) / 0.101788,
                                 rel=1e-4)  # fmt: skip


def test_feet_floor_and_what_lies_there():
    d_o = 0.01
    assert standing.standing_height("feet", 0.025, 0.0, d_o) == pytest.approx(0.030)
    assert standing.standing_height("feet", 0.025, 0.06, d_o) == pytest.approx(0.065)
    assert standing.standing_height("floor", 0.025, 0.0, d_o) == pytest.approx(0.005)
    assert standing.standing_height("floor", 0.025, 0.06, d_o) == pytest.approx(0.065)
    with pytest.raises(ValueError, match="feet or on the floor"):
        standing.standing_height("hangs", 0.025, 0.0, d_o)
    assert fit.floor_gap_needed("feet", 0.025, 0.06) == 0.06
    assert fit.floor_gap_needed("floor", 0.025, 0.0) == 0.0
    assert fit.floor_gap(0.030, d_o) == pytest.approx(0.025)


def test_hanging_coil_is_just_under_the_cold_surface():
    volume, top_clearance = 0.024, 0.015
    lowest = standing.hanging_height(volume, 0.36, TUBE, top_clearance)
    hung = levels.SunkTube(lowest, 0.019, 10.0, 0.234, 0.009525)
    level = levels.level_with_coil(volume, 0.36, hung)
    assert level == pytest.approx(levels.level_covering(volume, 0.36, TUBE, top_clearance), abs=1e-12)
    top = helix.top_turn_height(lowest, 0.019, 10.0)
    assert fit.submergence(level, top, 0.009525) == pytest.approx(0.015)


def test_hanging_layers_of_unequal_height():
    pitch, turns, D_c = np.full((2, 1), 0.015), np.array([[8.0], [10.0]]), np.array([[0.18], [0.24]])
    tube = levels.SunkTube(np.nan, pitch, turns, D_c, 0.0095, 0, 1)
    lowest = standing.hanging_height(0.026, 0.36, tube, 0.015)
    level = levels.level_with_coil(0.026, 0.36, levels.SunkTube(lowest, pitch, turns, D_c, 0.0095, 0, 1))
    assert fit.submergence(level, lowest + 0.15, 0.0095) == pytest.approx(0.015)


def test_coil_too_tall_to_hang_comes_near_the_floor_and_then_sticks_out():
    tall = levels.SunkTube(np.nan, 0.019, np.array([9.0, 11.0, 20.0]), 0.234, 0.009525)
    lowest = standing.hanging_height(0.024, 0.36, tall, 0.015)
    needed = fit.floor_gap_needed("hangs", 0.025, 0.0)
    assert (fit.floor_gap(lowest, 0.009525) >= needed).tolist() == [True, False, False]
    assert lowest[2] == pytest.approx(0.009525 / 2)
    stuck = levels.SunkTube(lowest[2], 0.019, 20.0, 0.234, 0.009525)
    level = levels.level_with_coil(0.024, 0.36, stuck)
    assert fit.submergence(level, helix.top_turn_height(lowest[2], 0.019, 20.0), 0.009525) < 0


def test_rooms():
    # Hand calculation: (360 - 278) / 2 = 41 mm; (268 - 10 - 180) / 2 = 39 mm.
    assert fit.wall_gap(0.36, 0.268, 0.010) == pytest.approx(0.041)
    assert fit.centre_gap(0.268, 0.010, 0.18) == pytest.approx(0.039)
    assert fit.centre_gap(0.268, 0.010, 0.0) == np.inf
    assert fit.headspace(0.40, [0.30, 0.41]) == pytest.approx([0.10, -0.01])


def test_riser_gap_agrees_with_the_room_it_needs():
    D_kettle, D_c, R_b, d_o = 0.36, 0.25, 0.0238, 0.009525
    # A riser stands a tube and 5 mm outside the turns' centre line, and needs half a tube and 5 mm more.
    room = D_kettle / 2 - D_c / 2 - (d_o + 0.005 + d_o / 2 + 0.005)
    assert fit.riser_gap(D_kettle, D_c, R_b, d_o) - fit.riser_gap_needed() == pytest.approx(room)
    same, opposite = fit.across_with_risers(D_c, R_b, d_o, [False, True])
    assert helix.coil_across(D_c, d_o) < same < opposite
    # Of the two the one from the lowest turn stands further out, past the turns above it.
    gaps = fit.riser_gap(D_kettle, D_c, R_b, d_o, [True, False])
    assert opposite == pytest.approx(D_kettle - gaps.sum())
    past, at_top = risers.passing_riser_axis_radius(D_c / 2, R_b, d_o), risers.riser_axis_radius(D_c / 2, R_b)
    assert gaps[1] - gaps[0] == pytest.approx(past - at_top)


def test_parts_of_the_kettle():
    well = standing.FixedPart("thermometer well", "wall", 0.12, 0.06)
    tap = standing.FixedPart("tap", "wall", 0.02, 0.04)
    screen = standing.FixedPart("false bottom", "floor", 0.05, 0.30)
    basket = standing.FixedPart("hop basket", "centre", 0.40, 0.15)
    parts = (well, tap, screen, basket)
    assert standing.tallest_floor_part(parts) == 0.05 and standing.tallest_floor_part(()) == 0.0
    assert standing.widest_centre_part(parts) == 0.15 and standing.widest_centre_part(()) == 0.0
    assert fit.wall_gap_needed(0.03, parts, 0.055, 0.01) == pytest.approx(0.065)
    # A coil that ends above a part does not meet it; the tap counts only for a low coil.
    needed = fit.wall_gap_needed(0.03, (tap,), np.array([0.015, 0.055]), 0.01)
    assert needed == pytest.approx([0.045, 0.03])


def test_wetted_length_is_all_tube_under_the_surface():
    level, R_b = 0.26, 0.0238
    wet = levels.submerged_length(level, TUBE, R_b)
    turns = helix.helix_length(0.234, 0.019, 10.0)
    riser_tube = risers.submerged_riser_length([0.03, 0.22], level, R_b).sum()
    assert wet == pytest.approx(turns + riser_tube)
    assert levels.wet_share(level, TUBE) == pytest.approx(1.0)
    assert levels.wet_share(0.03 + 0.095, TUBE) == pytest.approx(0.5)


def test_vector_equals_loop_nan_stays_and_inputs_are_left_alone():
    N = np.array([8.0, np.nan, 12.0])
    before = N.copy()
    tube = levels.SunkTube(0.03, 0.019, N, 0.234, 0.009525)
    level = levels.level_with_coil(0.02, 0.36, tube)
    assert np.isnan(level).tolist() == [False, True, False]
    for i in (0, 2):
        one = levels.SunkTube(0.03, 0.019, N[i], 0.234, 0.009525)
        assert level[i] == levels.level_with_coil(0.02, 0.36, one)
        assert levels.wet_share(level, tube)[i] == levels.wet_share(level[i], one)
    np.testing.assert_array_equal(N, before)


@given(st.floats(0.005, 0.04), st.floats(0.0005, 0.01))
def test_more_wort_stands_higher_and_a_coil_never_lowers_it(volume, more):
    low, high = levels.level_with_coil([volume, volume + more], 0.36, TUBE)
    assert levels.bare_level(volume, 0.36) <= low < high
