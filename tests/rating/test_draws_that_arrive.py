"""Draws that never come to the target: they count against the time, and say nothing of water and ice."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

from optichill.rating.likely import Samples
from optichill.rating.prediction import Span
from optichill.report import ranges
from optichill.thermal.cooldown import LONGEST

HALF = 512 // 2


def samples(arriving: int, draws: int = 512) -> Samples:
    """One coil of which so many draws arrive, in 1, 2, ... s with as many litres and kilograms."""
    count = np.arange(1.0, draws + 1.0)[:, None]
    time = np.where(count <= arriving, count, np.inf)
    other = np.where(count <= arriving, count, np.nan)
    none = np.zeros((draws, 1))
    return Samples(time, other, none, other, other, none, none, none, own=np.ones(1))


def test_water_and_ice_are_told_over_the_draws_that_arrive() -> None:
    """Of 256 that arrive the tenth, middle and ninetieth are numbers 26, 128 and 231; of 512 with the others
    at the end, numbers 52, 256 and none (counted by hand)."""
    (told,) = samples(HALF).likely(None)
    assert told.time == Span(52.0, 256.0, None)
    assert told.water == told.ice == Span(26.0, 128.0, 231.0)


def test_a_chill_that_never_arrives_has_no_water_and_no_warning() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        (told,) = samples(0).likely(None)
    assert told.time == told.water == told.ice == Span(None, None, None)


def test_what_becomes_too_slow_drops_out_of_water_and_ice_too() -> None:
    slow = replace(samples(2, draws=2), own=np.array([LONGEST])).as_built()
    assert slow.time[:, 0].tolist() == [LONGEST, np.inf]
    for column in (slow.water, slow.drained, slow.ice):
        assert np.isfinite(column[0, 0]) and np.isnan(column[1, 0])


@pytest.mark.parametrize("share", [0.1, 0.35, 0.5, 0.7, 0.9, 1.0])
def test_quantiles_are_those_of_the_library(share: float) -> None:
    values = np.random.default_rng(4).exponential(size=(512, 3))
    found = Samples(*[values] * len(Samples.COLUMNS), own=np.ones(1))
    wanted = np.quantile(values, share, axis=0, method="inverted_cdf")
    assert (found.quantile("time", share) == wanted).all()


def test_only_the_time_says_that_it_does_not_get_there() -> None:
    never = Span(None, None, None)
    for kind, value, said in (("mass", 2.0, "about 2 kg"), ("exact_volume", 0.04, "about 40 L")):
        assert ranges.likely(value, never, kind, "metric") == said
    assert "does not get there" in ranges.likely(1e4, Span(7e3, None, None), "minutes", "metric")
