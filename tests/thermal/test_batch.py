"""How the wort moves: mixing words, speeds, swirl."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from usual import batch, coil

from optichill.thermal.batch import MIXING_WORDS, Mixing
from optichill.thermal.coil_performance import CoilPerformance
from optichill.thermal.cooldown import chill


def test_mixing_words_and_numbers() -> None:
    assert Mixing.of("left alone").states == ((0.0, 1.0),)
    assert Mixing.of("now and then").states == ((0.0, 0.75), (0.05, 0.25))
    assert Mixing.of(0.08).states == ((0.08, 1.0),)
    assert Mixing.of("left alone", 0.3).swirl == 0.3
    for states in MIXING_WORDS.values():
        assert sum(share for _, share in states) == 1.0
    with pytest.raises(KeyError):
        Mixing.of("furiously")


def test_now_and_then_averages_heat_rates() -> None:
    def heat(mixing: str) -> np.ndarray:
        kernel = CoilPerformance(coil(), replace(batch(), mixing=Mixing.of(mixing)))
        return kernel.at(np.array([[330.0], [360.0]])).Q

    expected = 0.75 * heat("left alone") + 0.25 * heat("steady")
    np.testing.assert_allclose(heat("now and then"), expected, rtol=1e-12)


def test_swirl_runs_along_the_turns() -> None:
    """0.3 m/s at 20 degrees is more than left alone and less than the same speed straight across."""
    still, swirl, across = (
        chill(coil(), replace(batch(), mixing=m)).time[0]
        for m in (Mixing.of("left alone"), Mixing.of("left alone", 0.3), Mixing.of(0.3))
    )
    assert across < swirl < still
