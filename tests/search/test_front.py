"""The front against plain comparison of all pairs, and against the library's own non-dominated filter."""

from __future__ import annotations

from pathlib import Path

import brewers
import moocore
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiers import count

from optichill.files.reading import load, packaged
from optichill.search.front import STEPS, Front, joined, rounded, steps_of, unbeaten


def random_goals(seed: int, n: int, levels: int) -> tuple[np.ndarray, np.ndarray]:
    """Goals off the grid of steps by less than half a step, and plainness."""
    rng = np.random.default_rng(seed)
    whole = rng.integers(1, levels + 1, (n, 4))
    return (whole + rng.uniform(-0.45, 0.45, (n, 4))) * STEPS, rng.integers(0, 3, n).astype(float)


def built(goals: np.ndarray, plainness: np.ndarray, pieces: list[np.ndarray]) -> Front:
    front = Front.empty()
    for numbers in pieces:
        front = joined(front, Front.of(numbers, goals[numbers], plainness[numbers]))
    return front


def brute(goals: np.ndarray) -> set[tuple[float, ...]]:
    """Rounded goals that no other set of rounded goals beats."""
    whole = sorted({tuple(row) for row in np.rint(goals / STEPS).tolist()})
    return {
        a for a in whole if not any(b != a and all(x <= y for x, y in zip(b, a, strict=True)) for b in whole)
    }


@settings(max_examples=count(40, 1000))
@given(seed=st.integers(0, 10**6), n=st.integers(1, 120), levels=st.integers(2, 30))
def test_front_equals_comparison_of_all_pairs(seed: int, n: int, levels: int) -> None:
    goals, plainness = random_goals(seed, n, levels)
    front = built(goals, plainness, [np.arange(n)])
    found = [tuple(row) for row in rounded(front.goals).tolist()]
    assert len(set(found)) == len(found)  # designs alike in every goal are one entry
    assert set(found) == brute(goals)


@settings(max_examples=count(30, 1000))
@given(seed=st.integers(0, 10**6), parts=st.integers(1, 12))
def test_front_does_not_depend_on_chunks_or_order(seed: int, parts: int) -> None:
    goals, plainness = random_goals(seed, 150, 8)
    whole = built(goals, plainness, [np.arange(150)])
    order = np.random.default_rng(seed).permutation(150)
    pieces = built(goals, plainness, np.array_split(order, parts))
    by_number = np.argsort(whole.number), np.argsort(pieces.number)
    np.testing.assert_array_equal(whole.number[by_number[0]], pieces.number[by_number[1]])
    np.testing.assert_array_equal(whole.goals[by_number[0]], pieces.goals[by_number[1]])
    # The order of the entries is part of "same input, same answer" too.
    np.testing.assert_array_equal(whole.number, pieces.number)


def test_front_agrees_with_the_library_filter() -> None:
    goals, plainness = random_goals(3, 2000, 40)
    front = built(goals, plainness, np.array_split(np.arange(2000), 17))
    reference = moocore.filter_dominated(np.rint(goals / STEPS), keep_weakly=False)
    ours, theirs = (np.unique(a, axis=0) for a in (rounded(front.goals), np.asarray(reference)))
    np.testing.assert_array_equal(ours, theirs)


def test_front_has_the_full_hypervolume() -> None:
    goals, plainness = random_goals(4, 1500, 30)
    front = built(goals, plainness, np.array_split(np.arange(1500), 5))
    worst = np.full(4, 32.0)
    of_all = moocore.hypervolume(np.rint(goals / STEPS), ref=worst)
    assert moocore.hypervolume(rounded(front.goals), ref=worst) == pytest.approx(of_all, rel=1e-12)


def test_among_equals_the_plainest_stays_then_the_fastest_then_the_first() -> None:
    base = np.array([600.0, 80.0, 0.1, 4.0])
    goals = np.array([base + [2, 0, 0, 0], base, base + [1, 0, 0, 0], base + [1, 0, 0, 0]])
    number = np.array([7, 3, 9, 5])
    for plainness, stays in (
        ([0.0, 1, 1, 1], 7),  # plainest
        ([1.0, 1, 1, 1], 3),  # fastest
        ([1.0, 2, 1, 1], 5),  # 5 and 9 are equal: the smaller number
    ):
        front = joined(Front.empty(), Front.of(number, goals, np.array(plainness)))
        assert front.number.tolist() == [stays]
        assert front.stands_for.tolist() == [4]


def test_what_an_entry_stands_for_is_counted_across_chunks() -> None:
    # Two levels of one goal, 50 rows each: the worse level is dropped with all it stood for.
    goals = np.tile([600.0, 80.0, 0.1, 4.0], (100, 1))
    goals[50:, 1] += 10.0
    for order in (np.arange(100), np.arange(100)[::-1]):
        front = built(goals, np.zeros(100), np.array_split(order, 9))
        assert front.number.tolist() == [0]
        assert front.stands_for.tolist() == [50]


def test_without_domination_the_counts_add_up_to_all_rows() -> None:
    rng = np.random.default_rng(1)
    steps = rng.integers(0, 20, 300)
    # Faster is dearer by as many steps: nothing beats anything else.
    goals = np.stack([steps, 20 - steps, np.ones(300), np.ones(300)], axis=1) * STEPS
    front = built(goals, np.zeros(300), np.array_split(rng.permutation(300), 11))
    assert front.stands_for.sum() == 300
    expected = {k: int((steps == k).sum()) for k in set(steps.tolist())}
    found = dict(
        zip(
            np.rint(front.goals[:, 0] / STEPS[0]).astype(int).tolist(), front.stands_for.tolist(), strict=True
        )
    )
    assert found == expected


def test_steps_are_those_of_the_design() -> None:
    # 10 s, 1 L, half a point: what a brewer could notice; of money about one coin of the example list.
    assert STEPS.tolist() == [10.0, 1.0, 0.001, 0.5]
    stock = load(Path(packaged("brewhouse.toml"))).stock
    assert steps_of(stock)[1] == pytest.approx(1.0, rel=0.01)
    in_other_money = steps_of(brewers.at_prices_times(stock, 18_000.0))
    np.testing.assert_allclose(in_other_money / steps_of(stock), [1.0, 18_000.0, 1.0, 1.0])


@settings(max_examples=count(40, 1000))
@given(st.integers(0, 10**6), st.integers(1, 200), st.integers(2, 9))
def test_what_the_front_beats_is_what_one_of_it_beats_in_plain_comparison(
    seed: int, n: int, levels: int
) -> None:
    goals, plainness = random_goals(seed, n, levels)
    front = built(goals, plainness, [np.arange(n)])
    asked = np.concatenate([goals, random_goals(seed + 1, 50, levels + 1)[0], np.full((1, 4), np.inf)])
    mine, theirs = rounded(front.goals), rounded(asked)
    as_good = (mine[None] <= theirs[:, None]).all(axis=2) & (mine[None] < theirs[:, None]).any(axis=2)
    np.testing.assert_array_equal(front.beats(asked), as_good.any(axis=1))


def test_more_of_the_front_than_one_whole_number_holds_is_asked() -> None:
    n = 1000
    steps = np.arange(n)[:, None]
    goals = np.concatenate([steps, n - steps, 0 * steps, 0 * steps], axis=1) * STEPS
    front = Front.of(np.arange(n), goals, np.zeros(n))
    assert not front.beats(goals).any()
    assert front.beats(goals + [0.0, 0.0, 1e-3, 0.0]).all()
    assert not front.beats(goals - [0.0, 1.0, 0.0, 0.0] * (steps > 0)).any()


def test_nan_is_beaten_by_nothing_and_an_empty_front_beats_nothing() -> None:
    front = Front.of(np.arange(1), np.ones((1, 4)), np.zeros(1))
    unknown = np.array([[np.nan, 9.0, 9.0, 9.0], [99.0, 9.0, np.nan, 9.0], [99.0, 9.0, 9.0, 9.0]])
    assert front.beats(unknown).tolist() == [False, False, True]
    assert not Front.empty().beats(unknown).any() and front.beats(unknown[:0]).size == 0


@settings(max_examples=count(40, 1000), deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0, 1, 2, 40, 600, 2000]), st.integers(1, 60))
def test_what_nothing_beats_is_what_moocore_keeps(seed: int, n: int, levels: int) -> None:
    rng = np.random.default_rng(seed)
    goals = rng.integers(0, levels, (n, 4)).astype(float)
    goals[rng.random((n, 4)) < 0.02] = np.inf
    theirs = moocore.is_nondominated(goals, keep_weakly=True) if n else np.empty(0, bool)
    np.testing.assert_array_equal(unbeaten(goals), theirs)
