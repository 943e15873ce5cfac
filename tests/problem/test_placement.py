"""Risers in the wort above the top turn, by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import small_stock

from optichill.problem.placement import Shape, place_coils
from optichill.rating.chilled_coil import physical

R_B, D_O, LOWEST = 0.030, 0.010, 0.030


def test_risers_above_the_top_turn_by_hand(tmp_path: Path) -> None:
    """One layer, two layers of one tube, two tubes on tees, the same with a shorter inner layer, and a coil
    that is not all under: 10 mm tube, bends of 30 mm, five turns from 30 to 115 mm above the floor."""
    columns = [np.full(5, v) for v in (D_O, 0.008, 0.26, 0.017, 5.0, R_B)]
    columns[4][4] = 60.0
    shape = Shape(
        *columns,
        D_in=np.array([0.0, 0.20, 0.20, 0.20, 0.0]),
        parallel=np.array([False, False, True, True, False]),
        turns_in=np.array([5.0, 5.0, 5.0, 2.0, 60.0]),
    )
    basis = small_stock.of(tmp_path)
    placed = place_coils(basis, shape, LOWEST)
    depth = placed.chilled_level - 0.115
    assert (depth[:4] > R_B).all()
    # Straight up from below; or from the top turn itself through a quarter circle, of which the first 5 mm of
    # height, an arc of acos(1 - 5/30), lie beside the top turn.
    straight = depth - D_O / 2
    bent = R_B * (np.pi / 2 - np.arccos(1 - 5 / 30)) + depth - R_B
    by_hand = [straight + bent, 2 * bent, 2 * (straight + bent), 3 * straight + bent, 0 * bent]
    np.testing.assert_allclose(
        placed.risers_above, [length[i] for i, length in enumerate(by_hand)], rtol=1e-9, atol=1e-12
    )
    coils = physical(basis, shape, placed, np.full(5, 339.0), np.full(5, 80.0), np.ones(5))
    np.testing.assert_allclose(
        (coils.riser_share * coils.wetted_length).sum(axis=0), placed.risers_above, rtol=1e-9, atol=1e-12
    )
