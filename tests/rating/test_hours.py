"""Chills that surely never end: told without working out every step."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_stock
from own_coil import SIZES

from optichill.model.coil import Coil
from optichill.rating.coil_rating import quick_rating, rate
from optichill.thermal.coil_performance import CoilPerformance


def test_a_chill_that_never_ends_is_not_followed_step_by_step(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """1 kg of ice against 23 L left alone: the kettle's own loss settles it, after more than 6 hours. What is
    short is told all the same. By hand: 23 kg of wort give up 23 x 4.0 x 78 = 7200 kJ, the water 10 x 4.2 x 8
    = 340 down to 4 degC, kettle and coil 100; at 350 a kilogram of ice that is 22 kg, of which 1 is in."""
    asked = []
    at = CoilPerformance.at

    def counted(self: CoilPerformance, *args: object) -> object:
        asked.append(self.numerics)
        return at(self, *args)  # type: ignore[arg-type]

    monkeypatch.setattr(CoilPerformance, "at", counted)
    ice = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "1 kg", "bucket": "40 L"}
    house = {"wort": {"mixing": "left alone"}, "cooling": [ice]}
    told = quick_rating(small_stock.of(tmp_path, house), Coil(**SIZES)).prediction
    assert told.chill_time is None and told.stages[-1].missing == pytest.approx(21.0, rel=0.05)
    assert len([n for n in asked if n.exact]) < 150


@pytest.mark.slow
@pytest.mark.marched
def test_what_comes_near_to_its_bath_is_looked_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same, stirred: with march and ways out the coils were asked 1700 times, 300 of them finely; now
    1400 times, 54 of them finely, with what is most likely of each way out."""
    asked = []
    at = CoilPerformance.at

    def counted(self: CoilPerformance, *args: object) -> object:
        asked.append(self.numerics)
        return at(self, *args)  # type: ignore[arg-type]

    monkeypatch.setattr(CoilPerformance, "at", counted)
    ice = {"source": "ice bath", "pump": "small", "water": "10 L", "ice": "1 kg"}
    house = {"wort": {"mixing": "now and then"}, "cooling": [ice]}
    found = rate(small_stock.of(tmp_path, house), Coil(**SIZES))
    assert [way.kind for way in found.warm_tap_remedies] == ["more ice"]  # a kilogram leaves it far too warm
    assert len(asked) < 1600
    assert len([n for n in asked if n.exact]) < 100
