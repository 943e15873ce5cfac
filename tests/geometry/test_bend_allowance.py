"""Tube in bends: a worked example and limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.geometry.bend_allowance import bend_arc, bend_gain, bend_set_back, cut_length

RIGHT = np.pi / 2


def test_cut_length_worked_example():
    # Hand calculation: 568 - 2 (48 - 12 pi) = 547.4 mm.
    cut = cut_length([0.030, 0.375, 0.163], 0.024, [RIGHT, RIGHT])
    assert cut == pytest.approx(0.5474, abs=5e-5)


def test_cut_length_of_many_pieces_at_once():
    straights = np.array([[0.03, 0.04], [0.375, 0.4], [0.163, 0.2]])
    cut = cut_length(straights, np.array([0.024, 0.03]), [RIGHT, RIGHT])
    one_by_one = [cut_length(straights[:, i], [0.024, 0.03][i], [RIGHT, RIGHT]) for i in (0, 1)]
    assert cut == pytest.approx(one_by_one)


@given(st.floats(0.005, 0.3), st.floats(0.0, 3.0))
def test_a_bend_always_saves_tube(R, angle):
    gain = bend_gain(R, angle)
    assert gain >= -1e-12
    assert bend_arc(R, angle) + gain == pytest.approx(2 * bend_set_back(R, angle))
