"""Marks along the tube: they add up to the cut length, and follow the form."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.fabrication import markout
from optichill.fabrication.markout import MarkOut, Riser, Segment, mark_out, wound
from optichill.geometry import bend_allowance, helix, risers, springback

SIZES = st.floats(0.02, 3.0)
any_riser = st.builds(
    Riser.of_length,
    st.sampled_from(["IN", "OUT"]),
    st.floats(0.3, 1.5),
    st.floats(0.02, 0.25),
    st.floats(0.25, 0.9),
    st.floats(0.015, 0.12),
)


def test_turns_add_up_to_the_length_of_the_helix():
    # Worked example: D_c 234.2 mm, p 19.05 mm, N 10.1 makes 7434 mm (hand calculation).
    length = float(helix.helix_length(0.2342, 0.01905, 10.1))
    assert length == pytest.approx(7.434, abs=5e-4)
    turns = wound("", length, float(helix.turn_length(0.2342, 0.01905)))
    assert len(turns) == 11
    assert [t.number for t in turns] == list(range(1, 12))
    assert turns[-1].part == pytest.approx(0.1)
    assert sum(t.length for t in turns) == pytest.approx(length, abs=1e-12)


@given(st.floats(0.05, 60.0), st.floats(0.2, 2.5))
def test_no_length_is_lost_whatever_the_turns(length, per_turn):
    turns = wound("", length, per_turn)
    assert sum(t.length for t in turns) == pytest.approx(length, abs=1e-7)
    assert all(0.0 < t.part <= 1.0 for t in turns)
    assert sum(t.part for t in turns) == pytest.approx(length / per_turn, abs=1e-5)


def test_a_riser_in_pieces_is_the_riser_of_its_length():
    # Laid end to end: foot arc, straight, rim arc, straight, as risers.riser_length has it.
    rim, foot, R, over, to_wall = 0.36, 0.03, 0.0381, 0.15, 0.03
    length = float(risers.riser_length(foot, rim, R, over, to_wall))
    riser = Riser.of_length("IN", length, foot, rim, R)
    assert riser.upright == pytest.approx(rim + 0.03 - foot - 2 * R)
    assert riser.level == pytest.approx(to_wall + over - R)
    assert riser.length == pytest.approx(length)
    assert sum(piece for _, piece in riser.pieces) == pytest.approx(length)


def test_bends_of_the_worked_example():
    # Risers 30 + 375 + 163 mm corner to corner, two square bends, R 24 mm: 547.4 mm (hand calculation).
    R, square = 0.024, math.pi / 2.0
    tube = float(bend_allowance.cut_length([0.030, 0.375, 0.163], R, [square, square]))
    assert tube == pytest.approx(0.5474, abs=5e-5)
    # The same bend by bend: the straights are what the set-backs leave of the risers.
    back, arc = float(bend_allowance.bend_set_back(R, square)), float(bend_allowance.bend_arc(R, square))
    straight = 0.030 - back + 0.375 - 2 * back + 0.163 - back
    assert straight + 2 * arc == pytest.approx(0.5474, abs=5e-5)


@given(
    any_riser,
    any_riser,
    st.floats(0.08, 0.6),
    st.floats(0.006, 0.06),
    st.floats(1.0, 60.0),
    st.floats(0.9, 1.0),
)
def test_pieces_add_up_to_the_cut_length(riser_in, riser_out, D_c, pitch, N, k):
    """Over the whole tube of random coils nothing is lost but the rounding of floats."""
    length = float(helix.helix_length(D_c, pitch, N))
    marks = mark_out(riser_in, wound("", length, k * float(helix.turn_length(D_c, pitch))), riser_out)
    cut = float(risers.tube_length(length, riser_in.length + riser_out.length))
    assert marks.cut_length == pytest.approx(cut, abs=1e-9)
    assert marks.ends[-1] == pytest.approx(marks.cut_length, abs=1e-9)
    assert sum(s.length for s in marks.grouped().segments) == pytest.approx(cut, abs=1e-9)
    assert marks.grouped().cut_length == pytest.approx(marks.cut_length)


STEPS = st.sampled_from([0.0005, 0.001, 0.0254 / 16])


@given(st.lists(st.floats(0.001, 1.5), min_size=1, max_size=40), STEPS)
def test_rounded_marks_stay_within_half_a_step_and_still_add_up(lengths, step):
    marks = MarkOut(tuple(Segment(markout.UPRIGHT, "IN", x) for x in lengths))
    rounded = marks.rounded(step)
    off = np.array(rounded.ends) - np.array(marks.ends)
    assert np.abs(off).max() <= step / 2 + 1e-9  # no error adds up along the tube
    assert rounded.cut_length == pytest.approx(rounded.ends[-1])
    steps = np.array(rounded.ends) / step
    np.testing.assert_allclose(steps, np.round(steps), atol=1e-6)


def test_order_and_names_of_the_pieces():
    riser_in = Riser.of_length("IN", 0.52, 0.03, 0.36, 0.03)
    riser_out = Riser.of_length("OUT", 0.40, 0.20, 0.36, 0.03)
    marks = mark_out(riser_in, wound("", 2.5, 0.7), riser_out)
    assert [s.what for s in marks.segments] == [
        "trim", "level", "rim bend", "upright", "foot bend", "turn", "turn", "turn", "turn",
        "foot bend", "upright", "rim bend", "level", "trim",
    ]  # fmt: skip
    few = marks.grouped()
    assert [s.what for s in few.segments].count("turn") == 1
    assert few.segments[5].part == pytest.approx(2.5 / 0.7)
    assert set(np.round(few.ends, 9)) <= set(np.round(marks.ends, 9))  # every mark is one of the long table


def test_both_states_of_a_coil_take_the_same_tube():
    # 3/8 x .032 in on a 10 3/4 in form (ASME B36.10, NPS 10 pipe): 19 turns of tube unwind by 240 degrees.
    d_o, wall, D_f, pitch = 0.009525, 0.0008128, 0.27305, 0.0155
    k = float(springback.springback_ratio(d_o, d_o - 2 * wall, (D_f + d_o) / 2, 100e6, 117e9))
    relaxed = float(springback.relaxed_mean_diameter(D_f, d_o, k))
    on_form = float(springback.turn_length_on_form(D_f, d_o, pitch, k))
    assert on_form / float(helix.turn_length(relaxed, pitch)) == pytest.approx(k, rel=1e-12)
    turns = wound("", 19 * on_form, on_form)
    assert sum(t.part for t in turns) == pytest.approx(19.0)
    unwound = 360.0 * (19.0 - 19.0 * k)
    assert unwound == pytest.approx(240.0, abs=12.0)


def test_springback_at_both_ends():
    """Elastic tube springs straight again; well plastic it follows the closed form 1 - R M_p / (E I)."""
    d_o, d_i, E = 0.009525, 0.0079, 117e9
    assert float(springback.springback_ratio(d_o, d_i, 50.0, 100e6, E)) == pytest.approx(0.0, abs=1e-9)
    R, Y = 0.05, 100e6
    M_p, second = Y * (d_o**3 - d_i**3) / 6, math.pi * (d_o**4 - d_i**4) / 64
    closed = 1 - R * M_p / (E * second)
    assert float(springback.springback_ratio(d_o, d_i, R, Y, E)) == pytest.approx(closed, abs=2e-4)
    # 9.525 x 0.81 mm on 203 mm, copper of 69 to 140 MPa, grows by 1.9 to 3.8 % (hand calculation).
    R_203 = (0.203 + d_o) / 2
    ks = springback.springback_ratio(d_o, d_o - 2 * 0.00081, R_203, np.array([69e6, 140e6]), E)
    np.testing.assert_allclose(springback.growth(ks), [0.019, 0.038], atol=6e-4)


def test_a_riser_that_does_not_come_out_is_told():
    short = Riser.of_length("OUT", 0.15, 0.25, 0.30, 0.06)
    assert short.upright < 0 and not mark_out(short, wound("", 1.0, 0.5), short).possible
