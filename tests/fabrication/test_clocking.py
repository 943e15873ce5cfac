"""Where the risers come out."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.fabrication import clocking


def walked(turns: float, R_c: float, R_b: float) -> float:
    """The angle from riser to riser, found by walking: along the tangent backwards from the first point of
    the helix, and forwards from the last."""
    end = 2 * math.pi * turns
    foot, tangent = np.array([1.0, 0.0]) * R_c, np.array([0.0, 1.0])
    riser_in = foot - R_b * tangent
    last = R_c * np.array([math.cos(end), math.sin(end)])
    riser_out = last + R_b * np.array([-math.sin(end), math.cos(end)])
    return float(np.arctan2(riser_out[1], riser_out[0]) - np.arctan2(riser_in[1], riser_in[0])) % (
        2 * math.pi
    )


@given(st.floats(1.0, 40.0), st.floats(0.05, 0.3), st.floats(0.015, 0.12))
def test_angle_from_riser_to_riser(turns, R_c, R_b):
    got = clocking.from_in_to_out(turns, R_c, R_b)
    assert clocking.apart(got - walked(turns, R_c, R_b)) < 1e-6


@given(st.floats(0.0, 2 * math.pi), st.floats(2.0, 40.0), st.floats(0.05, 0.3), st.floats(0.015, 0.12))
def test_turns_that_bring_the_risers_where_they_are_wanted(angle, turns, R_c, R_b):
    found = clocking.turns_for(angle, turns, R_c, R_b)
    assert abs(found - turns) <= 0.5 + 1e-9
    assert clocking.apart(clocking.from_in_to_out(found, R_c, R_b) - angle) < 1e-6


@pytest.mark.parametrize(
    ("angle", "said"),
    [
        (0.0, "6 o'clock"),
        (math.pi, "12 o'clock"),
        (math.pi / 2, "3 o'clock"),  # against the clock from six
        (-math.pi / 2, "9 o'clock"),
        (math.radians(15), "half past 5"),
        (math.radians(-15), "half past 6"),
        (math.radians(200), "half past 11"),
        (math.radians(165), "half past 12"),
    ],
)
def test_positions_as_on_a_clock_face(angle, said):
    assert clocking.clock(angle) == said


def test_a_nested_tube_goes_round_the_same_way_all_along():
    # 8 turns down, a quarter across, 8 turns up, with hardly any bend: the risers are a quarter apart.
    assert clocking.nested_from_in_to_out(16.0, 0.1, 0.13, 1e-9) == pytest.approx(math.pi / 2)
