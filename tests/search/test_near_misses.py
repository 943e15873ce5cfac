"""Designs by the set of limits they break, and the nearest of each set, against sorting by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import small_stock
from hypothesis import given
from hypothesis import strategies as st

from optichill.problem.checks import Checks
from optichill.search.enumeration import Enumeration
from optichill.search.near_misses import (
    KEPT_OF_A_KIND,
    KEPT_TOGETHER,
    NearMisses,
    is_alone,
    nearest_of_each,
    sets_broken,
    worst_misses,
)
from optichill.search.space import space

MISSES = st.integers(1, 40).flatmap(
    lambda count: st.lists(
        st.lists(st.sampled_from([-0.5, 0.0, 0.1, 0.2, 0.3]), min_size=count, max_size=count),
        min_size=1,
        max_size=4,
    )
)


def by_hand(misses: np.ndarray, number: np.ndarray, most: int) -> list[int]:
    """Places of the nearest of each set: every design put beside those that break the same, and sorted."""
    kinds: dict[tuple[bool, ...], list[tuple[float, int, int]]] = {}
    for place, column in enumerate(misses.T.tolist()):
        broken = tuple(miss > 0.0 for miss in column)
        worst = max((miss for miss in column if miss > 0.0), default=0.0)
        kinds.setdefault(broken, []).append((worst, int(number[place]), place))
    return sorted(place for kind in kinds.values() for _, _, place in sorted(kind)[:most])


@given(MISSES, st.integers(1, 5))
def test_the_nearest_of_each_set_are_those_found_by_hand(rows: list[list[float]], most: int) -> None:
    misses = np.array(rows)
    number = np.arange(misses.shape[1])[::-1] * 7  # not in the order of the places
    found = nearest_of_each(misses > 0.0, misses, number, most)
    assert sorted(found.tolist()) == by_hand(misses, number, most)
    # Set by set, and within a set nearest first.
    kinds, worst = sets_broken(misses > 0.0)[found], worst_misses(misses > 0.0, misses)[found]
    assert [*zip(kinds, worst, number[found], strict=True)] == sorted(
        zip(kinds, worst, number[found], strict=True)
    )


def test_a_set_has_a_bit_for_each_limit() -> None:
    broken = np.array([[True, False, True, False], [False, False, True, True]])
    assert sets_broken(broken).tolist() == [1, 0, 3, 2]
    assert [is_alone(pattern) for pattern in (1, 2, 3, 4, 6)] == [True, True, False, True, False]
    assert worst_misses(broken, np.array([[0.1, 9.0, 0.3, -1.0], [9.0, -1.0, 0.2, np.inf]])).tolist() == [
        0.1,
        0.0,
        0.3,
        np.inf,
    ]


@pytest.mark.parametrize("pieces", [1, 7, 60])
def test_what_is_kept_does_not_hang_on_the_pieces(pieces: int) -> None:
    """Budget and wall, drawn: so many of one limit alone are kept; of both, the nearest and of each kind the
    largest."""
    draw = np.random.default_rng(3)
    count, alone = 600, 25
    cost, gap, surface = (
        draw.uniform(80, 130, count),
        draw.uniform(0.0, 0.05, count),
        draw.uniform(0, 1, count),
    )
    kept, kind = NearMisses(alone), draw.integers(0, 3, count)
    for some in np.array_split(np.arange(count), pieces):
        checks = Checks((some.size,))
        checks.at_most("budget", cost[some], 100.0)
        checks.at_least("wall", gap[some], 0.03)
        kept.add(checks, some, surface[some], kind[some])
    assert kept.names == ("budget", "wall")
    dear, tight = cost / 100.0 - 1.0, 1.0 - gap / 0.03
    for pattern, here, miss in (
        (1, (dear > 0) & (tight <= 0), dear),
        (2, (dear <= 0) & (tight > 0), tight),
        (3, (dear > 0) & (tight > 0), np.maximum(dear, tight)),
    ):
        rows = np.flatnonzero(here)
        assert rows.size > alone > KEPT_TOGETHER
        nearest = rows[np.argsort(miss[rows])]
        if pattern == 3:
            chosen = {*nearest[:KEPT_TOGETHER].tolist()}
            for one in range(3):
                of_it = rows[kind[rows] == one]
                assert of_it.size > KEPT_OF_A_KIND
                chosen |= {*of_it[np.argsort(-surface[of_it])][:KEPT_OF_A_KIND].tolist()}
            nearest = np.array([n for n in nearest.tolist() if n in chosen])
        else:
            nearest = nearest[:alone]
        np.testing.assert_array_equal(kept.nearest_first(pattern), nearest)


@pytest.mark.parametrize("pieces", [1, 40])
def test_what_is_kept_of_one_limit_is_flat_and_spread(pieces: int) -> None:
    """However many rows miss: the nearest, and a sample of all the others, the same in whatever pieces."""
    count, alone, spread = 200_000, 100, 400
    kept = NearMisses(alone, spread)
    most = 0
    for some in np.array_split(np.arange(count), pieces):
        checks = Checks((some.size,))
        checks.at_most("budget", 100.0 + some, 100.0)
        kept.add(checks, some, np.zeros(some.size), np.zeros(some.size, np.intp))
        most = max(most, sum(p.number.size for p in kept.pieces[1]))
    assert most <= 4 * (alone + spread) + count // pieces
    numbers = kept.nearest_first(1)
    assert numbers[:alone].tolist() == list(range(1, alone + 1))
    assert alone + 0.9 * spread <= numbers.size <= alone + spread
    # Each tenth of the range has its share, within four standard deviations of a drawn sample.
    shares = np.histogram(numbers[alone:], bins=10, range=(0, count))[0]
    assert abs(shares - spread / 10).max() < 4.0 * np.sqrt(spread / 10)


def test_a_search_keeps_so_many_of_a_limit(tmp_path: Path) -> None:
    """Of the largest lists a limit once kept up to 1.6 million rows."""
    found = Enumeration(space(small_stock.of(tmp_path))).dry
    assert found.alone + found.spread <= 25_000
