"""Sizes of a coil on the bench that contradict each other."""

from __future__ import annotations

from own_coil import SIZES

from optichill.model.coil import Coil


def test_tube_left_over_is_told_with_what_each_length_is_used_for() -> None:
    """Ten turns 26 cm across and 0.96 m of risers are pi x 2.604 + 0.96 = 9.14 m, of 15 m bought."""
    (said,) = Coil(**SIZES, bought_length=15.0).mismatches()
    assert "15.00 m" in said and "9.14 m" in said
    assert "water runs as through the first, heat passes as through the second" in said
