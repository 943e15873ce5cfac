"""The best change-over: one temperature, however the last digits of the times fall."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import small_stock

from optichill.arrays import Array, Index
from optichill.problem.basis import DesignBasis
from optichill.rating.change_over import ChangeOvers, best_change_overs, candidates

PLAN = [
    {"source": "tap", "until": "best"},
    {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "6 kg"},
]


@pytest.fixture(scope="module")
def basis(tmp_path_factory: pytest.TempPathFactory) -> DesignBasis:
    return small_stock.of(tmp_path_factory.mktemp("best"), {"cooling": PLAN})


def found(basis: DesignBasis, time: Any, designs: int = 1) -> ChangeOvers:
    """Of chills that take `time(which, until)` [s]."""

    def chill_at(which: Index, until: Array) -> Any:
        return SimpleNamespace(time=time(which, until))

    return best_change_overs(basis, designs, chill_at)


def test_the_last_digit_of_a_time_does_not_move_the_change_over(basis: DesignBasis) -> None:
    """A flat valley of 1000 s, 2 % higher 6 K away, whose times are known to a ten-thousandth: of a hundred
    coils with the valley half way between two candidates none is told another degree."""
    T = candidates(basis)
    valley = 0.5 * (T[12] + T[13])
    noise = 1.0 + 1e-4 * np.random.default_rng(8).uniform(-1.0, 1.0, (100, T.size)).ravel()
    told = found(basis, lambda _, until: (1000.0 + 20.0 * ((until - valley) / 6.0) ** 2) * noise, 100)
    assert np.ptp(told.best) < 0.3 and T[13] - T[12] > 1.0
    assert np.ptp(told.low) < 0.3 and np.ptp(told.high) < 0.3
    assert (told.low <= told.best).all() and (told.best <= told.high).all()


def test_a_valley_is_found_between_the_candidates(basis: DesignBasis) -> None:
    T = candidates(basis)
    for valley in np.linspace(T[5], T[15], 7):
        told = found(basis, lambda _, until, at=valley: 1000.0 + 20.0 * ((until - at) / 6.0) ** 2)
        assert told.best[0] == pytest.approx(valley, abs=0.15 * float(T[16] - T[15]))


def test_what_does_not_reach_the_target_is_no_change_over(basis: DesignBasis) -> None:
    T = candidates(basis)
    never = found(basis, lambda _, until: np.full(until.size, np.inf))
    assert np.isnan([never.best, never.low, never.high]).all()
    cold = found(basis, lambda _, until: np.where(until < T[4] - 1e-6, 100.0 * until, np.inf))
    assert cold.best[0] == cold.low[0] == pytest.approx(T[0]) and cold.high[0] < T[4]
    only = found(basis, lambda _, until: np.where(until == T[3], 900.0, np.inf))
    assert only.best[0] == only.low[0] == only.high[0] == T[3]
