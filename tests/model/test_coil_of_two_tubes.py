"""A coil of two tubes on tees: each has both its risers."""

from __future__ import annotations

import pytest

from optichill.model.coil import Coil
from optichill.model.mismatches import mismatches

SIZES = {
    "material": "copper",
    "layout": "parallel",
    "outer_diameter": 0.010,
    "wall": 0.001,
    "layer": [
        {"mean_diameter": 0.26, "pitch": 0.016, "turns": 8.0},
        {"mean_diameter": 0.20, "pitch": 0.016, "turns": 8.0},
    ],
}


def test_two_tubes_take_four_risers() -> None:
    coil = Coil(**SIZES, riser_length_in=0.5, riser_length_out=0.3)
    assert coil.takes == pytest.approx(coil.helix_length + 2 * 0.8)


def test_what_is_left_of_the_tube_is_shared_by_four_risers() -> None:
    helix = Coil(**SIZES, riser_length_in=0.5, riser_length_out=0.3).helix_length
    coil = Coil(**SIZES, bought_length=helix + 1.6)
    assert coil.riser_length_in == coil.riser_length_out == pytest.approx(0.4)
    assert not mismatches(coil)
