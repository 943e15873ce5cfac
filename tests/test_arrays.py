"""What is worked out once for neighbours that are alike, against every row by itself."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from optichill.arrays import of_runs


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 3), st.integers(1, 9)), max_size=30))
def test_runs_give_what_the_rows_give(runs: list[tuple[int, int, int]]) -> None:
    a, b = (np.array([x for *of, n in runs for x in [of[k]] * n], float) for k in (0, 1))
    asked = []

    def of(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        asked.append(x.size)
        return np.hypot(x, y)

    np.testing.assert_array_equal(of_runs(of, a, b), np.hypot(a, b))
    different = 1 + np.count_nonzero((a[1:] != a[:-1]) | (b[1:] != b[:-1]))
    assert asked == [different if 1 < a.size and 2 * different <= a.size else a.size]


def test_what_only_broadcasts_is_left_as_it_is() -> None:
    assert of_runs(np.hypot, np.array(3.0), np.array([4.0, 4.0, 4.0])).tolist() == [5.0, 5.0, 5.0]
