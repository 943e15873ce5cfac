"""A coil of two tubes on tees: each has both its risers."""

from __future__ import annotations

import math

import pytest

from optichill.model.coil import Coil
from optichill.model.measured import Room
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


def test_the_wall_by_weight_is_of_all_four_risers() -> None:
    """What 10 x 1 mm copper of this length weighs gives 1 mm back, whether risers or roll were measured."""
    helix = Coil(**SIZES, riser_length_in=0.6, riser_length_out=0.6).helix_length
    weight = math.pi * 0.009 * 0.001 * 8940.0 * (helix + 2.4)
    weighed = {k: v for k, v in SIZES.items() if k != "wall"} | {"weight": weight}
    for told in ({"riser_length_in": 0.6, "riser_length_out": 0.6}, {"bought_length": helix + 2.4}):
        assert Coil(**weighed, **told).wall == pytest.approx(0.001, rel=1e-3)


def test_tube_that_four_risers_cannot_use_is_told() -> None:
    """Of 24 m 11.6 are wound: 3.1 m for each of four risers, where a kettle takes 0.6."""
    room = Room(riser=0.6, mouth=0.33)
    assert not mismatches(Coil(**SIZES, bought_length=14.0), room=room)
    (said,) = mismatches(Coil(**SIZES, bought_length=24.0), room=room)
    assert "3.1 m would be left for each riser" in said and "count the turns of both layers" in said
