"""Paper round the form: lead angles, lines, and the comb's holes."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.fabrication.template import LEAST_BESIDE, SpacerComb, WrapTemplate, room_beside
from optichill.geometry import helix, springback

# NPS 8 pipe, 8.625 in outside (ASME B36.10); tube of 3/8 in; pitch of 3/4 in.
D_F, D_O, PITCH = 0.219075, 0.009525, 0.01905


@pytest.mark.parametrize(("k", "surface", "centre"), [(1.0, 1.59, 1.52), (0.972, 1.54, 1.48)])
def test_lead_angle_on_the_form_and_on_the_centre_line(k, surface, centre):
    # Hand calculation: atan(k p / (pi D_f)), and along the tube's middle atan(k p / (pi (D_f + d_o))).
    template = WrapTemplate(math.pi * D_F, k * PITCH, 10.0, D_O)
    assert math.degrees(template.lead_angle) == pytest.approx(surface, abs=0.005)
    on_centre = helix.lead_angle(
        springback.mean_diameter_on_form(D_F, D_O), springback.pitch_on_form(PITCH, k)
    )
    assert math.degrees(float(on_centre)) == pytest.approx(centre, abs=0.005)


@given(st.floats(0.1, 3.0), st.floats(0.004, 0.1), st.floats(0.3, 45.0), st.floats(0.004, 0.03))
def test_each_line_goes_on_where_the_last_one_ended(width, rise, turns, d_o):
    template = WrapTemplate(width, rise, turns, d_o)
    lines = np.array(template.lines())
    assert len(lines) == math.ceil(turns - 1e-9)
    np.testing.assert_allclose(lines[:, 0, 0], 0.0)
    np.testing.assert_allclose(lines[1:, 0, 1], lines[:-1, 1, 1])  # round the seam the heights meet
    np.testing.assert_allclose(lines[:-1, 1, 0], width)
    slopes = (lines[:, 1, 1] - lines[:, 0, 1]) / (lines[:, 1, 0] - lines[:, 0, 0])
    np.testing.assert_allclose(slopes, math.tan(template.lead_angle), rtol=1e-6)
    assert lines[-1, 1, 1] + d_o / 2 == pytest.approx(template.height)
    # The tube along the lines, wound out by half its thickness, is the helix that the marks are for.
    across = np.hypot(math.pi * (width / math.pi + d_o), rise)
    assert across == pytest.approx(float(helix.turn_length(width / math.pi + d_o, rise)))


@given(st.floats(0.005, 0.1), st.floats(1.0, 45.0), st.floats(0.003, 0.02))
def test_comb_has_a_hole_for_every_turn_that_passes(pitch, turns, d_o):
    comb = SpacerComb(pitch, turns, d_o)
    np.testing.assert_allclose(np.diff(comb.centres), pitch)
    assert len(comb.centres) == math.ceil(turns - 1e-9)
    assert comb.centres[0] > d_o / 2 and comb.length > comb.centres[-1] + d_o / 2
    # An upright bar half a step past the start of N turns meets just so many of them.
    heights = np.arange(0.5, turns, 1.0)
    assert len(comb.centres) - len(heights) in (0, 1)


def test_papers_of_one_tube_in_two_layers_are_mirror_images():
    """Winding goes on the same way round, and one layer goes down, the other up: a screw of the other hand.
    Both papers keep their upper edge to the rim."""
    climbs, goes_down = (WrapTemplate(0.6, 0.02, 7.3, 0.01, hand) for hand in (1, -1))
    up, down = np.array(climbs.lines()), np.array(goes_down.lines())
    np.testing.assert_allclose(up[..., 0], down[..., 0])  # the same way round
    np.testing.assert_allclose(up[..., 1] + down[..., 1], climbs.height)
    assert down[0, 0, 1] == pytest.approx(goes_down.height - 0.005) and down[-1, 1, 1] == pytest.approx(0.005)


@given(st.floats(0.08, 0.3), st.floats(0.004, 0.03), st.floats(0.005, 0.02))
def test_combs_of_two_layers_have_room_beside_the_other_layer(inner, gap, d_o):
    """Half of a comb that is sawn in two has teeth half a tube deep, and between two layers of one tube it is
    slid down before they go in; without room there is no comb."""
    outer = inner + 2 * (d_o + gap)
    for together, deep in ((False, 0.0), (True, d_o / 2)):
        beside = room_beside(inner, outer, d_o, together)
        assert beside == 0.0 or LEAST_BESIDE <= beside <= min(0.010, gap - 0.001 - deep + 1e-9)
        assert beside > 0.0 or gap - 0.001 - deep < LEAST_BESIDE + 1e-9
