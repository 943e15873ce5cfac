"""Strips between two layers of one tube, laid out as with compasses."""

from __future__ import annotations

import math

import numpy as np
import pytest

from optichill.geometry.strips import how_many, strip_width, strips, thickest, widest_over


@pytest.mark.parametrize(("outer", "strip", "carded"), [(0.250, 0.012, True), (0.231, 0.0055, False)])
def test_strips_and_card_make_the_outer_form(outer, strip, carded):
    """Measured across as the sheet says: inner form, two tubes, two strips and two thicknesses of 3 mm card.
    17.5 mm of room with the card counted as nothing made the outer form 6 mm too wide."""
    thick, over = strips(0.200, outer, 0.010, 0.003)
    assert (thick, over) == (pytest.approx(strip), carded)
    assert 0.200 + 2 * (0.010 + thick + (0.003 if over else 0.0)) == pytest.approx(outer)


@pytest.mark.parametrize("inner", [0.100, 0.165, 0.202, 0.300])
def test_strips_stand(inner):
    """Their thickness over their width is what keeps wood upright under a pull from the side."""
    thick, _ = strips(inner, widest_over(inner, 0.012, 0.003), 0.012, 0.003)
    assert thick == pytest.approx(float(thickest(inner, 0.012)))
    assert thick / strip_width(inner, 0.012) <= 1.5 + 1e-9


@pytest.mark.parametrize("outer", [0.150, 0.200, 0.250, 0.340, 0.450])
def test_tube_lies_round_from_strip_to_strip(outer):
    """Twelve lay 88 mm apart on 340 mm: a straight tube from edge to edge lies 4 mm inside the circle there.
    By Pythagoras on the free chord."""
    inner = outer - 0.060
    many, wide = int(how_many(inner, outer, 0.010)), float(strip_width(inner, 0.010))
    free = math.pi * outer / many - wide
    assert outer / 2.0 - math.sqrt((outer / 2.0) ** 2 - (free / 2.0) ** 2) < 0.0021
    assert many >= 12 and many % 2 == 0  # measured across two opposite ones
    assert many == 12 or many * wide < 0.5 * math.pi * inner, "a hand goes in between"
    assert np.isscalar(many)
