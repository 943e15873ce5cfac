"""Cost over a coil's life: by hand, and what must hold of it whatever the prices."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optichill.workshop.lifetime import Lifetime, Worth

WORTH = Worth(60, hour=6.0, water=4.0, ice=0.5, good_time=600.0, practised=False, unattended=False)
COIL = {"build": 80.0, "beyond": 900.0, "water": 0.140, "ice": 2.0, "difficulty": 3.0, "roll": 47.0}


def test_a_coil_by_hand() -> None:
    """60 x 15 min at 6 an hour 90; 60 x 0.14 m3 at 4 33.60; 60 x 2 kg at 0.50 60; twice 3.4 h 40.80; twice
    2 % e^0.9 of 47: 4.62."""
    life = WORTH.lifetime(**COIL)
    told = {name: round(float(part), 2) for name, part in life.parts.items()}
    assert told == {
        "build": 80.0, "waiting": 90.0, "water": 33.6, "ice": 60.0, "work": 40.8, "spoiling": 4.62,
    }  # fmt: skip
    assert float(life.total) == pytest.approx(309.02, abs=0.01)
    assert WORTH.minute == 6.0


def of(**changed: object) -> Lifetime:
    return Worth(**{**vars(WORTH), **changed}).lifetime(**COIL)  # type: ignore[arg-type]


def test_who_has_wound_a_coil_works_and_spoils_half() -> None:
    first, second = WORTH.lifetime(**COIL), of(practised=True)
    assert second.work == 0.5 * first.work and second.spoiling == 0.5 * first.spoiling
    assert second.waiting == first.waiting


def test_waiting_counts_half_where_nobody_need_stand_by_and_work_in_full() -> None:
    by, alone = WORTH.lifetime(**COIL), of(unattended=True)
    assert alone.waiting == 0.5 * by.waiting and alone.work == by.work


@given(st.floats(1e-3, 1e3))
def test_prices_in_another_currency_change_nothing_but_the_figures(times: float) -> None:
    other = Worth(60, 6.0 * times, 4.0 * times, 0.5 * times, 600.0, False, False)
    dear = {**COIL, "build": 80.0 * times, "roll": 47.0 * times}
    np.testing.assert_allclose(other.lifetime(**dear).total, times * WORTH.lifetime(**COIL).total)


@given(st.integers(1, 10_000), st.integers(1, 10_000))
def test_what_is_bought_once_does_not_hang_on_batches(few: int, many: int) -> None:
    a, b = of(batches=few), of(batches=many)
    assert (a.build, a.work, a.spoiling) == (b.build, b.work, b.spoiling)
    assert a.waiting / few == pytest.approx(b.waiting / many)


def test_a_roll_is_spoilt_no_more_than_once() -> None:
    assert float(WORTH.lifetime(**{**COIL, "difficulty": 10.0}).spoiling) == 47.0
