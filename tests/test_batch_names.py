"""What batches are called: plainly, each another, and the same when the same is given again."""

from __future__ import annotations

import numpy as np
from small_calibration import coil

from optichill.api.batch_names import named, with_plain_names
from optichill.model.cooldown_log import CooldownLog
from optichill.owned.calibrate.fit import MeasuredBatch


def batch(name: str, *celsius: float) -> MeasuredBatch:
    wort = 273.15 + np.array(celsius or (98.0, 60.0, 40.0, 30.0))
    return MeasuredBatch(CooldownLog(name, 300.0 * np.arange(wort.size), wort), coil(), "coil.toml")


def names(batches: list[MeasuredBatch]) -> list[str]:
    return [one.log.name for one in batches]


def test_numbers_go_on_where_there_is_no_name() -> None:
    before = [batch("batch 1"), batch("2026-11-29", 98, 61, 42, 33)]
    new = [batch("", 98, 70, 50, 40), batch("pale ale", 98, 71, 51, 41), batch("", 98, 72, 52, 42)]
    assert names(named(new, before)) == ["batch 3", "pale ale", "batch 5"]


def test_what_is_given_again_or_corrected_keeps_its_name() -> None:
    before = [batch("batch 1"), batch("batch 2", 98, 61, 42, 33)]
    again = [batch("", 98, 61, 42, 33), batch("", 98, 60, 40, 31)]
    assert names(named(again, before)) == ["batch 2", "batch 1"]


def test_no_two_have_one_name() -> None:
    new = [batch("log.csv", 98, 50, 30, 20), batch("log.csv", 98, 51, 31, 21)]
    assert names(named(new, [batch("log.csv")])) == ["log.csv (2)", "log.csv (3)"]


def test_readings_as_a_name_of_earlier_days_become_a_plain_one() -> None:
    kept = with_plain_names([batch("batch 1"), batch("0:98 5:60 10:38"), batch("log.csv")])
    assert names(kept) == ["batch 1", "batch 2", "log.csv"]
