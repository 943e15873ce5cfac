"""How the wort moves: mixing words, speeds, swirl."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from usual import batch, coil

from optichill.thermal.batch import MIXING_WORDS, MOTIONS, Mixing
from optichill.thermal.coil_performance import CoilPerformance
from optichill.thermal.cooldown import chill
from optichill.thermal.priors import PRIORS, Factors


def test_mixing_words_and_numbers() -> None:
    motions = {m: batch(mixing=Mixing.of(m)).motions for m in (*MIXING_WORDS, 0.08)}
    assert motions["left alone"] == ((0.0, 1.0),)
    assert motions["now and then"] == ((0.0, 0.75), (0.05, 0.25))
    assert motions[0.08] == ((0.08, 1.0),)
    assert Mixing.of("left alone", 0.3).swirl == 0.3
    for states in motions.values():
        assert sum(share for _, share in states) == 1.0
    with pytest.raises(KeyError):
        Mixing.of("furiously")


def test_a_tool_stirs_for_a_share_of_the_time_with_what_is_known_of_it() -> None:
    """A slow paddle is what steady means; a spoon moves less than a paddle, brisk is more than slow (our own
    judgement)."""
    for tool, motions in MOTIONS.items():
        for motion, prior in motions.items():
            m = Mixing.stirred(tool, motion, 0.25)
            assert (m.speed, m.share, m.speed_prior) == (PRIORS[prior].median, 0.25, prior)
            assert batch(mixing=m).motions == ((0.0, 0.75), (PRIORS[prior].median, 0.25))
            known = PRIORS[prior]
            assert known.p10 < known.median < known.p90 and known.unit == "m/s"
    assert Mixing.stirred("paddle", "slow", 1.0) == Mixing.of("steady")
    assert Mixing.stirred("whirlpool pump", None, 1.0) == Mixing.of("whirlpool pump")
    assert Mixing.stirred("coil", "brisk", 0.0) == Mixing.of("left alone")
    tools, ways = ("spoon", "paddle", "coil"), ("slow", "brisk")
    speed = {(tool, way): Mixing.stirred(tool, way, 1.0).speed for tool in tools for way in ways}
    assert all(speed[tool, "slow"] < speed[tool, "brisk"] for tool in tools)
    assert all(speed["spoon", way] < speed["paddle", way] for way in ways)


def test_coils_with_factors_of_their_own_chill_as_each_alone() -> None:
    """Speed, share and dirt as arrays act on each coil for itself."""
    s = batch(mixing=Mixing.stirred("spoon", "brisk", 0.5))
    own = Factors(
        speed=np.array([0.4, 1.0, 2.5]),
        share=np.array([0.8, 1.2, 3.0]),
        fouling=np.array([4e-5, 1.2e-4, 1.7e-3]),
    )
    three = coil(wetted_length=[10.0, 12.0, 14.0], tube_length=[11.0, 13.0, 15.0])
    many = chill(three, replace(s, factors=own)).time
    for i in range(3):
        alone = chill(three.take(np.array([i])), replace(s, factors=own.take(np.array([i])))).time
        np.testing.assert_allclose(many[i], alone[0], rtol=1e-12)


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
